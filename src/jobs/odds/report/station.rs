//! How often sun and shade change at a station, for a terminal and as a table.
//!
//! In: [`StationOdds`]. Out: text of at most [`WIDTH`](crate::output::text::WIDTH) columns, and
//! CSV (RFC 4180), one row a month and hour.

use std::fmt::Write;

use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number};
use crate::output::text::{Ink, wrapped};
use crate::output::words::fixed;
use crate::weather::station::{HourCell, StationOdds};

use super::MONTHS;

/// A month and an hour of the day, both from 1, and what was measured.
type Row<'a> = (&'a (u32, u32), &'a HourCell);

fn of_row<'a>() -> Vec<Column<'a, Row<'a>>> {
    let mut list = vec![
        number("month", ("1 to 12", 0), "month", |r: &Row<'a>| Some(f64::from(r.0.0))),
        number(
            "hour",
            ("1 to 24", 0),
            "hour of standard time by the longitude, named by its end",
            |r: &Row<'a>| Some(f64::from(r.0.1)),
        ),
        number(
            "hours",
            ("number", 0),
            "hours that were measured, with the sun over 10 degrees",
            |r: &Row<'a>| Some(r.1.hours as f64),
        ),
        number(
            "sun",
            ("0 to 1", 4),
            "share of minutes with direct irradiance over 120 W/m2",
            |r: &Row<'a>| Some(r.1.sun),
        ),
        number(
            "changing",
            ("0 to 1", 4),
            "share of hours with two changes and more",
            |r: &Row<'a>| Some(r.1.changing),
        ),
        number(
            "changes_mean",
            ("1/h", 2),
            "changes between sunny and shaded minutes, mean",
            |r: &Row<'a>| r.1.changes.expected(),
        ),
    ];
    let of = [(10.0, "10th percentile"), (50.0, "median"), (90.0, "90th percentile")];
    list.extend(of.map(|(percent, meaning)| {
        let name = format!("changes_{percent:.0}");
        number(name, ("1/h", 0), meaning, move |r: &Row<'a>| r.1.changes.percentile(percent))
    }));
    list
}

/// Columns of the table.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row())
}

/// The table.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn csv(odds: &StationOdds) -> Result<Vec<u8>, CsvError> {
    table::csv(&of_row(), &odds.cells)
}

/// For a terminal.
pub fn text(odds: &StationOdds, ink: Ink) -> String {
    let place = &odds.place;
    let years = match odds.years {
        (first, last) if first == last => first.to_string(),
        (first, last) => format!("{first} to {last}"),
    };
    let title = format!(
        "Sun and shade at a station, {:.2}° {:.2}°, {years}",
        place.latitude_deg, place.longitude_deg
    );
    let mut text = ink.heading(&title) + "\n";
    text += &wrapped(
        "",
        &format!(
            "Changes between sunny and shaded minutes in an hour, mean over {} measured hours \
             (direct irradiance over 120 W/m2 is sun, WMO-No. 8; sun over 10 degrees), {}. \
             Columns are hours of UTC{:+}, 12 is 12:00 to 13:00.",
            odds.cells.values().map(|cell| cell.hours).sum::<usize>(),
            of_each(odds),
            odds.zone_h
        ),
    );
    text += &grid(odds, |cell| cell.changes.expected().map(|v| fixed(v, 1)));
    text += "\n";
    text += &wrapped("", "Sunny minutes, per cent:");
    text + &grid(odds, |cell| Some(fixed(100.0 * cell.sun, 0)))
}

/// How many hours a number is from: few say little.
fn of_each(odds: &StationOdds) -> String {
    let counts = || odds.cells.values().map(|cell| cell.hours);
    match (counts().min().unwrap_or(0), counts().max().unwrap_or(0)) {
        (1, 1) => "one hour behind each number, which says little".to_owned(),
        (few, many) if few == many => format!("{few} behind each number"),
        (few, many) => format!("{few} to {many} behind each number"),
    }
}

fn grid(odds: &StationOdds, of: impl Fn(&HourCell) -> Option<String>) -> String {
    let mut hours: Vec<u32> = odds.cells.keys().map(|(_, hour)| *hour).collect();
    hours.sort_unstable();
    hours.dedup();
    let mut text = "     ".to_owned();
    for hour in &hours {
        let _ = write!(text, "{:>5}", hour - 1);
    }
    text.push('\n');
    for (name, month) in MONTHS.iter().zip(1..) {
        if !odds.cells.keys().any(|(m, _)| *m == month) {
            continue;
        }
        let _ = write!(text, "  {name}");
        for hour in &hours {
            let cell = odds.cells.get(&(month, *hour)).and_then(&of);
            let _ = write!(text, "{:>5}", cell.unwrap_or_else(|| "-".to_owned()));
        }
        text.push('\n');
    }
    text
}
