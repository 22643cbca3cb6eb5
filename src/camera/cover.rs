//! The part of the ground that passes through a camera's frame.
//!
//! In: a [`CameraPost`], the field of play and the ground around it, zones; local frame,
//! metres; the [`Terrain`]. Out: polygons of the ground in plan, without what hills hide, and
//! shares of zones.
//!
//! One aim shows what lies between four planes through the lens (a pinhole
//! without roll). A camera that looks at several points in turn is swept from
//! each to the next in small steps, and the frames are joined.

use geo::{BooleanOps, BoundingRect, MultiPolygon, Polygon};
use glam::DVec3;

use crate::base::plane::P2;
use crate::camera::pinhole::Pinhole;
use crate::geometry::{Region, Terrain};
use crate::venue::{CameraPost, Field, Zone};

/// Between two frames of a sweep at most: this share of the field of view, so
/// that frames overlap ...
const SWEEP_STEP: f64 = 0.25;
/// ... and this angle, degrees, so that the near edge of the cover has no teeth:
/// at 40 m they are 1 cm deep.
const SWEEP_STEP_DEG: f64 = 2.5;
/// A sweep is never cut into more frames than this.
const MAX_FRAMES: usize = 400;

/// The part of the ground a camera covers.
#[derive(Debug, Clone)]
pub struct Coverage {
    pub region: MultiPolygon<f64>,
    /// Area, m2; 0 where the camera sees nothing of the ground.
    pub area_m2: f64,
    /// How much of that is field of play, m2.
    pub field_m2: f64,
    /// How much of it is playing area, the field of play counted, m2.
    pub playing_area_m2: f64,
    /// Share of each zone that the camera covers, in the order of the zones
    /// given, 0 to 1.
    pub zone_shares: Vec<f64>,
}

/// What a camera covers of all of the ground and of its zones.
pub fn cover_ground(
    post: &CameraPost,
    field: &Field,
    zones: &[Zone],
    terrain: &Terrain,
) -> Coverage {
    let covered = cover_on(terrain, post, &field.surrounds, zones);
    let part = |area: &Polygon<f64>| {
        Region::new(&MultiPolygon(vec![area.clone()])).overlap_m2(&covered.region)
    };
    let (field_m2, playing_area_m2) = (part(&field.outline), part(&field.playing_area));
    Coverage { field_m2, playing_area_m2, ..covered }
}

/// What a camera covers of one area of the plane of the field, all of which counts as field of
/// play, and of zones.
pub fn cover(post: &CameraPost, outline: &Polygon<f64>, zones: &[Zone]) -> Coverage {
    cover_on(&Terrain::LEVEL, post, outline, zones)
}

fn cover_on(
    terrain: &Terrain,
    post: &CameraPost,
    outline: &Polygon<f64>,
    zones: &[Zone],
) -> Coverage {
    let frames: Vec<[DVec3; 5]> =
        sweep(post).iter().map(|&axis| Pinhole::along(post, axis).inward()).collect();
    let seen = bounds(outline).map(|bounds| terrain.seen(post.at, &frames, bounds));
    let region = seen.map_or(MultiPolygon(Vec::new()), |seen| seen.intersection(outline));
    let prepared = Region::new(&region);
    let zone_share = |zone: &Zone| {
        let zone = Region::new(&MultiPolygon(vec![zone.outline.clone()]));
        let whole = zone.area_m2();
        if whole > 0.0 { (zone.overlap_m2(&region) / whole).clamp(0.0, 1.0) } else { 0.0 }
    };
    Coverage {
        area_m2: prepared.area_m2(),
        field_m2: prepared.area_m2(),
        playing_area_m2: prepared.area_m2(),
        zone_shares: zones.iter().map(zone_share).collect(),
        region,
    }
}

/// Unit vectors of the optical axis, first to last aim.
pub fn sweep(post: &CameraPost) -> Vec<DVec3> {
    let axes: Vec<DVec3> =
        post.aims.iter().filter_map(|aim| (*aim - post.at).try_normalize()).collect();
    let mut frames: Vec<DVec3> = axes.first().copied().into_iter().collect();
    let step = (post.horizontal_fov_deg * SWEEP_STEP).min(SWEEP_STEP_DEG).to_radians();
    for pair in axes.windows(2) {
        let angle = pair[0].angle_between(pair[1]);
        let count = ((angle / step).ceil() as usize).clamp(1, MAX_FRAMES);
        // straight between the two aims as the operator's hand would go
        let between = |i: usize| pair[0].lerp(pair[1], i as f64 / count as f64);
        frames.extend((1..=count).filter_map(|i| between(i).try_normalize()));
    }
    frames
}

/// What one frame shows of the ground, hidden or not, as convex polygons no larger than the box
/// of an area: one of the plane of the field, else one a facet.
pub(super) fn frame_on_ground(
    post: &CameraPost,
    axis: DVec3,
    outline: &Polygon<f64>,
    terrain: &Terrain,
) -> Vec<Polygon<f64>> {
    let inward = Pinhole::along(post, axis).inward();
    bounds(outline).map_or(Vec::new(), |bounds| terrain.pieces(post.at, &inward, bounds))
}

fn bounds(outline: &Polygon<f64>) -> Option<[P2; 2]> {
    let bounds = outline.bounding_rect()?;
    Some([bounds.min(), bounds.max()].map(|c| [c.x, c.y]))
}
