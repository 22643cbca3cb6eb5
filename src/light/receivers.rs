//! Surfaces that receive light: a place and the way it faces.
//!
//! In: what each place sees of the sky's patches and what stands before them,
//! once a venue; then, per instant, the luminance of the sky's cells and of the
//! surfaces around. Out: illuminances, as tristimulus values in lx. Per instant a
//! receiver is one dot product.

use std::collections::BTreeMap;
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
    /// `cosine * solid angle`, sr, toward each surface around.
    factors: Vec<(u32, f32)>,
}

#[derive(Debug, Clone, Copy)]
struct Row {
    /// First cell of the run; it may pass the last cell and go on at the first.
    first_cell: usize,
    weights: (usize, usize),
    factors: (usize, usize),
}

/// A receiver before it is laid flat.
#[derive(Debug, Clone)]
pub struct Receiver {
    first_cell: usize,
    weights: Vec<f32>,
    factors: Vec<(u32, f32)>,
}

impl Receiver {
    /// A surface that faces `normal` at a place with a view. `index_of` names the
    /// surface that a ray met.
    pub fn new(
        dome: &SkyDome,
        view: &SkyView,
        normal: DVec3,
        index_of: impl Fn(&Surface) -> Option<usize>,
    ) -> Self {
        let mut cells = vec![0.0_f32; dome.cells().len()];
        let mut factors: BTreeMap<usize, f64> = BTreeMap::new();
        for (patch, toward) in dome.directions().iter().enumerate() {
            let weight = toward.dot(normal) * dome.patch_sr();
            if weight <= 0.0 {
                continue;
            }
            cells[SkyDome::cell_of(patch)] += weight as f32 * view.arrives()[patch];
        }
        for meeting in view.meetings() {
            let weight = dome.directions()[meeting.patch].dot(normal) * dome.patch_sr();
            if weight > 0.0
                && let Some(index) = index_of(&meeting.surface)
            {
                *factors.entry(index).or_default() += weight * meeting.share;
            }
        }
        let (first_cell, length) = run_of(&cells);
        Self {
            first_cell,
            weights: (0..length).map(|i| cells[(first_cell + i) % cells.len()]).collect(),
            factors: factors.into_iter().map(|(i, f)| (i as u32, f as f32)).collect(),
        }
    }

    /// Share of an evenly bright sky's light that arrives, against a horizontal
    /// plane in the open: the sky view factor.
    pub fn sky_view(&self) -> f64 {
        self.weights.iter().map(|&w| f64::from(w)).sum::<f64>() / std::f64::consts::PI
    }

    /// The same for the surfaces around.
    pub fn surfaces_view(&self) -> f64 {
        self.factors.iter().map(|f| f64::from(f.1)).sum::<f64>() / std::f64::consts::PI
    }

    /// Solid angle, weighted by the cosine, of each surface: sr.
    pub fn factors(&self) -> &[(u32, f32)] {
        &self.factors
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
        for receiver in all {
            let (weights, factors) = (flat.weights.len(), flat.factors.len());
            flat.weights.extend(receiver.weights);
            flat.factors.extend(receiver.factors);
            flat.rows.push(Row {
                first_cell: receiver.first_cell,
                weights: (weights, flat.weights.len()),
                factors: (factors, flat.factors.len()),
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

    /// Adds the light of the surfaces around, by their luminances in cd/m2.
    pub fn add_surfaces(&self, luminances: &[Tristimulus], to: &mut [Tristimulus]) {
        let four = |light: &Tristimulus| DVec3::from(light.values()).as_vec3().extend(0.0);
        let small: Vec<Vec4> = luminances.iter().map(four).collect();
        for (row, light) in self.rows.iter().zip(to) {
            *light += gathered(&self.factors[row.factors.0..row.factors.1], &small);
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
