//! What a shadow does to each cell of a lattice, by exact areas.
//!
//! In: a [`Lattice`], the [`Region`] that it was made over, local frame, metres; per instant
//! a [`Shadow`]. Out: for each place of the lattice the [`CellShade`] of the part of its cell
//! that lies in the region, and the [`ShadeShare`] of the whole region.
//!
//! The shadow's rings are clipped to the convex parts of the region; each side of what is
//! left adds its signed area to the cells on its right. Shares therefore move evenly with the
//! edge, where counting places would step.

use geo::MultiPolygon;

use super::Lattice;
use crate::geometry::region::Region;
use crate::geometry::shadow::{ShadeShare, Shadow};
use crate::plane::P2;
use crate::units::Transmittance;

/// Shares of a cell, as far as it lies in the region; `sun`, `dimmed` and `opaque` sum to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CellShade {
    /// In full sun.
    pub sun: f64,
    /// Under translucent bodies only.
    pub dimmed: f64,
    /// Without direct light.
    pub opaque: f64,
    /// Direct light that reaches the dimmed part, as a share of what would reach all of the
    /// cell: the area of each dimmed part by its transmittance.
    pub through_dimmed: f64,
}

impl CellShade {
    /// All of the cell in full sun.
    pub const SUN: Self = Self { sun: 1.0, dimmed: 0.0, opaque: 0.0, through_dimmed: 0.0 };

    /// From areas in m2; rounding is kept from leaving `0..=1`.
    fn from_areas(whole: f64, opaque: f64, dimmed: f64, through: f64) -> Self {
        if whole <= 0.0 {
            return Self::SUN;
        }
        let opaque = (opaque / whole).clamp(0.0, 1.0);
        let dimmed = (dimmed / whole).clamp(0.0, 1.0 - opaque);
        let through_dimmed = (through / whole).clamp(0.0, dimmed);
        Self { sun: 1.0 - opaque - dimmed, dimmed, opaque, through_dimmed }
    }
}

/// Signed areas by cell, in units of a cell: rows of one more column than the lattice has,
/// each holding what changes from the column before it.
struct Areas {
    columns: usize,
    rows: usize,
    change: Vec<f64>,
}

impl Lattice {
    /// Area of each place's cell that lies in `region`, m2.
    pub fn cell_areas_m2(&self, region: &Region) -> Vec<f64> {
        if self.is_without_cells() {
            let each = region.area_m2() / self.places.len().max(1) as f64;
            return vec![each; self.places.len()];
        }
        let mut areas = Areas::new(self);
        region.parts().for_each(|part| areas.add(self, part, 1.0));
        self.at_places(areas)
    }

    /// What a shadow does to the region and to each place's cell. `areas_m2` are the
    /// [`Lattice::cell_areas_m2`] of the same region.
    pub fn shade(
        &self,
        region: &Region,
        areas_m2: &[f64],
        shadow: &Shadow,
    ) -> (ShadeShare, Vec<CellShade>) {
        let mut opaque = Areas::new(self);
        let mut dimmed = Areas::new(self);
        let mut through = Areas::new(self);
        let opaque_m2 = self.collect(region, &shadow.opaque, |ring| opaque.add(self, ring, 1.0));
        let mut dimmed_m2: Vec<(Transmittance, f64)> = Vec::with_capacity(shadow.dimmed.len());
        for layer in &shadow.dimmed {
            let share = layer.transmittance.share();
            let area = self.collect(region, &layer.region, |ring| {
                dimmed.add(self, ring, 1.0);
                through.add(self, ring, share);
            });
            dimmed_m2.push((layer.transmittance, area));
        }
        let whole = ShadeShare::from_areas(region.area_m2(), opaque_m2, dimmed_m2);
        if self.is_without_cells() {
            let lit = whole.mean_transmission - (1.0 - whole.shaded);
            let shade = CellShade::from_areas(1.0, whole.opaque, whole.shaded - whole.opaque, lit);
            return (whole, vec![shade; self.places.len()]);
        }
        let [opaque, dimmed, through] = [opaque, dimmed, through].map(|of| self.at_places(of));
        let cells = areas_m2.iter().zip(&opaque).zip(dimmed.iter().zip(&through));
        let cells = cells.map(|((whole, opaque), (dimmed, through))| {
            CellShade::from_areas(*whole, *opaque, *dimmed, *through)
        });
        (whole, cells.collect())
    }

