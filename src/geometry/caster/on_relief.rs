//! Shadows brought to ground that is not flat.
//!
//! In: bodies and ground, the sun. Out: shapes on the grid of the plan, exact for the facets
//! of the ground to some cells of the grid. How: [`crate::geometry::relief`].

use glam::DVec3;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::i_shape::int::shape::{IntContour, IntShapes};

use super::bodies::BodiesOnRelief;
use super::joined::{CastPlane, Joined, together};
use super::{Caster, OverlayScratch};
use crate::base::plane::P2;
use crate::base::units::Transmittance;
use crate::geometry::hull::{Box2, convex_hull};
use crate::geometry::overlay::{Grid, Loops, Operand, OverlayBuffers};
use crate::geometry::relief::folds::{Folds, Within};
use crate::geometry::relief::{MAX_STRETCH, Sunward, WayBack};
use crate::geometry::translucent::{Cell, dimmed_cells};
use crate::geometry::union::join;
use crate::venue::GROUND_TO_M;

/// Facets that are worked out one by one are taken out of the level plane with so many cells
/// around them, so that no outline that is left runs along one.
const CLEAR_CELLS: f64 = 3.0;
/// Cells that rounding moves a corner by, with some to spare.
const ROUNDING_CELLS: f64 = 2.0;
/// The sun is taken to stand no lower than lays any ground this share of all ground away: for
/// hills of 30 m that is 0.007 degree.
const MAX_LAID_M: f64 = 0.25 * GROUND_TO_M;
/// Rings end so far outside of what is wanted that no side of theirs lies on its border,
/// metres.
const BEYOND_M: f64 = 1.0;

impl BodiesOnRelief {
    /// The box of the level plane that the ground in a box of the plan is laid in.
    pub fn reach(&self, plan: &CastPlane, run: P2) -> Box2 {
        Sunward(run).reach(&plan.window, plan.heights_m)
    }
}

impl Caster {
    pub(super) fn on_relief(
        &self,
        relief: &BodiesOnRelief,
        way: (DVec3, P2),
        bench: &mut OverlayScratch,
    ) -> Joined {
        let plan = &self.plane;
        let way = no_lower(way, relief.net.farthest_off_m());
        let (toward_sun, run) = way;
        let along = Sunward(run);
        let reach = relief.reach(plan, run);
        let level = CastPlane::over(Grid::over(reach.min, reach.max, self.frame), reach);
        self.trace(way, &level, bench);
        let mut joined = level.join(bench);
        let passes = bench.passes.clone();
        // in plan a corner is off by what it is off on the level plane, and what that grows to
        let cells_on_level = 1.5 * CLEAR_CELLS + ROUNDING_CELLS;
        let margin_m = (1.0 + MAX_STRETCH) * cells_on_level * level.grid.cell_m()
            + ROUNDING_CELLS * plan.grid.cell_m();
        let within = Within {
            window: &plan.window,
            reach: &reach,
            toward_sun,
            lift_m: self.height_m.max(0.0),
            margin_m,
            passes: &passes,
        };
        let folds = Folds::of(&relief.net, &relief.faces, &along, &within);
        let buffers = &mut bench.overlay_buffers;
        if !folds.taken.is_empty() {
            let taken = folds.taken.iter().map(|(_, ring)| with_clearance(ring, &level));
            let taken: Vec<Vec<IntPoint>> = taken.collect();
            let mut take_out = |shapes: &mut IntShapes| {
                buffers.clear().add_shapes(shapes, Operand::First);
                taken.iter().filter(|ring| ring.len() > 2).for_each(|ring| {
                    buffers.add(ring, Operand::Second);
                });
                *shapes = buffers.shapes(OverlayRule::Difference);
            };
            take_out(&mut joined.opaque);
            joined.cells.iter_mut().for_each(|cell| take_out(&mut cell.shapes));
        }
        let wide = Box2 {
            min: plan.window.min.map(|v| v - BEYOND_M),
            max: plan.window.max.map(|v| v + BEYOND_M),
        };
        let grids = (&level.grid, &plan.grid);
        let mut back = WayBack::new((&relief.net, along), grids, wide);
        back.leave_out(folds.taken.iter().map(|(facet, _)| *facet));
        let opaque = back.rings(&joined.opaque);
        let cells: Vec<(Cell, Vec<IntContour>)> = joined
            .cells
            .into_iter()
            .map(|cell| {
                let rings = back.rings(&cell.shapes);
                (cell, rings)
            })
            .collect();
        self.in_plan(opaque, cells, (folds, &passes), (buffers, wide))
    }

