//! Rays against many triangles.
//!
//! In: a mesh, a point and a unit direction, local frame, metres. Out: where a ray
//! first meets it, and how often it passes through.
//!
//! A tree of boxes finds the triangles near a ray, which are met in 64-bit floats. A ray
//! through a side or a corner that triangles share meets exactly one of those before it:
//! each triangle is seen along the ray, and a line of sight that falls on a side counts as
//! moved a hair in a direction that is the same for all (Woop, Benthin and Wald,
//! "Watertight ray/triangle intersection", JCGT 2(1), 2013, for the projection;
//! Edelsbrunner and Muecke, "Simulation of simplicity", ACM Transactions on Graphics 9(1),
//! 1990, for the hair).

use glam::DVec3;

use crate::base::frame::area_vector;
use crate::geometry::boxes::BoxTree;
use crate::geometry::ray::{RayHit, SKIN_M};
use crate::venue::mesh::{MeshSurface, TriangleMesh};

/// Triangles prepared for rays.
#[derive(Clone)]
pub(super) struct TriangleBvh {
    triangles: Vec<[DVec3; 3]>,
    surface: MeshSurface,
    tree: BoxTree,
}

impl std::fmt::Debug for TriangleBvh {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("TriangleBvh")
            .field("triangles", &self.triangles.len())
            .field("surface", &self.surface)
            .finish_non_exhaustive()
    }
}

impl TriangleBvh {
    /// Prepares a mesh inside of a sphere.
    pub fn new(mesh: &TriangleMesh, centre: DVec3, radius_m: f64) -> Self {
        let triangles: Vec<[DVec3; 3]> = mesh.triangles().iter().map(|t| mesh.corners(t)).collect();
        let boxes = triangles.iter().map(|[a, b, c]| [a.min(*b).min(*c), a.max(*b).max(*c)]);
        let tree = BoxTree::new(boxes, centre, radius_m);
        Self { triangles, surface: mesh.surface(), tree }
    }

    /// How many triangles.
    pub fn len(&self) -> usize {
        self.triangles.len()
    }

    /// Whether a solid is bounded: what passes leaves as often as it enters.
    pub fn is_closed(&self) -> bool {
        self.surface == MeshSurface::Closed
    }

    /// Where a ray first meets the mesh.
    pub fn hit(&self, from: DVec3, toward: DVec3) -> Option<RayHit> {
        let sight = Sight::new(from, toward);
        let mut nearest: Option<(f64, usize)> = None;
        self.tree.nearer_ones((from, toward), f64::INFINITY, |index| {
            let met = sight.meets(&self.triangles[index])?;
            let nearer = nearest.is_none_or(|(distance_m, _)| met.distance_m < distance_m);
            nearer.then(|| {
                nearest = Some((met.distance_m, index));
                met.distance_m
            })
        });
        let (distance_m, index) = nearest?;
        let normal = area_vector(self.triangles[index]).normalize_or(-toward);
        let normal = if normal.dot(toward) > 0.0 { -normal } else { normal };
        Some(RayHit { distance_m, normal })
    }

    /// Whether a ray meets the mesh at all.
    pub fn meets(&self, from: DVec3, toward: DVec3) -> bool {
        let sight = Sight::new(from, toward);
        self.tree.any(from, toward, |index| sight.meets(&self.triangles[index]).is_some())
    }

    /// Whether a point lies in a solid: a ray from it leaves once more than it enters.
    pub fn holds(&self, at: DVec3) -> bool {
        let sight = Sight::new(at, DVec3::Z);
        let mut more = 0;
        self.tree.any(at, DVec3::Z, |index| {
            if let Some(met) = sight.meets(&self.triangles[index]) {
                more += if met.leaves { 1 } else { -1 };
            }
            false
        });
        self.is_closed() && more > 0
    }

