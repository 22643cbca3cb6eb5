//! Where light passes through several translucent things.
//!
//! In: outlines of translucent bodies on the grid, grouped by transmittance, and
//! the opaque shadow. Out: cells that do not overlap, each with the product of
//! the transmittances on the way.
//!
//! Within a group the regions under at least 1, 2, 3 ... bodies are found by
//! counting windings: `k - 1` clockwise copies of the field's box are added, and
//! what is still positive lies under at least `k`. Of many bodies, neighbours are counted
//! first ([`super::union`]).

use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::i_shape::int::shape::IntShapes;

use crate::base::units::Transmittance;
use crate::geometry::overlay::{Loops, Operand, OverlayBuffers, OverlayGrid};
use crate::geometry::union::layers;

/// More translucent layers than this over one place are not counted, ...
const MAX_LAYERS: usize = 64;
/// ... nor are more than those that let this share of light through together: far less than
/// areas are rounded by.
const MIN_SHARE: f64 = 1e-12;

/// A region with one transmittance.
pub(super) struct Cell {
    pub passes: Transmittance,
    pub shapes: IntShapes,
}

/// Cells of the field outside `opaque`. `bounds` are the field's box and its
/// outline, anticlockwise; regions up to `least_m2` are rounding and are dropped.
pub(super) fn dimmed_cells<'a>(
    overlay_buffers: &mut OverlayBuffers,
    groups: impl Iterator<Item = (Transmittance, &'a Loops)>,
    opaque: &IntShapes,
    bounds: (&[IntPoint], &[IntPoint]),
    grid: &OverlayGrid,
    least_m2: f64,
) -> Vec<Cell> {
    let (frame, outline) = bounds;
    let clockwise: Vec<IntPoint> = frame.iter().rev().copied().collect();
    let mut cells: Vec<Cell> = Vec::new();
    for (passes, loops) in groups.filter(|(_, loops)| !loops.is_empty()) {
        let most = layers_that_count(passes);
        let stacked = layers(overlay_buffers, loops, &clockwise, most);
        for depth in 0..most {
            let layer = match &stacked {
                Some(layers) => layers.get(depth).cloned().unwrap_or_default(),
                None => layer(overlay_buffers, loops, &clockwise, depth),
            };
            overlay_buffers
                .clear()
                .add_shapes(&layer, Operand::First)
                .add(outline, Operand::Second);
            let on_field = overlay_buffers.shapes(OverlayRule::Intersect);
            let open = minus(overlay_buffers, &on_field, opaque);
            if grid.area_m2(&open) <= least_m2 {
                break;
            }
            cells = split_cells(overlay_buffers, cells, passes, open);
            cells.retain(|cell| grid.area_m2(&cell.shapes) > least_m2);
        }
    }
    cells
}

/// How many layers of a transmittance are told apart.
fn layers_that_count(passes: Transmittance) -> usize {
    // a share of nothing gives none, one of all the most
    let count = (MIN_SHARE.ln() / passes.share().ln()).ceil();
    (count.max(1.0) as usize).min(MAX_LAYERS)
}

/// The region under more than `depth` of the loops' surfaces.
fn layer(
    overlay_buffers: &mut OverlayBuffers,
    loops: &Loops,
    clockwise: &[IntPoint],
    depth: usize,
) -> IntShapes {
    overlay_buffers.clear().add_loops(loops, Operand::First);
    for _ in 0..depth {
        overlay_buffers.add(clockwise, Operand::First);
    }
    overlay_buffers.positive()
}

/// Lays one more layer over the cells: each falls into a part under it, whose
/// transmittance is multiplied, and a part beside it; what no cell held becomes
/// a new one.
fn split_cells(
    overlay_buffers: &mut OverlayBuffers,
    cells: Vec<Cell>,
    passes: Transmittance,
    layer: IntShapes,
) -> Vec<Cell> {
    let mut split = Vec::with_capacity(cells.len() * 2 + 1);
    let mut rest = layer.clone();
    for cell in cells {
        overlay_buffers.clear();
        overlay_buffers
            .add_shapes(&cell.shapes, Operand::First)
            .add_shapes(&layer, Operand::Second);
        let [both, beside] =
            overlay_buffers.several([OverlayRule::Intersect, OverlayRule::Difference]);
        rest = minus(overlay_buffers, &rest, &cell.shapes);
        let product = Transmittance::from_share(cell.passes.share() * passes.share());
        split.push(Cell { passes: product, shapes: both });
        split.push(Cell { passes: cell.passes, shapes: beside });
    }
    split.push(Cell { passes, shapes: rest });
    split
}

fn minus(overlay_buffers: &mut OverlayBuffers, a: &IntShapes, b: &IntShapes) -> IntShapes {
    overlay_buffers.clear();
    overlay_buffers.add_shapes(a, Operand::First).add_shapes(b, Operand::Second);
    overlay_buffers.shapes(OverlayRule::Difference)
}
