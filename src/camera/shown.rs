//! What a camera's pictures show of the turf, and how much of each picture.
//!
//! In: a camera position and its [`Coverage`]; per instant a [`Shadow`]. Out: the places of the
//! cover, each with its weight, what the shadow does to it, the [`ClassShares`] of all that
//! is shown, and the share of the frames that show two sides.
//!
//! A place weighs what its cell takes of the picture, mean over the frames of the sweep: the
//! solid angle from the lens that each frame shows of it. So what fills the picture decides,
//! not what covers the most ground far off. Cells take about equal solid angles, and their
//! classes are shares of solid angle, so ground that lies close to the lens is known as well
//! as ground far off.

use geo::{BoundingRect, Coord, MultiPolygon, Polygon};

use super::class::ClassShares;
use super::cover::{Coverage, frame_on_ground, sweep};
use crate::geometry::{CellShade, ShadeShare, Shadow, Terrain, ViewCells};
use crate::venue::CameraPost;

/// About this many places of the cover are sampled.
const SAMPLES: f64 = 240.0;
/// About so many frames of a sweep are looked at for two sides at once, and each side takes
/// this share of a frame that shows both.
const FRAMES: usize = 24;
const FRAME_SIDE: f64 = 0.05;

/// The turf that a camera shows.
#[derive(Debug, Clone)]
pub(super) struct ShownTurf {
    cells: ViewCells,
    /// Share of the picture over the sweep; they sum to 1.
    weights: Vec<f64>,
    /// How many frames of a sweep are looked at, and the share that each place takes of each
    /// of them, place by place.
    frames: usize,
    in_frames: Vec<f64>,
}

impl ShownTurf {
    pub fn new(post: &CameraPost, cover: &Coverage, terrain: &Terrain) -> Self {
        let cells = ViewCells::on(terrain.clone(), &cover.region, post.at, SAMPLES);
        let mut weights = vec![0.0; cells.places().len()];
        let mut frames: Vec<Vec<f64>> = Vec::new();
        let axes = sweep(post);
        let every = axes.len().div_ceil(FRAMES).max(1);
        let box_of_cover = cover.region.bounding_rect().map(|bounds| bounds.to_polygon());
        let on_ground = |outline: &Polygon<f64>| {
            let frame = |axis| frame_on_ground(post, axis, outline, terrain);
            axes.iter().map(|axis| frame(*axis)).collect::<Vec<_>>()
        };
        for (i, frame) in box_of_cover.iter().flat_map(on_ground).enumerate() {
            if frame.is_empty() {
                continue;
            }
            let shown = cells.solid_angles_of(&MultiPolygon(frame));
            weights.iter_mut().zip(&shown).for_each(|(weight, shown)| *weight += shown);
            if i % every == 0 && shown.iter().any(|shown| *shown > 0.0) {
                frames.push(sum_to_one(shown.into_iter().map(|shown| shown.max(0.0)).collect()));
            }
        }
        let of_place = |place: usize| frames.iter().filter_map(move |frame| frame.get(place));
        let in_frames = (0..weights.len()).flat_map(of_place).copied().collect();
        Self { cells, weights: sum_to_one(weights), frames: frames.len(), in_frames }
    }

    /// The middles of the cells, local frame, metres.
    pub fn places(&self) -> &[Coord<f64>] {
        self.cells.places()
    }

    /// In the order of the places.
    pub fn weights(&self) -> &[f64] {
        &self.weights
    }

    /// What a shadow does to the cover as ground, and to each place.
    pub fn shade(&self, shadow: &Shadow) -> (ShadeShare, Vec<CellShade>) {
        self.cells.shade(shadow)
    }

    /// Shares of the picture.
    pub fn shares(&self, cells: &[CellShade]) -> ClassShares {
        ClassShares::of(self.weights.iter().copied().zip(cells))
    }

    /// Share of the frames of a sweep that show full sun and something else at once.
    pub fn mixed_frames(&self, cells: &[CellShade]) -> f64 {
        let mut sun = vec![0.0; self.frames];
        for (cell, shares) in cells.iter().zip(self.in_frames.chunks_exact(self.frames.max(1))) {
            sun.iter_mut().zip(shares).for_each(|(sun, share)| *sun += share * cell.sun);
        }
        let both = FRAME_SIDE..=1.0 - FRAME_SIDE;
        let mixed = sun.iter().filter(|sun| both.contains(*sun)).count();
        mixed as f64 / self.frames.max(1) as f64
    }
}

/// Scaled to a sum of 1; all alike where there is nothing to scale.
fn sum_to_one(weights: Vec<f64>) -> Vec<f64> {
    let (sum, count) = (weights.iter().sum::<f64>(), weights.len());
    match sum > 0.0 {
        true => weights.into_iter().map(|weight| weight / sum).collect(),
        false => vec![1.0 / count.max(1) as f64; count],
    }
}
