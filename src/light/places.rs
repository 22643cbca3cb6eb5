//! Places of the ground that light from sky and surroundings is known at.
//!
//! In: the outline of the ground that matters, what stands around, local frame, metres.
//! Out: places, and weights that carry values from them to any other place.
//!
//! Inside of the outline they are the middles of equal squares. On the outline and
//! outside of it they lie on lines outward, closer together where light changes fast,
//! up to what stands there: its foot is a place. Between places values are linear over
//! the triangles of their Delaunay triangulation (crate `spade`).

use geo::{Coord, Distance, Euclidean, Point, Polygon};
use glam::DVec3;
use spade::{DelaunayTriangulation, FloatTriangulation, HasPosition, Point2, Triangulation};

use crate::base::plane::signed_area;
use crate::geometry::{Obstacles, SampleGrid};
use crate::venue::Field;

/// Lines outward start so far apart, in steps between places inside.
const OUTWARD_EVERY: f64 = 1.4;
/// Places on a line outward, in steps between places inside, and then each twice as far.
const OUTWARD: [f64; 4] = [0.0, 0.4, 1.0, 2.0];
/// The ground is looked at up to here from the outline, metres and steps.
const MARGIN_M: f64 = 20.0;
const MARGIN_STEPS: f64 = 3.2;
/// Where more of it is planned, as far as that, up to so many metres.
const MAX_MARGIN_M: f64 = 80.0;
/// A thing stands in the way outward when it does at both of these heights, metres:
/// boards are looked over, and under a raised deck there is ground.
const LOW_M: f64 = 0.4;
const HIGH_M: f64 = 2.2;
/// What is low ends the ground only if what is high stands within so much of it, metres.
const SAME_THING_M: f64 = 6.0;
/// A line outward has this much room on either side, metres, or it ends: it does not slip
/// through the seam of two walls.
const SEAM_M: f64 = 0.05;
/// The last places before a thing are so far from it, metres: its foot hides the sky from
/// them by a law that is far from linear.
const FOOT_M: [f64; 3] = [0.3, 1.0, 2.5];
/// Places nearer to each other than this share of a step are one.
const SAME_PLACE: f64 = 0.08;

#[derive(Debug, Clone, Copy)]
struct Place {
    at: Coord<f64>,
    index: usize,
}

impl HasPosition for Place {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        Point2::new(self.at.x, self.at.y)
    }
}

/// The places.
#[derive(Debug, Clone)]
pub struct LightPlaces {
    at: Vec<Coord<f64>>,
    inside: usize,
    step_m: f64,
    margin_m: f64,
    net: DelaunayTriangulation<Place>,
}

impl LightPlaces {
    /// About `count` places inside of an outline of an area (m2), and those around.
    pub fn new(field: &Field, area_m2: f64, count: f64, obstacles: &Obstacles) -> Self {
        let outline = &field.outline;
        let lattice = SampleGrid::over(&geo::MultiPolygon(vec![outline.clone()]), area_m2, count);
        let step_m = (area_m2 / count).sqrt().max(f64::MIN_POSITIVE);
        let mut at = lattice.places().to_vec();
        let inside = at.len();
        let margin_m = MARGIN_M.max(MARGIN_STEPS * step_m).max(planned_m(field));
        let mut seen = Spaced::new(SAME_PLACE * step_m);
        at.iter().for_each(|place| _ = seen.is_new(*place));
        if inside > 0 {
            for (from, out) in outward_lines(outline, OUTWARD_EVERY * step_m) {
                for far_m in along(from, out, step_m, margin_m, obstacles) {
                    let place = Coord { x: from.x + far_m * out.x, y: from.y + far_m * out.y };
                    if seen.is_new(place) {
                        at.push(place);
                    }
                }
            }
        }
        let mut net = DelaunayTriangulation::new();
        for (index, at) in at.iter().enumerate() {
            // refused only for coordinates that are no numbers
            let _ = net.insert(Place { at: *at, index });
        }
        Self { at, inside, step_m, margin_m, net }
    }

    /// Where they are: those inside of the outline first.
    pub fn at(&self) -> &[Coord<f64>] {
        &self.at
    }

    /// How many lie inside of the outline.
    pub fn inside(&self) -> usize {
        self.inside
    }

    /// Between places inside, metres.
    pub fn step_m(&self) -> f64 {
        self.step_m
    }

    /// How far outside of the outline they reach, metres.
    pub fn margin_m(&self) -> f64 {
        self.margin_m
    }

    /// Weights that carry values from the places to a point: linear inside of the
    /// outermost of them, the nearest beyond. They sum to 1.
    pub fn weights(&self, at: Coord<f64>) -> Vec<(usize, f64)> {
        let point = Point2::new(at.x, at.y);
        let mut found = Vec::new();
        if self.net.num_vertices() >= 3 {
            self.net.barycentric().get_weights(point, &mut found);
        }
        if found.is_empty() {
            let nearest = self.net.nearest_neighbor(point).map(|place| place.data().index);
            return nearest.map(|index| (index, 1.0)).into_iter().collect();
        }
        let weight = |(vertex, weight)| (self.net.vertex(vertex).data().index, weight);
        found.into_iter().map(weight).collect()
    }

