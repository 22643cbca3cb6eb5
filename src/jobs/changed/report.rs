//! What changed, in a terminal and as a table.
//!
//! In: two occasions and their [`Difference`]s. Out: text of at most
//! [`WIDTH`](crate::output::text::WIDTH) columns, and CSV (RFC 4180).

use std::fmt::Write;

use crate::camera::Verdict;
use crate::output::csv::CsvError;
use crate::output::table::{self as column, Column, ColumnDoc, docs, number};
use crate::output::text::{Ink, cautions, fit, titled, wrapped};
use crate::output::words::fixed;

use super::{ComparedMatch, Difference, MOVED_MIN, Measure, SPLIT_STOPS, SUM_MIN};

/// Columns of a label in a terminal.
const LABEL: usize = 50;

/// For a terminal.
pub fn text(
    old: &ComparedMatch<'_>,
    new: &ComparedMatch<'_>,
    found: &[Difference],
    ink: Ink,
) -> String {
    let day = |o: &ComparedMatch<'_>| o.start.format("%a %-d %b %Y, %H:%M %Z").to_string();
    let title = match old.venue.title == new.venue.title {
        true => old.venue.title.clone(),
        false => format!("{} and {}", old.venue.title, new.venue.title),
    };
    let under = format!("Old: start {}. New: start {}. Clear sky.", day(old), day(new));
    let mut text = titled(&format!("What changed at {title}"), &under, ink) + "\n";
    if found.is_empty() {
        text += "Nothing that matters.\n";
    }
    for (section, title) in [
        (Section::Cameras, "Cameras"),
        (Section::Sun, "What the sun does, by the venue's clock"),
        (Section::Crew, "What the crew does, by the match"),
    ] {
        let mut here = found.iter().filter(|d| section_of(&d.measure) == section).peekable();
        if here.peek().is_none() {
            continue;
        }
        let head = match section {
            Section::Cameras => title.to_owned(),
            _ => format!("{title:<LABEL$}{:>9}{:>9}{:>10}", "old", "new", "change"),
        };
        let _ = writeln!(text, "{}", ink.heading(&head));
        for difference in here {
            text += &line(new, difference);
        }
        text += "\n";
    }
    if found.is_empty() {
        text += "\n";
    }
    text += &wrapped(
        "",
        &format!(
            "Listed are times that move by more than {MOVED_MIN:.0} min, widest splits that \
             differ by more than {SPLIT_STOPS} stop, and sums of minutes that differ by more than \
             {SUM_MIN:.0}. The sun's times are compared over the hours of both starts. A dash: \
             it does not come."
        ),
    );
    text + "\n" + &cautions(ink)
}

/// Parts of the report.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Section {
    Cameras,
    Sun,
    Crew,
}

fn section_of(measure: &Measure) -> Section {
    match measure {
        Measure::Camera { .. } => Section::Cameras,
        sun if sun.is_of_the_sun() => Section::Sun,
        _ => Section::Crew,
    }
}

fn line(new: &ComparedMatch<'_>, difference: &Difference) -> String {
    let (what, kind) = words(&difference.measure);
    if kind == FigureKind::Camera {
        let which = if difference.old.is_some() { "only in the old" } else { "only in the new" };
        return labelled(&what, &format!("{which:>28}"));
    }
    let number = |value: Option<f64>| match (value, kind) {
        (None, FigureKind::Stops | FigureKind::Clock | FigureKind::Match) => "-".to_owned(),
        (value, FigureKind::Stops) => fixed(value.unwrap_or(0.0), 2),
        (Some(minutes), FigureKind::Clock) => clock_after(new, minutes),
        (Some(minutes), FigureKind::Match) => format!("min {}", fixed(minutes, 0)),
        (value, _) => format!("{} min", fixed(value.unwrap_or(0.0), 0)),
    };
    let old = number(difference.old);
    let change = change(difference, kind).map_or_else(String::new, |by| {
        let sign = if by > 0.0 { "+" } else { "" };
        match kind {
            FigureKind::Stops => format!("{sign}{}", fixed(by, 2)),
            _ => format!("{sign}{} min", fixed(by, if kind == FigureKind::Clock { 1 } else { 0 })),
        }
    });
    labelled(&what, &format!("{old:>9}{:>9}{change:>10}", number(difference.new)))
}

/// A row; a label that would meet its figures has lines of its own above them.
fn labelled(label: &str, figures: &str) -> String {
    let label = fit(label, usize::MAX);
    match label.chars().count() < LABEL {
        true => format!("{label:<LABEL$}{figures}\n"),
        false => format!("{}{:<LABEL$}{figures}\n", wrapped("", &label), ""),
    }
}

