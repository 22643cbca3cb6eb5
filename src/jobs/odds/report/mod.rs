//! Odds of sun, for a terminal and as a table.
//!
//! In: [`Odds`]. Out: text of at most [`WIDTH`](crate::output::text::WIDTH) columns, and CSV
//! (RFC 4180: UTF-8, comma, CRLF, one header row), one row a month and hour.

pub mod station;

use std::fmt::Write;

use crate::output::cautions::SHORT;
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number};
use crate::output::text::{Ink, listed, wrapped};
use crate::output::words::fixed;
use crate::venue::Place;
use crate::weather::state::{CLEAR_SHARE, FULL_TENTHS, SUNSHINE_W_M2};
use crate::weather::{Odds, OddsCell, SkyCover};

pub(crate) const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// An hour of the day in a month, both from 1.
struct Row {
    month: usize,
    hour: usize,
    cell: OddsCell,
}

fn of_row<'a>() -> Vec<Column<'a, Row>> {
    let mut list = vec![
        number("month", ("1 to 12", 0), "month", |r: &Row| Some(r.month as f64)),
        number(
            "hour",
            ("1 to 24", 0),
            "hour of local standard time, named by its end: 1 is 00:00 to 01:00",
            |r: &Row| Some(r.hour as f64),
        ),
        number("hours", ("number", 0), "hours of the files that tell the sky", |r: &Row| {
            Some(r.cell.hours as f64)
        }),
        number(
            "sunshine",
            ("0 to 1", 4),
            "share of these with mean direct irradiance over 120 W/m2",
            |r: &Row| Some(r.cell.sunshine),
        ),
        number("sun", ("0 to 1", 4), "odds of direct sun at a moment", |r: &Row| {
            Some(r.cell.states.sun())
        }),
    ];
    list.extend(SkyCover::ALL.map(|state| {
        number(state.word(), ("0 to 1", 4), state.odds_of(), move |r: &Row| {
            Some(r.cell.states.share(state))
        })
    }));
    let of = [
        (10.0, "10th percentile of direct sun against that of a clear sky"),
        (50.0, "median of the same"),
        (90.0, "90th percentile of the same"),
    ];
    list.extend(of.map(|(percent, meaning)| {
        let name = format!("direct_share_{percent:.0}");
        number(name, ("0 to 1", 4), meaning, move |r: &Row| r.cell.direct_share.percentile(percent))
    }));
    list
}

/// Columns of the table.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row())
}

/// The table as CSV.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn csv(odds: &Odds) -> Result<Vec<u8>, CsvError> {
    let months = odds.table().into_iter().enumerate();
    let rows = months.flat_map(|(month, hours)| {
        let hours = hours.into_iter().enumerate();
        hours.filter_map(move |(hour, cell)| {
            Some(Row { month: month + 1, hour: hour + 1, cell: cell? })
        })
    });
    table::csv(&of_row(), rows)
}

/// For a terminal.
pub fn text(odds: &Odds, ink: Ink) -> String {
    let place = &odds.place;
    let mut text = ink.heading(&format!("Odds of sun, {}", where_words(odds)));
    text.push('\n');
    let zone = format!("UTC{:+}", place.zone_h);
    text += &wrapped(
        "",
        &format!(
            "Of 100 hours so many have sunshine (mean direct irradiance over {SUNSHINE_W_M2} W/m2, \
             WMO-No. 8). Columns are hours of local standard time ({zone}), 12 is 12:00 to 13:00; \
             daylight saving reads an hour more. A dash where the sun is too low to tell."
        ),
    );
    let hours: Vec<usize> = reported_hours(odds);
    text += "     ";
    for h in &hours {
        let _ = write!(text, "{h:>4}");
    }
    text.push('\n');
    let table = odds.table();
    for (name, cells) in MONTHS.iter().zip(&table) {
        let _ = write!(text, "  {name}");
        for &hour in &hours {
            let cell = cells.get(hour).and_then(Option::as_ref);
            let per_cent = cell.map_or("-".to_owned(), |c| fixed(100.0 * c.sunshine, 0));
            let _ = write!(text, "{per_cent:>4}");
        }
        text.push('\n');
    }
    text + "\n" + &skies(odds, ink) + "\n" + &listed(&SHORT, ink)
}

