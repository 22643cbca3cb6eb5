//! Tables of the place, the field of play, its zones, land, lights and fixture.

use schemars::JsonSchema;
use serde::Deserialize;

use crate::venue::model::{NamedAir, Play, PlayingSurface, Sport};

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
    pub sport: Sport,
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
    /// What is played on.
    #[serde(default)]
    pub surface: PlayingSurface,
    /// Luminous reflectance of the playing surface, 0 to 1; the usual one of
    /// `surface` when absent (grass 0.06).
    #[schemars(range(min = 0, max = 1))]
    pub surface_reflectance: Option<f64>,
    /// Rugby: from the goal line to the dead-ball line, metres; 10 when absent.
    #[schemars(range(min = 0, max = 100))]
    pub in_goal_m: Option<f64>,
    /// Tennis and hockey: how far the playing area reaches beyond the ends of the field
    /// of play (run-back, run-off), metres; what the laws recommend when absent.
    #[schemars(range(min = 0, max = 100))]
    pub run_off_ends_m: Option<f64>,
    /// Tennis and hockey: the same beyond its sides (side run, run-off), metres.
    #[schemars(range(min = 0, max = 100))]
    pub run_off_sides_m: Option<f64>,
    /// Football: the side on which the technical areas lie; none are planned when absent.
    pub technical_areas: Option<TechnicalAreas>,
    /// How far the ground that is planned reaches beyond the playing area, metres; the
    /// sport's usual depth when absent.
    #[schemars(range(min = 0, max = 200))]
    pub surrounds_m: Option<f64>,
    /// Outline of the ground that is planned, `[along, across]` metres, in place of
    /// `surrounds_m`.
    pub surrounds: Option<Vec<[f64; 2]>>,
    /// What the ground is made of outside the playing area; `surface` when absent.
    pub surrounds_surface: Option<PlayingSurface>,
    /// Luminous reflectance outside the playing area, 0 to 1; the usual one of
    /// `surrounds_surface` when absent.
    #[schemars(range(min = 0, max = 1))]
    pub surrounds_reflectance: Option<f64>,
}

/// Where a football ground has its technical areas.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TechnicalAreas {
    Left,
    Right,
    Both,
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
    /// On an upright plane toward the cameras, lx; a camera can state its own.
    #[schemars(range(min = 0, max = 100_000))]
    pub vertical_lx: f64,
    /// Correlated colour temperature, K.
    #[schemars(range(min = 1500, max = 20_000))]
    pub colour_temperature_k: f64,
    pub on: FloodlightsOn,
    /// "HH:MM", local time; needed with `from_time`.
    pub from: Option<String>,
    /// Daylight under which they are lit, lx; needed with `below_daylight`.
    #[schemars(range(min = 0, max = 200_000))]
    pub below_lx: Option<f64>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FloodlightsOn {
    Always,
    Never,
    FromTime,
    BelowDaylight,
}

/// What is in the air: a name, and numbers in place of the name's own.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AirTable {
    #[serde(default)]
    pub name: NamedAir,
    /// Aerosol optical depth at 500 nm.
    #[schemars(range(min = 0, max = 3))]
    pub aerosol_500nm: Option<f64>,
    /// Angstrom's exponent of the aerosol: about 1.3 over land, 0.3 for dust.
    #[schemars(range(min = -0.5, max = 3))]
    pub aerosol_exponent: Option<f64>,
    /// Precipitable water, cm.
    #[schemars(range(min = 0, max = 10))]
    pub water_cm: Option<f64>,
    /// Ozone, atm-cm (1 is 1000 Dobson units).
    #[schemars(range(min = 0, max = 1))]
    pub ozone_atm_cm: Option<f64>,
    /// Reflectance of the land around, 0 to 1.
    #[schemars(range(min = 0, max = 1))]
    pub ground_albedo: Option<f64>,
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

/// A moment of play that people plan by.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MomentTable {
    /// "half-time", "drinks", "full-time" ...
    pub name: String,
    /// Minutes after the start.
    #[schemars(range(min = 0, max = 1440))]
    pub after_min: u32,
    /// Whether play starts or stops here; the first moment starts it and the last
    /// stops it where they say nothing.
    #[serde(default)]
    pub play: Play,
}

fn fifteen() -> f64 {
    15.0
}
