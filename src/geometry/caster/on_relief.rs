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
use crate::base::plane::{P2, signed_area};
use crate::base::units::Transmittance;
use crate::geometry::hull::Box2;
use crate::geometry::overlay::{Loops, Operand, OverlayBuffers, OverlayGrid, without_hairs};
use crate::geometry::relief::folds::{Folds, ShadedFacet, Within};
use crate::geometry::relief::{MAX_STRETCH, Sunward, WayBack};
use crate::geometry::translucent::{Cell, dimmed_cells};
use crate::geometry::union::joined;
use crate::venue::GROUND_TO_M;

/// Facets that are worked out one by one are taken out of the level plane with so many cells
/// around them, so that no outline that is left runs along one.
const CLEAR_CELLS: f64 = 3.0;
/// Cells that rounding moves a corner by, with some to spare.
const ROUNDING_CELLS: f64 = 2.0;
/// What is narrower than so many margins is what they leave beside each other.
const HAIR_MARGINS: f64 = 2.0;
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
        let level = CastPlane::over(OverlayGrid::over(reach.min, reach.max, self.frame), reach);
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
            clearance_m: CLEAR_CELLS * level.grid.cell_m(),
            passes: &passes,
        };
        let folds = Folds::of(&relief.net, &relief.faces, &along, &within);
        let buffers = &mut bench.overlay_buffers;
        if !folds.taken.is_empty() {
            let wide = with_room(&level.window);
            let mut taken = Self::loops(&folds.open_borders, &level.grid, &wide);
            taken.push(&level.grid, 0, &corners(&wide));
            let mut take_out = |shapes: &mut IntShapes| {
                buffers.clear().add_shapes(shapes, Operand::First);
                *shapes =
                    buffers.add_loops(&taken, Operand::Second).shapes(OverlayRule::Difference);
            };
            take_out(&mut joined.opaque);
            joined.cells.iter_mut().for_each(|cell| take_out(&mut cell.shapes));
        }
        // the box is where shadows end, and nothing but rings lies in it
        let is_plain = plan.outline().is_none() && folds.are_none() && joined.cells.len() <= 1;
        let wide = if is_plain { plan.window } else { with_room(&plan.window) };
        let grids = (&level.grid, &plan.grid);
        let mut back = WayBack::new((&relief.net, along), grids, wide);
        back.leave_out(&folds.taken);
        let opaque = back.rings(&joined.opaque);
        let cells = joined.cells.into_iter().map(|cell| {
            let rings = back.rings(&cell.shapes);
            (cell, rings)
        });
        let cells: Vec<(Cell, Vec<IntContour>)> = cells.collect();
        let mut joined = match is_plain {
            true => plain(opaque, cells, buffers),
            false => self.in_plan(opaque, cells, (folds, &passes), (buffers, wide)),
        };
        let dimmed = joined.cells.iter_mut().map(|cell| &mut cell.shapes);
        let all = dimmed.chain([&mut joined.opaque]).chain(&mut joined.shaded);
        let width = HAIR_MARGINS * margin_m / plan.grid.cell_m();
        all.for_each(|shapes| without_hairs(shapes, width));
        joined
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
        let dark = self.dark(&folds, (buffers, &wide));
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
        if folds.shaded.iter().any(|facet| !facet.dimmed.is_empty()) {
            self.add_facets(&mut dimmed, (folds.shaded, passes), &opaque, (buffers, &wide));
        }
        let shaded = (!dimmed.is_empty()).then(|| together(buffers, &opaque, &dimmed));
        Joined { opaque, cells: dimmed, shaded }
    }

    /// What is dark in plan, as far as it lies in a box.
    fn dark(&self, folds: &Folds, (buffers, wide): (&mut OverlayBuffers, &Box2)) -> IntShapes {
        let grid = &self.plane.grid;
        let rings = |loops: Loops| loops.iter().map(<[IntPoint]>::to_vec).collect::<Vec<_>>();
        // holes among them
        let whole = rings(Self::loops(&folds.dark_borders, grid, wide));
        let mut parts: Vec<IntShapes> = Vec::new();
        if !whole.is_empty() {
            parts.push(vec![whole]);
        }
        for facet in &folds.shaded {
            // what ends at lines that are the same but for rounding, panels beside each other
            // or facets that are laid as needles, one overlay of dozens takes many passes to
            // tell apart; a hole goes with what it is in
            let has_holes = facet.ground.iter().any(|ring| signed_area(ring) < 0.0);
            let (whole, single): (&[Vec<P2>], &[Vec<P2>]) =
                if has_holes { (&facet.ground, &[]) } else { (&[], &facet.ground) };
            let single = [single, &facet.bodies].map(|each| rings(Self::loops(each, grid, wide)));
            let single = single.into_iter().flatten().map(|ring| vec![ring]);
            let whole = rings(Self::loops(whole, grid, wide));
            let things = std::iter::once(whole).chain(single);
            let things = things.filter(|rings| !rings.is_empty()).map(|rings| vec![rings]);
            let part = joined(buffers, things.collect());
            if part.is_empty() {
                continue;
            }
            let outline = Self::loops(std::slice::from_ref(&facet.outline), grid, wide);
            buffers.clear().add_shapes(&part, Operand::First);
            let part = buffers.add_loops(&outline, Operand::Second).shapes(OverlayRule::Intersect);
            parts.push(part);
        }
        joined(buffers, parts)
    }

    /// Adds what is dimmed on facets that are worked out one by one: on each its layers are
    /// counted, then equal ones are joined over the margins, so that none is left between
    /// facets, and what lies in one is in no other.
    fn add_facets(
        &self,
        cells: &mut Vec<Cell>,
        (facets, passes): (Vec<ShadedFacet>, &[Transmittance]),
        opaque: &IntShapes,
        (buffers, wide): (&mut OverlayBuffers, &Box2),
    ) {
        let grid = &self.plane.grid;
        let frame = corners(wide).map(|p| grid.snap(p));
        for ShadedFacet { outline, dimmed, .. } in facets {
            if dimmed.is_empty() {
                continue;
            }
            let mut groups: Vec<Vec<Vec<P2>>> = vec![Vec::new(); passes.len()];
            dimmed.into_iter().for_each(|(tint, ring)| groups[tint].push(ring));
            let groups: Vec<Loops> =
                groups.iter().map(|rings| Self::loops(rings, grid, wide)).collect();
            let outline = Self::loops(&[outline], grid, wide);
            let least_m2 =
                grid.cell_m() * groups.iter().map(|loops| loops.length_m(grid)).sum::<f64>();
            let bounds = (&frame[..], outline.get(0));
            let groups = passes.iter().copied().zip(&groups);
            for cell in dimmed_cells(buffers, groups, &Vec::new(), bounds, grid, least_m2) {
                let same = |other: &&mut Cell| is_same(other.passes, cell.passes);
                match cells.iter_mut().find(same) {
                    Some(other) => other.shapes.extend(cell.shapes),
                    None => cells.push(cell),
                }
            }
        }
        for i in 0..cells.len() {
            let (before, rest) = cells.split_at_mut(i);
            buffers.clear().add_shapes(&rest[0].shapes, Operand::First);
            let mut shapes =
                buffers.add(&self.plane.ring, Operand::Second).shapes(OverlayRule::Intersect);
            buffers.clear().add_shapes(&shapes, Operand::First);
            buffers.add_shapes(opaque, Operand::Second);
            before.iter().for_each(|cell| {
                buffers.add_shapes(&cell.shapes, Operand::Second);
            });
            shapes = buffers.shapes(OverlayRule::Difference);
            rest[0].shapes = shapes;
        }
    }

    /// Rings on a grid, each a thing of its own, as far as they lie in a box.
    fn loops(rings: &[Vec<P2>], grid: &OverlayGrid, wide: &Box2) -> Loops {
        let (mut loops, mut ring, mut spare) = (Loops::default(), Vec::new(), Vec::new());
        for (number, corners) in rings.iter().enumerate() {
            ring.clone_from(corners);
            wide.clip(&mut ring, &mut spare);
            if ring.len() > 2 {
                loops.push(grid, number as u32, &ring);
            }
        }
        loops
    }
}

