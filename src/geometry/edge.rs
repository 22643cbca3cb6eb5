//! The edge between full sun and shade, and how soft it is.
//!
//! In: a [`Caster`], the [`Shadow`] it cast, the sun. Out: polylines in the
//! local frame (x east, y north, metres), without the field's own boundary, each
//! segment with the width of its penumbra in metres.
//!
//! The sun is a disc of 0.533 degree (mean; The Astronomical Almanac). A point
//! that throws its shadow over a slant distance `d` blurs it to an ellipse on
//! the plane: `d * 0.533 degree` across the sun's azimuth, and that over
//! `sin(elevation)` along it. The penumbra's width is the ellipse's extent
//! across the edge.

use geo::{Coord, LineString, MultiLineString, MultiPolygon};

use super::caster::Caster;
use super::shadow::Shadow;
use crate::solar::{SUN_DIAMETER_DEG, Sun};

/// Points closer than this to a line lie on it: the grid cell and rounding of
/// the way back to the local frame, with room, metres.
const ON_LINE_M: f64 = 1e-4;

/// One connected piece of the edge.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeLine {
    pub line: LineString<f64>,
    /// Full width of the penumbra across each segment of `line`, metres. `None`
    /// where no single body throws the segment.
    pub penumbra_m: Vec<Option<f64>>,
}

/// The edge of everything that is not in full sun.
pub fn edge_of(
    caster: &Caster,
    shadow: &Shadow,
    sun: &Sun,
    outline: &LineString<f64>,
) -> Vec<EdgeLine> {
    let lines = inner_lines(&shadow.shaded, outline);
    if lines.is_empty() {
        return Vec::new();
    }
    let silhouettes = caster.silhouettes(sun.toward());
    let middle =
        |w: &[Coord<f64>]| Coord { x: 0.5 * (w[0].x + w[1].x), y: 0.5 * (w[0].y + w[1].y) };
    let middles: Vec<Coord<f64>> =
        lines.iter().flat_map(|line| line.0.windows(2).map(middle)).collect();
    let (places, grounds): (Vec<Coord<f64>>, Vec<f64>) =
        caster.among_silhouettes(sun.toward(), middles).into_iter().unzip();
    let throwers = heights_of_throwers(&silhouettes, &places).into_iter();
    let mut heights = throwers.zip(grounds).map(|(thrower, ground)| Some(thrower? - ground));
    lines
        .into_iter()
        .map(|line| EdgeLine {
            penumbra_m: line
                .0
                .windows(2)
                .map(|w| Some(penumbra_width_m(heights.next()??, sun, w[1] - w[0])))
                .collect(),
            line,
        })
        .collect()
}

/// Just the lines, for drawing.
pub fn lines_of(edge: &[EdgeLine]) -> MultiLineString<f64> {
    MultiLineString(edge.iter().map(|e| e.line.clone()).collect())
}

/// Width of the penumbra across an edge of direction `along`, metres, thrown
/// from `height_m` above the plane.
pub fn penumbra_width_m(height_m: f64, sun: &Sun, along: Coord<f64>) -> f64 {
    let length = along.x.hypot(along.y);
    let (sin_el, (sin_az, cos_az)) =
        (sun.apparent_elevation.radians().sin(), sun.azimuth.radians().sin_cos());
    if length == 0.0 || sin_el <= 0.0 {
        return 0.0;
    }
    let normal = (-along.y / length, along.x / length);
    let with_sun = normal.0 * sin_az + normal.1 * cos_az;
    let across_sun = normal.0 * cos_az - normal.1 * sin_az;
    let blur = height_m / sin_el * SUN_DIAMETER_DEG.to_radians();
    blur * across_sun.hypot(with_sun / sin_el)
}

/// Boundary lines of a region that do not run along the outline.
pub fn inner_lines(region: &MultiPolygon<f64>, outline: &LineString<f64>) -> Vec<LineString<f64>> {
    let rings = region.0.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
    rings.flat_map(|ring| inner_runs(ring, outline)).collect()
}

fn inner_runs(ring: &LineString<f64>, outline: &LineString<f64>) -> Vec<LineString<f64>> {
    let count = ring.0.len().saturating_sub(1);
    let border: Vec<bool> = ring.0.windows(2).map(|w| runs_along(w[0], w[1], outline)).collect();
    let Some(start) = border.iter().position(|&b| b) else {
        return vec![ring.clone()];
    };
    let mut runs = Vec::new();
    let mut run: Vec<Coord<f64>> = Vec::new();
    for i in (0..count).map(|k| (start + k) % count) {
        if border[i] {
            if run.len() > 1 {
                runs.push(LineString(std::mem::take(&mut run)));
            }
            run.clear();
        } else {
            if run.is_empty() {
                run.push(ring.0[i]);
            }
            run.push(ring.0[i + 1]);
        }
    }
    if run.len() > 1 {
        runs.push(LineString(run));
    }
    runs
}