    /// Triangles that values are linear over, as indices of places.
    pub fn triangles(&self) -> Vec<[usize; 3]> {
        self.net.inner_faces().map(|face| face.vertices().map(|v| v.data().index)).collect()
    }

    /// The nearest place.
    pub fn nearest(&self, at: Coord<f64>) -> Option<usize> {
        self.net.nearest_neighbor(Point2::new(at.x, at.y)).map(|place| place.data().index)
    }
}

/// How far the ground that is planned reaches from the field of play, metres.
fn planned_m(field: &Field) -> f64 {
    let rim = field.surrounds.exterior().coords().chain(field.playing_area.exterior().coords());
    let away = |at: &Coord<f64>| Euclidean.distance(&Point(*at), &field.outline);
    rim.map(away).fold(0.0, f64::max).min(MAX_MARGIN_M)
}

/// Places that are no nearer to each other than a distance.
struct Spaced {
    apart_m: f64,
    cells: std::collections::HashMap<(i64, i64), Vec<Coord<f64>>>,
}

impl Spaced {
    fn new(apart_m: f64) -> Self {
        Self { apart_m, cells: Default::default() }
    }

    fn is_new(&mut self, at: Coord<f64>) -> bool {
        let cell = |v: f64| (v / self.apart_m).floor() as i64;
        let (i, j) = (cell(at.x), cell(at.y));
        let around = (-1..=1).flat_map(|u| (-1..=1).map(move |v| (i + u, j + v)));
        let near = |other: &Coord<f64>| (other.x - at.x).hypot(other.y - at.y) < self.apart_m;
        let taken = around.filter_map(|c| self.cells.get(&c)).flatten().any(near);
        if !taken {
            self.cells.entry((i, j)).or_default().push(at);
        }
        !taken
    }
}

/// Points on an outline about so far apart, with unit vectors outward; in a corner also
/// halfway between its sides.
fn outward_lines(outline: &Polygon<f64>, apart_m: f64) -> Vec<(Coord<f64>, Coord<f64>)> {
    let ring = &outline.exterior().0;
    let flat: Vec<[f64; 2]> = ring.iter().skip(1).map(|c| [c.x, c.y]).collect();
    let turn = if signed_area(&flat) >= 0.0 { 1.0 } else { -1.0 };
    let mut lines = Vec::new();
    let mut last: Option<Coord<f64>> = None;
    let sides: Vec<(Coord<f64>, Coord<f64>, f64)> = ring
        .windows(2)
        .map(|w| (w[0], w[1], (w[1].x - w[0].x).hypot(w[1].y - w[0].y)))
        .filter(|(_, _, length)| *length > 0.0)
        .collect();
    let outward = |&(a, b, length): &(Coord<f64>, Coord<f64>, f64)| Coord {
        x: turn * (b.y - a.y) / length,
        y: -turn * (b.x - a.x) / length,
    };
    for (i, side) in sides.iter().enumerate() {
        let (a, b, length) = *side;
        let out = outward(side);
        let before = outward(&sides[(i + sides.len() - 1) % sides.len()]);
        let (x, y) = (out.x + before.x, out.y + before.y);
        let size = x.hypot(y);
        let apart = |from: Coord<f64>, to: Coord<f64>| (from.x - to.x).hypot(from.y - to.y);
        if size > 0.1 && last.is_none_or(|l| apart(l, a) > 0.5 * apart_m) {
            lines.push((a, Coord { x: x / size, y: y / size }));
            last = Some(a);
        }
        let count = (length / apart_m).round() as usize;
        for k in 0..count {
            let share = (k as f64 + 0.5) / count as f64;
            let at = Coord { x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) };
            lines.push((at, out));
            last = Some(at);
        }
    }
    lines
}

/// How far out the places on a line lie, metres.
fn along(
    from: Coord<f64>,
    out: Coord<f64>,
    step_m: f64,
    margin_m: f64,
    obstacles: &Obstacles,
) -> Vec<f64> {
    let toward = DVec3::new(out.x, out.y, 0.0);
    let beside = DVec3::new(-out.y, out.x, 0.0) * SEAM_M;
    let ends = |height_m: f64| {
        let middle = obstacles.on_ground(from) + DVec3::Z * height_m;
        let end = |start: DVec3| {
            let look = obstacles.look(start, toward, 2.0 * margin_m);
            look.opaque.map_or(f64::INFINITY, |(_, hit)| hit.distance_m)
        };
        [middle - beside, middle, middle + beside]
            .map(end)
            .into_iter()
            .fold(f64::INFINITY, f64::min)
    };
    let (low, high) = (ends(LOW_M), ends(HIGH_M));
    let end = if high - low > SAME_THING_M { high } else { low.min(high) };
    let mut all = Vec::new();
    let (mut next, mut doubled) = (OUTWARD.iter().map(|o| o * step_m), 0.0);
    loop {
        let far_m = next.next().unwrap_or(2.0 * doubled);
        doubled = far_m;
        if far_m > margin_m.min(end - FOOT_M[0]) {
            break;
        }
        all.push(far_m);
    }
    if end <= margin_m {
        let before = FOOT_M.iter().map(|foot| end - foot).filter(|far_m| *far_m > 0.0);
        all.extend(before);
        all.sort_by(f64::total_cmp);
    }
    all
}
