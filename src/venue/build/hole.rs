//! A hole of golf: zones by name, shots.

use geo::Centroid;
use glam::DVec3;

use crate::venue::file::{HoleTable, VenueFile};
use crate::venue::hole::{Hole, Shot};
use crate::venue::model::{Sport, Zone};
use crate::venue::problem::Problems;
use crate::venue::relief::Relief;

use super::field::BuiltField;
use super::nearest;

pub(super) fn hole(
    file: &VenueFile,
    ground: &BuiltField,
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
    let shots = shots(table, zones, ground.relief.as_deref(), problems);
    Some(Hole { tees, fairways, green, shots })
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
