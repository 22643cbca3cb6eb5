//! The ground where it is not flat: spots, breaklines, crown and fall of a pitch.

use std::sync::Arc;

use geo::{Area, BooleanOps, ConvexHull, Coord, MultiPoint, Point as GeoPoint};
use glam::DVec3;

use crate::base::frame::FieldPoint;
use crate::base::limits::{MAX_BREAKLINES, MAX_CORNERS, MAX_SPOTS};
use crate::venue::file::{ReliefTable, VenueFile};
use crate::venue::model::CameraPost;
use crate::venue::occluder::{Occluder, OccluderKind, Shape};
use crate::venue::problem::Problems;
use crate::venue::relief::{Relief, ReliefError};

use super::field::BuiltField;

/// Spots of two lines nearer to each other than this are one, in plan and in height, metres.
const SAME_M: f64 = 0.001;
/// Spots may leave so much of the field of play outside, m2: the width of a line.
const OUTSIDE_M2: f64 = 1.0;
/// Corners so near to the foot of a body stand on the ground, metres.
const FOOT_M: f64 = 1e-6;
/// Beyond a playing area that is all that is stated the ground goes on for so far, metres.
const APRON_M: f64 = 1000.0;
/// Spots of a pitch lie so far inside of its playing area at most, metres.
const ON_RIM_M: f64 = 0.01;

/// Spots with the key of each, and the lines between them.
#[derive(Default)]
struct Spots {
    /// In field axes.
    at: Vec<[f64; 3]>,
    keys: Vec<String>,
    lines: Vec<[usize; 2]>,
    line_keys: Vec<String>,
}

impl Spots {
    /// A spot, or the one that is there.
    fn put(&mut self, at: [f64; 3], key: impl Fn() -> String) -> usize {
        let same = |o: &[f64; 3]| (0..3).all(|i| (o[i] - at[i]).abs() < SAME_M);
        if let Some(known) = self.at.iter().position(same) {
            return known;
        }
        self.at.push(at);
        self.keys.push(key());
        self.at.len() - 1
    }

    fn line(&mut self, ends: [usize; 2], key: &str) {
        if ends[0] != ends[1] {
            self.lines.push(ends);
            self.line_keys.push(key.to_owned());
        }
    }
}

/// The ground of a file, or none where it is flat.
pub(super) fn relief(
    file: &VenueFile,
    ground: &BuiltField,
    problems: &mut Problems,
) -> Option<Arc<Relief>> {
    let of_hole = file.hole.as_ref().map_or(&[][..], |hole| &hole.heights);
    let mut spots = Spots::default();
    let before = problems.len();
    if let Some(table) = &file.relief {
        if !of_hole.is_empty() {
            let found = "heights of the ground beside a [relief]";
            problems.add("hole.heights", found, "one of the two; [relief] says more");
        }
        of_table(table, ground, &mut spots, problems);
    } else {
        for (i, spot) in of_hole.iter().enumerate() {
            spots.at.push(*spot);
            spots.keys.push(format!("hole.heights[{i}]"));
        }
    }
    if spots.at.is_empty() || problems.len() > before {
        return None;
    }
    let local = |p: &[f64; 3]| {
        ground.frame.to_local(FieldPoint { along_m: p[0], across_m: p[1], up_m: p[2] })
    };
    let places: Vec<DVec3> = spots.at.iter().map(local).collect();
    let table = if file.relief.is_some() { "relief" } else { "hole" };
    match Relief::of(&places, &spots.lines) {
        Ok(relief) => {
            if file.relief.is_some() {
                around_field(&places, ground, problems);
            }
            Some(Arc::new(relief))
        }
        Err(refused) => {
            refused.into_iter().for_each(|one| refuse(one, &spots, table, problems));
            None
        }
    }
}

fn refuse(refused: ReliefError, spots: &Spots, table: &str, problems: &mut Problems) {
    let different = "at least 3 different spots, not all in a line";
    let key = |index: usize| spots.keys.get(index).cloned().unwrap_or_default();
    match refused {
        ReliefError::NoArea { .. } => {
            problems.add(format!("{table}.heights"), refused.to_string(), different);
        }
        ReliefError::Twice { index, .. } => problems.add_with_help(
            key(index),
            refused.to_string(),
            "one height at each place",
            "the ground has no overhang: a wall or a cutting is two lines a few centimetres \
             apart, what hangs over is a [[solid]] or a [[panel]]",
        ),
        ReliefError::NoPlace { index } => {
            problems.add(key(index), refused.to_string(), different);
        }
        ReliefError::Crossing { line } => problems.add_with_help(
            spots.line_keys.get(line).cloned().unwrap_or_default(),
            refused.to_string(),
            "lines that meet at common points only",
            "state the point where they meet in both lines, with one height",
        ),
    }
}

