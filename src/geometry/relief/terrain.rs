//! The ground as lenses look at it.
//!
//! In: the relief of a venue, or none; a lens, planes through it; local frame, metres. Out: the
//! part of the ground in plan that lies between the planes and that no ground hides.
//!
//! A facet is seen from above its plane alone. What a ray meets after it went through a hill
//! comes after a facet that it left the hill by, one that is turned away from the lens: so what a
//! facet turned away hides of another is what lies between three planes through the lens and its
//! sides, and beyond its own plane. Each is a half-plane of the other facet.

use std::sync::Arc;

use geo::{Coord, LineString, MultiPolygon, Polygon, unary_union};
use glam::DVec3;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_shape::int::shape::IntShapes;

use super::Sunward;
use super::net::{Facet, ReliefNet};
use crate::base::frame::FieldFrame;
use crate::base::plane::{P2, between, clip, cross};
use crate::base::units::Azimuth;
use crate::geometry::hull::Box2;
use crate::geometry::overlay::{Grid, Loops, Operand, OverlayBuffers};
use crate::geometry::union::join;
use crate::venue::Venue;

/// Pieces reach so far beyond their facets, so that neighbours leave no slit, metres.
const MARGIN_M: f64 = 1e-6;
/// A lens so near to the plane of a facet sees it edge on, metres.
const EDGE_ON_M: f64 = 1e-9;
/// Sectors around a lens that facets are looked up by.
const SECTORS: usize = 720;

/// What lies under lenses: the plane of the field, or the ground where it is not flat.
#[derive(Debug, Clone, Default)]
pub struct Terrain(pub(in crate::geometry) Option<Arc<ReliefNet>>);

impl Terrain {
    /// The plane of the field.
    pub const LEVEL: Self = Self(None);

    /// That of a venue.
    pub fn of(venue: &Venue) -> Self {
        let net = |relief| Arc::new(ReliefNet::in_local_frame(relief));
        Self(venue.relief.as_deref().map(net))
    }

    /// A place of the ground.
    pub fn at(&self, [x, y]: P2) -> DVec3 {
        DVec3::new(x, y, self.0.as_ref().map_or(0.0, |net| net.height_m([x, y])))
    }

    /// Whether it is the plane of the field.
    pub fn is_level(&self) -> bool {
        self.0.is_none()
    }

    /// Where a ray (unit vector) comes down; `None` where it does not.
    pub(in crate::geometry) fn met(&self, from: DVec3, toward: DVec3) -> Option<DVec3> {
        let reach = match &self.0 {
            Some(net) => net.enters_m(from, toward)?,
            None => -from.z / toward.z,
        };
        (reach.is_finite() && reach > 0.0).then(|| from + toward * reach)
    }

    /// A ring of the plan with a corner more wherever a side crosses from facet to facet.
    pub(in crate::geometry) fn bent(&self, ring: &[P2], bent: &mut Vec<P2>) {
        bent.clear();
        let (Some(net), Some(&last)) = (&self.0, ring.last()) else {
            bent.extend_from_slice(ring);
            return;
        };
        let mut from = last;
        for &to in ring {
            net.walk(net.at(from), &Sunward::FROM_ABOVE, [from, to], |place| bent.push(place));
            bent.push(to);
            from = to;
        }
    }

    /// What a lens may see of a box between planes through it, given by their normals inward:
    /// convex pieces, one of the plane of the field, else one a facet.
    pub(crate) fn pieces(
        &self,
        lens: DVec3,
        inward: &[DVec3],
        bounds: [P2; 2],
    ) -> Vec<Polygon<f64>> {
        let whole = corners(bounds);
        let mut spare = Vec::new();
        let Some(net) = &self.0 else {
            let piece = between_planes(&whole, (lens, inward), |_| 0.0, &mut spare);
            return polygon(&piece).into_iter().collect();
        };
        let piece = |facet: &Facet| {
            let start = on_facet(net, facet, &whole);
            polygon(&between_planes(&start, (lens, inward), |p| facet.height_m(p), &mut spare))
        };
        facing(net, lens, bounds).filter_map(piece).collect()
    }

