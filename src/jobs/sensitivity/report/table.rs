//! `sensitivity.csv`: one row for each number and event that it moves (RFC 4180: UTF-8,
//! comma, CRLF, one header row).
//!
//! In: [`Report`]. Out: bytes.

use crate::jobs::sensitivity::{Effect, rate_unit};
use crate::output::csv::{CsvError, table};
use crate::output::words::{fixed, local_time};

use super::Report;
use super::words::event_name;

/// Name, unit and meaning of each column.
pub const COLUMNS: [(&str, &str, &str); 9] = [
    ("what", "address", "the number, as TOML's dotted key"),
    ("value", "its unit", "what the file says"),
    ("off_by", "its unit", "what it may be off by: as stated in [[surveyed]], else 1"),
    ("known", "word", "how it was come by; not_measured where the file does not say"),
    ("event", "text", "what happens"),
    ("time", "RFC 3339", "when, as the file stands"),
    ("moves", "moves_unit", "later is positive; empty where it may not come at all"),
    ("moves_unit", "unit", "min/m or min/deg"),
    ("moves_by_min", "min", "when off by off_by, either way"),
];

/// `sensitivity.csv`, numbers in the order of what they do.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn csv(told: &Report<'_>) -> Result<Vec<u8>, CsvError> {
    let rows = told.found.effects.iter().flat_map(|effect| rows(told, effect));
    table(COLUMNS.map(|c| c.0), rows)
}

fn rows(told: &Report<'_>, effect: &Effect) -> Vec<Vec<String>> {
    let dimension = &effect.dimension;
    let known = effect.surveyed.as_ref().map_or("not_measured", |s| s.how.word());
    let events = told.found.events.iter().zip(&effect.moves);
    let row = |(event, moves): (&_, &Option<f64>)| {
        let by = moves.map(|m| m.abs() * effect.off_by);
        vec![
            dimension.address.to_string(),
            format!("{}", dimension.value),
            format!("{}", effect.off_by),
            known.to_owned(),
            event_name(told.venue, event),
            local_time(event.at),
            moves.map_or_else(String::new, |m| fixed(m, 3)),
            rate_unit(dimension.unit).to_owned(),
            by.map_or_else(String::new, |m| fixed(m, 3)),
        ]
    };
    events.map(row).collect()
}
