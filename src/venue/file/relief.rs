//! Table of ground that is not flat.

use schemars::JsonSchema;
use serde::Deserialize;

/// How the ground lies where it is not flat.
///
/// What one place says where it stands (`[[solid]]`, `[[tree]]`, `at` of cameras and
/// candidates) then counts its heights from the ground there; stands, panels, meshes,
/// gantries and decks count theirs from the plane of the field, which passes through the
/// centre of play.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReliefTable {
    /// Height of the middle of the playing area, from end to end, over its sides, mm; straight
    /// between them.
    #[schemars(range(min = 0, max = 1000))]
    pub crown_mm: Option<f64>,
    /// Fall of the playing area, m in 100 m; 0 when absent.
    #[schemars(range(min = 0, max = 20))]
    pub fall_percent: Option<f64>,
    /// Bearing that it falls toward, degrees clockwise from the north of `field.north`.
    #[schemars(range(min = 0, max = 360))]
    pub falls_toward_deg: Option<f64>,
    /// Heights of the ground at spots, `[along, across, up]` metres over the plane of the
    /// field; flat over the triangles between them (Delaunay). Beside `crown_mm` or
    /// `fall_percent` only outside of the playing area.
    #[serde(default)]
    pub heights: Vec<[f64; 3]>,
    /// Lines along which the ground bends, such as the foot and the top of a bank, each of two
    /// or more points `[along, across, up]`: no triangle lies across them.
    #[serde(default)]
    pub breaklines: Vec<Vec<[f64; 3]>>,
}
