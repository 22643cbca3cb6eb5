//! `quarterstop fit`: what the venue must be like for what was seen there.
//!
//! In: a venue file, a file of observations, options. Out: a report on stdout;
//! where asked, the venue file with the numbers found and the fit as JSON.

use std::path::Path;

use crate::fit::{self, Fit, seen::Seen};
use crate::report::files::write_one;
use crate::report::fit as fit_report;
use crate::venue::{Draft, VenueError};

use super::failure::Failure;
use super::options::FitOptions;
use super::progress::Progress;
use super::run::{ink, print};

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written then, unless writing the second of two fails.
pub(super) fn run(options: &FitOptions) -> Result<(), Failure> {
    spare_the_inputs(options)?;
    let venue = |e: VenueError| Failure::Venue(Box::new(e));
    let mut draft = Draft::read(&options.venue).map_err(venue)?;
    let seen = fit::seen::read(&options.seen, &draft).map_err(venue)?;
    let progress = Progress::of("fit");
    progress.tell(0, 1);
    let found = fit::fit(&draft, &seen).map_err(|e| Failure::Fit(Box::new(e)))?;
    drop(progress);
    let mut text = fit_report::text(&found, ink());
    if let Some(path) = &options.json {
        write_one(path, &fit_report::json(&found)?)?;
    }
    if let Some(path) = &options.into {
        text += &into(path, &mut draft, &seen, &found)?;
    }
    print(&text)
}

/// Writes the venue file with what was found. It has to be sound.
fn into(path: &Path, draft: &mut Draft, seen: &Seen, found: &Fit) -> Result<String, Failure> {
    let count = fit::write_into(draft, seen, found).map_err(|e| Failure::Fit(Box::new(e)))?;
    draft.venue().map_err(|e| Failure::Venue(Box::new(e)))?;
    write_one(path, draft.text().as_bytes())?;
    Ok(format!("\n{}", fit_report::written(path, count, seen.unknowns.len(), ink())))
}

/// Refuses to write over what was read, unless that was asked for.
fn spare_the_inputs(options: &FitOptions) -> Result<(), Failure> {
    let outputs = [&options.into, &options.json].into_iter().flatten();
    for (i, output) in outputs.enumerate() {
        let is_venue = same(output, &options.venue);
        let asked = is_venue && options.over_venue && options.into.is_some() && i == 0;
        if same(output, &options.seen) || (is_venue && !asked) {
            return Err(Failure::OverInput { path: output.clone() });
        }
    }
    match (&options.into, &options.json) {
        (Some(a), Some(b)) if a == b || same(a, b) => Err(Failure::OverInput { path: b.clone() }),
        _ => Ok(()),
    }
}

/// Whether two names are one file that exists.
fn same(a: &Path, b: &Path) -> bool {
    match (a.canonicalize(), b.canonicalize()) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    }
}
