//! `quarterstop matching`: which pair of cameras is hard to cut when, and what to trim.
//!
//! In: a venue file and options. Out: a picture, a table, JSON, and a summary on stdout.

use crate::base::files::{FileName, FileSet};
use crate::command::failure::Failure;
use crate::command::print::{ink, print, warn};
use crate::command::progress::Progress;
use crate::engine::DEFAULT_HOLD_STOPS;
use crate::jobs::crew;
use crate::jobs::crew::BriefSettings;
use crate::jobs::match_plan::planning;
use crate::jobs::match_plan::planning::ReadyPlan;
use crate::{jobs, output};

use super::matched_pairs;
use super::options::MatchingOptions;
use super::report::{MatchingReport, data, summary, table};

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames themselves fail.
pub(crate) fn run(options: &MatchingOptions) -> Result<(), Failure> {
    let ReadyPlan { venue, date, mut settings } =
        planning::ready(&options.plan, DEFAULT_HOLD_STOPS)?;
    planning::refuse_polar_night(&venue, date)?;
    let folder = planning::folder(&options.plan.when, &settings.window, "-matching");
    let inputs = jobs::check::command::inputs(&options.plan.when.venue, &venue);
    let when = (&settings.window, options.plan.when.repeated);
    settings.air = options.readings.over(settings.air, &venue, when, None)?;
    // a folder that cannot be written is found before the work starts
    let mut set = FileSet::open(&folder, &inputs)?;
    let progress = Progress::of("sun, shadow and splits");
    let prepared = planning::prepare(&venue, date);
    let plan = planning::plan(&prepared, settings, |done, all| progress.report(done, all))?;
    drop(progress);
    warn(planning::sunless(&plan));
    let brief = crew::brief(&prepared, &plan, &BriefSettings::default())?;
    let pairs = matched_pairs(&venue, &plan, &brief);
    let report = MatchingReport { venue: &venue, plan: &plan, pairs: &pairs };
    if !pairs.pairs.is_empty() {
        let picture = super::picture::matrix(&report).map_err(Failure::picture)?;
        set.stage(FileName::new("matching", "svg"), picture.svg.as_bytes())?;
        set.stage(FileName::new("matching", "png"), &picture.png().map_err(Failure::picture)?)?;
    }
    set.stage(FileName::new("matching", "csv"), &table::csv(&report)?)?;
    set.stage(FileName::new("matching", "json"), &data::write(&report)?)?;
    let names = set.commit()?;
    let ink = ink();
    let text = summary::text(&report, ink);
    print(&format!("{text}\n{}", output::text::files(&folder, &names, ink)))
}
