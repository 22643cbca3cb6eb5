//! A surface that receives light, while a venue is prepared: a place and the way it faces.
//!
//! In: what it sees of the sky's patches, what stands before them and which ground lies
//! under them. Out: a [`Receiver`]: how much of what each cell of the sky, each piece of
//! what stands and each spot of the ground sends arrives, sr weighted by the cosine.

use std::f64::consts::PI;

use glam::DVec3;

use crate::geometry::{SkyDome, SkyView, Surface};

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
    pub(super) cells: Vec<f32>,
    pub(super) pieces: Factors,
    /// Spots of either kind of ground.
    pub(super) spots: [Factors; 2],
    /// Places of the ground that make the light of the spots.
    pub(super) ground: Factors,
    pub(super) ground_sr: [f64; 2],
}

/// Sums by index, in rising order, each index once.
pub(super) type Factors = Vec<(usize, f64)>;

/// Sums by index while they grow.
#[derive(Default)]
struct Sums {
    sums: Vec<f64>,
    touched: Vec<usize>,
}

impl Sums {
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
        let cosine = |patch: usize| match view.looked_at(patch) {
            true => dome.toward(patch).dot(normal).max(0.0) * dome.patch_sr(),
            false => 0.0,
        };
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
        let mut of_kind = [Sums::default(), Sums::default()];
        for (spot, factor) in spots.over(Factors::new()) {
            let kind = emitters.kind(spot);
            self.ground_sr[kind] += factor;
            of_kind[kind].add(spot, factor);
            for (place, weight) in emitters.of_spot(spot) {
                ground.add(place, weight * factor);
            }
        }
        self.pieces = pieces.over(std::mem::take(&mut self.pieces));
        self.ground = ground.over(std::mem::take(&mut self.ground));
        for (spots, of_kind) in self.spots.iter_mut().zip(of_kind) {
            *spots = of_kind.over(std::mem::take(spots));
        }
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
        self.spots = Default::default();
        self
    }
}

/// The shortest run of cells, around the dome, that holds all that are not 0.
pub(super) fn run_of(cells: &[f32]) -> (usize, usize) {
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
}
