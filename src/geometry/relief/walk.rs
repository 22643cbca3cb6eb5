//! Straight ways over the facets of the ground, seen from above or along the sun.
//!
//! In: facets that know their neighbours, two places of a plane. Out: the facets between them and
//! where the way crosses from one to the next.
//!
//! Which side a way leaves a facet by follows from which corners lie left of it and which right
//! of it, and those are exact for the coordinates as they are (Shewchuk, Discrete and
//! Computational Geometry 18, 1997); what lies on the way counts as left. So a way that passes
//! through corners or along sides is one that passes a hair to the right of them, and it comes to
//! each facet once, whatever rounding does: a walk takes at most as many steps as there are
//! facets, which also ends it where facets lie over each other.

use geo::Coord;
use geo::kernels::{Kernel, Orientation, RobustKernel};
use glam::DVec3;

use super::Sunward;
use super::net::{NONE, ReliefNet};
use crate::base::plane::{P2, between, cross};
use crate::venue::GROUND_TO_M;

/// A ray leaves the ground that it starts on, metres; one that meets the line between two
/// facets may miss either by as much.
const LEAVES_M: f64 = 1e-6;

/// How a walk ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::geometry) enum End {
    /// In the facet of the place that was looked for.
    There(u32),
    /// At the border of all ground, in this facet.
    Border(u32),
    /// Facets lie over each other on the way, or the first one does not have its beginning.
    Lost(u32),
}

/// A straight way, facet after facet.
struct Way<'a> {
    net: &'a ReliefNet,
    along: &'a Sunward,
    ends: [P2; 2],
    at: u32,
    /// The facet that it came from; `NONE` until it passes through one.
    before: u32,
    steps: usize,
}

/// How a way goes on from a facet.
enum Next {
    /// Over a side.
    Over(usize),
    End(End),
}

/// Over 0 where a place lies left of the line from one place to another, 0 on it; exact.
fn turn(a: P2, b: P2, p: P2) -> i8 {
    let [a, b, p] = [a, b, p].map(|p| Coord { x: p[0], y: p[1] });
    match RobustKernel::orient2d(a, b, p) {
        Orientation::CounterClockwise => 1,
        Orientation::Clockwise => -1,
        Orientation::Collinear => 0,
    }
}

impl<'a> Way<'a> {
    fn new(net: &'a ReliefNet, start: u32, along: &'a Sunward, ends: [P2; 2]) -> Self {
        Self { net, along, ends, at: start, before: NONE, steps: 0 }
    }

    fn corners(&self) -> [P2; 3] {
        let facet = &self.net.facets[self.at as usize];
        facet.corners.map(|corner| self.along.of(self.net.points[corner as usize]))
    }

    fn next(&mut self) -> Next {
        let [from, to] = self.ends;
        let facet = &self.net.facets[self.at as usize];
        let corners = self.corners();
        let left = corners.map(|corner| turn(from, to, corner) >= 0);
        let sides = |side: usize| (side, (side + 1) % 3);
        let mut all = (0..3).map(sides);
        let ahead = match self.before {
            NONE => {
                // as the corners run, a way leaves from its right to its left
                let [a, b, c] = corners;
                let is_turned = turn(a, b, c) < 0;
                all.find(|(i, j)| left[*i] != left[*j] && left[*j] != is_turned)
            }
            before => all.find(|(i, j)| left[*i] != left[*j] && facet.beside[*i] != before),
        };
        let Some((i, j)) = ahead else { return self.beside(corners, left) };
        let (on_right, on_left) = if left[j] { (i, j) } else { (j, i) };
        if turn(corners[on_right], corners[on_left], to) >= 0 {
            return Next::End(End::There(self.at));
        }
        self.over(i)
    }

    /// Where the way only touches the first facet: round its corner or over its side.
    fn beside(&self, corners: [P2; 3], left: [bool; 3]) -> Next {
        let [from, to] = self.ends;
        let turns = |p: P2| [0, 1, 2].map(|i| turn(corners[i], corners[(i + 1) % 3], p));
        let (of_from, of_to) = (turns(from), turns(to));
        if of_to.iter().all(|turn| *turn >= 0) {
            return Next::End(End::There(self.at));
        }
        let touched = (0..3).find(|i| of_from[*i] == 0 && of_to[*i] <= 0);
        match touched {
            Some(side) if self.before == NONE && left == [true; 3] => self.over(side),
            _ => Next::End(End::Lost(self.at)),
        }
    }

    fn over(&self, side: usize) -> Next {
        match self.net.facets[self.at as usize].beside[side] {
            NONE => Next::End(End::Border(self.at)),
            _ if self.steps > self.net.facets.len() => Next::End(End::Lost(self.at)),
            _ => Next::Over(side),
        }
    }

