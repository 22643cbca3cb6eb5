//! A tree of boxes that finds what may lie on a ray.
//!
//! In: the box around each of many things, local frame, metres; then a point and a unit
//! direction. Out: the index of each thing whose box the ray meets, nearest boxes first.
//!
//! The tree (crate `obvhs`) has 32-bit floats. Boxes are widened by more than those
//! numbers round, so it never leaves a thing out; who asks meets the things themselves
//! in 64-bit floats.

use std::time::Duration;

use glam::{DVec3, Vec3A};
use obvhs::aabb::Aabb;
use obvhs::bvh2::Bvh2;
use obvhs::bvh2::builder::build_bvh2;
use obvhs::ray::{Ray, RayHit as BoxHit};
use obvhs::{Boundable, BvhBuildParams};

/// Boxes are widened by this share of the radius of the whole: fifty times what
/// 32-bit floats round.
const WIDENED: f64 = 4e-6;

/// Boxes ready for rays.
#[derive(Clone)]
pub(super) struct BoxTree {
    tree: Bvh2,
    centre: DVec3,
    radius_m: f64,
    widened_m: f64,
}

impl std::fmt::Debug for BoxTree {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("BoxTree").field("radius_m", &self.radius_m).finish_non_exhaustive()
    }
}

/// A box, from the middle of the whole.
struct Reach(Aabb);

impl Boundable for Reach {
    fn aabb(&self) -> Aabb {
        self.0
    }
}

impl BoxTree {
    /// Of the lowest and highest corner of each box, all of them inside of a sphere.
    pub fn new(boxes: impl Iterator<Item = [DVec3; 2]>, centre: DVec3, radius_m: f64) -> Self {
        let widened_m = (WIDENED * radius_m).max(1e-6);
        let wide = DVec3::splat(widened_m);
        let reach = |[low, high]: [DVec3; 2]| {
            let (low, high) = (low - centre - wide, high - centre + wide);
            Reach(Aabb::new(low.as_vec3a(), high.as_vec3a()))
        };
        let boxes: Vec<Reach> = boxes.map(reach).collect();
        // a thing that is split would be asked about twice, and counted twice
        let slowly = BvhBuildParams { pre_split: false, ..BvhBuildParams::slow_build() };
        let tree = build_bvh2(&boxes, slowly, &mut Duration::default());
        Self { tree, centre, radius_m, widened_m }
    }

    /// Asks about each thing whose box a ray meets within a distance; where `meets`
    /// answers with a distance, what is farther is not asked about.
    #[inline]
    pub fn nearer_ones(
        &self,
        (from, toward): (DVec3, DVec3),
        within_m: f64,
        mut meets: impl FnMut(usize) -> Option<f64>,
    ) {
        let Some((ray, start_m)) = self.near_part(from, toward, within_m) else { return };
        self.tree.ray_traverse(ray, &mut BoxHit::none(), |_, slot| {
            match meets(self.tree.primitive_indices[slot] as usize) {
                // what is nearer by less than the tree can tell is still asked about
                Some(distance_m) => (distance_m - start_m + 2.0 * self.widened_m) as f32,
                None => f32::INFINITY,
            }
        });
    }

    /// Asks about each thing whose box a ray meets until one answers yes.
    #[inline]
    pub fn any(&self, from: DVec3, toward: DVec3, mut is: impl FnMut(usize) -> bool) -> bool {
        let Some((ray, _)) = self.near_part(from, toward, f64::INFINITY) else { return false };
        !self.tree.ray_traverse_miss(ray, |_, slot| {
            let yes = is(self.tree.primitive_indices[slot] as usize);
            if yes { f32::NEG_INFINITY } else { f32::INFINITY }
        })
    }

    /// The ray from where it comes near, in numbers of 32 bits, and how far that is.
    fn near_part(&self, from: DVec3, toward: DVec3, within_m: f64) -> Option<(Ray, f64)> {
        let reach = self.radius_m + self.widened_m;
        let to = self.centre - from;
        let along = to.dot(toward);
        let beside = to.length_squared() - along * along;
        let half = (reach * reach - beside).max(0.0).sqrt();
        let start_m = (along - half).max(0.0);
        if beside > reach * reach || along + half < 0.0 || start_m > within_m {
            return None;
        }
        let origin: Vec3A = (from + toward * start_m - self.centre).as_vec3a();
        let length = (along + half).min(within_m) - start_m + self.widened_m;
        let direction = toward.as_vec3a();
        (origin.is_finite() && direction.is_finite())
            .then(|| (Ray::new(origin, direction, 0.0, length as f32), start_m))
    }
}
