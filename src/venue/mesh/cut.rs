//! Polygons to triangles, and triangles back to larger flat polygons.
//!
//! In: rings of corners in space. Out: triangles that use every corner of the ring,
//! so that neighbours stay neighbours; or convex polygons of triangles in one plane.

use std::collections::HashMap;

use geo::{Coord, LineString, Polygon, TriangulateEarcut};
use glam::DVec3;

use crate::base::frame::area_vector;
use crate::base::plane::{P2, cross};

/// Areas of a polygon and of its triangles that differ by more than this share do
/// not belong together.
const SAME_AREA: f64 = 1e-6;
/// Corners this near to a plane lie in it, metres.
const IN_PLANE_M: f64 = 1e-3;
/// Normals whose cosine is less belong to two planes.
const SAME_FACING: f64 = 0.999_9;
/// Joined polygons have this many corners at most.
const MAX_CORNERS: usize = 64;
/// A turn back by less than this sine is rounding.
const STRAIGHT: f64 = 1e-9;

/// Triangles of a polygon.
pub(super) struct PolygonCut {
    /// Indices into the ring, turned as the ring.
    pub triangles: Vec<[usize; 3]>,
    /// Whether they fill the polygon; not so where it crosses itself.
    pub fills: bool,
}

/// Cuts a polygon, convex or not; one that is a little bent is cut as seen along its
/// mean normal.
pub(super) fn cut(ring: &[DVec3]) -> PolygonCut {
    let count = ring.len();
    if count < 3 {
        return PolygonCut { triangles: Vec::new(), fills: true };
    }
    let fan = || (1..count - 1).map(|i| [0, i, i + 1]).collect();
    let Some(normal) = area_vector(ring.iter().copied()).try_normalize() else {
        // nothing to fill, but its borders may join others; or two halves that cross
        // and cancel each other
        let triangles: Vec<[usize; 3]> = fan();
        let no_area = |t: &[usize; 3]| area_vector(t.map(|i| ring[i])) == DVec3::ZERO;
        return PolygonCut { fills: triangles.iter().all(no_area), triangles };
    };
    if count == 3 {
        return PolygonCut { triangles: fan(), fills: true };
    }
    let u = normal.any_orthonormal_vector();
    let v = normal.cross(u);
    let flat: Vec<P2> = ring.iter().map(|p| [(p - ring[0]).dot(u), (p - ring[0]).dot(v)]).collect();
    let triangles = if is_convex(&flat) { fan() } else { by_ears(&flat) };
    let area = |t: &[usize; 3]| cross(flat[t[0]], flat[t[1]], flat[t[2]]);
    let whole: f64 = triangles_of_fan(&flat);
    let sum: f64 = triangles.iter().map(|t| area(t).abs()).sum();
    PolygonCut { fills: (sum - whole.abs()).abs() <= SAME_AREA * whole.abs(), triangles }
}

fn triangles_of_fan(flat: &[P2]) -> f64 {
    flat.windows(2).map(|w| cross(flat[0], w[0], w[1])).sum()
}

/// Whether a ring that runs anticlockwise turns left at every corner and goes around
/// once.
fn is_convex(flat: &[P2]) -> bool {
    let n = flat.len();
    let step = |i: usize| {
        let (a, b) = (flat[i % n], flat[(i + 1) % n]);
        [b[0] - a[0], b[1] - a[1]]
    };
    let mut around = 0.0;
    for i in 0..n {
        let (a, b) = (step(i), step(i + 1));
        let (sine, cosine) = (a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1]);
        if sine < 0.0 {
            return false;
        }
        around += sine.atan2(cosine);
    }
    around < 1.5 * std::f64::consts::TAU
}

