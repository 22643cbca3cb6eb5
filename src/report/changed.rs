//! What changed, in a terminal and as a table.
//!
//! In: two occasions and their [`Difference`]s. Out: text of at most
//! [`WIDTH`](super::summary::WIDTH) columns, and CSV (RFC 4180).

use std::fmt::Write;

use super::csv::{CsvError, table as csv_table};
use super::summary::{Ink, cautions, fit, titled, wrapped};
use super::words::fixed;
use crate::camera::Verdict;
use crate::starts::{Difference, MOVED_MIN, Measure, Occasion, SPLIT_STOPS, SUM_MIN};

/// Name, unit and meaning of each column.
pub const COLUMNS: [(&str, &str, &str); 6] = [
    ("what", "text", "what is measured"),
    ("unit", "text", "min after the start, min in all, stop, or empty for a camera"),
    ("old", "number", "before; empty where it does not come"),
    ("new", "number", "after; empty where it does not come"),
    ("change", "number", "new less old; empty where one is"),
    ("new_clock", "HH:MM", "the new time on the venue's clock, for times"),
];

/// For a terminal.
pub fn text(old: &Occasion<'_>, new: &Occasion<'_>, found: &[Difference], ink: Ink) -> String {
    let day = |o: &Occasion<'_>| o.start.format("%a %-d %b %Y, %H:%M %Z").to_string();
    let title = match old.venue.title == new.venue.title {
        true => old.venue.title.clone(),
        false => format!("{} and {}", old.venue.title, new.venue.title),
    };
    let under = format!("Old: start {}. New: start {}. Clear sky.", day(old), day(new));
    let mut text = titled(&format!("What changed at {title}"), &under, ink) + "\n";
    if found.is_empty() {
        text += "Nothing that matters.\n";
    } else {
        let head = format!("{:<50}{:>9}{:>9}{:>10}", "", "old", "new", "change");
        let _ = writeln!(text, "{}", ink.heading(&head));
    }
    for difference in found {
        text += &line(new, difference);
    }
    text += "\n";
    text += &wrapped(
        "",
        &format!(
            "Told are times that move by more than {MOVED_MIN:.0} min against the start, widest \
             splits that differ by more than {SPLIT_STOPS} stop, and sums of minutes that differ \
             by more than {SUM_MIN:.0}. A dash: it does not come."
        ),
    );
    text + "\n" + &cautions(ink)
}

fn line(new: &Occasion<'_>, difference: &Difference) -> String {
    let (what, kind) = words(&difference.measure);
    if kind == Kind::Camera {
        let which = if difference.old.is_some() { "only in the old" } else { "only in the new" };
        return format!("{:<50}{which:>28}\n", fit(&what, 49));
    }
    let number = |value: Option<f64>| match (value, kind) {
        (None, Kind::Stops | Kind::Time) => "-".to_owned(),
        (value, Kind::Stops) => fixed(value.unwrap_or(0.0), 2),
        (Some(minutes), Kind::Time) => clock_after(new, minutes),
        (value, _) => format!("{} min", fixed(value.unwrap_or(0.0), 0)),
    };
    let old = match (difference.old, kind) {
        // of an old date too, the clock that it would be by the new start
        (Some(minutes), Kind::Time) => clock_after(new, minutes),
        (old, _) => number(old),
    };
    let change = change(difference, kind).map_or_else(String::new, |by| {
        let sign = if by > 0.0 { "+" } else { "" };
        match kind {
            Kind::Stops => format!("{sign}{}", fixed(by, 2)),
            _ => format!("{sign}{} min", fixed(by, if kind == Kind::Time { 1 } else { 0 })),
        }
    });
    format!("{:<50}{old:>9}{:>9}{change:>10}\n", fit(&what, 49), number(difference.new))
}

/// The clock so many minutes after the new start.
fn clock_after(new: &Occasion<'_>, minutes: f64) -> String {
    let seconds = chrono::TimeDelta::seconds((60.0 * minutes).round() as i64);
    (new.start + seconds).format("%H:%M").to_string()
}

fn change(difference: &Difference, kind: Kind) -> Option<f64> {
    match kind {
        Kind::Sum => Some(difference.new.unwrap_or(0.0) - difference.old.unwrap_or(0.0)),
        _ => Some(difference.new? - difference.old?),
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Time,
    Sum,
    Stops,
    Camera,
}

fn words(measure: &Measure) -> (String, Kind) {
    let again = |nth: &usize| match nth {
        0 => String::new(),
        n => format!(" ({}.)", n + 1),
    };
    match measure {
        Measure::Mark { name, to_sun: true, nth } => {
            (format!("sun reaches {name}{}", again(nth)), Kind::Time)
        }
        Measure::Mark { name, to_sun: false, nth } => {
            (format!("shade reaches {name}{}", again(nth)), Kind::Time)
        }
        Measure::Lens { camera, falls: true, nth } => {
            (format!("{camera}: sun falls on the lens{}", again(nth)), Kind::Time)
        }
        Measure::Lens { camera, falls: false, nth } => {
            (format!("{camera}: sun leaves the lens{}", again(nth)), Kind::Time)
        }
        Measure::WidestSplit { camera } => {
            (format!("{camera}: widest split in shot, stops"), Kind::Stops)
        }
        Measure::SunInLens { camera } => (format!("{camera}: sun in the lens"), Kind::Sum),
        Measure::Verdict { camera, verdict } => {
            let verdict = match verdict {
                Verdict::Hold => "one iris for both",
                Verdict::Ride => "ride the iris",
                Verdict::Choose => "expose for sun or for shade",
            };
            (format!("{camera}: {verdict}, edge in shot"), Kind::Sum)
        }
        Measure::Mixed => ("sun and shade on the field".to_owned(), Kind::Sum),
        Measure::Camera { name } => (format!("camera {name}"), Kind::Camera),
    }
}

/// As CSV.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn csv(new: &Occasion<'_>, found: &[Difference]) -> Result<Vec<u8>, CsvError> {
    let rows = found.iter().map(|difference| {
        let (what, kind) = words(&difference.measure);
        let number = |value: Option<f64>| value.map_or_else(String::new, |v| fixed(v, 2));
        let unit = match kind {
            Kind::Time => "min after the start",
            Kind::Sum => "min in all",
            Kind::Stops => "stop",
            Kind::Camera => "",
        };
        let clock = difference.new.filter(|_| kind == Kind::Time);
        vec![
            what,
            unit.to_owned(),
            number(difference.old),
            number(difference.new),
            number(change(difference, kind).filter(|_| kind != Kind::Camera)),
            clock.map_or_else(String::new, |minutes| clock_after(new, minutes)),
        ]
    });
    csv_table(COLUMNS.map(|c| c.0), rows)
}
