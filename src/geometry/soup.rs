//! Rays against many triangles.
//!
//! In: a mesh, a point and a unit direction, local frame, metres. Out: where a ray
//! first meets it, and how often it passes through.
//!
//! A tree of boxes (crate `obvhs`, 32-bit floats) finds the triangles near a ray.
//! Its boxes are widened by more than those numbers round, so it never leaves one
//! out; the triangles themselves are met in 64-bit floats. A ray through a side or a
//! corner that triangles share meets exactly one of those before it: each triangle is
//! seen along the ray, and a line of sight that falls on a side counts as moved a
//! hair in a direction that is the same for all (Woop, Benthin and Wald, "Watertight
//! ray/triangle intersection", JCGT 2(1), 2013, for the projection; Edelsbrunner and
//! Muecke, "Simulation of simplicity", ACM Transactions on Graphics 9(1), 1990, for the
//! hair).

use std::time::Duration;

use glam::{DVec3, Vec3A};
use obvhs::aabb::Aabb;
use obvhs::bvh2::Bvh2;
use obvhs::bvh2::builder::build_bvh2;
use obvhs::ray::{Ray, RayHit};
use obvhs::{Boundable, BvhBuildParams};

use super::ray::{Met, SKIN_M};
use crate::frame::area_vector;
use crate::venue::mesh::{MeshSurface, TriangleMesh};

/// Boxes are widened by this share of the radius of the whole: fifty times what
/// 32-bit floats round.
const WIDENED: f64 = 4e-6;

/// Triangles prepared for rays.
#[derive(Clone)]
pub(super) struct Soup {
    triangles: Vec<[DVec3; 3]>,
    surface: MeshSurface,
    tree: Bvh2,
    centre: DVec3,
    radius_m: f64,
    widened_m: f64,
}

impl std::fmt::Debug for Soup {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Soup")
            .field("triangles", &self.triangles.len())
            .field("surface", &self.surface)
            .finish_non_exhaustive()
    }
}

/// The box around a triangle, from the middle of the whole.
struct Reach(Aabb);

impl Boundable for Reach {
    fn aabb(&self) -> Aabb {
        self.0
    }
}

impl Soup {
    /// Prepares a mesh inside of a sphere.
    pub fn new(mesh: &TriangleMesh, centre: DVec3, radius_m: f64) -> Self {
        let triangles: Vec<[DVec3; 3]> = mesh.triangles().iter().map(|t| mesh.corners(t)).collect();
        let widened_m = (WIDENED * radius_m).max(1e-6);
        let reach = |corners: &[DVec3; 3]| {
            let [a, b, c] = corners.map(|p| p - centre);
            let (low, high) = (a.min(b).min(c), a.max(b).max(c));
            let wide = DVec3::splat(widened_m);
            Reach(Aabb::new((low - wide).as_vec3a(), (high + wide).as_vec3a()))
        };
        let boxes: Vec<Reach> = triangles.iter().map(reach).collect();
        let tree = build_bvh2(&boxes, BvhBuildParams::medium_build(), &mut Duration::default());
        Self { triangles, surface: mesh.surface(), tree, centre, radius_m, widened_m }
    }

    /// Where a ray first meets the mesh.
    pub fn met(&self, from: DVec3, toward: DVec3) -> Option<Met> {
        let (ray, start_m) = self.near_part(from, toward)?;
        let sight = Sight::new(from, toward);
        let mut nearest: Option<(f64, usize)> = None;
        self.tree.ray_traverse(ray, &mut RayHit::none(), |_, slot| {
            let index = self.tree.primitive_indices[slot] as usize;
            match sight.meets(&self.triangles[index]) {
                Some(met) if nearest.is_none_or(|(distance_m, _)| met.distance_m < distance_m) => {
                    nearest = Some((met.distance_m, index));
                    // what is nearer by less than the tree can tell is still looked at
                    (met.distance_m - start_m + 2.0 * self.widened_m) as f32
                }
                _ => f32::INFINITY,
            }
        });
        let (distance_m, index) = nearest?;
        let normal = area_vector(self.triangles[index]).normalize_or(-toward);
        let normal = if normal.dot(toward) > 0.0 { -normal } else { normal };
        Some(Met { distance_m, normal })
    }

