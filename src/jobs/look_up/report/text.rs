//! When a place is lit, as the command prints it.

use std::fmt::Write;

use chrono::DateTime;
use chrono_tz::Tz;

use crate::camera::LensState;
use crate::jobs::look_up::{DayAtPlace, LookUp, Sunlight, SunlightSpan};
use crate::output::text::{Ink, fit, wrapped};
use crate::solar::SunDay;
use crate::venue::Venue;

use super::{standing, thing};

/// A line or more for each day of a place.
pub fn text(venue: &Venue, look: &LookUp, ink: Ink) -> String {
    let mut text = ink.heading(&fit(&format!("From {}", look.spot.name), 80));
    text.push('\n');
    for (i, day) in look.days.iter().enumerate() {
        text += &wrapped("  ", &sentence(venue, day, i == 0));
        if let Some(lens) = lens(day) {
            text += &wrapped("    ", &lens);
        }
    }
    if let Some(standing) = standing(venue, look) {
        text += &wrapped("  ", &standing);
    }
    text
}

/// "16 October: lit 09:12:05 to 11:40:12; ..."; the date asked for tells what hides the
/// sun as well.
fn sentence(venue: &Venue, day: &DayAtPlace, whole: bool) -> String {
    let mut text = day.date.format("%-d %B").to_string();
    if let Some(season) = day.season {
        let _ = write!(text, " ({})", season.name());
    }
    text += ": ";
    let lit = listed(day, |s| s == Sunlight::Lit, |_| None);
    text += &if lit.is_empty() { no_sun(day) } else { format!("lit {}", lit.join(", ")) };
    let dimmed = listed(day, |s| matches!(s, Sunlight::Dimmed { .. }), |s| thing(venue, s));
    if !dimmed.is_empty() {
        let _ = write!(text, "; through {}", dimmed.join(", "));
    }
    if whole {
        let hides = |s| matches!(s, Sunlight::Hidden { .. } | Sunlight::BehindLand);
        let hidden = listed(day, hides, |s| thing(venue, s));
        if !hidden.is_empty() {
            let _ = write!(text, "; behind {}", hidden.join(", "));
        }
    }
    text + "."
}

fn no_sun(day: &DayAtPlace) -> String {
    match day.sun {
        SunDay::PolarNight { .. } => "the sun does not rise".to_owned(),
        _ => "never lit".to_owned(),
    }
}

/// Spans of a kind, each with what is in between.
fn listed<'v>(
    day: &DayAtPlace,
    kind: impl Fn(Sunlight) -> bool,
    between: impl Fn(Sunlight) -> Option<&'v str>,
) -> Vec<String> {
    let told = |span: &SunlightSpan| {
        let times = times(day, span.from, span.until);
        between(span.sunlight).map_or_else(|| times.clone(), |name| format!("{name} {times}"))
    };
    day.spans.iter().filter(|s| kind(s.sunlight)).map(told).collect()
}

/// "09:12:05 to 11:40:12"; the end of the day is 24:00.
fn times(day: &DayAtPlace, from: DateTime<Tz>, until: DateTime<Tz>) -> String {
    let end = match until.date_naive() > day.date {
        true => "24:00".to_owned(),
        false => until.format("%H:%M:%S").to_string(),
    };
    format!("{} to {end}", from.format("%H:%M:%S"))
}

fn lens(day: &DayAtPlace) -> Option<String> {
    let of = |state| {
        let spans = day.in_lens.iter().filter(move |s| s.state == state);
        spans.map(|s| times(day, s.from, s.until)).collect::<Vec<_>>().join(", ")
    };
    let (frame, element) = (of(LensState::InFrame), of(LensState::OnElement));
    let told = [("sun in frame", frame), ("sun on the lens", element)];
    let told = told.into_iter().filter(|(_, times)| !times.is_empty());
    let text: Vec<String> = told.map(|(what, times)| format!("{what} {times}")).collect();
    (!text.is_empty()).then(|| text.join("; ") + ".")
}
