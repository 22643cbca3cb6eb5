//! The table of a mesh.

use schemars::JsonSchema;
use serde::Deserialize;

use crate::venue::mesh::UpAxis;

use super::Days;

/// A model of a stand, from a file beside the venue file.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct MeshTable {
    pub name: String,
    /// An .obj, .gltf or .glb file in the folder of the venue file or below.
    pub file: String,
    /// Length of the file's unit, metres: 0.001 for millimetres, 1 for glTF.
    #[schemars(range(min = 0.000_001, max = 10_000))]
    pub metres_per_unit: f64,
    /// Which axis of the file points up; glTF means y.
    pub up: UpAxis,
    /// Where the file's origin lies, `[along, across, up]` metres.
    #[serde(default)]
    pub at: [f64; 3],
    /// Turn clockwise as seen from above, degrees. At 0 the file's x axis runs along
    /// the field's bearing.
    #[serde(default)]
    #[schemars(range(min = -360, max = 360))]
    pub turned_deg: f64,
    /// Share of light that passes, 0 to 1: through a closed piece once, else once a
    /// face.
    #[serde(default)]
    #[schemars(range(min = 0, max = 1))]
    pub transmittance: f64,
    /// How much of what passes is scattered, as through a membrane or an opal sheet, 0 to
    /// 1; none, when absent, as through gaps and clear sheets.
    #[serde(default)]
    #[schemars(range(min = 0, max = 1))]
    pub scattered_share: f64,
    /// Reflectance of its surface, 0 to 1; 0.3 when absent, less where more than
    /// 0.7 passes.
    #[schemars(range(min = 0, max = 1))]
    pub reflectance: Option<f64>,
    /// Groups, objects or nodes of the file that count; all when absent.
    pub only: Option<Vec<String>>,
    /// Groups, objects or nodes of the file that do not count.
    #[serde(default)]
    pub without: Vec<String>,
    #[serde(flatten)]
    pub days: Days,
}
