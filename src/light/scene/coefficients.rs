//! What each part of the sky and the sun send to sums of light, all bounces counted.
//!
//! In: sums over places of the ground or over receivers, once a venue; then, per instant, the
//! luminance of the sky's cells and what the sun reaches. Out: each sum, lx: what
//! [`super::SceneLight`] gives, added up by the same weights.
//!
//! Light is linear, so a sum is the luminance of each cell times a coefficient, its
//! *daylight coefficient* (Tregenza and Waters, Lighting Research and Technology 15(2),
//! 1983), and as much for each piece and each place of the ground that the sun shines on.
//! Coefficients are worked out backward, from the sum by way of ground and pieces to the
//! sky: an instant is then one dot product a sum, however many places it is made of.

use glam::Vec4;
use rayon::prelude::*;

use crate::light::receivers::{CellChange, CellLight, Receivers, dot};
use crate::light::tristimulus::Tristimulus;

use super::prepare::luminances_of;
use super::{Scene, SunReach};

/// Sums that one thread works out side by side.
const SUMS_AT_ONCE: usize = 8;

/// Light that is asked for, by indices and weights; all but the sun's own, and on faces
/// also without what sunlit ground sends to them directly.
#[derive(Debug, Clone)]
pub enum LightSum<'a> {
    /// On the turf, at the places that light is known at.
    Turf(Vec<(usize, f64)>),
    /// On some of the receivers.
    Faces(&'a Receivers, Vec<(usize, f64)>),
}

/// Coefficients of some sums.
#[derive(Debug, Clone, Default)]
pub struct DaylightCoefficients {
    sums: Vec<OfSum>,
}

#[derive(Debug, Clone)]
struct OfSum {
    /// For each of the three values, one for each cell, lx for a cd/m2.
    cells: [Vec<f32>; 3],
    /// For what each piece gives off of the sun, lx for a cd/m2.
    pieces: Vec<Vec4>,
    /// For the sun's light on each place of the ground.
    places: Vec<Vec4>,
    /// What screens send, lx.
    screens: Tristimulus,
}

impl Scene {
    /// Prepares sums, in parallel.
    pub fn coefficients(&self, sums: &[LightSum]) -> DaylightCoefficients {
        let some = |sums: &[LightSum]| self.traced_back(sums);
        let sums = sums.par_chunks(SUMS_AT_ONCE).flat_map_iter(some).collect();
        DaylightCoefficients { sums }
    }

    fn traced_back(&self, sums: &[LightSum]) -> Vec<OfSum> {
        let count = self.dome.cells().len();
        let (pieces, places) = (self.surround.len(), self.turf.len());
        let none = |count: usize| vec![vec![Vec4::ZERO; count]; sums.len()];
        // pieces, and after them places of either kind of ground: what emitters are
        let (mut emitters, mut cells) = (none(pieces), none(2 * count));
        let mut ground = none(places);
        for (i, sum) in sums.iter().enumerate() {
            self.begin(sum, [&mut cells[i], &mut emitters[i], &mut ground[i]]);
        }
        self.turf.back_to_emitters(&ground, &mut emitters);
        let own = self.bounces.trace_back(&emitters);
        let straight: Vec<Tristimulus> = sums.iter().map(LightSum::of_screens).collect();
        let mut lit = none(pieces + 2 * places);
        self.pieces.back_to_emitters(&own, &mut lit);
        let kinds = luminances_of(self.reflects);
        let first = |lit: Vec<Vec4>| {
            let of_kind = |kind: usize| lit[pieces + kind * places..].iter();
            let both = of_kind(0).zip(of_kind(1)).take(places);
            both.map(|(a, b)| kinds[0] * *a + kinds[1] * *b).collect::<Vec<Vec4>>()
        };
        let first: Vec<Vec<Vec4>> = lit.into_iter().map(first).collect();
        for (ground, first) in ground.iter_mut().zip(&first) {
            ground.iter_mut().zip(first).for_each(|(ground, first)| *ground += *first);
        }
        self.pieces.back_to_cells(&own, &mut cells);
        self.turf.back_to_cells(&ground, &mut cells);
        let value = |cells: &[Vec4], lane: usize| -> Vec<f32> {
            (0..count).map(|i| cells[i][lane] + cells[i + count][lane]).collect()
        };
        let screens = straight.iter().zip(&ground).zip(&own);
        let screens: Vec<Tristimulus> = screens
            .map(|((straight, ground), own)| {
                *straight + self.turf.screens_by(ground) + self.pieces.screens_by(own)
            })
            .collect();
        let all = cells.iter().zip(own).zip(first).zip(screens);
        all.map(|(((cells, pieces), places), screens)| OfSum {
            cells: [0, 1, 2].map(|lane| value(cells, lane)),
            pieces,
            places,
            screens,
        })
        .collect()
    }

