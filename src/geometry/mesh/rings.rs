//! Corners of faces, ring by ring, and what is done to a ring before it is a face.
//!
//! In: rings in field axes, metres. Out: flat rings above the plane; triangles in an order in
//! which neighbours lie close.

use geo::{Coord, LineString, Polygon, TriangulateEarcut};
use glam::DVec3;

use crate::base::frame::area_vector;

use super::Face;

/// A face bent by more than this, metres, is cut into triangles.
const FLAT_M: f64 = 1e-9;

/// Corners of all faces, one face after the other.
#[derive(Default)]
pub(super) struct Rings {
    corners: Vec<u32>,
    ends: Vec<u32>,
}

impl Rings {
    /// Adds a ring; corners that come twice in a row count once.
    pub fn push(&mut self, ring: impl Iterator<Item = u32>) {
        let start = self.corners.len();
        for corner in ring {
            if self.corners.len() == start || self.corners.last() != Some(&corner) {
                self.corners.push(corner);
            }
        }
        self.ends.push(self.corners.len() as u32);
    }

    /// Each ring, in the order of faces.
    pub fn iter(&self) -> impl Iterator<Item = &[u32]> {
        let starts = std::iter::once(0).chain(self.ends.iter().copied());
        starts.zip(&self.ends).map(|(start, &end)| &self.corners[start as usize..end as usize])
    }

    pub fn corner_count(&self) -> usize {
        self.corners.len()
    }

    pub fn len(&self) -> usize {
        self.ends.len()
    }
}

/// Triangles in an order in which neighbours in the list lie close: cells of space
/// one after the other.
pub(super) fn close_runs(vertices: &[DVec3], triangles: &[[u32; 3]]) -> Vec<[u32; 3]> {
    let middle = |t: &[u32; 3]| t.iter().map(|&i| vertices[i as usize]).sum::<DVec3>() / 3.0;
    let (low, high) = vertices
        .iter()
        .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(l, h), p| (l.min(*p), h.max(*p)));
    let size = (high - low).max_element().max(f64::MIN_POSITIVE);
    // bits of the three coordinates in turn: a walk from cell to cell
    let key = |t: &[u32; 3]| {
        let at = ((middle(t) - low) / size * 1023.0).max(DVec3::ZERO);
        let spread = |v: f64| (0..10).map(|bit| ((v as u64 >> bit) & 1) << (3 * bit)).sum::<u64>();
        spread(at.x) | spread(at.y) << 1 | spread(at.z) << 2
    };
    let mut ordered = triangles.to_vec();
    ordered.sort_by_cached_key(key);
    ordered
}

pub(super) fn opposed(a: &Face, b: &Face) -> bool {
    a.normal.dot(b.normal) < -0.999_999
}

/// A planar ring as it is; a bent one as triangles.
pub(super) fn flat_rings(ring: &[DVec3]) -> Vec<Vec<DVec3>> {
    let Some(normal) = area_vector(ring.iter().copied()).try_normalize() else {
        return Vec::new();
    };
    let offsets = ring.iter().map(|p| (p - ring[0]).dot(normal).abs());
    if ring.len() <= 3 || offsets.fold(0.0, f64::max) <= FLAT_M {
        return vec![ring.to_vec()];
    }
    let u = normal.any_orthonormal_vector();
    let v = normal.cross(u);
    let coords: Vec<Coord<f64>> =
        ring.iter().map(|p| Coord { x: (p - ring[0]).dot(u), y: (p - ring[0]).dot(v) }).collect();
    let raw = Polygon::new(LineString(coords), Vec::new()).earcut_triangles_raw();
    let corner = |i: usize| ring[i % ring.len()];
    let oriented = |t: &[usize]| {
        let triangle = vec![corner(t[0]), corner(t[1]), corner(t[2])];
        if area_vector(triangle.iter().copied()).dot(normal) < 0.0 {
            vec![triangle[0], triangle[2], triangle[1]]
        } else {
            triangle
        }
    };
    raw.triangle_indices.chunks_exact(3).map(oriented).collect()
}

/// The part of a planar ring on and above the plane.
pub(in crate::geometry) fn above_plane(ring: &[DVec3]) -> Vec<DVec3> {
    if ring.iter().all(|p| p.z >= 0.0) {
        return ring.to_vec();
    }
    let mut kept = Vec::with_capacity(ring.len() + 2);
    for (&a, &b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        if a.z >= 0.0 {
            kept.push(a);
        }
        if (a.z < 0.0) != (b.z < 0.0) {
            kept.push(on_plane(a, b));
        }
    }
    kept
}

/// Where a segment meets the plane. The ends are taken in a fixed order so that
/// faces that share the segment agree to the last bit.
fn on_plane(a: DVec3, b: DVec3) -> DVec3 {
    let (low, high) = if a.z < b.z { (a, b) } else { (b, a) };
    let p = low + (high - low) * (-low.z / (high.z - low.z));
    DVec3::new(p.x, p.y, 0.0)
}
