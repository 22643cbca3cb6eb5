//! What of a body's faces lies over the ground.
//!
//! In: planar rings of faces, field axes, heights as those of the ground; once a venue. Out:
//! the part of each on and over the ground. A face that lies over all of it stays as it is,
//! corner by corner, so that neighbours stay welded.

use geo::{BooleanOps, Coord, LineString, Polygon};
use glam::DVec3;

use super::Sunward;
use super::net::ReliefNet;
use crate::base::frame::area_vector;
use crate::base::plane::{P2, clip, cross};
use crate::base::union::union_of;
use crate::geometry::hull::Box2;

/// A face whose area in plan is a smaller share of its own stands upright.
const UPRIGHT: f64 = 1e-6;
/// Cuts nearer to a corner than this are that corner, metres: ten cells of the grid that a cut
/// of a wall of 100 m is worked out on.
const SAME_M: f64 = 1e-6;
/// Parts of a face with less area are rounding, m2.
const SPECK_M2: f64 = 1e-9;
/// The ground is taken to go so far below a wall and beyond its ends, metres. No farther: cuts
/// are rounded to a grid over wall and ground.
const DEEPER_M: f64 = 1.0;

/// The part of a ring on and over the ground.
pub(in crate::geometry) fn over_ground(net: &ReliefNet, ring: &[DVec3]) -> Vec<Vec<DVec3>> {
    let Some(bounds) = Box2::around(ring.iter().map(|p| [p.x, p.y])) else { return Vec::new() };
    // a box without width, of a wall along an axis, overlaps nothing
    let bounds = Box2 { min: bounds.min.map(|v| v - SAME_M), max: bounds.max.map(|v| v + SAME_M) };
    let (low, high) = net.heights_in(&bounds);
    let lowest = ring.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
    let highest = ring.iter().map(|p| p.z).fold(f64::NEG_INFINITY, f64::max);
    if lowest >= high {
        return vec![ring.to_vec()];
    }
    if highest <= low {
        return Vec::new();
    }
    let area = area_vector(ring.iter().copied());
    match area.z.abs() <= UPRIGHT * area.length() {
        true => upright(net, ring, area),
        false => sloped(net, ring, area, &bounds),
    }
}

/// Of an upright face: what is over the line of the ground along it.
fn upright(net: &ReliefNet, ring: &[DVec3], area: DVec3) -> Vec<Vec<DVec3>> {
    let Some(along) = area.truncate().perp().try_normalize() else { return Vec::new() };
    // the same way for both faces where two bodies touch
    let along = if (along.x, along.y) < (0.0, 0.0) { -along } else { along };
    let far = |p: &DVec3| p.truncate().dot(along);
    let by_far = |a: &&DVec3, b: &&DVec3| far(a).total_cmp(&far(b));
    let (Some(from), Some(to)) = (ring.iter().min_by(by_far), ring.iter().max_by(by_far)) else {
        return Vec::new();
    };
    let ends = [from, to].map(|p| [p.x, p.y]);
    let mut places: Vec<P2> = vec![ends[0]];
    let facet = net.at(ends[0]);
    net.walk(facet, &Sunward::FROM_ABOVE, ends, |place| places.push(place));
    places.push(ends[1]);
    let on_line = |place: &P2| Coord {
        x: DVec3::new(place[0], place[1], 0.0).truncate().dot(along),
        y: net.height_m(*place),
    };
    let mut earth: Vec<Coord<f64>> = places.iter().map(on_line).collect();
    let (first, last) = (far(from), far(to));
    let ups = ring.iter().map(|p| p.z).chain(earth.iter().map(|c| c.y));
    let bottom = ups.fold(f64::INFINITY, f64::min) - DEEPER_M;
    let ends = [(last + DEEPER_M, bottom), (first - DEEPER_M, bottom)];
    earth.extend(ends.map(|(x, y)| Coord { x, y }));
    let corners = ring.iter().map(|p| Coord { x: far(p), y: p.z });
    let face = Polygon::new(LineString(corners.collect()), Vec::new());
    let left = face.difference(&Polygon::new(LineString(earth), Vec::new()));
    // the wall's own plane: what lies across is the same all along
    let origin = from.truncate() - along * first;
    back(&left.0, ring, area, |c| (origin + along * c.x).extend(c.y))
}

/// Of any other face: what is over each facet, joined in plan.
fn sloped(net: &ReliefNet, ring: &[DVec3], area: DVec3, bounds: &Box2) -> Vec<Vec<DVec3>> {
    let cut = |a: DVec3, b: DVec3, share: f64| a + share * (b - a);
    let mut pieces: Vec<Polygon<f64>> = Vec::new();
    for index in net.in_box(bounds) {
        let facet = &net.facets[index as usize];
        let corners = net.triangle(facet);
        let (mut piece, mut kept) = (ring.to_vec(), Vec::new());
        for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
            clip(&piece, &mut kept, |p| cross(*a, *b, [p.x, p.y]), cut);
            std::mem::swap(&mut piece, &mut kept);
        }
        clip(&piece, &mut kept, |p| p.z - facet.height_m([p.x, p.y]), cut);
        if kept.len() > 2 {
            let flat = kept.iter().map(|p| Coord { x: p.x, y: p.y });
            pieces.push(Polygon::new(LineString(flat.collect()), Vec::new()));
        }
    }
    let first = ring[0];
    let height =
        |c: Coord<f64>| first.z - ((c.x - first.x) * area.x + (c.y - first.y) * area.y) / area.z;
    back(&union_of(&pieces).0, ring, area, |c| DVec3::new(c.x, c.y, height(c)))
}

/// Polygons of the face's plane as rings that run as the face does. What has holes, ground
/// that comes through the middle of a face, is cut through there.
fn back(
    polygons: &[Polygon<f64>],
    ring: &[DVec3],
    area: DVec3,
    place: impl Fn(Coord<f64>) -> DVec3,
) -> Vec<Vec<DVec3>> {
    let mut rings = Vec::new();
    for polygon in polygons {
        let simple = match polygon.interiors().is_empty() {
            true => vec![polygon.exterior().0.clone()],
            false => {
                use geo::TriangulateEarcut;
                let triangles = polygon.earcut_triangles();
                triangles.iter().map(|t| t.to_array().to_vec()).collect()
            }
        };
        for coords in simple {
            let mut found: Vec<DVec3> = coords
                .iter()
                .map(|c| {
                    let p = place(*c);
                    let near = ring.iter().find(|corner| corner.distance(p) < SAME_M);
                    near.copied().unwrap_or(p)
                })
                .collect();
            found.dedup();
            if found.len() > 1 && found.first() == found.last() {
                found.pop();
            }
            let own = area_vector(found.iter().copied());
            if found.len() < 3 || own.length() < SPECK_M2 {
                continue;
            }
            if own.dot(area) < 0.0 {
                found.reverse();
            }
            rings.push(found);
        }
    }
    rings
}
