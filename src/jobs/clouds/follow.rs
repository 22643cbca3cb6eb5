//! Whether a hand on the iris follows.
//!
//! In: a [`Passage`], what hand and iris can do. Out: how many stops the picture is off at
//! worst, and a word for it.

use crate::camera::{LOOKS_WRONG_STOPS, ONE_SETTING_STOPS};

use super::passage::Passage;

/// From the eye to the hand, s (simple visual reaction time is 0.2 to 0.3 s in any handbook
/// of ergonomics; from memory).
pub const REACTION_S: f64 = 0.3;

/// What follows the light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hand {
    /// Fastest, stops a second.
    pub rate_stops_per_s: f64,
    /// From the hand to the iris, s.
    pub delay_s: f64,
}

/// How a hand gets on with an edge of cloud.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Follow {
    /// Never further off than one setting may be.
    Follows,
    /// Off by up to a stop for a moment.
    Late,
    /// Off by more: the picture looks wrong before the hand has caught up.
    TooFast,
}

impl Follow {
    /// By how far it is off at worst.
    pub fn of(behind_stops: f64) -> Self {
        match behind_stops {
            b if b <= ONE_SETTING_STOPS => Self::Follows,
            b if b <= LOOKS_WRONG_STOPS => Self::Late,
            _ => Self::TooFast,
        }
    }

    /// As files name it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Follows => "follows",
            Self::Late => "late",
            Self::TooFast => "too_fast",
        }
    }
}

/// How many stops the iris is behind the light at worst: it goes where the light was a
/// reaction and a delay ago, as fast as it can.
pub fn behind_stops(passage: &Passage, hand: &Hand) -> f64 {
    let late_s = REACTION_S + hand.delay_s;
    let late = (late_s / passage.step_s).round() as usize;
    let most = hand.rate_stops_per_s * passage.step_s;
    let last = passage.need.last().copied().unwrap_or(0.0);
    let need = |step: usize| passage.need.get(step).copied().unwrap_or(last);
    let (mut iris, mut worst) = (0.0_f64, 0.0_f64);
    for step in 0..passage.need.len() + late {
        let seen = step.checked_sub(late).map_or(0.0, need);
        iris += (seen - iris).clamp(-most, most);
        worst = worst.max((need(step) - iris).abs());
    }
    worst
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::jobs::clouds::CloudCourse;

    #[test]
    fn a_slow_edge_is_followed_and_a_fast_one_is_not() {
        let course = CloudCourse {
            base_m: 1500.0,
            elevation_deg: 30.0,
            speed_m_s: 2.0,
            edge_m: 75.0,
            swing_stops: 2.0,
        };
        let hand = Hand { rate_stops_per_s: 2.0, delay_s: 0.2 };
        let slow = behind_stops(&Passage::new(&course), &hand);
        let fast = behind_stops(&Passage::new(&CloudCourse { speed_m_s: 40.0, ..course }), &hand);
        assert!(slow < 0.1, "{slow}");
        assert!(fast > 0.5, "{fast}");
        assert_eq!(Follow::of(slow), Follow::Follows);
    }

    /// A light that falls evenly by half a stop a second is half a stop ahead after a second.
    #[test]
    fn an_even_fall_is_behind_by_rate_times_delay() {
        let need = (0..=100).map(|i| -0.05 * f64::from(i)).collect();
        let passage = Passage {
            penumbra_m: 0.0,
            seconds: 10.0,
            mean_stops_per_s: 0.5,
            peak_stops_per_s: 0.5,
            step_s: 0.1,
            need,
        };
        let hand = Hand { rate_stops_per_s: 3.0, delay_s: 0.7 };
        assert!((behind_stops(&passage, &hand) - 0.5).abs() < 1e-9);
    }
}
