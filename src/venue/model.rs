//! The venue as every later stage sees it: checked, in the local frame.
//!
//! Plain data. Points are metres in the local frame (x east, y north, z up);
//! polygons are closed, outer rings anticlockwise, without self-crossings.

use chrono::{Datelike, NaiveDate, NaiveTime};
use chrono_tz::Tz;
use geo::{Coord, LineString, Polygon};
use glam::DVec3;
use schemars::JsonSchema;
use serde::Deserialize;

use crate::frame::FieldFrame;
use crate::units::{Azimuth, Elevation, Lux, Transmittance};

/// A ground, its surroundings and its cameras.
#[derive(Debug, Clone)]
pub struct Venue {
    /// Name for headings.
    pub title: String,
    /// Where on Earth.
    pub place: Place,
    /// The field of play.
    pub field: Field,
    /// Named polygons of interest on the field of play.
    pub zones: Vec<Zone>,
    /// All that can stand between the sun and the field.
    pub occluders: Vec<Occluder>,
    /// Camera positions.
    pub cameras: Vec<CameraPost>,
    /// Skyline of the land around, as seen from the centre of play.
    pub horizon: Horizon,
    /// Floodlights, if the file states any.
    pub floodlights: Option<Floodlights>,
    /// The fixture the file proposes when the command states none.
    pub fixture: Option<Fixture>,
    /// Moments of play that the file states, in order of time; none where the
    /// sport's own hold.
    pub moments: Vec<Moment>,
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
    Free,
}

/// The field of play.
#[derive(Debug, Clone)]
pub struct Field {
    pub sport: Sport,
    /// How the field lies in the local frame.
    pub frame: FieldFrame,
    /// Boundary of the field of play.
    pub outline: Polygon<f64>,
    /// Lines to draw: touchlines, areas, circles, nets.
    pub markings: Vec<LineString<f64>>,
    /// Named points: centre spot, penalty spots, net, wickets.
    pub marks: Vec<Mark>,
    /// Luminous reflectance of the playing surface, 0 to 1.
    pub surface_reflectance: f64,
}

/// A named point on the field of play.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    pub name: String,
    pub at: Coord<f64>,
}

/// A named polygon on the field of play.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    pub name: String,
    pub outline: Polygon<f64>,
}

/// One thing that casts a shadow, as the venue file names it.
#[derive(Debug, Clone)]
pub struct Occluder {
    pub name: String,
    pub kind: OccluderKind,
    pub bodies: Vec<Body>,
}

/// Which table of the venue file an occluder comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OccluderKind {
    Stand,
    Corner,
    Bowl,
    Solid,
    Tree,
    Panel,
}

/// One simple piece of an occluder.
#[derive(Debug, Clone)]
pub struct Body {
    pub part: Part,
    pub shape: Shape,
    pub passes: Passes,
}

/// What a body is, for colours, names and (later) reflectances.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Part {
    Deck,
    BackWall,
    EndWall,
    Roof,
    Solid,
    Trunk,
    Crown,
    Panel,
}

/// The geometry of a body.
#[derive(Debug, Clone)]
pub enum Shape {
    /// A closed convex polyhedron. Faces are rings of indices into `vertices`,
    /// anticlockwise seen from outside.
    Convex { vertices: Vec<DVec3>, faces: Vec<Vec<usize>> },
    /// One planar polygon without thickness, convex or not, not crossing itself.
    Sheet { corners: Vec<DVec3> },
}

impl Shape {
    /// All corner points.
    pub fn points(&self) -> &[DVec3] {
        match self {
            Shape::Convex { vertices, .. } => vertices,
            Shape::Sheet { corners } => corners,
        }
    }
}

/// How much light a body lets through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Passes {
    /// The same all year.
    Always(Transmittance),
    /// A tree that drops its leaves.
    Leaves(Leaves),
}

impl Passes {
    /// Whether nothing passes at some time of the year.
    pub fn is_ever_opaque(&self) -> bool {
        match self {
            Passes::Always(t) => t.is_opaque(),
            Passes::Leaves(leaves) => leaves.in_leaf.is_opaque() || leaves.bare.is_opaque(),
        }
    }

    /// The transmittance on a date.
    pub fn on(&self, date: NaiveDate) -> Transmittance {
        match self {
            Passes::Always(t) => *t,
            Passes::Leaves(leaves) if leaves.in_leaf_on(date) => leaves.in_leaf,
            Passes::Leaves(leaves) => leaves.bare,
        }
    }
}

/// Seasonal transmittance of a crown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leaves {
    pub in_leaf: Transmittance,
    pub bare: Transmittance,
    /// First day in leaf (month, day).
    pub from: (u32, u32),
    /// Last day in leaf (month, day); before `from` in the southern hemisphere.
    pub to: (u32, u32),
}

impl Leaves {
    fn in_leaf_on(&self, date: NaiveDate) -> bool {
        let day = (date.month(), date.day());
        if self.from <= self.to {
            self.from <= day && day <= self.to
        } else {
            day >= self.from || day <= self.to
        }
    }
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
    /// On a vertical plane toward the main camera side, at face height.
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
    /// On while unobstructed daylight on the horizontal is under this level.
    BelowDaylight(Lux),
}

/// A moment of play that people plan by: kickoff, half-time, drinks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moment {
    pub name: String,
    /// Minutes after the start.
    pub after_min: u32,
}

/// Date and start that the venue file proposes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fixture {
    pub date: NaiveDate,
    pub start: NaiveTime,
}
