//! Ground that is covered in any case.
//!
//! In: convex rings on the grid, anticlockwise. Out: which of them lie wholly in cells of
//! a raster that single rings fill, and those cells as rectangles. The union of all rings
//! is that of the rectangles and of the rings that are left.
//!
//! A pile of a hundred thousand triangles in a few thousand square metres covers nearly
//! all of the ground many times over; only those at its border matter to the union.

use i_overlay::i_float::int::point::IntPoint;

/// Fewer rings than this are left as they are.
const MANY: usize = 2_000;
/// Cells along either side of the window, at most and at least.
const CELLS: (f64, f64) = (64.0, 1_536.0);
/// Cells across the lesser extent of a middling ring: enough that one of them is filled.
const ACROSS: f64 = 4.0;

/// What [`without_covered`] finds.
pub(super) struct Covered {
    /// For each ring asked for, whether it may be left out.
    pub left_out: Vec<bool>,
    /// The cells that are covered, as anticlockwise rectangles.
    pub patches: Vec<Vec<IntPoint>>,
}

/// Finds rings that may be left out; `None` stands for what has to stay. All rings lie in
/// the window (low and high corner).
pub(super) fn without_covered<'r>(
    rings: impl Iterator<Item = Option<&'r [IntPoint]>>,
    window: (IntPoint, IntPoint),
) -> Covered {
    let rings: Vec<Option<&[IntPoint]>> = rings.map(|r| r.filter(|r| is_convex(r))).collect();
    let nothing = Covered { left_out: vec![false; rings.len()], patches: Vec::new() };
    if rings.iter().flatten().count() < MANY {
        return nothing;
    }
    let Some(mut raster) = Raster::new(rings.iter().flatten().copied(), window) else {
        return nothing;
    };
    rings.iter().flatten().for_each(|ring| raster.fill(ring));
    raster.sum();
    let left_out = rings.iter().map(|ring| ring.is_some_and(|ring| raster.holds(ring))).collect();
    Covered { left_out, patches: raster.rectangles() }
}

/// Whether a ring runs anticlockwise and turns left all the way.
fn is_convex(ring: &[IntPoint]) -> bool {
    let n = ring.len();
    let turn = |i: usize| {
        let (a, b, c) = (ring[i], ring[(i + 1) % n], ring[(i + 2) % n]);
        let [ux, uy, vx, vy] = [b.x - a.x, b.y - a.y, c.x - b.x, c.y - b.y].map(i64::from);
        ux * vy - uy * vx
    };
    // a ring that winds around several times has more than a few corners
    (3..=8).contains(&n) && (0..n).all(|i| turn(i) >= 0) && once_around(ring)
}

/// A convex ring that goes around once changes from right to left, seen along x, once.
fn once_around(ring: &[IntPoint]) -> bool {
    let steps = ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| (b.x - a.x).signum());
    let steps: Vec<i32> = steps.filter(|step| *step != 0).collect();
    let changes = steps.iter().zip(steps.iter().cycle().skip(1)).filter(|(a, b)| a != b).count();
    changes == 2
}

/// Square cells over the window.
struct Raster {
    low: IntPoint,
    high: IntPoint,
    cell: i64,
    columns: usize,
    rows: usize,
    filled: Vec<bool>,
    /// Row by row, how many of the cells before a column are filled.
    before: Vec<u32>,
}

