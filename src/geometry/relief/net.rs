//! The relief as flat facets that know their neighbours, in field axes or the local frame.
//!
//! In: a [`Relief`] and how the field lies. Out: facets by place, and their heights.

use glam::DVec3;
use rustc_hash::FxHashMap;

use super::bins::Bins;
use crate::base::frame::FieldFrame;
use crate::base::plane::{P2, within_convex};
use crate::geometry::hull::Box2;
use crate::venue::Relief;

/// No facet.
pub(in crate::geometry) const NONE: u32 = u32::MAX;
/// Facets whose slopes differ by less lie in one plane: no corner of a shadow is needed on
/// the line between them.
const SAME_SLOPE: f64 = 1e-12;
/// A facet that is nowhere wider is a line, which rounding leaves between spots in a row, metres.
const LINE_M: f64 = 1e-7;

/// A flat piece of ground.
#[derive(Debug, Clone, Copy)]
pub(in crate::geometry) struct Facet {
    /// Anticlockwise from above.
    pub corners: [u32; 3],
    /// What lies beyond the side from each corner to the next.
    pub(super) beside: [u32; 3],
    /// Rise for each metre along and across, and height at the origin.
    plane: [f64; 3],
    /// Without area: its neighbours meet there, nothing lies on it.
    pub is_line: bool,
}

impl Facet {
    pub fn height_m(&self, [x, y]: P2) -> f64 {
        self.plane[0] * x + self.plane[1] * y + self.plane[2]
    }

    /// Rise for each metre along and across.
    pub fn slope(&self) -> P2 {
        [self.plane[0], self.plane[1]]
    }

    pub(super) fn in_plane_of(&self, other: &Self) -> bool {
        (0..2).all(|i| (self.plane[i] - other.plane[i]).abs() < SAME_SLOPE)
    }
}

/// All of the ground.
#[derive(Debug)]
pub(in crate::geometry) struct ReliefNet {
    pub points: Vec<DVec3>,
    pub facets: Vec<Facet>,
    /// What is taken off all heights, so that those of interest lie about 0, metres.
    pub level_m: f64,
    pub(super) bins: Bins,
    /// The steepest facet's slope.
    pub(super) steepest: f64,
    /// As it was built.
    pub(super) highest_m: f64,
}

impl ReliefNet {
    /// In field axes; heights count from the middle of those in a box.
    pub fn new(relief: &Relief, frame: FieldFrame, window: &Box2) -> Self {
        let mut net = Self::of(relief, |p| {
            let q = frame.to_field(p);
            DVec3::new(q.along_m, q.across_m, q.up_m)
        });
        let (low, high) = net.heights_in(window);
        net.level_m = 0.5 * (low + high);
        net.points.iter_mut().for_each(|p| p.z -= net.level_m);
        net.facets.iter_mut().for_each(|facet| facet.plane[2] -= net.level_m);
        net
    }

    /// In the local frame, heights as they are.
    pub fn in_local_frame(relief: &Relief) -> Self {
        Self::of(relief, |p| p)
    }

    fn of(relief: &Relief, place: impl Fn(DVec3) -> DVec3) -> Self {
        let (points, corners) = relief.triangles();
        let points: Vec<DVec3> = points.into_iter().map(place).collect();
        let mut facets: Vec<Facet> =
            corners.iter().map(|corners| facet(*corners, &points)).collect();
        let mut sides: FxHashMap<(u32, u32), (u32, usize)> = FxHashMap::default();
        let corners: Vec<[u32; 3]> = facets.iter().map(|facet| facet.corners).collect();
        for (index, corners) in corners.into_iter().enumerate() {
            for side in [0, 1, 2] {
                let [a, b] = [side, (side + 1) % 3].map(|i| corners[i]);
                if let Some((other, of_other)) = sides.remove(&(b, a)) {
                    facets[index].beside[side] = other;
                    facets[other as usize].beside[of_other] = index as u32;
                } else {
                    sides.insert((a, b), (index as u32, side));
                }
            }
        }
        let with_area = facets.iter().filter(|f| !f.is_line);
        let steepest = with_area.map(|f| f.plane[0].hypot(f.plane[1])).fold(0.0, f64::max);
        let bins = Bins::new(&points, &facets, relief.spots());
        let highest_m = points.iter().map(|p| p.z).fold(f64::NEG_INFINITY, f64::max);
        Self { points, facets, level_m: 0.0, bins, steepest, highest_m }
    }

    /// How far the steepest facet is from facing away from a sun: 0 for a sun overhead, 1 where
    /// the beam may run along it. `run` is how far a shadow goes for each metre of height.
    pub fn steepness(&self, run: P2) -> f64 {
        self.steepest * run[0].hypot(run[1])
    }

    /// How far the ground lies over or under the level at most, metres.
    pub fn farthest_off_m(&self) -> f64 {
        self.points.iter().map(|p| p.z.abs()).fold(0.0, f64::max)
    }

