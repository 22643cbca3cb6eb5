//! Facets of the ground by square cell.
//!
//! In: facets and spots, field axes or the local frame, metres. Out: those near a place or a box.

use glam::DVec3;

use super::net::Facet;
use crate::base::plane::P2;
use crate::geometry::hull::Box2;

/// Facets by square cell over the spots that were stated.
#[derive(Debug, Default)]
pub(super) struct Bins {
    low: P2,
    cell_m: f64,
    columns: usize,
    rows: usize,
    /// Where the facets of each cell begin in `facets`, and where the last ones end.
    starts: Vec<u32>,
    facets: Vec<u32>,
    /// Those that reach farther out than the cells.
    pub outer: Vec<u32>,
}

impl Bins {
    /// More cells a side are not made.
    const MAX_SIDE: f64 = 512.0;

    /// The first points are the spots that were stated.
    pub fn new(points: &[DVec3], facets: &[Facet], spots: usize) -> Self {
        let stated = points.iter().take(spots).map(|p| [p.x, p.y]);
        let Some(Box2 { min: low, max }) = Box2::around(stated) else { return Self::default() };
        let side = (max[0] - low[0]).max(max[1] - low[1]).max(1e-3);
        let cell_m = side / (facets.len() as f64).sqrt().clamp(1.0, Self::MAX_SIDE);
        let count = |axis: usize| ((max[axis] - low[axis]) / cell_m) as usize + 1;
        let (columns, rows) = (count(0), count(1));
        let mut bins = Self { low, cell_m, columns, rows, ..Self::default() };
        let bounds = |facet: &Facet| {
            Box2::around(facet.corners.map(|c| {
                let p = points[c as usize];
                [p.x, p.y]
            }))
        };
        let is_outer = |facet: &Facet| facet.corners.iter().any(|c| *c as usize >= spots);
        let mut listed: Vec<(u32, u32)> = Vec::new();
        for (index, facet) in facets.iter().enumerate() {
            if facet.is_line {
                // what has no area is nowhere
            } else if is_outer(facet) {
                bins.outer.push(index as u32);
            } else if let Some(bounds) = bounds(facet) {
                listed.extend(bins.cells(&bounds).map(|cell| (cell as u32, index as u32)));
            }
        }
        listed.sort_unstable();
        bins.starts = (0..=(columns * rows) as u32)
            .map(|cell| listed.partition_point(|(of, _)| *of < cell) as u32)
            .collect();
        bins.facets = listed.into_iter().map(|(_, facet)| facet).collect();
        bins
    }

    fn place(&self, value: f64, axis: usize) -> usize {
        let count = if axis == 0 { self.columns } else { self.rows };
        (((value - self.low[axis]) / self.cell_m).max(0.0) as usize).min(count.saturating_sub(1))
    }

    fn cells(&self, bounds: &Box2) -> impl Iterator<Item = usize> + use<> {
        let [left, right] = [bounds.min[0], bounds.max[0]].map(|x| self.place(x, 0));
        let [bottom, top] = [bounds.min[1], bounds.max[1]].map(|y| self.place(y, 1));
        let columns = self.columns;
        (bottom..=top).flat_map(move |row| (left..=right).map(move |c| row * columns + c))
    }

    fn of(&self, cell: usize) -> &[u32] {
        let [from, to] = [cell, cell + 1].map(|i| self.starts.get(i).copied().unwrap_or(0));
        &self.facets[from as usize..to as usize]
    }

    pub fn in_box(&self, bounds: &Box2) -> Vec<u32> {
        self.cells(bounds).flat_map(|cell| self.of(cell)).copied().collect()
    }

    /// A facet not far from a place.
    pub fn near(&self, place: P2) -> u32 {
        let cell = self.place(place[1], 1) * self.columns + self.place(place[0], 0);
        self.of(cell).first().or(self.facets.first()).or(self.outer.first()).copied().unwrap_or(0)
    }
}
