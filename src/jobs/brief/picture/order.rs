//! Flat pieces in the order in which a painter has to paint them.
//!
//! In: pieces whose normals are turned to the camera. Out: the same, far to near,
//! cut where they would lie partly before and partly behind each other. What is
//! behind the plane of a piece cannot hide it and what is before cannot be hidden
//! by it (Fuchs, Kedem and Naylor, "On visible surface generation by a priori tree
//! structures", SIGGRAPH 1980), so the order is right wherever the camera stands.

use glam::DVec3;

use crate::base::plane::clip;

/// Nearer to a plane than this, a corner lies in it, metres.
const IN_PLANE_M: f64 = 1e-4;
/// Planes tried to find one that cuts few pieces.
const CANDIDATES: usize = 12;

/// A flat piece of something that stands, metres.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    pub ring: Vec<DVec3>,
    /// Unit vector toward the side of the camera.
    pub normal: DVec3,
    pub level: f64,
    /// Shade on it and the level there, painted in this order.
    pub shade: Vec<(Vec<DVec3>, f64)>,
    /// Lines along its borders that show its shape, and their level.
    pub edges: Vec<[DVec3; 2]>,
    pub edge_level: f64,
    /// One of many small pieces: its plane cuts nothing, and between the planes of
    /// others it is put in order with its like by the distance of its middle.
    pub small: bool,
}

impl Piece {
    /// Height of a point over the piece's plane, metres.
    fn over(&self, p: DVec3) -> f64 {
        self.ring.first().map_or(0.0, |origin| self.normal.dot(p - *origin))
    }

    fn middle(&self) -> DVec3 {
        self.ring.iter().sum::<DVec3>() / self.ring.len().max(1) as f64
    }

    /// The part of a piece where `depth` is not negative.
    fn part(&self, depth: impl Fn(DVec3) -> f64) -> Self {
        let cut = |ring: &[DVec3]| {
            let mut kept = Vec::new();
            clip(ring, &mut kept, &depth, |a, b, share| a.lerp(b, share));
            kept
        };
        let shade = self.shade.iter().map(|(ring, level)| (cut(ring), *level));
        let edges = self.edges.iter().filter_map(|edge| line_part(*edge, &depth));
        Self {
            ring: cut(&self.ring),
            shade: shade.filter(|(ring, _)| ring.len() >= 3).collect(),
            edges: edges.collect(),
            ..*self
        }
    }
}

fn line_part([a, b]: [DVec3; 2], depth: impl Fn(DVec3) -> f64) -> Option<[DVec3; 2]> {
    let (da, db) = (depth(a), depth(b));
    match (da >= 0.0, db >= 0.0) {
        (true, true) => Some([a, b]),
        (false, false) => None,
        (true, false) => Some([a, a.lerp(b, da / (da - db))]),
        (false, true) => Some([a.lerp(b, da / (da - db)), b]),
    }
}

/// Where a piece lies from the plane of another.
#[derive(Clone, Copy, PartialEq)]
enum Side {
    Before,
    Behind,
    Within,
    Across,
}

fn side(plane: &Piece, piece: &Piece) -> Side {
    let heights = piece.ring.iter().map(|p| plane.over(*p));
    let (low, high) = heights.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
    match (low < -IN_PLANE_M, high > IN_PLANE_M) {
        (false, false) => Side::Within,
        (false, true) => Side::Before,
        (true, false) => Side::Behind,
        (true, true) => Side::Across,
    }
}

/// The pieces, far to near as seen from a place.
pub(super) fn far_to_near(pieces: Vec<Piece>, eye: DVec3) -> Vec<Piece> {
    let mut sorted = Vec::with_capacity(pieces.len());
    sort_into(&mut sorted, pieces, eye);
    sorted
}

fn sort_into(sorted: &mut Vec<Piece>, mut pieces: Vec<Piece>, eye: DVec3) {
    while !pieces.is_empty() {
        let Some(best) = best(&pieces) else {
            let far = |piece: &Piece| piece.middle().distance_squared(eye);
            pieces.sort_by(|a, b| far(b).total_cmp(&far(a)));
            sorted.append(&mut pieces);
            return;
        };
        let plane = pieces.swap_remove(best);
        let (mut behind, mut within, mut before) = (Vec::new(), Vec::new(), Vec::new());
        for piece in pieces {
            match side(&plane, &piece) {
                Side::Behind => behind.push(piece),
                Side::Within => within.push(piece),
                Side::Before => before.push(piece),
                Side::Across => {
                    behind.push(piece.part(|p| -plane.over(p)));
                    before.push(piece.part(|p| plane.over(p)));
                }
            }
        }
        sort_into(sorted, behind, eye);
        sorted.push(plane);
        sorted.extend(within);
        pieces = before;
    }
}

