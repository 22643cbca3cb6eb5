//! Surfaces that receive light: a place and the way it faces.
//!
//! In: what each place sees of the sky's patches, what stands before them and which
//! ground lies under them, once a venue; then, per instant, the luminance of the sky's
//! cells and of the emitters around, and which ground lies in the sun. Out: illuminances,
//! as tristimulus values in lx. Per instant a receiver is a few dot products.

use std::f64::consts::PI;
use std::ops::Add;

use glam::{DVec3, Vec4};

use super::overhead::{Glow, GlowChange};
use super::tristimulus::Tristimulus;
use crate::geometry::{SkyDome, SkyView, Surface};

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
}

#[derive(Debug, Clone, Copy)]
struct Row {
    /// First cell of the run; it may pass the last cell and go on at the first.
    first_cell: usize,
    weights: (usize, usize),
    factors: (usize, usize),
    spots: (usize, usize),
    /// Sum of the factors of all spots of either kind of ground, sr.
    ground_sr: [f64; 2],
}

/// What a venue is made of, to those who receive its light. Emitters are the pieces of
/// what stands, and after them the places of the ground, made of either kind, with the
/// light that comes back from them but for the sun's.
pub trait Emitters {
    /// The piece that a ray met.
    fn piece(&self, surface: &Surface) -> Option<usize>;
    /// The spot of the ground that a ray ends on.
    fn spot(&self, at: [f64; 2]) -> usize;
    /// Emitters that make the light of a spot, and their weights.
    fn of_spot(&self, spot: usize) -> impl Iterator<Item = (usize, f64)>;
    /// Which of two kinds of ground a spot is made of: 0 what is played on, 1 what lies
    /// around.
    fn kind(&self, spot: usize) -> usize;
}

/// A receiver before it is laid flat.
#[derive(Debug, Clone, Default)]
pub struct Receiver {
    cells: Vec<f32>,
    pieces: Factors,
    spots: Factors,
    ground: Factors,
    ground_sr: [f64; 2],
}

/// Sums by index, in rising order, each index once.
type Factors = Vec<(usize, f64)>;

/// Sums by index while they grow.
#[derive(Default)]
struct Sums {
    sums: Vec<f64>,
    touched: Vec<usize>,
}

impl Sums {
    fn of(factors: &Factors) -> Self {
        let mut sums = Self::default();
        factors.iter().for_each(|&(index, value)| sums.add(index, value));
        sums
    }

    /// Adds to a sum; adding nothing does not make one.
    fn add(&mut self, index: usize, value: f64) {
        if value <= 0.0 {
            return;
        }
        if index >= self.sums.len() {
            self.sums.resize((index + 1).next_power_of_two(), 0.0);
        }
        if self.sums[index] == 0.0 {
            self.touched.push(index);
        }
        self.sums[index] += value;
    }

    /// The sums, with those that were there before.
    fn over(mut self, before: Factors) -> Factors {
        before.into_iter().for_each(|(index, value)| self.add(index, value));
        self.touched.sort_unstable();
        self.touched.into_iter().map(|index| (index, self.sums[index])).collect()
    }
}

impl Receiver {
    /// A surface that faces `normal` with a view.
    pub fn new(dome: &SkyDome, view: &SkyView, normal: DVec3, emitters: &impl Emitters) -> Self {
        let mut receiver = Self::default();
        receiver.add(dome, view, normal, emitters, 1.0);
        receiver
    }

    /// Adds a share of what a surface receives. Weights of either half of what it faces
    /// are scaled to what that half sends in the open, `(1 +- cos(tilt)) / 2` of pi.
    pub fn add(
        &mut self,
        dome: &SkyDome,
        view: &SkyView,
        normal: DVec3,
        emitters: &impl Emitters,
        share: f64,
    ) {
        let below = dome.below();
        let cosine = |patch: usize| dome.toward(patch).dot(normal).max(0.0) * dome.patch_sr();
        let mut weights: Vec<f64> = (0..2 * below).map(cosine).collect();
        let (up, down) = weights.split_at_mut(below);
        for (half, open) in [(up, 1.0 + normal.z), (down, 1.0 - normal.z)] {
            let sum: f64 = half.iter().sum();
            let scale = if sum > 0.0 { share * 0.5 * PI * open / sum } else { 0.0 };
            half.iter_mut().for_each(|weight| *weight *= scale);
        }
        self.cells.resize(dome.cells().len(), 0.0);
        for (patch, (arrives, weight)) in view.arrives().iter().zip(&weights).enumerate() {
            self.cells[SkyDome::cell_of(patch)] += *weight as f32 * arrives;
        }
        let mut pieces = Sums::default();
        for hit in view.hits() {
            if let Some(index) = emitters.piece(&hit.surface) {
                pieces.add(index, weights[hit.patch] * hit.share);
            }
        }
        let (mut spots, mut ground) = (Sums::default(), Sums::default());
        for hit in view.ground() {
            spots.add(emitters.spot(hit.at), weights[hit.patch] * hit.share);
        }
        let here = spots.over(Factors::new());
        for &(spot, factor) in &here {
            self.ground_sr[emitters.kind(spot)] += factor;
            for (place, weight) in emitters.of_spot(spot) {
                ground.add(place, weight * factor);
            }
        }
        self.pieces = pieces.over(std::mem::take(&mut self.pieces));
        self.ground = ground.over(std::mem::take(&mut self.ground));
        self.spots = Sums::of(&here).over(std::mem::take(&mut self.spots));
    }

