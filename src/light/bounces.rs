//! Light that pieces of a venue send to each other until none is left.
//!
//! In: how much of the luminance of each piece every other gives off again, once a venue;
//! then the luminance that each piece has of its own. Out: the luminance
//! with all that comes back, cd/m2.
//!
//! Light is linear: with `A` what comes back at once, luminances `B` of pieces that have
//! `S` of their own are `B = S + A B`, so `B = (I - A)^-1 S` (radiosity: Goral, Torrance,
//! Greenberg and Battaile, Computer Graphics 18(3), 1984). The
//! series `1 + A + A2 + ...` ends after some terms in all but rooms of mirrors; there the
//! matrix is inverted once a venue, each of the three tristimulus values in a lane of its
//! own.

use std::sync::OnceLock;

use glam::Vec4;
use rayon::prelude::*;

/// Rows that one thread works on at a time.
const ROWS_AT_ONCE: usize = 32;
/// A series ends where a term adds less than this share of the sum: what 32-bit floats
/// round.
const LAST_TERM: f32 = 1e-7;
/// A series that has not ended by then is left for the inverse: rooms of mirrors.
const MAX_TERMS: usize = 60;

/// What comes back, row by row, and its inverse once it is asked for.
#[derive(Debug, Clone, Default)]
pub(super) struct Bounces {
    back: Vec<Vec<(usize, Vec4)>>,
    inverse: OnceLock<Vec<Vec4>>,
}

impl Bounces {
    /// Of `A`, row by row; no row may sum to 1 or more.
    pub fn new(back: Vec<Vec<(usize, Vec4)>>) -> Self {
        Self { back, inverse: OnceLock::new() }
    }

    /// `(I - A)^-1`, row by row.
    fn inverse(&self) -> &[Vec4] {
        self.inverse.get_or_init(|| {
            let size = self.back.len();
            let mut matrix = vec![Vec4::ZERO; size * size];
            for (i, row) in self.back.iter().enumerate() {
                matrix[i * size + i] = Vec4::ONE;
                for &(j, share) in row {
                    matrix[i * size + j] -= share;
                }
            }
            invert(&mut matrix, size);
            matrix
        })
    }

    /// Luminances with all that comes back.
    pub fn settle(&self, own: &[Vec4]) -> Vec<Vec4> {
        if self.back.is_empty() {
            return Vec::new();
        }
        let known = self.inverse.get().is_some();
        let series = if known { None } else { self.series(own) };
        series.unwrap_or_else(|| self.by_inverse(own))
    }

    /// The same as a sum over bounces; `None` where it takes too many.
    fn series(&self, own: &[Vec4]) -> Option<Vec<Vec4>> {
        let (mut sum, mut term) = (own.to_vec(), own.to_vec());
        for _ in 0..MAX_TERMS {
            if largest(&term) <= LAST_TERM * largest(&sum) {
                return Some(sum);
            }
            let comes_back = |row: &Vec<(usize, Vec4)>| -> Vec4 {
                row.iter().map(|(piece, share)| term[*piece] * *share).sum()
            };
            term = self.back.iter().map(comes_back).collect();
            sum.iter_mut().zip(&term).for_each(|(sum, term)| *sum += *term);
        }
        None
    }

