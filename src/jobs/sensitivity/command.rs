//! `quarterstop sensitivity`: what to measure first.
//!
//! In: a venue file and options. Out: a picture, a table, JSON, a list to take along on
//! paper, and a summary on stdout.

use std::path::Path;

use chrono::DateTime;
use chrono_tz::Tz;

use crate::base::files::{FileName, FileSet};
use crate::command::failure::Failure;
use crate::command::print::{ink, print};
use crate::command::progress::Progress;
use crate::jobs::check::options::FieldOption;
use crate::jobs::match_plan::planning;
use crate::jobs::match_plan::planning::VenueMatch;
use crate::output::draw::Picture;
use crate::venue::{Draft, Venue};
use crate::{jobs, output};

use super::Sensitivity;
use super::options::SensitivityOptions;
use super::report::{SensitivityReport, data, list, table};

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames
/// themselves fail.
pub(crate) fn run(options: &SensitivityOptions) -> Result<(), Failure> {
    let VenueMatch { venue, window, .. } = planning::occasion(&options.when)?;
    let mut draft = draft(&options.when.venue, &options.when.field)?;
    draft.hold(&options.when.held.state);
    let folder = planning::folder(&options.when, &window, "-sensitivity");
    let mut set =
        FileSet::open(&folder, &jobs::check::command::inputs(&options.when.venue, &venue))?;
    let progress = Progress::of("numbers of the venue file");
    let window = (window.from, window.until);
    let found = sensitivity(&draft, window, |done, all| progress.report(done, all))?;
    drop(progress);
    let report = SensitivityReport { venue: &venue, found: &found };
    let picture = sensitivity_picture(&venue, &found)?;
    set.stage(FileName::new("sensitivity", "svg"), picture.svg.as_bytes())?;
    set.stage(FileName::new("sensitivity", "png"), &picture.png().map_err(Failure::picture)?)?;
    set.stage(FileName::new("measuring-list", "html"), list::html(&report)?.as_bytes())?;
    set.stage(FileName::new("sensitivity", "csv"), &table::csv(&report)?)?;
    set.stage(FileName::new("sensitivity", "json"), &data::write(&report)?)?;
    let names = set.commit()?;
    let ink = ink();
    let text = super::report::summary::text(&report, ink);
    print(&format!("{text}\n{}", output::text::files(&folder, &names, ink)))
}

pub(crate) fn draft(path: &Path, field: &FieldOption) -> Result<Draft, Failure> {
    Draft::read_field(path, field.field.as_deref()).map_err(Failure::venue)
}

pub(crate) fn sensitivity(
    draft: &Draft,
    window: (DateTime<Tz>, DateTime<Tz>),
    progress: impl Fn(usize, usize) + Sync,
) -> Result<Sensitivity, Failure> {
    super::sensitivity(draft, window, progress).map_err(Failure::input)
}

pub(crate) fn sensitivity_picture(venue: &Venue, found: &Sensitivity) -> Result<Picture, Failure> {
    super::picture::sensitivity(venue, found).map_err(Failure::picture)
}

impl From<super::report::list::MeasuringListError> for Failure {
    fn from(error: super::report::list::MeasuringListError) -> Self {
        Self::internal(error)
    }
}
