//! `forecast.csv`: one row for each instant.

use crate::base::slug::unique_ids;
use crate::jobs::forecast::{DayOutlook, ForecastMinute};
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number, text};
use crate::output::words::local_time;
use crate::venue::Venue;
use crate::weather::SkyCover;

/// The columns for cameras of these ids.
fn of_minute<'a>(cameras: &[String]) -> Vec<Column<'a, &'a ForecastMinute>> {
    type Row<'a> = &'a ForecastMinute;
    let mut list = vec![
        text("time", "RFC 3339", "instant, with the venue's offset", |m: &Row<'a>| {
            local_time(m.at)
        }),
        text(
            "expect",
            "word",
            "sun, cloud, changing, either (one of them, open which) or unknown",
            |m: &Row<'a>| m.expect.word().to_owned(),
        ),
        text(
            "telling",
            "word",
            "agree, one_member, disagree or nothing: what members say together",
            |m: &Row<'a>| m.sky.telling.word().to_owned(),
        ),
        number("sun", ("0 to 1", 3), "odds of direct sun, mean of the members", |m: &Row<'a>| {
            m.sky.states.map(|s| s.sun())
        }),
        number("sun_10", ("0 to 1", 3), "10th percentile of the members", |m: &Row<'a>| {
            m.sky.sun.percentile(10.0)
        }),
        number("sun_90", ("0 to 1", 3), "90th percentile of the members", |m: &Row<'a>| {
            m.sky.sun.percentile(90.0)
        }),
    ];
    list.extend(SkyCover::ALL.map(|state| {
        number(state.word(), ("0 to 1", 3), state.odds_of(), move |m: &Row<'a>| {
            m.sky.states.map(|s| s.share(state))
        })
    }));
    for (index, camera) in cameras.iter().enumerate() {
        let name = |end: &str| format!("camera_{camera}_split_stops{end}");
        list.push(number(
            name(""),
            ("stop", 2),
            "expected split in shot; 0 counts where none is",
            move |m: &Row<'a>| m.splits.get(index).and_then(|s| s.expected()),
        ));
        list.extend([("_10", 10.0), ("_90", 90.0)].map(|(end, percent)| {
            number(
                name(end),
                ("stop", 2),
                format!("{percent:.0}th percentile over the skies"),
                move |m: &Row<'a>| m.splits.get(index).and_then(|s| s.percentile(percent)),
            )
        }));
    }
    list
}

/// Its columns; `<camera>` stands for the ids of the venue's own.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_minute(&["<camera>".to_owned()]))
}

fn of_venue<'a>(venue: &Venue) -> Vec<Column<'a, &'a ForecastMinute>> {
    of_minute(&unique_ids(venue.cameras.iter().map(|c| c.name.as_str()), "camera"))
}

/// The header of a venue.
pub fn header(venue: &Venue) -> Vec<String> {
    of_venue(venue).into_iter().map(|column| column.name).collect()
}

/// The table.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn csv(venue: &Venue, day: &DayOutlook) -> Result<Vec<u8>, CsvError> {
    table::csv(&of_venue(venue), &day.minutes)
}