    /// What a lens sees of a box in any of its frames: all of it that no hill hides.
    pub(crate) fn seen<const N: usize>(
        &self,
        lens: DVec3,
        frames: &[[DVec3; N]],
        bounds: [P2; 2],
    ) -> MultiPolygon<f64> {
        let Some(net) = &self.0 else {
            let pieces = frames.iter().flat_map(|inward| self.pieces(lens, inward, bounds));
            return unary_union(&pieces.collect::<Vec<_>>());
        };
        let whole = corners(bounds);
        let (mut pieces, mut spare) = (Vec::new(), Vec::new());
        for facet in facing(net, lens, bounds) {
            let start = on_facet(net, facet, &whole);
            let first = pieces.len();
            for inward in frames {
                let piece =
                    between_planes(&start, (lens, inward), |p| facet.height_m(p), &mut spare);
                if piece == start {
                    pieces.truncate(first);
                    pieces.push(piece);
                    break;
                }
                if piece.len() > 2 {
                    pieces.push(piece);
                }
            }
        }
        let window = Box2 { min: bounds[0], max: bounds[1] };
        // axes of the local frame, which are those of a field toward the east
        let grid = Grid::over(window.min, window.max, FieldFrame::new(Azimuth::from_degrees(90.0)));
        let mut buffers = OverlayBuffers::default();
        let all = joined(&pieces, (&grid, &window), &mut buffers);
        let hidden = joined(&Self::hidden(net, lens, bounds), (&grid, &window), &mut buffers);
        if hidden.is_empty() {
            return grid.polygons(&all);
        }
        buffers.clear().add_shapes(&all, Operand::First);
        buffers.add_shapes(&hidden, Operand::Second);
        grid.polygons(&buffers.shapes(OverlayRule::Difference))
    }

    /// What of a box hills hide from a lens, in pieces that may lie over each other.
    fn hidden(net: &ReliefNet, lens: DVec3, bounds: [P2; 2]) -> Vec<Vec<P2>> {
        let (whole, [min, max]) = (corners(bounds), bounds);
        // what can hide any of the box lies between it and the lens
        let with_lens = Box2 {
            min: [min[0].min(lens.x), min[1].min(lens.y)],
            max: [max[0].max(lens.x), max[1].max(lens.y)],
        };
        let mut away: Vec<Vec<u32>> = vec![Vec::new(); SECTORS];
        for index in net.in_box(&with_lens) {
            let facet = &net.facets[index as usize];
            if lens_over_m(facet, lens) < -EDGE_ON_M {
                let sectors = sectors(&net.triangle(facet), lens);
                sectors.for_each(|sector| away[sector % SECTORS].push(index));
            }
        }
        let mut hidden = Vec::new();
        if away.iter().all(Vec::is_empty) {
            return hidden;
        }
        let (mut found, mut kept) = (Vec::new(), Vec::new());
        for facet in facing(net, lens, bounds) {
            found.clear();
            for sector in sectors(&net.triangle(facet), lens) {
                found.extend_from_slice(&away[sector % SECTORS]);
            }
            found.sort_unstable();
            found.dedup();
            let start = on_facet(net, facet, &whole);
            for other in &found {
                let other = &net.facets[*other as usize];
                let [a, b, c] = other.corners.map(|corner| net.points[corner as usize] - lens);
                // their planes with the lens under the facet, inward
                let beside = [a.cross(b), b.cross(c), c.cross(a)];
                let mut ring = start.clone();
                let at = |p: P2| DVec3::new(p[0], p[1], facet.height_m(p)) - lens;
                for plane in beside {
                    clip(&ring, &mut kept, |p| plane.dot(at(p)), between);
                    std::mem::swap(&mut ring, &mut kept);
                }
                let beyond = |p: P2| facet.height_m(p) - other.height_m(p);
                clip(&ring, &mut kept, beyond, between);
                if kept.len() > 2 {
                    hidden.push(kept.clone());
                }
            }
        }
        hidden
    }
}

