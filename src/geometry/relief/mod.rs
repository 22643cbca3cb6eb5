//! Shadows on ground that is not flat.
//!
//! In: the ground as facets, what stands on it, a direction toward the sun; field axes, metres.
//! Out: shadow polygons in plan, exact for the facets.
//!
//! Method: seen along the sun, ground and bodies are laid on one level plane through the
//! middle of the heights: a point goes to where its shadow would fall there. Outlines of
//! bodies are joined on that plane as on any other. Where each facet faces the sun, every
//! place of the plane is one place of the ground, so the joined outlines go back to the
//! ground corner by corner, with one more corner where they cross from one facet to the next
//! (`net`). What lies between them needs no look, so a shadow costs what its edge crosses.
//! Where a facet is turned away from the sun the ground lies over itself on that plane: such
//! facets, those that they lie over or under, and those so near to the beam that rounding on the
//! plane would grow on the ground, are taken out of it and worked out one by one (`folds`).
//! What is left of the plane has one place of the ground each.

mod bins;
pub(super) mod cut;
pub(super) mod folds;
mod index;
pub(super) mod net;
mod seen;
pub(super) mod terrain;
mod walk;

use glam::DVec3;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::i_shape::int::shape::{IntContour, IntShapes};

use crate::base::plane::P2;
use crate::geometry::hull::{Box2, Outside};
use crate::geometry::overlay::OverlayGrid;
use net::{Facet, ReliefNet};
use walk::End;

/// A facet is taken back from the level plane where rounding there grows by no more than this.
pub(super) const MAX_STRETCH: f64 = 4.0;

/// A place is laid on the level plane, height 0, along a direction: how far along and across
/// a shadow goes for each metre of height.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sunward(pub P2);

impl Sunward {
    /// Straight down.
    pub const FROM_ABOVE: Self = Self([0.0; 2]);

    pub fn of(&self, p: DVec3) -> P2 {
        [p.x - p.z * self.0[0], p.y - p.z * self.0[1]]
    }

    /// How a facet is turned: its area on the plane over that in plan; over 0 where it faces
    /// the sun.
    pub fn turned(&self, facet: &Facet) -> f64 {
        let slope = facet.slope();
        1.0 - slope[0] * self.0[0] - slope[1] * self.0[1]
    }

    /// How far the place of a facet moves for each metre that it moves on the plane, over 1;
    /// none where the facet is not turned to the sun.
    pub fn stretch(&self, facet: &Facet) -> Option<f64> {
        let ([run, aside], [x, y]) = (self.0, facet.slope());
        let turned = self.turned(facet);
        (turned > 0.0).then(|| run.hypot(aside) * x.hypot(y) / turned)
    }

    /// Height of the place of a facet (or its plane) that is laid on a point.
    pub fn height_m(&self, facet: &Facet, q: P2) -> f64 {
        facet.height_m(q) / self.turned(facet)
    }

    /// That place in plan.
    pub fn back(&self, facet: &Facet, q: P2) -> P2 {
        let height = self.height_m(facet, q);
        [q[0] + height * self.0[0], q[1] + height * self.0[1]]
    }

    /// The box that ground of some heights in a box of the plan is laid in.
    pub fn reach(&self, window: &Box2, (lowest_m, highest_m): (f64, f64)) -> Box2 {
        let mut reach = *window;
        for axis in [0, 1] {
            let ends = [lowest_m, highest_m].map(|height| -height * self.0[axis]);
            reach.min[axis] += ends[0].min(ends[1]);
            reach.max[axis] += ends[0].max(ends[1]);
        }
        reach
    }
}

/// Takes rings that lie on the level plane back to the ground, all of whose facets there face
/// the sun.
pub(super) struct WayBack<'a> {
    pub net: &'a ReliefNet,
    pub along: Sunward,
    /// Of the level plane, and of the plan.
    pub from: &'a OverlayGrid,
    pub to: &'a OverlayGrid,
    /// What is wanted of the plan.
    pub window: Box2,
    /// A place that ground is laid on, and its facet.
    known: (u32, P2),
    /// Of each facet, whether it is left out; empty where none is.
    left_out: Vec<bool>,
    ring: Vec<P2>,
    spare: Vec<P2>,
}

impl<'a> WayBack<'a> {
    /// To what is wanted of the plan: a box that rings may end at.
    pub fn new(
        (net, along): (&'a ReliefNet, Sunward),
        (from, to): (&'a OverlayGrid, &'a OverlayGrid),
        window: Box2,
    ) -> Self {
        let middle = [0, 1].map(|i| 0.5 * (window.min[i] + window.max[i]));
        let (ring, spare) = (Vec::new(), Vec::new());
        let facet = net.at(middle);
        let height = net.facets[facet as usize].height_m(middle);
        let known = (facet, along.of(DVec3::new(middle[0], middle[1], height)));
        Self { net, along, from, to, window, known, left_out: Vec::new(), ring, spare }
    }

    /// Facets that no ring lies on: where the ground lies over itself.
    pub fn leave_out(&mut self, facets: &[u32]) {
        if !facets.is_empty() {
            self.left_out = vec![false; self.net.facets.len()];
            facets.iter().for_each(|facet| self.left_out[*facet as usize] = true);
        }
    }

    /// Shapes on the grid of the plan, holes among them; sides may lie double along the box.
    pub fn rings(&mut self, shapes: &IntShapes) -> Vec<IntContour> {
        shapes.iter().flatten().filter_map(|ring| self.ring(ring)).collect()
    }

    fn ring(&mut self, ring: &[IntPoint]) -> Option<IntContour> {
        let last = *ring.last()?;
        let mut from = self.from.axes(last);
        let mut facet = self.find(from);
        let mut places = std::mem::take(&mut self.ring);
        let mut outline = Outside::of(&self.window, &mut places);
        for corner in ring {
            let to = self.from.axes(*corner);
            facet = match self.net.walk(facet, &self.along, [from, to], |p| outline.push(p)) {
                End::There(facet) if self.is_open(facet) => facet,
                _ => self.net.nearest(&self.along, to, |facet| self.is_open(facet)),
            };
            outline.push(self.along.back(&self.net.facets[facet as usize], to));
            from = to;
        }
        self.known = (facet, from);
        let is_there = outline.clip(&mut self.spare);
        let snapped = is_there.then(|| places.iter().map(|p| self.to.snap(*p)).collect());
        self.ring = places;
        snapped
    }

    fn is_open(&self, facet: u32) -> bool {
        !self.net.facets[facet as usize].is_line
            && self.left_out.get(facet as usize).is_none_or(|left_out| !left_out)
    }

    /// The facet that is laid on a place.
    fn find(&self, q: P2) -> u32 {
        let is_open = |facet: u32| self.is_open(facet);
        if self.left_out.is_empty() {
            let (near, known) = self.known;
            if let End::There(facet) = self.net.walk(near, &self.along, [known, q], |_| {})
                && is_open(facet)
                && self.net.outside_m(facet, &self.along, q) <= self.from.cell_m()
            {
                return facet;
            }
        }
        self.net.nearest(&self.along, q, is_open)
    }
}
