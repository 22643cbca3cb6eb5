//! Outlines of shadows joined on one plane.
//!
//! In: loops on the grid of the plane. Out: shapes on it that do not overlap, by what they let
//! through.

use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::i_shape::int::shape::IntShapes;

use super::OverlayScratch;
use crate::geometry::hull::Box2;
use crate::geometry::overlay::{Loops, Operand, OverlayBuffers, OverlayGrid};
use crate::geometry::translucent::{Cell, dimmed_cells};
use crate::geometry::union::join;

/// A plane that shadows are joined on.
#[derive(Debug, Clone)]
pub(super) struct CastPlane {
    pub grid: OverlayGrid,
    pub window: Box2,
    /// What shadows end at.
    pub ring: Vec<IntPoint>,
    /// The ring is the box itself, so that clipping to the box is clipping to it.
    is_box: bool,
    /// Lowest and highest ground in the box, over the level that heights count from.
    pub heights_m: (f64, f64),
}

/// Shadows that were joined.
pub(super) struct Joined {
    pub opaque: IntShapes,
    /// Where something dims, without the opaque part.
    pub cells: Vec<Cell>,
    /// All of them; `None` where it is the opaque part alone.
    pub shaded: Option<IntShapes>,
}

impl CastPlane {
    pub fn new(grid: OverlayGrid, window: Box2, ring: Vec<IntPoint>) -> Self {
        let is_box = fills_box(&grid, &ring, &window);
        Self { grid, window, ring, is_box, heights_m: (0.0, 0.0) }
    }

    /// One that shadows end at the box of.
    pub fn over(grid: OverlayGrid, window: Box2) -> Self {
        Self { grid, window, ring: Vec::new(), is_box: true, heights_m: (0.0, 0.0) }
    }

    /// What shadows end at, unless that is the box.
    pub fn outline(&self) -> Option<&[IntPoint]> {
        (!self.is_box).then_some(&self.ring)
    }

    /// Joins the loops of opaque bodies and of those that dim.
    pub fn join(&self, bench: &mut OverlayScratch) -> Joined {
        if bench.tints.iter().all(Loops::is_empty) {
            let opaque = self.opaque(bench);
            return Joined { opaque, cells: Vec::new(), shaded: None };
        }
        match self.single_tint(bench) {
            Some(joined) => joined,
            None => self.layered(bench),
        }
    }

    fn opaque(&self, bench: &mut OverlayScratch) -> IntShapes {
        let overlay_buffers = &mut bench.overlay_buffers;
        match join(overlay_buffers, &bench.opaque, &self.grid, &self.window) {
            Some(joined) => overlay_buffers.clear().add_shapes(&joined, Operand::First),
            None => overlay_buffers.clear().add_loops(&bench.opaque, Operand::First),
        };
        match self.outline() {
            None => overlay_buffers.shapes(OverlayRule::Subject),
            Some(outline) => {
                overlay_buffers.add(outline, Operand::Second).shapes(OverlayRule::Intersect)
            }
        }
    }

    /// The common case: one tint, nowhere over itself, on a field that is a box.
    /// One pass gives the opaque part, the tinted rest and both together.
    fn single_tint(&self, bench: &mut OverlayScratch) -> Option<Joined> {
        let mut used = bench.tints.iter().enumerate().filter(|(_, loops)| !loops.is_empty());
        let (index, loops) = used.next()?;
        let piled = loops.wound_area_m2(&self.grid) > loops.box_area_m2(&self.grid);
        if used.next().is_some() || self.outline().is_some() || piled {
            return None;
        }
        let overlay_buffers = bench.overlay_buffers.clear();
        overlay_buffers.add_loops(loops, Operand::First).add_loops(&bench.opaque, Operand::Second);
        let [opaque, tinted, any_tint, shaded] = overlay_buffers.several([
            OverlayRule::Clip,
            OverlayRule::Difference,
            OverlayRule::Subject,
            OverlayRule::Union,
        ]);
        let doubled_m2 = loops.wound_area_m2(&self.grid) - self.grid.area_m2(&any_tint);
        let cell = Cell { passes: bench.passes[index], shapes: tinted };
        (doubled_m2 <= self.rounding_m2(bench)).then(|| Joined {
            opaque,
            cells: vec![cell],
            shaded: Some(shaded),
        })
    }

    /// Several tints, or one over itself: the product at each place.
    fn layered(&self, bench: &mut OverlayScratch) -> Joined {
        let opaque = self.opaque(bench);
        let least_m2 = self.rounding_m2(bench);
        let groups = bench.passes.iter().copied().zip(&bench.tints);
        let (min, max) = (self.grid.snap(self.window.min), self.grid.snap(self.window.max));
        let frame = [min, IntPoint::new(max.x, min.y), max, IntPoint::new(min.x, max.y)];
        let field = self.outline().unwrap_or(&frame);
        let overlay_buffers = &mut bench.overlay_buffers;
        let cells =
            dimmed_cells(overlay_buffers, groups, &opaque, (&frame, field), &self.grid, least_m2);
        let shaded = together(overlay_buffers, &opaque, &cells);
        Joined { opaque, cells, shaded: Some(shaded) }
    }

    /// Area that rounding to the grid can make up, m2: each corner of a loop
    /// moves by at most a cell.
    fn rounding_m2(&self, bench: &OverlayScratch) -> f64 {
        let length: f64 = bench.tints.iter().map(|loops| loops.length_m(&self.grid)).sum();
        self.grid.cell_m() * length
    }
}

/// The opaque part and all cells.
pub(super) fn together(
    overlay_buffers: &mut OverlayBuffers,
    opaque: &IntShapes,
    cells: &[Cell],
) -> IntShapes {
    overlay_buffers.clear().add_shapes(opaque, Operand::First);
    for cell in cells {
        overlay_buffers.add_shapes(&cell.shapes, Operand::First);
    }
    overlay_buffers.shapes(OverlayRule::Subject)
}

/// Whether a ring on the grid is the box itself, to the grid cell.
fn fills_box(grid: &OverlayGrid, ring: &[IntPoint], window: &Box2) -> bool {
    let (min, max) = (grid.snap(window.min), grid.snap(window.max));
    let near = |a: i32, b: i32| (a - b).abs() <= 1;
    ring.len() == 4
        && ring.iter().all(|p| {
            (near(p.x, min.x) || near(p.x, max.x)) && (near(p.y, min.y) || near(p.y, max.y))
        })
}
