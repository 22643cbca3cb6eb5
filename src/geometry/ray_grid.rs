//! Which bodies lie on which of many parallel rays.
//!
//! In: a rectangle for each body on a plane across the rays, metres. Out: for a ray, a point of
//! that plane, the bodies whose rectangles reach its cell, in their order.

use glam::DVec2;

/// A grid has at least this extent, metres.
const MIN_SIZE_M: f64 = 1e-6;

/// A grid across parallel rays.
pub(super) struct RayGrid {
    corner: DVec2,
    cells_to_a_metre: DVec2,
    columns: usize,
    rows: usize,
    /// Where the bodies of each cell begin in `listed`; one more than there are cells.
    starts: Vec<u32>,
    listed: Vec<u32>,
}

impl RayGrid {
    /// With so many cells to a body, and so many columns or rows at most. A rectangle is its
    /// low and its high corner.
    pub fn new(rectangles: &[[DVec2; 2]], cells_to_a_body: f64, max_columns: f64) -> Self {
        let corner = rectangles.iter().fold(DVec2::INFINITY, |low, r| low.min(r[0]));
        let end = rectangles.iter().fold(DVec2::NEG_INFINITY, |high, r| high.max(r[1]));
        let size = (end - corner).max(DVec2::splat(MIN_SIZE_M));
        let side = (size.x * size.y / (cells_to_a_body * rectangles.len() as f64)).sqrt();
        let count = (size / side).ceil().clamp(DVec2::ONE, DVec2::splat(max_columns));
        let count = if count.is_finite() { count } else { DVec2::ONE };
        let mut grid = Self {
            corner,
            cells_to_a_metre: count / size,
            columns: count.x as usize,
            rows: count.y as usize,
            starts: Vec::new(),
            listed: Vec::new(),
        };
        grid.list(rectangles);
        grid
    }

    /// Lists the bodies of each cell in their order.
    fn list(&mut self, rectangles: &[[DVec2; 2]]) {
        let mut starts = vec![0; self.columns * self.rows + 1];
        let cells: Vec<[[usize; 2]; 2]> =
            rectangles.iter().map(|corners| corners.map(|corner| self.cell(corner))).collect();
        let each = |[[left, bottom], [right, top]]: [[usize; 2]; 2]| {
            let columns = self.columns;
            (bottom..=top).flat_map(move |row| (left..=right).map(move |c| row * columns + c))
        };
        cells.iter().flat_map(|c| each(*c)).for_each(|cell| starts[cell + 1] += 1);
        for cell in 1..starts.len() {
            starts[cell] += starts[cell - 1];
        }
        let mut next = starts.clone();
        let mut listed = vec![0; starts.last().map_or(0, |count| *count as usize)];
        for (body, around) in cells.iter().enumerate() {
            for cell in each(*around) {
                listed[next[cell] as usize] = body as u32;
                next[cell] += 1;
            }
        }
        (self.starts, self.listed) = (starts, listed);
    }

    /// Column and row of a ray; the nearest for one outside.
    fn cell(&self, at: DVec2) -> [usize; 2] {
        let [x, y] = ((at - self.corner) * self.cells_to_a_metre).to_array();
        [(x as usize).min(self.columns - 1), (y as usize).min(self.rows - 1)]
    }

    /// The bodies near a ray.
    pub fn near(&self, at: DVec2) -> &[u32] {
        let [column, row] = self.cell(at);
        let cell = row * self.columns + column;
        &self.listed[self.starts[cell] as usize..self.starts[cell + 1] as usize]
    }

    /// The bodies near any ray of a rectangle, cell by cell; `None` over so many cells.
    pub fn near_all(
        &self,
        corners: [DVec2; 2],
        max_cells: usize,
    ) -> Option<impl Iterator<Item = &[u32]>> {
        let [[left, bottom], [right, top]] = corners.map(|corner| self.cell(corner));
        if (right - left + 1) * (top - bottom + 1) > max_cells {
            return None;
        }
        let cells =
            (bottom..=top).flat_map(move |row| (left..=right).map(move |c| row * self.columns + c));
        Some(
            cells.map(|cell| {
                &self.listed[self.starts[cell] as usize..self.starts[cell + 1] as usize]
            }),
        )
    }
}
