//! White balance.
//!
//! In: the light that is to be white (tristimulus values). Out: gains of red, green and blue.
//!
//! The camera's own colours are taken as those of BT.709, as its trims are
//! ([`Trims`]): each channel is scaled by itself, as von Kries proposed for the eye
//! (CIE 160:2004 calls it a von Kries transform).

use crate::light::{Trims, Tristimulus};

use super::primaries::Primaries;

/// Gains that make a light white and leave its luminance as it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WhiteBalance {
    gains: [f64; 3],
}

impl WhiteBalance {
    /// On D65: nothing to trim.
    pub const NEUTRAL: Self = Self { gains: [1.0; 3] };

    /// Balanced to a light; [`Self::NEUTRAL`] for darkness and for light outside of the
    /// camera's colours.
    ///
    /// ```
    /// use quarterstop::light::{Chromaticity, Tristimulus};
    /// use quarterstop::signal::WhiteBalance;
    /// let shade = Tristimulus::of(100.0, Chromaticity::of_daylight(12_000.0));
    /// let [r, g, b] = WhiteBalance::to(shade).camera_colours(shade);
    /// assert!((r - 100.0).abs() < 1e-9 && (g - r).abs() < 1e-9 && (b - r).abs() < 1e-9);
    /// ```
    pub fn to(light: Tristimulus) -> Self {
        let seen = Primaries::Bt709.from_xyz(light.values());
        if !seen.iter().all(|&channel| channel > 0.0) {
            return Self::NEUTRAL;
        }
        Self { gains: seen.map(|channel| light.lux() / channel) }
    }

    /// The same with red and blue moved by hand, stops of gain.
    pub fn trimmed(self, by: Trims) -> Self {
        let [red, green, blue] = self.gains;
        Self { gains: [red * by.red.exp2(), green, blue * by.blue.exp2()] }
    }

    /// Red and blue gain against green, stops.
    pub fn trims(&self) -> Trims {
        let [red, green, blue] = self.gains;
        Trims { red: (red / green).log2(), blue: (blue / green).log2() }
    }

    /// Linear red, green and blue of BT.709's primaries of a light, in the light's own unit.
    pub fn camera_colours(&self, light: Tristimulus) -> [f64; 3] {
        let seen = Primaries::Bt709.from_xyz(light.values());
        [0, 1, 2].map(|channel| seen[channel] * self.gains[channel])
    }
}
