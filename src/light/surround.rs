//! Stands, roofs and trees as sources of light: what hides the sky is lit itself.
//!
//! In: the obstacles and what the field sees of them, once a venue; then, per
//! instant, sun, sky and the light on the turf. Out: the luminance of each
//! surface, cd/m2.
//!
//! What the field sees is cut into pieces by place, facing and reflectance. Each
//! piece knows how much of the sky it sees and where from the sun reaches it.
//! What it sees of other pieces counts with the mean luminance of all, so that
//! light thrown to and fro between stands and turf is summed to the end, and a
//! white box under an even sky is as bright as that sky.

use std::collections::HashMap;

use glam::DVec3;
use rayon::prelude::*;

use super::receivers::{CellChange, CellLight, Receiver, Receivers};
use super::tristimulus::Tristimulus;
use crate::geometry::{Obstacle, SkyDome, SkyView, Surface};

/// Size of pieces against the side of a square of the field's area: 17 m on a
/// football field. Half of it changes no split of the demos by more than 0.02 stop.
const PIECE_SIZE: f64 = 0.2;
/// Steps in which facings and reflectances are told apart.
const FACING_STEPS: f64 = 1.5;
const REFLECTANCE_STEPS: f64 = 100.0;
/// A place of a wrong facing counts as so much farther off, metres.
const FACING_M: f64 = 50.0;
/// The sun's reach of a piece is read off the rays within this angle of it,
/// degrees: rays are 4 to 8 degrees apart.
const SUN_REACH_DEG: f64 = 6.0;

/// Place, facing and reflectance in steps.
type Key = ([i32; 3], [i8; 3], u8);

/// All pieces.
#[derive(Debug, Clone)]
pub struct Surround {
    piece_m: f64,
    index: HashMap<Key, usize>,
    pieces: Vec<Piece>,
    sky: Receivers,
}

#[derive(Debug, Clone)]
struct Piece {
    at: DVec3,
    normal: DVec3,
    reflectance: f64,
    /// Share of each patch's light that arrives.
    arrives: Vec<f32>,
    /// Shares of what it faces: other surfaces, and the ground.
    surfaces: f64,
    ground: f64,
    /// How much the field sees of it, of all that the field sees of surfaces.
    weight: f64,
}

/// What lights the surround at an instant, beside the sky.
pub(super) struct Sources {
    pub toward_sun: DVec3,
    pub direct_normal: Tristimulus,
    /// Mean light on the turf without what the surround adds to it, lx.
    pub turf: Tristimulus,
    /// Reflectance of the turf for each tristimulus value.
    pub turf_reflects: [f64; 3],
}

impl Surround {
    /// The pieces that the views from the field meet; with each view comes the
    /// normal of its receiver.
    pub fn new(
        field_m2: f64,
        obstacles: &[Obstacle],
        dome: &SkyDome,
        views: &[(SkyView, DVec3)],
    ) -> Self {
        let piece_m = (PIECE_SIZE * field_m2.sqrt()).max(f64::MIN_POSITIVE);
        let mut index: HashMap<Key, usize> = HashMap::new();
        let mut found: Vec<(Surface, f64)> = Vec::new();
        for (view, normal) in views {
            for meeting in view.meetings() {
                let weight = dome.directions()[meeting.patch].dot(*normal).max(0.0);
                let key = key_of(&meeting.surface, piece_m, obstacles);
                let place = *index.entry(key).or_insert_with(|| {
                    found.push((meeting.surface, 0.0));
                    found.len() - 1
                });
                if let Some(piece) = found.get_mut(place) {
                    piece.1 += weight * meeting.share;
                }
            }
        }
        let whole: f64 = found.iter().map(|f| f.1).sum();
        let (pieces, receivers): (Vec<Piece>, Vec<Receiver>) = found
            .par_iter()
            .map(|(surface, weight)| {
                let reflectance = reflectance(surface, obstacles);
                piece(obstacles, dome, surface, reflectance, weight / whole)
            })
            .unzip();
        Self { piece_m, index, pieces, sky: receivers.into_iter().collect() }
    }

    /// How many pieces.
    pub fn len(&self) -> usize {
        self.pieces.len()
    }

    pub fn is_empty(&self) -> bool {
        self.pieces.is_empty()
    }

    /// The piece that a ray met; the nearest of like facing for a place that the
    /// field did not see.
    pub fn index_of(&self, surface: &Surface, obstacles: &[Obstacle]) -> Option<usize> {
        if let Some(&index) = self.index.get(&key_of(surface, self.piece_m, obstacles)) {
            return Some(index);
        }
        let unlike = |piece: &Piece| {
            piece.at.distance(surface.at) + FACING_M * (1.0 - piece.normal.dot(surface.normal))
        };
        let pieces = self.pieces.iter().enumerate();
        pieces.min_by(|a, b| unlike(a.1).total_cmp(&unlike(b.1))).map(|(i, _)| i)
    }

    /// Light of the sky on each piece, lx.
    pub(super) fn light_of_sky(&self, cells: &CellLight) -> Vec<Tristimulus> {
        self.sky.light_of_sky(cells)
    }

    /// The same once some cells have changed.
    pub(super) fn add_change(&self, change: &CellChange, to: &mut [Tristimulus]) {
        self.sky.add_change(change, to);
    }

