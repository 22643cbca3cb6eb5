//! Surfaces that receive light, laid flat for instants.
//!
//! In: [`Receiver`]s, once a venue; then, per instant, the luminance of the sky's cells and
//! of the emitters around, and which ground lies in the sun. Out: illuminances, as
//! tristimulus values in lx: a few dot products a receiver. Or the other way round: what
//! reaches the receivers by way of each cell and each emitter, for
//! [`super::DaylightCoefficients`].

use std::f64::consts::PI;
use std::ops::Add;

use glam::Vec4;

use super::overhead::{Glow, GlowChange};
use super::receiver::{Receiver, run_of};
use super::tristimulus::Tristimulus;

/// Luminances of the cells, ready for dot products: each of the three values in a
/// row of its own, twice over, so that a run of cells may pass the end.
#[derive(Debug, Clone)]
pub struct CellLight {
    values: [Vec<f32>; 3],
}

impl CellLight {
    /// Of a glow.
    pub fn new(glow: &Glow) -> Self {
        let twice = || glow.cells.iter().chain(&glow.cells);
        let row = |value: fn(&Tristimulus) -> f64| twice().map(|t| value(t) as f32).collect();
        Self { values: [row(|t| t.x), row(|t| t.y), row(|t| t.z)] }
    }

    /// Each of the three values of each cell.
    pub(super) fn values(&self) -> [&[f32]; 3] {
        self.values.each_ref().map(|row| &row[..row.len() / 2])
    }
}

/// Cells that change, and by how much.
#[derive(Debug, Clone)]
pub struct CellChange {
    count: usize,
    cells: Vec<(usize, [f32; 3])>,
}

impl CellChange {
    /// Of a glow of `count` cells.
    pub fn new(change: &GlowChange, count: usize) -> Self {
        let small = |t: &Tristimulus| t.values().map(|v| v as f32);
        Self { count, cells: change.iter().map(|(cell, t)| (*cell, small(t))).collect() }
    }

    /// Each cell and what its three values change by.
    pub(super) fn cells(&self) -> &[(usize, [f32; 3])] {
        &self.cells
    }
}

/// Receivers prepared for a venue. Kept flat: one run of weights after the other.
#[derive(Debug, Clone, Default)]
pub struct Receivers {
    rows: Vec<Row>,
    /// `cosine * solid angle * share that arrives`, sr, of each cell of a run.
    weights: Vec<f32>,
    /// `cosine * solid angle`, sr, toward each emitter.
    factors: Vec<(u32, f32)>,
    /// The same toward each spot of the ground.
    spots: Vec<(u32, f32)>,
    /// How many cells the sky has.
    cells: usize,
    /// What screens send to each, lx; empty without any.
    screens: Vec<Tristimulus>,
}

#[derive(Debug, Clone, Copy)]
struct Row {
    /// First cell of the run; it may pass the last cell and go on at the first.
    first_cell: usize,
    weights: (usize, usize),
    factors: (usize, usize),
    /// Spots of the first kind of ground, then of the second.
    spots: (usize, usize, usize),
    /// Sum of the factors of all spots of either kind of ground, sr.
    ground_sr: [f64; 2],
}

impl FromIterator<Receiver> for Receivers {
    fn from_iter<I: IntoIterator<Item = Receiver>>(all: I) -> Self {
        let mut flat = Self::default();
        for Receiver { cells, pieces, spots, ground, ground_sr } in all {
            let (first_cell, length) = run_of(&cells);
            let starts = (flat.weights.len(), flat.factors.len(), flat.spots.len());
            let small = |(index, factor): (usize, f64)| (index as u32, factor as f32);
            let [played_on, around] = spots;
            let second_kind = starts.2 + played_on.len();
            flat.cells = flat.cells.max(cells.len());
            flat.weights.extend((0..length).map(|i| cells[(first_cell + i) % cells.len()]));
            flat.factors.extend(pieces.into_iter().chain(ground).map(small));
            flat.spots.extend(played_on.into_iter().chain(around).map(small));
            flat.rows.push(Row {
                first_cell,
                weights: (starts.0, flat.weights.len()),
                factors: (starts.1, flat.factors.len()),
                spots: (starts.2, second_kind, flat.spots.len()),
                ground_sr,
            });
        }
        flat
    }
}

impl Receivers {
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// How much of what each receiver gets from an evenly bright surrounding is ground of
    /// either kind, 0 to 1.
    pub fn ground_views(&self) -> Vec<[f64; 2]> {
        self.rows.iter().map(|row| row.ground_sr.map(|sr| sr / PI)).collect()
    }

    /// Adds the light of spots of the ground, by their luminances in cd/m2.
    pub fn add_spots(&self, luminances: &[Vec4], to: &mut [Tristimulus]) {
        for (row, light) in self.rows.iter().zip(to) {
            *light += gathered(&self.spots[row.spots.0..row.spots.2], luminances);
        }
    }

