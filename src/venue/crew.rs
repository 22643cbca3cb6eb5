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
    /// In place of `widest_t`, the smallest T-number of a zoom that loses light at its long
    /// end, as `[focal length in mm, T-number]` from short to long.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub widest_t_by_mm: Option<Vec<[f64; 2]>>,
    /// `[shortest, longest]` focal length that is used, mm, with `widest_t_by_mm`; when absent
    /// the lens stays at the camera's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub zoom_mm: Option<[f64; 2]>,
    /// Factor of the extender that is in: 2 doubles the focal length and takes two stops.
    /// T-numbers stay those on the ring of the lens.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 3))]
    pub extender: Option<f64>,
    /// Largest T-number that the lens closes down to.
    #[schemars(range(min = 0.7, max = 64))]
    pub narrowest_t: Option<f64>,
    /// `[smallest, largest]` T-number where the lens looks best.
    pub prefers_t: Option<[f64; 2]>,
    /// What each place of the ND wheel takes, stops.
    pub nd_stops: Option<Vec<f64>>,
    /// What an optical filter takes that stays in, beside the ND wheel, stops.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0, max = 8))]
    pub filter_stops: Option<f64>,
    /// How much warmer that filter makes the light, mired; a bluish one is negative.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -300, max = 300))]
    pub filter_mired: Option<f64>,
    /// Steps of gain, dB.
    pub gain_db: Option<Vec<f64>>,
    /// White over the darkest tone that still shows detail: a ratio such as 500.
    #[schemars(range(min = 4, max = 100_000))]
    pub contrast: Option<f64>,
    /// Stops over white that the knee keeps.
    #[schemars(range(min = 0, max = 8))]
    pub knee_stops: Option<f64>,
    /// Where the sensor clips, % of white: 600 is 2.6 stops over it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 100, max = 25_600))]
    pub headroom_percent: Option<f64>,
    /// From where the sensor clips down to where noise is as strong as the signal, stops.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 4, max = 24))]
    pub dynamic_range_stops: Option<f64>,
    /// White over noise at 0 dB of gain, dB; detail shows from twice the noise on. In place
    /// of `contrast`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 20, max = 120))]
    pub signal_to_noise_db: Option<f64>,
    /// Signal at which the knee begins, %; 90 when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 30, max = 100))]
    pub knee_point_percent: Option<f64>,
    /// Slope of the knee over its point, signal out by signal in: 1 is no knee. In place of
    /// `knee_stops`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.01, max = 1))]
    pub knee_slope: Option<f64>,
    /// Exponent of the SDR curve; 0.45, that of BT.709, when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.3, max = 0.6))]
    pub gamma: Option<f64>,
    /// How far the darkest tones are brought up, stops; pressed where negative.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -2, max = 2))]
    pub black_stretch_stops: Option<f64>,
    /// From the hand to the iris, s.
    #[schemars(range(min = 0, max = 30))]
    pub delay_s: Option<f64>,
    /// What the exposure is set for.
    pub exposes_for: Option<ExposesFor>,
    /// Focal length at the camera's field of view, without an extender, mm: no key, worked
    /// out from its lens.
    #[serde(skip)]
    pub focal_mm: Option<f64>,
}

