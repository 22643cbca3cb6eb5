//! How much of the sun's disc a place sees.
//!
//! In: obstacles and the direction toward the sun's middle, local frame, metres; then places.
//! Out: the share of its light that arrives, 0 to 1: edges of shadows are as soft as the disc
//! of 0.533 degree makes them (`solar::SUN_DIAMETER_DEG` has the source), evenly bright.
//!
//! As in [`crate::geometry::Beam`] a grid across the rays lists the bodies near each. A body
//! whose outline keeps clear of the disc is one ray's matter. Those whose outline crosses the
//! disc are thrown from the place onto it, and the disc is summed up along chords, exactly
//! along each; what has no outline (a mesh, a body that reaches behind the place) is asked by
//! rays along the chords.

use glam::{DVec2, DVec3};

use crate::geometry::hull::convex_hull;
use crate::geometry::obstacles::Obstacles;
use crate::geometry::ray_grid::RayGrid;
use crate::solar::SUN_DIAMETER_DEG;

/// Columns or rows of the grid at most, and cells to a body.
const MAX_COLUMNS: f64 = 160.0;
const CELLS_TO_A_BODY: f64 = 16.0;
/// Boxes are taken to be so much larger all around, metres.
const MARGIN_M: f64 = 1e-6;
/// Places lie at most so far behind the last body along the rays, metres.
const BEHIND_M: f64 = 150.0;
/// The disc is summed up along so many chords.
const CHORDS: usize = 16;
/// A chord is asked by so many rays where an outline cannot be had.
const RAYS_A_CHORD: usize = 6;
/// Cells of the grid that many places may reach over.
const MAX_CELLS_AT_ONCE: usize = 64;
/// Areas that differ by less are the same, m2.
const SAME_M2: f64 = 1e-9;
/// What a corner lies in front of a place at least, metres, for its body to have an outline.
const AHEAD_M: f64 = 0.02;

/// The sun's disc over a venue.
pub struct SunDisc<'a> {
    obstacles: &'a Obstacles,
    toward: DVec3,
    right: DVec3,
    up: DVec3,
    /// Tangent of half the disc.
    radius: f64,
    grid: RayGrid,
    outlines: Vec<Outline>,
}

/// A body as parallel rays see it.
struct Outline {
    low: DVec2,
    high: DVec2,
    /// From where to where along the rays it reaches, metres.
    near_m: f64,
    far_m: f64,
    /// Its outline; none of a mesh.
    ring: Vec<DVec2>,
    /// The sides of the convex hull around it: outward unit normals and offsets, metres.
    sides: Vec<(DVec2, f64)>,
    /// Whether the outline is that hull, and whether nothing passes within it.
    is_convex: bool,
    is_opaque: bool,
}