/// Whether a segment lies on the outline.
fn runs_along(a: Coord<f64>, b: Coord<f64>, outline: &LineString<f64>) -> bool {
    let middle = Coord { x: 0.5 * (a.x + b.x), y: 0.5 * (a.y + b.y) };
    [middle, a, b]
        .into_iter()
        .all(|p| outline.0.windows(2).any(|w| distance_m(p, w[0], w[1]).0 < ON_LINE_M))
}

/// Height above the plane of what throws the shadow's edge at each point: the
/// softest of the single shadows whose outline passes there. A side of an outline is
/// held against the points in the cells that its box meets alone.
fn heights_of_throwers(
    silhouettes: &[Vec<(Coord<f64>, f64)>],
    at: &[Coord<f64>],
) -> Vec<Option<f64>> {
    let mut heights: Vec<Option<f64>> = vec![None; at.len()];
    let Some(bins) = Bins::new(at) else { return heights };
    let sides = silhouettes.iter().flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1)));
    for ((a, height_a), (b, height_b)) in sides {
        bins.near(*a, *b, |i| {
            let (distance, t) = distance_m(at[i], *a, *b);
            if distance < ON_LINE_M {
                let height = height_a + t * (height_b - height_a);
                heights[i] = Some(heights[i].map_or(height, |known| known.max(height)));
            }
        });
    }
    heights
}

/// Points by the square cell that they lie in.
struct Bins {
    low: Coord<f64>,
    cell_m: f64,
    columns: usize,
    rows: usize,
    /// Where the points of each cell begin in `points`, and where the last ones end.
    starts: Vec<usize>,
    points: Vec<usize>,
}

impl Bins {
    /// At most so many columns and rows.
    const MAX_SIDE: f64 = 256.0;

    /// `None` without points.
    fn new(at: &[Coord<f64>]) -> Option<Self> {
        let first = *at.first()?;
        let (low, high) = at.iter().fold((first, first), |(l, h), p| {
            let low = Coord { x: l.x.min(p.x), y: l.y.min(p.y) };
            (low, Coord { x: h.x.max(p.x), y: h.y.max(p.y) })
        });
        // about as many cells as points
        let side = (high.x - low.x).max(high.y - low.y).max(1e-3);
        let cell_m = side / (at.len() as f64).sqrt().ceil().clamp(1.0, Self::MAX_SIDE);
        let count = |from: f64, to: f64| ((to - from) / cell_m) as usize + 1;
        let (columns, rows) = (count(low.x, high.x), count(low.y, high.y));
        let mut bins = Self { low, cell_m, columns, rows, starts: Vec::new(), points: Vec::new() };
        let cells: Vec<usize> =
            at.iter().map(|p| bins.row(p.y) * columns + bins.column(p.x)).collect();
        let mut starts = vec![0; columns * rows + 1];
        cells.iter().for_each(|cell| starts[cell + 1] += 1);
        (0..columns * rows).for_each(|cell| starts[cell + 1] += starts[cell]);
        let mut next = starts.clone();
        bins.points = vec![0; at.len()];
        for (point, cell) in cells.into_iter().enumerate() {
            bins.points[next[cell]] = point;
            next[cell] += 1;
        }
        bins.starts = starts;
        Some(bins)
    }

    fn column(&self, x: f64) -> usize {
        (((x - self.low.x) / self.cell_m).max(0.0) as usize).min(self.columns - 1)
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.low.y) / self.cell_m).max(0.0) as usize).min(self.rows - 1)
    }

    /// Hands out the points of all cells that a segment comes near.
    fn near(&self, a: Coord<f64>, b: Coord<f64>, mut take: impl FnMut(usize)) {
        let [south, north] = [a.y.min(b.y) - ON_LINE_M, a.y.max(b.y) + ON_LINE_M];
        let top = self.low.y + self.cell_m * self.rows as f64;
        if north < self.low.y || south > top {
            return;
        }
        for row in self.row(south)..=self.row(north) {
            // the part of the segment in this row of cells
            let low = self.low.y + self.cell_m * row as f64 - ON_LINE_M;
            let high = low + self.cell_m + 2.0 * ON_LINE_M;
            let share = |y: f64| ((y - a.y) / (b.y - a.y)).clamp(0.0, 1.0);
            let (from, to) = match a.y == b.y {
                true => (0.0, 1.0),
                false => (share(low), share(high)),
            };
            let [x, other] = [from, to].map(|share| a.x + share * (b.x - a.x));
            let (west, east) = (x.min(other) - ON_LINE_M, x.max(other) + ON_LINE_M);
            let first = self.starts[row * self.columns + self.column(west)];
            let end = self.starts[row * self.columns + self.column(east) + 1];
            self.points[first..end].iter().for_each(|point| take(*point));
        }
    }
}

/// Distance from a point to a segment, metres, and where on it (0 to 1).
fn distance_m(p: Coord<f64>, a: Coord<f64>, b: Coord<f64>) -> (f64, f64) {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let square = dx * dx + dy * dy;
    let t = if square > 0.0 {
        (((p.x - a.x) * dx + (p.y - a.y) * dy) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    ((p.x - a.x - t * dx).hypot(p.y - a.y - t * dy), t)
}
