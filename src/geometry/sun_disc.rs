//! How much of the sun's disc a place sees.
//!
//! In: obstacles and the direction toward the sun's middle, local frame, metres; then places.
//! Out: the share of its light that arrives, 0 to 1: edges of shadows are as soft as the disc
//! of 0.533 degree makes them (`solar::SUN_DIAMETER_DEG` has the source), evenly bright.
//!
//! As in [`crate::geometry::Beam`] a grid across the rays lists the bodies near each. A body
//! whose outline keeps clear of the disc is one ray's matter. Where outlines cross the disc it
//! is summed up along chords (`sun_chords`).

use glam::{DVec2, DVec3};

use crate::geometry::hull::{convex_hull, sides};
use crate::geometry::obstacles::Obstacles;
use crate::geometry::ray_grid::RayGrid;
use crate::geometry::relief::net::ReliefNet;
use crate::geometry::sun_chords::{CHORDS, chords};
use crate::solar::SUN_DIAMETER_DEG;

/// Columns or rows of the grid at most, and cells to a body.
const MAX_COLUMNS: f64 = 160.0;
const CELLS_TO_A_BODY: f64 = 16.0;
/// Boxes are taken to be so much larger all around, metres.
const MARGIN_M: f64 = 1e-6;
/// Places lie at most so far behind the last body along the rays, metres.
const BEHIND_M: f64 = 150.0;
/// Cells of the grid that many places may reach over.
const MAX_CELLS_AT_ONCE: usize = 64;
/// Areas that differ by less are the same, m2.
const SAME_M2: f64 = 1e-9;
/// The sun's disc over a venue.
pub struct SunDisc<'a> {
    pub(super) obstacles: &'a Obstacles,
    pub(super) toward: DVec3,
    pub(super) right: DVec3,
    pub(super) up: DVec3,
    /// Tangent of half the disc.
    pub(super) radius: f64,
    /// `sun_chords::chords` of it.
    pub(super) chords: [[f64; 2]; CHORDS],
    grid: RayGrid,
    pub(super) outlines: Vec<BodyOutline>,
    /// Where it may rise before the middle of the disc; its edge is taken to be sharp.
    ground: Option<&'a ReliefNet>,
}

/// A body as parallel rays see it.
pub(super) struct BodyOutline {
    low: DVec2,
    high: DVec2,
    /// From where to where along the rays it reaches, metres.
    near_m: f64,
    far_m: f64,
    /// Across the rays and along them; none of a mesh.
    pub(super) corners: Vec<DVec3>,
    /// Whether they are a ring in their order.
    pub(super) is_sheet: bool,
    /// Its outline; none of a mesh.
    ring: Vec<DVec2>,
    /// The sides of the convex hull around it: outward unit normals and offsets, metres.
    sides: Vec<(DVec2, f64)>,
    /// Whether the outline is that hull.
    is_convex: bool,
    /// What passes within it, 0 to 1.
    passes: f64,
}

impl BodyOutline {
    /// How far a point lies outside of the hull at least, metres; under 0 by how much it lies
    /// inside.
    fn outside_m(&self, at: DVec2) -> f64 {
        let sides = self.sides.iter().map(|(normal, offset)| normal.dot(at) - offset);
        sides.fold(f64::NEG_INFINITY, f64::max)
    }
}

/// What a body does to all places of a small piece of a plane.
enum Over {
    /// It shades none of them.
    None,
    /// It lets this share pass to each.
    All(f64),
    /// Each place has to ask.
    Some,
}

/// A small piece of a plane as parallel rays see it.
struct Piece {
    places: [DVec3; 4],
    corners: [DVec2; 4],
    low: DVec2,
    high: DVec2,
    /// From where to where along the rays it reaches, metres.
    first_m: f64,
    last_m: f64,
}

/// How meshes throw their shadow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeshEdges {
    /// By the ray to the middle of the disc alone.
    Hard,
    /// By rays all over the disc.
    Soft,
}

