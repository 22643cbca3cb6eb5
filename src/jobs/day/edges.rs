//! Roofs and the bearing, from edges that were seen to pass marks.
//!
//! In: the venue file as a [`Draft`], the edges of the day. Out: [`Survey`]: numbers of the
//! file with their standard errors, by `fit`, from where the file has them and as far off as
//! they are surveyed. Nothing is changed here.

use std::fmt::Write as _;

use crate::jobs::fit;
use crate::jobs::fit::seen::Observations;
use crate::jobs::fit::{Fit, seen};
use crate::venue::{Dimension, Draft, DraftError, Unit, Venue};

use super::state::DayState;

/// How far a roof, metres, or the bearing, degrees, may be off where no survey says it; the
/// same as cues take.
const DEFAULT_ERROR: f64 = 1.0;
/// A person who says "now" when an edge passes: standard error of the time, seconds (common
/// practice, no source).
const NOW_ERROR_S: f64 = 5.0;
/// What moves by less is as the file has it, metres or degrees.
const MIN_MOVE: f64 = 0.05;

/// What edges say about the venue.
#[derive(Debug)]
pub struct Survey {
    seen: Observations,
    fit: Fit,
    pub numbers: Vec<SurveyedNumber>,
}

/// A number of the venue file.
#[derive(Debug, Clone, PartialEq)]
pub struct SurveyedNumber {
    /// Its address.
    pub what: String,
    pub unit: Unit,
    pub from: f64,
    pub to: f64,
    /// Standard error of `to`.
    pub error: f64,
}

impl Survey {
    /// From all edges of the day; `None` without edges, or where they say nothing new.
    ///
    /// # Errors
    /// A sentence where the edges cannot be compared with the file.
    pub fn of(draft: &Draft, venue: &Venue, state: &DayState) -> Result<Option<Self>, String> {
        if state.edges.is_empty() {
            return Ok(None);
        }
        let text = observations(draft, venue, state);
        let seen = seen::parse(&text, "the edges of the day", draft).map_err(|e| e.to_string())?;
        let fit = fit::numbers_only(draft, &seen).map_err(|e| e.to_string())?;
        let moved = fit.unknowns.iter().filter(|u| (u.value - u.start).abs() >= MIN_MOVE);
        let numbers: Vec<SurveyedNumber> = moved
            .filter_map(|u| {
                let error = u.standard_error?;
                let what = u.name.clone();
                Some(SurveyedNumber { what, unit: u.unit, from: u.start, to: u.value, error })
            })
            .collect();
        Ok((!numbers.is_empty()).then_some(Self { seen, fit, numbers }))
    }

    /// Writes the numbers into a draft, each with its `[[surveyed]]`; how many.
    ///
    /// # Errors
    /// [`DraftError`] where a number cannot be changed.
    pub fn write_into(&self, draft: &mut Draft) -> Result<usize, DraftError> {
        fit::write_into(draft, &self.seen, &self.fit)
    }
}

/// Whether shadows hang on a number that nobody has measured well from inside.
fn is_asked(dimension: &Dimension) -> bool {
    dimension.key.ends_with("roof.front_height_m") || dimension.key == "field.bearing_deg"
}

/// The edges as a file of observations.
fn observations(draft: &Draft, venue: &Venue, state: &DayState) -> String {
    let quoted = |text: &str| serde_json::to_string(text).unwrap_or_default();
    let mut text = String::new();
    for dimension in draft.dimensions().iter().filter(|d| is_asked(d)) {
        let known = venue.surveyed.iter().find(|s| s.what == dimension.address);
        let error = known.map_or(DEFAULT_ERROR, |s| s.plus_minus);
        let what = quoted(&dimension.address.to_string());
        // a String takes all that is written
        let _ = writeln!(text, "[[unknown]]\nwhat = {what}\nplus_minus = {error}");
    }
    for edge in &state.edges {
        let (date, time) = (edge.at.format("%Y-%m-%d"), edge.at.format("%H:%M:%S"));
        let place = quoted(&edge.mark);
        let _ = writeln!(
            text,
            "[[passage]]\non = \"{date}\"\ntime = \"{time}\"\nplace = {place}\n\
             plus_minus_s = {NOW_ERROR_S}"
        );
    }
    text
}
