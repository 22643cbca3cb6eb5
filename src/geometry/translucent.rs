//! Where light passes through several translucent things.
//!
//! In: shadows of translucent bodies on the grid, grouped by transmittance, and
//! the opaque shadow. Out: cells that do not overlap, each with the product of
//! the transmittances on the way.
//!
//! Within a group the regions under at least 1, 2, 3 ... bodies are found by
//! counting windings: `k - 1` clockwise copies of the field's box are added, and
//! what is still positive lies under at least `k`.

use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::i_shape::int::shape::IntShapes;

use super::overlay::{Desk, Grid, Operand};
use crate::units::Transmittance;

/// More translucent layers than this over one place pass no light worth telling.
const MOST_LAYERS: usize = 64;

/// A region with one transmittance.
pub(super) struct Cell {
    pub passes: Transmittance,
    pub shapes: IntShapes,
}

/// Cells outside `opaque`. `frame` is the field's box, anticlockwise; regions
/// under `least_m2` are rounding and are dropped.
pub(super) fn dimmed_cells<'a>(
    desk: &mut Desk,
    groups: impl Iterator<Item = (Transmittance, Vec<&'a [IntPoint]>)>,
    opaque: &IntShapes,
    frame: &[IntPoint; 4],
    grid: &Grid,
    least_m2: f64,
) -> Vec<Cell> {
    let mut cells: Vec<Cell> = Vec::new();
    for (passes, rings) in groups {
        for layer in layers(desk, &rings, opaque, frame, grid, least_m2) {
            cells = split_cells(desk, cells, passes, layer);
            cells.retain(|cell| grid.area_m2(&cell.shapes) > least_m2);
        }
    }
    cells
}

/// Regions under at least 1, 2, 3 ... of the rings, without the opaque part.
fn layers(
    desk: &mut Desk,
    rings: &[&[IntPoint]],
    opaque: &IntShapes,
    frame: &[IntPoint; 4],
    grid: &Grid,
    least_m2: f64,
) -> Vec<IntShapes> {
    let clockwise: Vec<IntPoint> = frame.iter().rev().copied().collect();
    let mut found = Vec::new();
    for depth in 0..rings.len().min(MOST_LAYERS) {
        desk.clear();
        for ring in rings {
            desk.add(ring, Operand::First);
        }
        for _ in 0..depth {
            desk.add(&clockwise, Operand::First);
        }
        let region = desk.positive();
        let open = minus(desk, &region, opaque);
        if grid.area_m2(&open) <= least_m2 {
            break;
        }
        found.push(open);
    }
    found
}

/// Lays one more layer over the cells: each falls into a part under it, whose
/// transmittance is multiplied, and a part beside it; what no cell held becomes
/// a new one.
fn split_cells(
    desk: &mut Desk,
    cells: Vec<Cell>,
    passes: Transmittance,
    layer: IntShapes,
) -> Vec<Cell> {
    let mut split = Vec::with_capacity(cells.len() * 2 + 1);
    let mut rest = layer.clone();
    for cell in cells {
        desk.clear();
        desk.add_shapes(&cell.shapes, Operand::First)
            .add_shapes(&layer, Operand::Second);
        let [both, beside] = desk.several([OverlayRule::Intersect, OverlayRule::Difference]);
        rest = minus(desk, &rest, &cell.shapes);
        let product = Transmittance::from_share(cell.passes.share() * passes.share());
        split.push(Cell {
            passes: product,
            shapes: both,
        });
        split.push(Cell {
            passes: cell.passes,
            shapes: beside,
        });
    }
    split.push(Cell {
        passes,
        shapes: rest,
    });
    split
}

fn minus(desk: &mut Desk, a: &IntShapes, b: &IntShapes) -> IntShapes {
    desk.clear();
    desk.add_shapes(a, Operand::First)
        .add_shapes(b, Operand::Second);
    desk.shapes(OverlayRule::Difference)
}
