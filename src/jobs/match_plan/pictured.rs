//! Which instants get a picture of the field.
//!
//! In: times of day that were asked for, or none; the window; the plan. Out:
//! indices of instants, in order of time, each once.

use chrono::{DateTime, NaiveDate, NaiveTime};
use chrono_tz::Tz;

use crate::command::failure::{Failure, WindowError};
use crate::command::window::Window;
use crate::engine::MatchPlan;

use super::facts;

/// The instants of the times of day in `asked`: each the first in the window.
///
/// # Errors
/// [`WindowError::PictureOutside`] for a time that the window does not hold, and
/// whatever `resolve` refuses on the way to it.
pub fn times(
    asked: &[NaiveTime],
    window: &Window,
    resolve: impl Fn(NaiveDate, NaiveTime) -> Result<DateTime<Tz>, Failure>,
) -> Result<Vec<DateTime<Tz>>, Failure> {
    let (first, last) = (window.from.date_naive(), window.until.date_naive());
    let days = || first.iter_days().take_while(|day| *day <= last);
    let one = |time: NaiveTime| {
        let mut refused = None;
        for day in days() {
            match resolve(day, time) {
                Ok(at) if window.contains(at) => return Ok(at),
                Ok(_) => {}
                Err(failure) => refused = Some(failure),
            }
        }
        Err(refused.unwrap_or_else(|| {
            WindowError::PictureOutside { at: time, from: window.from, until: window.until }.into()
        }))
    };
    asked.iter().map(|time| one(*time)).collect()
}

/// Indices of the instants to draw. Without times asked for: each milestone in
/// the window and the minute of the widest split in shot; the middle of the
/// window where there is neither.
pub fn indices(plan: &MatchPlan, asked: &[DateTime<Tz>]) -> Vec<usize> {
    let at = |at| facts::nearest_instant(plan, at);
    let mut indices: Vec<usize> = match asked.is_empty() {
        false => asked.iter().filter_map(|time| nearest_before_end(plan, *time)).collect(),
        true => plan
            .milestones
            .iter()
            .filter_map(|m| at(m.at))
            .chain(facts::widest_in_shot(plan).map(|w| w.index))
            .collect(),
    };
    if indices.is_empty() && !plan.instants.is_empty() {
        indices.push(plan.instants.len() / 2);
    }
    indices.sort_unstable();
    indices.dedup();
    indices
}

/// The nearest instant; the last one for a time between it and the end of a
/// window that is no whole number of steps.
fn nearest_before_end(plan: &MatchPlan, at: DateTime<Tz>) -> Option<usize> {
    facts::nearest_instant(plan, at).or_else(|| plan.instants.len().checked_sub(1))
}