    /// Whether a ray meets the mesh at all.
    pub fn meets(&self, from: DVec3, toward: DVec3) -> bool {
        let Some((ray, _)) = self.near_part(from, toward) else { return false };
        let sight = Sight::new(from, toward);
        !self.tree.ray_traverse_miss(ray, |_, slot| {
            let index = self.tree.primitive_indices[slot] as usize;
            let met = sight.meets(&self.triangles[index]);
            if met.is_some() { f32::NEG_INFINITY } else { f32::INFINITY }
        })
    }

    /// Whether a point lies in a solid: a ray from it leaves once more than it enters.
    pub fn holds(&self, at: DVec3) -> bool {
        let toward = DVec3::Z;
        let Some((ray, _)) = self.near_part(at, toward) else { return false };
        let sight = Sight::new(at, toward);
        let mut more = 0;
        self.tree.ray_traverse_anyhit(ray, |_, slot| {
            let index = self.tree.primitive_indices[slot] as usize;
            if let Some(met) = sight.meets(&self.triangles[index]) {
                more += if met.leaves { 1 } else { -1 };
            }
        });
        self.surface == MeshSurface::Closed && more > 0
    }

    /// How often light is dimmed on a ray: out of a solid once, through each face of
    /// what is not closed once.
    pub fn passages(&self, from: DVec3, toward: DVec3) -> u32 {
        let Some((ray, _)) = self.near_part(from, toward) else { return 0 };
        let sight = Sight::new(from, toward);
        let mut count = 0;
        self.tree.ray_traverse_anyhit(ray, |_, slot| {
            let index = self.tree.primitive_indices[slot] as usize;
            let counts = |met: Crossing| self.surface == MeshSurface::Open || met.leaves;
            count += u32::from(sight.meets(&self.triangles[index]).is_some_and(counts));
        });
        count
    }

    /// The ray from where it comes near, in numbers of 32 bits, and how far that is.
    fn near_part(&self, from: DVec3, toward: DVec3) -> Option<(Ray, f64)> {
        let reach = self.radius_m + self.widened_m;
        let to = self.centre - from;
        let along = to.dot(toward);
        let beside = to.length_squared() - along * along;
        let half = (reach * reach - beside).max(0.0).sqrt();
        if beside > reach * reach || along + half < 0.0 {
            return None;
        }
        let start_m = (along - half).max(0.0);
        let origin: Vec3A = (from + toward * start_m - self.centre).as_vec3a();
        let length = (along + half - start_m + self.widened_m) as f32;
        let direction = toward.as_vec3a();
        (origin.is_finite() && direction.is_finite())
            .then(|| (Ray::new(origin, direction, 0.0, length), start_m))
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
    /// Which axis is which, the one that the ray runs along most being the third.
    axes: [usize; 3],
    shear: [f64; 3],
}

impl Sight {
    fn new(from: DVec3, toward: DVec3) -> Self {
        let size = toward.abs();
        let third = match () {
            () if size.x >= size.y && size.x >= size.z => 0,
            () if size.y >= size.z => 1,
            () => 2,
        };
        let axes = [(third + 1) % 3, (third + 2) % 3, third];
        let along = toward[third];
        let shear = [toward[axes[0]] / along, toward[axes[1]] / along, 1.0 / along];
        Self { from, axes, shear }
    }

    /// A point as the ray sees it: two axes across the ray, the third in units of the
    /// ray's own length along it. The same point gives the same numbers every time.
    fn seen(&self, p: DVec3) -> [f64; 3] {
        let p = p - self.from;
        let z = p[self.axes[2]];
        [
            p[self.axes[0]] - self.shear[0] * z,
            p[self.axes[1]] - self.shear[1] * z,
            self.shear[2] * z,
        ]
    }

    fn meets(&self, triangle: &[DVec3; 3]) -> Option<Crossing> {
        let [a, b, c] = triangle.map(|p| self.seen(p));
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
