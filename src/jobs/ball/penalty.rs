//! What is hard about a ride, weighed.
//!
//! In: looks and rides of a shot. Out: [`BallPenaltyParts`], each 0 where nothing is hard, and
//! their weighed sum.

use crate::camera::ELEMENT_WITHIN_DEG;

use super::look::BallLook;
use super::rides::Rides;

/// A part of penalty.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BallPenaltyPart {
    /// Stops to close for the background, from the strike's setting.
    Close,
    /// How much faster than it can the iris would have to be, from the strike on: 0 where it
    /// can, 1 for twice its rate, at most [`BallPenaltyPart::MAX_RATE`].
    Rate,
    /// Stops that blacks are crushed by when the ball is down.
    Landing,
    /// Share of the flight in which nothing hides the ball and its contrast on a background
    /// on level is under what is needed.
    Unseen,
    /// Share of the flight in which something hides the ball.
    Hidden,
    /// Share of the flight with the sun in frame, sway counted.
    SunInFrame,
    /// Share of the flight with the sun on the front element and not in frame.
    SunNear,
}

impl BallPenaltyPart {
    pub const ALL: [Self; 7] = [
        Self::Close,
        Self::Rate,
        Self::Landing,
        Self::Unseen,
        Self::Hidden,
        Self::SunInFrame,
        Self::SunNear,
    ];
    /// An iris too slow by more than this is hopeless as it is.
    pub const MAX_RATE: f64 = 3.0;

    /// The word of options and files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Close => "close",
            Self::Rate => "rate",
            Self::Landing => "landing",
            Self::Unseen => "unseen",
            Self::Hidden => "hidden",
            Self::SunInFrame => "sun_in_frame",
            Self::SunNear => "sun_near",
        }
    }

    /// Name, unit and meaning of its column.
    pub fn column(self) -> (&'static str, &'static str, &'static str) {
        match self {
            Self::Close => {
                ("close_stops", "stop", "to close for the background, against the strike")
            }
            Self::Rate => (
                "rate_over",
                "ratio",
                "how much faster than it can the iris would have to be; 3 at the most",
            ),
            Self::Landing => {
                ("landing_stops", "stop", "that blacks are crushed by when the ball is down")
            }
            Self::Unseen => ("unseen_share", "0 to 1", "of the flight, with too little contrast"),
            Self::Hidden => ("hidden_share", "0 to 1", "of the flight, behind something"),
            Self::SunInFrame => ("sun_in_frame_share", "0 to 1", "of the flight, sway counted"),
            Self::SunNear => {
                ("sun_near_share", "0 to 1", "of the flight, with the sun on the front element")
            }
        }
    }

    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|part| part.word() == word)
    }
}

/// A number for each part.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct BallPenaltyParts([f64; 7]);

impl BallPenaltyParts {
    pub fn get(&self, part: BallPenaltyPart) -> f64 {
        self.0[part as usize]
    }

    pub fn set(&mut self, part: BallPenaltyPart, value: f64) {
        self.0[part as usize] = value;
    }

    /// Mean of several; nothing of none.
    pub fn mean<'a>(all: impl ExactSizeIterator<Item = &'a Self>) -> Self {
        let count = all.len().max(1) as f64;
        let mut mean = Self::default();
        for parts in all {
            BallPenaltyPart::ALL.iter().for_each(|p| mean.0[*p as usize] += parts.get(*p) / count);
        }
        mean
    }
}

/// What each part is multiplied by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BallWeights(BallPenaltyParts);

impl Default for BallWeights {
    /// Our choice, not published: a stop to close is half as bad as an iris that would have to
    /// be twice as fast or a stop of crushed blacks; a ball that is lost through the whole
    /// flight is as bad as two of these, a sun in frame all the way as four.
    fn default() -> Self {
        Self(BallPenaltyParts([0.5, 1.0, 1.0, 2.0, 2.0, 4.0, 1.0]))
    }
}

impl BallWeights {
    /// The same with another weight of one part.
    pub fn with(mut self, part: BallPenaltyPart, weight: f64) -> Self {
        self.0.set(part, weight);
        self
    }