/// Joins rings that end at the box of the plan, of one tint at most: one pass gives the opaque
/// part, the dimmed rest and both together.
fn plain(
    opaque: Vec<IntContour>,
    cells: Vec<(Cell, Vec<IntContour>)>,
    buffers: &mut OverlayBuffers,
) -> Joined {
    buffers.clear().add_shapes(&[opaque], Operand::First);
    let Some((cell, rings)) = cells.into_iter().next() else {
        let opaque = buffers.shapes(OverlayRule::Subject);
        return Joined { opaque, cells: Vec::new(), shaded: None };
    };
    buffers.add_shapes(&[rings], Operand::Second);
    let [opaque, shapes, shaded] =
        buffers.several([OverlayRule::Subject, OverlayRule::InverseDifference, OverlayRule::Union]);
    Joined { opaque, cells: vec![Cell { shapes, ..cell }], shaded: Some(shaded) }
}

/// Whether two let the same share through, but for the order of products.
fn is_same(a: Transmittance, b: Transmittance) -> bool {
    (a.share() - b.share()).abs() <= 1e-12 * a.share()
}

fn with_room(window: &Box2) -> Box2 {
    Box2 { min: window.min.map(|v| v - BEYOND_M), max: window.max.map(|v| v + BEYOND_M) }
}

/// Anticlockwise.
fn corners(Box2 { min, max }: &Box2) -> [P2; 4] {
    [*min, [max[0], min[1]], *max, [min[0], max[1]]]
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
