//! A venue's emitters while it is prepared, and what of their light comes back to them.

use glam::{DVec3, Vec4};
use rayon::prelude::*;

use crate::geometry::{Obstacles, SkyDome, SkyView, Surface};
use crate::light::ground_light::GroundSpots;
use crate::light::places::LightPlaces;
use crate::light::receiver::{Emitters, Receiver};
use crate::light::surround::Surround;
use crate::light::tristimulus::Tristimulus;

use super::GroundReflectances;

/// Of the light that pieces send to each other at least so much is lost: a closed white
/// room has no end of bounces.
const LOST: f32 = 1e-3;

/// Pieces, then places of the ground.
pub(super) struct PreparedPieces<'a> {
    pub obstacles: &'a Obstacles,
    pub surround: &'a Surround,
    pub ground: &'a GroundSpots,
    pub light_places: &'a LightPlaces,
    /// Places of the ground, the one in the open counted.
    pub places: usize,
}

impl Emitters for PreparedPieces<'_> {
    fn piece(&self, surface: &Surface) -> Option<usize> {
        self.surround.index_of(surface, self.obstacles)
    }

    fn kind(&self, spot: usize) -> usize {
        self.ground.kind(spot)
    }

    fn spot(&self, at: [f64; 2]) -> usize {
        self.ground.at(at, self.light_places, self.obstacles)
    }

    fn of_spot(&self, spot: usize) -> impl Iterator<Item = (usize, f64)> {
        let pieces = self.surround.len() + self.ground.kind(spot) * self.places;
        self.ground.places(spot).iter().map(move |&(place, weight)| (pieces + place, weight))
    }
}

/// What pieces from one on see.
pub(super) fn of_pieces(
    surround: &Surround,
    first: usize,
    obstacles: &Obstacles,
    dome: &SkyDome,
) -> Vec<Vec<(SkyView, DVec3, f64)>> {
    surround.pieces()[first..].par_iter().map(|piece| piece.views(obstacles, dome)).collect()
}

/// What comes back of the luminance of pieces: to each other, and by way of the ground.
pub(super) fn back(
    pieces: &[Receiver],
    turf: &[Receiver],
    count: usize,
    reflects: GroundReflectances,
) -> Vec<Vec<(usize, Vec4)>> {
    let ground = luminances_of(reflects);
    let on_turf: Vec<Vec<(usize, f64)>> = turf.iter().map(|t| t.pieces().collect()).collect();
    let row = |piece: &Receiver| {
        let mut sent = vec![Vec4::ZERO; count];
        for (other, factor) in piece.pieces() {
            sent[other] += Vec4::splat(factor as f32);
        }
        for (emitter, factor) in piece.ground() {
            let (kind, place) = ((emitter - count) / turf.len(), (emitter - count) % turf.len());
            for (other, share) in on_turf.get(place).into_iter().flatten() {
                sent[*other] += ground[kind] * (factor * share) as f32;
            }
        }
        let kept = sent.iter().map(|v| v.truncate().max_element()).sum::<f32>();
        let scale = ((1.0 - LOST) / kept.max(f32::MIN_POSITIVE)).min(1.0);
        sent.iter()
            .enumerate()
            .filter(|(_, v)| **v != Vec4::ZERO)
            .map(|(i, v)| (i, *v * scale))
            .collect()
    };
    pieces.par_iter().map(row).collect()
}

/// Luminance of either kind of ground for a lux on it, cd/m2.
pub(super) fn luminances_of(reflects: GroundReflectances) -> [Vec4; 2] {
    reflects.map(|reflects| four(Tristimulus::from(reflects) * std::f64::consts::FRAC_1_PI))
}

/// The three values in lanes, and a nought.
pub(super) fn four(light: Tristimulus) -> Vec4 {
    DVec3::from(light.values()).as_vec3().extend(0.0)
}
