//! The soft edge of the shade on the turf.
//!
//! In: the edge with the width of its penumbra (metres). Out: strips of turf along
//! it, from shade to sun. The sun is an even disc that a straight edge uncovers:
//! of a disc of radius 1 the share on one side of a line at distance x is
//! 1/2 + (x sqrt(1 - x^2) + asin x) / pi (area of a circular segment).

use std::f64::consts::PI;

use geo::Coord;

use crate::base::plane::P2;
use crate::geometry::EdgeLine;

use super::ground::on_turf;
use super::lens::Brush;
use super::shot::Shot;

/// An edge narrower than this on the page is hard, pixels.
const MIN_PX: f64 = 1.0;
/// Width of a strip on the page, where the edge is wide enough, pixels ...
const STRIP_PX: f64 = 2.0;
/// ... and the most strips across an edge.
const MAX_STRIPS: usize = 32;
/// A corner of the edge reaches no farther out than this many half widths.
const MAX_MITRE: f64 = 2.0;
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
    /// Where a point lies across the penumbra (-1 on the side of the shade to 1) and
    /// the share of the direct light there; `None` outside of it.
    fn light_at(&self, p: Coord<f64>) -> Option<(f64, f64)> {
        let along = self.ends[1] - self.ends[0];
        let from = p - self.ends[0];
        let share = dot(from, along) / dot(along, along);
        let across = normal(along)?;
        let half = |end: usize| dot(self.steps[end], across);
        let x = dot(from, across) / (half(0) + share * (half(1) - half(0)));
        let within = (0.0..=1.0).contains(&share) && x.abs() < 1.0;
        within.then(|| (x, self.passes_at(x)))
    }

    fn passes_at(&self, x: f64) -> f64 {
        self.passes + uncovered(x) * (1.0 - self.passes)
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
    let hard = shot.on_turf(at);
    // beyond a corner a stretch reaches across its neighbour, where it says nothing
    let right_side = |x: f64| (x > 0.0) == (hard >= 1.0);
    let near = stretches.iter().filter_map(|stretch| stretch.light_at(at));
    let soft = near.filter(|(x, _)| right_side(*x)).map(|(_, passes)| passes);
    soft.reduce(f64::min).unwrap_or(hard)
}

/// Paints the penumbra where it can be seen: the darkest last, since two edges
/// close to each other leave less than one.
pub(super) fn edges(brush: &mut Brush, shot: &Shot, stretches: &[Stretch]) {
    let strips = stretches.iter().flat_map(|stretch| strips(brush, stretch));
    let mut strips: Vec<Strip> = strips.collect();
    strips.sort_by(|a, b| b.passes.total_cmp(&a.passes));
    for strip in strips {
        brush.surface(&shot.on_field(&strip.ring), shot.turf(strip.passes));
    }
}

/// A strip of turf along the edge, in one light.
struct Strip {
    ring: [P2; 4],
    passes: f64,
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

/// The step across a corner that keeps both sides at distance 1; shorter where the
/// corner is so sharp that it would go far, but still half way between the sides.
fn mitred(a: Coord<f64>, b: Coord<f64>) -> Coord<f64> {
    let sum = a + b;
    let length = sum.x.hypot(sum.y);
    if length < 1e-6 {
        return a;
    }
    sum * ((2.0 / length).min(MAX_MITRE) / length)
}

/// The strips of a stretch; none where the edge looks hard.
fn strips(brush: &Brush, stretch: &Stretch) -> Vec<Strip> {
    let widths = [0.0, 0.5, 1.0].map(|share| width_px(brush, stretch, share));
    let wide = widths.into_iter().fold(0.0, f64::max);
    if wide < MIN_PX {
        return Vec::new();
    }
    let count = ((wide / STRIP_PX).ceil() as usize).clamp(2, MAX_STRIPS);
    let at = |end: usize, x: f64| {
        let p = stretch.ends[end] + stretch.steps[end] * x;
        [p.x, p.y]
    };
    let strip = |k: usize| {
        let [low, high] = [k, k + 1].map(|k| 2.0 * k as f64 / count as f64 - 1.0);
        Strip {
            ring: [at(0, low), at(1, low), at(1, high), at(0, high)],
            passes: stretch.passes_at(0.5 * (low + high)),
        }
    };
    (0..count).map(strip).collect()
}

/// Width of the penumbra on the page, a share of the way along a stretch.
fn width_px(brush: &Brush, stretch: &Stretch, share: f64) -> f64 {
    let way = |[a, b]: [Coord<f64>; 2]| a + (b - a) * share;
    let (middle, step) = (way(stretch.ends), way(stretch.steps));
    let at = |x: f64| brush.lens.point(on_turf(middle + step * x));
    match (at(-1.0), at(1.0)) {
        (Some(a), Some(b)) => (a[0] - b[0]).hypot(a[1] - b[1]),
        // what runs past the camera is seen from close by
        _ => STRIP_PX * MAX_STRIPS as f64,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_the_disc_lights_the_middle_of_the_penumbra() {
        // 1/2 + (x sqrt(1 - x^2) + asin x) / pi, worked by hand
        for (x, share) in [(-1.0, 0.0), (0.0, 0.5), (0.5, 0.804_50), (1.0, 1.0), (3.0, 1.0)] {
            assert!((uncovered(x) - share).abs() < 1e-5, "{x}");
        }
    }

    #[test]
    fn corners_are_joined_half_way() {
        let (x, y) = (Coord { x: 1.0, y: 0.0 }, Coord { x: 0.0, y: 1.0 });
        // a right angle: one step to each side
        let corner = mitred(x, y);
        assert!((corner.x - 1.0).abs() < 1e-12 && (corner.y - 1.0).abs() < 1e-12);
        assert_eq!(mitred(x, x), x);
        // a sharp corner goes no farther than the longest
        let sharp = mitred(x, Coord { x: -0.99, y: 0.141 });
        assert!((sharp.x.hypot(sharp.y) - MAX_MITRE).abs() < 1e-9);
        assert_eq!(mitred(x, -x), x);
    }
}
