//! Table of places where a camera could stand.

use schemars::JsonSchema;
use serde::Deserialize;

/// Places where one more camera could stand: one place with `at`, a row of them
/// with `gantry`, or an area with `deck`.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CandidateTable {
    pub name: String,
    /// Name of a camera that would not be there then. What this table leaves
    /// open (looks, lens, picture, exposure) is taken from that camera.
    pub instead_of: Option<String>,
    /// `[along, across, up]` metres: a single place.
    pub at: Option<[f64; 3]>,
    /// Name of a gantry: places from its one end to the other.
    pub gantry: Option<String>,
    /// Corners of an area, `[along, across, up]` metres, all in one plane:
    /// places all over it. `up` is that of the lens.
    pub deck: Option<Vec<[f64; 3]>>,
    /// From one place to the next, metres.
    #[serde(default = "two_metres")]
    #[schemars(range(min = 0.1, max = 100))]
    pub every_m: f64,
    /// At most so many places of this table are in a set of positions.
    #[serde(default = "one")]
    #[schemars(range(min = 1, max = 20))]
    pub most: u32,
    /// Names of marks or zones it looks at, in turn.
    #[serde(default)]
    pub looks_at: Vec<String>,
    /// Points it looks at, in turn, after those named: `[along, across]` metres.
    #[serde(default)]
    pub aim: Vec<[f64; 2]>,
    /// Horizontal field of view, degrees.
    #[schemars(range(min = 0.1, max = 170))]
    pub horizontal_fov_deg: Option<f64>,
    #[schemars(range(min = 1, max = 10000))]
    pub focal_length_mm: Option<f64>,
    /// Width of the image on the sensor, mm; 9.6 for the 2/3 inch format.
    #[schemars(range(min = 1, max = 100))]
    pub image_width_mm: Option<f64>,
    /// Instead of a lens: the width of the picture at what it looks at, metres,
    /// so that places far and near show the same.
    #[schemars(range(min = 0.5, max = 500))]
    pub shows_m: Option<f64>,
    /// How far what it stands on sways to either side, metres.
    #[schemars(range(min = 0, max = 5))]
    pub sway_m: Option<f64>,
    /// How far its axis turns with the sway to either side, degrees.
    #[schemars(range(min = 0, max = 10))]
    pub sway_deg: Option<f64>,
    /// Width over height of the picture.
    #[schemars(range(min = 0.2, max = 5))]
    pub aspect: Option<f64>,
}

fn two_metres() -> f64 {
    2.0
}

fn one() -> u32 {
    1
}
