//! Heights of the ground over the plane of the field, from a few spots.
//!
//! In: spot heights (local frame, metres). Out: the height of the ground anywhere, and where
//! a line of sight comes down on it.
//!
//! Between spots the ground is flat over each triangle of their Delaunay triangulation
//! (crate `spade`), so that a spot has its own height and no hill is made up between two.
//! Beyond the outermost spots it goes on level outward.

use glam::DVec3;
use rustc_hash::FxHashMap;
use spade::handles::FixedVertexHandle;
use spade::{
    ConstrainedDelaunayTriangulation, FloatTriangulation, HasPosition, Point2, Triangulation,
};

/// The ground goes on so far beyond the outermost spots, metres: farther than any is laid along
/// a sun near the horizon.
pub(crate) const GROUND_TO_M: f64 = 1e6;
/// A line of sight leaves the ground it starts on, metres.
const LEAVES_M: f64 = 1e-6;
/// Spots nearer to each other in plan than this are one, metres.
const SAME_M: f64 = 0.01;
/// A triangle with less area in plan than this is a line, m2.
const NO_AREA_M2: f64 = 1e-6;

#[derive(Debug, Clone, Copy)]
struct Spot(DVec3);

impl HasPosition for Spot {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        Point2::new(self.0.x, self.0.y)
    }
}

/// A flat piece of ground.
#[derive(Debug, Clone, Copy)]
struct Piece {
    /// Anticlockwise from above.
    corners: [DVec3; 3],
    /// Unit vector, upward.
    normal: DVec3,
}

/// Where a line of sight meets the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundMet {
    pub distance_m: f64,
    /// Unit vector out of the ground, upward.
    pub normal: DVec3,
}

/// The ground as a surface.
#[derive(Debug, Clone)]
pub struct Relief {
    net: ConstrainedDelaunayTriangulation<Spot>,
    pieces: Vec<Piece>,
    stated: usize,
}

/// Why spots make no ground.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ReliefError {
    #[error("{count} spots that enclose no area")]
    NoArea { count: usize },
    #[error("a second height {apart_m:.3} m from another, at index {index}")]
    Twice { index: usize, apart_m: f64 },
    #[error("a spot that is no place, at index {index}")]
    NoPlace { index: usize },
    #[error("a line that crosses another")]
    Crossing { line: usize },
}

impl Relief {
    /// The ground through spots, local frame, metres.
    ///
    /// ```
    /// use glam::DVec3;
    /// use quarterstop::venue::Relief;
    /// // a plane that rises by one in ten to the east
    /// let spots = [[0.0, 0.0, 0.0], [100.0, 0.0, 10.0], [100.0, 80.0, 10.0], [0.0, 80.0, 0.0]];
    /// let ground = Relief::through(&spots.map(DVec3::from)).unwrap();
    /// assert!((ground.height_m(30.0, 55.0) - 3.0).abs() < 1e-9);
    /// // from 8 m over its west edge, level to the east: it is met 80 m off
    /// let met = ground.met(DVec3::new(0.0, 40.0, 8.0), DVec3::X).unwrap();
    /// assert!((met.distance_m - 80.0).abs() < 1e-9);
    /// ```
    ///
    /// # Errors
    /// [`ReliefError`] for spots that lie in a line, twice in a place, or nowhere.
    pub fn through(spots: &[DVec3]) -> Result<Self, ReliefError> {
        Self::with_lines(spots, &[])
    }

    /// The same with lines between spots, by index, along which the ground bends: no triangle
    /// lies across them.
    ///
    /// # Errors
    /// [`ReliefError`], also for lines that cross.
    pub fn with_lines(spots: &[DVec3], lines: &[[usize; 2]]) -> Result<Self, ReliefError> {
        Self::of(spots, lines).map_err(|all| all[0])
    }