impl<'a> SunDisc<'a> {
    pub fn new(obstacles: &'a Obstacles, toward: DVec3) -> Self {
        let (right, up) = toward.any_orthonormal_pair();
        let flat = |p: DVec3| DVec2::new(p.dot(right), p.dot(up));
        let radius = (0.5 * SUN_DIAMETER_DEG.to_radians()).tan();
        let outline = |(index, [low, high]): (usize, &[DVec3; 2])| {
            let (middle, half) = (0.5 * (*low + *high), 0.5 * (*high - *low) + MARGIN_M);
            let far_m = middle.dot(toward) + half.dot(toward.abs());
            let wide = DVec2::new(half.dot(right.abs()), half.dot(up.abs()));
            let obstacle = &obstacles[index];
            let seen = |p: &DVec3| flat(*p).extend(p.dot(toward));
            let seen: Vec<DVec3> = obstacle.corners().iter().map(seen).collect();
            let corners: Vec<DVec2> = seen.iter().map(|p| p.truncate()).collect();
            let around = hull(&corners);
            let sides = sides(&around);
            let is_sheet = obstacle.is_sheet();
            let is_convex = !is_sheet || (area(&corners).abs() - area(&around)).abs() < SAME_M2;
            let passes = obstacle.passes(toward).share();
            let ring = if is_sheet { corners } else { around };
            let (low, high) = match ring.is_empty() {
                true => (flat(middle) - wide, flat(middle) + wide),
                false => {
                    ring.iter().fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(low, high), p| {
                        (low.min(*p), high.max(*p))
                    })
                }
            };
            let near_m = middle.dot(toward) - half.dot(toward.abs());
            let corners = seen;
            BodyOutline {
                low,
                high,
                near_m,
                far_m,
                corners,
                is_sheet,
                ring,
                sides,
                is_convex,
                passes,
            }
        };
        let outlines: Vec<BodyOutline> =
            obstacles.boxes().iter().enumerate().map(outline).collect();
        let nearest_m = |[low, high]: &[DVec3; 2]| {
            0.5 * (*low + *high).dot(toward) - 0.5 * (*high - *low).dot(toward.abs())
        };
        let first_m = obstacles.boxes().iter().map(nearest_m).fold(f64::INFINITY, f64::min);
        let last_m = outlines.iter().map(|o| o.far_m).fold(f64::NEG_INFINITY, f64::max);
        let wide_m = (last_m - first_m + BEHIND_M).max(0.0) * radius;
        let wide_m = if wide_m.is_finite() { wide_m } else { 0.0 };
        let rectangles: Vec<[DVec2; 2]> =
            outlines.iter().map(|o| [o.low - wide_m, o.high + wide_m]).collect();
        let grid = RayGrid::new(&rectangles, CELLS_TO_A_BODY, MAX_COLUMNS);
        let ground = obstacles.ground_toward(toward);
        let chords = chords(radius);
        Self { obstacles, toward, right, up, radius, chords, grid, outlines, ground }
    }

    /// Toward the middle of the disc, unit vector.
    pub fn toward(&self) -> DVec3 {
        self.toward
    }

    /// Share of the sun's light that arrives at a place on a surface, and whether a mesh is
    /// near on the way. `own` is the body that the place lies on, where its face is turned to
    /// the sun: a convex one does not shade itself.
    pub fn share(&self, from: DVec3, own: Option<usize>, meshes: MeshEdges) -> (f64, bool) {
        if self.ground.is_some_and(|ground| ground.enters_m(from, self.toward).is_some()) {
            return (0.0, false);
        }
        let at = DVec2::new(from.dot(self.right), from.dot(self.up));
        self.share_past(from, own, meshes, self.grid.near(at))
    }

    /// The same past some bodies alone, those of [`SunDisc::shading`].
    pub fn share_past(
        &self,
        from: DVec3,
        own: Option<usize>,
        meshes: MeshEdges,
        bodies: &[u32],
    ) -> (f64, bool) {
        let at = DVec2::new(from.dot(self.right), from.dot(self.up));
        let along_m = from.dot(self.toward);
        let mut share = 1.0;
        let mut by_mesh = false;
        let mut near: Vec<u32> = Vec::new();
        for &body in bodies {
            let outline = &self.outlines[body as usize];
            let reach_m = (outline.far_m - along_m) * self.radius;
            let beside =
                at.cmplt(outline.low - reach_m).any() || at.cmpgt(outline.high + reach_m).any();
            if reach_m <= 0.0 || beside || (own == Some(body as usize) && !outline.ring.is_empty())
            {
                continue;
            }
            let obstacle = &self.obstacles[body as usize];
            if outline.ring.is_empty() {
                by_mesh = true;
                match meshes {
                    MeshEdges::Hard => share *= obstacle.transmission(from, self.toward),
                    MeshEdges::Soft => near.push(body),
                }
            } else {
                let outside_m = outline.outside_m(at);
                if outside_m > reach_m {
                    continue;
                }
                let is_deep = outline.is_convex && outside_m < -reach_m;
                if is_deep && outline.near_m > along_m {
                    share *= outline.passes;
                } else if !is_deep && distance_to(&outline.ring, at) <= reach_m {
                    near.push(body);
                } else {
                    share *= obstacle.transmission(from, self.toward);
                }
            }
            if share == 0.0 {
                return (0.0, by_mesh);
            }
        }
        if near.is_empty() { (share, by_mesh) } else { (share * self.summed(from, &near), by_mesh) }
    }

    /// What stands between the sun and a small piece of a plane, by its corners: the share that
    /// those bodies leave which shade all of it alike, and into `near` those that each place
    /// has to ask by [`SunDisc::share_past`]. `None` for a piece that is not small.
    pub fn shading(
        &self,
        corners: &[DVec3; 4],
        own: Option<usize>,
        near: &mut Vec<u32>,
    ) -> Option<f64> {
        // where the ground may rise before the sun each place asks for itself
        if self.ground.is_some() {
            return None;
        }
        let piece = self.piece(corners);
        let before = near.len();
        let (mut share, mut counted) = (1.0, Vec::new());
        for cell in self.grid.near_all([piece.low, piece.high], MAX_CELLS_AT_ONCE)? {
            for &body in cell {
                match self.over(body as usize, &piece, own) {
                    Over::All(passes) if passes <= 0.0 => {
                        near.truncate(before);
                        return Some(0.0);
                    }
                    // a body may be listed in several cells
                    Over::All(passes) if !counted.contains(&body) => {
                        counted.push(body);
                        share *= passes;
                    }
                    Over::Some if !near[before..].contains(&body) => near.push(body),
                    _ => {}
                }
            }
        }
        Some(share)
    }

    /// Across the rays and along them.
    pub(super) fn seen(&self, p: DVec3) -> DVec3 {
        DVec3::new(p.dot(self.right), p.dot(self.up), p.dot(self.toward))
    }

    fn piece(&self, corners: &[DVec3; 4]) -> Piece {
        let seen = corners.map(|c| self.seen(c));
        let (at, along) = (seen.map(DVec3::truncate), seen.map(|c| c.z));
        Piece {
            places: *corners,
            corners: at,
            low: at.into_iter().fold(DVec2::INFINITY, DVec2::min),
            high: at.into_iter().fold(DVec2::NEG_INFINITY, DVec2::max),
            first_m: along.into_iter().fold(f64::INFINITY, f64::min),
            last_m: along.into_iter().fold(f64::NEG_INFINITY, f64::max),
        }
    }

    fn over(&self, body: usize, piece: &Piece, own: Option<usize>) -> Over {
        let outline = &self.outlines[body];
        let reach_m = (outline.far_m - piece.first_m) * self.radius;
        let beside = piece.high.cmplt(outline.low - reach_m).any()
            || piece.low.cmpgt(outline.high + reach_m).any();
        if reach_m <= 0.0 || beside {
            return Over::None;
        }
        if outline.ring.is_empty() {
            return Over::Some;
        }
        let away_m = |(normal, offset): &(DVec2, f64)| {
            piece.corners.iter().map(|p| normal.dot(*p) - offset).fold(f64::INFINITY, f64::min)
        };
        if own == Some(body) || outline.sides.iter().any(|side| away_m(side) > reach_m) {
            return Over::None;
        }
        let is_deep = |p: &DVec2| outline.outside_m(*p) < -reach_m;
        if !outline.is_convex || !piece.corners.iter().all(is_deep) {
            return Over::Some;
        }
        // places from which parallel rays meet a convex body are a convex set: what holds for
        // the corners of a piece holds for all of it
        let obstacle = &self.obstacles[body];
        let is_met = |from: &DVec3| obstacle.meets(*from, self.toward);
        match outline.near_m > piece.last_m || piece.places.iter().all(is_met) {
            true => Over::All(outline.passes),
            false => Over::Some,
        }
    }
}

pub(super) fn hull(points: &[DVec2]) -> Vec<DVec2> {
    let mut flat: Vec<[f64; 2]> = points.iter().map(|p| p.to_array()).collect();
    let mut hull = Vec::with_capacity(flat.len());
    convex_hull(&mut flat, &mut hull);
    hull.into_iter().map(DVec2::from).collect()
}

/// Area of a ring, anticlockwise over 0.
fn area(ring: &[DVec2]) -> f64 {
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    0.5 * sides.map(|(a, b)| a.perp_dot(*b)).sum::<f64>()
}

/// From a place to the nearest side of a ring.
pub(super) fn distance_to(ring: &[DVec2], at: DVec2) -> f64 {
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    let squared = sides.map(|(a, b)| {
        let (side, to) = (*b - *a, at - *a);
        let along = (to.dot(side) / side.length_squared().max(1e-30)).clamp(0.0, 1.0);
        (to - side * along).length_squared()
    });
    squared.fold(f64::INFINITY, f64::min).sqrt()
}