    /// How much of what each receiver gets from an evenly bright surrounding is ground of
    /// either kind in the sun, 0 to 1: `in_sun` is the share of the sun's light at each spot.
    pub fn sunlit_views(&self, in_sun: &[f32]) -> Vec<[f64; 2]> {
        let sum = |from: usize, to: usize| f64::from(shared(&self.spots[from..to], in_sun)) / PI;
        let views = |row: &Row| {
            let (first, second, end) = row.spots;
            [sum(first, second), sum(second, end)]
        };
        self.rows.iter().map(views).collect()
    }

    /// Adds what some receivers, by their weights, get of each cell of the sky, each piece
    /// and each spot: all sr weighted by the cosine.
    pub(super) fn collect(
        &self,
        weights: &[(usize, f64)],
        [cells, pieces, spots]: [&mut [f32]; 3],
    ) {
        for (row, weight) in weights.iter().filter_map(|&(i, w)| Some((self.rows.get(i)?, w))) {
            let weight = weight as f32;
            // the run goes once around the sky at most, from its first cell on
            let run = &self.weights[row.weights.0..row.weights.1];
            let first = row.first_cell % self.cells;
            let (before, after) = run.split_at(run.len().min(self.cells - first));
            add_weighed(&mut cells[first..self.cells], before, weight);
            add_weighed(cells, after, weight);
            let add = |sums: &mut [f32], factors: &[(u32, f32)]| {
                for &(i, factor) in factors {
                    if let Some(sum) = sums.get_mut(i as usize) {
                        *sum += weight * factor;
                    }
                }
            };
            add(pieces, &self.factors[row.factors.0..row.factors.1]);
            add(spots, &self.spots[row.spots.0..row.spots.2]);
        }
    }

    /// Adds what arrives from each cell of the sky where what arrives at each receiver
    /// counts by a weight. Sums side by side are worked out together; `cells` have room for
    /// twice the sky's cells, see [`CellLight`].
    pub(super) fn back_to_cells(&self, weights: &[Vec<Vec4>], cells: &mut [Vec<Vec4>]) {
        for (i, row) in self.rows.iter().enumerate() {
            let run = &self.weights[row.weights.0..row.weights.1];
            for (weights, cells) in weights.iter().zip(cells.iter_mut()) {
                let (weight, to) = (weights[i], &mut cells[row.first_cell..]);
                to.iter_mut().zip(run).for_each(|(to, cell)| *to += weight * *cell);
            }
        }
    }

    /// The same from each emitter.
    pub(super) fn back_to_emitters(&self, weights: &[Vec<Vec4>], emitters: &mut [Vec<Vec4>]) {
        for (i, row) in self.rows.iter().enumerate() {
            let factors = &self.factors[row.factors.0..row.factors.1];
            for (weights, to) in weights.iter().zip(emitters.iter_mut()) {
                let weight = weights[i];
                factors.iter().for_each(|&(k, factor)| to[k as usize] += weight * factor);
            }
        }
    }

    /// The same with what screens send to each, lx, in their order.
    pub(super) fn with_screens(self, screens: Vec<Tristimulus>) -> Self {
        Self { screens, ..self }
    }

    /// Adds what screens send straight to each.
    pub(super) fn add_screens(&self, to: &mut [Tristimulus]) {
        to.iter_mut().zip(&self.screens).for_each(|(light, screens)| *light += *screens);
    }

    /// What screens send straight to all, each of its three values by a weight of its own.
    pub(super) fn screens_by(&self, weights: &[Vec4]) -> Tristimulus {
        let of = |(screens, weight): (&Tristimulus, &Vec4)| {
            screens.tinted([weight.x, weight.y, weight.z].map(f64::from))
        };
        self.screens.iter().zip(weights).map(of).sum()
    }

    /// What screens send straight to some, by their weights, lx.
    pub(super) fn of_screens(&self, weights: &[(usize, f64)]) -> Tristimulus {
        let of = |&(i, weight): &(usize, f64)| Some(*self.screens.get(i)? * weight);
        weights.iter().filter_map(of).sum()
    }

    /// Light from the sky on each receiver, lx.
    pub fn light_of_sky(&self, light: &CellLight) -> Vec<Tristimulus> {
        let row = |row: &Row| {
            let weights = &self.weights[row.weights.0..row.weights.1];
            let run = row.first_cell..row.first_cell + weights.len();
            let [x, y, z] = &light.values;
            Tristimulus::from(dot3(weights, [&x[run.clone()], &y[run.clone()], &z[run]]))
        };
        self.rows.iter().map(row).collect()
    }

    /// Adds what changes when some cells change.
    pub fn add_change(&self, change: &CellChange, to: &mut [Tristimulus]) {
        for (row, light) in self.rows.iter().zip(to) {
            let weights = &self.weights[row.weights.0..row.weights.1];
            let mut sums = [0.0_f32; 3];
            for (cell, difference) in &change.cells {
                // a run may pass the last cell and go on at the first
                let place = match cell.checked_sub(row.first_cell) {
                    Some(place) => place,
                    None => cell + change.count - row.first_cell,
                };
                if let Some(&weight) = weights.get(place) {
                    for (sum, difference) in sums.iter_mut().zip(difference) {
                        *sum += weight * difference;
                    }
                }
            }
            *light += Tristimulus::from(sums.map(f64::from));
        }
    }