    /// Goes on over a side.
    fn cross(&mut self, side: usize) {
        let facet = &self.net.facets[self.at as usize];
        let [a, b] = [side, (side + 1) % 3].map(|i| facet.corners[i]);
        let [from, to] = self.ends;
        let is_left =
            |corner: u32| turn(from, to, self.along.of(self.net.points[corner as usize])) >= 0;
        let next = facet.beside[side];
        // round a corner that it begins at the way passes through nothing yet
        if is_left(a) != is_left(b) {
            self.before = self.at;
        }
        self.at = next;
        self.steps += 1;
    }
}

impl ReliefNet {
    /// Goes straight from one place, which a facet has, to another as `along` shows the ground;
    /// hands out the places in plan where it crosses from one plane to another.
    pub fn walk(
        &self,
        start: u32,
        along: &Sunward,
        ends: [P2; 2],
        mut crossed: impl FnMut(P2),
    ) -> End {
        let mut way = Way::new(self, start, along, ends);
        loop {
            match way.next() {
                Next::End(end) => return end,
                Next::Over(side) => {
                    let facet = &self.facets[way.at as usize];
                    let next = &self.facets[facet.beside[side] as usize];
                    if !facet.in_plane_of(next) {
                        let [a, b] = [side, (side + 1) % 3].map(|i| facet.corners[i]);
                        crossed(self.on_side([a.min(b), a.max(b)], along, ends));
                    }
                    way.cross(side);
                }
            }
        }
    }

    /// The facet at a place; the outermost one where there is none.
    pub fn at(&self, place: P2) -> u32 {
        let first = self.bins.near(place);
        let corners = self.triangle(&self.facets[first as usize]);
        let middle = [0, 1].map(|i| corners.iter().map(|c| c[i]).sum::<f64>() / 3.0);
        match self.walk(first, &Sunward::FROM_ABOVE, [middle, place], |_| {}) {
            End::There(facet) if !self.facets[facet as usize].is_line => facet,
            End::Border(facet) => facet,
            End::There(_) | End::Lost(_) => self.nearest(&Sunward::FROM_ABOVE, place, |_| true),
        }
    }

    /// The open facet that a place lies on, or outside of the least; looks at all of them.
    pub fn nearest(&self, along: &Sunward, place: P2, is_open: impl Fn(u32) -> bool) -> u32 {
        let mut nearest = (f64::INFINITY, 0);
        for (index, facet) in self.facets.iter().enumerate() {
            if facet.is_line || !is_open(index as u32) {
                continue;
            }
            let outside_m = self.outside_m(index as u32, along, place);
            if outside_m < nearest.0 {
                nearest = (outside_m, index as u32);
            }
            if outside_m <= 0.0 {
                break;
            }
        }
        nearest.1
    }

    /// How far a place lies outside of a facet's sides as `along` shows it, metres.
    pub fn outside_m(&self, facet: u32, along: &Sunward, place: P2) -> f64 {
        let facet = &self.facets[facet as usize];
        let corners = facet.corners.map(|c| along.of(self.points[c as usize]));
        let sides = corners.iter().zip(corners.iter().cycle().skip(1));
        let outside = |(a, b): (&P2, &P2)| {
            -cross(*a, *b, place) / (b[0] - a[0]).hypot(b[1] - a[1]).max(f64::MIN_POSITIVE)
        };
        sides.map(outside).fold(f64::NEG_INFINITY, f64::max)
    }

    /// How far off a ray (unit vector) goes into the ground, metres; what it comes out of does
    /// not count, so that a ray from a place on the ground does not end there.
    pub fn enters_m(&self, from: DVec3, toward: DVec3) -> Option<f64> {
        // no facet rises faster than the ray does
        let is_above = toward.z >= self.steepest * toward.x.hypot(toward.y);
        (!is_above).then(|| self.enters_from_m(self.at([from.x, from.y]), from, toward))?
    }

    /// The same from a place whose facet is known.
    pub fn enters_from_m(&self, start: u32, from: DVec3, toward: DVec3) -> Option<f64> {
        let (place, way) = ([from.x, from.y], [toward.x, toward.y]);
        let flat = way[0].hypot(way[1]);
        if toward.z >= self.steepest * flat {
            return None;
        }
        // beyond all ground, or straight up or down
        let far = if flat > 1e-12 { 4.0 * GROUND_TO_M / flat } else { 0.0 };
        let ends = [place, [0, 1].map(|i| place[i] + far * way[i])];
        let mut path = Way::new(self, start, &Sunward::FROM_ABOVE, ends);
        let mut since = 0.0;
        loop {
            let next = path.next();
            let facet = &self.facets[path.at as usize];
            let until = match next {
                Next::End(End::Lost(_)) => return None,
                Next::End(_) => f64::INFINITY,
                Next::Over(side) => {
                    let corners = self.triangle(facet);
                    let (a, b) = (corners[side], corners[(side + 1) % 3]);
                    let nearer = (b[1] - a[1]) * way[0] - (b[0] - a[0]) * way[1];
                    let until = cross(a, b, place) / nearer;
                    if until.is_finite() { until.max(since) } else { since }
                }
            };
            let slope = facet.slope();
            let sinks = slope[0] * way[0] + slope[1] * way[1] - toward.z;
            let met = (from.z - facet.height_m(place)) / sinks;
            let here = since - LEAVES_M..=until + LEAVES_M;
            if !facet.is_line && sinks > 0.0 && met > LEAVES_M && here.contains(&met) {
                return Some(met);
            }
            let Next::Over(side) = next else { return None };
            if toward.z >= 0.0 && from.z + until * toward.z > self.highest_m {
                return None;
            }
            since = until;
            path.cross(side);
        }
    }

