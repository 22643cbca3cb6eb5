//! What holds for the whole match: the ground, its day, its cameras.
//!
//! In: nothing. Out: types whose doc comments become the descriptions of the schema; metres and
//! degrees.

use schemars::JsonSchema;
use serde::Serialize;

use super::{RegionOut, Ring};

/// The ground.
#[derive(Debug, Serialize, JsonSchema)]
pub struct VenueOut {
    pub title: String,
    /// North positive.
    pub latitude_deg: f64,
    /// East positive.
    pub longitude_deg: f64,
    pub height_above_sea_m: f64,
    /// IANA time zone.
    pub time_zone: String,
    pub pressure_hpa: f64,
    pub temperature_c: f64,
    /// football, rugby_union, tennis, hockey, cricket or free.
    pub sport: &'static str,
    /// Of the field's long axis, clockwise from true north.
    pub field_bearing_deg: f64,
    pub field_area_m2: f64,
    /// The field of play and what the laws add to it (in-goals, run-backs, run-offs),
    /// without what stands on it.
    pub playing_area_m2: f64,
    /// All of the ground that is planned, the playing area counted.
    pub surrounds_m2: f64,
    /// grass, dry_grass, clay, acrylic, sand, snow, concrete or asphalt.
    pub surface: &'static str,
    /// Luminous reflectance of the playing surface, 0 to 1.
    pub surface_reflectance: f64,
    /// Outside the playing area.
    pub surrounds_surface: &'static str,
    pub surrounds_reflectance: f64,
    /// The field of play: rings of [east, north].
    pub field_outline_east_north_m: Vec<Ring>,
    pub playing_area_outline_east_north_m: Vec<Ring>,
    pub surrounds_outline_east_north_m: Vec<Ring>,
}

/// Sun of the day. Times are RFC 3339 with the venue's offset.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DayOut {
    #[schemars(extend("enum" = ["rises_and_sets", "only_rises", "only_sets", "polar_day", "polar_night"]))]
    pub kind: &'static str,
    /// Null where the sun does not rise.
    pub rise: Option<String>,
    /// When the sun is highest.
    #[schemars(extend("format" = "date-time"))]
    pub noon: String,
    /// Null where the sun does not set.
    pub set: Option<String>,
}

/// A moment of the programme.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MilestoneOut {
    pub name: String,
    #[schemars(extend("format" = "date-time"))]
    pub time: String,
}

/// A named polygon on the ground.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ZoneOut {
    /// Key that the instants and the CSV columns use.
    pub id: String,
    pub name: String,
    pub area_m2: f64,
    pub outline_east_north_m: Vec<Ring>,
}

/// A camera and the part of the ground it covers.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CameraOut {
    /// Key that the instants and the CSV columns use.
    pub id: String,
    pub name: String,
    /// Entrance pupil, [east, north, up] from the centre of play.
    pub position_east_north_up_m: [f64; 3],
    pub horizontal_fov_deg: f64,
    pub cover: CoverOut,
    /// Only where most of the cover is hidden from the camera: splits count it as seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hidden: Option<HiddenOut>,
}

/// What hides the cover of a camera; shares of the cover, 0 to 1.
#[derive(Debug, Serialize, JsonSchema)]
pub struct HiddenOut {
    /// Hidden by anything.
    pub cover_share: f64,
    /// Name of what hides the most.
    pub by: String,
    pub by_share: f64,
}

/// The part of the ground a camera covers.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CoverOut {
    /// 0 where the camera sees nothing of the ground.
    pub area_m2: f64,
    /// How much of that is field of play.
    pub field_m2: f64,
    /// How much of it is playing area, the field of play counted.
    pub playing_area_m2: f64,
    /// Share of each zone that is covered.
    pub zones: Vec<ZoneCoverOut>,
    pub polygons_east_north_m: RegionOut,
}

/// Share of one zone that a camera covers.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ZoneCoverOut {
    pub zone: String,
    /// 0 to 1.
    pub covered_share: Option<f64>,
}

/// Sky view factors of the turf on a square lattice: the share of an evenly
/// bright sky's illuminance that arrives, 0 to 1.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SkyOut {
    /// Between neighbouring places.
    pub spacing_m: f64,
    /// [east, north, factor].
    pub places_east_north_m_factor: Vec<[f64; 3]>,
}