    /// The same; all that keeps spots and lines from making ground, at least one thing.
    pub(super) fn of(spots: &[DVec3], lines: &[[usize; 2]]) -> Result<Self, Vec<ReliefError>> {
        let wrong = not_apart(spots);
        if !wrong.is_empty() {
            return Err(wrong);
        }
        let nothing = || vec![ReliefError::NoArea { count: spots.len() }];
        let bare = net(spots.iter().copied()).ok_or_else(nothing)?;
        if pieces(&bare).is_empty() {
            return Err(nothing());
        }
        let rim: Vec<DVec3> = bare.convex_hull().map(|edge| edge.from().data().0).collect();
        let middle = rim.iter().sum::<DVec3>() / rim.len().max(1) as f64;
        let out = |spot: &DVec3| {
            let way = (spot.truncate() - middle.truncate()).normalize_or_zero();
            *spot + way.extend(0.0) * GROUND_TO_M
        };
        let mut net = net(spots.iter().copied().chain(rim.iter().map(out))).ok_or_else(nothing)?;
        let mut crossing = Vec::new();
        for (line, ends) in lines.iter().enumerate() {
            let [from, to] = ends.map(FixedVertexHandle::from_index);
            if net.can_add_constraint(from, to) {
                net.add_constraint(from, to);
            } else {
                crossing.push(ReliefError::Crossing { line });
            }
        }
        if !crossing.is_empty() {
            return Err(crossing);
        }
        Ok(Self { pieces: pieces(&net), net, stated: spots.len() })
    }

    /// Height over the plane of the field at a place of the local frame, metres.
    pub fn height_m(&self, x: f64, y: f64) -> f64 {
        let place = Point2::new(x, y);
        let between = self.net.barycentric().interpolate(|spot| spot.data().0.z, place);
        let far = |spot: &DVec3| (spot.x - x).hypot(spot.y - y);
        let spots = || self.net.vertices().map(|vertex| vertex.data().0);
        let nearest = || spots().min_by(|a, b| far(a).total_cmp(&far(b))).map(|spot| spot.z);
        between.or_else(nearest).unwrap_or(0.0)
    }

    /// Where a ray (unit vector) first meets the ground, from either side.
    pub fn met(&self, from: DVec3, toward: DVec3) -> Option<GroundMet> {
        let met = self.pieces.iter().filter_map(|piece| piece.met(from, toward));
        met.min_by(|a, b| a.distance_m.total_cmp(&b.distance_m))
    }

    /// Flat pieces of ground: their corners, the spots that were stated first, and which three
    /// make each, anticlockwise from above.
    pub fn triangles(&self) -> (Vec<DVec3>, Vec<[u32; 3]>) {
        let corners = self.net.vertices().map(|vertex| vertex.data().0).collect();
        let faces = self.net.inner_faces();
        let faces = faces.map(|face| face.vertices().map(|v| v.fix().index() as u32));
        (corners, faces.collect())
    }

    /// Whether the ground lies as another.
    pub fn lies_as(&self, other: &Self) -> bool {
        self.triangles() == other.triangles()
    }

    /// How many spots were stated.
    pub fn spots(&self) -> usize {
        self.stated
    }
}

/// Spots that are no places of their own.
fn not_apart(spots: &[DVec3]) -> Vec<ReliefError> {
    let mut wrong = Vec::new();
    let cell = |p: &DVec3| [p.x, p.y].map(|v| (v / SAME_M).floor() as i64);
    let mut known: FxHashMap<[i64; 2], usize> = FxHashMap::default();
    for (index, spot) in spots.iter().enumerate() {
        if !spot.is_finite() {
            wrong.push(ReliefError::NoPlace { index });
            continue;
        }
        let [i, j] = cell(spot);
        let around = (-1..=1).flat_map(|u| (-1..=1).map(move |v| [i + u, j + v]));
        let apart = |other: &usize| (spots[*other] - spot).truncate().length();
        let near =
            around.filter_map(|cell| known.get(&cell)).map(apart).fold(f64::INFINITY, f64::min);
        if near < SAME_M {
            wrong.push(ReliefError::Twice { index, apart_m: near });
        }
        known.insert([i, j], index);
    }
    wrong
}

