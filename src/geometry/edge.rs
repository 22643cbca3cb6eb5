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
    let mut heights = heights_of_throwers(&silhouettes, &middles).into_iter();
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
/// held against the points in its reach east and west alone.
fn heights_of_throwers(
    silhouettes: &[Vec<(Coord<f64>, f64)>],
    at: &[Coord<f64>],
) -> Vec<Option<f64>> {
    let mut eastward: Vec<usize> = (0..at.len()).collect();
    eastward.sort_by(|i, j| at[*i].x.total_cmp(&at[*j].x));
    let mut heights: Vec<Option<f64>> = vec![None; at.len()];
    let sides = silhouettes.iter().flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1)));
    for ((a, height_a), (b, height_b)) in sides {
        let (west, east) = (a.x.min(b.x) - ON_LINE_M, a.x.max(b.x) + ON_LINE_M);
        let first = eastward.partition_point(|i| at[*i].x < west);
        for &i in eastward[first..].iter().take_while(|i| at[**i].x <= east) {
            let (distance, t) = distance_m(at[i], *a, *b);
            if distance < ON_LINE_M {
                let height = height_a + t * (height_b - height_a);
                heights[i] = Some(heights[i].map_or(height, |known| known.max(height)));
            }
        }
    }
    heights
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
