//! Straight stands along a side of the field.

use super::field::BuiltField;
use super::profile::{CrossSection, check, end_wall, span};
use crate::venue::file::{ClosedEnds, SideName, StandTable};
use crate::venue::occluder::{Occluder, OccluderKind};
use crate::venue::outlines::Point;
use crate::venue::problem::Problems;

/// A stand with its two ends, for corners to join.
pub(super) struct Stand {
    pub occluder: Occluder,
    pub side: SideName,
    /// Left and right end for someone on the field who looks at it.
    pub ends: [CrossSection; 2],
}

/// Outward direction of a side, and the direction of a positive shift.
fn axes(side: SideName) -> (Point, Point) {
    match side {
        SideName::Ahead => ([1.0, 0.0], [0.0, 1.0]),
        SideName::Behind => ([-1.0, 0.0], [0.0, 1.0]),
        SideName::Left => ([0.0, 1.0], [1.0, 0.0]),
        SideName::Right => ([0.0, -1.0], [1.0, 0.0]),
    }
}

pub(super) fn stand(
    table: &StandTable,
    key: &str,
    ground: &BuiltField,
    problems: &mut Problems,
) -> Option<Stand> {
    let section = &table.section;
    if !check(section, key, problems) {
        return None;
    }
    let (outward, shift) = axes(table.side);
    // the extent of the field on that side, whatever its outline
    let reach = |i: usize| if outward[i] > 0.0 { ground.max[i] } else { -ground.min[i] };
    let line = (0..2).map(|i| outward[i].abs() * reach(i)).sum::<f64>() + table.setback_m;
    let middle = |i: usize| {
        let centre = 0.5 * (ground.min[i] + ground.max[i]) * shift[i].abs();
        outward[i] * line + centre + shift[i] * table.shift_m
    };
    // to the left of someone who looks outward
    let left = [-outward[1], outward[0]];
    let end = |along: f64| {
        let front = [middle(0) + left[0] * along, middle(1) + left[1] * along];
        CrossSection::at(section, front, outward, ground.frame)
    };
    let ends = [end(table.length_m / 2.0), end(-table.length_m / 2.0)];
    let mut bodies = span(&ends[0], &ends[1]);
    let closed: &[usize] = match table.closed_ends {
        ClosedEnds::None => &[],
        ClosedEnds::Left => &[0],
        ClosedEnds::Right => &[1],
        ClosedEnds::Both => &[0, 1],
    };
    bodies.extend(closed.iter().flat_map(|&i| end_wall(&ends[i])));
    let occluder =
        Occluder { name: table.name.trim().to_owned(), kind: OccluderKind::Stand, bodies };
    Some(Stand { occluder, side: table.side, ends })
}
