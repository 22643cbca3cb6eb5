//! Stands, roofs and trees as sources of light: what hides the sky is lit itself.
//!
//! In: the obstacles and what the ground sees of them, once a venue; then, per
//! instant, sun, sky and the light on the ground. Out: the luminance of each
//! piece, cd/m2.
//!
//! What is seen is cut into pieces by place, facing and what it does with light. Eight
//! places of each piece say what it sees: sky, other pieces, ground; rays to the sun
//! from them say how much of it the sun shines on. Of a piece that scatters light
//! through itself its far side counts as well. Pieces that only other pieces see are
//! pieces too.

use glam::DVec3;
use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};

use super::receiver::{Emitters, Receiver};
use super::screens::Screens;
use super::tristimulus::Tristimulus;
use crate::geometry::{Beam, Obstacles, Rays, SkyDome, SkyView, Surface};

/// Size of pieces against the side of a square of the ground's area: 13 m on a
/// football field.
const PIECE_SIZE: f64 = 0.16;
/// More pieces than this are made larger: the time of an instant grows with the square
/// of their number, that of preparing with the cube.
const MAX_PIECES: usize = 300;
/// Larger by so much at a time.
const LARGER: f64 = 1.25;
/// Places of a piece that say what it sees and whether the sun shines on it.
const SAMPLES: usize = 8;
/// Steps in which facings, reflectances and what is scattered through are told apart.
const FACING_STEPS: f64 = 1.5;
const SHARE_STEPS: f64 = 100.0;
/// Bits of each step in a key.
const PLACE_BITS: u32 = 21;
const FACING_BITS: u32 = 4;
const SHARE_BITS: u32 = 8;
/// A place of a wrong facing counts as so much farther off, metres.
const FACING_M: f64 = 50.0;
/// Surfaces that one thread looks at, at a time.
const SEEN_AT_ONCE: usize = 4096;
/// Pieces that take less than this share of what is seen of all are part of others.
const MIN_SHARE: f64 = 2e-5;

/// Place; facing, reflectance and share scattered through: in steps, packed.
type Key = (u64, u64);

/// All pieces.
#[derive(Debug, Clone)]
pub struct Surround {
    piece_m: f64,
    index: FxHashMap<Key, usize>,
    /// What was seen and is no piece of its own, while pieces are still added.
    left: Vec<(Key, Surface)>,
    pieces: Vec<Piece>,
}

/// A piece of a surface.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    pub normal: DVec3,
    /// Share of the light on it that it gives back, and of that on its far side that it
    /// lets through scattered, 0 to 1.
    pub reflectance: f64,
    pub scatters: f64,
    /// Places on it.
    pub at: Vec<DVec3>,
    /// The same places where light comes in that it scatters through.
    pub far: Vec<DVec3>,
}

/// Surfaces that were seen, by key: how much of each, and its places.
type Found = FxHashMap<Key, Weighted>;

/// How much there is of what was seen, and each place with its weight.
type Weighted = (f64, Vec<(Surface, f64)>);

impl Surround {
    /// The pieces that views meet; with each view comes the normal of its receiver.
    pub fn new(
        ground_m2: f64,
        obstacles: &Obstacles,
        dome: &SkyDome,
        views: &[(SkyView, DVec3)],
    ) -> Self {
        let seen: Vec<(Surface, f64)> = views
            .par_iter()
            .flat_map_iter(|(view, normal)| {
                let weight = |patch| dome.toward(patch).dot(*normal).max(0.0);
                // half of what is seen says as well what there is, and how much of it
                let hits = view.hits().iter().filter(|hit| Rays::Half(0).go_to(hit.patch));
                hits.map(move |hit| (hit.surface, weight(hit.patch) * hit.share))
            })
            .collect();
        let mut piece_m = (PIECE_SIZE * ground_m2.sqrt()).max(f64::MIN_POSITIVE);
        let mut count = keys_of(&seen, piece_m, obstacles);
        while count > MAX_PIECES {
            piece_m *= LARGER;
            let fewer = keys_of(&seen, piece_m, obstacles);
            // facings alone may be too many
            let stuck = fewer * 50 > count * 49;
            count = fewer;
            if stuck {
                break;
            }
        }
        let mut surround =
            Self { piece_m, index: FxHashMap::default(), left: Vec::new(), pieces: Vec::new() };
        surround.take(sorted(&seen, piece_m, obstacles), MAX_PIECES, obstacles);
        surround
    }

