//! Curved stands: a ring of straight segments around the centre of play.
//!
//! The front row runs along a superellipse; all other lines of the section run
//! parallel to its chords, mitred at the corners, so that every deck and roof is
//! flat and every depth is the one stated.

use geo::{Area, BooleanOps, Euclidean, Length, MultiLineString};

use super::field::BuiltField;
use super::profile::{CrossSection, check, span};
use super::ring::{line, polygon};
use crate::venue::file::BowlTable;
use crate::venue::occluder::{Occluder, OccluderKind};
use crate::venue::outlines::Point;
use crate::venue::problem::Problems;

/// A front row may cross the boundary by this much (m2 or m): rounding.
const TOUCH_M2: f64 = 1e-3;

pub(super) fn bowl(
    table: &BowlTable,
    key: &str,
    ground: &BuiltField,
    problems: &mut Problems,
) -> Option<Occluder> {
    let section = &table.section;
    let sound = check(section, key, problems);
    let turn = table.to_deg - table.from_deg;
    if turn <= 0.0 || turn > 360.0 + 1e-9 {
        problems.add(
            format!("{key}.to_deg"),
            format!("{} degrees with from_deg = {}", table.to_deg, table.from_deg),
            "more than from_deg, at most a full turn further",
        );
        return None;
    }
    let whole = turn > 360.0 - 1e-9;
    let front = front_row(table, turn, whole);
    if !clears_field(&front, whole, ground) {
        problems.add_with_help(
            format!("{key}.inner_along_m"),
            "a front row that cuts into the field of play",
            "half axes and a roundness that keep it outside",
            "a squarer ring (roundness 3 to 6) goes around the corners of a pitch",
        );
        return None;
    }
    if !sound {
        return None;
    }
    let profiles: Vec<CrossSection> = outward(&front, whole)
        .into_iter()
        .zip(&front)
        .map(|(mitre, at)| CrossSection::at(section, *at, mitre, ground.frame))
        .collect();
    let next = profiles.iter().cycle().skip(1);
    let pieces = if whole { profiles.len() } else { profiles.len() - 1 };
    let bodies = profiles.iter().zip(next).take(pieces).flat_map(|(a, b)| span(a, b)).collect();
    Some(Occluder { name: table.name.trim().to_owned(), kind: OccluderKind::Bowl, bodies })
}

/// Corners of the front row, anticlockwise; the last is not repeated in a whole
/// ring.
fn front_row(table: &BowlTable, turn_deg: f64, whole: bool) -> Vec<Point> {
    let pieces = table.segments.max(1);
    let count = if whole { pieces } else { pieces + 1 };
    let power = |v: f64| v.signum() * v.abs().powf(2.0 / table.roundness);
    (0..count)
        .map(|i| {
            let turned = f64::from(i) / f64::from(pieces) * turn_deg;
            let (sin, cos) = (table.from_deg + turned).to_radians().sin_cos();
            [table.inner_along_m * power(cos), table.inner_across_m * power(sin)]
        })
        .collect()
}

/// For each corner the way outward for a metre of depth: the mitre of the two
/// chords that meet there.
fn outward(front: &[Point], whole: bool) -> Vec<Point> {
    let n = front.len();
    let normal = |i: usize| -> Point {
        let (a, b) = (front[i % n], front[(i + 1) % n]);
        let (x, y) = (b[0] - a[0], b[1] - a[1]);
        let length = x.hypot(y).max(1e-12);
        // anticlockwise: outward is to the right of the way
        [y / length, -x / length]
    };
    (0..n)
        .map(|i| {
            let before = if i > 0 || whole { normal((i + n - 1) % n) } else { normal(0) };
            let after = if i + 1 < n || whole { normal(i) } else { before };
            let cosine = before[0] * after[0] + before[1] * after[1];
            let scale = 1.0 / (1.0 + cosine).max(0.1);
            [(before[0] + after[0]) * scale, (before[1] + after[1]) * scale]
        })
        .collect()
}

/// Whether the field stays inside the front row: all of it within a whole ring,
/// no chord over it for a part of one.
fn clears_field(front: &[Point], whole: bool, ground: &BuiltField) -> bool {
    if whole {
        let inside = polygon(ground.frame, front);
        return ground.field.outline.difference(&inside).unsigned_area() <= TOUCH_M2;
    }
    let row = MultiLineString(vec![line(ground.frame, front)]);
    Euclidean.length(&ground.field.outline.clip(&row, false)) <= TOUCH_M2
}
