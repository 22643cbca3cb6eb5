//! The level that a luminance makes by what is set.
//!
//! In: a luminance (cd/m2), what a data sheet states of a camera, iris, ND and gain. Out: a
//! level, 1 at white.
//!
//! Exposure of an image is `luminance * time / T^2` (ISO 2720, the relation for reflected
//! light, without its constant); the constant comes from the camera's sensitivity.

use crate::base::units::{Luminance, Lux};

/// The chart and the light of the sensitivity's usual form: white of 89.9 % at 2000 lx (common
/// practice in data sheets, no source).
pub const CHART_REFLECTANCE: f64 = 0.899;
pub const CHART_LUX: f64 = 2000.0;
/// Twice the voltage, one stop: `20 log10(2)` dB.
pub const DB_PER_STOP: f64 = 6.020_599_913_279_624;

/// Sensitivity of a camera with its lens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CameraSensitivity {
    /// T-number that puts the chart at white, with no ND and 0 dB.
    pub t_number_at_2000_lx: f64,
    /// The shutter's time over a whole frame, stops: 0 or less.
    pub shutter_stops: f64,
}

/// What is set on the camera.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IrisSetting {
    pub t_number: f64,
    pub nd_stops: f64,
    pub gain_db: f64,
}

impl CameraSensitivity {
    /// The luminance that lies at white.
    pub fn white(&self, set: &IrisSetting) -> Luminance {
        let chart = Luminance::of_matt_surface(Lux::from_lux(CHART_LUX), CHART_REFLECTANCE);
        let iris = 2.0 * (set.t_number / self.t_number_at_2000_lx).log2();
        let stops = iris + set.nd_stops - set.gain_db / DB_PER_STOP - self.shutter_stops;
        Luminance::from_cd_per_m2(chart.cd_per_m2() * stops.exp2())
    }

    /// The T-number that puts a luminance at white, with ND and gain; `None` in darkness.
    pub fn t_for_white(&self, white: Luminance, nd_stops: f64, gain_db: f64) -> Option<f64> {
        let chart = Luminance::of_matt_surface(Lux::from_lux(CHART_LUX), CHART_REFLECTANCE);
        let over_chart = white.cd_per_m2() / chart.cd_per_m2();
        let stops = over_chart.log2() + self.shutter_stops - nd_stops + gain_db / DB_PER_STOP;
        (over_chart > 0.0).then(|| self.t_number_at_2000_lx * (0.5 * stops).exp2())
    }

    /// The level of a matt surface of a reflectance under so many lux.
    ///
    /// ```
    /// use quarterstop::base::units::Lux;
    /// use quarterstop::signal::{IrisSetting, CameraSensitivity};
    /// let camera = CameraSensitivity { t_number_at_2000_lx: 11.0, shutter_stops: 0.0 };
    /// let set = IrisSetting { t_number: 11.0, nd_stops: 0.0, gain_db: 0.0 };
    /// assert!((camera.level(Lux::from_lux(2000.0), 0.899, &set) - 1.0).abs() < 1e-12);
    /// ```
    pub fn level(&self, light: Lux, reflectance: f64, set: &IrisSetting) -> f64 {
        let luminance = Luminance::of_matt_surface(light, reflectance);
        level_of(luminance, self.white(set))
    }
}

/// Level of a luminance where `white` lies at white; 0 without any white.
pub(crate) fn level_of(luminance: Luminance, white: Luminance) -> f64 {
    match white.cd_per_m2() {
        white if white > 0.0 => luminance.cd_per_m2() / white,
        _ => 0.0,
    }
}
