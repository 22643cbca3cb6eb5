//! How bright the ball is.
//!
//! In: places of the ball (local frame, metres), the camera, all light of the time. Out:
//! its mean luminance toward the camera, cd/m2.
//!
//! The ball is a matt sphere. In the sun its disc has on average 2/3 of the luminance of a
//! matt plane facing the sun, times `(sin p + (pi - p) cos p) / pi` at the phase angle p
//! between sun and camera (Russell, On the albedo of the planets and their satellites,
//! Astrophysical Journal 43, 1916; the phase law of a Lambert sphere). Sky and surroundings
//! are taken on four faces of the side that the camera sees, which is exact for light that
//! changes linearly across the disc.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

use glam::DVec3;

use crate::base::units::Luminance;

use super::behind::BackgroundLight;

/// Light of the sky on the ball is asked for so often, s; between it is linear.
const EVERY_S: f64 = 0.25;

/// Mean luminance of a matt sphere's disc against that of a matt plane facing the light,
/// at a phase angle in radians.
pub(super) fn phase(angle: f64) -> f64 {
    let angle = angle.clamp(0.0, PI);
    2.0 / 3.0 * (angle.sin() + (PI - angle) * angle.cos()) / PI
}

/// The ball at a time.
#[derive(Debug, Clone, Copy)]
pub(super) struct TimedBall {
    pub t_s: f64,
    pub at: DVec3,
}

/// Mean luminance of the ball at each place, which are in order of time.
pub(super) fn luminances(
    light: &BackgroundLight<'_>,
    camera: DVec3,
    reflectance: f64,
    places: &[TimedBall],
) -> Vec<Luminance> {
    let ambient = Ambient::new(light, camera, places);
    let one = |place: &TimedBall| {
        let to_camera = (camera - place.at).normalize_or(DVec3::Y);
        let angle = to_camera.angle_between(light.toward_sun);
        let sun = light.direct_lux() * light.sun_reaches(place.at) * phase(angle);
        Luminance::from_cd_per_m2((sun + ambient.lux(place.t_s)) * reflectance / PI)
    };
    places.iter().map(one).collect()
}

/// Light of all but the sun on the side that the camera sees.
struct Ambient(Vec<(f64, f64)>);

impl Ambient {
    fn new(light: &BackgroundLight<'_>, camera: DVec3, places: &[TimedBall]) -> Self {
        let mut chosen: Vec<TimedBall> = Vec::new();
        for (i, place) in places.iter().enumerate() {
            let due = chosen.last().is_none_or(|last| place.t_s - last.t_s >= EVERY_S);
            if due || i + 1 == places.len() {
                chosen.push(*place);
            }
        }
        let faces: Vec<(DVec3, DVec3)> =
            chosen.iter().flat_map(|p| faces(camera, p.at).map(|n| (p.at, n))).collect();
        let lit = light.on_faces_without_sun(&faces);
        let means = lit.chunks(4).map(|four| four.iter().sum::<f64>() / 4.0);
        Self(chosen.iter().map(|p| p.t_s).zip(means).collect())
    }

    fn lux(&self, t_s: f64) -> f64 {
        let next = self.0.partition_point(|(t, _)| *t < t_s);
        match (self.0.get(next.saturating_sub(1)), self.0.get(next)) {
            (Some(a), Some(b)) if b.0 > a.0 => a.1 + (t_s - a.0) / (b.0 - a.0) * (b.1 - a.1),
            (_, Some(only)) => only.1,
            _ => self.0.last().map_or(0.0, |last| last.1),
        }
    }
}

/// Normals half way (by area) out on the disc, up, down, left and right.
fn faces(camera: DVec3, at: DVec3) -> [DVec3; 4] {
    let to_camera = (camera - at).normalize_or(DVec3::Y);
    let right = to_camera.cross(DVec3::Z).normalize_or(DVec3::X);
    let up = right.cross(to_camera);
    [up, -up, right, -right].map(|out| (to_camera + out) * FRAC_1_SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A full Lambert sphere has two thirds of the plane's luminance on average (its
    /// geometric albedo), a half one 1 / pi of that (Russell 1916), a new one nothing.
    #[test]
    fn the_phase_law_has_its_known_values() {
        assert!((phase(0.0) - 2.0 / 3.0).abs() < 1e-12);
        assert!((phase(0.5 * PI) - 2.0 / (3.0 * PI)).abs() < 1e-12);
        assert!(phase(PI).abs() < 1e-12);
        // the integral over the lit half of the disc, summed
        let (n, p) = (400, 1.1_f64);
        let sun = DVec3::new(p.sin(), 0.0, p.cos());
        let mut sum = 0.0;
        for i in 0..n {
            for j in 0..n {
                let x = (f64::from(i) + 0.5) * 2.0 / f64::from(n) - 1.0;
                let y = (f64::from(j) + 0.5) * 2.0 / f64::from(n) - 1.0;
                let z2 = 1.0 - x * x - y * y;
                if z2 > 0.0 {
                    sum += DVec3::new(x, y, z2.sqrt()).dot(sun).max(0.0);
                }
            }
        }
        let mean = sum * 4.0 / f64::from(n * n) / PI;
        assert!((phase(p) - mean).abs() < 1e-3, "{} {mean}", phase(p));
    }

    #[test]
    fn faces_look_at_the_camera() {
        let camera = DVec3::new(3.0, -20.0, 15.0);
        for normal in faces(camera, DVec3::ZERO) {
            assert!((normal.length() - 1.0).abs() < 1e-12);
            assert!((normal.dot(camera.normalize()) - FRAC_1_SQRT_2).abs() < 1e-12);
        }
    }
}
