//! Tables of solids, trees and panels.

use schemars::JsonSchema;
use serde::Deserialize;

use super::{Days, LatticeTable};

/// An upright prism: a footprint by its corners, or a round one.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct SolidTable {
    pub name: String,
    /// `[along, across]` metres.
    pub footprint: Option<Vec<[f64; 2]>>,
    /// Middle of a round footprint, `[along, across]` metres.
    pub centre: Option<[f64; 2]>,
    /// Radius of a round footprint, metres.
    #[schemars(range(min = 0.01, max = 500))]
    pub radius_m: Option<f64>,
    #[serde(default)]
    #[schemars(range(min = -100, max = 1000))]
    pub bottom_m: f64,
    #[schemars(range(min = -100, max = 1000))]
    pub top_m: f64,
    /// Reflectance of its surface, 0 to 1.
    #[serde(default = "walls")]
    #[schemars(range(min = 0, max = 1))]
    pub reflectance: f64,
    #[serde(flatten)]
    pub days: Days,
}

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct TreeTable {
    pub name: String,
    /// `[along, across]` metres.
    pub at: [f64; 2],
    /// Height of the lowest leaves, metres.
    #[schemars(range(min = 0, max = 100))]
    pub trunk_height_m: f64,
    /// Radius of the trunk, metres.
    #[serde(default = "quarter")]
    #[schemars(range(min = 0.01, max = 10))]
    pub trunk_radius_m: f64,
    /// From the lowest leaves to the top, metres.
    #[schemars(range(min = 0.1, max = 100))]
    pub crown_height_m: f64,
    #[schemars(range(min = 0.1, max = 60))]
    pub crown_radius_m: f64,
    /// Share of light that passes the crown in leaf, 0 to 1.
    #[schemars(range(min = 0, max = 1))]
    pub in_leaf_transmittance: f64,
    /// Share that passes the bare crown; evergreen when absent.
    #[schemars(range(min = 0, max = 1))]
    pub bare_transmittance: Option<f64>,
    /// Reflectance of leaves and bark, 0 to 1.
    #[serde(default = "leaves")]
    #[schemars(range(min = 0, max = 1))]
    pub reflectance: f64,
    /// First day in leaf, "MM-DD"; needed with `bare_transmittance`.
    pub leaf_from: Option<String>,
    /// Last day in leaf, "MM-DD".
    pub leaf_to: Option<String>,
    /// How much higher the crown is each year, metres, wider in proportion; needs
    /// `measured_in_year`.
    #[schemars(range(min = 0, max = 3))]
    pub grows_m_per_year: Option<f64>,
    /// The year in which it is as high as the other keys say.
    #[schemars(range(min = 1900, max = 2200))]
    pub measured_in_year: Option<i32>,
    #[serde(flatten)]
    pub days: Days,
}

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PanelTable {
    pub name: String,
    /// `[along, across, up]` metres, in order around the panel.
    pub corners: Vec<[f64; 3]>,
    /// Share of light that passes, 0 to 1.
    #[serde(default)]
    #[schemars(range(min = 0, max = 1))]
    pub transmittance: f64,
    /// How much of what passes is scattered, as through a membrane or an opal sheet, 0 to
    /// 1; none, when absent, as through gaps and clear sheets.
    #[serde(default)]
    #[schemars(range(min = 0, max = 1))]
    pub scattered_share: f64,
    /// Bars with gaps between them, instead of `transmittance`.
    pub lattice: Option<LatticeTable>,
    /// Reflectance of both sides, of a lattice that of its bars, 0 to 1; 0.4 when absent, less
    /// where more than 0.6 passes.
    #[schemars(range(min = 0, max = 1))]
    pub reflectance: Option<f64>,
    /// Luminance of what is lit, a screen or a board, on its side toward the centre of play,
    /// cd/m2.
    #[schemars(range(min = 0, max = 20_000))]
    pub luminance_cd_m2: Option<f64>,
    /// Correlated colour temperature of that light, K; 6500 when absent.
    #[schemars(range(min = 1000, max = 25_000))]
    pub colour_temperature_k: Option<f64>,
    #[serde(flatten)]
    pub days: Days,
}

fn quarter() -> f64 {
    0.25
}

// concrete and paint; leaves: common practice, no source
fn walls() -> f64 {
    0.3
}

fn leaves() -> f64 {
    0.1
}
