//! The venue file as it is written: one struct a table.
//!
//! In: TOML. Out: plain data in the file's own axes and units, not yet checked
//! beyond its shape. These structs are the single place that names keys, units,
//! limits and defaults; the JSON Schema is derived from them.
//!
//! Points are `[along, across]` or `[along, across, up]` in field axes, metres
//! (see [`crate::frame`]).

use schemars::JsonSchema;
use serde::Deserialize;

/// The whole file.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Quarterstop venue")]
pub struct VenueFile {
    /// Name for headings.
    pub title: String,
    pub place: PlaceTable,
    pub field: FieldTable,
    /// Named polygons on the field of play, beside those of the sport.
    #[serde(default)]
    pub zone: Vec<ZoneTable>,
    /// Straight stands along a side of the field.
    #[serde(default)]
    pub stand: Vec<StandTable>,
    /// Infill between the ends of two neighbouring stands.
    #[serde(default)]
    pub corner: Vec<CornerTable>,
    /// Curved stands: a ring of straight segments.
    #[serde(default)]
    pub bowl: Vec<BowlTable>,
    /// Towers, scoreboards, neighbours, masts: upright prisms.
    #[serde(default)]
    pub solid: Vec<SolidTable>,
    #[serde(default)]
    pub tree: Vec<TreeTable>,
    /// Any planar polygon in space: roofs, sails, boards.
    #[serde(default)]
    pub panel: Vec<PanelTable>,
    /// Lines that cameras stand on.
    #[serde(default)]
    pub gantry: Vec<GantryTable>,
    #[serde(default)]
    pub camera: Vec<CameraTable>,
    pub horizon: Option<HorizonTable>,
    pub floodlights: Option<FloodlightsTable>,
    pub fixture: Option<FixtureTable>,
}

/// Where on Earth the centre of play lies.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlaceTable {
    /// Degrees, north positive.
    #[schemars(range(min = -90, max = 90))]
    pub latitude_deg: f64,
    /// Degrees, east positive.
    #[schemars(range(min = -180, max = 180))]
    pub longitude_deg: f64,
    /// Metres above sea level.
    #[schemars(range(min = -450, max = 6000))]
    pub height_m: f64,
    /// IANA time zone, such as "Europe/London".
    pub zone: String,
    /// Air pressure at the place, hPa; of the standard atmosphere when absent.
    #[schemars(range(min = 400, max = 1100))]
    pub pressure_hpa: Option<f64>,
    /// Air temperature, degrees Celsius.
    #[serde(default = "fifteen")]
    #[schemars(range(min = -60, max = 60))]
    pub temperature_c: f64,
}

/// What is played on what.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FieldTable {
    pub sport: SportName,
    /// Length of the field of play along its bearing, metres; the sport's usual
    /// size when absent.
    #[schemars(range(min = 1, max = 1000))]
    pub length_m: Option<f64>,
    /// Width of the field of play, metres.
    #[schemars(range(min = 1, max = 1000))]
    pub width_m: Option<f64>,
    /// Outline of a free field, `[along, across]` metres.
    pub corners: Option<Vec<[f64; 2]>>,
    /// Bearing of the long axis, degrees clockwise from north.
    #[schemars(range(min = 0, max = 360))]
    pub bearing_deg: f64,
    /// Which north the bearing counts from.
    #[serde(default)]
    pub north: North,
    /// Magnetic declination, degrees, east positive; needed with magnetic north.
    #[schemars(range(min = -180, max = 180))]
    pub declination_deg: Option<f64>,
    /// Luminous reflectance of the playing surface, 0 to 1; 0.06 (dark green
    /// grass) when absent.
    #[schemars(range(min = 0, max = 1))]
    pub surface_reflectance: Option<f64>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SportName {
    Football,
    RugbyUnion,
    Tennis,
    Hockey,
    Cricket,
    Free,
}

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum North {
    #[default]
    True,
    Magnetic,
}

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ZoneTable {
    pub name: String,
    /// `[along, across]` metres.
    pub corners: Vec<[f64; 2]>,
}

/// A side of the field, for someone who looks along its bearing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SideName {
    Ahead,
    Behind,
    Left,
    Right,
}

