//! The file of observations as it is written: one struct a table.
//!
//! In: TOML. Out: plain data, not yet checked beyond its shape. These structs are
//! the single place that names keys, units, limits and defaults; the JSON Schema
//! is derived from them. Places are names: marks of the field, its corners and the
//! middles of its sides, or a `[[spot]]`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The whole file.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Quarterstop observations")]
pub struct SeenFile {
    /// Day of all observations that state none, "YYYY-MM-DD".
    pub on: Option<String>,
    /// Whether errors hold as they are stated.
    #[serde(default)]
    pub errors: Errors,
    /// Magnetic declination for compass readings, degrees, east positive; that of
    /// the venue file when absent.
    #[schemars(range(min = -180, max = 180))]
    pub declination_deg: Option<f64>,
    /// What is to be found.
    #[serde(default)]
    pub unknown: Vec<UnknownTable>,
    /// Places of your own.
    #[serde(default)]
    pub spot: Vec<SpotTable>,
    /// The shadow's edge was met on a line at a time.
    #[serde(default)]
    pub edge: Vec<EdgeTable>,
    /// The shadow's edge passed over a place at a time.
    #[serde(default)]
    pub passage: Vec<PassageTable>,
    /// Upright poles whose shadows were measured.
    #[serde(default)]
    pub pole: Vec<PoleTable>,
    /// The shadow of a pole at a time.
    #[serde(default)]
    pub pole_shadow: Vec<PoleShadowTable>,
    /// An angle above the horizontal to an edge of a thing.
    #[serde(default)]
    pub sight: Vec<SightTable>,
    /// A compass bearing from place to place.
    #[serde(default)]
    pub bearing: Vec<BearingTable>,
    /// A length or angle of the venue file, measured by itself.
    #[serde(default)]
    pub tape: Vec<TapeTable>,
}

/// How stated errors are taken.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Errors {
    /// They are standard errors.
    #[default]
    AsStated,
    /// They say only how observations compare; the fit finds how large they are.
    Relative,
}

/// A number to be found.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct UnknownTable {
    /// Address in the venue file, such as
    /// `stand."North Stand".roof.front_height_m`; or `watch.ahead_s`,
    /// `compass.reads_high_deg`, `pole."NAME".height_m`.
    pub what: String,
    /// How far the number that the search starts from may be off (standard error,
    /// in its unit), where that is to count as an observation.
    #[schemars(range(min = 0, max = 10_000))]
    pub plus_minus: Option<f64>,
    /// Least that it can be, in its unit.
    #[schemars(range(min = -100_000, max = 100_000))]
    pub least: Option<f64>,
    /// Most that it can be, in its unit.
    #[schemars(range(min = -100_000, max = 100_000))]
    pub most: Option<f64>,
}

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SpotTable {
    pub name: String,
    /// `[along, across]` metres.
    pub at: [f64; 2],
}

/// What lies on the far side of an edge, or what a place turned into.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[schemars(rename = "Side")]
pub enum EdgeSide {
    Sun,
    Shade,
}

/// Which of two equal times is meant where clocks go back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Which {
    Earlier,
    Later,
}

/// The shadow's edge, met on the way from one place toward another.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EdgeTable {
    /// "HH:MM" or "HH:MM:SS", by the watch, local time.
    pub time: String,
    /// "YYYY-MM-DD"
    pub on: Option<String>,
    pub repeated: Option<Which>,
    /// Place that the tape starts from.
    pub from: String,
    /// Place that it runs toward.
    pub toward: String,
    /// Where the middle of the edge was met, metres from `from`.
    #[schemars(range(min = -1000, max = 1000))]
    pub met_at_m: f64,
    /// Height above the field of play that it was met at, metres.
    #[serde(default)]
    #[schemars(range(min = 0, max = 100))]
    pub height_m: f64,
    /// What lay beyond it.
    pub beyond: Option<EdgeSide>,
    /// Name of what threw it.
    pub thrown_by: Option<String>,
    /// Standard error of the place, metres: an edge is soft.
    #[serde(default = "edge_m")]
    #[schemars(range(min = 0, max = 100))]
    pub plus_minus_m: f64,
    /// Standard error of the time, seconds.
    #[serde(default = "time_s")]
    #[schemars(range(min = 0, max = 3600))]
    pub plus_minus_s: f64,
    pub note: Option<String>,
}