/// Hours of the day, counted from 0, that tell in some month.
fn reported_hours(odds: &Odds) -> Vec<usize> {
    let table = odds.table();
    (0..24)
        .filter(|&h| table.iter().any(|month| month.get(h).is_some_and(Option::is_some)))
        .collect()
}

fn skies(odds: &Odds, ink: Ink) -> String {
    let mut text = ink.heading(&format!(
        "{:<7}{:>7}{:>7}{:>7}{:>9}{:>10}",
        "Skies", "clear", "thin", "in gap", "cumulus", "overcast"
    ));
    text.push('\n');
    for (name, cells) in MONTHS.iter().zip(odds.table()) {
        let all: Vec<OddsCell> = cells.into_iter().flatten().collect();
        let hours: usize = all.iter().map(|c| c.hours).sum();
        if hours == 0 {
            continue;
        }
        let share = |state: SkyCover| {
            let sum: f64 = all.iter().map(|c| c.hours as f64 * c.states.share(state)).sum();
            format!("{} %", fixed(100.0 * sum / hours as f64, 0))
        };
        let [clear, thin, gap, cumulus, overcast] = SkyCover::ALL.map(share);
        let _ = writeln!(text, "  {name:<5}{clear:>7}{thin:>7}{gap:>7}{cumulus:>9}{overcast:>10}");
    }
    let rules = format!(
        "Clear: at least {:.0} % of a clear sky's direct light over the hour. Less, but sunshine: \
         thin cloud where {FULL_TENTHS:.0} tenths or more of the sky are covered, else gaps for \
         that share of the hour and a cumulus over the sun for the rest. No sunshine: overcast \
         where the sky is full or its cover not stated, else a cumulus over the sun.",
        100.0 * CLEAR_SHARE
    );
    text + "\n" + &wrapped("", &rules)
}

/// "Somewhere, 45.00 north 8.00 east, 1 file".
pub fn where_words(odds: &Odds) -> String {
    let place = &odds.place;
    let files = match odds.files.len() {
        1 => "1 file".to_owned(),
        n => format!("{n} files"),
    };
    let degrees = |value: f64, positive: &str, negative: &str| {
        format!("{:.2}° {}", value.abs(), if value < 0.0 { negative } else { positive })
    };
    let city = match place.city.trim() {
        "" | "-" | "unknown" => String::new(),
        city => format!("{city}, "),
    };
    format!(
        "{city}{} {}, {files}",
        degrees(place.latitude_deg, "north", "south"),
        degrees(place.longitude_deg, "east", "west")
    )
}

/// Where odds for a place are from, how far away that is, and how old: "weather of Oakham
/// (oakham.epw), 12 km from the venue, hours of 2005 to 2019".
pub fn source_words(odds: &Odds, place: &Place) -> String {
    let km = odds.km_from(place);
    let from = match odds.place.city.trim() {
        "" | "-" | "unknown" => odds.files.join(", "),
        city => format!("{city} ({})", odds.files.join(", ")),
    };
    let age = match odds.hours_of {
        None => "from years that it does not state".to_owned(),
        Some((one, last)) if one == last => format!("hours of {one}"),
        Some((first, last)) => format!("hours of {first} to {last}"),
    };
    format!("weather of {from}, {km:.0} km from the venue, {age}")
}

/// What to say where weather is from so many km away.
pub fn far_warning(km: f64) -> Option<String> {
    (km > FAR_KM).then(|| {
        format!(
            "the weather is that of a place {km:.0} km from the venue; a file for one nearer by \
             would say more"
        )
    })
}

/// What to warn of, `km` from the venue.
pub fn warnings(odds: &Odds, km: Option<f64>) -> Vec<String> {
    let mut warnings = Vec::new();
    warnings.extend(km.and_then(far_warning));
    for (file, minutes) in odds.files.iter().zip(&odds.shifts_min).filter(|(_, m)| **m != 0) {
        let way = if *minutes > 0 { "later" } else { "earlier" };
        warnings.push(format!(
            "the radiation in `{file}` fits the sun when its hours are taken {} min {way} than \
             they say; so they are",
            minutes.abs()
        ));
    }
    warnings
}

/// Weather from further away than this is another place's, km (common practice, no
/// source).
const FAR_KM: f64 = 50.0;
