//! Suspicions about cameras and who rides them.

use geo::{Contains, Coord, Point};
use glam::DVec3;

use crate::base::units::Transmittance;
use crate::engine::{Hidden, Surroundings};
use crate::geometry::Obstacle;
use crate::venue::{CameraPost, Part, Venue};

use super::Suspicion;

/// Lower over the field of play than this a camera is in the way, metres; wires and
/// drones are higher (common practice, no source).
const OVER_PLAY_M: f64 = 5.0;
/// Two cameras need more room than this between their lenses, metres.
const APART_M: f64 = 0.3;
/// Frames a second where the file states none, as a rig has them.
const DEFAULT_FRAMES_PER_S: f64 = 50.0;

pub(super) fn suspicions(surroundings: &Surroundings<'_>) -> Vec<Suspicion> {
    let venue = surroundings.venue();
    let mut found = Vec::new();
    for (camera, post) in venue.cameras.iter().enumerate() {
        let at = Point(Coord { x: post.at.x, y: post.at.y });
        if post.at.z < OVER_PLAY_M && venue.field.outline.contains(&at) {
            found.push(Suspicion::OnField { camera });
        }
        if let Some(owner) = surroundings.around(post.at) {
            found.push(Suspicion::InsideSomething { camera, thing: owner.occluder });
        }
        found.extend(view(surroundings, camera, post));
    }
    found.extend(same_places(&venue.cameras));
    found.extend(unridden(venue));
    found
}

/// Cameras over a roof, and shutters that no camera has.
pub(super) fn slips(venue: &Venue) -> Vec<Suspicion> {
    let mut found = Vec::new();
    for (camera, post) in venue.cameras.iter().enumerate() {
        found.extend(over_roof(venue, camera, post));
        let frames_per_s = post.exposure.frames_per_s.unwrap_or(DEFAULT_FRAMES_PER_S);
        // a shutter of a whole frame may be stated with a digit less
        let one_over = post.exposure.shutter_one_over.filter(|s| *s < 0.99 * frames_per_s);
        found.extend(one_over.map(|shutter_one_over| Suspicion::SlowShutter {
            camera,
            frames_per_s,
            shutter_one_over,
        }));
    }
    found
}

/// The roof that lies under a camera; the highest, where there are several.
fn over_roof(venue: &Venue, camera: usize, post: &CameraPost) -> Option<Suspicion> {
    let roofs = venue.occluders.iter().enumerate().flat_map(|(thing, occluder)| {
        let roofs = occluder.bodies.iter().filter(|body| body.part == Part::Roof);
        roofs.filter_map(move |body| {
            let points = body.shape.points().iter();
            let (low, high) =
                points.fold((DVec3::MAX, DVec3::MIN), |(l, h), p| (l.min(*p), h.max(*p)));
            let over = (post.at.cmpge(low) & post.at.cmple(high.with_z(f64::MAX))).all();
            let roof = over.then(|| Obstacle::new(body, Transmittance::OPAQUE))??;
            Some((thing, roof.met(post.at, -DVec3::Z)?.distance_m))
        })
    });
    let (thing, by_m) = roofs.min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(Suspicion::OverRoof { camera, thing, by_m })
}

/// What keeps a camera from seeing the ground.
fn view(surroundings: &Surroundings<'_>, camera: usize, post: &CameraPost) -> Option<Suspicion> {
    let Some(hidden) = Hidden::from(surroundings, post) else {
        return Some(Suspicion::SeesNothing { camera });
    };
    hidden.blocks().then_some(Suspicion::Blocked { camera, hidden })
}

fn same_places(cameras: &[CameraPost]) -> Vec<Suspicion> {
    let pairs = (0..cameras.len()).flat_map(|i| (i + 1..cameras.len()).map(move |j| [i, j]));
    let near = pairs.filter_map(|[i, j]| {
        let apart_m = cameras.get(i)?.at.distance(cameras.get(j)?.at);
        let pair = Suspicion::SamePlace { cameras: [i, j], apart_m };
        (apart_m < APART_M).then_some(pair)
    });
    near.collect()
}

/// Cameras that no operator has, where no operator is free to take them.
fn unridden(venue: &Venue) -> Vec<Suspicion> {
    let operators = &venue.operators;
    if operators.is_empty() || operators.iter().any(|o| o.cameras.is_empty()) {
        return Vec::new();
    }
    let ridden = |camera: &usize| operators.iter().any(|o| o.cameras.contains(camera));
    let alone = (0..venue.cameras.len()).filter(|camera| !ridden(camera));
    alone.map(|camera| Suspicion::NobodyOperates { camera }).collect()
}
