//! The skyline of a place as CSV: one row for each quarter of a degree.
//!
//! In: a venue and a [`LookUp`]. Out: RFC 4180 text (UTF-8, comma, CRLF, one header
//! row), azimuths clockwise from true north.

use crate::engine::surroundings::SkylinePoint;
use crate::jobs::look_up::LookUp;
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number, text};
use crate::venue::Venue;

use super::name;

/// The venue names what stands there.
type Row<'a> = (&'a Venue, &'a SkylinePoint);

fn of_row<'a>() -> Vec<Column<'a, Row<'a>>> {
    vec![
        number("azimuth_deg", ("degree", 3), "clockwise from true north", |r: &Row<'a>| {
            Some(r.1.azimuth.degrees())
        }),
        number(
            "elevation_deg",
            ("degree", 3),
            "of the highest opaque thing, land counted",
            |r: &Row<'a>| Some(r.1.elevation.degrees()),
        ),
        text(
            "thing",
            "name",
            "what that is, as the venue file names it; empty for the land",
            |r: &Row<'a>| r.1.thing.and_then(|t| name(r.0, t)).unwrap_or_default().to_owned(),
        ),
        number(
            "covered_to_deg",
            ("degree", 3),
            "up to here nothing is open; lower than elevation_deg where sky shows in between, as under a roof",
            |r: &Row<'a>| Some(r.1.covered.degrees()),
        ),
    ]
}

/// Its columns.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row())
}

/// The whole file.
///
/// # Errors
/// [`CsvError`] where the writer refuses.
pub fn csv(venue: &Venue, look: &LookUp) -> Result<Vec<u8>, CsvError> {
    table::csv(&of_row(), look.skyline.iter().map(|point| (venue, point)))
}
