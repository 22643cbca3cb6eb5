//! What a camera's pictures show of the turf, and how much of each picture.
//!
//! In: a camera position and its [`Cover`]; per instant a [`Shadow`]. Out: the places of the
//! cover, each with its weight, what the shadow does to it, the [`ClassShares`] of all that
//! is shown, and the share of the frames that show two sides.
//!
//! A place weighs what its part of the turf takes of the picture, mean over the frames of
//! the sweep: its solid angle from the lens, `area * sin(depression) / distance^2`, times the
//! share of the frames that show it. So what fills the picture decides, not what covers the
//! most ground far off.

use geo::Coord;
use glam::DVec3;

use super::class::ClassShares;
use super::cover::{Cover, frames};
use crate::geometry::{CellShade, Lattice, Region, ShadeShare, Shadow};
use crate::venue::CameraPost;

/// About this many places of the cover are sampled.
const SAMPLES: f64 = 240.0;
/// About so many frames of a sweep are looked at for two sides at once, and each side takes
/// this share of a frame that shows both.
const FRAMES: usize = 24;
const FRAME_SIDE: f64 = 0.05;
/// For weights all frames of a sweep count.
const EVERY_FRAME: usize = usize::MAX;

/// The turf that a camera shows.
#[derive(Debug, Clone)]
pub(super) struct Shown {
    region: Region,
    places: Lattice,
    /// Of each place's cell, as far as it lies in the cover.
    areas_m2: Vec<f64>,
    /// Share of the picture over the sweep; they sum to 1.
    weights: Vec<f64>,
    /// Places that each frame of a sweep shows, each with its share of them.
    frames: Vec<Vec<(usize, f64)>>,
}

impl Shown {
    pub fn new(post: &CameraPost, cover: &Cover) -> Self {
        let places = Lattice::over(&cover.region, cover.area_m2, SAMPLES);
        let region = Region::new(&cover.region);
        let areas_m2 = places.cell_areas_m2(&region);
        let solid: Vec<f64> =
            places.places().iter().zip(&areas_m2).map(|(at, m2)| m2 * per_m2(post, *at)).collect();
        let all = frames(post, places.places(), EVERY_FRAME);
        let mut weights = vec![0.0; solid.len()];
        for &place in all.iter().flatten() {
            if let (Some(weight), Some(solid)) = (weights.get_mut(place), solid.get(place)) {
                *weight += solid;
            }
        }
        let of = |frame: Vec<usize>| {
            let seen = frame.into_iter().filter_map(|i| Some((i, *solid.get(i)?))).collect();
            normalised(seen)
        };
        Self {
            frames: frames(post, places.places(), FRAMES).into_iter().map(of).collect(),
            weights: sum_to_one(weights),
            region,
            areas_m2,
            places,
        }
    }

    /// The middles of the cells, local frame, metres.
    pub fn places(&self) -> &[Coord<f64>] {
        self.places.places()
    }

    /// In the order of the places.
    pub fn weights(&self) -> &[f64] {
        &self.weights
    }

    /// What a shadow does to the cover as ground, and to each place.
    pub fn shade(&self, shadow: &Shadow) -> (ShadeShare, Vec<CellShade>) {
        self.places.shade(&self.region, &self.areas_m2, shadow)
    }

    /// Shares of the picture.
    pub fn shares(&self, cells: &[CellShade]) -> ClassShares {
        ClassShares::of(self.weights.iter().copied().zip(cells))
    }

    /// Share of the frames of a sweep that show full sun and something else at once.
    pub fn mixed_frames(&self, cells: &[CellShade]) -> f64 {
        let sun = |frame: &Vec<(usize, f64)>| {
            frame.iter().filter_map(|(i, w)| Some(w * cells.get(*i)?.sun)).sum::<f64>()
        };
        let showing = self.frames.iter().filter(|frame| !frame.is_empty());
        let both = FRAME_SIDE..=1.0 - FRAME_SIDE;
        let mixed = showing.clone().filter(|frame| both.contains(&sun(frame)));
        mixed.count() as f64 / showing.count().max(1) as f64
    }
}

/// Solid angle of turf as the lens sees it, 1/m2.
fn per_m2(post: &CameraPost, at: Coord<f64>) -> f64 {
    let to = DVec3::new(at.x, at.y, 0.0) - post.at;
    let distance = to.length();
    if distance > 0.0 { to.z.abs() / distance.powi(3) } else { 0.0 }
}

fn normalised(seen: Vec<(usize, f64)>) -> Vec<(usize, f64)> {
    let weights = sum_to_one(seen.iter().map(|(_, weight)| *weight).collect());
    seen.into_iter().zip(weights).map(|((place, _), weight)| (place, weight)).collect()
}

/// Scaled to a sum of 1; all alike where there is nothing to scale.
fn sum_to_one(weights: Vec<f64>) -> Vec<f64> {
    let (sum, count) = (weights.iter().sum::<f64>(), weights.len());
    match sum > 0.0 {
        true => weights.into_iter().map(|weight| weight / sum).collect(),
        false => vec![1.0 / count.max(1) as f64; count],
    }
}
