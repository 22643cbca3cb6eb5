//! The venue as every later stage sees it: checked, in the local frame.
//!
//! Plain data. Points are metres in the local frame (x east, y north, z up);
//! polygons are closed, outer rings anticlockwise, without self-crossings.

use std::sync::Arc;

use chrono::{NaiveDate, NaiveTime};
use chrono_tz::Tz;
use geo::{Coord, LineString, Polygon};
use glam::DVec3;
use schemars::JsonSchema;
use serde::Deserialize;

use crate::base::frame::FieldFrame;
use crate::base::units::{Azimuth, Elevation, Lux};
use crate::venue::candidate::Candidate;
use crate::venue::crew::{Operator, StatedExposure, Subject};
use crate::venue::hole::Hole;
use crate::venue::mesh::MeshNote;
use crate::venue::occluder::Occluder;
use crate::venue::production::Production;
use crate::venue::relief::Relief;
use crate::venue::standing::Changes;
use crate::venue::surveyed::Surveyed;
use crate::venue::usual::UnusualSize;

/// A ground, its surroundings and its cameras.
#[derive(Debug, Clone)]
pub struct Venue {
    /// Name for headings.
    pub title: String,
    /// Where on Earth.
    pub place: Place,
    /// The field of play.
    pub field: Field,
    /// Named polygons of interest on the ground.
    pub zones: Vec<Zone>,
    /// What a field of golf has beside.
    pub hole: Option<Hole>,
    /// Heights of the ground, where the file states any; level otherwise.
    pub relief: Option<Arc<Relief>>,
    /// The other fields of its site, for pictures: nothing is planned on them.
    pub beside: Vec<Zone>,
    /// All that can stand between the sun and the field.
    pub occluders: Vec<Occluder>,
    /// When what of it stands where, as far as that changes; [`Venue::occluders`] are as
    /// they stand at the fixture of the file, else in their usual states.
    pub changes: Changes,
    /// Camera positions.
    pub cameras: Vec<CameraPost>,
    /// Places where more cameras could stand.
    pub candidates: Vec<Candidate>,
    /// Skyline of the land around, as seen from the centre of play.
    pub horizon: Horizon,
    /// The air that the file states; the usual one where it states none.
    pub air: Option<StatedAir>,
    /// Floodlights, if the file states any.
    pub floodlights: Option<Floodlights>,
    /// The fixture the file proposes when the command states none.
    pub fixture: Option<ProposedFixture>,
    /// Moments of play that the file states, in order of time; none where the
    /// sport's own hold.
    pub moments: Vec<Moment>,
    /// What stands in front of the cameras.
    pub subject: Subject,
    /// What is made of the cameras' pictures, if the file says.
    pub production: Option<Production>,
    /// Who rides the irises, as far as the file says.
    pub operators: Vec<Operator>,
    /// Where numbers of the file come from, as far as it says.
    pub surveyed: Vec<Surveyed>,
    /// What was brought in from mesh files, and what was left out of them.
    pub meshes: Vec<MeshNote>,
    /// Numbers of the file that few grounds have.
    pub unusual: Vec<UnusualSize>,
}

/// Geographic place and the air above it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Geodetic latitude, degrees, north positive, `-90..=90`.
    pub latitude_deg: f64,
    /// Longitude, degrees, east positive, `-180..=180`.
    pub longitude_deg: f64,
    /// Height above sea level, metres.
    pub height_m: f64,
    /// IANA time zone.
    pub zone: Tz,
    /// Air pressure at the place, hPa (stated, or of the standard atmosphere).
    pub pressure_hpa: f64,
    /// Air temperature, degrees Celsius.
    pub temperature_c: f64,
}

/// What is played, which decides markings, zones and breaks. `Free` is any other
/// outline, without markings of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Sport {
    Football,
    RugbyUnion,
    Tennis,
    Hockey,
    Cricket,
    /// One hole, by its own corners.
    Golf,
    Free,
}

