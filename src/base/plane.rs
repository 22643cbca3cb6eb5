//! Small planar tools that several stages share: areas, clipping, inside or out.
//!
//! In and out: points of any plane with two axes, in the unit of the caller
//! (metres in field axes, pixels of a picture).

use geo::Coord;

/// A point of a plane.
pub type P2 = [f64; 2];

/// Twice the signed area of the triangle `o`, `a`, `b`.
pub fn cross(o: P2, a: P2, b: P2) -> f64 {
    (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])
}

/// Signed area of a ring that is not closed, positive when anticlockwise (x to
/// the right, y up).
///
/// ```
/// use quarterstop::base::plane::signed_area;
/// assert_eq!(signed_area(&[[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]]), 2.0);
/// ```
pub fn signed_area(ring: &[P2]) -> f64 {
    let Some(&origin) = ring.first() else { return 0.0 };
    // relative to the first corner, so that far-off rings keep their digits
    0.5 * ring.windows(2).map(|w| cross(origin, w[0], w[1])).sum::<f64>()
}

/// A point on the way from `a` to `b`.
pub fn between(a: P2, b: P2, share: f64) -> P2 {
    [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])]
}

/// The point of a segment that is nearest to another.
///
/// ```
/// use geo::Coord;
/// use quarterstop::base::plane::nearest_on;
/// let (a, b) = (Coord { x: 0.0, y: 0.0 }, Coord { x: 4.0, y: 0.0 });
/// assert_eq!(nearest_on(a, b, Coord { x: 1.0, y: 2.0 }), Coord { x: 1.0, y: 0.0 });
/// assert_eq!(nearest_on(a, b, Coord { x: 9.0, y: 2.0 }), b);
/// ```
pub fn nearest_on(a: Coord<f64>, b: Coord<f64>, to: Coord<f64>) -> Coord<f64> {
    let along = b - a;
    let square = along.x * along.x + along.y * along.y;
    let t = ((to.x - a.x) * along.x + (to.y - a.y) * along.y) / square.max(1e-12);
    a + along * t.clamp(0.0, 1.0)
}

/// Leaves in `kept` the part of a ring where `depth` is not negative (Sutherland
/// and Hodgman, Communications of the ACM 17(1), 1974). A ring that is not convex
/// may come back with edges doubled along the cut; they enclose no area. `cut`
/// gives the point at a share of the way between two corners. Points of a plane in
/// space go as well as those of the plane itself.
pub fn clip<P: Copy>(
    ring: &[P],
    kept: &mut Vec<P>,
    depth: impl Fn(P) -> f64,
    cut: impl Fn(P, P, f64) -> P,
) {
    kept.clear();
    let Some(&last) = ring.last() else { return };
    let (mut previous, mut before) = (last, depth(last));
    for &p in ring {
        let now = depth(p);
        if (before < 0.0) != (now < 0.0) {
            kept.push(cut(previous, p, before / (before - now)));
        }
        if now >= 0.0 {
            kept.push(p);
        }
        (previous, before) = (p, now);
    }
}

/// The part of a ring inside a convex one, which may run either way around.
///
/// ```
/// use quarterstop::base::plane::{signed_area, within_convex};
/// let square = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]];
/// let moved = square.map(|p| [p[0] + 1.0, p[1] + 1.0]);
/// assert_eq!(signed_area(&within_convex(&moved, &square)), 1.0);
/// ```
pub fn within_convex(ring: &[P2], bounds: &[P2]) -> Vec<P2> {
    let side = if signed_area(bounds) < 0.0 { -1.0 } else { 1.0 };
    let (mut ring, mut kept) = (ring.to_vec(), Vec::new());
    for (a, b) in bounds.iter().zip(bounds.iter().cycle().skip(1)) {
        if a != b {
            clip(&ring, &mut kept, |p| side * cross(*a, *b, p), between);
            std::mem::swap(&mut ring, &mut kept);
        }
    }
    ring
}

/// Whether a ray from `at` crosses a ring an odd number of times.
pub fn inside(ring: &[P2], at: P2) -> bool {
    let crosses = |a: &P2, b: &P2| {
        (a[1] > at[1]) != (b[1] > at[1])
            && at[0] < a[0] + (at[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
    };
    let Some(mut before) = ring.last() else { return false };
    let mut odd = false;
    for corner in ring {
        odd ^= crosses(before, corner);
        before = corner;
    }
    odd
}

/// A line cut into dashes of length `on` with gaps of length `off`.
pub fn dashes(line: &[P2], on: f64, off: f64) -> Vec<Vec<P2>> {
    let mut pieces = Vec::new();
    let mut piece: Vec<P2> = line.first().copied().into_iter().collect();
    let (mut drawing, mut left) = (true, on);
    for pair in line.windows(2) {
        let length = (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1]);
        let mut done = 0.0;
        while length - done > left {
            done += left;
            let at = between(pair[0], pair[1], done / length);
            if drawing {
                piece.push(at);
                pieces.push(std::mem::take(&mut piece));
            } else {
                piece = vec![at];
            }
            drawing = !drawing;
            left = if drawing { on } else { off };
        }
        left -= length - done;
        if drawing {
            piece.push(pair[1]);
        }
    }
    if drawing && piece.len() > 1 {
        pieces.push(piece);
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clipping_keeps_the_near_side() {
        // half of 4 x 4, less the tip beyond 2: half of 2 x 2
        let triangle = [[0.0, 0.0], [4.0, 0.0], [0.0, 4.0]];
        let mut kept = Vec::new();
        clip(&triangle, &mut kept, |p| 2.0 - p[0], between);
        assert_eq!(signed_area(&kept), 6.0);
        clip(&triangle, &mut kept, |p| p[0] - 9.0, between);
        assert!(kept.is_empty());
    }

    #[test]
    fn a_notch_is_outside() {
        let ring = [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [2.0, 1.0], [0.0, 4.0]];
        assert!(inside(&ring, [2.0, 0.5]));
        assert!(!inside(&ring, [2.0, 2.0]));
        assert!(!inside(&ring, [5.0, 1.0]));
    }

    #[test]
    fn dashes_follow_the_line_around_a_corner() {
        let line = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]];
        let pieces = dashes(&line, 8.0, 4.0);
        // drawn 0..8, left out 8..12, drawn 12..20 along the way
        assert_eq!(pieces, [vec![[0.0, 0.0], [8.0, 0.0]], vec![[10.0, 2.0], [10.0, 10.0]]]);
    }
}
