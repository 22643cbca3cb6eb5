//! Small planar tools: convex hull and clipping to an axis-parallel box.
//!
//! In and out: points in field axes, metres. Buffers are handed in so that an
//! instant allocates nothing.

use glam::DVec2;

use crate::base::plane::{P2, clip, cross};

/// Convex hull, anticlockwise (monotone chain; Andrew, Information Processing
/// Letters 9(5), 1979). `points` is sorted in place; `hull` is overwritten.
pub(super) fn convex_hull(points: &mut [P2], hull: &mut Vec<P2>) {
    hull.clear();
    points.sort_unstable_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let half = |hull: &mut Vec<P2>, base: usize, p: P2| {
        while hull.len() >= base + 2 && cross(hull[hull.len() - 2], hull[hull.len() - 1], p) <= 0.0
        {
            hull.pop();
        }
        hull.push(p);
    };
    for &p in points.iter() {
        half(hull, 0, p);
    }
    let base = hull.len().saturating_sub(1);
    for &p in points.iter().rev().skip(1) {
        half(hull, base, p);
    }
    if hull.len() > 1 {
        hull.pop();
    }
}

/// A ring moved to its right all along, outward where it runs anticlockwise, below 0 to its left;
/// sharp corners get square ends.
pub(super) fn grown(ring: &[P2], by: f64) -> Vec<P2> {
    let mut points: Vec<DVec2> = ring.iter().map(|p| DVec2::from(*p)).collect();
    points.dedup();
    if points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    let count = points.len();
    let way = |i: usize| (points[(i + 1) % count] - points[i]).normalize_or_zero();
    let mut grown = Vec::with_capacity(count + 8);
    for (i, point) in points.iter().enumerate() {
        let (before, after) = (way((i + count - 1) % count), way(i));
        let right = |way: DVec2| -way.perp();
        let mut push = |out: DVec2, on: DVec2| {
            grown.push((*point + by * out + by.abs() * on).to_array());
        };
        let turn = before.dot(after);
        if turn > 0.0 {
            push((right(before) + right(after)) / (1.0 + turn), DVec2::ZERO);
        } else {
            push(right(before), before);
            push(right(after), -after);
        }
    }
    grown
}

/// Outward unit normals and offsets of the sides of an anticlockwise ring.
pub(super) fn sides(ring: &[DVec2]) -> Vec<(DVec2, f64)> {
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    let side = |(a, b): (&DVec2, &DVec2)| {
        let normal = -(*b - *a).perp().try_normalize()?;
        Some((normal, normal.dot(*a)))
    };
    sides.filter_map(side).collect()
}

/// A box along the axes of its points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Box2 {
    pub min: P2,
    pub max: P2,
}

impl Box2 {
    /// The box around points; `None` without any.
    pub fn around(points: impl IntoIterator<Item = P2>) -> Option<Self> {
        let mut points = points.into_iter();
        let first = points.next()?;
        Some(points.fold(Self { min: first, max: first }, |b, p| Self {
            min: [b.min[0].min(p[0]), b.min[1].min(p[1])],
            max: [b.max[0].max(p[0]), b.max[1].max(p[1])],
        }))
    }

    /// Whether two boxes share area.
    pub fn overlaps(&self, other: &Box2) -> bool {
        (0..2).all(|i| self.min[i] < other.max[i] && other.min[i] < self.max[i])
    }

    /// What two boxes that overlap share.
    pub fn shared(&self, other: &Box2) -> Self {
        Self {
            min: [0, 1].map(|i| self.min[i].max(other.min[i])),
            max: [0, 1].map(|i| self.max[i].min(other.max[i])),
        }
    }

    pub fn area(&self) -> f64 {
        (self.max[0] - self.min[0]) * (self.max[1] - self.min[1])
    }

    /// The sides beyond which a point lies, one bit each.
    pub fn beyond(&self, p: P2) -> u8 {
        u8::from(p[0] < self.min[0])
            | u8::from(p[0] > self.max[0]) << 1
            | u8::from(p[1] < self.min[1]) << 2
            | u8::from(p[1] > self.max[1]) << 3
    }

    /// The corners that lie least and most to the left of a line from `a` to `b`.
    pub fn ends_left_of(&self, a: P2, b: P2) -> [P2; 2] {
        let (east, north) = (b[0] > a[0], b[1] > a[1]);
        let corner = |right: bool, top: bool| {
            [
                if right { self.max[0] } else { self.min[0] },
                if top { self.max[1] } else { self.min[1] },
            ]
        };
        [corner(north, !east), corner(!north, east)]
    }

