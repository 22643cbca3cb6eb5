//! The places that one can look up from.
//!
//! In: a name, or field axes in metres. Out: a point in the local frame.

use glam::DVec3;

use crate::base::frame::FieldPoint;
use crate::engine::surroundings::Surroundings;
use crate::venue::Venue;

/// Eyes of someone who stands, metres over the turf (common practice, no source).
pub const DEFAULT_EYE_M: f64 = 1.7;
/// Nothing farther from the centre of play is asked about, metres.
pub const MAX_COORDINATE_M: f64 = 2000.0;
/// The mark that every field has.
const CENTRE: &str = "centre of play";

/// A place to look up from.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    pub name: String,
    pub kind: SpotKind,
    /// Local frame, metres.
    pub at: DVec3,
}

/// What a place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SpotKind {
    /// Index into [`Venue::cameras`].
    Camera(usize),
    /// A mark of the field, at the height of an eye.
    Mark,
    /// A point that was stated.
    Point,
}

/// Why a place is none.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SpotError {
    #[error("no camera and no mark \"{asked}\" at this venue\n  choose one of: {}", known.join(", "))]
    Unknown { asked: String, known: Vec<String> },
    #[error(
        "{name} lies inside {thing}, where there is no sky\n  \
         choose a place outside, or mend the venue file"
    )]
    Inside { name: String, thing: String },
    #[error("{name} lies under the turf\n  choose a height of 0 m or more")]
    Underground { name: String },
}

/// A camera or a mark by its name; marks are looked from at `eye_m` over the turf.
///
/// # Errors
/// [`SpotError`].
pub fn find(surroundings: &Surroundings<'_>, name: &str, eye_m: f64) -> Result<Spot, SpotError> {
    let venue = surroundings.venue();
    let asked = name.trim();
    let camera = venue.cameras.iter().position(|post| post.name == asked);
    let mark = || {
        let known = venue.field.marks.iter().find(|mark| mark.name == asked);
        let at = known.map(|mark| DVec3::new(mark.at.x, mark.at.y, eye_m));
        let at = at.or_else(|| (asked == CENTRE).then_some(DVec3::Z * eye_m));
        at.map(|at| over_ground(venue, at))
    };
    let spot = match camera.and_then(|i| Some((i, venue.cameras.get(i)?))) {
        Some((i, post)) => {
            Some(Spot { name: post.name.clone(), kind: SpotKind::Camera(i), at: post.at })
        }
        None => mark().map(|at| Spot { name: asked.to_owned(), kind: SpotKind::Mark, at }),
    };
    let unknown = || SpotError::Unknown { asked: asked.to_owned(), known: known_names(venue) };
    outside(surroundings, spot.ok_or_else(unknown)?)
}

/// A stated point.
///
/// # Errors
/// [`SpotError`].
pub fn point(surroundings: &Surroundings<'_>, at: FieldPoint) -> Result<Spot, SpotError> {
    let side = |metres: f64, positive: &str, negative: &str| {
        let word = if metres < 0.0 { negative } else { positive };
        format!("{} m {word}", (metres.abs() * 100.0).round() / 100.0)
    };
    let (along, across) = (side(at.along_m, "ahead", "behind"), side(at.across_m, "left", "right"));
    let name = format!("{along}, {across}, {}", side(at.up_m, "up", "down"));
    let venue = surroundings.venue();
    let at = over_ground(venue, venue.field.frame.to_local(at));
    outside(surroundings, Spot { name, kind: SpotKind::Point, at })
}

/// Names of all cameras and marks.
pub fn known_names(venue: &Venue) -> Vec<String> {
    let cameras = venue.cameras.iter().map(|post| post.name.clone());
    let marks = venue.field.marks.iter().map(|mark| mark.name.clone());
    cameras.chain(marks).chain([CENTRE.to_owned()]).collect()
}

/// A place whose height was stated over the turf, where the ground is not flat.
fn over_ground(venue: &Venue, at: DVec3) -> DVec3 {
    at + DVec3::Z * venue.ground_m(at.x, at.y)
}

fn outside(surroundings: &Surroundings<'_>, spot: Spot) -> Result<Spot, SpotError> {
    if spot.at.z < surroundings.venue().ground_m(spot.at.x, spot.at.y) {
        return Err(SpotError::Underground { name: spot.name });
    }
    match surroundings.holding(spot.at) {
        Some(thing) => Err(SpotError::Inside { name: spot.name, thing: thing.name.clone() }),
        None => Ok(spot),
    }
}