impl StatedExposure {
    /// This, and what `other` states where this says nothing. Keys that say the same thing in
    /// two ways stay together.
    pub fn or(self, other: &Self) -> Self {
        let own_widest = self.widest_t.is_some() || self.widest_t_by_mm.is_some();
        let own_dark = self.contrast.is_some() || self.signal_to_noise_db.is_some();
        let own_knee = self.knee_stops.is_some() || self.knee_slope.is_some();
        let rest = Self {
            widest_t: other.widest_t.filter(|_| !own_widest),
            widest_t_by_mm: other.widest_t_by_mm.clone().filter(|_| !own_widest),
            contrast: other.contrast.filter(|_| !own_dark),
            signal_to_noise_db: other.signal_to_noise_db.filter(|_| !own_dark),
            knee_stops: other.knee_stops.filter(|_| !own_knee),
            knee_slope: other.knee_slope.filter(|_| !own_knee),
            ..Self::default()
        };
        Self {
            t_number_at_2000_lx: self.t_number_at_2000_lx.or(other.t_number_at_2000_lx),
            frames_per_s: self.frames_per_s.or(other.frames_per_s),
            shutter_one_over: self.shutter_one_over.or(other.shutter_one_over),
            widest_t: self.widest_t.or(rest.widest_t),
            widest_t_by_mm: self.widest_t_by_mm.or(rest.widest_t_by_mm),
            zoom_mm: self.zoom_mm.or(other.zoom_mm),
            extender: self.extender.or(other.extender),
            narrowest_t: self.narrowest_t.or(other.narrowest_t),
            prefers_t: self.prefers_t.or(other.prefers_t),
            nd_stops: self.nd_stops.or_else(|| other.nd_stops.clone()),
            filter_stops: self.filter_stops.or(other.filter_stops),
            filter_mired: self.filter_mired.or(other.filter_mired),
            gain_db: self.gain_db.or_else(|| other.gain_db.clone()),
            contrast: self.contrast.or(rest.contrast),
            knee_stops: self.knee_stops.or(rest.knee_stops),
            headroom_percent: self.headroom_percent.or(other.headroom_percent),
            dynamic_range_stops: self.dynamic_range_stops.or(other.dynamic_range_stops),
            signal_to_noise_db: self.signal_to_noise_db.or(rest.signal_to_noise_db),
            knee_point_percent: self.knee_point_percent.or(other.knee_point_percent),
            knee_slope: self.knee_slope.or(rest.knee_slope),
            gamma: self.gamma.or(other.gamma),
            black_stretch_stops: self.black_stretch_stops.or(other.black_stretch_stops),
            delay_s: self.delay_s.or(other.delay_s),
            exposes_for: self.exposes_for.or(other.exposes_for),
            focal_mm: self.focal_mm.or(other.focal_mm),
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
    /// Skins that each get a verdict of their own, whatever the exposure is set for.
    pub skins: Skins,
}

/// Skin from dark to light, as the patches of a published chart have it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Skin {
    Dark,
    /// Half way between the two, in stops.
    Medium,
    Light,
}

/// Luminous reflectances of the two skins of the colour-rendition chart of McCamy, Marcus and
/// Davidson (J. Appl. Photogr. Eng. 2(3), 1976, table; from memory).
const DARK_SKIN_REFLECTS: f64 = 0.101;
const LIGHT_SKIN_REFLECTS: f64 = 0.358;

impl Skin {
    pub const ALL: [Self; 3] = [Self::Dark, Self::Medium, Self::Light];

    /// Luminous reflectance, 0 to 1.
    pub fn luminous(self) -> f64 {
        match self {
            Self::Dark => DARK_SKIN_REFLECTS,
            Self::Medium => (DARK_SKIN_REFLECTS * LIGHT_SKIN_REFLECTS).sqrt(),
            Self::Light => LIGHT_SKIN_REFLECTS,
        }
    }

    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Dark => "dark skin",
            Self::Medium => "medium skin",
            Self::Light => "light skin",
        }
    }
}

/// Some of the skins.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(from = "Vec<Skin>")]
#[schemars(with = "Vec<Skin>")]
pub struct Skins([bool; 3]);

impl From<Vec<Skin>> for Skins {
    fn from(named: Vec<Skin>) -> Self {
        Self(Skin::ALL.map(|skin| named.contains(&skin)))
    }
}

impl Skins {
    /// Every one.
    pub const ALL: Self = Self([true; 3]);

    /// Each once, from dark to light.
    pub fn iter(self) -> impl Iterator<Item = Skin> {
        Skin::ALL.into_iter().zip(self.0).filter_map(|(skin, named)| named.then_some(skin))
    }
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
            skins: Skins::default(),
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
