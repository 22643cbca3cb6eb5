//! How far a lens opens and closes, and what it does with an iris that is asked for beyond.
//!
//! In: T-numbers. Out: the T-number that is set, and the stops that are too dark or too bright
//! with it.

use crate::base::units::Stops;

use super::rig::stops_between_t;

/// A tenth of a stop is no more than the marks on a lens tell.
pub const TOLERANCE_STOPS: f64 = 0.1;

/// The T-numbers that a lens has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LensRange {
    pub widest_t: f64,
    pub narrowest_t: f64,
}

/// An end of the range, where an iris is asked for beyond it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LensEnd {
    /// So many stops too dark.
    WideOpen(Stops),
    /// So many stops too bright.
    Closed(Stops),
}

impl LensEnd {
    /// Too dark or too bright by so much.
    pub fn stops(&self) -> Stops {
        match self {
            Self::WideOpen(stops) | Self::Closed(stops) => *stops,
        }
    }
}

impl LensRange {
    /// What an iris is set to that is asked for.
    pub fn set_t(&self, wanted_t: f64) -> f64 {
        wanted_t.min(self.narrowest_t).max(self.widest_t)
    }

    /// The end that the iris stops at; `None` within the range, give or take
    /// [`TOLERANCE_STOPS`].
    ///
    /// ```
    /// use quarterstop::camera::{LensEnd, LensRange};
    /// let lens = LensRange { widest_t: 2.0, narrowest_t: 16.0 };
    /// // T32 asks for a quarter of the light of T16
    /// let Some(LensEnd::Closed(bright)) = lens.end_at(32.0) else { panic!() };
    /// assert!((bright.stops() - 2.0).abs() < 1e-9);
    /// assert_eq!((lens.set_t(32.0), lens.set_t(1.0)), (16.0, 2.0));
    /// ```
    pub fn end_at(&self, wanted_t: f64) -> Option<LensEnd> {
        let dark = stops_between_t(wanted_t, self.widest_t);
        let bright = stops_between_t(self.narrowest_t, wanted_t);
        if dark > TOLERANCE_STOPS {
            Some(LensEnd::WideOpen(Stops::from_stops(dark)))
        } else if bright > TOLERANCE_STOPS {
            Some(LensEnd::Closed(Stops::from_stops(bright)))
        } else {
            None
        }
    }
}
