//! How much of the sun's disc a place sees.
//!
//! In: a [`Prepared`] venue, the sun, how many points of its disc to take. Out: the share of the
//! direct light at a place on the ground, 0 to 1: by shadows cast from each point, or by rays to
//! them where models have so many triangles that rays cost less.

use geo::Coord;
use glam::DVec3;
use rayon::prelude::*;

use crate::engine::Prepared;
use crate::geometry::{Obstacles, OverlayScratch, ShadowRows};
use crate::solar::{SUN_DIAMETER_DEG, Sun};

/// More triangles than this in models are asked by rays instead.
const MAX_CAST_TRIANGLES: usize = 2_000;

/// How much of the sun's disc is seen.
pub(super) enum SoftShadow {
    /// By the shadows of its points.
    Cast(Vec<ShadowRows>),
    /// By rays to them.
    Rays { obstacles: Obstacles, toward: Vec<DVec3> },
}

impl SoftShadow {
    pub fn transmission_at(&self, at: Coord<f64>) -> f64 {
        let mean = |sum: f64, count: usize| sum / count.max(1) as f64;
        match self {
            Self::Cast(shadows) => {
                let sum = shadows.iter().map(|s| s.transmission_at(at).share()).sum();
                mean(sum, shadows.len())
            }
            Self::Rays { obstacles, toward } => {
                let from = obstacles.on_ground(at);
                let reaches = |d: &DVec3| obstacles.transmission(from, *d).share();
                mean(toward.iter().map(reaches).sum(), toward.len())
            }
        }
    }
}

impl Prepared<'_> {
    /// By `points` of the disc; 0 where the sun does not shine.
    pub(super) fn soft_shadow(&self, sun: &Sun, points: usize) -> SoftShadow {
        let toward = sun_points(sun.toward(), points);
        match self.lit.scene.obstacles().triangles() > MAX_CAST_TRIANGLES {
            true => self.by_rays(toward),
            false => self.by_casting(toward),
        }
    }

    fn by_rays(&self, toward: Vec<DVec3>) -> SoftShadow {
        SoftShadow::Rays { obstacles: self.lit.scene.obstacles().clone(), toward }
    }

    fn by_casting(&self, toward: Vec<DVec3>) -> SoftShadow {
        let cast = |bench: &mut OverlayScratch, toward| {
            ShadowRows::of(&self.turf.ground.cast(toward, bench))
        };
        SoftShadow::Cast(toward.into_par_iter().map_init(OverlayScratch::default, cast).collect())
    }
}

/// Directions to evenly spread points of the sun's disc (a sunflower's spiral:
/// equal areas).
fn sun_points(toward: DVec3, count: usize) -> Vec<DVec3> {
    let radius = 0.5 * SUN_DIAMETER_DEG.to_radians();
    let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    let right = toward.cross(DVec3::Z).try_normalize().unwrap_or(DVec3::X);
    let up = right.cross(toward);
    let point = |i: usize| {
        let r = radius * ((i as f64 + 0.5) / count as f64).sqrt();
        let (sin, cos) = (golden * i as f64).sin_cos();
        (toward + right * (r * cos) + up * (r * sin)).normalize()
    };
    // what lies under the horizon casts no shadow on the field
    (0..count).map(point).filter(|d| d.z > 0.0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::venue::{Venue, read};

    /// Rays to points of the sun and shadows cast from them are the same light, all over the
    /// ground with its opaque and its translucent roofs.
    #[test]
    fn rays_and_casts_give_the_same_soft_shadow() {
        let venue: Venue = read("venues/football-demo.toml".as_ref()).unwrap();
        let date = chrono::NaiveDate::from_ymd_opt(2027, 10, 16).unwrap();
        let prepared = Prepared::new(&venue, date);
        let toward = DVec3::new(-0.78, -0.5, 0.25).normalize();
        let (rays, casts) =
            (prepared.by_rays(sun_points(toward, 12)), prepared.by_casting(sun_points(toward, 12)));
        let grid = prepared.grid(Some(2.3));
        let (mut dark, mut between) = (0, 0);
        for node in 0..grid.count() {
            let at = venue.field.frame.to_local(grid.node(node));
            let at = Coord { x: at.x, y: at.y };
            let (by_rays, by_casts) = (rays.transmission_at(at), casts.transmission_at(at));
            assert!((by_rays - by_casts).abs() < 1e-9, "{at:?}: {by_rays} {by_casts}");
            dark += usize::from(by_rays == 0.0);
            between += usize::from(by_rays > 0.0 && by_rays < 1.0);
        }
        assert!(dark > 100 && between > 30, "{dark} {between}");
    }
}