    /// Where a straight line crosses the side between two corners, in plan; the same from both
    /// facets.
    fn on_side(&self, [a, b]: [u32; 2], along: &Sunward, [from, to]: [P2; 2]) -> P2 {
        let [near, far] = [a, b].map(|end| cross(from, to, along.of(self.points[end as usize])));
        let share = near / (near - far);
        // a line along the side crosses it anywhere
        let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.0 };
        between(self.plan(a), self.plan(b), share)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::venue::Relief;

    /// Spots in rows 10 m apart, with heights that repeat: lines through many of them are exact.
    fn rows() -> ReliefNet {
        let spot = |i: i32| {
            let (x, y) = (i % 9 - 4, i / 9 - 4);
            DVec3::new(f64::from(10 * x), f64::from(10 * y), f64::from((x * x + 3 * y * y) % 5))
        };
        let spots: Vec<DVec3> = (0..81).map(spot).collect();
        ReliefNet::in_local_frame(&Relief::through(&spots).unwrap())
    }

    /// All spots and some places between them, on the ground.
    fn places(net: &ReliefNet) -> Vec<DVec3> {
        let spots = net.points.iter().copied().filter(|p| p.truncate().length() < 100.0);
        let between = [[0.3, 5.0], [3.1, -7.7], [-5.0, -4.0], [12.0, 13.0], [2e-9, -1e-9]];
        let between = between.map(|p| DVec3::new(p[0], p[1], net.height_m(p)));
        spots.chain(between).collect()
    }

    /// From each spot to each other, along rows, columns and diagonals of spots: a walk ends in a
    /// facet that has its end, and passes each facet once.
    #[test]
    fn a_walk_through_corners_comes_to_its_end() {
        let net = rows();
        for run in [[0.0, 0.0], [0.3, 0.0], [-0.2, 0.45], [0.0, 1.0]] {
            let along = Sunward(run);
            assert!(net.steepness(run) < 1.0, "{}", net.steepness(run));
            let places: Vec<P2> = places(&net).into_iter().map(|p| along.of(p)).collect();
            for from in &places {
                let start = net.nearest(&along, *from, |_| true);
                for to in &places {
                    let mut crossings = 0;
                    let end = net.walk(start, &along, [*from, *to], |_| crossings += 1);
                    let End::There(facet) = end else { panic!("{from:?} {to:?} {end:?}") };
                    let outside_m = net.outside_m(facet, &along, *to);
                    assert!(outside_m < 1e-9, "{from:?} {to:?}: {outside_m} m outside");
                    assert!(crossings < 60, "{from:?} {to:?}: {crossings} crossings");
                }
            }
        }
    }

    /// Under a sun so low that facets lie over each other a walk ends, wherever it comes to.
    #[test]
    fn a_walk_over_folded_ground_ends() {
        let net = rows();
        for run in [[57.0, 3.0], [-573.0, 0.0], [0.0, 5730.0], [1e5, -1e5]] {
            let along = Sunward(run);
            for (i, from) in places(&net).into_iter().enumerate() {
                for to in places(&net) {
                    let (from, to) = (along.of(from), along.of(to));
                    let mut crossings = 0;
                    let start = (i % net.facets.len()) as u32;
                    let end = net.walk(start, &along, [from, to], |_| crossings += 1);
                    assert!(crossings <= net.facets.len() + 1, "{from:?} {to:?}: {end:?}");
                }
            }
        }
    }

    /// A ray along rows of spots and through them goes into the ground where by hand it does.
    #[test]
    fn a_ray_through_spots_goes_into_the_hill() {
        let heights = [0.0, 0.0, 10.0, 5.0, 0.0];
        let spot = |i: usize| {
            let (x, y) = (10.0 * (i % 5) as f64, 10.0 * (i / 5) as f64 - 10.0);
            DVec3::new(x, y, heights[i % 5])
        };
        let all: Vec<DVec3> = (0..15).map(spot).collect();
        let net = ReliefNet::in_local_frame(&Relief::through(&all).unwrap());
        // heights along x: 0, 0, 10, 5, 0 at 0, 10, 20, 30, 40
        for y in [0.0, 3.0, -10.0] {
            let met = net.enters_m(DVec3::new(0.0, y, 4.0), DVec3::X).unwrap();
            assert!((met - 14.0).abs() < 1e-9, "{met}");
            assert_eq!(net.enters_m(DVec3::new(0.0, y, 10.1), DVec3::X), None);
            let down = net.enters_m(DVec3::new(20.0, y, 30.0), -DVec3::Z).unwrap();
            assert!((down - 20.0).abs() < 1e-9, "{down}");
        }
    }
}