    pub fn plan(&self, corner: u32) -> P2 {
        let p = self.points[corner as usize];
        [p.x, p.y]
    }

    /// Corners of a facet, anticlockwise from above.
    pub fn triangle(&self, facet: &Facet) -> [P2; 3] {
        facet.corners.map(|corner| self.plan(corner))
    }

    pub fn height_m(&self, place: P2) -> f64 {
        self.facets[self.at(place) as usize].height_m(place)
    }

    /// Facets that may lie in a box of the plan, each once.
    pub fn in_box(&self, bounds: &Box2) -> Vec<u32> {
        let mut found = self.bins.in_box(bounds);
        found.extend_from_slice(&self.bins.outer);
        found.sort_unstable();
        found.dedup();
        let near = |facet: &u32| {
            let corners = self.triangle(&self.facets[*facet as usize]);
            Box2::around(corners).is_some_and(|b| b.overlaps(bounds))
        };
        found.retain(near);
        found
    }

    /// The borders of some facets, corner by corner, anticlockwise around them and clockwise
    /// around what they leave out: sides between two of them are none.
    pub fn borders(&self, facets: &[u32]) -> Vec<Vec<u32>> {
        let mut is_in = vec![false; self.facets.len()];
        facets.iter().for_each(|facet| is_in[*facet as usize] = true);
        // lines between two of them leave no slit
        let beside = |facet: u32| self.facets[facet as usize].beside.into_iter();
        let beside_lines = facets.iter().flat_map(|facet| beside(*facet)).filter(|b| *b != NONE);
        let lines = beside_lines.filter(|b| self.facets[*b as usize].is_line);
        let mut lines: Vec<u32> = lines
            .filter(|line| beside(*line).filter(|b| *b != NONE && is_in[*b as usize]).count() > 1)
            .collect();
        lines.sort_unstable();
        lines.dedup();
        lines.iter().for_each(|line| is_in[*line as usize] = true);
        let mut from: FxHashMap<u32, Vec<u32>> = FxHashMap::default();
        let mut starts = Vec::new();
        for facet in facets.iter().chain(&lines).map(|facet| &self.facets[*facet as usize]) {
            for side in [0, 1, 2] {
                let other = facet.beside[side];
                if other == NONE || !is_in[other as usize] {
                    from.entry(facet.corners[side])
                        .or_default()
                        .push(facet.corners[(side + 1) % 3]);
                    starts.push(facet.corners[side]);
                }
            }
        }
        // as many sides come to a corner as leave it, so each way ends where it began
        let mut next = |corner: u32| from.get_mut(&corner).and_then(Vec::pop);
        let ring = |start: u32| {
            let mut ring: Vec<u32> = Vec::new();
            let mut corner = start;
            while let Some(to) = next(corner) {
                ring.push(corner);
                corner = to;
            }
            ring
        };
        starts.into_iter().map(ring).filter(|ring| ring.len() > 2).collect()
    }

    /// Lowest and highest ground in a box of the plan, metres.
    pub fn heights_in(&self, bounds: &Box2) -> (f64, f64) {
        let Box2 { min, max } = *bounds;
        let window = [min, [max[0], min[1]], max, [min[0], max[1]]];
        let mut heights = (f64::INFINITY, f64::NEG_INFINITY);
        for index in self.in_box(bounds) {
            let facet = &self.facets[index as usize];
            for place in within_convex(&self.triangle(facet), &window) {
                let height = facet.height_m(place);
                heights = (heights.0.min(height), heights.1.max(height));
            }
        }
        if heights.0 <= heights.1 { heights } else { (0.0, 0.0) }
    }

    /// The facet's unit vector upward at a place.
    pub fn normal(&self, place: P2) -> DVec3 {
        let slope = self.facets[self.at(place) as usize].slope();
        DVec3::new(-slope[0], -slope[1], 1.0).normalize()
    }
}

fn facet(corners: [u32; 3], points: &[DVec3]) -> Facet {
    let [a, b, c] = corners.map(|corner| points[corner as usize]);
    let area = (b - a).cross(c - a);
    let longest = [b - a, c - b, a - c]
        .into_iter()
        .max_by(|p, q| p.truncate().length_squared().total_cmp(&q.truncate().length_squared()));
    let longest = longest.unwrap_or_default();
    let is_line = area.z <= LINE_M * longest.truncate().length();
    let slope = match is_line {
        false => [-area.x / area.z, -area.y / area.z],
        true => {
            let rise = longest.truncate() * longest.z / longest.truncate().length_squared();
            [rise.x, rise.y]
        }
    };
    let level = a.z - slope[0] * a.x - slope[1] * a.y;
    Facet { corners, beside: [NONE; 3], plane: [slope[0], slope[1], level], is_line }
}
