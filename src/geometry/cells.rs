//! Areas of polygons in the cells of a rectangular grid, exactly.
//!
//! In: a [`Grid`] on any plane with two axes; rings on that plane, in its unit. Out: the area
//! that the rings take of each cell, in units of a cell, and from such areas the
//! [`CellShade`] of a cell.
//!
//! Each side of a ring adds its signed area to the cells on its right. Areas therefore move
//! evenly with an edge, where counting places would step.

use crate::base::plane::P2;

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
pub(super) struct Grid {
    /// The lowest corner of all.
    pub corner: P2,
    /// Width and height of a cell.
    pub step: P2,
    pub columns: usize,
    pub rows: usize,
}

impl Grid {
    pub fn cells(&self) -> usize {
        self.columns * self.rows
    }

    /// The point at a share, 0 to 1 each, of the way across and up a cell.
    pub fn within(&self, cell: usize, share: P2) -> P2 {
        let (column, row) = (cell % self.columns, cell / self.columns);
        let at = |i: usize, n: usize| self.corner[i] + (n as f64 + share[i]) * self.step[i];
        [at(0, column), at(1, row)]
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

/// Signed areas by cell, in units of a cell: rows of one more column than the grid has, each
/// holding what changes from the column before it.
pub(super) struct Areas<'a> {
    grid: &'a Grid,
    /// Cells to a unit of the plane.
    per_unit: P2,
    change: Vec<f64>,
}

impl<'a> Areas<'a> {
    pub fn new(grid: &'a Grid) -> Self {
        let per_unit = grid.step.map(f64::recip);
        Self { grid, per_unit, change: vec![0.0; grid.rows * (grid.columns + 1)] }
    }

    /// A point in units of cells; what lies outside goes to the nearest border.
    fn on(&self, p: P2) -> P2 {
        let in_cells = |i: usize, count: usize| {
            ((p[i] - self.grid.corner[i]) * self.per_unit[i]).clamp(0.0, count as f64)
        };
        [in_cells(0, self.grid.columns), in_cells(1, self.grid.rows)]
    }

    /// Adds one side of a ring, so many times. Anticlockwise rings have positive areas.
    pub fn add(&mut self, from: P2, to: P2, times: f64) {
        let (from, to) = (self.on(from), self.on(to));
        let rise = to[1] - from[1];
        if rise == 0.0 {
            return;
        }
        let last = self.grid.rows.saturating_sub(1);
        let rows = [from[1], to[1]].map(|y| (y as usize).min(last));
        if rows[0] == rows[1] {
            // most sides are short
            self.in_row(rows[0], from[0], to[0], -rise * times);
            return;
        }
        let x = |y: f64| from[0] + (to[0] - from[0]) * ((y - from[1]) / rise);
        let (low, high) = (from[1].min(to[1]), from[1].max(to[1]));
        // anticlockwise rings go down on their left
        let down = -rise.signum() * times;
        for row in rows[0].min(rows[1])..=rows[0].max(rows[1]) {
            let (bottom, top) = ((row as f64).max(low), (row as f64 + 1.0).min(high));
            if top > bottom {
                self.in_row(row, x(bottom), x(top), down * (top - bottom));
            }
        }
    }

    /// A piece of a side inside one row that falls by `fall`, column by column.
    fn in_row(&mut self, row: usize, x0: f64, x1: f64, fall: f64) {
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
        for column in first..=end {
            let edge = column as f64;
            let (from, to) = (left.max(edge), right.min(edge + 1.0));
            let share = if right > left { (to - from).max(0.0) / (right - left) } else { 1.0 };
            // what the piece leaves on its right inside the column, and all of it beyond
            let beside = 1.0 - (0.5 * (from + to) - edge);
            if let [here, next, ..] = &mut changes[column..] {
                *here += fall * share * beside;
                *next += fall * share * (1.0 - beside);
            }
        }
    }

    /// The area in each cell, row by row.
    pub fn by_cell(&self) -> impl Iterator<Item = f64> {
        self.change.chunks_exact(self.grid.columns + 1).flat_map(|changes| {
            changes.iter().take(self.grid.columns).scan(0.0, |here, change| {
                *here += change;
                Some(*here)
            })
        })
    }
}