fn by_ears(flat: &[P2]) -> Vec<[usize; 3]> {
    let coords: Vec<Coord<f64>> = flat.iter().map(|p| Coord { x: p[0], y: p[1] }).collect();
    let raw = Polygon::new(LineString(coords), Vec::new()).earcut_triangles_raw();
    let n = flat.len();
    let turned = |t: &[usize]| {
        let t = [t[0] % n, t[1] % n, t[2] % n];
        if cross(flat[t[0]], flat[t[1]], flat[t[2]]) < 0.0 { [t[0], t[2], t[1]] } else { t }
    };
    let triangles = raw.triangle_indices.chunks_exact(3).map(turned).collect();
    with_straight_corners(triangles, n)
}

/// Gives corners that ear cutting passes over, since they lie on a straight side,
/// back to the triangle of that side.
fn with_straight_corners(mut triangles: Vec<[usize; 3]>, count: usize) -> Vec<[usize; 3]> {
    let mut used = vec![false; count];
    triangles.iter().flatten().for_each(|&i| used[i] = true);
    let kept: Vec<usize> = (0..count).filter(|&i| used[i]).collect();
    for (k, &from) in kept.iter().enumerate() {
        let to = kept[(k + 1) % kept.len()];
        let between: Vec<usize> =
            (1..count).map(|i| (from + i) % count).take_while(|&i| i != to).collect();
        if between.is_empty() {
            continue;
        }
        let side = |t: &[usize; 3]| (0..3).find(|&i| t[i] == from && t[(i + 1) % 3] == to);
        let found = triangles.iter().enumerate().find_map(|(at, t)| Some((at, side(t)?)));
        if let Some((at, side)) = found {
            let tip = triangles[at][(side + 2) % 3];
            triangles.swap_remove(at);
            let stops: Vec<usize> = [&[from], between.as_slice(), &[to]].concat();
            triangles.extend(stops.windows(2).map(|w| [w[0], w[1], tip]));
        }
    }
    triangles
}

/// Joins triangles of one plane to convex polygons over their common sides, the
/// longest first.
pub(super) fn joined(vertices: &[DVec3], triangles: &[[u32; 3]]) -> Vec<Vec<u32>> {
    let mut rings: Vec<Vec<u32>> = triangles.iter().map(|t| t.to_vec()).collect();
    let mut owner: Vec<usize> = (0..rings.len()).collect();
    for (a, b, left, right) in shared_sides(vertices, triangles) {
        let (p, q) = (owner_of(&mut owner, left), owner_of(&mut owner, right));
        if p == q {
            continue;
        }
        if let Some(ring) = convex_union(vertices, &rings[p], &rings[q], (a, b)) {
            rings[p] = ring;
            rings[q].clear();
            owner[q] = p;
        }
    }
    rings.retain(|ring| !ring.is_empty());
    rings
}

fn owner_of(owner: &mut [usize], mut at: usize) -> usize {
    while owner[at] != at {
        owner[at] = owner[owner[at]];
        at = owner[at];
    }
    at
}

/// Sides that one triangle runs forward and one backward, longest first.
fn shared_sides(vertices: &[DVec3], triangles: &[[u32; 3]]) -> Vec<(u32, u32, usize, usize)> {
    let mut runs: HashMap<(u32, u32), Option<usize>> = HashMap::new();
    for (face, t) in triangles.iter().enumerate() {
        for i in 0..3 {
            // a side that two triangles run the same way joins nothing
            let twice = |e: &mut Option<usize>| *e = None;
            runs.entry((t[i], t[(i + 1) % 3])).and_modify(twice).or_insert(Some(face));
        }
    }
    let length = |a: u32, b: u32| vertices[a as usize].distance_squared(vertices[b as usize]);
    let mut sides: Vec<(u32, u32, usize, usize)> = runs
        .iter()
        .filter(|((a, b), _)| a < b)
        .filter_map(|(&(a, b), &left)| Some((a, b, left?, (*runs.get(&(b, a))?)?)))
        .collect();
    sides.sort_by(|x, y| {
        length(y.0, y.1).total_cmp(&length(x.0, x.1)).then((x.0, x.1).cmp(&(y.0, y.1)))
    });
    sides
}

