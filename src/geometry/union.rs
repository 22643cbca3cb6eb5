//! The union of very many shadows.
//!
//! In: the loops of many things on the grid. Out: the shapes that they cover together,
//! the same as one overlay of all loops makes, to a grid cell; or the regions that lie
//! under so many of them.
//!
//! An overlay splits each side wherever another crosses it. Of hundreds of things in one
//! place every side crosses hundreds of others, though hardly any of that is left in the
//! union. So neighbours are joined first, a few things at a time, and then those unions;
//! what lies inside is gone before it can be crossed again. Before that, small convex
//! shadows that lie wholly where others cover the ground anyway are left out
//! ([`super::covered`]).

use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::i_shape::int::shape::IntShapes;

use super::covered::{Covered, without_covered};
use super::hull::Box2;
use super::overlay::{Loops, Operand, OverlayBuffers, OverlayGrid};

/// Fewer things than this are joined at once: splitting them up gains nothing.
const MANY: usize = 64;
/// Corners that are joined at once.
const AT_ONCE: usize = 160;
/// Unions that are joined at once.
const FAN: usize = 4;
/// Bits of a coordinate that tell neighbours: 4096 columns and rows of the grid's range.
const PLACE_BITS: u32 = 12;

/// The loops of one thing, by their numbers.
struct Thing {
    loops: Vec<u32>,
    corners: usize,
}

/// The union of loops, for many things; `None` where one overlay does as well.
pub(super) fn join(
    overlay_buffers: &mut OverlayBuffers,
    loops: &Loops,
    grid: &OverlayGrid,
    window: &Box2,
) -> Option<IntShapes> {
    if loops.len() < MANY {
        return None;
    }
    let things = things(loops);
    if things.len() < MANY {
        return None;
    }
    let single = |thing: &Thing| match thing.loops.as_slice() {
        [only] => Some(loops.get(*only as usize)),
        _ => None,
    };
    let Covered { left_out, patches } =
        without_covered(things.iter().map(single), (grid.snap(window.min), grid.snap(window.max)));
    let mut parts: Vec<(u64, Part)> = things
        .into_iter()
        .zip(left_out)
        .filter(|(_, left_out)| !left_out)
        .map(|(thing, _)| (place(loops, &thing), Part::Thing(thing)))
        .chain(patches.into_iter().map(|ring| (place_of(&ring), Part::Patch(ring))))
        .collect();
    parts.sort_by_key(|(place, _)| *place);
    let mut unions: Vec<IntShapes> = Vec::new();
    let mut waiting = 0;
    overlay_buffers.clear();
    for (_, part) in &parts {
        waiting += match part {
            Part::Thing(thing) => {
                for &index in &thing.loops {
                    overlay_buffers.add(loops.get(index as usize), Operand::First);
                }
                thing.corners
            }
            Part::Patch(ring) => {
                overlay_buffers.add(ring, Operand::First);
                ring.len()
            }
        };
        if waiting >= AT_ONCE {
            unions.push(overlay_buffers.shapes(OverlayRule::Subject));
            overlay_buffers.clear();
            waiting = 0;
        }
    }
    if waiting > 0 {
        unions.push(overlay_buffers.shapes(OverlayRule::Subject));
    }
    Some(joined(overlay_buffers, unions))
}