    /// Adds the light of the emitters around, by their luminances in cd/m2.
    pub fn add_emitters(&self, luminances: &[Vec4], to: &mut [Tristimulus]) {
        for (row, light) in self.rows.iter().zip(to) {
            *light += gathered(&self.factors[row.factors.0..row.factors.1], luminances);
        }
    }
}

/// Adds a run of values by a weight.
fn add_weighed(sums: &mut [f32], run: &[f32], weight: f32) {
    for (sum, value) in sums.iter_mut().zip(run) {
        *sum += weight * value;
    }
}

/// Sum of luminances by their factors; four running sums, so that none has to
/// wait for another.
fn gathered(factors: &[(u32, f32)], luminances: &[Vec4]) -> Tristimulus {
    let one = |&(surface, factor): &(u32, f32)| {
        luminances.get(surface as usize).map_or(Vec4::ZERO, |luminance| *luminance * factor)
    };
    let (fours, rest) = factors.as_chunks::<4>();
    let mut sums = [Vec4::ZERO; 4];
    for [a, b, c, d] in fours {
        sums[0] += one(a);
        sums[1] += one(b);
        sums[2] += one(c);
        sums[3] += one(d);
    }
    let all = rest.iter().map(one).fold((sums[0] + sums[1]) + (sums[2] + sums[3]), Vec4::add);
    let [x, y, z, _] = all.to_array().map(f64::from);
    Tristimulus { x, y, z }
}

/// Sum of shares by their factors, as [`gathered`].
fn shared(factors: &[(u32, f32)], shares: &[f32]) -> f32 {
    let one = |&(spot, factor): &(u32, f32)| {
        shares.get(spot as usize).map_or(0.0, |share| share * factor)
    };
    let (fours, rest) = factors.as_chunks::<4>();
    let mut sums = Vec4::ZERO;
    for [a, b, c, d] in fours {
        sums += Vec4::new(one(a), one(b), one(c), one(d));
    }
    sums.element_sum() + rest.iter().map(one).sum::<f32>()
}

/// A dot product, eight lanes deep.
pub(super) fn dot(weights: &[f32], values: &[f32]) -> f32 {
    let ((wide, tail), (values, rest)) = (weights.as_chunks::<8>(), values.as_chunks::<8>());
    let mut sums = [Vec4::ZERO; 2];
    for (w, v) in wide.iter().zip(values) {
        sums[0] += Vec4::from_slice(&w[..4]) * Vec4::from_slice(&v[..4]);
        sums[1] += Vec4::from_slice(&w[4..]) * Vec4::from_slice(&v[4..]);
    }
    (sums[0] + sums[1]).element_sum() + tail.iter().zip(rest).map(|(w, v)| w * v).sum::<f32>()
}

/// Three dot products at once, four lanes wide and two deep.
fn dot3(weights: &[f32], rows: [&[f32]; 3]) -> [f64; 3] {
    let (wide, tail) = weights.as_chunks::<8>();
    let [x, y, z] = rows.map(|row| row.as_chunks::<8>());
    let mut sums = [[Vec4::ZERO; 2]; 3];
    for (w, ((x, y), z)) in wide.iter().zip(x.0.iter().zip(y.0).zip(z.0)) {
        let halves = |of: &[f32; 8]| [Vec4::from_slice(&of[..4]), Vec4::from_slice(&of[4..])];
        let w = halves(w);
        for (sum, row) in sums.iter_mut().zip([halves(x), halves(y), halves(z)]) {
            sum[0] += w[0] * row[0];
            sum[1] += w[1] * row[1];
        }
    }
    let rest = |row: &[f32]| tail.iter().zip(row).map(|(w, v)| w * v).sum::<f32>();
    let rests = [rest(x.1), rest(y.1), rest(z.1)];
    std::array::from_fn(|i| f64::from((sums[i][0] + sums[i][1]).element_sum() + rests[i]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dot_products_agree_with_plain_sums() {
        let row = |seed: usize| -> Vec<f32> {
            (0..101).map(|i| ((i * seed) % 17) as f32 * 0.25 - 1.0).collect()
        };
        let (w, x, y, z) = (row(3), row(5), row(7), row(11));
        let plain = |v: &[f32]| w.iter().zip(v).map(|(a, b)| f64::from(a * b)).sum::<f64>();
        let got = dot3(&w, [&x, &y, &z]);
        for (got, wanted) in got.into_iter().zip([plain(&x), plain(&y), plain(&z)]) {
            assert!((got - wanted).abs() < 1e-3, "{got} {wanted}");
        }
    }
}
