//! How much of the sky a point sees.
//!
//! In: obstacles and a point, local frame, metres. Out: for each of the sky's
//! patches the share of its light that arrives, and from that the sky view
//! factor of the horizontal plane and of upright faces, 0 to 1.
//!
//! The dome is cut into patches of equal solid angle, 24 bands of equal
//! `sin(elevation)` by 48 columns. Each column is shifted by its own part of a
//! band, so that a level roofline does not fall on all bands at once. A
//! horizontal plane weighs a patch with `sin(elevation)`, an upright face with
//! the cosine of the angle to its normal; over the open dome the former sum to
//! 1, the latter to 1/2.

use glam::DVec3;

use super::ray::Obstacle;
use crate::units::Azimuth;

const BANDS: usize = 24;
const COLUMNS: usize = 48;
/// Prime to [`COLUMNS`] and close to the golden section of it: neighbouring
/// columns get shifts far apart.
const SHIFT_STRIDE: usize = 29;

/// Directions of the sky's patches.
#[derive(Debug, Clone)]
pub struct SkyDome {
    toward: Vec<DVec3>,
}

impl Default for SkyDome {
    fn default() -> Self {
        Self::new()
    }
}

impl SkyDome {
    /// The dome of 1152 patches.
    pub fn new() -> Self {
        let mut toward = Vec::with_capacity(BANDS * COLUMNS);
        for column in 0..COLUMNS {
            let shift = ((column * SHIFT_STRIDE % COLUMNS) as f64 + 0.5) / COLUMNS as f64;
            let azimuth = std::f64::consts::TAU * (column as f64 + 0.5) / COLUMNS as f64;
            for band in 0..BANDS {
                let sine = (band as f64 + shift) / BANDS as f64;
                let cosine = (1.0 - sine * sine).sqrt();
                toward.push(DVec3::new(azimuth.sin() * cosine, azimuth.cos() * cosine, sine));
            }
        }
        Self { toward }
    }

    /// Unit vectors to the middle of each patch.
    pub fn directions(&self) -> &[DVec3] {
        &self.toward
    }

    /// Solid angle of each patch, sr.
    pub fn patch_sr(&self) -> f64 {
        std::f64::consts::TAU / self.toward.len() as f64
    }

    /// What a point sees of the sky between the obstacles.
    pub fn from_point(&self, obstacles: &[Obstacle], at: DVec3) -> SkyView {
        let mut arrives = vec![1.0_f32; self.toward.len()];
        for obstacle in obstacles {
            let (axis, cosine) = obstacle.cone_from(at);
            for (share, &toward) in arrives.iter_mut().zip(&self.toward) {
                if toward.dot(axis) >= cosine && *share > 0.0 && obstacle.meets(at, toward) {
                    *share *= obstacle.passes().share() as f32;
                }
            }
        }
        SkyView { arrives }
    }

    /// Sky view factor of the horizontal plane: the part of an evenly bright
    /// sky's illuminance that arrives. 1 in the open.
    pub fn horizontal(&self, view: &SkyView) -> f64 {
        self.weigh(view, DVec3::Z)
    }

    /// The same for an upright face that looks to an azimuth. 1/2 in the open.
    pub fn upright(&self, view: &SkyView, faces: Azimuth) -> f64 {
        let (sine, cosine) = faces.radians().sin_cos();
        self.weigh(view, DVec3::new(sine, cosine, 0.0))
    }

    fn weigh(&self, view: &SkyView, normal: DVec3) -> f64 {
        let seen = view.arrives.iter().zip(&self.toward);
        let sum: f64 = seen.map(|(&share, d)| f64::from(share) * d.dot(normal).max(0.0)).sum();
        sum * self.patch_sr() / std::f64::consts::PI
    }
}

/// Share of each patch's light that arrives at a point.
#[derive(Debug, Clone, PartialEq)]
pub struct SkyView {
    arrives: Vec<f32>,
}

impl SkyView {
    /// In the order of [`SkyDome::directions`], 0 to 1.
    pub fn arrives(&self) -> &[f32] {
        &self.arrives
    }
}