/// The clock so many of its minutes after the new start.
fn clock_after(new: &ComparedMatch<'_>, minutes: f64) -> String {
    let seconds = chrono::TimeDelta::seconds((60.0 * minutes).round() as i64);
    (new.start.naive_local() + seconds).format("%H:%M").to_string()
}

fn change(difference: &Difference, kind: FigureKind) -> Option<f64> {
    match kind {
        FigureKind::Sum => Some(difference.new.unwrap_or(0.0) - difference.old.unwrap_or(0.0)),
        _ => Some(difference.new? - difference.old?),
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum FigureKind {
    /// What the venue's clock shows.
    Clock,
    /// A minute of the match.
    Match,
    Sum,
    Stops,
    Camera,
}

fn words(measure: &Measure) -> (String, FigureKind) {
    let again = |nth: &usize| match nth {
        0 => String::new(),
        n => format!(" ({}.)", n + 1),
    };
    match measure {
        Measure::Mark { name, to_sun: true, nth } => {
            (format!("sun reaches {name}{}", again(nth)), FigureKind::Clock)
        }
        Measure::Mark { name, to_sun: false, nth } => {
            (format!("shade reaches {name}{}", again(nth)), FigureKind::Clock)
        }
        Measure::Lens { camera, falls: true, nth } => {
            (format!("{camera}: sun falls on the lens{}", again(nth)), FigureKind::Clock)
        }
        Measure::Lens { camera, falls: false, nth } => {
            (format!("{camera}: sun leaves the lens{}", again(nth)), FigureKind::Clock)
        }
        Measure::EdgeInShot { camera, first } => {
            let which = if *first { "first" } else { "last" };
            (format!("{camera}: {which} minute with an edge in shot"), FigureKind::Match)
        }
        Measure::WidestSplit { camera } => {
            (format!("{camera}: widest split in shot, stops"), FigureKind::Stops)
        }
        Measure::SunInLens { camera } => (format!("{camera}: sun in the lens"), FigureKind::Sum),
        Measure::Verdict { camera, verdict } => {
            let verdict = match verdict {
                Verdict::Hold => "one iris for both",
                Verdict::Ride => "ride the iris",
                Verdict::Choose => "expose for sun or for shade",
            };
            (format!("{camera}: {verdict}, edge in shot"), FigureKind::Sum)
        }
        Measure::Mixed => ("sun and shade on the field".to_owned(), FigureKind::Sum),
        Measure::Camera { name } => (format!("camera {name}"), FigureKind::Camera),
    }
}

/// A difference, its words and its kind.
struct Row<'a> {
    difference: &'a Difference,
    what: String,
    kind: FigureKind,
}

impl Row<'_> {
    fn unit(&self) -> &'static str {
        match self.kind {
            FigureKind::Clock => "min after the start",
            FigureKind::Match => "min of the match",
            FigureKind::Sum => "min in all",
            FigureKind::Stops => "stop",
            FigureKind::Camera => "",
        }
    }

    fn change(&self) -> Option<f64> {
        change(self.difference, self.kind).filter(|_| self.kind != FigureKind::Camera)
    }

    /// Minutes after the new start, of what the clock tells.
    fn clock(&self) -> Option<f64> {
        self.difference.new.filter(|_| self.kind == FigureKind::Clock)
    }
}

/// The columns; `clock` turns minutes after the new start into a time.
fn of_row<'a>(clock: impl Fn(f64) -> String + 'a) -> Vec<Column<'a, Row<'a>>> {
    vec![
        column::text("what", "text", "what is measured", |r: &Row<'a>| r.what.clone()),
        column::text(
            "unit",
            "text",
            "min after the start (the venue's clock, from the new start), min of the match (from \
             each start), min in all, stop, or empty for a camera",
            |r: &Row<'a>| r.unit().to_owned(),
        ),
        number("old", ("number", 2), "before; empty where it does not come", |r: &Row<'a>| {
            r.difference.old
        }),
        number("new", ("number", 2), "after; empty where it does not come", |r: &Row<'a>| {
            r.difference.new
        }),
        number("change", ("number", 2), "new less old; empty where one is", Row::change),
        column::text(
            "new_clock",
            "HH:MM",
            "the new time on the venue's clock, for what the sun does",
            move |r: &Row<'a>| r.clock().map_or_else(String::new, &clock),
        ),
    ]
}

/// Columns of the table.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row(|_| String::new()))
}

/// As CSV.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which nothing should cause.
pub fn csv(new: &ComparedMatch<'_>, found: &[Difference]) -> Result<Vec<u8>, CsvError> {
    let rows = found.iter().map(|difference| {
        let (what, kind) = words(&difference.measure);
        Row { difference, what, kind }
    });
    column::csv(&of_row(|minutes| clock_after(new, minutes)), rows)
}
