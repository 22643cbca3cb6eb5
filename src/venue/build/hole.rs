//! A hole of golf: zones by name, heights, shots.

use geo::Centroid;
use glam::DVec3;

use crate::base::frame::FieldPoint;
use crate::venue::file::{HoleTable, VenueFile};
use crate::venue::hole::{Hole, Shot};
use crate::venue::model::{CameraPost, Sport, Zone};
use crate::venue::occluder::{Occluder, OccluderKind, Part, Shape};
use crate::venue::problem::Problems;
use crate::venue::relief::{Relief, ReliefError};

use super::field::Ground;
use super::nearest;

pub(super) fn hole(
    file: &VenueFile,
    ground: &Ground,
    zones: &[Zone],
    problems: &mut Problems,
) -> Option<Hole> {
    let table = file.hole.as_ref()?;
    if file.field.sport != Sport::Golf {
        problems.add("hole", "a hole on a field of another sport", "field.sport = \"golf\"");
        return None;
    }
    let mut all = |names: &[String], key: &str| -> Vec<usize> {
        let found = names.iter().map(|name| zone(name, zones, &format!("hole.{key}"), problems));
        found.collect::<Vec<_>>().into_iter().flatten().collect()
    };
    let (tees, fairways) = (all(&table.tees, "tees"), all(&table.fairways, "fairways"));
    let green = all(table.green.as_slice(), "green").first().copied();
    let relief = relief(table, ground, problems);
    let shots = shots(table, zones, relief.as_ref(), problems);
    Some(Hole { tees, fairways, green, relief, shots })
}

/// Index of a zone by its name.
fn zone(name: &str, zones: &[Zone], key: &str, problems: &mut Problems) -> Option<usize> {
    let found = zones.iter().position(|zone| zone.name == name.trim());
    if found.is_none() {
        let known = zones.iter().map(|z| z.name.as_str());
        problems.add_with_help(
            key,
            format!("\"{name}\""),
            "the name of a zone",
            nearest(name, known).map_or_else(
                || "add a [[zone]] of that name".to_owned(),
                |n| format!("did you mean \"{n}\"?"),
            ),
        );
    }
    found
}

fn relief(table: &HoleTable, ground: &Ground, problems: &mut Problems) -> Option<Relief> {
    if table.heights.is_empty() {
        return None;
    }
    let spot = |p: &[f64; 3]| {
        ground.frame.to_local(FieldPoint { along_m: p[0], across_m: p[1], up_m: p[2] })
    };
    let spots: Vec<DVec3> = table.heights.iter().map(spot).collect();
    let refused = match Relief::through(&spots) {
        Ok(relief) => return Some(relief),
        Err(refused) => refused,
    };
    let key = match refused {
        ReliefError::NoArea { .. } => "hole.heights".to_owned(),
        ReliefError::Twice { index, .. } | ReliefError::NoPlace { index } => {
            format!("hole.heights[{index}]")
        }
    };
    problems.add(key, refused.to_string(), "at least 3 different spots, not all in a line");
    None
}

fn shots(
    table: &HoleTable,
    zones: &[Zone],
    relief: Option<&Relief>,
    problems: &mut Problems,
) -> Vec<Shot> {
    let mut shots: Vec<Shot> = Vec::new();
    for (i, shot) in table.shot.iter().enumerate() {
        let key = |field: &str| format!("hole.shot[{i}].{field}");
        let name = shot.name.trim();
        if name.is_empty() {
            problems.add(key("name"), "an empty name", "a name");
        } else if table.shot.iter().take(i).any(|s| s.name.trim() == name) {
            problems.add(key("name"), format!("\"{name}\" a second time"), "another name");
        }
        let (from, to) = (
            zone(&shot.from, zones, &key("from"), problems),
            zone(&shot.to, zones, &key("to"), problems),
        );
        let (Some(from), Some(to)) = (from, to) else { continue };
        if from == to {
            problems.add(key("to"), format!("\"{}\", where it starts", shot.to), "another zone");
            continue;
        }
        let place = |index: usize| middle(zones, index, relief);
        let (Some(from), Some(to)) = (place(from), place(to)) else { continue };
        let stroke = shot.stroke.as_deref().map(str::trim).map(str::to_owned);
        shots.push(Shot { name: name.to_owned(), from, to, stroke });
    }
    shots
}

/// Middle of a zone, on the ground.
fn middle(zones: &[Zone], index: usize, relief: Option<&Relief>) -> Option<DVec3> {
    let at = zones.get(index)?.outline.centroid()?;
    let up = relief.map_or(0.0, |relief| relief.height_m(at.x(), at.y()));
    Some(DVec3::new(at.x(), at.y(), up))
}

/// Trees grow on the ground, wherever it lies.
pub(super) fn stand_trees(hole: Option<&Hole>, occluders: &mut [Occluder]) {
    let Some(relief) = hole.and_then(|hole| hole.relief.as_ref()) else { return };
    for tree in occluders.iter_mut().filter(|o| o.kind == OccluderKind::Tree) {
        // a crown is the same all around, so its corners have the trunk in their middle
        let crown = tree.bodies.iter().find(|body| body.part == Part::Crown);
        let Some(corners) = crown.map(|body| body.shape.points()) else { continue };
        let middle = corners.iter().sum::<DVec3>() / corners.len().max(1) as f64;
        let up = DVec3::Z * relief.height_m(middle.x, middle.y);
        for body in &mut tree.bodies {
            match &mut body.shape {
                Shape::Convex { vertices: points, .. } | Shape::Sheet { corners: points } => {
                    points.iter_mut().for_each(|p| *p += up);
                }
                Shape::Mesh(_) => {}
            }
        }
    }
}

/// Lenses that would lie in a hillside.
pub(super) fn over_ground(hole: Option<&Hole>, cameras: &[CameraPost], problems: &mut Problems) {
    let Some(relief) = hole.and_then(|hole| hole.relief.as_ref()) else { return };
    for (i, camera) in cameras.iter().enumerate() {
        let under = relief.height_m(camera.at.x, camera.at.y) - camera.at.z;
        if under > 0.0 {
            problems.add_with_help(
                format!("camera[{i}].at"),
                format!("\"{}\" {under:.2} m under the ground there", camera.name),
                "a place over the ground",
                "heights count from the plane of the field, as in hole.heights",
            );
        }
    }
}