    /// Clips a ring to the box, one side after the other, and leaves the result
    /// in `ring`; `spare` is scratch. Cuts lie on the sides to the last bit.
    pub fn clip(&self, ring: &mut Vec<P2>, spare: &mut Vec<P2>) {
        for axis in 0..2 {
            for (bound, sign) in [(self.min[axis], 1.0), (self.max[axis], -1.0)] {
                let depth = |p: P2| sign * (p[axis] - bound);
                if ring.iter().all(|&p| depth(p) >= 0.0) {
                    continue;
                }
                clip(ring, spare, depth, |a, b, share| {
                    let mut cut = [bound; 2];
                    cut[1 - axis] = a[1 - axis] + share * (b[1 - axis] - a[1 - axis]);
                    cut
                });
                std::mem::swap(ring, spare);
            }
        }
    }
}

/// Takes the corners of a ring one by one and leaves out those that clipping to a box
/// would drop without a trace: the middle one of three that all lie beyond one side.
pub(super) struct Outside<'a> {
    window: &'a Box2,
    ring: &'a mut Vec<P2>,
    /// Sides beyond which the last corner lies, and the one before it.
    last: u8,
    before: u8,
    /// Sides beyond which any corner lies, and all of them.
    any: u8,
    all: u8,
}

impl<'a> Outside<'a> {
    /// An empty ring in the place of `ring`.
    pub fn of(window: &'a Box2, ring: &'a mut Vec<P2>) -> Self {
        ring.clear();
        Self { window, ring, last: 0, before: 0, any: 0, all: !0 }
    }

    pub fn push(&mut self, p: P2) {
        let now = self.window.beyond(p);
        self.any |= now;
        self.all &= now;
        if self.before & self.last & now != 0 {
            self.ring.pop();
        } else {
            self.before = self.last;
        }
        self.last = now;
        self.ring.push(p);
    }

    /// Clips what is left; `spare` is scratch. Whether an area may be left.
    pub fn clip(self, spare: &mut Vec<P2>) -> bool {
        if self.all != 0 {
            self.ring.clear();
        } else if self.any != 0 {
            self.window.clip(self.ring, spare);
        }
        self.ring.len() > 2
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::plane::signed_area;

    #[test]
    fn hull_of_a_square_with_points_inside_is_the_square() {
        let mut points =
            [[0.0, 0.0], [2.0, 0.0], [1.0, 1.0], [2.0, 2.0], [0.0, 2.0], [1.0, 0.0], [0.5, 0.5]];
        let mut hull = Vec::new();
        convex_hull(&mut points, &mut hull);
        assert_eq!(hull, vec![[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]]);
        assert_eq!(signed_area(&hull), 4.0);
    }

    #[test]
    fn hull_of_points_on_a_line_has_no_area() {
        let mut hull = Vec::new();
        convex_hull(&mut [[0.0, 0.0], [1.0, 1.0], [2.0, 2.0]], &mut hull);
        assert_eq!(signed_area(&hull), 0.0);
        convex_hull(&mut [[3.0, 4.0]], &mut hull);
        assert_eq!(signed_area(&hull), 0.0);
    }

    #[test]
    fn corners_left_out_beyond_a_side_change_nothing_within() {
        // a comb whose teeth reach into the box, its back and its ends far outside
        let window = Box2 { min: [0.0, 0.0], max: [10.0, 10.0] };
        let mut comb = vec![[-9.0, -1.0], [-9.0, -9.0], [-3.0, -9.0], [4.0, -20.0], [19.0, -9.0]];
        for tooth in [16.0, 12.0, 8.0, 4.0, 0.0] {
            let (right, left) = (tooth + 1.5, tooth - 0.5);
            comb.extend([[right, -1.0], [right, 7.0], [left, 7.0 + tooth / 4.0], [left, -1.0]]);
        }
        let mut plain = comb.clone();
        window.clip(&mut plain, &mut Vec::new());
        let mut ring = vec![[5.0, 5.0]];
        let mut outside = Outside::of(&window, &mut ring);
        comb.iter().for_each(|p| outside.push(*p));
        assert!(outside.ring.len() < comb.len(), "{:?}", outside.ring);
        assert!(outside.clip(&mut Vec::new()));
        assert!((signed_area(&ring) - signed_area(&plain)).abs() < 1e-9, "{ring:?}");
        let mut outside = Outside::of(&window, &mut ring);
        [[11.0, 0.0], [12.0, 50.0], [14.0, 2.0]].iter().for_each(|p| outside.push(*p));
        assert!(!outside.clip(&mut Vec::new()));
        assert_eq!(ring, Vec::<P2>::new());
    }

    #[test]
    fn clipping_a_horseshoe_keeps_its_area_inside() {
        // two legs of 1 x 3 joined at the top; the box keeps the lower 1 m of each
        let mut ring = vec![
            [0.0, 0.0],
            [1.0, 0.0],
            [1.0, 2.0],
            [2.0, 2.0],
            [2.0, 0.0],
            [3.0, 0.0],
            [3.0, 3.0],
            [0.0, 3.0],
        ];
        let window = Box2 { min: [-1.0, -1.0], max: [4.0, 1.0] };
        window.clip(&mut ring, &mut Vec::new());
        assert_eq!(signed_area(&ring), 2.0);
    }
}
