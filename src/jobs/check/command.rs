//! `quarterstop check`, and the warnings that every command gives.
//!
//! In: a venue file. Out: the venue, what looks suspicious in it, a plan of the ground.

use std::path::Path;

use crate::base::files::{FileName, FileSet};
use crate::base::target::Inputs;
use crate::command::failure::Failure;
use crate::command::print::{ink, print, warn};
use crate::command::progress::Progress;
use crate::venue::Venue;
use crate::{output, venue};

use super::Questions;
use super::options::{CheckOptions, FieldOption};
use super::report::inventory;

pub(crate) fn check(options: &CheckOptions) -> Result<(), Failure> {
    let venue = read_unwarned(&options.venue, &options.field)?;
    let name = options.venue.display().to_string();
    warn(venue.plannable(&name).err().map(|error| error.to_string()));
    let progress = Progress::of("what looks suspicious");
    let findings = super::check(&venue);
    let questions = super::questions(&venue);
    drop(progress);
    let inputs = inputs(&options.venue, &venue);
    let written = options.into.as_deref().map(|into| plan_of(&venue, &questions, into, &inputs));
    let written = written.transpose()?.unwrap_or_default();
    if options.json {
        return print(&super::report::write(&venue, &findings, &questions)?);
    }
    let verdict = "The file is sound.\n";
    let report = super::report::text(&venue, &findings, &questions);
    print(&(inventory::text(&venue) + verdict + &report + &written))
}

/// Writes the plan of the ground; which files there are then, in words.
pub(crate) fn plan_of(
    venue: &Venue,
    questions: &Questions,
    into: &Path,
    inputs: &Inputs,
) -> Result<String, Failure> {
    let lines = super::report::lines(venue, questions);
    let picture =
        super::picture::ground_plan(venue, questions, &lines).map_err(Failure::picture)?;
    let mut set = FileSet::open(into, inputs)?;
    set.stage(FileName::new("ground-plan", "svg"), picture.svg.as_bytes())?;
    set.stage(FileName::new("ground-plan", "png"), &picture.png().map_err(Failure::picture)?)?;
    let names = set.commit()?;
    Ok(output::text::files(into, &names, ink()))
}

/// Reads a venue file, of a site the field asked for, to plan it, and warns of what would spoil
/// every plan.
pub(crate) fn read_venue(path: &Path, field: &FieldOption) -> Result<Venue, Failure> {
    let venue = read_unwarned(path, field)?;
    venue.plannable(&path.display().to_string()).map_err(Failure::venue)?;
    warn_of_slips(&venue, path);
    Ok(venue)
}

/// Warns of what would spoil every plan of a venue that was read from `path`.
pub(crate) fn warn_of_slips(venue: &Venue, path: &Path) {
    warn_of_new_slips(venue, path, None);
}

/// The same without what was so `before`.
pub(crate) fn warn_of_new_slips(venue: &Venue, path: &Path, before: Option<&Venue>) {
    let before = before.map(super::slips).unwrap_or_default();
    let mut slips = super::slips(venue);
    slips.retain(|slip| !before.contains(slip));
    for line in super::report::warnings(venue, &slips, &path.display().to_string()) {
        warn(Some(line));
    }
}

/// Reads a venue file, for a command that says itself what looks suspicious.
pub(crate) fn read_unwarned(path: &Path, field: &FieldOption) -> Result<Venue, Failure> {
    venue::read_field(path, field.field.as_deref()).map_err(Failure::venue)
}

/// The files that a run on a venue reads, which it must not write over.
pub(crate) fn inputs(path: &Path, venue: &Venue) -> Inputs {
    Inputs::of([path]).and(venue::mesh::files_of(path, &venue.meshes))
}
