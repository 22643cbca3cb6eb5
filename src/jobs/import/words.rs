//! What the import commands share: numbers and places as words, and a venue with
//! its text.

use std::path::Path;

use crate::base::limits::MAX_VENUE_BYTES;
use crate::base::read::text_file;
use crate::base::target::{Existing, Inputs};
use crate::command::failure::Failure;
use crate::command::words::existing;
use crate::import::geodesy::Geographic;
use crate::venue::Venue;
use crate::{jobs, venue};

/// A venue file as text and as what it says.
pub(crate) fn venue_text(path: &Path) -> Result<(String, Venue), Failure> {
    let text = text_file(path, MAX_VENUE_BYTES >> 20).map_err(Failure::venue)?;
    let venue = venue::parse_in(&text, &path.display().to_string(), path.parent());
    let venue = venue.map_err(Failure::venue)?;
    jobs::check::command::warn_of_slips(&venue, path);
    Ok((text, venue))
}

/// Warns of what would spoil every plan of a venue that was written; what was there
/// `before` has been reported.
pub(crate) fn warn_of_written(into: &Path, before: Option<&Venue>) {
    // a file that is no venue yet is left to the command that reads it
    if let Ok(venue) = venue::read(into) {
        jobs::check::command::warn_of_new_slips(&venue, into, before);
    }
}

/// What may be written over: with --replace also the venue that is added to, by its own
/// next version, but none of the other files that are read.
pub(crate) fn replacing(replace: bool, inputs: Inputs, onto: Option<&Path>) -> (Inputs, Existing) {
    let inputs = match onto {
        Some(onto) => inputs.but(onto),
        None => inputs,
    };
    (inputs, existing(replace))
}

fn number(text: &str, low: f64, high: f64, what: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(value) if (low..=high).contains(&value) => Ok(value),
        _ => Err(format!("{what} from {low} to {high}")),
    }
}

/// A length in metres.
pub(crate) fn length(text: &str) -> Result<f64, String> {
    number(text, 0.0, 20_000.0, "a number of metres")
}

/// Metres above sea level, from below the lowest shore to above the highest town.
pub(crate) fn metres(text: &str) -> Result<f64, String> {
    number(text, -450.0, 20_000.0, "a number of metres")
}

/// Degrees of a bearing.
pub(crate) fn degrees(text: &str) -> Result<f64, String> {
    number(text, 0.0, 360.0, "a bearing in degrees")
}

/// `52.31,-0.42`.
pub(crate) fn place(text: &str) -> Result<Geographic, String> {
    let form = || "a place is LAT,LON in degrees, north and east positive".to_owned();
    let (latitude, longitude) = text.split_once(',').ok_or_else(form)?;
    let latitude = number(latitude, -90.0, 90.0, "a latitude").map_err(|_| form())?;
    let longitude = number(longitude, -180.0, 180.0, "a longitude").map_err(|_| form())?;
    Geographic::new(latitude, longitude).map_err(|e| e.to_string())
}