fn of_table(table: &ReliefTable, ground: &BuiltField, spots: &mut Spots, problems: &mut Problems) {
    let counts = [
        ("relief.heights", table.heights.len(), MAX_SPOTS),
        ("relief.breaklines", table.breaklines.len(), MAX_BREAKLINES),
    ];
    let before = problems.len();
    for (key, count, limit) in counts.into_iter().filter(|(_, count, limit)| count > limit) {
        problems.add(key, format!("{count} of them"), format!("at most {limit}"));
    }
    if problems.len() > before {
        return;
    }
    let pitch = pitch(table, ground, spots, problems);
    let inside = |p: &[f64; 3]| {
        pitch.is_some_and(|(min, max)| {
            (0..2).all(|i| p[i] > min[i] + ON_RIM_M && p[i] < max[i] - ON_RIM_M)
        })
    };
    let mut place = |p: &[f64; 3], key: String, problems: &mut Problems| {
        if inside(p) {
            problems.add(
                key,
                format!("a height at [{}, {}], on the playing area", p[0], p[1]),
                "heights outside of it beside crown_mm or fall_percent",
            );
            return None;
        }
        Some(spots.put(*p, || key.clone()))
    };
    let mut lines: Vec<([usize; 2], String)> = Vec::new();
    for (i, line) in table.breaklines.iter().enumerate() {
        let key = format!("relief.breaklines[{i}]");
        if !(2..=MAX_CORNERS).contains(&line.len()) {
            let allowed = format!("2 to {MAX_CORNERS} points");
            problems.add(key, format!("a line of {} points", line.len()), allowed);
            continue;
        }
        let ends: Vec<Option<usize>> = line
            .iter()
            .enumerate()
            .map(|(j, p)| place(p, format!("{key}[{j}]"), problems))
            .collect();
        for pair in ends.windows(2) {
            if let [Some(from), Some(to)] = pair {
                lines.push(([*from, *to], key.clone()));
            }
        }
    }
    // heights last: of many spots none is looked for among the others
    let first = spots.at.len();
    for (i, p) in table.heights.iter().enumerate() {
        let key = format!("relief.heights[{i}]");
        if inside(p) {
            problems.add(
                key,
                format!("a height at [{}, {}], on the playing area", p[0], p[1]),
                "heights outside of it beside crown_mm or fall_percent",
            );
            continue;
        }
        let same = |o: &[f64; 3]| (0..3).all(|i| (o[i] - p[i]).abs() < SAME_M);
        if !spots.at.iter().take(first).any(same) {
            spots.at.push(*p);
            spots.keys.push(key);
        }
    }
    lines.iter().for_each(|(ends, key)| spots.line(*ends, key));
    if spots.at.is_empty() && problems.is_empty() {
        problems.add(
            "relief",
            "a relief without heights",
            "crown_mm, fall_percent with falls_toward_deg, heights or breaklines",
        );
    }
}

/// Adds the playing area by its crown and fall; the box that it fills, field axes.
fn pitch(
    table: &ReliefTable,
    ground: &BuiltField,
    spots: &mut Spots,
    problems: &mut Problems,
) -> Option<([f64; 2], [f64; 2])> {
    if table.falls_toward_deg.is_some() != table.fall_percent.is_some() {
        problems.add(
            if table.fall_percent.is_some() {
                "relief.falls_toward_deg"
            } else {
                "relief.fall_percent"
            },
            "a fall without both of its numbers",
            "fall_percent and falls_toward_deg together",
        );
        return None;
    }
    if table.crown_mm.is_none() && table.fall_percent.is_none() {
        return None;
    }
    let frame = ground.frame;
    let corners = ground.field.playing_area.exterior().0.iter().map(|c| {
        let q = frame.to_field(DVec3::new(c.x, c.y, 0.0));
        // what turning between the frames moves off a round number
        [q.along_m, q.across_m].map(|v| (v * 1e9).round() / 1e9)
    });
    let (min, max) = corners
        .fold(([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]), |(low, high), c| {
            ([0, 1].map(|i| low[i].min(c[i])), [0, 1].map(|i| high[i].max(c[i])))
        });
    let toward = ground.bearing_of(table.falls_toward_deg.unwrap_or(0.0));
    let down = frame.to_field(crate::base::frame::direction(
        toward,
        crate::base::units::Elevation::from_degrees(0.0),
    ));
    let fall = 0.01 * table.fall_percent.unwrap_or(0.0);
    let crown = 0.001 * table.crown_mm.unwrap_or(0.0);
    let (middle, half) = (0.5 * (min[1] + max[1]), 0.5 * (max[1] - min[1]));
    let height = |x: f64, y: f64| {
        -crown * (y - middle).abs() / half - fall * (x * down.along_m + y * down.across_m)
    };
    let mut put = |x: f64, y: f64| spots.put([x, y, height(x, y)], || "relief".to_owned());
    let near = [min[1], middle, max[1]].map(|y| put(min[0], y));
    let far = [min[1], middle, max[1]].map(|y| put(max[0], y));
    if table.heights.is_empty() && table.breaklines.is_empty() {
        // level outward from each side
        for (x, beyond) in [(min[0], min[0] - APRON_M), (max[0], max[0] + APRON_M)] {
            for (y, out) in [(min[1], min[1] - APRON_M), (max[1], max[1] + APRON_M)] {
                for [at_x, at_y] in [[beyond, y], [x, out], [beyond, out]] {
                    spots.put([at_x, at_y, height(x, y)], || "relief".to_owned());
                }
            }
            spots.put([beyond, middle, height(x, middle)], || "relief".to_owned());
        }
    }
    for pair in [[near[0], far[0]], [near[1], far[1]], [near[2], far[2]]] {
        spots.line(pair, "relief");
    }
    for side in [near, far] {
        spots.line([side[0], side[1]], "relief");
        spots.line([side[1], side[2]], "relief");
    }
    Some((min, max))
}