    /// Takes in the surfaces that only pieces see, as far as there is room. What is left
    /// belongs to the nearest of like facing.
    pub fn add_seen<'a>(
        &mut self,
        obstacles: &Obstacles,
        dome: &SkyDome,
        views: impl IntoParallelIterator<Item = &'a (SkyView, DVec3, f64)>,
    ) {
        let unknown = |(view, normal, share): &'a (SkyView, DVec3, f64)| {
            let hits = view.hits().iter();
            let hits = hits.filter(|hit| {
                !self.index.contains_key(&key_of(&hit.surface, self.piece_m, obstacles))
            });
            hits.map(move |hit| {
                let weight = share * dome.toward(hit.patch).dot(*normal).max(0.0);
                (hit.surface, weight * hit.share)
            })
        };
        let seen: Vec<(Surface, f64)> = views.into_par_iter().flat_map_iter(unknown).collect();
        let room = (MAX_PIECES + MAX_PIECES / 5).saturating_sub(self.pieces.len());
        self.take(sorted(&seen, self.piece_m, obstacles), room, obstacles);
        for (key, surface) in std::mem::take(&mut self.left) {
            if let (false, Some(piece)) = (self.index.contains_key(&key), self.nearest(&surface)) {
                self.index.insert(key, piece);
            }
        }
    }

    fn take(&mut self, found: Found, room: usize, obstacles: &Obstacles) {
        let whole: f64 = found.values().map(|f| f.0).sum();
        let mut all: Vec<(Key, Weighted)> = found.into_iter().collect();
        all.sort_by(|a, b| b.1.0.total_cmp(&a.1.0).then(a.0.cmp(&b.0)));
        let enough = all.iter().take_while(|(_, (weight, _))| *weight > MIN_SHARE * whole).count();
        let left = all.split_off(enough.min(room));
        let first = |(key, (_, surfaces)): (Key, Weighted)| Some((key, surfaces.first()?.0));
        self.left.extend(left.into_iter().filter_map(first));
        let piece =
            |(key, (_, surfaces)): (Key, Weighted)| Some((key, Piece::of(surfaces, obstacles)?));
        let made: Vec<(Key, Piece)> = all.into_par_iter().filter_map(piece).collect();
        for (key, piece) in made {
            self.index.insert(key, self.pieces.len());
            self.pieces.push(piece);
        }
    }

    /// How many pieces.
    pub fn len(&self) -> usize {
        self.pieces.len()
    }

    pub(super) fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// The piece that a ray met; the nearest of like facing for a place that belongs to
    /// none.
    pub fn index_of(&self, surface: &Surface, obstacles: &Obstacles) -> Option<usize> {
        let known = self.index.get(&key_of(surface, self.piece_m, obstacles)).copied();
        known.or_else(|| self.nearest(surface))
    }

    /// The nearest piece of like facing.
    fn nearest(&self, surface: &Surface) -> Option<usize> {
        let unlike = |piece: &Piece| {
            let apart = piece.at.first().map_or(f64::INFINITY, |at| at.distance(surface.at));
            apart + FACING_M * (1.0 - piece.normal.dot(surface.normal))
        };
        let pieces = self.pieces.iter().enumerate();
        pieces.min_by(|a, b| unlike(a.1).total_cmp(&unlike(b.1))).map(|(i, _)| i)
    }
}

