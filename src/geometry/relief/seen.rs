//! What a lens sees of ground that is not flat.
//!
//! In: the facets, a lens, frames as planes through it; local frame, metres. Out: the part of
//! the ground in plan that any frame shows and that no ground hides.
//!
//! What a ray meets after it went through a hill comes after a facet that it left the hill by,
//! one that is turned away from the lens: so what a facet turned away hides of another is what
//! lies between three planes through the lens and its sides, and beyond its own plane. Each is a
//! half-plane of the other facet.
//!
//! Facets that one frame shows whole are followed along their common border. Of each other one
//! the frames are joined on its plane, wider than the facet, and cut at its sides at last:
//! frames that end at the same side would lie along each other there to some cells of the grid,
//! which an overlay takes many passes to tell apart.

use geo::MultiPolygon;
use glam::{DVec2, DVec3};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::i_shape::int::shape::IntShapes;

use super::net::{Facet, NONE, ReliefNet};
use super::terrain::{EDGE_ON_M, between_planes, corners, facing, lens_over_m, on_facet};
use crate::base::frame::FieldFrame;
use crate::base::plane::{P2, between, clip};
use crate::base::units::Azimuth;
use crate::geometry::hull::Box2;
use crate::geometry::overlay::{Operand, OverlayBuffers, OverlayGrid, without_hairs};
use crate::geometry::union::joined;

/// Pieces reach so many cells of the grid beyond their facets, so that neighbours leave no slit.
const MARGIN_CELLS: f64 = 4.0;
/// Frames are joined so far beyond a facet, metres.
const BEYOND_M: f64 = 1.0;
/// Sectors around a lens that facets are looked up by.
const SECTORS: usize = 720;

/// What a lens sees of a box in any of its frames: all of it that no hill hides.
pub(super) fn seen<const N: usize>(
    net: &ReliefNet,
    lens: DVec3,
    frames: &[[DVec3; N]],
    window: &Box2,
) -> MultiPolygon<f64> {
    // axes of the local frame, which are those of a field toward the east
    let grid =
        OverlayGrid::over(window.min, window.max, FieldFrame::new(Azimuth::from_degrees(90.0)));
    let hills = Hills::around(net, lens, (window, MARGIN_CELLS * grid.cell_m()));
    let box_corners = corners([window.min, window.max]);
    let (mut whole, mut parts) = (Vec::new(), vec![IntShapes::new()]);
    let (mut buffers, mut spare) = (OverlayBuffers::default(), Vec::new());
    for index in facing(net, lens, window) {
        let facet = &net.facets[index as usize];
        let start = on_facet(net, facet, &box_corners, hills.margin_m);
        let Some(around) = wider(&start) else { continue };
        let hidden = hills.hidden(index, &box_corners, [&start, &around]);
        let mut shown = |ring: &[P2], inward| {
            between_planes(ring, (lens, inward), |p| facet.height_m(p), &mut spare)
        };
        if hidden.is_empty() && frames.iter().any(|inward| shown(&start, inward) == start) {
            match net.triangle(facet).iter().all(|p| window.beyond(*p) == 0) {
                true => whole.push(index),
                false => parts.push(vec![vec![snapped(&grid, &start)]]),
            }
            continue;
        }
        let pieces = frames.iter().map(|inward| shown(&around, inward));
        buffers.clear().add(&snapped(&grid, &start), Operand::Second);
        pieces.filter(|piece| piece.len() > 2).for_each(|piece| {
            buffers.add(&snapped(&grid, &piece), Operand::First);
        });
        let mut part = buffers.shapes(OverlayRule::Intersect);
        if !hidden.is_empty() {
            buffers.clear().add_shapes(&part, Operand::First);
            hidden.iter().for_each(|ring| {
                buffers.add(&snapped(&grid, ring), Operand::Second);
            });
            part = buffers.shapes(OverlayRule::Difference);
        }
        parts.push(part);
    }
    let border = |ring: &Vec<u32>| ring.iter().map(|c| grid.snap(net.plan(*c))).collect();
    parts[0] = vec![net.borders(&whole).iter().map(border).collect()];
    let mut shapes = joined(&mut buffers, parts);
    // what margins leave at the corners of facets
    without_hairs(&mut shapes, 2.0 * MARGIN_CELLS);
    grid.polygons(&shapes)
}

