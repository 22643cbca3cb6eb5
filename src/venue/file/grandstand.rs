//! The table of a grandstand.

use schemars::JsonSchema;
use serde::Deserialize;

use super::{Days, LatticeTable};

/// A stand of any section: layers, each a profile of points that is drawn along a line in
/// plan. Outward is away from the centre of play.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct GrandstandTable {
    pub name: String,
    /// The line that profiles count from, `[along, across]` metres, two points or more: a bay
    /// from each to the next.
    pub line: Option<Vec<[f64; 2]>>,
    /// The same as part of a circle.
    pub arc: Option<ArcTable>,
    /// Share of the seats that are taken, 0 to 1.
    #[serde(default)]
    #[schemars(range(min = 0, max = 1))]
    pub filled: f64,
    /// Decks, fronts, walls and roofs.
    #[serde(default)]
    pub layer: Vec<LayerTable>,
    /// Walls at the ends, and rakers.
    #[serde(default)]
    pub end: Vec<EndTable>,
    #[serde(flatten)]
    pub days: Days,
}

/// Part of a circle in plan, cut into straight bays.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ArcTable {
    /// `[along, across]` metres.
    pub centre: [f64; 2],
    #[schemars(range(min = 1, max = 2000))]
    pub radius_m: f64,
    /// Where it starts, degrees from the bearing, anticlockwise (toward `left`).
    #[schemars(range(min = -360, max = 360))]
    pub from_deg: f64,
    /// Where it ends; more than `from_deg`, less than a full turn further.
    #[schemars(range(min = -360, max = 720))]
    pub to_deg: f64,
    #[serde(default = "twelve")]
    #[schemars(range(min = 1, max = 256))]
    pub bays: u32,
}

/// A surface along a grandstand.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LayerTable {
    pub part: LayerPart,
    /// `[out, up]` metres, two points or more: out from the line, up over the field.
    pub profile: Vec<[f64; 2]>,
    /// Share of light that passes, 0 to 1.
    #[serde(default)]
    #[schemars(range(min = 0, max = 1))]
    pub transmittance: f64,
    /// How much of what passes is scattered, 0 to 1; of a roof 0.9 when absent, else none.
    #[schemars(range(min = 0, max = 1))]
    pub scattered_share: Option<f64>,
    /// Bars with gaps between them, instead of `transmittance`.
    pub lattice: Option<LatticeTable>,
    /// Reflectance, of a deck with its seats empty, of a lattice that of its bars, 0 to 1: a
    /// deck 0.2, a wall or front 0.3, a roof 0.4 when absent, and never more than what does not
    /// pass.
    #[schemars(range(min = 0, max = 1))]
    pub reflectance: Option<f64>,
    /// Reflectance of a deck with all seats taken, 0 to 1; that of the empty seats when
    /// absent.
    #[schemars(range(min = 0, max = 1))]
    pub full_reflectance: Option<f64>,
    /// Holes: vomitories, tunnels, stairs.
    #[serde(default)]
    pub opening: Vec<OpeningTable>,
}

/// What a layer of a grandstand is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LayerPart {
    /// Rows of seats.
    Deck,
    /// The face of a tier toward the field, a parapet, a screen.
    Front,
    Wall,
    Roof,
}

/// A hole in a layer.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OpeningTable {
    /// From and to, metres along the line from its first point.
    pub along_m: [f64; 2],
    /// From and to, metres out from the line; over the whole profile when absent.
    pub out_m: Option<[f64; 2]>,
}

/// A wall across an end of a grandstand, or across each point of its line: rakers.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EndTable {
    #[serde(default)]
    pub at: EndAt,
    /// Its corners in order, `[out, up]` metres, three points or more.
    pub profile: Vec<[f64; 2]>,
    /// Share of light that passes, 0 to 1.
    #[serde(default)]
    #[schemars(range(min = 0, max = 1))]
    pub transmittance: f64,
    /// How much of what passes is scattered, 0 to 1; none when absent.
    #[schemars(range(min = 0, max = 1))]
    pub scattered_share: Option<f64>,
    /// Bars with gaps between them, instead of `transmittance`: rakers, frames.
    pub lattice: Option<LatticeTable>,
    /// Reflectance, of a lattice that of its bars, 0 to 1; 0.3 when absent, and never more than
    /// what does not pass.
    #[schemars(range(min = 0, max = 1))]
    pub reflectance: Option<f64>,
}

/// Which points of the line.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EndAt {
    First,
    Last,
    #[default]
    Both,
    /// Every point of the line, both ends with it.
    Each,
}

fn twelve() -> u32 {
    12
}