    /// What counts for a sum before anything is traced back: cells, pieces, and the light on
    /// places of the ground.
    fn begin(&self, sum: &LightSum, [cells, pieces, ground]: [&mut [Vec4]; 3]) {
        match sum {
            LightSum::Turf(weights) => {
                for &(place, weight) in weights {
                    if let Some(ground) = ground.get_mut(place) {
                        *ground += Vec4::splat(weight as f32);
                    }
                }
            }
            LightSum::Faces(receivers, weights) => {
                let mut direct = vec![0.0; self.dome.cells().len()];
                let mut of_pieces = vec![0.0; pieces.len()];
                let mut of_spots = vec![0.0; self.ground.len()];
                receivers.collect(weights, [&mut direct, &mut of_pieces, &mut of_spots]);
                let add = |to: &mut [Vec4], some: Vec<f32>| {
                    to.iter_mut().zip(some).for_each(|(to, value)| *to += Vec4::splat(value));
                };
                add(cells, direct);
                add(pieces, of_pieces);
                let kinds = luminances_of(self.reflects);
                for (spot, factor) in of_spots.into_iter().enumerate().filter(|(_, f)| *f != 0.0) {
                    let kind = kinds[self.ground.kind(spot)] * factor;
                    for &(place, weight) in self.ground.places(spot) {
                        ground[place] += kind * weight as f32;
                    }
                }
            }
        }
    }
}

impl LightSum<'_> {
    /// What screens send straight to faces; what they send to turf counts by its places.
    fn of_screens(&self) -> Tristimulus {
        match self {
            Self::Turf(_) => Tristimulus::ZERO,
            Self::Faces(receivers, weights) => receivers.of_screens(weights),
        }
    }
}

impl DaylightCoefficients {
    /// How many sums.
    pub fn len(&self) -> usize {
        self.sums.len()
    }

    pub fn is_empty(&self) -> bool {
        self.sums.is_empty()
    }

    /// What the sky and screens send to each sum, lx.
    pub fn of_sky(&self, light: &CellLight) -> Vec<Tristimulus> {
        let screens = self.sums.iter().map(|sum| sum.screens);
        self.of_cells(light).zip(screens).map(|(sky, screens)| sky + screens).collect()
    }

    /// What the sky alone sends to each sum, lx.
    pub(in crate::light) fn of_cells<'a>(
        &'a self,
        light: &'a CellLight,
    ) -> impl Iterator<Item = Tristimulus> + 'a {
        let cells = light.values();
        let value = move |sum: &OfSum, lane: usize| f64::from(dot(&sum.cells[lane], cells[lane]));
        self.sums.iter().map(move |sum| Tristimulus::from([0, 1, 2].map(|lane| value(sum, lane))))
    }

    /// What screens send to each sum, lx.
    pub(in crate::light) fn of_screens(&self) -> impl Iterator<Item = Tristimulus> {
        self.sums.iter().map(|sum| sum.screens)
    }

    /// What is added when some cells change, lx.
    pub fn of_change(&self, change: &CellChange) -> Vec<Tristimulus> {
        let one = |sum: &OfSum| {
            let mut added = [0.0_f32; 3];
            for (cell, difference) in change.cells() {
                for (lane, added) in added.iter_mut().enumerate() {
                    *added += sum.cells[lane][*cell] * difference[lane];
                }
            }
            Tristimulus::from(added.map(f64::from))
        };
        self.sums.iter().map(one).collect()
    }

    /// What stands and ground send on to each sum of a sun whose light is 1 lx on a plane
    /// facing it, each of the three values; `sine` is that of its elevation.
    pub fn of_sun(&self, reach: &SunReach, sine: f64) -> Vec<[f64; 3]> {
        let sum = |of: &[Vec4], shares: &[f32]| -> Vec4 {
            of.iter().zip(shares).map(|(of, share)| *of * *share).sum()
        };
        let one = |of: &OfSum| {
            let on_ground = sum(&of.places, &reach.places) * sine.max(0.0) as f32;
            let [x, y, z, _] = (sum(&of.pieces, &reach.pieces) + on_ground).to_array();
            [x, y, z].map(f64::from)
        };
        self.sums.iter().map(one).collect()
    }
}