/// The regions under at least 1, 2, 3 ... things, up to `most`, for many loops; `None` where
/// counting all windings at once does as well. `clockwise` is the box, clockwise.
///
/// The regions of one group wind around each place as often as its things do, up to `most`;
/// so those of several groups may be counted together in their stead.
pub(super) fn layers(
    overlay_buffers: &mut OverlayBuffers,
    loops: &Loops,
    clockwise: &[IntPoint],
    most: usize,
) -> Option<Vec<IntShapes>> {
    if loops.len() < MANY {
        return None;
    }
    let mut things = things(loops);
    things.sort_by_key(|thing| place(loops, thing));
    let mut groups: Vec<Vec<IntShapes>> = Vec::new();
    let mut waiting: Vec<&[IntPoint]> = Vec::new();
    let mut corners = 0;
    for thing in &things {
        waiting.extend(thing.loops.iter().map(|index| loops.get(*index as usize)));
        corners += thing.corners;
        if corners >= AT_ONCE {
            groups.push(wound(overlay_buffers, &waiting, clockwise, most));
            waiting.clear();
            corners = 0;
        }
    }
    groups.push(wound(overlay_buffers, &waiting, clockwise, most));
    while groups.len() > 1 {
        let next = groups.chunks(FAN).map(|few| {
            let rings = few.iter().flatten().flatten().flatten();
            let rings: Vec<&[IntPoint]> = rings.map(Vec::as_slice).collect();
            wound(overlay_buffers, &rings, clockwise, most)
        });
        groups = next.collect();
    }
    groups.pop()
}

/// Where rings wind at least 1, 2, 3 ... times around.
fn wound(
    overlay_buffers: &mut OverlayBuffers,
    rings: &[&[IntPoint]],
    clockwise: &[IntPoint],
    most: usize,
) -> Vec<IntShapes> {
    let mut layers = Vec::new();
    for depth in 0..most {
        overlay_buffers.clear();
        rings.iter().for_each(|ring| {
            overlay_buffers.add(ring, Operand::First);
        });
        (0..depth).for_each(|_| {
            overlay_buffers.add(clockwise, Operand::First);
        });
        let layer = overlay_buffers.positive();
        if layer.is_empty() {
            break;
        }
        layers.push(layer);
    }
    layers
}

/// What is joined: a thing, or ground that is covered anyway.
enum Part {
    Thing(Thing),
    Patch(Vec<IntPoint>),
}

/// Neighbouring unions joined until one is left.
pub(super) fn joined(
    overlay_buffers: &mut OverlayBuffers,
    mut unions: Vec<IntShapes>,
) -> IntShapes {
    while unions.len() > 1 {
        let next = unions.chunks(FAN).map(|few| {
            overlay_buffers.clear();
            few.iter().for_each(|shapes| {
                overlay_buffers.add_shapes(shapes, Operand::First);
            });
            overlay_buffers.shapes(OverlayRule::Subject)
        });
        unions = next.collect();
    }
    unions.pop().unwrap_or_default()
}

/// Loops by what throws them.
fn things(loops: &Loops) -> Vec<Thing> {
    let mut order: Vec<u32> = (0..loops.len() as u32).collect();
    let thing = |index: &u32| loops.things().get(*index as usize).copied();
    order.sort_by_key(thing);
    let runs = order.chunk_by(|a, b| thing(a) == thing(b));
    runs.map(|run| Thing {
        loops: run.to_vec(),
        corners: run.iter().map(|i| loops.get(*i as usize).len()).sum(),
    })
    .collect()
}

/// Where a thing is on a walk from cell to cell of the grid.
fn place(loops: &Loops, thing: &Thing) -> u64 {
    thing.loops.first().map_or(0, |first| place_of(loops.get(*first as usize)))
}

fn place_of(ring: &[IntPoint]) -> u64 {
    let Some(first) = ring.first() else { return 0 };
    let (low, high) = ring.iter().fold((*first, *first), |(low, high), p| {
        (
            IntPoint::new(low.x.min(p.x), low.y.min(p.y)),
            IntPoint::new(high.x.max(p.x), high.y.max(p.y)),
        )
    });
    let middle = |a: i32, b: i32| {
        let from_lowest = (i64::from(a) + i64::from(b)) / 2 - i64::from(i32::MIN);
        (from_lowest >> (32 - PLACE_BITS)) as u64
    };
    let (x, y) = (middle(low.x, high.x), middle(low.y, high.y));
    (0..PLACE_BITS)
        .map(|bit| ((x >> bit & 1) << (2 * bit)) | ((y >> bit & 1) << (2 * bit + 1)))
        .sum()
}