impl Raster {
    fn new<'r>(
        rings: impl Iterator<Item = &'r [IntPoint]>,
        (low, high): (IntPoint, IntPoint),
    ) -> Option<Self> {
        let extent = |ring: &[IntPoint], of: fn(&IntPoint) -> i32| {
            let ends =
                ring.iter().map(of).fold((i32::MAX, i32::MIN), |(l, h), v| (l.min(v), h.max(v)));
            i64::from(ends.1) - i64::from(ends.0)
        };
        let mut sizes: Vec<i64> =
            rings.map(|ring| extent(ring, |p| p.x).min(extent(ring, |p| p.y))).collect();
        let middle = sizes.len() / 2;
        let (_, size, _) = sizes.select_nth_unstable(middle);
        let side = (i64::from(high.x) - i64::from(low.x)).max(i64::from(high.y) - i64::from(low.y));
        let cells = (side as f64 / (*size as f64 / ACROSS).max(1.0)).clamp(CELLS.0, CELLS.1);
        let cell = (side as f64 / cells).ceil() as i64;
        if cell < 8 {
            return None;
        }
        let count = |low: i32, high: i32| ((i64::from(high) - i64::from(low)) / cell + 1) as usize;
        let (columns, rows) = (count(low.x, high.x), count(low.y, high.y));
        let filled = vec![false; columns * rows];
        Some(Self { low, high, cell, columns, rows, filled, before: Vec::new() })
    }

    /// Lower bound of a column or row; what is over the window's edge ends there.
    fn line(&self, low: i32, high: i32, index: usize) -> i64 {
        (i64::from(low) + self.cell * index as i64).min(i64::from(high))
    }

    fn row_of(&self, y: i32) -> usize {
        (((i64::from(y) - i64::from(self.low.y)).max(0) / self.cell) as usize).min(self.rows - 1)
    }

    /// Marks the cells that lie inside of a ring.
    fn fill(&mut self, ring: &[IntPoint]) {
        let (lowest, highest) = ends(ring.iter().map(|p| p.y));
        let (first, last) = (self.row_of(lowest), self.row_of(highest));
        let mut under: Option<(f64, f64)> = None;
        for row in first..=last + 1 {
            let y = self.line(self.low.y, self.high.y, row);
            let at = width_at(ring, y);
            if let (Some(a), Some(b)) = (under, at) {
                // an end inside of the ring at both lines is inside all the way
                let (from, to) = (a.0.max(b.0), a.1.min(b.1));
                let base = f64::from(self.low.x);
                let first = ((from - base) / self.cell as f64).ceil().max(0.0) as usize;
                let mut end = ((to - base) / self.cell as f64).floor().max(0.0) as usize;
                if to >= f64::from(self.high.x) {
                    end = self.columns;
                }
                for column in first..end.min(self.columns) {
                    self.filled[(row - 1) * self.columns + column] = true;
                }
            }
            under = at;
        }
    }

    /// Counts what is filled.
    fn sum(&mut self) {
        self.before = Vec::with_capacity((self.columns + 1) * self.rows);
        for row in self.filled.chunks(self.columns) {
            let mut sum = 0;
            self.before.push(0);
            for filled in row {
                sum += u32::from(*filled);
                self.before.push(sum);
            }
        }
    }

    /// Whether every cell that a ring touches is filled.
    fn holds(&self, ring: &[IntPoint]) -> bool {
        let (lowest, highest) = ends(ring.iter().map(|p| p.y));
        (self.row_of(lowest)..=self.row_of(highest)).all(|row| {
            let low = self.line(self.low.y, self.high.y, row);
            let high = self.line(self.low.y, self.high.y, row + 1);
            let Some((from, to)) = width_between(ring, low, high) else { return true };
            let column = |x: f64| {
                (((x - f64::from(self.low.x)) / self.cell as f64).floor().max(0.0) as usize)
                    .min(self.columns - 1)
            };
            let (first, last) = (column(from - 1.0), column(to + 1.0));
            let start = row * (self.columns + 1);
            let count = self.before[start + last + 1] - self.before[start + first];
            count as usize == last + 1 - first
        })
    }

    /// Filled cells as rectangles: runs of a row, joined with equal runs of the rows over it.
    fn rectangles(&self) -> Vec<Vec<IntPoint>> {
        let mut done: Vec<Vec<IntPoint>> = Vec::new();
        // runs that may go on: columns, and the row that they begin at
        let mut open: Vec<(usize, usize, usize)> = Vec::new();
        for row in 0..=self.rows {
            let cells = self.filled.get(row * self.columns..(row + 1) * self.columns);
            let runs = runs(cells.unwrap_or_default());
            let mut next = Vec::with_capacity(runs.len());
            for (first, end) in runs {
                let before = open.iter().position(|(f, e, _)| (*f, *e) == (first, end));
                let from = before.map_or(row, |at| open.swap_remove(at).2);
                next.push((first, end, from));
            }
            done.extend(open.drain(..).map(|run| self.rectangle(run, row)));
            open = next;
        }
        done
    }

    fn rectangle(&self, (first, end, from): (usize, usize, usize), row: usize) -> Vec<IntPoint> {
        let x = |column: usize| self.line(self.low.x, self.high.x, column) as i32;
        let y = |row: usize| self.line(self.low.y, self.high.y, row) as i32;
        let (west, east, south, north) = (x(first), x(end), y(from), y(row));
        vec![
            IntPoint::new(west, south),
            IntPoint::new(east, south),
            IntPoint::new(east, north),
            IntPoint::new(west, north),
        ]
    }
}

/// First cell and the one after the last of each run of filled cells.
fn runs(cells: &[bool]) -> Vec<(usize, usize)> {
    let mut runs = Vec::new();
    let mut start = None;
    for (column, filled) in cells.iter().chain([&false]).enumerate() {
        match (filled, start) {
            (true, None) => start = Some(column),
            (false, Some(first)) => {
                runs.push((first, column));
                start = None;
            }
            _ => {}
        }
    }
    runs
}

fn ends(values: impl Iterator<Item = i32>) -> (i32, i32) {
    values.fold((i32::MAX, i32::MIN), |(low, high), v| (low.min(v), high.max(v)))
}

/// Where a convex ring begins and ends along a level line, each a cell of the grid
/// further in than it is.
fn width_at(ring: &[IntPoint], y: i64) -> Option<(f64, f64)> {
    let (from, to) = width_between(ring, y, y)?;
    (to - from > 2.0).then_some((from + 1.0, to - 1.0))
}

/// Where a convex ring begins and ends along x between two level lines.
fn width_between(ring: &[IntPoint], low: i64, high: i64) -> Option<(f64, f64)> {
    let mut width: Option<(f64, f64)> = None;
    let mut take = |x: f64| {
        width = Some(width.map_or((x, x), |(from, to): (f64, f64)| (from.min(x), to.max(x))));
    };
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        let (ay, by) = (i64::from(a.y), i64::from(b.y));
        if (low..=high).contains(&ay) {
            take(f64::from(a.x));
        }
        for line in [low, high] {
            if (ay < line) != (by < line) && ay != by {
                let share = (line - ay) as f64 / (by - ay) as f64;
                take(f64::from(a.x) + share * (f64::from(b.x) - f64::from(a.x)));
            }
        }
    }
    width
}
