//! Rings of points in field axes: sound, anticlockwise, turned into polygons.

use geo::line_intersection::line_intersection;
use geo::{Coord, Line, LineString, Polygon};

use crate::base::frame::{FieldFrame, FieldPoint};
use crate::base::plane::{cross, signed_area};
use crate::venue::outlines::Point;
use crate::venue::problem::Problems;

/// A ring without repeated corners, the last not the first again.
pub(super) fn open<P: PartialEq>(mut ring: Vec<P>) -> Vec<P> {
    ring.dedup();
    if ring.len() > 1 && ring.first() == ring.last() {
        ring.pop();
    }
    ring
}

/// A ring without repeated corners, anticlockwise; `None` with a problem noted
/// when it has fewer than three corners, no area, or crosses itself.
pub(super) fn sound(ring: &[Point], key: &str, problems: &mut Problems) -> Option<Vec<Point>> {
    let mut ring = open(ring.to_vec());
    if ring.len() < 3 {
        problems.add(key, format!("{} different corners", ring.len()), "at least 3 corners");
        return None;
    }
    if let Some((i, j, at)) = crossing(&ring) {
        note_crossing((i, j), &[at.x, at.y], key, problems);
        return None;
    }
    let area = signed_area(&ring);
    if area.abs() < 1e-6 {
        problems.add(key, "a polygon without area", "corners that enclose an area");
        return None;
    }
    if area < 0.0 {
        ring.reverse();
    }
    Some(ring)
}

/// Tells that two sides of a polygon cross, and where, in field axes.
pub(super) fn note_crossing(
    (i, j): (usize, usize),
    at: &[f64],
    key: &str,
    problems: &mut Problems,
) {
    let place: Vec<String> = at.iter().map(|v| format!("{v:.2}")).collect();
    problems.add_with_help(
        key,
        format!("a polygon that crosses itself at [{}]", place.join(", ")),
        "corners in order around the polygon",
        format!("sides {} and {} cross; corners are counted from 1", i + 1, j + 1),
    );
}

/// The first two sides that cross or touch without being neighbours. Side `i`
/// runs from corner `i` to the next.
pub(super) fn crossing(ring: &[Point]) -> Option<(usize, usize, Coord<f64>)> {
    let n = ring.len();
    let coord = |i: usize| Coord { x: ring[i % n][0], y: ring[i % n][1] };
    let side = |i: usize| Line::new(coord(i), coord(i + 1));
    for i in 0..n {
        for j in i + 1..n {
            let Some(meeting) = line_intersection(side(i), side(j)) else { continue };
            use geo::line_intersection::LineIntersection::{Collinear, SinglePoint};
            let neighbours = j == i + 1 || (i == 0 && j == n - 1);
            match meeting {
                SinglePoint { .. } if neighbours => {}
                SinglePoint { intersection, .. } => return Some((i, j, intersection)),
                Collinear { intersection } => {
                    // neighbours may be in line, but not run back over each other
                    if !neighbours || intersection.start != intersection.end {
                        return Some((i, j, intersection.start));
                    }
                }
            }
        }
    }
    None
}

/// A sound ring as a polygon in the local frame.
pub(super) fn polygon(frame: FieldFrame, ring: &[Point]) -> Polygon<f64> {
    Polygon::new(line(frame, &ring.iter().chain(ring.first()).copied().collect::<Vec<_>>()), vec![])
}

/// A line in the local frame.
pub(super) fn line(frame: FieldFrame, points: &[Point]) -> LineString<f64> {
    LineString(points.iter().map(|p| coord(frame, *p)).collect())
}

/// A point of the field in the local frame.
pub(super) fn coord(frame: FieldFrame, p: Point) -> Coord<f64> {
    let local = frame.to_local(FieldPoint::on_ground(p[0], p[1]));
    Coord { x: local.x, y: local.y }
}

/// Whether an anticlockwise ring turns left at every corner.
pub(super) fn is_convex(ring: &[Point]) -> bool {
    let n = ring.len();
    (0..n).all(|i| {
        let (a, b, c) = (ring[i], ring[(i + 1) % n], ring[(i + 2) % n]);
        cross(a, b, c) >= -1e-9
    })
}
