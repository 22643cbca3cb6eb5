//! The ground as lenses look at it.
//!
//! In: the relief of a venue, or none; a lens, planes through it; local frame, metres. Out: the
//! part of the ground in plan that lies between the planes and that no ground hides.
//!
//! A facet is seen from above its plane alone; what hills hide is left out by [`super::seen`].

use std::sync::Arc;

use geo::{Coord, LineString, MultiPolygon, Polygon, unary_union};
use glam::DVec3;

use super::Sunward;
use super::net::{Facet, ReliefNet};
use super::seen::seen;
use crate::base::plane::{P2, between, clip, cross};
use crate::geometry::hull::Box2;
use crate::venue::Venue;

/// Pieces reach so far beyond their facets, so that neighbours leave no slit, metres.
const MARGIN_M: f64 = 1e-6;
/// A lens so near to the plane of a facet sees it edge on, metres.
pub(super) const EDGE_ON_M: f64 = 1e-9;

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
        let (whole, window) = (corners(bounds), Box2 { min: bounds[0], max: bounds[1] });
        let mut spare = Vec::new();
        let Some(net) = &self.0 else {
            let piece = between_planes(&whole, (lens, inward), |_| 0.0, &mut spare);
            return polygon(&piece).into_iter().collect();
        };
        let piece = |index: u32| {
            let facet = &net.facets[index as usize];
            let start = on_facet(net, facet, &whole, MARGIN_M);
            polygon(&between_planes(&start, (lens, inward), |p| facet.height_m(p), &mut spare))
        };
        facing(net, lens, &window).filter_map(piece).collect()
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
        seen(net, lens, frames, &Box2 { min: bounds[0], max: bounds[1] })
    }
}

/// The corners of a box, anticlockwise.
pub(super) fn corners([min, max]: [P2; 2]) -> [P2; 4] {
    [max, [min[0], max[1]], min, [max[0], min[1]]]
}

/// Facets in a box that a lens lies over.
pub(super) fn facing(net: &ReliefNet, lens: DVec3, window: &Box2) -> impl Iterator<Item = u32> {
    let found = net.in_box(window).into_iter();
    found.filter(move |index| lens_over_m(&net.facets[*index as usize], lens) > EDGE_ON_M)
}

/// The part of a ring, on ground of some height, between planes through a lens.
pub(super) fn between_planes(
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
pub(super) fn lens_over_m(facet: &Facet, lens: DVec3) -> f64 {
    lens.z - facet.height_m([lens.x, lens.y])
}

/// The part of a ring on a facet and so far around it.
pub(super) fn on_facet(net: &ReliefNet, facet: &Facet, whole: &[P2], margin_m: f64) -> Vec<P2> {
    let corners = net.triangle(facet);
    let (mut ring, mut kept) = (whole.to_vec(), Vec::new());
    for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        let wider = margin_m * (b[0] - a[0]).hypot(b[1] - a[1]);
        clip(&ring, &mut kept, |p| cross(*a, *b, p) + wider, between);
        std::mem::swap(&mut ring, &mut kept);
    }
    ring
}

fn polygon(ring: &[P2]) -> Option<Polygon<f64>> {
    let corners = ring.iter().map(|p| Coord { x: p[0], y: p[1] });
    (ring.len() > 2).then(|| Polygon::new(LineString(corners.collect()), Vec::new()))
}
