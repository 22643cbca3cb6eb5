//! What the crew works with: cameras' exposure, what is in front of them, and the
//! operators who ride the irises. Plain data as the file states it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How a camera exposes, as far as the file says: of `[camera.exposure]`, else of
/// `[exposure]`, else as a usual camera does.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StatedExposure {
    /// T-number at which a white of 89.9 % at 2000 lx is at 100 % video, with no ND,
    /// 0 dB and the shutter open for the whole frame.
    #[schemars(range(min = 1, max = 64))]
    pub t_number_at_2000_lx: Option<f64>,
    /// Frames (or fields) a second that the sensitivity is stated for and the camera
    /// runs at.
    #[schemars(range(min = 10, max = 1000))]
    pub frames_per_s: Option<f64>,
    /// The shutter is open for one part in so many of a second.
    #[schemars(range(min = 10, max = 100_000))]
    pub shutter_one_over: Option<f64>,
    /// Smallest T-number of the lens.
    #[schemars(range(min = 0.7, max = 64))]
    pub widest_t: Option<f64>,
    /// Largest T-number that the lens closes down to.
    #[schemars(range(min = 0.7, max = 64))]
    pub narrowest_t: Option<f64>,
    /// `[smallest, largest]` T-number where the lens looks best.
    pub prefers_t: Option<[f64; 2]>,
    /// What each place of the ND wheel takes, stops.
    pub nd_stops: Option<Vec<f64>>,
    /// Steps of gain, dB.
    pub gain_db: Option<Vec<f64>>,
    /// White over the darkest tone that still shows detail: a ratio such as 500.
    #[schemars(range(min = 4, max = 100_000))]
    pub contrast: Option<f64>,
    /// Stops over white that the knee keeps.
    #[schemars(range(min = 0, max = 8))]
    pub knee_stops: Option<f64>,
    /// From the hand to the iris, s.
    #[schemars(range(min = 0, max = 30))]
    pub delay_s: Option<f64>,
    /// What the exposure is set for.
    pub exposes_for: Option<ExposesFor>,
}

impl StatedExposure {
    /// This, and what `other` states where this says nothing.
    pub fn or(self, other: &Self) -> Self {
        Self {
            t_number_at_2000_lx: self.t_number_at_2000_lx.or(other.t_number_at_2000_lx),
            frames_per_s: self.frames_per_s.or(other.frames_per_s),
            shutter_one_over: self.shutter_one_over.or(other.shutter_one_over),
            widest_t: self.widest_t.or(other.widest_t),
            narrowest_t: self.narrowest_t.or(other.narrowest_t),
            prefers_t: self.prefers_t.or(other.prefers_t),
            nd_stops: self.nd_stops.or_else(|| other.nd_stops.clone()),
            gain_db: self.gain_db.or_else(|| other.gain_db.clone()),
            contrast: self.contrast.or(other.contrast),
            knee_stops: self.knee_stops.or(other.knee_stops),
            delay_s: self.delay_s.or(other.delay_s),
            exposes_for: self.exposes_for.or(other.exposes_for),
        }
    }
}

/// What a camera's exposure is set for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ExposesFor {
    Skin,
    Turf,
    /// Half way between the two, in stops.
    #[default]
    Both,
}

/// What stands in front of the cameras: reflectances, 0 to 1, and where skin and
/// turf are to lie under white.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Subject {
    /// Of skin that exposure is set for.
    #[schemars(range(min = 0.02, max = 1))]
    pub skin_reflectance: f64,
    /// Stops under white that this skin is set to.
    #[schemars(range(min = 0, max = 6))]
    pub skin_under_white_stops: f64,
    /// Stops under white that turf is set to; when absent, where it lies beside skin
    /// in the same light.
    #[schemars(range(min = 0, max = 8))]
    pub turf_under_white_stops: Option<f64>,
    /// Of the brightest kit.
    #[schemars(range(min = 0.02, max = 1))]
    pub white_kit_reflectance: f64,
    /// Of the darkest kit that must show detail.
    #[schemars(range(min = 0.005, max = 1))]
    pub black_kit_reflectance: f64,
}

impl Default for Subject {
    /// Light skin 0.36, about one stop under white (P. Ward, Basic Betacam and DVCPro
    /// Camerawork, chapter "Face tones"); white cloth 0.80, black cloth 0.04 (the 20
    /// to 1 of white over black cloth; common practice, no source).
    fn default() -> Self {
        Self {
            skin_reflectance: 0.36,
            skin_under_white_stops: 1.0,
            turf_under_white_stops: None,
            white_kit_reflectance: 0.80,
            black_kit_reflectance: 0.04,
        }
    }
}

/// Someone at the irises.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Operator {
    pub name: String,
    /// Cameras that are theirs whatever the plan says: indices into
    /// [`super::Venue::cameras`].
    pub cameras: Vec<usize>,
}