    fn by_inverse(&self, own: &[Vec4]) -> Vec<Vec4> {
        let row = |row: &[Vec4]| {
            let (fours, rest) = row.as_chunks::<4>();
            let (own_fours, own_rest) = own.as_chunks::<4>();
            let mut sums = [Vec4::ZERO; 4];
            for (a, b) in fours.iter().zip(own_fours) {
                for (sum, (a, b)) in sums.iter_mut().zip(a.iter().zip(b)) {
                    *sum += *a * *b;
                }
            }
            let rest: Vec4 = rest.iter().zip(own_rest).map(|(a, b)| *a * *b).sum();
            (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
        };
        self.inverse().chunks_exact(self.back.len()).map(row).collect()
    }

    /// The way back: where the luminance of each piece counts by a weight, how much its own
    /// counts with all that comes back of it. Sets of weights are worked out side by side.
    pub fn trace_back(&self, sets: &[Vec<Vec4>]) -> Vec<Vec<Vec4>> {
        let known = self.inverse.get().is_some();
        let series = if known { None } else { self.series_back(sets) };
        series.unwrap_or_else(|| sets.iter().map(|weights| self.inverse_back(weights)).collect())
    }

    fn inverse_back(&self, weights: &[Vec4]) -> Vec<Vec4> {
        let mut own = vec![Vec4::ZERO; self.back.len()];
        if !own.is_empty() {
            for (weight, row) in weights.iter().zip(self.inverse().chunks_exact(own.len())) {
                own.iter_mut().zip(row).for_each(|(own, back)| *own += *weight * *back);
            }
        }
        own
    }

    /// The same as a sum over bounces; `None` where it takes too many.
    fn series_back(&self, sets: &[Vec<Vec4>]) -> Option<Vec<Vec<Vec4>>> {
        let (count, size) = (sets.len(), self.back.len());
        if count == 0 || size == 0 {
            return Some(sets.to_vec());
        }
        // piece by piece, the sets of each side by side
        let mut own: Vec<Vec4> =
            (0..size).flat_map(|piece| sets.iter().map(move |weights| weights[piece])).collect();
        let mut term = own.clone();
        let mut next = vec![Vec4::ZERO; own.len()];
        for _ in 0..MAX_TERMS {
            if largest(&term) <= LAST_TERM * largest(&own) {
                let set = |i: usize| own.iter().skip(i).step_by(count).copied().collect();
                return Some((0..count).map(set).collect());
            }
            next.fill(Vec4::ZERO);
            for (weights, row) in term.chunks_exact(count).zip(&self.back) {
                for (piece, share) in row {
                    let to = &mut next[piece * count..][..count];
                    // a handful of sets: iterators side by side cost more than they do
                    for (set, weight) in weights.iter().enumerate() {
                        to[set] += *weight * *share;
                    }
                }
            }
            own.iter_mut().zip(&next).for_each(|(own, next)| *own += *next);
            std::mem::swap(&mut term, &mut next);
        }
        None
    }
}

fn largest(values: &[Vec4]) -> f32 {
    values.iter().fold(Vec4::ZERO, |most, value| most.max(value.abs())).max_element()
}

/// Gauss and Jordan's way without pivots, which a matrix with a dominant diagonal does not
/// need.
fn invert(matrix: &mut [Vec4], size: usize) {
    for pivot in 0..size {
        let row = &mut matrix[pivot * size..(pivot + 1) * size];
        let scale = row[pivot].recip();
        row[pivot] = Vec4::ONE;
        row.iter_mut().for_each(|value| *value *= scale);
        let row = row.to_vec();
        matrix.par_chunks_mut(size * ROWS_AT_ONCE).enumerate().for_each(|(block, rows)| {
            for (i, other) in rows.chunks_exact_mut(size).enumerate() {
                if block * ROWS_AT_ONCE + i == pivot {
                    continue;
                }
                let factor = std::mem::replace(&mut other[pivot], Vec4::ZERO);
                if factor != Vec4::ZERO {
                    for (value, pivot) in other.iter_mut().zip(&row) {
                        *value -= factor * *pivot;
                    }
                }
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A closed room of three equal walls that each see both others by half: the sum of
    /// the series `1 + r + r2 + ...` (arithmetic).
    #[test]
    fn a_closed_room_sums_its_bounces() {
        let reflects = [0.2_f32, 0.5, 0.9];
        let half = Vec4::new(reflects[0], reflects[1], reflects[2], 0.0) * 0.5;
        let back: Vec<Vec<(usize, Vec4)>> =
            (0..3).map(|i| (0..3).filter(|j| *j != i).map(|j| (j, half)).collect()).collect();
        let settled = Bounces::new(back).by_inverse(&[Vec4::ONE; 3]);
        for wall in settled {
            for (value, reflects) in wall.to_array().into_iter().zip(reflects) {
                assert!((value * (1.0 - reflects) - 1.0).abs() < 1e-5, "{value} {reflects}");
            }
        }
    }

    /// A sum of settled luminances by weights is the sum of the own ones by the weights
    /// traced back (a matrix and its transpose).
    #[test]
    fn the_way_back_gives_the_same_sum() {
        let share = |i: usize, j: usize| 0.05 + 0.02 * ((3 * i + 5 * j) % 7) as f32;
        let row = |i: usize| (0..6).map(|j| (j, Vec4::splat(share(i, j)))).collect();
        let bounces = Bounces::new((0..6).map(row).collect());
        let own: Vec<Vec4> = (0..6).map(|i| Vec4::splat(1.0 + i as f32)).collect();
        let weights: Vec<Vec4> = (0..6).map(|i| Vec4::splat(0.3 * (6 - i) as f32)).collect();
        let sum = |a: &[Vec4], b: &[Vec4]| a.iter().zip(b).map(|(a, b)| *a * *b).sum::<Vec4>();
        let series = sum(&own, &bounces.trace_back(std::slice::from_ref(&weights))[0]).x;
        let by_series = sum(&bounces.settle(&own), &weights).x;
        let forward = sum(&bounces.by_inverse(&own), &weights).x;
        assert!((forward / by_series - 1.0).abs() < 1e-5, "{forward} {by_series}");
        let back = sum(&own, &bounces.trace_back(std::slice::from_ref(&weights))[0]).x;
        assert!((forward / back - 1.0).abs() < 1e-5, "{forward} {back}");
        assert!((forward / series - 1.0).abs() < 1e-5, "{forward} {series}");
    }

    /// A white room sums its series too slowly, and falls back on the inverse.
    #[test]
    fn a_white_room_is_traced_back_as_well() {
        let back = || (0..2).map(|i| vec![(1 - i, Vec4::splat(0.99))]).collect();
        let weights = [vec![Vec4::ONE, Vec4::ZERO]];
        assert!(Bounces::new(back()).series_back(&weights).is_none());
        let traced = Bounces::new(back()).trace_back(&weights);
        for (got, wanted) in traced[0].iter().zip([1.0, 0.99]) {
            assert!((got.x * (1.0 - 0.99_f32 * 0.99) / wanted - 1.0).abs() < 1e-4, "{got}");
        }
    }
}
