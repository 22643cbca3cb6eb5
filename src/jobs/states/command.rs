//! `quarterstop states`: which state of what moves is best when.
//!
//! In: a venue file and options. Out: a picture, a table, JSON, and a summary on stdout.

use crate::base::files::{FileName, FileSet};
use crate::command::failure::Failure;
use crate::command::print::{ink, print};
use crate::command::progress::Progress;
use crate::engine::DEFAULT_HOLD_STOPS;
use crate::jobs::match_plan::planning;
use crate::jobs::match_plan::planning::ReadyPlan;
use crate::jobs::starts::{Profile, read_profile};
use crate::{jobs, output};

use super::options::StatesOptions;
use super::report::{StatesReport, csv, text, write};
use super::{StateSettings, compare};

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames themselves fail.
pub(crate) fn run(options: &StatesOptions) -> Result<(), Failure> {
    let ReadyPlan { venue, date, settings } = planning::ready(&options.plan, DEFAULT_HOLD_STOPS)?;
    planning::refuse_polar_night(&venue, date)?;
    let when = &options.plan.when;
    let folder = planning::folder(when, &settings.window, "-states");
    let inputs = jobs::check::command::inputs(&when.venue, &venue).and(options.costs.as_deref());
    let profile = options.costs.as_deref().map(read_profile).transpose();
    let profile = profile.map_err(Failure::venue)?.unwrap_or_else(Profile::default);
    let asked = StateSettings {
        plan: planning::of_plan(settings),
        profile,
        what: options.what.clone(),
        least_lx: options.least_lx,
    };
    // a folder that cannot be written is found before the work starts
    let mut set = FileSet::open(&folder, &inputs)?;
    let progress = Progress::of("states");
    let found = compare(&venue, &asked, |done, all| progress.report(done, all));
    let found = found.map_err(Failure::input)?;
    drop(progress);
    let report = StatesReport { venue: &venue, settings: &asked, found: &found };
    let picture = super::picture::states(&report).map_err(Failure::picture)?;
    set.stage(FileName::new("states", "svg"), picture.svg.as_bytes())?;
    set.stage(FileName::new("states", "png"), &picture.png().map_err(Failure::picture)?)?;
    set.stage(FileName::new("states", "csv"), &csv(&report)?)?;
    set.stage(FileName::new("states", "json"), &write(&report)?)?;
    let names = set.commit()?;
    let ink = ink();
    print(&format!("{}\n{}", text(&report, ink), output::text::files(&folder, &names, ink)))
}
