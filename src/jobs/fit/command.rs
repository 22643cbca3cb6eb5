//! `quarterstop fit`: what the venue must be like for what was seen there.
//!
//! In: a venue file, a file of observations, options. Out: a report on stdout;
//! where asked, the venue file with the numbers found and the fit as JSON.

use std::path::Path;

use crate::base::files::{FilesError, write_one};
use crate::base::target::{Existing, Inputs, Target};
use crate::command::failure::Failure;
use crate::command::print::{ink, print};
use crate::command::progress::Progress;
use crate::command::words::existing;
use crate::jobs;
use crate::jobs::fit;
use crate::venue::{Draft, VenueError};

use super::options::FitOptions;
use super::seen::Observations;
use super::{Fit, Objection};

/// Why `--into` was refused.
#[derive(Debug, thiserror::Error)]
#[error(
    "--into was refused, and no file was written: these numbers are not safe to plan by{}\n  \
     look at {look_at}; correct or remove what is wrong and fit again, or give --despite-doubts \
     to write them all the same", lines(.objections)
)]
struct Refused {
    objections: Vec<Objection>,
    look_at: String,
}

fn lines(objections: &[Objection]) -> String {
    objections.iter().map(|o| format!("\n  - {o}")).collect()
}

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written then, unless writing the second of two fails. A fit
/// with objections is still printed before `--into` is refused.
pub(crate) fn run(options: &FitOptions) -> Result<(), Failure> {
    targets(options)?;
    let venue = |e: VenueError| Failure::venue(e);
    let mut draft =
        Draft::read_field(&options.venue, options.field.field.as_deref()).map_err(venue)?;
    let ground = draft.venue().map_err(venue)?;
    jobs::check::command::warn_of_slips(&ground, &options.venue);
    let seen = fit::seen::read(&options.seen, &draft).map_err(venue)?;
    let progress = Progress::of("fit");
    progress.report(0, 1);
    let mut found = fit::fit(&draft, &seen).map_err(Failure::input)?;
    // with the name of the field, which its own tables do not say
    found.venue = ground.title;
    drop(progress);
    let mut text = super::report::text(&found, ink());
    let objections = found.objections();
    if options.into.is_some() && !options.despite_doubts && !objections.is_empty() {
        print(&text)?;
        let look_at = super::report::look_at(&found);
        return Err(Failure::input(Refused { objections, look_at }));
    }
    if let Some(path) = &options.json {
        write_one(
            path,
            &super::report::json(&found)?,
            &inputs(options),
            existing(options.replace),
        )?;
    }
    if let Some(path) = &options.into {
        text += &into(path, options, &mut draft, &seen, &found)?;
    }
    print(&text)
}

/// Writes the venue file with what was found. It has to be sound.
fn into(
    path: &Path,
    options: &FitOptions,
    draft: &mut Draft,
    seen: &Observations,
    found: &Fit,
) -> Result<String, Failure> {
    let count = fit::write_into(draft, seen, found).map_err(Failure::input)?;
    draft.venue().map_err(Failure::venue)?;
    let (inputs, existing) = of_venue(options);
    write_one(path, draft.text().as_bytes(), &inputs, existing)?;
    Ok(format!("\n{}", super::report::written(path, count, seen.unknowns.len(), ink())))
}

/// Refuses, before any work, to write over what is read or what is there, unless that was
/// asked for.
fn targets(options: &FitOptions) -> Result<(), Failure> {
    let fine = |path: &Path, inputs: &Inputs, existing| {
        Target::at(path, inputs, existing).map_err(FilesError::from)
    };
    if let Some(path) = &options.json {
        fine(path, &inputs(options), existing(options.replace))?;
    }
    if let Some(path) = &options.into {
        let (inputs, existing) = of_venue(options);
        fine(path, &inputs, existing)?;
    }
    match (&options.into, &options.json) {
        (Some(a), Some(b)) if a == b || same(a, b) => Err(Failure::TwoOutputs { path: b.clone() }),
        _ => Ok(()),
    }
}

fn inputs(options: &FitOptions) -> Inputs {
    Inputs::of([&options.venue, &options.seen])
}

/// What --into may not write over: with --over-venue the venue file may be replaced by its
/// own next version.
fn of_venue(options: &FitOptions) -> (Inputs, Existing) {
    let itself = options.into.as_ref().is_some_and(|into| same(into, &options.venue));
    match options.over_venue && itself {
        true => (inputs(options).but(&options.venue), Existing::Replace),
        false => (inputs(options), existing(options.replace)),
    }
}

/// Whether two names are one file that exists.
fn same(a: &Path, b: &Path) -> bool {
    match (a.canonicalize(), b.canonicalize()) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    }
}
