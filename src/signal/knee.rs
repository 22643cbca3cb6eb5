//! What a camera does to highlights and blacks of an SDR signal.
//!
//! In and out: signals for the knee, levels (linear, 1 is white) for the black stretch.

use super::sdr;

/// Highlights squeezed into what is left over a point of the signal, along a straight line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Knee {
    /// Signal at which it begins.
    pub point: f64,
    /// Of the line over the point: 1 is no knee, 0 is a hard clip.
    pub slope: f64,
    /// Signal that nothing passes.
    pub clip: f64,
}

impl Knee {
    /// Clips at 100 % without a knee.
    pub const OFF: Self = Self { point: 1.0, slope: 0.0, clip: 1.0 };
    /// Where a knee usually begins (common practice, no source).
    pub const DEFAULT_POINT: f64 = 0.90;

    /// The knee from `point` that brings so many stops over white to `top`, both signals; a
    /// hard clip at `top` where nothing over it is kept.
    ///
    /// ```
    /// use quarterstop::signal::{Knee, sdr};
    /// let knee = Knee::reaching(0.9, 2.0, 1.0);
    /// assert_eq!(knee.of(0.5), 0.5);
    /// assert!((knee.of(sdr::oetf(4.0)) - 1.0).abs() < 1e-12);
    /// ```
    pub fn reaching(point: f64, stops_over_white: f64, top: f64) -> Self {
        let brightest = sdr::oetf(stops_over_white.exp2());
        if brightest <= top || point >= top {
            return Self { point: top, slope: 0.0, clip: top };
        }
        Self { point, slope: (top - point) / (brightest - point), clip: top }
    }

    /// The signal that is left of one.
    pub fn of(&self, signal: f64) -> f64 {
        let over = (signal - self.point).max(0.0);
        (signal.min(self.point) + self.slope * over).min(self.clip)
    }
}

/// Dark tones brought up, more the darker they are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BlackStretch {
    /// How far the darkest come up, stops; kept within [`Self::MAX_STOPS`].
    pub stops: f64,
    /// Level from which on nothing changes.
    pub below: f64,
}

impl BlackStretch {
    /// None.
    pub const OFF: Self = Self { stops: 0.0, below: 0.1 };
    /// More would turn the order of dark tones over (at 2.88 stops the curve is level at half
    /// of `below`: 1 = 2 ln 2 s x (1 - x) at x = 1/2).
    pub const MAX_STOPS: f64 = 2.0;

    /// The level that is made of one.
    pub fn of(&self, level: f64) -> f64 {
        if self.stops == 0.0 || level <= 0.0 || level >= self.below {
            return level;
        }
        let dark = 1.0 - level / self.below;
        let stops = self.stops.clamp(-Self::MAX_STOPS, Self::MAX_STOPS);
        level * (stops * dark * dark).exp2()
    }
}
