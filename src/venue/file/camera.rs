//! Tables of gantries and cameras.

use schemars::JsonSchema;
use serde::Deserialize;

use crate::venue::crew::StatedExposure;

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GantryTable {
    pub name: String,
    /// `[along, across, up]` metres: where offsets count from.
    pub from: [f64; 3],
    /// `[along, across, up]` metres: the other end.
    pub to: [f64; 3],
}

/// A camera: either `at`, or `gantry` with `offset_m`.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CameraTable {
    pub name: String,
    /// `[along, across, up]` metres.
    pub at: Option<[f64; 3]>,
    /// Name of the gantry it stands on.
    pub gantry: Option<String>,
    /// Along the gantry from its `from` end, metres.
    #[schemars(range(min = 0, max = 1000))]
    pub offset_m: Option<f64>,
    /// Names of marks or zones it looks at, in turn.
    #[serde(default)]
    pub looks_at: Vec<String>,
    /// Points it looks at, in turn, after those named: `[along, across]` metres.
    #[serde(default)]
    pub aim: Vec<[f64; 2]>,
    /// Horizontal field of view, degrees; or state the lens.
    #[schemars(range(min = 0.1, max = 170))]
    pub horizontal_fov_deg: Option<f64>,
    #[schemars(range(min = 1, max = 10000))]
    pub focal_length_mm: Option<f64>,
    /// Width of the image on the sensor, mm; 9.6 for the 2/3 inch format.
    #[schemars(range(min = 1, max = 100))]
    pub image_width_mm: Option<f64>,
    /// Width over height of the picture.
    #[serde(default = "sixteen_by_nine")]
    #[schemars(range(min = 0.2, max = 5))]
    pub aspect: f64,
    /// Floodlight on an upright plane turned toward this camera, lx; that of
    /// `[floodlights]` when absent.
    #[schemars(range(min = 0, max = 100_000))]
    pub floodlight_lx: Option<f64>,
    /// How far what it stands on sways to either side, metres: a tower, a hoist.
    #[serde(default)]
    #[schemars(range(min = 0, max = 5))]
    pub sway_m: f64,
    /// How far its axis turns with the sway to either side, degrees.
    #[serde(default)]
    #[schemars(range(min = 0, max = 10))]
    pub sway_deg: f64,
    /// How it exposes, where it differs from `[exposure]`.
    pub exposure: Option<StatedExposure>,
}

fn sixteen_by_nine() -> f64 {
    16.0 / 9.0
}
