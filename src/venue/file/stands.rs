//! Tables of stands, corners and bowls.

use schemars::JsonSchema;
use serde::Deserialize;

use super::Days;

/// A side of the field, for someone who looks along its bearing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SideName {
    Ahead,
    Behind,
    Left,
    Right,
}

// Where a section is flattened in, serde cannot refuse unknown keys; the schema,
// which every file is held to, does.

/// A straight stand, by what can be measured on a recce.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct StandTable {
    pub name: String,
    pub side: SideName,
    /// From the boundary line to the foot of the deck, metres.
    #[schemars(range(min = 0, max = 500))]
    pub setback_m: f64,
    /// Along the side, metres.
    #[schemars(range(min = 0.1, max = 1000))]
    pub length_m: f64,
    /// How far the stand's middle lies from the middle of the side, metres:
    /// along the bearing for `left` and `right`, to the left for `ahead` and
    /// `behind`.
    #[serde(default)]
    #[schemars(range(min = -1000, max = 1000))]
    pub shift_m: f64,
    #[serde(flatten)]
    pub section: Section,
    /// Which ends are walled between deck and roof, seen from the field.
    #[serde(default)]
    pub closed_ends: ClosedEnds,
    #[serde(flatten)]
    pub days: Days,
}

/// Cross-section of a stand or bowl.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
pub struct Section {
    /// From the front row to the back of the deck, metres.
    #[schemars(range(min = 0.1, max = 300))]
    pub depth_m: f64,
    /// Height of the front row, metres.
    #[schemars(range(min = 0, max = 150))]
    pub front_height_m: f64,
    /// Height of the back of the deck, metres.
    #[schemars(range(min = 0, max = 150))]
    pub back_height_m: f64,
    /// What is between the deck and the ground.
    #[serde(default)]
    pub foot: Foot,
    /// The roof; none when absent.
    pub roof: Option<RoofTable>,
    /// Reflectance of the seats, those aside that are taken, 0 to 1.
    #[serde(default = "seats")]
    #[schemars(range(min = 0, max = 1))]
    pub seat_reflectance: f64,
    /// Share of the seats that are taken, 0 to 1.
    #[serde(default)]
    #[schemars(range(min = 0, max = 1))]
    pub filled: f64,
    /// Reflectance of the seats with people in all of them, 0 to 1; `seat_reflectance` when
    /// absent.
    #[schemars(range(min = 0, max = 1))]
    pub full_reflectance: Option<f64>,
    /// Reflectance of the walls at the back and at the ends, 0 to 1.
    #[serde(default = "walls")]
    #[schemars(range(min = 0, max = 1))]
    pub wall_reflectance: f64,
}

/// What is between a deck and the ground under it.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Foot {
    /// A block: no light passes under the front row.
    #[default]
    Closed,
    /// Columns: a low sun shines through under the deck, from the back to the front.
    Open,
}

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RoofTable {
    /// Height of the roof's front edge, metres.
    #[schemars(range(min = 0, max = 200))]
    pub front_height_m: f64,
    /// Height of the roof's back edge, metres.
    #[schemars(range(min = 0, max = 200))]
    pub back_height_m: f64,
    /// How far the front edge reaches past the front row toward the field,
    /// metres; negative where it stops short.
    #[schemars(range(min = -300, max = 300))]
    pub overhang_m: f64,
    /// Share of light that passes, 0 to 1.
    #[serde(default)]
    #[schemars(range(min = 0, max = 1))]
    pub transmittance: f64,
    /// How much of what passes is scattered, as through a membrane or an opal sheet, and
    /// not seen through, as through clear glass, 0 to 1; 0.9 when absent.
    #[schemars(range(min = 0, max = 1))]
    pub scattered_share: Option<f64>,
    /// Reflectance of its underside, 0 to 1; 0.4 when absent, less under a roof
    /// that lets more than 0.6 through.
    #[schemars(range(min = 0, max = 1))]
    pub soffit_reflectance: Option<f64>,
    /// Open height between the top of the back wall and the roof, metres.
    #[serde(default)]
    #[schemars(range(min = 0, max = 200))]
    pub gap_m: f64,
}

/// Ends of a stand, for someone who stands on the field and looks at it.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ClosedEnds {
    #[default]
    None,
    Left,
    Right,
    Both,
}

/// Straight chamfer between two neighbouring stands.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct CornerTable {
    /// Names of the two stands.
    pub joins: [String; 2],
    /// Whether the roofs are joined as well.
    #[serde(default)]
    pub roof: CornerRoof,
    #[serde(flatten)]
    pub days: Days,
}

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CornerRoof {
    #[default]
    None,
    Joined,
}

/// A ring of straight segments around the centre of play.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct BowlTable {
    pub name: String,
    /// Half of the front row's extent along the bearing, metres.
    #[schemars(range(min = 1, max = 1000))]
    pub inner_along_m: f64,
    /// Half of the front row's extent across, metres.
    #[schemars(range(min = 1, max = 1000))]
    pub inner_across_m: f64,
    /// 2 for an ellipse, more for a squarer ring (exponent of the superellipse).
    #[serde(default = "two")]
    #[schemars(range(min = 1, max = 20))]
    pub roundness: f64,
    #[serde(default = "sixty_four")]
    #[schemars(range(min = 3, max = 512))]
    pub segments: u32,
    /// Where the ring starts, degrees from the bearing, anticlockwise (toward
    /// `left`).
    #[serde(default)]
    #[schemars(range(min = -360, max = 360))]
    pub from_deg: f64,
    /// Where it ends; a whole ring when 360 more than `from_deg`.
    #[serde(default = "full_turn")]
    #[schemars(range(min = -360, max = 720))]
    pub to_deg: f64,
    #[serde(flatten)]
    pub section: Section,
    #[serde(flatten)]
    pub days: Days,
}

// painted and coated things, seats with some people in them: common practice, no source
fn seats() -> f64 {
    0.2
}

impl Section {
    /// Reflectance of seats and people, 0 to 1.
    pub fn reflectance(&self) -> f64 {
        let full = self.full_reflectance.unwrap_or(self.seat_reflectance);
        self.seat_reflectance + (full - self.seat_reflectance) * self.filled
    }
}

fn walls() -> f64 {
    0.3
}

fn two() -> f64 {
    2.0
}

fn sixty_four() -> u32 {
    64
}

fn full_turn() -> f64 {
    360.0
}