/// Spots that leave a part of the field of play without heights.
fn around_field(places: &[DVec3], ground: &BuiltField, problems: &mut Problems) {
    let points: MultiPoint<f64> =
        places.iter().map(|p| GeoPoint(Coord { x: p.x, y: p.y })).collect();
    let outline = &ground.field.outline;
    let outside = outline.difference(&points.convex_hull()).unsigned_area();
    if outside > OUTSIDE_M2 {
        problems.add(
            "relief.heights",
            format!("heights that leave {outside:.0} m2 of the field of play without any"),
            "spots around all of it, or crown_mm or fall_percent for the playing area",
        );
    }
}

/// Feet of stands on the plane of the field go down to the lowest ground under them: no light
/// passes below.
pub(super) fn lower_feet(ground: &BuiltField, occluders: &mut [Occluder]) {
    let Some(relief) = &ground.relief else { return };
    let stands = |o: &&mut Occluder| o.kind.is_stand() || matches!(o.kind, OccluderKind::Corner);
    let bodies = occluders.iter_mut().filter(stands).flat_map(|o| &mut o.bodies);
    for body in bodies {
        let (Shape::Convex { vertices: points, .. } | Shape::Sheet { corners: points }) =
            &mut body.shape
        else {
            continue;
        };
        let feet = points.iter().filter(|p| p.z.abs() < FOOT_M);
        let deep = feet.map(|p| relief.height_m(p.x, p.y)).fold(0.0, f64::min);
        points.iter_mut().filter(|p| p.z.abs() < FOOT_M).for_each(|p| p.z = deep);
    }
}

/// Lenses that would lie in a hillside, and things that lie under the ground.
pub(super) fn over_ground(
    ground: &BuiltField,
    occluders: &[Occluder],
    cameras: &[CameraPost],
    problems: &mut Problems,
) {
    let Some(relief) = &ground.relief else { return };
    for (i, camera) in cameras.iter().enumerate() {
        let under = relief.height_m(camera.at.x, camera.at.y) - camera.at.z;
        if under > 0.0 {
            problems.add_with_help(
                format!("camera[{i}].at"),
                format!("\"{}\" {under:.2} m under the ground there", camera.name),
                "a place over the ground",
                match ground.counts_from_ground {
                    true => "gantries and decks count from the plane of the field",
                    false => "heights count from the plane of the field, as in hole.heights",
                },
            );
        }
    }
    let mut number = std::collections::HashMap::new();
    for occluder in occluders {
        let of_kind = number.entry(occluder.kind).or_insert(0);
        let index = std::mem::replace(of_kind, *of_kind + 1);
        let table = match occluder.kind {
            OccluderKind::Solid => "solid",
            OccluderKind::Panel => "panel",
            _ => continue,
        };
        let points = occluder.bodies.iter().flat_map(|body| body.shape.points());
        let over =
            points.map(|p| p.z - relief.height_m(p.x, p.y)).fold(f64::NEG_INFINITY, f64::max);
        if over <= 0.0 && over.is_finite() {
            let key = if table == "solid" { "top_m" } else { "corners" };
            problems.add_with_help(
                format!("{table}[{index}].{key}"),
                format!("\"{}\" {:.2} m under the ground there", occluder.name, -over),
                "something that rises over the ground",
                match table {
                    "solid" if ground.counts_from_ground => {
                        "heights of a solid count from the ground in the middle of its footprint"
                    }
                    _ => "its heights count from the plane of the field",
                },
            );
        }
    }
}
