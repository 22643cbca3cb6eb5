//! What positions are compared for: when play runs, under which sky, and what counts.
//!
//! In: the milestones of each match, instants in local time. Out: the instants of play that
//! are looked at, and minutes of play.

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use super::score::PositionWeights;
use crate::base::units::Stops;
use crate::engine::model::Milestone;
use crate::light::{AirByDate, Sky};
use crate::venue::Play;

/// What to compare for.
#[derive(Debug, Clone)]
pub struct PositionSettings {
    /// When play runs, match by match.
    pub matches: Vec<PlayTime>,
    pub step: TimeDelta,
    pub sky: Sky,
    pub air: AirByDate,
    /// Splits to count the time over, stops, at least one; the first counts in the penalty.
    pub over: Vec<Stops>,
    pub weights: PositionWeights,
    /// How many positions a set has; none looked for when `None`.
    pub set: Option<usize>,
    /// Positions of a set are at least so far apart, metres.
    pub apart_m: f64,
}

/// The milestones of one match.
#[derive(Debug, Clone, PartialEq)]
pub struct PlayTime {
    /// In order of time; play runs from those that start it to those that stop it.
    pub milestones: Vec<Milestone>,
    /// First and last instant that is looked at.
    pub within: (DateTime<Tz>, DateTime<Tz>),
}

impl PlayTime {
    /// Instants while play runs, `step` apart, each run of play from its first moment.
    pub fn instants(&self, step: TimeDelta) -> Vec<DateTime<Tz>> {
        let mut instants = Vec::new();
        let mut from: Option<DateTime<Tz>> = None;
        for milestone in &self.milestones {
            match (milestone.play, from) {
                (Play::Starts, None) => from = Some(milestone.at),
                (Play::Stops, Some(start)) => {
                    let run = std::iter::successors(Some(start), |at| Some(*at + step));
                    instants.extend(run.take_while(|at| *at < milestone.at));
                    from = None;
                }
                _ => {}
            }
        }
        instants.retain(|at| self.within.0 <= *at && *at <= self.within.1);
        instants
    }

    /// Minutes of play.
    pub(super) fn play_min(&self) -> f64 {
        let (first, last) = self.within;
        let mut minutes = 0.0;
        let mut from: Option<DateTime<Tz>> = None;
        for milestone in &self.milestones {
            match (milestone.play, from) {
                (Play::Starts, None) => from = Some(milestone.at),
                (Play::Stops, Some(start)) => {
                    let run = milestone.at.min(last) - start.max(first);
                    minutes += run.num_seconds().max(0) as f64 / 60.0;
                    from = None;
                }
                _ => {}
            }
        }
        minutes
    }
}