/// Two rings joined over the side that `p` runs from `a` to `b`; `None` where that
/// is not flat and convex.
fn convex_union(vertices: &[DVec3], p: &[u32], q: &[u32], (a, b): (u32, u32)) -> Option<Vec<u32>> {
    let count = p.len() + q.len() - 2;
    if count > MAX_CORNERS {
        return None;
    }
    let at = |i: u32| vertices[i as usize];
    let normal = |ring: &[u32]| area_vector(ring.iter().map(|&i| at(i))).try_normalize();
    let (n, m) = (normal(p)?, normal(q)?);
    let off = |i: &u32| n.dot(at(*i) - at(a)).abs();
    if n.dot(m) < SAME_FACING || q.iter().chain(p).map(off).any(|d| d > IN_PLANE_M) {
        return None;
    }
    let from = |ring: &[u32], start: u32| -> Option<Vec<u32>> {
        let first = ring.iter().position(|&i| i == start)?;
        Some(ring[first..].iter().chain(&ring[..first]).copied().collect())
    };
    // p from b around to a, then q from a around to b, without what is there already
    let mut ring = from(p, b)?;
    ring.extend(from(q, a)?.into_iter().skip(1).take(q.len() - 2));
    let turns_left = |i: usize| {
        let (u, v, w) = (ring[i], ring[(i + 1) % count], ring[(i + 2) % count]);
        let (into, out) = (at(v) - at(u), at(w) - at(v));
        let (sine, scale) = (into.cross(out).dot(n), into.length() * out.length());
        sine > STRAIGHT * scale || (sine >= -STRAIGHT * scale && into.dot(out) > 0.0)
    };
    (0..count).all(turns_left).then_some(ring)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(ring: &[DVec3], t: &[usize; 3]) -> DVec3 {
        area_vector(t.map(|i| ring[i])) * 0.5
    }

    #[test]
    fn a_horseshoe_is_cut_to_its_own_area_and_keeps_straight_corners() {
        // 3 x 3 without a notch of 1 x 2, in a slanted plane; one corner lies on a
        // straight side
        let flat = [
            [0.0, 0.0],
            [1.0, 0.0],
            [1.0, 2.0],
            [2.0, 2.0],
            [2.0, 0.0],
            [3.0, 0.0],
            [3.0, 3.0],
            [1.5, 3.0],
            [0.0, 3.0],
        ];
        let (u, v) = (DVec3::new(0.8, 0.0, 0.6), DVec3::Y);
        let ring: Vec<DVec3> = flat.iter().map(|p| u * p[0] + v * p[1]).collect();
        let cut = cut(&ring);
        assert!(cut.fills);
        assert_eq!(cut.triangles.len(), 7, "every corner is used");
        let sum: DVec3 = cut.triangles.iter().map(|t| area(&ring, t)).sum();
        assert!((sum - u.cross(v) * 7.0).length() < 1e-12);
        let each: f64 = cut.triangles.iter().map(|t| area(&ring, t).length()).sum();
        assert!((each - 7.0).abs() < 1e-12);
    }

    #[test]
    fn a_bow_tie_is_told() {
        let at = |x: f64, y: f64| DVec3::new(x, y, 0.0);
        // halves of unlike and of like areas
        for third in [at(1.0, 2.0), at(0.0, 2.0)] {
            assert!(!cut(&[at(0.0, 0.0), at(4.0, 0.0), third, at(4.0, 3.0)]).fills);
        }
    }

    #[test]
    fn a_cut_box_has_six_faces_again() {
        let corner = |i: u32| {
            DVec3::new(f64::from(i & 1), f64::from(i >> 1 & 1), f64::from(i >> 2 & 1)) * 5.0
        };
        let vertices: Vec<DVec3> = (0..8).map(corner).collect();
        let quads: [[u32; 4]; 6] =
            [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [1, 3, 7, 5], [3, 2, 6, 7], [2, 0, 4, 6]];
        let triangles: Vec<[u32; 3]> =
            quads.iter().flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]]).collect();
        let faces = joined(&vertices, &triangles);
        assert_eq!(faces.len(), 6);
        assert!(faces.iter().all(|f| f.len() == 4));
    }
}