/// A straight stand, by what can be measured on a recce.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
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
    /// From the front row to the back of the deck, metres.
    #[schemars(range(min = 0.1, max = 300))]
    pub depth_m: f64,
    /// Height of the front row, metres.
    #[schemars(range(min = 0, max = 150))]
    pub front_height_m: f64,
    /// Height of the back of the deck, metres.
    #[schemars(range(min = 0, max = 150))]
    pub back_height_m: f64,
    /// The roof; none when absent.
    pub roof: Option<RoofTable>,
    /// Which ends are walled between deck and roof, seen from the field.
    #[serde(default)]
    pub closed_ends: ClosedEnds,
}

/// Cross-section of a stand or bowl, as both tables state it.
#[derive(Debug, Clone, Copy)]
pub struct Section<'a> {
    pub depth_m: f64,
    pub front_height_m: f64,
    pub back_height_m: f64,
    pub roof: Option<&'a RoofTable>,
}

impl StandTable {
    /// The keys that a stand shares with a bowl.
    pub fn section(&self) -> Section<'_> {
        Section {
            depth_m: self.depth_m,
            front_height_m: self.front_height_m,
            back_height_m: self.back_height_m,
            roof: self.roof.as_ref(),
        }
    }
}

impl BowlTable {
    /// The keys that a bowl shares with a stand.
    pub fn section(&self) -> Section<'_> {
        Section {
            depth_m: self.depth_m,
            front_height_m: self.front_height_m,
            back_height_m: self.back_height_m,
            roof: self.roof.as_ref(),
        }
    }
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
#[serde(deny_unknown_fields)]
pub struct CornerTable {
    /// Names of the two stands.
    pub joins: [String; 2],
    /// Whether the roofs are joined as well.
    #[serde(default)]
    pub roof: CornerRoof,
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
#[serde(deny_unknown_fields)]
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
    /// From the front row to the back of the deck, metres.
    #[schemars(range(min = 0.1, max = 300))]
    pub depth_m: f64,
    /// Height of the front row, metres.
    #[schemars(range(min = 0, max = 150))]
    pub front_height_m: f64,
    /// Height of the back of the deck, metres.
    #[schemars(range(min = 0, max = 150))]
    pub back_height_m: f64,
    /// The roof; none when absent.
    pub roof: Option<RoofTable>,
}

/// An upright prism: a footprint by its corners, or a round one.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
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
}

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
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
    /// First day in leaf, "MM-DD"; needed with `bare_transmittance`.
    pub leaf_from: Option<String>,
    /// Last day in leaf, "MM-DD".
    pub leaf_to: Option<String>,
}

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PanelTable {
    pub name: String,
    /// `[along, across, up]` metres, in order around the panel.
    pub corners: Vec<[f64; 3]>,
    /// Share of light that passes, 0 to 1.
    #[serde(default)]
    #[schemars(range(min = 0, max = 1))]
    pub transmittance: f64,
}

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
}

/// The skyline of the land around.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HorizonTable {
    /// `[azimuth, elevation]` degrees; azimuths count from the north named.
    pub profile: Vec<[f64; 2]>,
    #[serde(default)]
    pub north: North,
}

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FloodlightsTable {
    /// On the field of play, lx.
    #[schemars(range(min = 0, max = 100_000))]
    pub horizontal_lx: f64,
    /// On an upright plane toward the main camera, lx.
    #[schemars(range(min = 0, max = 100_000))]
    pub vertical_lx: f64,
    /// Correlated colour temperature, K.
    #[schemars(range(min = 1500, max = 20_000))]
    pub colour_temperature_k: f64,
    pub on: FloodlightsOn,
    /// Daylight under which they are lit, lx; needed with `below_daylight`.
    #[schemars(range(min = 0, max = 200_000))]
    pub below_lx: Option<f64>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FloodlightsOn {
    Always,
    Never,
    BelowDaylight,
}

/// What is planned when the command names nothing else.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FixtureTable {
    /// "YYYY-MM-DD"
    pub date: String,
    /// "HH:MM", local time
    pub start: String,
}

fn fifteen() -> f64 {
    15.0
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
fn quarter() -> f64 {
    0.25
}
fn sixteen_by_nine() -> f64 {
    16.0 / 9.0
}