impl Sport {
    /// As files spell it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Football => "football",
            Self::RugbyUnion => "rugby_union",
            Self::Tennis => "tennis",
            Self::Hockey => "hockey",
            Self::Cricket => "cricket",
            Self::Golf => "golf",
            Self::Free => "free",
        }
    }
}

/// The field of play, and the ground around it.
#[derive(Debug, Clone)]
pub struct Field {
    pub sport: Sport,
    /// How the field lies in the local frame.
    pub frame: FieldFrame,
    /// Boundary of the field of play.
    pub outline: Polygon<f64>,
    /// The field of play and what the laws of the sport add to it: rugby's in-goals,
    /// the run-backs and side runs of tennis, the run-offs of hockey. Holds the field
    /// of play; without what stands on it.
    pub playing_area: Polygon<f64>,
    /// All of the ground that is planned. Holds the field of play, and the playing area
    /// and the zones as far as nothing stands on them. May have holes.
    pub surrounds: Polygon<f64>,
    /// Lines to draw: touchlines, areas, circles, nets.
    pub markings: Vec<LineString<f64>>,
    /// Named points: centre spot, penalty spots, net, wickets.
    pub marks: Vec<Mark>,
    /// What is played on, for its colour.
    pub surface: PlayingSurface,
    /// Luminous reflectance of the playing surface, 0 to 1.
    pub surface_reflectance: f64,
    /// What the ground is made of outside the playing area.
    pub surrounds_surface: PlayingSurface,
    /// Luminous reflectance outside the playing area, 0 to 1.
    pub surrounds_reflectance: f64,
    /// The magnetic declination that the file states.
    pub declination: Option<StatedDeclination>,
}

/// A magnetic declination as it is stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StatedDeclination {
    /// Degrees, east positive.
    pub degrees: f64,
    /// Whether the bearing or the skyline counts from magnetic north.
    pub used: bool,
}

/// What is played on, or what lies around it.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PlayingSurface {
    #[default]
    Grass,
    DryGrass,
    Clay,
    Acrylic,
    Sand,
    Snow,
    Concrete,
    Asphalt,
}

impl PlayingSurface {
    /// What people call it in a heading.
    pub fn short_name(self) -> &'static str {
        match self {
            Self::Acrylic => "surface",
            _ => self.plain_name(),
        }
    }

    /// What people call it in a sentence.
    pub fn name(self) -> &'static str {
        match self {
            Self::Acrylic => "playing surface",
            _ => self.plain_name(),
        }
    }

    /// What it is; nobody at a court says that they play on acrylic.
    fn plain_name(self) -> &'static str {
        match self {
            Self::Grass | Self::DryGrass => "turf",
            Self::Clay => "clay",
            Self::Acrylic => "acrylic",
            Self::Sand => "sand",
            Self::Snow => "snow",
            Self::Concrete => "concrete",
            Self::Asphalt => "asphalt",
        }
    }

    /// Usual luminous reflectance, 0 to 1: dark green grass 0.06, vegetation
    /// (mean) 0.25 for dry grass and new snow 0.74 of the IES Lighting Handbook
    /// (9th ed., reflectances of outside surfaces, from memory); clay as Munsell
    /// 2.5YR 5/6 and sand as 10YR 7/4, whose luminance factors are 0.19 and 0.42
    /// (ASTM D1535); acrylic 0.2 (common practice, no source). Old concrete 0.40 and
    /// asphalt 0.07 of the same table of the handbook, from memory.
    pub fn usual_reflectance(self) -> f64 {
        match self {
            Self::Grass => 0.06,
            Self::DryGrass => 0.25,
            Self::Clay => 0.19,
            Self::Acrylic => 0.20,
            Self::Sand => 0.42,
            Self::Snow => 0.74,
            Self::Concrete => 0.40,
            Self::Asphalt => 0.07,
        }
    }
}