impl Piece {
    /// Of what was seen of it, with weights.
    fn of(surfaces: Vec<(Surface, f64)>, obstacles: &Obstacles) -> Option<Self> {
        let first = surfaces.first()?.0;
        let whole: f64 = surfaces.iter().map(|s| s.1).sum();
        let normal = surfaces.iter().map(|(s, weight)| s.normal * *weight).sum::<DVec3>();
        let normal = normal.try_normalize().unwrap_or(first.normal);
        // along the line that winds through the places, each step of like weight
        let along = normal.any_orthonormal_vector();
        let across = normal.cross(along);
        let middle = surfaces.iter().map(|(s, w)| s.at * *w).sum::<DVec3>() / whole;
        let place = |s: &Surface| ((s.at - middle).dot(across) >= 0.0, s.at.dot(along));
        let mut sorted: Vec<((bool, f64), Surface, f64)> =
            surfaces.into_iter().map(|(surface, w)| (place(&surface), surface, w)).collect();
        sorted.sort_by(|(a, ..), (b, ..)| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut samples: Vec<Surface> = Vec::with_capacity(SAMPLES);
        let mut sum = 0.0;
        for (_, surface, weight) in &sorted {
            sum += weight;
            while samples.len() < SAMPLES
                && sum >= (samples.len() as f64 + 0.5) / SAMPLES as f64 * whole
            {
                samples.push(*surface);
            }
        }
        if samples.is_empty() {
            samples.push(first);
        }
        let (reflectance, scatters) = shares(&first, obstacles);
        let far = |s: &Surface| obstacles.get(s.obstacle).map(|o| o.far_side(s.at, s.normal));
        let far = samples.iter().filter(|_| scatters > 0.0).filter_map(far).collect();
        Some(Self {
            normal,
            reflectance,
            scatters,
            at: samples.iter().map(|s| s.at).collect(),
            far,
        })
    }

    /// What it gives off of sunlight, for one lux on a plane facing the sun, cd/m2.
    pub fn sunlit(&self, sun: &Beam) -> f64 {
        let cosine = self.normal.dot(sun.toward());
        let (places, share) = match cosine > 0.0 {
            true => (&self.at, self.reflectance),
            false => (&self.far, self.scatters),
        };
        if places.is_empty() || share <= 0.0 || cosine == 0.0 {
            return 0.0;
        }
        let reaches = |at: &DVec3| sun.transmission(*at).share();
        let mean = places.iter().map(reaches).sum::<f64>() / places.len() as f64;
        mean * cosine.abs() * share / std::f64::consts::PI
    }

    /// What it gives off of the light of screens, cd/m2.
    pub fn lit_by(&self, screens: &Screens, obstacles: &Obstacles) -> Tristimulus {
        let mean = |places: &[DVec3], normal: DVec3, share: f64| {
            if places.is_empty() || share <= 0.0 {
                return Tristimulus::ZERO;
            }
            let on = places.iter().map(|at| screens.on(*at, normal, obstacles));
            on.sum::<Tristimulus>() * (share / (std::f64::consts::PI * places.len() as f64))
        };
        mean(&self.at, self.normal, self.reflectance) + mean(&self.far, -self.normal, self.scatters)
    }

    /// What it sees on either side, and what share of that light it gives off: a
    /// luminance in cd/m2 for a lux.
    pub fn views(&self, obstacles: &Obstacles, dome: &SkyDome) -> Vec<(SkyView, DVec3, f64)> {
        // half the rays will do, which start at eight places
        let look = |at: &[DVec3], normal| dome.by_rays(obstacles, at, normal, Rays::Half(0));
        let near = look(&self.at, self.normal);
        let mut all = vec![(near, self.normal, self.reflectance / std::f64::consts::PI)];
        if self.scatters > 0.0 {
            let far = look(&self.far, -self.normal);
            all.push((far, -self.normal, self.scatters / std::f64::consts::PI));
        }
        all
    }
}

/// Light of the sky on pieces, and what they see of all else, by what they give off.
pub(super) fn receiver(
    dome: &SkyDome,
    views: &[(SkyView, DVec3, f64)],
    emitters: &impl Emitters,
) -> Receiver {
    let mut receiver = Receiver::default();
    for (view, normal, share) in views {
        receiver.add(dome, view, *normal, emitters, *share);
    }
    receiver
}

/// How many keys there are.
fn keys_of(seen: &[(Surface, f64)], piece_m: f64, obstacles: &Obstacles) -> usize {
    let key = |(surface, _): &(Surface, f64)| key_of(surface, piece_m, obstacles);
    let all = |surfaces: &[(Surface, f64)]| surfaces.iter().map(key).collect::<FxHashSet<Key>>();
    let both = |mut a: FxHashSet<Key>, b: FxHashSet<Key>| {
        a.extend(b);
        a
    };
    seen.par_chunks(SEEN_AT_ONCE).map(all).reduce(FxHashSet::default, both).len()
}

fn sorted(seen: &[(Surface, f64)], piece_m: f64, obstacles: &Obstacles) -> Found {
    let some = |seen: &[(Surface, f64)]| {
        let mut found = Found::default();
        for (surface, weight) in seen {
            let key = key_of(surface, piece_m, obstacles);
            let (sum, all) = found.entry(key).or_default();
            *sum += weight;
            all.push((*surface, *weight));
        }
        found
    };
    let parts: Vec<Found> = seen.par_chunks(SEEN_AT_ONCE).map(some).collect();
    let mut found = Found::default();
    for (key, (weight, surfaces)) in parts.into_iter().flatten() {
        let (sum, all) = found.entry(key).or_default();
        *sum += weight;
        all.extend(surfaces);
    }
    found
}

fn shares(surface: &Surface, obstacles: &Obstacles) -> (f64, f64) {
    obstacles.get(surface.obstacle).map_or((0.0, 0.0), |o| (o.reflectance(), o.scatters()))
}

fn key_of(surface: &Surface, piece_m: f64, obstacles: &Obstacles) -> Key {
    let packed = |steps: [i64; 3], bits: u32| {
        let mask = (1 << bits) - 1;
        steps.into_iter().fold(0, |key, step| key << bits | (step as u64 & mask))
    };
    let place = (surface.at / piece_m).to_array().map(floor);
    let facing = (surface.normal * FACING_STEPS).to_array().map(nearest);
    let (reflectance, scatters) = shares(surface, obstacles);
    let shares = [0, nearest(reflectance * SHARE_STEPS), nearest(scatters * SHARE_STEPS)];
    (packed(place, PLACE_BITS), packed(facing, FACING_BITS) << 32 | packed(shares, SHARE_BITS))
}

/// The next whole number below; a call of the library's own costs as much as all the rest.
fn floor(value: f64) -> i64 {
    let whole = value as i64;
    whole - i64::from(whole as f64 > value)
}

/// The nearest whole number.
fn nearest(value: f64) -> i64 {
    floor(value + 0.5)
}