    /// Hands on what lies in the region; its area, m2.
    fn collect(&self, region: &Region, of: &MultiPolygon<f64>, mut add: impl FnMut(&[P2])) -> f64 {
        region.each_overlap(of, |ring| {
            if !self.is_without_cells() {
                add(ring);
            }
        })
    }

    /// Whether the region is so narrow that no node lies in it.
    fn is_without_cells(&self) -> bool {
        !self.index.iter().any(Option::is_some)
    }

    /// The areas of the places' cells, m2.
    fn at_places(&self, areas: Areas) -> Vec<f64> {
        let cell_m2 = self.step.x * self.step.y;
        let mut at = vec![0.0; self.places.len()];
        for (row, changes) in areas.change.chunks_exact(areas.columns + 1).enumerate() {
            let mut here = 0.0;
            for (column, change) in changes.iter().take(areas.columns).enumerate() {
                here += change;
                let place = self.index.get(row * areas.columns + column).copied().flatten();
                if let Some(at) = place.and_then(|place| at.get_mut(place as usize)) {
                    // anticlockwise rings go down on their left
                    *at = -here * cell_m2;
                }
            }
        }
        at
    }
}

impl Areas {
    fn new(lattice: &Lattice) -> Self {
        let (columns, rows) = (lattice.columns, lattice.rows);
        Self { columns, rows, change: vec![0.0; rows * (columns + 1)] }
    }

    /// Adds a ring, not closed, so many times.
    fn add(&mut self, lattice: &Lattice, ring: &[P2], times: f64) {
        let (columns, rows) = (self.columns as f64, self.rows as f64);
        let on = |p: P2| {
            let (x, y) = (p[0] - lattice.corner.x, p[1] - lattice.corner.y);
            // clipped to the region, so only rounding leaves the lattice
            let [x, y] = [x / lattice.step.x, y / lattice.step.y];
            [x.clamp(0.0, columns), y.clamp(0.0, rows)]
        };
        let Some(&last) = ring.last() else { return };
        let mut from = on(last);
        for &corner in ring {
            let to = on(corner);
            self.side(from, to, times);
            from = to;
        }
    }

    /// One side of a ring, row by row.
    fn side(&mut self, from: P2, to: P2, times: f64) {
        let rise = to[1] - from[1];
        if rise == 0.0 {
            return;
        }
        let x = |y: f64| from[0] + (to[0] - from[0]) * ((y - from[1]) / rise);
        let (low, high) = (from[1].min(to[1]), from[1].max(to[1]));
        let (up, last) = (rise.signum() * times, self.rows.saturating_sub(1));
        for row in (low as usize).min(last)..=(high as usize).min(last) {
            let (bottom, top) = ((row as f64).max(low), (row as f64 + 1.0).min(high));
            if top > bottom {
                self.in_row(row, x(bottom), x(top), up * (top - bottom));
            }
        }
    }

    /// A piece of a side inside one row that rises by `rise`, column by column.
    fn in_row(&mut self, row: usize, x0: f64, x1: f64, rise: f64) {
        let (left, right) = (x0.min(x1), x0.max(x1));
        let last = self.columns.saturating_sub(1);
        let (first, end) = ((left as usize).min(last), (right as usize).min(last));
        let Some(changes) = self.change.get_mut(row * (self.columns + 1)..) else { return };
        for column in first..=end {
            let edge = column as f64;
            let (from, to) = (left.max(edge), right.min(edge + 1.0));
            let share = if right > left { (to - from).max(0.0) / (right - left) } else { 1.0 };
            // what the piece leaves on its right inside the column, and all of it beyond
            let beside = 1.0 - (0.5 * (from + to) - edge);
            if let [here, next, ..] = &mut changes[column..] {
                *here += rise * share * beside;
                *next += rise * share * (1.0 - beside);
            }
        }
    }
}