impl Piece {
    fn met(&self, from: DVec3, toward: DVec3) -> Option<GroundMet> {
        let along = self.normal.dot(toward);
        let distance_m = self.normal.dot(self.corners[0] - from) / along;
        // a ray in the plane has no distance
        if distance_m.is_nan() || distance_m <= LEAVES_M {
            return None;
        }
        let at = from + toward * distance_m;
        let [a, b, c] = self.corners;
        let left = |p: DVec3, q: DVec3| (q - p).truncate().perp_dot((at - p).truncate()) >= -1e-9;
        let inside = left(a, b) && left(b, c) && left(c, a);
        inside.then_some(GroundMet { distance_m, normal: self.normal })
    }
}

fn net(spots: impl Iterator<Item = DVec3>) -> Option<ConstrainedDelaunayTriangulation<Spot>> {
    let mut net = ConstrainedDelaunayTriangulation::new();
    for spot in spots {
        net.insert(Spot(spot)).ok()?;
    }
    Some(net)
}

fn pieces(net: &ConstrainedDelaunayTriangulation<Spot>) -> Vec<Piece> {
    let piece = |corners: [DVec3; 3]| {
        let [a, b, c] = corners;
        let area = (b - a).cross(c - a);
        (area.z > NO_AREA_M2).then(|| Piece { corners, normal: area.normalize() })
    };
    net.inner_faces().filter_map(|face| piece(face.vertices().map(|v| v.data().0))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hill() -> Relief {
        let spots = [
            [0.0, 0.0, 0.0],
            [100.0, 0.0, 0.0],
            [100.0, 100.0, 0.0],
            [0.0, 100.0, 0.0],
            [50.0, 50.0, 10.0],
        ];
        Relief::through(&spots.map(DVec3::from)).unwrap()
    }

    /// A pyramid: linear from each corner to its top, by hand.
    #[test]
    fn between_spots_the_ground_is_flat_over_triangles() {
        let hill = hill();
        for (x, y, z) in [(50.0, 50.0, 10.0), (25.0, 50.0, 5.0), (50.0, 90.0, 2.0)] {
            assert!((hill.height_m(x, y) - z).abs() < 1e-9, "{x} {y}");
        }
    }

    #[test]
    fn beyond_the_spots_it_goes_on_level() {
        let spots = [[0.0, 0.0, 4.0], [100.0, 0.0, 4.0], [100.0, 100.0, 4.0], [0.0, 100.0, 4.0]];
        let level = Relief::through(&spots.map(DVec3::from)).unwrap();
        for (x, y) in [(-50.0, 30.0), (400.0, 900.0), (50.0, -3000.0)] {
            assert!((level.height_m(x, y) - 4.0).abs() < 1e-9, "{x} {y}");
        }
    }

    /// A ray at 5 m over the plane meets the pyramid's west side where it is 5 m high, at
    /// 25 m; its normal has a slope of one in five. One at 11 m passes over it.
    #[test]
    fn a_line_of_sight_meets_the_side_of_a_hill() {
        let hill = hill();
        let met = hill.met(DVec3::new(-20.0, 50.0, 5.0), DVec3::X).unwrap();
        assert!((met.distance_m - 45.0).abs() < 1e-9);
        let slope = met.normal.x / met.normal.z;
        assert!((slope + 0.2).abs() < 1e-9, "{slope}");
        assert_eq!(hill.met(DVec3::new(-20.0, 50.0, 11.0), DVec3::X), None);
        // from under the ground it is met as well
        assert!(hill.met(DVec3::new(50.0, 50.0, 2.0), DVec3::Z).is_some());
    }

    #[test]
    fn spots_in_a_line_or_twice_make_no_ground() {
        let line = [[0.0, 0.0, 1.0], [10.0, 10.0, 2.0], [20.0, 20.0, 5.0]].map(DVec3::from);
        assert!(matches!(Relief::through(&line), Err(ReliefError::NoArea { count: 3 })));
        assert!(matches!(Relief::through(&line[..1]), Err(ReliefError::NoArea { count: 1 })));
        let twice = [[0.0, 0.0, 1.0], [10.0, 0.0, 2.0], [0.0, 0.005, 5.0]].map(DVec3::from);
        assert!(matches!(Relief::through(&twice), Err(ReliefError::Twice { index: 2, .. })));
        let nowhere = [DVec3::NAN];
        assert!(matches!(Relief::through(&nowhere), Err(ReliefError::NoPlace { index: 0 })));
    }
}