    /// How often light is dimmed on a ray: out of a solid once, through each face of
    /// what is not closed once.
    pub fn passages(&self, from: DVec3, toward: DVec3) -> u32 {
        let sight = Sight::new(from, toward);
        let mut count = 0;
        self.tree.any(from, toward, |index| {
            let counts = |met: Crossing| !self.is_closed() || met.leaves;
            count += u32::from(sight.meets(&self.triangles[index]).is_some_and(counts));
            false
        });
        count
    }
}

/// Where a ray meets a triangle.
#[derive(Debug, Clone, Copy)]
struct Crossing {
    distance_m: f64,
    /// Whether the ray comes from behind the triangle.
    leaves: bool,
}

/// A ray, and axes in which it points along the third.
struct Sight {
    from: DVec3,
    third: Axis,
    shear: [f64; 3],
}

/// The axis that a ray runs along most.
enum Axis {
    X,
    Y,
    Z,
}

impl Sight {
    fn new(from: DVec3, toward: DVec3) -> Self {
        let size = toward.abs();
        let third = match () {
            () if size.x >= size.y && size.x >= size.z => Axis::X,
            () if size.y >= size.z => Axis::Y,
            () => Axis::Z,
        };
        let DVec3 { x, y, z } = toward;
        let [first, second, along] = match third {
            Axis::X => [y, z, x],
            Axis::Y => [z, x, y],
            Axis::Z => [x, y, z],
        };
        Self { from, third, shear: [first / along, second / along, 1.0 / along] }
    }

    /// A point as the ray sees it: two axes across the ray, the third in units of the
    /// ray's own length along it. The same point gives the same numbers every time.
    #[inline(always)]
    fn seen<const THIRD: usize>(&self, p: DVec3) -> [f64; 3] {
        let p = (p - self.from).to_array();
        let z = p[THIRD];
        [
            p[(THIRD + 1) % 3] - self.shear[0] * z,
            p[(THIRD + 2) % 3] - self.shear[1] * z,
            self.shear[2] * z,
        ]
    }

    fn meets(&self, triangle: &[DVec3; 3]) -> Option<Crossing> {
        // an axis that is known beforehand needs no look-up for each number
        match self.third {
            Axis::X => self.crosses(triangle.map(|p| self.seen::<0>(p))),
            Axis::Y => self.crosses(triangle.map(|p| self.seen::<1>(p))),
            Axis::Z => self.crosses(triangle.map(|p| self.seen::<2>(p))),
        }
    }

    #[inline(always)]
    fn crosses(&self, [a, b, c]: [[f64; 3]; 3]) -> Option<Crossing> {
        let beside = |i: usize| {
            let all = |is: fn(f64) -> bool| is(a[i]) && is(b[i]) && is(c[i]);
            all(|v| v > 0.0) || all(|v| v < 0.0)
        };
        if beside(0) || beside(1) {
            return None;
        }
        let turns = [turn(b, c), turn(c, a), turn(a, b)];
        let left = turns.map(|t| t.1);
        if left[0] != left[1] || left[1] != left[2] {
            return None;
        }
        let whole = turns[0].0 + turns[1].0 + turns[2].0;
        if whole == 0.0 {
            return None; // seen from its edge
        }
        let distance_m = (turns[0].0 * a[2] + turns[1].0 * b[2] + turns[2].0 * c[2]) / whole;
        // axes are turned, not mirrored, unless the ray runs against the third
        let leaves = left[0] == (self.shear[2] > 0.0);
        (distance_m > SKIN_M).then_some(Crossing { distance_m, leaves })
    }
}

/// Twice the area of the triangle of the ray and a side, as the ray sees it, and
/// whether the side leaves the ray on its left. A ray on the side itself counts as moved
/// by a hair along the first axis and by much less along the second; to have it turn
/// the other way needs the side the other way around.
fn turn(a: [f64; 3], b: [f64; 3]) -> (f64, bool) {
    let area = a[0] * b[1] - a[1] * b[0];
    let rest = [a[1] - b[1], b[0] - a[0]];
    let left = if area != 0.0 {
        area > 0.0
    } else if rest[0] != 0.0 {
        rest[0] > 0.0
    } else {
        rest[1] > 0.0
    };
    (area, left)
}