/// The piece whose plane cuts the fewest others, of a few spread over the list; none
/// where all are small.
fn best(pieces: &[Piece]) -> Option<usize> {
    let large: Vec<usize> = (0..pieces.len()).filter(|&i| !pieces[i].small).collect();
    let step = large.len().div_ceil(CANDIDATES).max(1);
    let across = |i: usize, k: &usize| side(&pieces[i], &pieces[*k]) == Side::Across;
    let cuts = |i: usize| large.iter().filter(|k| across(i, k)).count();
    large.iter().copied().step_by(step).min_by_key(|&i| cuts(i))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An upright square of side 2 h around a middle, facing south to the camera.
    fn square(middle: DVec3, h: f64, turn: f64, level: f64) -> Piece {
        let along = DVec3::new(turn.cos(), turn.sin(), 0.0);
        let corner = |x: f64, z: f64| middle + along * x * h + DVec3::Z * z * h;
        let normal = DVec3::new(turn.sin(), -turn.cos(), 0.0);
        Piece {
            ring: vec![corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)],
            normal,
            level,
            shade: Vec::new(),
            edges: vec![[corner(-1.0, -1.0), corner(1.0, -1.0)]],
            edge_level: 0.0,
            small: false,
        }
    }

    #[test]
    fn far_pieces_come_first_whatever_their_size() {
        let far = square(DVec3::new(0.0, 50.0, 0.0), 40.0, 0.0, 1.0);
        let near = square(DVec3::new(0.0, 5.0, 0.0), 1.0, 0.0, 3.0);
        let between = square(DVec3::new(30.0, 20.0, 0.0), 5.0, 0.0, 2.0);
        let sorted = far_to_near(vec![near, far, between], DVec3::ZERO);
        let levels: Vec<f64> = sorted.iter().map(|p| p.level).collect();
        assert_eq!(levels, [1.0, 2.0, 3.0]);
    }

    #[test]
    fn small_pieces_keep_to_their_side_of_large_ones_and_far_ones_come_first() {
        let wall = square(DVec3::new(0.0, 20.0, 0.0), 9.0, 0.0, 10.0);
        let small = |y: f64, turn: f64| Piece {
            small: true,
            ..square(DVec3::new(1.0, y, 0.0), 1.0, turn, y)
        };
        let pieces =
            vec![small(18.0, 0.0), small(30.0, 0.4), wall, small(22.0, 0.4), small(5.0, 0.0)];
        let sorted = far_to_near(pieces, DVec3::ZERO);
        let levels: Vec<f64> = sorted.iter().map(|p| p.level).collect();
        assert_eq!(levels, [30.0, 22.0, 10.0, 18.0, 5.0]);
    }

    #[test]
    fn pieces_that_cross_are_cut() {
        let flat = square(DVec3::new(0.0, 10.0, 0.0), 4.0, 0.0, 1.0);
        let turned = square(DVec3::new(0.0, 10.0, 0.0), 4.0, 0.7, 2.0);
        let sorted = far_to_near(vec![flat, turned], DVec3::ZERO);
        assert_eq!(sorted.len(), 3);
        let area: f64 = sorted
            .iter()
            .map(|p| 0.5 * crate::base::frame::area_vector(p.ring.iter().copied()).length())
            .sum();
        assert!((area - 128.0).abs() < 1e-9);
        // the half of one that is farther than the other, that, and the nearer half
        assert!(sorted[0].level == sorted[2].level && sorted[1].level != sorted[0].level);
        let y = |p: &Piece| p.ring.iter().map(|v| v.y).sum::<f64>() / p.ring.len() as f64;
        assert!(y(&sorted[0]) > y(&sorted[2]));
        let edges: f64 = sorted.iter().flat_map(|p| &p.edges).map(|[a, b]| a.distance(*b)).sum();
        assert!((edges - 16.0).abs() < 1e-9);
    }
}
