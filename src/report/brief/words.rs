//! How the brief says things.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use super::Told;
use crate::camera::{LensState, SubjectLit, Verdict};
use crate::plan::brief::cues::{Cue, CueKind, Sure};

pub(super) use crate::plan::brief::cues::crew::{setting_words, verdict_words};

/// "15:04".
pub(super) fn clock(at: DateTime<Tz>) -> String {
    at.format("%H:%M").to_string()
}

/// "15:04:20".
pub(super) fn clock_s(at: DateTime<Tz>) -> String {
    at.format("%H:%M:%S").to_string()
}

/// Seconds since 1970.
pub(super) fn epoch_s(at: DateTime<Tz>) -> i64 {
    at.with_timezone(&Utc).timestamp()
}

/// The day, zone and sky of a plan.
pub(super) fn heading(told: &Told<'_>) -> String {
    let Some(first) = told.plan.instants.first() else { return String::new() };
    let zone = told.venue.place.zone;
    format!(
        "{}, {zone} (UTC{}), {}",
        first.at.format("%A %-d %B %Y"),
        first.at.format("%:z"),
        told.plan.sky
    )
}

/// "T8.0"; a dash where nothing is to be set.
pub(super) fn t_number(t: Option<f64>) -> String {
    t.map_or_else(|| "-".to_owned(), |t| format!("T{t:.1}"))
}

pub(super) fn verdict_key(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        Some(Verdict::Hold) => "hold",
        Some(Verdict::Ride) => "ride",
        Some(Verdict::Choose) => "choose",
        None => "none",
    }
}

pub(super) fn lens_key(state: LensState) -> &'static str {
    match state {
        LensState::Clear => "clear",
        LensState::Shaded => "shaded",
        LensState::OnElement => "element",
        LensState::InFrame => "frame",
    }
}

pub(super) fn lens_words(state: LensState) -> &'static str {
    match state {
        LensState::Clear => "sun behind or beside",
        LensState::Shaded => "sun ahead, lens in shade",
        LensState::OnElement => "sun on the front element",
        LensState::InFrame => "sun in frame",
    }
}

pub(super) fn lit_words(lit: SubjectLit) -> &'static str {
    match lit {
        SubjectLit::Front => "front-lit",
        SubjectLit::Side => "side-lit",
        SubjectLit::Back => "back-lit",
    }
}

/// The kind of a cue as data carries it.
pub(super) fn cue_key(kind: CueKind) -> &'static str {
    match kind {
        CueKind::Mark => "edge",
        CueKind::Zone => "zone",
        CueKind::Cover => "cover",
        CueKind::Lens => "lens",
        CueKind::Verdict => "verdict",
        CueKind::Split => "split",
        CueKind::Lamps => "lamps",
        CueKind::Setting => "break",
    }
}

/// Seconds either way; `None` where it may not come at all.
pub(super) fn uncertain_s(sure: Sure) -> Option<f64> {
    match sure {
        Sure::Within(seconds) | Sure::Step(seconds) => Some(seconds),
        Sure::Exact => Some(0.0),
        Sure::MayNotCome => None,
    }
}

/// "+-4 min", "+-40 s", "may not come".
pub(super) fn sure_words(sure: Sure) -> String {
    match uncertain_s(sure) {
        None => "may not come".to_owned(),
        Some(s) if s <= 0.0 => "by the clock".to_owned(),
        Some(s) if s < 90.0 => format!("\u{b1}{s:.0} s"),
        Some(s) => format!("\u{b1}{:.0} min", (s / 60.0).ceil()),
    }
}

/// Where the edge goes on to; empty for other cues.
pub(super) fn moving_words(cue: &Cue) -> String {
    cue.moving.as_ref().map_or_else(String::new, |moving| {
        format!("moves toward {} at {:.1} m/min", moving.toward, moving.m_per_min)
    })
}

/// Runs of equal values over the window, as (first, last, value).
pub(super) fn runs<T: PartialEq + Copy>(values: &[T]) -> Vec<(usize, usize, T)> {
    let mut runs: Vec<(usize, usize, T)> = Vec::new();
    for (index, value) in values.iter().enumerate() {
        match runs.last_mut() {
            Some(run) if run.2 == *value => run.1 = index,
            _ => runs.push((index, index, *value)),
        }
    }
    runs
}
