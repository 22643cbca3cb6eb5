//! A mesh as later stages see it.
//!
//! In: corners and triangles in the local frame, metres. Out: the same, and, worked
//! out when first asked for, its outline from above and its faces joined to larger
//! flat ones.

use std::sync::OnceLock;

use geo::{Area, BooleanOps, BoundingRect, Coord, MultiPolygon, Polygon, Rect, Simplify};
use glam::DVec3;

use crate::base::frame::{area_vector, plan_view};
use crate::base::union::union_of;

use super::cut::joined;

/// An outline from above loses corners that lie this near to the line between their
/// neighbours, metres ...
const OUTLINE_M: f64 = 0.02;
/// ... and specks and holes that are smaller than this, m2.
const SPECK_M2: f64 = 0.01;

/// What the edges of a mesh say of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MeshSurface {
    /// The outside of solids: triangles run anticlockwise seen from outside, and
    /// each edge is run as often one way as the other.
    Closed,
    /// Any triangles: each is a sheet with two sides.
    Open,
}

/// Triangles with shared corners.
#[derive(Debug, Clone)]
pub struct TriangleMesh {
    vertices: Vec<DVec3>,
    triangles: Vec<[u32; 3]>,
    surface: MeshSurface,
    plan: OnceLock<MultiPolygon<f64>>,
    plan_pieces: OnceLock<MultiPolygon<f64>>,
    flats: OnceLock<Vec<Vec<u32>>>,
}

impl PartialEq for TriangleMesh {
    /// Of the same corners and triangles; what was worked out of them does not matter.
    fn eq(&self, other: &Self) -> bool {
        self.surface == other.surface
            && self.triangles == other.triangles
            && self.vertices == other.vertices
    }
}

impl TriangleMesh {
    /// A mesh of corners (local frame, metres) and triangles of their indices.
    /// Triangles that name a corner that there is not are left out. `surface` has to
    /// be true: nothing checks it again.
    ///
    /// ```
    /// use glam::DVec3;
    /// use quarterstop::venue::mesh::{MeshSurface, TriangleMesh};
    /// let corners = vec![DVec3::ZERO, DVec3::X, DVec3::Z];
    /// let wall = TriangleMesh::new(corners, vec![[0, 1, 2], [0, 1, 9]], MeshSurface::Open);
    /// assert_eq!(wall.triangles(), [[0, 1, 2]]);
    /// ```
    pub fn new(vertices: Vec<DVec3>, triangles: Vec<[u32; 3]>, surface: MeshSurface) -> Self {
        let known = |t: &[u32; 3]| t.iter().all(|&i| (i as usize) < vertices.len());
        let triangles = triangles.into_iter().filter(known).collect();
        Self {
            vertices,
            triangles,
            surface,
            plan: OnceLock::new(),
            plan_pieces: OnceLock::new(),
            flats: OnceLock::new(),
        }
    }

    /// The same moved, metres.
    pub fn moved(&self, by: DVec3) -> Self {
        let vertices = self.vertices.iter().map(|p| *p + by).collect();
        Self::new(vertices, self.triangles.clone(), self.surface)
    }

    /// All corners, local frame, metres.
    pub fn vertices(&self) -> &[DVec3] {
        &self.vertices
    }

    /// Indices of corners, three a triangle.
    pub fn triangles(&self) -> &[[u32; 3]] {
        &self.triangles
    }

    /// Whether it is the outside of solids.
    pub fn surface(&self) -> MeshSurface {
        self.surface
    }

    /// The corners of a triangle that [`TriangleMesh::triangles`] lists.
    pub fn corners(&self, triangle: &[u32; 3]) -> [DVec3; 3] {
        triangle.map(|i| self.vertices[i as usize])
    }

    /// What it covers of the ground when seen from above (x east, y north, metres), to
    /// the centimetre. Upright faces cover nothing.
    pub fn plan(&self) -> &MultiPolygon<f64> {
        self.plan.get_or_init(|| {
            let down = |t: &[u32; 3]| {
                let corners = self.corners(t);
                let up = area_vector(corners).z;
                let seen = match self.surface {
                    // what looks up covers all that looks down
                    MeshSurface::Closed => up > 0.0,
                    MeshSurface::Open => up != 0.0,
                };
                seen.then(|| Polygon::new(corners.map(plan_view).to_vec().into(), Vec::new()))
            };
            let seen: Vec<Polygon<f64>> = self.triangles.iter().filter_map(down).collect();
            without_specks(union_of(&seen).simplify(OUTLINE_M))
        })
    }

    /// The same in polygons without holes, for those who draw one ring at a time.
    pub fn plan_pieces(&self) -> &MultiPolygon<f64> {
        self.plan_pieces.get_or_init(|| {
            let mut pieces = Vec::new();
            self.plan().iter().for_each(|polygon| cut_open(polygon, &mut pieces));
            MultiPolygon(pieces)
        })
    }

    /// Its faces, neighbours in one plane joined to convex polygons as far as that
    /// goes: rings of indices into [`TriangleMesh::vertices`], turned as the triangles.
    pub fn flats(&self) -> &[Vec<u32>] {
        self.flats.get_or_init(|| joined(&self.vertices, &self.triangles))
    }
}

fn without_specks(plan: MultiPolygon<f64>) -> MultiPolygon<f64> {
    let counts = |ring: &geo::LineString<f64>| {
        Polygon::new(ring.clone(), Vec::new()).unsigned_area() > SPECK_M2
    };
    let kept = plan.into_iter().filter(|p| counts(p.exterior())).map(|polygon| {
        let (outer, holes) = polygon.into_inner();
        Polygon::new(outer, holes.into_iter().filter(|hole| counts(hole)).collect())
    });
    MultiPolygon(kept.collect())
}

/// Cuts a polygon from north to south through its first hole until no piece has any.
fn cut_open(polygon: &Polygon<f64>, pieces: &mut Vec<Polygon<f64>>) {
    let (Some(hole), Some(around)) = (polygon.interiors().first(), polygon.bounding_rect()) else {
        pieces.push(polygon.clone());
        return;
    };
    let Some(middle) = hole.bounding_rect().map(|b| b.center().x) else { return };
    let (low, high) = (around.min(), around.max());
    let halves = [
        Rect::new(low, Coord { x: middle, y: high.y }),
        Rect::new(Coord { x: middle, y: low.y }, high),
    ];
    for half in halves {
        for part in polygon.intersection(&half.to_polygon()) {
            // a cut that takes no hole away would go on for ever
            match part.interiors().len() < polygon.interiors().len() {
                true => cut_open(&part, pieces),
                false => pieces.push(Polygon::new(part.exterior().clone(), Vec::new())),
            }
        }
    }
}
