//! `sensitivity.csv`: one row for each number and event that it moves (RFC 4180: UTF-8,
//! comma, CRLF, one header row).
//!
//! In: [`SensitivityReport`]. Out: bytes.

use crate::jobs::sensitivity::{AnswerEvent, Effect, rate_unit};
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number, stated, text};
use crate::output::words::local_time;
use crate::venue::Venue;

use super::SensitivityReport;
use super::words::event_name;

/// A number of the file and what it does to one event.
struct Row<'a> {
    venue: &'a Venue,
    effect: &'a Effect,
    event: &'a AnswerEvent,
    /// Minutes for each unit of the number.
    moves: Option<f64>,
}

fn of_row<'a>() -> Vec<Column<'a, Row<'a>>> {
    vec![
        text("what", "address", "the number, as TOML's dotted key", |r: &Row<'a>| {
            r.effect.dimension.address.to_string()
        }),
        stated("value", "its unit", "what the file says", |r: &Row<'a>| {
            Some(r.effect.dimension.value)
        }),
        stated(
            "off_by",
            "its unit",
            "what it may be off by: as stated in [[surveyed]], else 1",
            |r: &Row<'a>| Some(r.effect.off_by),
        ),
        text(
            "known",
            "word",
            "how it was come by; not_measured where the file does not say",
            |r: &Row<'a>| {
                r.effect.surveyed.as_ref().map_or("not_measured", |s| s.how.word()).to_owned()
            },
        ),
        text("event", "text", "what happens", |r: &Row<'a>| event_name(r.venue, r.event)),
        text("time", "RFC 3339", "when, as the file stands", |r: &Row<'a>| local_time(r.event.at)),
        number(
            "moves",
            ("moves_unit", 3),
            "later is positive; empty where it may not come at all",
            |r: &Row<'a>| r.moves,
        ),
        text("moves_unit", "unit", "min/m or min/deg", |r: &Row<'a>| {
            rate_unit(r.effect.dimension.unit).to_owned()
        }),
        number("moves_by_min", ("min", 3), "when off by off_by, either way", |r: &Row<'a>| {
            r.moves.map(|m| m.abs() * r.effect.off_by)
        }),
    ]
}

/// Its columns.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row())
}

/// `sensitivity.csv`, numbers in the order of what they do.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn csv(report: &SensitivityReport<'_>) -> Result<Vec<u8>, CsvError> {
    let rows = report.found.effects.iter().flat_map(|effect| {
        let events = report.found.events.iter().zip(&effect.moves);
        events.map(move |(event, moves)| Row { venue: report.venue, effect, event, moves: *moves })
    });
    table::csv(&of_row(), rows)
}