/// An air by name.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum NamedAir {
    /// An ordinary clear day.
    #[default]
    Standard,
    /// After a front, very clear.
    Washed,
    /// A warm day over land.
    Summer,
    /// City or industry in summer.
    City,
    Haze,
    /// Wind off the sea.
    Sea,
    /// Desert dust.
    Dust,
    /// The humid tropics.
    Tropics,
    /// High latitude winter over snow.
    Snow,
}

impl NamedAir {
    /// The word of venue files and `--air`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Standard => "standard",
            Self::Washed => "washed",
            Self::Summer => "summer",
            Self::City => "city",
            Self::Haze => "haze",
            Self::Sea => "sea",
            Self::Dust => "dust",
            Self::Tropics => "tropics",
            Self::Snow => "snow",
        }
    }
}

/// An air as it is stated: a name, and numbers in place of the name's own.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct StatedAir {
    pub name: NamedAir,
    /// Aerosol optical depth at 500 nm.
    pub aerosol_500nm: Option<f64>,
    /// Angstrom's exponent of the aerosol.
    pub aerosol_exponent: Option<f64>,
    /// Precipitable water, cm.
    pub water_cm: Option<f64>,
    /// Ozone, atm-cm.
    pub ozone_atm_cm: Option<f64>,
    /// Broadband reflectance of the land around, 0 to 1.
    pub ground_albedo: Option<f64>,
}

/// A named point on the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    pub name: String,
    pub at: Coord<f64>,
}

/// A named polygon on the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    pub name: String,
    pub outline: Polygon<f64>,
}

/// A camera position and what it looks at.
#[derive(Debug, Clone, PartialEq)]
pub struct CameraPost {
    pub name: String,
    /// Entrance pupil, in the local frame.
    pub at: DVec3,
    /// Points it looks at in turn, on the field of play; at least one. The
    /// camera sweeps from each to the next, and all that passes through the
    /// frame is its cover.
    pub aims: Vec<DVec3>,
    /// Horizontal field of view, degrees, greater than 0 and less than 180.
    pub horizontal_fov_deg: f64,
    /// Width over height of the image.
    pub aspect: f64,
    /// Floodlight on an upright plane turned toward this camera, where the file
    /// states its own.
    pub floodlight: Option<Lux>,
    /// How it exposes, as far as the file says.
    pub exposure: StatedExposure,
    /// How far what it stands on sways.
    pub sway: Sway,
}

/// How far a lens is off at the most, to either side, on a tower or hoist that sways.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Sway {
    /// Of its place, level, metres.
    pub metres: f64,
    /// Of its axis, degrees.
    pub degrees: f64,
}

impl Sway {
    pub fn is_none(&self) -> bool {
        *self == Self::default()
    }
}

/// The skyline as elevation over azimuth, linear between points, wrapping
/// around north. Empty: a level horizon at 0 degrees.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Horizon {
    /// Sorted by azimuth, no azimuth twice.
    pub profile: Vec<(Azimuth, Elevation)>,
}

/// Floodlights as the file states them; light on both sides of the edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Floodlights {
    /// On the horizontal plane at the field of play.
    pub horizontal: Lux,
    /// On an upright plane toward a camera, at face height.
    pub vertical: Lux,
    /// Correlated colour temperature, K.
    pub colour_temperature_k: f64,
    pub when: FloodlightUse,
}

/// When floodlights are on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FloodlightUse {
    Always,
    Never,
    /// From this time of the local day on.
    FromTime(NaiveTime),
    /// On while unobstructed daylight on the horizontal is under this level.
    BelowDaylight(Lux),
}

/// A moment of play that people plan by: kickoff, half-time, drinks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moment {
    pub name: String,
    /// Minutes after the start.
    pub after_min: u32,
    pub play: Play,
}

/// What a moment does to play; settings that take hands off the iris, such as ND,
/// change while play is stopped.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Play {
    Starts,
    Stops,
    #[default]
    GoesOn,
}

/// Date and start that the venue file proposes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProposedFixture {
    pub date: NaiveDate,
    pub start: NaiveTime,
}
