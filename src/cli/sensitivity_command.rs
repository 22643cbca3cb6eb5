//! `quarterstop sensitivity`: what to measure first.
//!
//! In: a venue file and options. Out: a picture, a table, JSON, a list to take along on
//! paper, and a summary on stdout.

use crate::report::files::{FileName, FileSet};
use crate::report::sensitivity::{Told, data, list, summary as sensitivity_summary, table};
use crate::report::summary;

use super::failure::Failure;
use super::options::SensitivityOptions;
use super::planning::{self, Occasion};
use super::progress::Progress;
use super::run::{ink, print};
use super::stages;

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames
/// themselves fail.
pub(super) fn run(options: &SensitivityOptions) -> Result<(), Failure> {
    let Occasion { venue, window, .. } = planning::occasion(&options.when)?;
    let draft = stages::draft(&options.when.venue)?;
    let folder = planning::folder(&options.when, &window, "-sensitivity");
    let mut set = FileSet::open(&folder, &stages::inputs(&options.when.venue, &venue))?;
    let progress = Progress::of("numbers of the venue file");
    let window = (window.from, window.until);
    let found = stages::sensitivity(&draft, window, |done, all| progress.tell(done, all))?;
    drop(progress);
    let told = Told { venue: &venue, found: &found };
    let picture = stages::sensitivity_picture(&venue, &found)?;
    set.stage(FileName::new("sensitivity", "svg"), picture.svg.as_bytes())?;
    set.stage(FileName::new("sensitivity", "png"), &picture.png)?;
    set.stage(FileName::new("measuring-list", "html"), list::html(&told)?.as_bytes())?;
    set.stage(FileName::new("sensitivity", "csv"), &table::csv(&told)?)?;
    set.stage(FileName::new("sensitivity", "json"), &data::write(&told)?)?;
    let names = set.commit()?;
    let ink = ink();
    let text = sensitivity_summary::text(&told, ink);
    print(&format!("{text}\n{}", summary::files(&folder, &names, ink)))
}
