//! What a camera's own processing makes of a level.
//!
//! In: levels (linear, 1 is white). Out: signals of SDR, 0 to 1; levels with the blacks
//! stretched, for any output.

use super::knee::{BlackStretch, Knee};
use super::sdr;

/// Exponent of the camera's curve: Rec. ITU-R BT.709-6, item 1.2.
pub const BT709_GAMMA: f64 = 0.45;

/// Gamma, knee and black stretch as they are set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CameraCurve {
    /// Of SDR.
    pub knee: Knee,
    /// Stops over white with detail in SDR.
    pub sdr_keeps_stops: f64,
    /// Exponent of the SDR curve. Another than that of BT.709 bends the level before its
    /// curve, so that black and white stay where they are.
    pub gamma: f64,
    /// In every output.
    pub black_stretch: BlackStretch,
}

impl CameraCurve {
    /// The curve of BT.709 with a knee that keeps so many stops over white.
    pub fn keeping(stops: f64) -> Self {
        Self::reaching(Knee::DEFAULT_POINT, stops, BT709_GAMMA)
    }

    /// A knee from `point`, a signal, that brings so many stops over white to 100 %.
    pub fn reaching(point: f64, stops: f64, gamma: f64) -> Self {
        Self {
            knee: Knee::reaching(point, stops * (gamma / BT709_GAMMA), 1.0),
            sdr_keeps_stops: stops,
            gamma,
            black_stretch: BlackStretch::OFF,
        }
    }

    /// A knee of a point and a slope, as menus of cameras state it. It keeps what reaches 100 %
    /// along its line, and no more than the sensor has, stops over white.
    ///
    /// ```
    /// use quarterstop::signal::{CameraCurve, sdr};
    /// // slope 1 is no knee: white is the brightest that is kept
    /// let none = CameraCurve::sloped(0.9, 1.0, 0.45, None);
    /// assert!(none.sdr_keeps_stops.abs() < 1e-12);
    /// ```
    pub fn sloped(point: f64, slope: f64, gamma: f64, sensor_stops: Option<f64>) -> Self {
        let knee = Knee { point, slope, clip: 1.0 };
        let top = point + (1.0 - point) / slope;
        let stops = sdr::oetf_inverse(top).log2() * (BT709_GAMMA / gamma);
        Self {
            knee,
            sdr_keeps_stops: stops.min(sensor_stops.unwrap_or(stops)),
            gamma,
            black_stretch: BlackStretch::OFF,
        }
    }

    /// Signal of SDR.
    pub fn sdr(&self, level: f64) -> f64 {
        let level = self.black_stretch.of(level.max(0.0));
        let bent = match self.gamma == BT709_GAMMA {
            true => level,
            false => level.powf(self.gamma / BT709_GAMMA),
        };
        self.knee.of(sdr::oetf(bent))
    }
}
