//! `matching.csv`: one row for each pair and instant.

use chrono::DateTime;
use chrono_tz::Tz;

use crate::jobs::matching::{CameraGap, LevelTrim, MatchedPair};
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number, text};
use crate::output::words::local_time;

use super::MatchingReport;

/// Two cameras at an instant.
struct Row<'a> {
    report: &'a MatchingReport<'a>,
    pair: &'a MatchedPair,
    at: DateTime<Tz>,
    gap: &'a CameraGap,
}

/// The columns, with those of outputs of these names behind them.
fn of_row<'a>(outputs: &[&str]) -> Vec<Column<'a, Row<'a>>> {
    let mut list = of_gap();
    for (place, word) in outputs.iter().enumerate() {
        let trim = move |r: &Row<'a>| -> Option<LevelTrim> { *r.gap.outputs.get(place)? };
        list.push(number(
            format!("{word}_gain"),
            ("factor", 3),
            "of the second's signal, from black; empty where no gain and lift match both sides",
            move |r: &Row<'a>| Some(trim(r)?.gain),
        ));
        list.push(number(
            format!("{word}_lift_percent"),
            ("%", 1),
            "added to the second's signal after the gain",
            move |r: &Row<'a>| Some(100.0 * trim(r)?.lift),
        ));
    }
    list
}

fn of_gap<'a>() -> Vec<Column<'a, Row<'a>>> {
    vec![
        text("time", "RFC 3339", "instant, with the venue's offset", |r: &Row<'a>| {
            local_time(r.at)
        }),
        text("first", "text", "name of a camera", |r: &Row<'a>| {
            r.report.camera(r.pair.cameras.0).to_owned()
        }),
        text("second", "text", "name of the camera that is trimmed", |r: &Row<'a>| {
            r.report.camera(r.pair.cameras.1).to_owned()
        }),
        text("place", "text", "where the picture differs most", |r: &Row<'a>| {
            r.report.place(r.gap.mark).to_owned()
        }),
        number(
            "light_stops",
            ("stop", 2),
            "light on a face there: first over second",
            |r: &Row<'a>| Some(r.gap.light.stops()),
        ),
        number(
            "picture_stops",
            ("stop", 2),
            "the same in the picture, each at its one iris for both sides as far as its lens goes",
            |r: &Row<'a>| Some(r.gap.picture.stops()),
        ),
        number(
            "mired",
            ("mired", 0),
            "how much warmer the first sees the face; empty without a temperature",
            |r: &Row<'a>| r.gap.mired,
        ),
        number("red_stops", ("stop", 2), "red gain of the second against green", |r: &Row<'a>| {
            Some(r.gap.trims?.red)
        }),
        number(
            "blue_stops",
            ("stop", 2),
            "blue gain of the second against green",
            |r: &Row<'a>| Some(r.gap.trims?.blue),
        ),
    ]
}

/// Columns of `matching.csv`; those of `<output>` are there for each output.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row(&["<output>"]))
}

/// `matching.csv`.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which no plan should cause.
pub fn csv(report: &MatchingReport<'_>) -> Result<Vec<u8>, CsvError> {
    let outputs: Vec<&str> = report.pairs.outputs.iter().map(|output| output.word()).collect();
    let rows = report.pairs.pairs.iter().flat_map(|pair| {
        let instants = pair.gaps.iter().zip(&report.plan.instants);
        instants.filter_map(move |(gap, instant)| {
            Some(Row { report, pair, at: instant.at, gap: gap.as_ref()? })
        })
    });
    table::csv(&of_row(&outputs), rows)
}