/// The corners of a box.
fn corners([min, max]: [P2; 2]) -> [P2; 4] {
    [max, [min[0], max[1]], min, [max[0], min[1]]]
}

/// Rings as shapes that do not overlap.
fn joined(
    rings: &[Vec<P2>],
    (grid, window): (&Grid, &Box2),
    buffers: &mut OverlayBuffers,
) -> IntShapes {
    let mut loops = Loops::default();
    let (mut ring, mut spare) = (Vec::new(), Vec::new());
    for (number, corners) in rings.iter().enumerate() {
        ring.clear();
        ring.extend_from_slice(corners);
        window.clip(&mut ring, &mut spare);
        if ring.len() > 2 {
            loops.push(grid, number as u32, &ring);
        }
    }
    join(buffers, &loops, grid, window).unwrap_or_else(|| {
        buffers.clear().add_loops(&loops, Operand::First);
        buffers.shapes(OverlayRule::Subject)
    })
}

/// Facets in a box that a lens lies over.
fn facing(net: &ReliefNet, lens: DVec3, [min, max]: [P2; 2]) -> impl Iterator<Item = &Facet> {
    let found = net.in_box(&Box2 { min, max }).into_iter();
    let facets = found.map(|index| &net.facets[index as usize]);
    facets.filter(move |facet| lens_over_m(facet, lens) > EDGE_ON_M)
}

/// The part of a ring, on ground of some height, between planes through a lens.
fn between_planes(
    ring: &[P2],
    (lens, inward): (DVec3, &[DVec3]),
    height_m: impl Fn(P2) -> f64,
    spare: &mut Vec<P2>,
) -> Vec<P2> {
    let mut ring = ring.to_vec();
    for normal in inward {
        let depth = |p: P2| normal.dot(DVec3::new(p[0], p[1], height_m(p)) - lens);
        clip(&ring, spare, depth, between);
        std::mem::swap(&mut ring, spare);
    }
    ring
}

/// How far over the plane of a facet a lens lies, metres; under it below 0.
fn lens_over_m(facet: &Facet, lens: DVec3) -> f64 {
    lens.z - facet.height_m([lens.x, lens.y])
}

/// The part of a ring on a facet and a hair around it.
fn on_facet(net: &ReliefNet, facet: &Facet, whole: &[P2]) -> Vec<P2> {
    let corners = net.triangle(facet);
    let (mut ring, mut kept) = (whole.to_vec(), Vec::new());
    for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        let wider = MARGIN_M * (b[0] - a[0]).hypot(b[1] - a[1]);
        clip(&ring, &mut kept, |p| cross(*a, *b, p) + wider, between);
        std::mem::swap(&mut ring, &mut kept);
    }
    ring
}

/// The sectors around a lens that a triangle lies in; all of them around one below it.
fn sectors(triangle: &[P2; 3], lens: DVec3) -> std::ops::RangeInclusive<usize> {
    let around = |p: &P2| (p[1] - lens.y).atan2(p[0] - lens.x);
    let first = around(&triangle[0]);
    let turn = |p: &P2| {
        let turn = around(p) - first;
        turn - std::f64::consts::TAU * (turn / std::f64::consts::TAU).round()
    };
    let turns = triangle.each_ref().map(turn);
    let (low, high) = turns.iter().fold((0.0_f64, 0.0_f64), |(l, h), t| (l.min(*t), h.max(*t)));
    let place = |angle: f64| {
        // a turn more, so that none is below 0
        let share = (first + angle) / std::f64::consts::TAU + 2.0;
        (share * SECTORS as f64) as usize
    };
    if high - low > 3.0 {
        return 0..=SECTORS - 1;
    }
    place(low).saturating_sub(1)..=place(high) + 1
}

fn polygon(ring: &[P2]) -> Option<Polygon<f64>> {
    let corners = ring.iter().map(|p| Coord { x: p[0], y: p[1] });
    (ring.len() > 2).then(|| Polygon::new(LineString(corners.collect()), Vec::new()))
}
