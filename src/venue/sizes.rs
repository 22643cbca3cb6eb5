//! Sizes that keep a slip or a hostile file from taking hours.
//!
//! In: the tables of a venue file. Out: problems where there are more of a thing than the
//! program takes, and names that do not fit.

use crate::base::limits::{
    MAX_CAMERAS, MAX_CORNERS, MAX_MESHES, MAX_MOVES, MAX_MOVING, MAX_NAME, MAX_STATES,
    MAX_SURVEYED, MAX_THINGS,
};
use crate::venue::file::{GrandstandTable, VenueFile};
use crate::venue::problem::Problems;

/// How many pieces the tables of each kind stand for.
fn things(file: &VenueFile) -> [(&'static str, usize); 8] {
    let segments = file.bowl.iter().map(|b| b.segments as usize).sum::<usize>();
    let bays = |stand: &GrandstandTable| {
        let line = stand.line.as_ref().map_or(0, Vec::len);
        let bays = line + stand.arc.as_ref().map_or(0, |arc| arc.bays as usize);
        let points: usize = stand.layer.iter().map(|layer| layer.profile.len()).sum();
        let holes: usize = stand.layer.iter().map(|layer| layer.opening.len()).sum();
        (bays + 2 * holes) * (points + 2 * holes) + stand.end.len() * bays
    };
    [
        ("grandstand", file.grandstand.iter().map(bays).sum()),
        ("stand", file.stand.len()),
        ("corner", file.corner.len()),
        ("solid", file.solid.len()),
        ("tree", file.tree.len()),
        ("panel", file.panel.len()),
        ("mesh", file.mesh.len()),
        ("bowl", segments),
    ]
}

/// Notes what is over a limit; how many things there are.
pub(super) fn limits(file: &VenueFile, problems: &mut Problems) -> usize {
    let things = things(file);
    let occluders = things.iter().map(|(_, count)| count).sum::<usize>();
    if occluders > MAX_THINGS {
        let most = things.iter().max_by_key(|(_, count)| *count).map_or("solid", |(key, _)| *key);
        problems.add(
            most,
            format!("{occluders} stands, corners, solids, trees, panels, meshes and segments"),
            format!("at most {MAX_THINGS} in all"),
        );
    }
    let mut most = |key: &str, count: usize, limit: usize| {
        if count > limit {
            problems.add(key, format!("{count} of them"), format!("at most {limit}"));
        }
    };
    most("mesh", file.mesh.len(), MAX_MESHES);
    most("moving", file.moving.len(), MAX_MOVING);
    most("move", file.moves.len(), MAX_MOVES);
    for (i, moving) in file.moving.iter().enumerate() {
        most(&format!("moving[{i}].state"), moving.state.len(), MAX_STATES);
        for (j, state) in moving.state.iter().enumerate() {
            most(&format!("moving[{i}].state[{j}].part"), state.part.len(), MAX_CORNERS);
            for (k, part) in state.part.iter().enumerate() {
                let corners = part.corners.as_ref().map_or(0, Vec::len);
                let key = format!("moving[{i}].state[{j}].part[{k}].corners");
                most(&key, corners, MAX_CORNERS);
            }
        }
    }
    most("camera", file.camera.len(), MAX_CAMERAS);
    most("surveyed", file.surveyed.len(), MAX_SURVEYED);
    most("field.corners", file.field.corners.as_ref().map_or(0, Vec::len), MAX_CORNERS);
    for (i, zone) in file.zone.iter().enumerate() {
        most(&format!("zone[{i}].corners"), zone.corners.len(), MAX_CORNERS);
    }
    for (i, solid) in file.solid.iter().enumerate() {
        most(
            &format!("solid[{i}].footprint"),
            solid.footprint.as_ref().map_or(0, Vec::len),
            MAX_CORNERS,
        );
    }
    for (i, panel) in file.panel.iter().enumerate() {
        most(&format!("panel[{i}].corners"), panel.corners.len(), MAX_CORNERS);
    }
    for (i, camera) in file.camera.iter().enumerate() {
        most(&format!("camera[{i}].looks_at"), camera.looks_at.len(), MAX_CORNERS);
        most(&format!("camera[{i}].aim"), camera.aim.len(), MAX_CORNERS);
    }
    most("candidate", file.candidate.len(), MAX_CAMERAS);
    for (i, candidate) in file.candidate.iter().enumerate() {
        let key = format!("candidate[{i}]");
        most(&format!("{key}.looks_at"), candidate.looks_at.len(), MAX_CORNERS);
        most(&format!("{key}.aim"), candidate.aim.len(), MAX_CORNERS);
        most(&format!("{key}.deck"), candidate.deck.as_ref().map_or(0, Vec::len), MAX_CORNERS);
    }
    names(file, problems);
    occluders
}

fn names(file: &VenueFile, problems: &mut Problems) {
    let mut check = |key: String, name: &str| {
        if name.chars().count() > MAX_NAME || name.chars().any(char::is_control) {
            problems.add(
                key,
                "a name that does not fit",
                format!("up to {MAX_NAME} characters on one line"),
            );
        }
    };
    check("title".into(), &file.title);
    let tables = [
        ("zone", file.zone.iter().map(|t| &t.name).collect::<Vec<_>>()),
        ("stand", file.stand.iter().map(|t| &t.name).collect()),
        ("bowl", file.bowl.iter().map(|t| &t.name).collect()),
        ("grandstand", file.grandstand.iter().map(|t| &t.name).collect()),
        ("solid", file.solid.iter().map(|t| &t.name).collect()),
        ("tree", file.tree.iter().map(|t| &t.name).collect()),
        ("panel", file.panel.iter().map(|t| &t.name).collect()),
        ("mesh", file.mesh.iter().map(|t| &t.name).collect()),
        ("gantry", file.gantry.iter().map(|t| &t.name).collect()),
        ("camera", file.camera.iter().map(|t| &t.name).collect()),
        ("candidate", file.candidate.iter().map(|t| &t.name).collect()),
    ];
    for (i, moving) in file.moving.iter().enumerate() {
        check(format!("moving[{i}].name"), &moving.name);
        for (j, state) in moving.state.iter().enumerate() {
            check(format!("moving[{i}].state[{j}].name"), &state.name);
        }
    }
    for (table, names) in tables {
        for (i, name) in names.into_iter().enumerate() {
            check(format!("{table}[{i}].name"), name);
        }
    }
}