/// The facets turned away from a lens, by sector around it.
struct Hills<'a> {
    net: &'a ReliefNet,
    lens: DVec3,
    away: Vec<Vec<u32>>,
    margin_m: f64,
}

impl<'a> Hills<'a> {
    /// Those that can hide any of a box.
    fn around(net: &'a ReliefNet, lens: DVec3, (window, margin_m): (&Box2, f64)) -> Self {
        // they lie between it and the lens
        let with_lens = Box2 {
            min: [window.min[0].min(lens.x), window.min[1].min(lens.y)],
            max: [window.max[0].max(lens.x), window.max[1].max(lens.y)],
        };
        let mut hills = Self { net, lens, away: vec![Vec::new(); SECTORS], margin_m };
        for index in net.in_box(&with_lens) {
            let facet = &net.facets[index as usize];
            if hills.is_away(facet) {
                let sectors = sectors(&net.triangle(facet), lens);
                sectors.for_each(|sector| hills.away[sector % SECTORS].push(index));
            }
        }
        hills
    }

    fn is_away(&self, facet: &Facet) -> bool {
        lens_over_m(facet, self.lens) < -EDGE_ON_M
    }

    /// What they hide of a facet, which has a margin and room around it, in pieces that may lie
    /// over each other.
    fn hidden(&self, index: u32, whole: &[P2], [start, around]: [&[P2]; 2]) -> Vec<Vec<P2>> {
        let facet = &self.net.facets[index as usize];
        let mut found: Vec<u32> = sectors(&self.net.triangle(facet), self.lens)
            .flat_map(|sector| &self.away[sector % SECTORS])
            .copied()
            .collect();
        found.sort_unstable();
        found.dedup();
        if found.is_empty() {
            return Vec::new();
        }
        // what only touches the facet hides nothing of it
        let inner = on_facet(self.net, facet, whole, -self.margin_m);
        let reach_m = 2.0 * self.margin_m;
        if !found.iter().any(|other| self.behind(*other, (index, &inner), 0.0).len() > 2) {
            return Vec::new();
        }
        found.retain(|other| self.behind(*other, (index, start), reach_m).len() > 2);
        found.iter().map(|other| self.behind(*other, (index, around), reach_m)).collect()
    }

    /// What of a ring on a facet lies behind another that is turned away; a little more where
    /// that goes on in a neighbour, or rises from the facet itself, so that no slit is left.
    fn behind(&self, other: u32, (index, ring): (u32, &[P2]), reach_m: f64) -> Vec<P2> {
        let [facet, other] = [index, other].map(|index| &self.net.facets[index as usize]);
        let to = other.corners.map(|corner| self.net.points[corner as usize] - self.lens);
        let at = |p: P2| DVec3::new(p[0], p[1], facet.height_m(p)) - self.lens;
        let (mut ring, mut kept) = (ring.to_vec(), Vec::new());
        for side in [0, 1, 2] {
            // the plane with the lens, under the facet, inward
            let plane = to[side].cross(to[(side + 1) % 3]);
            let beside = other.beside[side];
            let goes_on = beside != NONE && self.is_away(&self.net.facets[beside as usize]);
            let wider = if goes_on || beside == index { reach_m * plane.length() } else { 0.0 };
            clip(&ring, &mut kept, |p| plane.dot(at(p)) + wider, between);
            std::mem::swap(&mut ring, &mut kept);
        }
        let [own, others] = [facet, other].map(|facet| DVec2::from(facet.slope()));
        let wider = reach_m * own.distance(others);
        clip(&ring, &mut kept, |p| facet.height_m(p) - other.height_m(p) + wider, between);
        kept
    }
}

/// A box around a ring, with room.
fn wider(ring: &[P2]) -> Option<[P2; 4]> {
    let Box2 { min, max } = Box2::around(ring.iter().copied())?;
    Some(corners([min.map(|v| v - BEYOND_M), max.map(|v| v + BEYOND_M)]))
}

fn snapped(grid: &OverlayGrid, ring: &[P2]) -> Vec<IntPoint> {
    ring.iter().map(|p| grid.snap(*p)).collect()
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