/// The shadow's edge, passing over a place: the sun went behind an edge, or came
/// out from it, for someone there. Watch the shadow pass over a card, not the sun.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PassageTable {
    /// "HH:MM" or "HH:MM:SS", by the watch, local time.
    pub time: String,
    /// "YYYY-MM-DD"
    pub on: Option<String>,
    pub repeated: Option<Which>,
    /// The place.
    pub place: String,
    /// Height of the card above the field of play, metres.
    #[serde(default)]
    #[schemars(range(min = 0, max = 100))]
    pub height_m: f64,
    /// What the place turned into.
    pub becomes: Option<EdgeSide>,
    /// Name of what threw it.
    pub thrown_by: Option<String>,
    /// Standard error of the place, metres.
    #[serde(default = "place_m")]
    #[schemars(range(min = 0, max = 100))]
    pub plus_minus_m: f64,
    /// Standard error of the time, seconds.
    #[serde(default = "time_s")]
    #[schemars(range(min = 0, max = 3600))]
    pub plus_minus_s: f64,
    pub note: Option<String>,
}

/// An upright pole on level ground.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PoleTable {
    pub name: String,
    /// Place of its foot.
    pub at: String,
    /// Metres; the search starts from here where the height is unknown.
    #[schemars(range(min = 0.01, max = 300))]
    pub height_m: f64,
}

/// The shadow of a pole: its length, where it pointed, or both.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PoleShadowTable {
    /// Name of the pole.
    pub pole: String,
    /// "HH:MM" or "HH:MM:SS", by the watch, local time.
    pub time: String,
    /// "YYYY-MM-DD"
    pub on: Option<String>,
    pub repeated: Option<Which>,
    /// From the foot to the tip of the shadow, metres.
    #[schemars(range(min = 0, max = 1000))]
    pub length_m: Option<f64>,
    /// Place that it pointed to.
    pub points_to: Option<String>,
    /// Bearing that it pointed along, degrees.
    #[schemars(range(min = 0, max = 360))]
    pub points_deg: Option<f64>,
    /// Which north `points_deg` counts from.
    #[serde(default)]
    pub north: Reference,
    /// Standard error of the length, metres.
    #[serde(default = "tip_m")]
    #[schemars(range(min = 0, max = 100))]
    pub plus_minus_m: f64,
    /// Standard error of the direction, degrees; half a degree for a place, two
    /// for a bearing when absent.
    #[schemars(range(min = 0, max = 90))]
    pub plus_minus_deg: Option<f64>,
    /// Standard error of the time, seconds.
    #[serde(default = "time_s")]
    #[schemars(range(min = 0, max = 3600))]
    pub plus_minus_s: f64,
    pub note: Option<String>,
}

/// What a bearing counts from.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Reference {
    /// A compass as it is read.
    #[default]
    Magnetic,
    True,
    /// The bearing of the field's long axis.
    Field,
}

/// An edge that can be sighted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EdgeName {
    RoofFront,
    RoofBack,
    DeckFront,
    DeckBack,
    WallTop,
    /// The highest that is seen of it.
    Skyline,
}

/// An angle above the horizontal, by clinometer or theodolite. Never sight
/// anything near the sun.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SightTable {
    /// Place of the instrument.
    pub from: String,
    /// Its height above the field of play, metres.
    #[serde(default = "eye_m")]
    #[schemars(range(min = 0, max = 100))]
    pub eye_m: f64,
    /// Name of the thing that was sighted.
    pub to: String,
    pub edge: EdgeName,
    /// Place that the instrument was turned toward; square on to the edge when
    /// absent.
    pub toward: Option<String>,
    #[schemars(range(min = -90, max = 90))]
    pub elevation_deg: f64,
    /// Standard error, degrees.
    #[serde(default = "clinometer_deg")]
    #[schemars(range(min = 0, max = 90))]
    pub plus_minus_deg: f64,
    pub note: Option<String>,
}

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BearingTable {
    pub from: String,
    pub to: String,
    #[schemars(range(min = 0, max = 360))]
    pub reads_deg: f64,
    #[serde(default)]
    pub north: Reference,
    /// Standard error, degrees.
    #[serde(default = "compass_deg")]
    #[schemars(range(min = 0, max = 90))]
    pub plus_minus_deg: f64,
    pub note: Option<String>,
}

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TapeTable {
    /// Address in the venue file.
    pub what: String,
    /// In the unit of the key.
    #[schemars(range(min = -100_000, max = 100_000))]
    pub reads: f64,
    /// Standard error, in the unit of the key.
    #[schemars(range(min = 0, max = 10_000))]
    pub plus_minus: f64,
    pub note: Option<String>,
}

// What hands, tapes, watches, phones and compasses get wrong on a recce: common
// practice, no source.
fn edge_m() -> f64 {
    0.2
}

fn place_m() -> f64 {
    0.05
}

fn tip_m() -> f64 {
    0.03
}

fn time_s() -> f64 {
    15.0
}

fn eye_m() -> f64 {
    1.6
}

fn clinometer_deg() -> f64 {
    0.3
}

fn compass_deg() -> f64 {
    2.0
}
