//! The soft edge of the shade on the turf.
//!
//! In: the edge with the width of its penumbra (metres). Out: strips of turf along
//! it, from shade to sun. The sun is an even disc that a straight edge uncovers:
//! of a disc of radius 1 the share on one side of a line at distance x is
//! 1/2 + (x sqrt(1 - x^2) + asin x) / pi (area of a circular segment).

use std::f64::consts::PI;

use geo::Coord;

use super::ground::on_turf;
use super::lens::Brush;
use super::shot::Shot;
use crate::geometry::EdgeLine;

/// An edge narrower than this on the page is hard, pixels.
const LEAST_PX: f64 = 1.0;
/// Width of a strip on the page, where the edge is wide enough, pixels ...
const STRIP_PX: f64 = 2.0;
/// ... and the most strips across an edge.
const MOST_STRIPS: usize = 32;
/// A corner of the edge reaches no farther out than this many half widths.
const LONGEST_MITRE: f64 = 2.0;
/// Beside the edge this far past the penumbra, the light is that of the side,
/// metres.
const BESIDE_M: f64 = 0.02;

/// Share of the sun's disc uncovered at a place across the penumbra, -1 (dark
/// side) to 1.
fn uncovered(x: f64) -> f64 {
    let x = x.clamp(-1.0, 1.0);
    0.5 + (x * (1.0 - x * x).sqrt() + x.asin()) / PI
}

/// A segment of the edge, ready for strips.
pub(super) struct Stretch {
    ends: [Coord<f64>; 2],
    /// Half the penumbra at each end, as a step from shade to sun, metres.
    steps: [Coord<f64>; 2],
    /// Share of the direct light on the shaded side.
    passes: f64,
}

impl Stretch {
    /// How far a point lies from the middle of the penumbra, in half widths toward
    /// the sun, and the share of the direct light there; `None` outside of it.
    fn light_at(&self, p: Coord<f64>) -> Option<(f64, f64)> {
        let along = self.ends[1] - self.ends[0];
        let from = p - self.ends[0];
        let share = dot(from, along) / dot(along, along);
        let step = self.steps[0] + (self.steps[1] - self.steps[0]) * share;
        let x = dot(from - along * share, step) / dot(step, step);
        let within = (0.0..=1.0).contains(&share) && x.abs() < 1.0;
        within.then(|| (x, self.passes + uncovered(x) * (1.0 - self.passes)))
    }
}

fn dot(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.x + a.y * b.y
}

/// The edge of the shade on the turf, where the sun shines.
pub(super) fn stretches(shot: &Shot) -> Vec<Stretch> {
    let edge = shot.sun.iter().flat_map(|_| &shot.instant.turf.edge);
    edge.flat_map(|edge| stretches_of(edge, shot)).collect()
}

/// Share of the direct light that arrives on the turf, in the penumbra too.
pub(super) fn light_at(stretches: &[Stretch], shot: &Shot, at: Coord<f64>) -> f64 {
    let near = stretches.iter().filter_map(|stretch| stretch.light_at(at));
    let nearest = near.min_by(|a, b| a.0.abs().total_cmp(&b.0.abs()));
    nearest.map_or_else(|| shot.on_turf(at), |(_, passes)| passes)
}

/// Paints the penumbra where it can be seen.
pub(super) fn edges(brush: &mut Brush, shot: &Shot, stretches: &[Stretch]) {
    for stretch in stretches {
        strips(brush, shot, stretch);
    }
}

fn stretches_of(edge: &EdgeLine, shot: &Shot) -> Vec<Stretch> {
    let points = &edge.line.0;
    let normals: Vec<Option<Coord<f64>>> = edge.line.lines().map(|l| normal(l.delta())).collect();
    let closed = points.len() > 2 && points.first() == points.last();
    let segments = normals.len();
    let neighbour = |i: usize, back: bool| -> Option<usize> {
        match (back, i) {
            (true, 0) => closed.then(|| segments - 1),
            (true, i) => Some(i - 1),
            (false, i) if i + 1 == segments => closed.then_some(0),
            (false, i) => Some(i + 1),
        }
    };
    let mut found = Vec::new();
    for i in 0..segments {
        let (Some(across), Some(Some(width))) = (normals[i], edge.penumbra_m.get(i)) else {
            continue;
        };
        let half = 0.5 * width;
        let step = |other: Option<usize>| {
            let beside = other.and_then(|k| normals[k]).unwrap_or(across);
            let wide = other.and_then(|k| edge.penumbra_m.get(k).copied().flatten());
            mitred(across, beside) * (0.5 * (half + 0.5 * wide.unwrap_or(*width)))
        };
        let steps = [step(neighbour(i, true)), step(neighbour(i, false))];
        let ends = [points[i], points[i + 1]];
        let middle = (ends[0] + ends[1]) * 0.5;
        let light = |side: f64| shot.on_turf(middle + across * (side * (half + BESIDE_M)));
        let (left, right) = (light(1.0), light(-1.0));
        // the same light on both sides: too thin a piece to have an edge of its own
        if left != right {
            let sign = if left > right { 1.0 } else { -1.0 };
            found.push(Stretch { ends, steps: steps.map(|s| s * sign), passes: left.min(right) });
        }
    }
    found
}

fn normal(along: Coord<f64>) -> Option<Coord<f64>> {
    let length = along.x.hypot(along.y);
    (length > 0.0).then(|| Coord { x: -along.y / length, y: along.x / length })
}

/// The step across a corner that keeps both sides at distance 1.
fn mitred(a: Coord<f64>, b: Coord<f64>) -> Coord<f64> {
    let sum = a + b;
    let reach = 0.5 * (sum.x * sum.x + sum.y * sum.y);
    if reach < 2.0 / (LONGEST_MITRE * LONGEST_MITRE) { a } else { sum * (1.0 / reach) }
}

fn strips(brush: &mut Brush, shot: &Shot, stretch: &Stretch) {
    let wide = [0.0, 0.5, 1.0].map(|t| width_px(brush, stretch, t)).into_iter().fold(0.0, f64::max);
    if wide < LEAST_PX {
        return;
    }
    let count = ((wide / STRIP_PX).ceil() as usize).clamp(2, MOST_STRIPS);
    let at = |end: usize, x: f64| {
        let p = stretch.ends[end] + stretch.steps[end] * x;
        [p.x, p.y]
    };
    for k in 0..count {
        let x = |k: usize| 2.0 * k as f64 / count as f64 - 1.0;
        let (low, high) = (x(k), x(k + 1));
        let share = uncovered(0.5 * (low + high));
        let passes = stretch.passes + share * (1.0 - stretch.passes);
        let ring = [at(0, low), at(1, low), at(1, high), at(0, high)];
        brush.surface(&shot.on_field(&ring), shot.turf(passes));
    }
}

/// Width of the penumbra on the page, a share of the way along a stretch.
fn width_px(brush: &Brush, stretch: &Stretch, share: f64) -> f64 {
    let way = |[a, b]: [Coord<f64>; 2]| a + (b - a) * share;
    let (middle, step) = (way(stretch.ends), way(stretch.steps));
    let at = |x: f64| brush.lens.point(on_turf(middle + step * x));
    match (at(-1.0), at(1.0)) {
        (Some(a), Some(b)) => (a[0] - b[0]).hypot(a[1] - b[1]),
        // what runs past the camera is seen from close by
        _ => STRIP_PX * MOST_STRIPS as f64,
    }
}
