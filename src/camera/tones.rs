//! How much a camera holds over and under white, by the forms in which data sheets state it.
//!
//! In: what the venue file states. Out: [`Tones`]: stops under white down to the darkest tone
//! with detail, stops over white up to where the sensor and the SDR output clip, the curve.
//!
//! | stated | is |
//! | --- | --- |
//! | `headroom_percent` | `log2(percent / 100)` stops from white up to where the sensor clips |
//! | `signal_to_noise_db` | `dB / 6.02` stops from white down to the noise |
//! | `dynamic_range_stops` | both together, as ISO 15739 ends it where the signal is as strong as its noise (from memory) |
//! | `contrast` | from white down to the darkest tone with detail, a ratio |
//!
//! Detail needs more than that: it is counted from twice the noise on, one stop over it (common
//! practice, no source).

use crate::signal::{BT709_GAMMA, BlackStretch, CameraCurve, DB_PER_STOP, Knee};
use crate::venue::StatedExposure;

/// The darkest tone with detail over the noise, stops.
pub const DETAIL_OVER_NOISE_STOPS: f64 = 1.0;
/// What is usual where nobody says: see [`super::Rig`].
const USUAL_CONTRAST: f64 = 600.0;
const USUAL_KNEE_STOPS: f64 = 2.0;

/// Over and under white, stops.
pub(super) struct Tones {
    pub under_white_stops: f64,
    pub camera_keeps_stops: f64,
    /// Where the sensor clips, if the file says.
    pub sensor_stops: Option<f64>,
    pub curve: CameraCurve,
}

impl Tones {
    /// `or` gives what is stated of a key, else what is usual, and notes that.
    pub fn of(
        stated: &StatedExposure,
        or: &mut impl FnMut(&'static str, Option<f64>, f64) -> f64,
    ) -> Self {
        let noise = stated.signal_to_noise_db.map(|db| db / DB_PER_STOP - DETAIL_OVER_NOISE_STOPS);
        let dark = noise.or(stated.contrast.map(f64::log2));
        let range = stated.dynamic_range_stops.map(|stops| stops - DETAIL_OVER_NOISE_STOPS);
        let dark = match range {
            Some(_) => dark,
            None => dark.or_else(|| Some(or("contrast", None, USUAL_CONTRAST).log2())),
        };
        let headroom = stated.headroom_percent.map(|percent| (percent / 100.0).log2());
        let sensor_stops = headroom.or_else(|| Some((range? - dark?).max(0.0)));
        let curve = curve(stated, sensor_stops, or);
        let camera_keeps_stops = sensor_stops.unwrap_or(curve.sdr_keeps_stops);
        let left = range.map_or(0.0, |range| (range - camera_keeps_stops).max(0.0));
        let under_white_stops = dark.unwrap_or(left);
        Self { under_white_stops, camera_keeps_stops, sensor_stops, curve }
    }
}

/// The knee by its slope, else by what it keeps, else so that all of the sensor's headroom
/// comes to white.
fn curve(
    stated: &StatedExposure,
    sensor_stops: Option<f64>,
    or: &mut impl FnMut(&'static str, Option<f64>, f64) -> f64,
) -> CameraCurve {
    let point = stated.knee_point_percent.map_or(Knee::DEFAULT_POINT, |percent| percent / 100.0);
    let gamma = stated.gamma.unwrap_or(BT709_GAMMA);
    let curve = match stated.knee_slope {
        Some(slope) => CameraCurve::sloped(point, slope, gamma, sensor_stops),
        None => {
            let keeps = or("knee_stops", stated.knee_stops.or(sensor_stops), USUAL_KNEE_STOPS);
            CameraCurve::reaching(point, keeps, gamma)
        }
    };
    let stops = stated.black_stretch_stops.unwrap_or(0.0);
    CameraCurve { black_stretch: BlackStretch { stops, ..BlackStretch::OFF }, ..curve }
}