    /// Share of an evenly bright sky's light that arrives, against a horizontal
    /// plane in the open: the sky view factor.
    pub fn sky_view(&self) -> f64 {
        self.cells.iter().map(|&w| f64::from(w)).sum::<f64>() / PI
    }

    /// Solid angle, weighted by the cosine, of each piece: sr.
    pub fn pieces(&self) -> impl Iterator<Item = (usize, f64)> {
        self.pieces.iter().copied()
    }

    /// The same of the ground, as the emitters that its light but for the sun's comes
    /// from.
    pub fn ground(&self) -> impl Iterator<Item = (usize, f64)> {
        self.ground.iter().copied()
    }

    /// Forgets the places that make the light of the spots that it sees: the spots will do.
    pub fn without_places(mut self) -> Self {
        self.ground.clear();
        self
    }

    /// Forgets the pieces and single spots that it sees: all but sky and emitting ground.
    pub fn without_pieces(mut self) -> Self {
        self.pieces.clear();
        self.spots.clear();
        self
    }
}

/// The shortest run of cells, around the dome, that holds all that are not 0.
fn run_of(cells: &[f32]) -> (usize, usize) {
    let lit: Vec<usize> = (0..cells.len()).filter(|&i| cells[i] != 0.0).collect();
    let (Some(&first), Some(&last)) = (lit.first(), lit.last()) else {
        return (0, 0);
    };
    // the widest gap between neighbours, also the one over the end
    let over_end = (first + cells.len() - last, first);
    let gaps = lit.windows(2).map(|w| (w[1] - w[0], w[1])).chain([over_end]);
    let (gap, start) = gaps.max().unwrap_or(over_end);
    (start, cells.len() + 1 - gap)
}

impl FromIterator<Receiver> for Receivers {
    fn from_iter<I: IntoIterator<Item = Receiver>>(all: I) -> Self {
        let mut flat = Self::default();
        for Receiver { cells, pieces, spots, ground, ground_sr } in all {
            let (first_cell, length) = run_of(&cells);
            let starts = (flat.weights.len(), flat.factors.len(), flat.spots.len());
            let small = |(index, factor): (usize, f64)| (index as u32, factor as f32);
            flat.weights.extend((0..length).map(|i| cells[(first_cell + i) % cells.len()]));
            flat.factors.extend(pieces.into_iter().chain(ground).map(small));
            flat.spots.extend(spots.into_iter().map(small));
            flat.rows.push(Row {
                first_cell,
                weights: (starts.0, flat.weights.len()),
                factors: (starts.1, flat.factors.len()),
                spots: (starts.2, flat.spots.len()),
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
            *light += gathered(&self.spots[row.spots.0..row.spots.1], luminances);
        }
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
    fn a_run_holds_every_cell_that_counts_and_is_the_shortest() {
        let cells = |lit: &[usize]| {
            let mut cells = vec![0.0; 10];
            lit.iter().for_each(|&i| cells[i] = 1.0);
            cells
        };
        assert_eq!(run_of(&cells(&[2, 3, 5])), (2, 4));
        assert_eq!(run_of(&cells(&[0, 1, 9])), (9, 3));
        assert_eq!(run_of(&cells(&[4])), (4, 1));
        assert_eq!(run_of(&cells(&[])), (0, 0));
        assert_eq!(run_of(&cells(&[0, 1, 2, 3, 4, 5, 6, 7, 8, 9])).1, 10);
    }

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
