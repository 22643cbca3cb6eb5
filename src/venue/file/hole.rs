//! Tables of a hole of golf.

use schemars::JsonSchema;
use serde::Deserialize;

/// What a hole has beside its outline and zones.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HoleTable {
    /// Names of zones that are played from.
    #[serde(default)]
    pub tees: Vec<String>,
    /// Names of zones mown as fairway.
    #[serde(default)]
    pub fairways: Vec<String>,
    /// Name of the zone that is the green.
    pub green: Option<String>,
    /// Heights of the ground at a few spots, `[along, across, up]` metres over the plane of
    /// the field; straight between them.
    #[serde(default)]
    pub heights: Vec<[f64; 3]>,
    /// Shots that the hole is played with.
    #[serde(default)]
    pub shot: Vec<ShotTable>,
}

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ShotTable {
    pub name: String,
    /// Name of the zone it is struck from.
    pub from: String,
    /// Name of the zone it is aimed at.
    pub to: String,
    /// Name of a stroke of `quarterstop ball`, such as "driver".
    pub stroke: Option<String>,
}
