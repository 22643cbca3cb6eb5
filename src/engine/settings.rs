//! What to plan, and the instants of it.

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::base::limits::MAX_INSTANTS;
use crate::base::units::Stops;
use crate::engine::model::Milestone;
use crate::light::{Air, Sky};

/// What floodlights are asked to hold where nobody says otherwise: the limit over
/// which one exposure serves only one side (common practice, no source).
pub const DEFAULT_HOLD_STOPS: f64 = 2.0;

/// What to plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// First instant.
    pub from: DateTime<Tz>,
    /// Last instant; included when a whole number of steps away. The same as the first
    /// for a plan of one instant.
    pub until: DateTime<Tz>,
    pub step: TimeDelta,
    pub sky: Sky,
    pub air: Air,
    /// What the floodlight is asked to hold splits under.
    pub hold: Stops,
    /// Moments to mark, in order.
    pub milestones: Vec<Milestone>,
}

/// What sky and floodlights do at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    pub sky: Sky,
    /// Whether floodlights are lit where a hand has switched them; else as the file says.
    pub lit: Option<bool>,
}

/// Why a plan cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// The window runs backward.
    #[error("the window ends at {until}, before it begins at {from}; give a later end")]
    EmptyWindow { from: DateTime<Tz>, until: DateTime<Tz> },
    /// The step is not positive.
    #[error("a step of {seconds} s does not lead forward; give at least 1 s")]
    Step { seconds: i64 },
    /// More instants than fit.
    #[error(
        "the window holds {count} steps, more than {MAX_INSTANTS}; take a longer step or a shorter window"
    )]
    TooMany { count: i64 },
}

/// The instants of the settings; also tells how many a progress display expects.
///
/// # Errors
/// [`PlanError`] when the window or the step is no use.
pub fn times(settings: &Settings) -> Result<Vec<DateTime<Tz>>, PlanError> {
    let (from, until, step) = (settings.from, settings.until, settings.step);
    if until < from {
        return Err(PlanError::EmptyWindow { from, until });
    }
    if step < TimeDelta::seconds(1) {
        return Err(PlanError::Step { seconds: step.num_seconds() });
    }
    let count = (until - from).num_seconds() / step.num_seconds();
    if count >= MAX_INSTANTS as i64 {
        return Err(PlanError::TooMany { count });
    }
    Ok((0..=count as i32).map(|i| from + step * i).collect())
}
