//! Areas of polygons in the cells of a rectangular grid, exactly.
//!
//! In: a [`CellGrid`] on any plane with two axes; rings on that plane, in its unit. Out: the area
//! that the rings take of each cell, in units of a cell, and from such areas the
//! [`CellShade`] of a cell.
//!
//! Each side of a ring adds its signed area to the cells on its right. Areas therefore move
//! evenly with an edge, where counting places would step.

use std::ops::{AddAssign, Mul};

use crate::base::plane::P2;
use crate::geometry::hull::Box2;

/// Shares of a cell; `sun`, `dimmed` and `opaque` sum to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CellShade {
    /// In full sun.
    pub sun: f64,
    /// Under translucent bodies only.
    pub dimmed: f64,
    /// Without direct light.
    pub opaque: f64,
    /// Direct light that reaches the dimmed part, as a share of what would reach all of the
    /// cell: each dimmed part by its transmittance.
    pub through_dimmed: f64,
}

impl CellShade {
    /// All of the cell in full sun.
    pub const SUN: Self = Self { sun: 1.0, dimmed: 0.0, opaque: 0.0, through_dimmed: 0.0 };

    /// From areas or solid angles; rounding is kept from leaving `0..=1`.
    pub(super) fn from_parts(whole: f64, opaque: f64, dimmed: f64, through: f64) -> Self {
        if whole <= 0.0 {
            return Self::SUN;
        }
        let opaque = (opaque / whole).clamp(0.0, 1.0);
        let through = if dimmed > 0.0 { (through / dimmed).clamp(0.0, 1.0) } else { 0.0 };
        let dimmed = (dimmed / whole).clamp(0.0, 1.0 - opaque);
        let through_dimmed = through * dimmed;
        Self { sun: 1.0 - opaque - dimmed, dimmed, opaque, through_dimmed }
    }
}

/// Where the cells are, in the unit of the plane.
#[derive(Debug, Clone, Copy)]
pub(super) struct CellGrid {
    /// The lowest corner of all.
    pub corner: P2,
    /// Width and height of a cell.
    pub step: P2,
    pub columns: usize,
    pub rows: usize,
}

impl CellGrid {
    pub fn cells(&self) -> usize {
        self.columns * self.rows
    }

    /// The point at a share, 0 to 1 each, of the way across and up a cell.
    pub fn within(&self, cell: usize, share: P2) -> P2 {
        let (column, row) = (cell % self.columns, cell / self.columns);
        let at = |i: usize, n: usize| self.corner[i] + (n as f64 + share[i]) * self.step[i];
        [at(0, column), at(1, row)]
    }

    /// The same with room for a box around, and what each of its cells holds in the same cells
    /// of that; `None` where it would have more cells than so many.
    pub fn widened<T: Copy>(
        &self,
        around: &Box2,
        cells: &[Option<T>],
        max_cells: usize,
    ) -> Option<(Self, Vec<Option<T>>)> {
        let end = |i: usize, count: usize| self.corner[i] + count as f64 * self.step[i];
        let ends = [end(0, self.columns), end(1, self.rows)];
        // a side that is there to the last digits stays
        let room = |over: f64| if over > 1e-9 { (over + 0.01).ceil() as usize } else { 0 };
        let before = [0, 1].map(|i| room((self.corner[i] - around.min[i]) / self.step[i]));
        let after = [0, 1].map(|i| room((around.max[i] - ends[i]) / self.step[i]));
        let wide = Self {
            corner: [0, 1].map(|i| self.corner[i] - before[i] as f64 * self.step[i]),
            step: self.step,
            columns: before[0] + self.columns + after[0],
            rows: before[1] + self.rows + after[1],
        };
        if wide.cells() > max_cells {
            return None;
        }
        let mut moved = vec![None; wide.cells()];
        for (row, cells) in cells.chunks_exact(self.columns.max(1)).enumerate() {
            let first = (before[1] + row) * wide.columns + before[0];
            moved[first..first + cells.len()].copy_from_slice(cells);
        }
        Some((wide, moved))
    }

    /// The cells beside one, below it and over it.
    pub fn neighbours(&self, cell: usize) -> impl Iterator<Item = usize> {
        let (column, row) = (cell % self.columns, cell / self.columns);
        let across =
            [(column > 0).then(|| cell - 1), (column + 1 < self.columns).then_some(cell + 1)];
        let upright = [
            (row > 0).then(|| cell - self.columns),
            (row + 1 < self.rows).then_some(cell + self.columns),
        ];
        across.into_iter().chain(upright).flatten()
    }
}

