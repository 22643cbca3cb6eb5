//! Cutting rings and lines to a box and into hatching. Pixels.

use crate::base::plane;
use crate::base::plane::{between, clip, signed_area};

use super::sketch::{Px, PxBox};

/// The part of a ring inside a box; empty where nothing is left. A ring that
/// leaves the box and comes back runs along the border in between.
pub(crate) fn ring_in(ring: &[Px], bounds: &PxBox) -> Vec<Px> {
    let sides: [(usize, f64, f64); 4] = [
        (0, bounds.left, 1.0),
        (0, bounds.right, -1.0),
        (1, bounds.top, 1.0),
        (1, bounds.bottom, -1.0),
    ];
    sides.iter().fold(ring.to_vec(), |ring, &(axis, limit, sign)| {
        let mut kept = Vec::with_capacity(ring.len() + 4);
        clip(&ring, &mut kept, |p| sign * (p[axis] - limit), between);
        kept
    })
}

/// The pieces of a line inside a box (Liang and Barsky, ACM Transactions on
/// Graphics 3(1), 1984), segment by segment, joined where they follow on.
pub(crate) fn line_in(line: &[Px], bounds: &PxBox) -> Vec<Vec<Px>> {
    let mut pieces: Vec<Vec<Px>> = Vec::new();
    for pair in line.windows(2) {
        let Some((a, b)) = segment_in(pair[0], pair[1], bounds) else {
            continue;
        };
        match pieces.last_mut() {
            Some(piece) if piece.last() == Some(&a) => piece.push(b),
            _ => pieces.push(vec![a, b]),
        }
    }
    pieces
}

fn segment_in(a: Px, b: Px, bounds: &PxBox) -> Option<(Px, Px)> {
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    let limits = [(bounds.left, bounds.right), (bounds.top, bounds.bottom)];
    for (axis, (low, high)) in limits.into_iter().enumerate() {
        let step = b[axis] - a[axis];
        if step == 0.0 {
            if a[axis] < low || a[axis] > high {
                return None;
            }
            continue;
        }
        let (t0, t1) = ((low - a[axis]) / step, (high - a[axis]) / step);
        enter = enter.max(t0.min(t1));
        leave = leave.min(t0.max(t1));
    }
    let at = |t: f64| {
        if t == 0.0 {
            a
        } else if t == 1.0 {
            b
        } else {
            between(a, b, t)
        }
    };
    (enter < leave).then(|| (at(enter), at(leave)))
}

/// Strokes that fill the even-odd inside of rings, `apart` pixels from each
/// other, rising to the right at 45 degrees.
pub(crate) fn hatching(rings: &[Vec<Px>], apart: f64) -> Vec<[Px; 2]> {
    // along a stroke x - y grows and x + y stays
    let turned = |p: &Px| [p[0] - p[1], p[0] + p[1]];
    let rows = apart * std::f64::consts::SQRT_2;
    let heights = rings.iter().flatten().map(|p| p[0] + p[1]);
    let (low, high) = heights.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
    let mut strokes = Vec::new();
    if low > high {
        return strokes;
    }
    let (first, last) = ((low / rows).ceil() as i64, (high / rows).floor() as i64);
    for row in first..=last {
        let height = row as f64 * rows;
        let mut crossings: Vec<f64> = Vec::new();
        for ring in rings {
            for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                let (a, b) = (turned(a), turned(b));
                if (a[1] > height) != (b[1] > height) {
                    crossings.push(a[0] + (height - a[1]) / (b[1] - a[1]) * (b[0] - a[0]));
                }
            }
        }
        crossings.sort_by(f64::total_cmp);
        let back = |along: f64| [0.5 * (height + along), 0.5 * (height - along)];
        let pairs = crossings.chunks_exact(2);
        strokes.extend(pairs.map(|pair| [back(pair[0]), back(pair[1])]));
    }
    strokes
}

/// Whether a place is in the even-odd inside of rings.
pub(crate) fn inside(rings: &[Vec<Px>], at: Px) -> bool {
    rings.iter().filter(|ring| plane::inside(ring, at)).count() % 2 == 1
}

/// Area inside a ring, square pixels.
pub(crate) fn area(ring: &[Px]) -> f64 {
    signed_area(ring).abs()
}