impl Outline {
    /// How far a point lies outside of the hull at least, metres; under 0 by how much it lies
    /// inside.
    fn outside_m(&self, at: DVec2) -> f64 {
        let sides = self.sides.iter().map(|(normal, offset)| normal.dot(at) - offset);
        sides.fold(f64::NEG_INFINITY, f64::max)
    }
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
            let corners: Vec<DVec2> = obstacle.corners().iter().map(|p| flat(*p)).collect();
            let around = hull(&corners);
            let sides = sides(&around);
            let is_sheet = obstacle.is_sheet();
            let is_convex = !is_sheet || (area(&corners).abs() - area(&around)).abs() < SAME_M2;
            let is_opaque = obstacle.passes().is_opaque();
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
            Outline { low, high, near_m, far_m, ring, sides, is_convex, is_opaque }
        };
        let outlines: Vec<Outline> = obstacles.boxes().iter().enumerate().map(outline).collect();
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
        Self { obstacles, toward, right, up, radius, grid, outlines }
    }

    /// Toward the middle of the disc, unit vector.
    pub fn toward(&self) -> DVec3 {
        self.toward
    }

    /// Share of the sun's light that arrives at a place on a surface, and whether a mesh is
    /// near on the way. `own` is the body that the place lies on, where its face is turned to
    /// the sun: a convex one does not shade itself.
    pub fn share(&self, from: DVec3, own: Option<usize>, meshes: MeshEdges) -> (f64, bool) {
        let at = DVec2::new(from.dot(self.right), from.dot(self.up));
        let along_m = from.dot(self.toward);
        let mut share = 1.0;
        let mut by_mesh = false;
        let mut near: Vec<u32> = Vec::new();
        for &body in self.grid.near(at) {
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
                let may_be_near = outside_m > -reach_m || !outline.is_convex;
                if may_be_near && distance_to(&outline.ring, at) <= reach_m {
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

    /// The same for all places within four corners, where it is 0 or 1 for each of them and no
    /// mesh is near; `None` where it may differ.
    pub fn share_of_all(&self, corners: &[DVec3; 4], own: Option<usize>) -> Option<f64> {
        let at = corners.map(|c| DVec2::new(c.dot(self.right), c.dot(self.up)));
        let along = corners.map(|c| c.dot(self.toward));
        let (low, high) = at
            .iter()
            .fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(l, h), p| (l.min(*p), h.max(*p)));
        let (first_m, last_m) = along
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), a| (l.min(*a), h.max(*a)));
        let mut is_clear = true;
        for near in self.grid.near_all([low, high], MAX_CELLS_AT_ONCE)? {
            for &body in near {
                let outline = &self.outlines[body as usize];
                let reach_m = (outline.far_m - first_m) * self.radius;
                let beside = high.cmplt(outline.low - reach_m).any()
                    || low.cmpgt(outline.high + reach_m).any();
                if reach_m <= 0.0 || beside {
                    continue;
                }
                if outline.ring.is_empty() {
                    return None;
                }
                if own == Some(body as usize) {
                    continue;
                }
                let away = |(normal, offset): &(DVec2, f64)| {
                    at.iter().map(|p| normal.dot(*p) - offset).fold(f64::INFINITY, f64::min)
                };
                if outline.sides.iter().any(|side| away(side) > reach_m) {
                    continue;
                }
                let deep = |p: &DVec2| outline.outside_m(*p) < -reach_m;
                let is_full = outline.is_opaque && outline.is_convex;
                if is_full && outline.near_m > last_m && at.iter().all(deep) {
                    return Some(0.0);
                }
                is_clear = false;
            }
        }
        is_clear.then_some(1.0)
    }

    /// Share of the disc that some bodies leave, along chords.
    fn summed(&self, from: DVec3, near: &[u32]) -> f64 {
        let mut rings: Vec<(Vec<DVec2>, f64)> = Vec::with_capacity(near.len());
        let mut asked: Vec<usize> = Vec::new();
        for &body in near {
            let obstacle = &self.obstacles[body as usize];
            match self.thrown(from, body as usize) {
                Some(ring) => rings.push((ring, obstacle.passes().share())),
                None => asked.push(body as usize),
            }
        }
        let (mut sum, mut whole) = (0.0, 0.0);
        let mut spans: Vec<(f64, f64, f64)> = Vec::new();
        let mut stops: Vec<f64> = Vec::new();
        for chord in 0..CHORDS {
            let u = (2.0 * (chord as f64 + 0.5) / CHORDS as f64 - 1.0) * self.radius;
            let half = (self.radius * self.radius - u * u).sqrt();
            spans.clear();
            stops.clear();
            stops.extend([-half, half]);
            for (ring, passes) in &rings {
                crossings(ring, u, half, *passes, &mut spans);
            }
            for (a, b, _) in &spans {
                stops.extend([*a, *b]);
            }
            if !asked.is_empty() {
                let step = 2.0 * half / RAYS_A_CHORD as f64;
                stops.extend((1..RAYS_A_CHORD).map(|i| -half + i as f64 * step));
            }
            stops.sort_by(f64::total_cmp);
            for pair in stops.windows(2) {
                let (length, v) = (pair[1] - pair[0], 0.5 * (pair[0] + pair[1]));
                if length <= 0.0 {
                    continue;
                }
                let mut passes: f64 = spans
                    .iter()
                    .filter(|(a, b, _)| *a < v && v < *b)
                    .map(|(_, _, passes)| passes)
                    .product();
                if passes > 0.0 && !asked.is_empty() {
                    let toward = (self.toward + self.right * u + self.up * v).normalize();
                    let through =
                        asked.iter().map(|i| self.obstacles[*i].transmission(from, toward));
                    passes *= through.product::<f64>();
                }
                sum += length * passes;
            }
            whole += 2.0 * half;
        }
        sum / whole
    }

    /// The outline of a body on the disc as a place sees it; `None` where it has none.
    fn thrown(&self, from: DVec3, body: usize) -> Option<Vec<DVec2>> {
        let obstacle = &self.obstacles[body];
        let corners = obstacle.corners();
        let mut ring = Vec::with_capacity(corners.len());
        for corner in corners {
            let ray = *corner - from;
            let depth = ray.dot(self.toward);
            if depth < AHEAD_M {
                return None;
            }
            ring.push(DVec2::new(ray.dot(self.right), ray.dot(self.up)) / depth);
        }
        let ring = if obstacle.is_sheet() { ring } else { hull(&ring) };
        (ring.len() > 2).then_some(ring)
    }
}

fn hull(points: &[DVec2]) -> Vec<DVec2> {
    let mut flat: Vec<[f64; 2]> = points.iter().map(|p| p.to_array()).collect();
    let mut hull = Vec::with_capacity(flat.len());
    convex_hull(&mut flat, &mut hull);
    hull.into_iter().map(DVec2::from).collect()
}

/// Outward unit normals and offsets of the sides of an anticlockwise ring.
fn sides(ring: &[DVec2]) -> Vec<(DVec2, f64)> {
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    let side = |(a, b): (&DVec2, &DVec2)| {
        let normal = -(*b - *a).perp().try_normalize()?;
        Some((normal, normal.dot(*a)))
    };
    sides.filter_map(side).collect()
}

/// Area of a ring, anticlockwise over 0.
fn area(ring: &[DVec2]) -> f64 {
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    0.5 * sides.map(|(a, b)| a.perp_dot(*b)).sum::<f64>()
}

/// Spans of a line `u` of the disc inside of a ring, cut to the chord.
fn crossings(ring: &[DVec2], u: f64, half: f64, passes: f64, spans: &mut Vec<(f64, f64, f64)>) {
    let mut at: [f64; 16] = [0.0; 16];
    let mut count = 0;
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        if (a.x > u) != (b.x > u) && count < at.len() {
            at[count] = a.y + (b.y - a.y) * (u - a.x) / (b.x - a.x);
            count += 1;
        }
    }
    let at = &mut at[..count];
    at.sort_by(f64::total_cmp);
    for pair in at.chunks_exact(2) {
        let (low, high) = (pair[0].max(-half), pair[1].min(half));
        if low < high {
            spans.push((low, high, passes));
        }
    }
}

/// From a place to the nearest side of a ring.
fn distance_to(ring: &[DVec2], at: DVec2) -> f64 {
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    let squared = sides.map(|(a, b)| {
        let (side, to) = (*b - *a, at - *a);
        let along = (to.dot(side) / side.length_squared().max(1e-30)).clamp(0.0, 1.0);
        (to - side * along).length_squared()
    });
    squared.fold(f64::INFINITY, f64::min).sqrt()
}