/// What areas are counted in: a number, or several side by side.
pub(super) trait Count: Copy + Default + AddAssign + Mul<f64, Output = Self> {}

impl<T: Copy + Default + AddAssign + Mul<f64, Output = T>> Count for T {}

/// Signed areas by cell, in units of a cell: rows of one more column than the grid has, each
/// holding what changes from the column before it.
pub(super) struct Areas<T> {
    grid: CellGrid,
    change: Vec<T>,
}

/// Puts places of the plane in units of cells.
#[derive(Debug, Clone, Copy)]
pub(super) struct InCells {
    corner: P2,
    /// Cells to a unit of the plane.
    per_unit: P2,
    ends: P2,
}

impl InCells {
    /// A point; what lies outside goes to the nearest border.
    pub fn on(&self, p: P2) -> P2 {
        [0, 1].map(|i| ((p[i] - self.corner[i]) * self.per_unit[i]).clamp(0.0, self.ends[i]))
    }
}

impl<T: Count> Areas<T> {
    pub fn new(grid: &CellGrid) -> Self {
        Self { grid: *grid, change: vec![T::default(); grid.rows * (grid.columns + 1)] }
    }

    pub fn in_cells(&self) -> InCells {
        let CellGrid { corner, step, columns, rows } = self.grid;
        InCells { corner, per_unit: step.map(f64::recip), ends: [columns as f64, rows as f64] }
    }

    /// Adds one side of a ring in units of cells, so many times. Anticlockwise rings have
    /// positive areas.
    pub fn add(&mut self, from: P2, to: P2, times: T) {
        let rise = to[1] - from[1];
        if rise == 0.0 {
            return;
        }
        let last = self.grid.rows.saturating_sub(1);
        let rows = [from[1], to[1]].map(|y| (y as usize).min(last));
        if rows[0] == rows[1] {
            // most sides are short
            self.in_row(rows[0], from[0], to[0], times * -rise);
            return;
        }
        let x = |y: f64| from[0] + (to[0] - from[0]) * ((y - from[1]) / rise);
        let (low, high) = (from[1].min(to[1]), from[1].max(to[1]));
        // anticlockwise rings go down on their left
        let down = times * -rise.signum();
        for row in rows[0].min(rows[1])..=rows[0].max(rows[1]) {
            let (bottom, top) = ((row as f64).max(low), (row as f64 + 1.0).min(high));
            if top > bottom {
                self.in_row(row, x(bottom), x(top), down * (top - bottom));
            }
        }
    }

    /// A piece of a side inside one row that falls by `fall`, column by column.
    fn in_row(&mut self, row: usize, x0: f64, x1: f64, fall: T) {
        let (left, right) = (x0.min(x1), x0.max(x1));
        let last = self.grid.columns.saturating_sub(1);
        let (first, end) = ((left as usize).min(last), (right as usize).min(last));
        let Some(changes) = self.change.get_mut(row * (self.grid.columns + 1)..) else { return };
        if first == end {
            let beside = 1.0 - (0.5 * (left + right) - first as f64);
            if let Some([here, next, ..]) = changes.get_mut(first..) {
                *here += fall * beside;
                *next += fall * (1.0 - beside);
            }
            return;
        }
        let slope = fall * (right - left).recip();
        for column in first..=end {
            let edge = column as f64;
            let (from, to) = (left.max(edge), right.min(edge + 1.0));
            let falls = slope * (to - from).max(0.0);
            // what the piece leaves on its right inside the column, and all of it beyond
            let beside = 1.0 - (0.5 * (from + to) - edge);
            if let [here, next, ..] = &mut changes[column..] {
                *here += falls * beside;
                *next += falls * (1.0 - beside);
            }
        }
    }

    /// The area in each cell, row by row.
    pub fn each(&self, mut take: impl FnMut(usize, T)) {
        for (row, changes) in self.change.chunks_exact(self.grid.columns + 1).enumerate() {
            let mut here = T::default();
            for (column, change) in changes.iter().take(self.grid.columns).enumerate() {
                here += *change;
                take(row * self.grid.columns + column, here);
            }
        }
    }
}