    /// Joins what lies in plan and ends it at the outline.
    fn in_plan(
        &self,
        opaque: Vec<IntContour>,
        cells: Vec<(Cell, Vec<IntContour>)>,
        (folds, passes): (Folds, &[Transmittance]),
        (buffers, wide): (&mut OverlayBuffers, Box2),
    ) -> Joined {
        let plan = &self.plane;
        let dark = self.joined(folds.dark, (buffers, &wide));
        buffers.clear().add_shapes(&[opaque], Operand::First);
        buffers.add_shapes(&dark, Operand::First).add(&plan.ring, Operand::Second);
        let opaque = buffers.shapes(OverlayRule::Intersect);
        let mut dimmed: Vec<Cell> = Vec::new();
        for (cell, rings) in cells {
            buffers.clear().add_shapes(&[rings], Operand::First).add(&plan.ring, Operand::Second);
            let mut shapes = buffers.shapes(OverlayRule::Intersect);
            if !dark.is_empty() {
                buffers.clear().add_shapes(&shapes, Operand::First);
                shapes =
                    buffers.add_shapes(&opaque, Operand::Second).shapes(OverlayRule::Difference);
            }
            dimmed.push(Cell { shapes, ..cell });
        }
        if !folds.dimmed.is_empty() {
            dimmed.extend(self.dimmed_by_facets((folds.dimmed, passes), &opaque, buffers, &wide));
        }
        let shaded = (!dimmed.is_empty()).then(|| {
            let veil = self.joined(folds.veil, (buffers, &wide));
            let shapes = together(buffers, &opaque, &dimmed);
            if veil.is_empty() {
                return shapes;
            }
            buffers.clear().add_shapes(&shapes, Operand::First);
            buffers.add_shapes(&veil, Operand::First).add(&plan.ring, Operand::Second);
            buffers.shapes(OverlayRule::Intersect)
        });
        Joined { opaque, cells: dimmed, shaded }
    }

    /// Rings of the plan as shapes that do not overlap, as far as they lie in a box.
    fn joined(
        &self,
        rings: Vec<Vec<P2>>,
        (buffers, wide): (&mut OverlayBuffers, &Box2),
    ) -> IntShapes {
        let loops = self.loops(rings, wide);
        join(buffers, &loops, &self.plane.grid, wide).unwrap_or_else(|| {
            buffers.clear().add_loops(&loops, Operand::First);
            buffers.shapes(OverlayRule::Subject)
        })
    }

    /// What is dimmed on facets that are worked out one by one.
    fn dimmed_by_facets(
        &self,
        (rings, passes): (Vec<(usize, Vec<P2>)>, &[Transmittance]),
        opaque: &IntShapes,
        buffers: &mut OverlayBuffers,
        wide: &Box2,
    ) -> Vec<Cell> {
        let grid = &self.plane.grid;
        let mut groups: Vec<Vec<Vec<P2>>> = vec![Vec::new(); passes.len()];
        rings.into_iter().for_each(|(tint, ring)| groups[tint].push(ring));
        let groups: Vec<Loops> = groups.into_iter().map(|rings| self.loops(rings, wide)).collect();
        let corners = [wide.min, [wide.max[0], wide.min[1]], wide.max, [wide.min[0], wide.max[1]]];
        let frame = corners.map(|p| grid.snap(p));
        let least_m2 = grid.cell_m() * groups.iter().map(|loops| loops.length_m(grid)).sum::<f64>();
        let bounds = (&frame[..], &self.plane.ring[..]);
        dimmed_cells(buffers, passes.iter().copied().zip(&groups), opaque, bounds, grid, least_m2)
    }

    /// Rings of the plan, each a thing of its own, as far as they lie in a box.
    fn loops(&self, rings: Vec<Vec<P2>>, wide: &Box2) -> Loops {
        let (mut loops, mut spare) = (Loops::default(), Vec::new());
        for (number, mut ring) in rings.into_iter().enumerate() {
            wide.clip(&mut ring, &mut spare);
            if ring.len() > 2 {
                loops.push(&self.plane.grid, number as u32, &ring);
            }
        }
        loops
    }
}

/// A sun that lays no ground farther than [`MAX_LAID_M`] away.
fn no_lower((toward_sun, run): (DVec3, P2), off_m: f64) -> (DVec3, P2) {
    let laid_m = run[0].hypot(run[1]) * off_m;
    if laid_m <= MAX_LAID_M {
        return (toward_sun, run);
    }
    let run = run.map(|run| run * MAX_LAID_M / laid_m);
    (DVec3::new(run[0], run[1], 1.0).normalize(), run)
}

/// A triangle of the level plane and some cells around it, as far as it lies on the plane.
fn with_clearance(triangle: &[P2; 3], level: &CastPlane) -> Vec<IntPoint> {
    let by = CLEAR_CELLS * level.grid.cell_m();
    let ways = [[-by, -by], [by, -by], [by, by], [-by, by]];
    let around = |q: &P2| ways.map(|way| [q[0] + way[0], q[1] + way[1]]);
    let mut corners: Vec<P2> = triangle.iter().flat_map(around).collect();
    let mut hull = Vec::with_capacity(corners.len());
    convex_hull(&mut corners, &mut hull);
    let Box2 { min, max } = level.window;
    let wide = Box2 { min: min.map(|v| v - by), max: max.map(|v| v + by) };
    wide.clip(&mut hull, &mut corners);
    hull.into_iter().map(|q| level.grid.snap(q)).collect()
}