    /// Luminance of each piece, cd/m2, with `sky` the light of the sky on each.
    /// `turf_sees` is the solid angle, weighted by the cosine, of all pieces as
    /// the turf sees them on average, sr.
    pub(super) fn luminances(
        &self,
        dome: &SkyDome,
        sources: &Sources,
        sky: &[Tristimulus],
        turf_sees: f64,
    ) -> Vec<Tristimulus> {
        let reach = sun_reach(dome, sources);
        let first: Vec<Tristimulus> = self
            .pieces
            .iter()
            .zip(sky)
            .map(|(piece, sky)| *sky + sources.direct_normal * piece.sun(sources, &reach))
            .collect();
        let (mean, ground) = self.settled(&first, sources, turf_sees);
        let own = self.pieces.iter().zip(&first).map(|(piece, first)| {
            let back = (mean * piece.surfaces + ground * piece.ground) * std::f64::consts::PI;
            (*first + back) * (piece.reflectance / std::f64::consts::PI)
        });
        own.collect()
    }

    /// Mean luminance of the pieces and of the ground when all bounces are summed:
    /// two linear equations for each of the three values.
    fn settled(
        &self,
        first: &[Tristimulus],
        sources: &Sources,
        turf_sees: f64,
    ) -> (Tristimulus, Tristimulus) {
        let pi = std::f64::consts::PI;
        let each = |of: fn(&Piece) -> f64| {
            self.pieces.iter().map(|p| p.weight * p.reflectance * of(p)).sum::<f64>()
        };
        let (to_ground, to_surfaces) = (each(|p| p.ground), each(|p| p.surfaces));
        let lit: Tristimulus = self
            .pieces
            .iter()
            .zip(first)
            .map(|(p, light)| *light * (p.weight * p.reflectance / pi))
            .sum();
        let turf = sources.turf.tinted(sources.turf_reflects) * (1.0 / pi);
        let settle = |i: usize| {
            let back = sources.turf_reflects[i] * turf_sees / pi;
            let (lit, turf) = (lit.values()[i], turf.values()[i]);
            // a closed white box has no end of bounces
            let escapes = (1.0 - to_ground * back - to_surfaces).max(1e-3);
            let mean = (lit + to_ground * turf) / escapes;
            (mean, turf + back * mean)
        };
        let all = [settle(0), settle(1), settle(2)];
        (Tristimulus::from(all.map(|s| s.0)), Tristimulus::from(all.map(|s| s.1)))
    }
}

impl Piece {
    /// Direct light against that on a plane facing the sun, 0 to 1.
    fn sun(&self, sources: &Sources, reach: &[(usize, f64)]) -> f64 {
        let cosine = self.normal.dot(sources.toward_sun);
        if cosine <= 0.0 {
            return 0.0;
        }
        let arrives = |patch: usize| f64::from(self.arrives.get(patch).copied().unwrap_or(0.0));
        cosine * reach.iter().map(|&(patch, weight)| weight * arrives(patch)).sum::<f64>()
    }
}

fn piece(
    obstacles: &[Obstacle],
    dome: &SkyDome,
    &Surface { at, normal, .. }: &Surface,
    reflectance: f64,
    weight: f64,
) -> (Piece, Receiver) {
    let over = dome.from_point(obstacles, at);
    let under = dome.under_point(obstacles, at);
    let turned = |toward: &DVec3| DVec3::new(toward.x, toward.y, -toward.z);
    let sees = |toward: DVec3, share: f64| toward.dot(normal).max(0.0) * share;
    let over_all = over.meetings().iter().map(|m| sees(dome.directions()[m.patch], m.share));
    let under_all =
        under.meetings().iter().map(|m| sees(turned(&dome.directions()[m.patch]), m.share));
    let surfaces: f64 = over_all.chain(under_all).sum();
    let mut ground = 0.0;
    for (patch, toward) in dome.directions().iter().enumerate() {
        let down = turned(toward).dot(normal).max(0.0);
        ground += down * f64::from(under.arrives()[patch]);
    }
    let share = dome.patch_sr() / std::f64::consts::PI;
    let receiver = Receiver::new(dome, &over, normal, |_| None);
    let piece = Piece {
        at,
        normal,
        reflectance,
        surfaces: surfaces * share,
        ground: ground * share,
        weight,
        arrives: over.arrives().to_vec(),
    };
    (piece, receiver)
}

/// Patches near the sun and their weights, which sum to 1.
fn sun_reach(dome: &SkyDome, sources: &Sources) -> Vec<(usize, f64)> {
    if sources.direct_normal.lux() <= 0.0 {
        return Vec::new();
    }
    let angle =
        |toward: &DVec3| sources.toward_sun.dot(*toward).clamp(-1.0, 1.0).acos().to_degrees();
    let near = dome.directions().iter().enumerate().map(|(i, t)| (i, SUN_REACH_DEG - angle(t)));
    let mut reach: Vec<(usize, f64)> = near.filter(|(_, weight)| *weight > 0.0).collect();
    let sum: f64 = reach.iter().map(|r| r.1).sum();
    reach.iter_mut().for_each(|r| r.1 /= sum);
    reach
}

fn reflectance(surface: &Surface, obstacles: &[Obstacle]) -> f64 {
    obstacles.get(surface.obstacle).map_or(0.0, Obstacle::reflectance)
}

fn key_of(surface: &Surface, piece_m: f64, obstacles: &[Obstacle]) -> Key {
    let place = (surface.at / piece_m).floor();
    let facing = (surface.normal * FACING_STEPS).round();
    let reflectance = reflectance(surface, obstacles);
    (
        [place.x as i32, place.y as i32, place.z as i32],
        [facing.x as i8, facing.y as i8, facing.z as i8],
        (reflectance * REFLECTANCE_STEPS).round() as u8,
    )
}
