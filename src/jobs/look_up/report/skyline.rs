//! The skyline of a place as CSV: one row for each quarter of a degree.
//!
//! In: a venue and a [`LookUp`]. Out: RFC 4180 text (UTF-8, comma, CRLF, one header
//! row), azimuths clockwise from true north.

use crate::jobs::look_up::LookUp;
use crate::output::csv::{CsvError, cells};
use crate::output::words::fixed;
use crate::venue::Venue;

use super::name;

/// Name, unit and meaning of each column.
pub const COLUMNS: [(&str, &str, &str); 4] = [
    ("azimuth_deg", "degree", "clockwise from true north"),
    ("elevation_deg", "degree", "of the highest opaque thing, land counted"),
    ("thing", "name", "what that is, as the venue file names it; empty for the land"),
    (
        "covered_to_deg",
        "degree",
        "up to here nothing is open; lower than elevation_deg where sky shows in between, as under a roof",
    ),
];

/// The whole file.
///
/// # Errors
/// [`CsvError`] where the writer refuses.
pub fn csv(venue: &Venue, look: &LookUp) -> Result<Vec<u8>, CsvError> {
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(COLUMNS.map(|c| c.0))?;
    for point in &look.skyline {
        writer.write_record(cells::row([
            fixed(point.azimuth.degrees(), 3),
            fixed(point.elevation.degrees(), 3),
            point.thing.and_then(|t| name(venue, t)).unwrap_or_default().to_owned(),
            fixed(point.covered.degrees(), 3),
        ]))?;
    }
    writer.into_inner().map_err(|e| CsvError::from(csv::Error::from(e.into_error())))
}