    pub fn get(&self, part: BallPenaltyPart) -> f64 {
        self.0.get(part)
    }

    /// What a part adds to the penalty.
    pub fn weighed(&self, parts: &BallPenaltyParts, part: BallPenaltyPart) -> f64 {
        self.get(part) * parts.get(part)
    }

    /// The weighed sum.
    pub fn penalty(&self, parts: &BallPenaltyParts) -> f64 {
        BallPenaltyPart::ALL.iter().map(|part| self.weighed(parts, *part)).sum()
    }
}

/// The parts of one shot.
pub(super) fn parts(looks: &[BallLook], rides: &Rides) -> BallPenaltyParts {
    let mut parts = BallPenaltyParts::default();
    if let Some(ride) = &rides.background {
        let first = rides.followed.first().map_or(0.0, |n| n.stops);
        parts.set(BallPenaltyPart::Close, (ride.most.stops - first).max(0.0));
        let over = |least: f64| (least / ride.rate_stops_per_s - 1.0).max(0.0);
        let rate =
            ride.least_rate.map_or(BallPenaltyPart::MAX_RATE, over).min(BallPenaltyPart::MAX_RATE);
        parts.set(BallPenaltyPart::Rate, rate);
        let crushed = ride.left_at_landing - rides.black_room_stops.max(0.0);
        parts.set(BallPenaltyPart::Landing, crushed.max(0.0));
    }
    let near = |look: &BallLook| look.sun_off_axis_deg.is_some_and(|off| off <= ELEMENT_WITHIN_DEG);
    let seen = |i: usize| match (rides.contrast_on_level.get(i), rides.needed_contrast.get(i)) {
        (Some(there), Some(needed)) => there >= needed,
        _ => false,
    };
    parts
        .set(BallPenaltyPart::Unseen, share(looks, |i, look| look.hidden_by.is_none() && !seen(i)));
    parts.set(BallPenaltyPart::Hidden, share(looks, |_, look| look.hidden_by.is_some()));
    parts.set(BallPenaltyPart::SunInFrame, share(looks, |_, look| look.sun_in_frame));
    parts.set(BallPenaltyPart::SunNear, share(looks, |_, look| near(look) && !look.sun_in_frame));
    parts
}

/// Share of the flight's time in which something holds. Each look stands for half the time
/// to its neighbours.
fn share(looks: &[BallLook], holds: impl Fn(usize, &BallLook) -> bool) -> f64 {
    let whole = match (looks.first(), looks.last()) {
        (Some(first), Some(last)) if last.t_s > first.t_s => last.t_s - first.t_s,
        _ => return 0.0,
    };
    let pairs = looks.windows(2).enumerate();
    let held = pairs.map(|(i, pair)| {
        let half = 0.5 * (pair[1].t_s - pair[0].t_s);
        let count = [holds(i, &pair[0]), holds(i + 1, &pair[1])];
        half * count.into_iter().filter(|h| *h).count() as f64
    });
    held.sum::<f64>() / whole
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_penalty_is_the_weighed_sum() {
        let mut parts = BallPenaltyParts::default();
        parts.set(BallPenaltyPart::Close, 3.0);
        parts.set(BallPenaltyPart::Unseen, 0.25);
        let weights = BallWeights::default();
        assert!((weights.penalty(&parts) - 2.0).abs() < 1e-12);
        assert!((weights.with(BallPenaltyPart::Close, 0.0).penalty(&parts) - 0.5).abs() < 1e-12);
        let mean = BallPenaltyParts::mean([parts, BallPenaltyParts::default()].iter());
        assert!((mean.get(BallPenaltyPart::Close) - 1.5).abs() < 1e-12);
    }

    #[test]
    fn words_name_each_part_once() {
        for part in BallPenaltyPart::ALL {
            assert_eq!(BallPenaltyPart::of_word(part.word()), Some(part));
        }
        assert_eq!(BallPenaltyPart::of_word("sun"), None);
    }
}
