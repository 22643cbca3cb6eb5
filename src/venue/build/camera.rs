//! Camera positions and what they look at.

use geo::Centroid;
use glam::DVec3;

use crate::base::frame::{FieldPoint, area_vector};
use crate::base::units::Lux;
use crate::venue::file::{CameraTable, GantryTable, VenueFile};
use crate::venue::model::{CameraPost, Sway, Zone};
use crate::venue::occluder::{Occluder, Shape};
use crate::venue::problem::Problems;

use super::crew::exposure;
use super::field::BuiltField;
use super::lens::{at_focal_length, check_zoom, field_of_view};
use super::nearest;

pub(super) fn cameras(
    file: &VenueFile,
    ground: &BuiltField,
    zones: &[Zone],
    occluders: &[Occluder],
    problems: &mut Problems,
) -> Vec<CameraPost> {
    let mut posts = Vec::new();
    for (i, table) in file.camera.iter().enumerate() {
        let key = format!("camera[{i}]");
        let at = position(table, file, ground, &key, problems);
        let exposure = exposure(file, table.exposure.as_ref(), &key, problems);
        let lens = field_of_view(table, &exposure, &key, problems);
        let aims = aims(table, ground, zones, &key, problems);
        let (Some(at), Some(horizontal_fov_deg), Some(aims)) = (at, lens, aims) else { continue };
        if let Some(name) = inside_of(at, occluders) {
            problems.add(
                where_of(table, &key),
                format!("a camera inside \"{name}\""),
                "a place outside of all decks and solids",
            );
            continue;
        }
        let name = table.name.trim().to_owned();
        let floodlight = floodlight(table, file, &key, problems);
        let aspect = table.aspect;
        let exposure = at_focal_length(exposure, table, horizontal_fov_deg);
        check_zoom(&exposure, &key, problems);
        let sway = sway(table);
        posts.push(CameraPost {
            name,
            at,
            aims,
            horizontal_fov_deg,
            aspect,
            floodlight,
            exposure,
            sway,
        });
    }
    posts
}

pub(super) fn sway(table: &CameraTable) -> Sway {
    Sway { metres: table.sway_m, degrees: table.sway_deg }
}

fn floodlight(
    table: &CameraTable,
    file: &VenueFile,
    key: &str,
    problems: &mut Problems,
) -> Option<Lux> {
    if table.floodlight_lx.is_some() && file.floodlights.is_none() {
        problems.add(
            format!("{key}.floodlight_lx"),
            "floodlight on a camera without [floodlights]",
            "a table [floodlights] as well",
        );
    }
    table.floodlight_lx.map(Lux::from_lux)
}

fn where_of(table: &CameraTable, key: &str) -> String {
    let field = if table.at.is_some() { "at" } else { "gantry" };
    format!("{key}.{field}")
}

fn position(
    table: &CameraTable,
    file: &VenueFile,
    ground: &BuiltField,
    key: &str,
    problems: &mut Problems,
) -> Option<DVec3> {
    let [along_m, across_m, up_m] = match (table.at, &table.gantry) {
        (Some(at), None) => {
            if table.offset_m.is_some() {
                problems.add(
                    format!("{key}.offset_m"),
                    "an offset without a gantry",
                    "at alone, or gantry with offset_m",
                );
            }
            at
        }
        (None, Some(name)) => on_gantry(name, table.offset_m, file, key, problems)?,
        (Some(_), Some(_)) => {
            problems.add(format!("{key}.gantry"), "both at and gantry", "one of the two");
            return None;
        }
        (None, None) => {
            problems.add(
                format!("{key}.at"),
                "a camera without a place",
                "at = [along, across, up], or gantry with offset_m",
            );
            return None;
        }
    };
    if up_m < 0.0 {
        problems.add(
            where_of(table, key),
            format!("a camera {:.2} m under ground", -up_m),
            "a height of 0 m or more",
        );
        return None;
    }
    let base = table.at.map_or(0.0, |_| ground.base_m([along_m, across_m]));
    Some(ground.frame.to_local(FieldPoint { along_m, across_m, up_m: base + up_m }))
}

/// The gantry of a name.
pub(super) fn gantry<'a>(
    name: &str,
    file: &'a VenueFile,
    key: &str,
    problems: &mut Problems,
) -> Option<&'a GantryTable> {
    let found = file.gantry.iter().find(|g| g.name.trim() == name.trim());
    if found.is_none() {
        let help = nearest(name, file.gantry.iter().map(|g| g.name.as_str()));
        problems.add_with_help(
            format!("{key}.gantry"),
            format!("\"{name}\""),
            "the name of a gantry",
            help.map_or_else(
                || "add a [[gantry]] of that name".into(),
                |n| format!("did you mean \"{n}\"?"),
            ),
        );
    }
    found
}

fn on_gantry(
    name: &str,
    offset_m: Option<f64>,
    file: &VenueFile,
    key: &str,
    problems: &mut Problems,
) -> Option<[f64; 3]> {
    let gantry = gantry(name, file, key, problems)?;
    let (from, to) = (DVec3::from(gantry.from), DVec3::from(gantry.to));
    let length = from.distance(to);
    let Some(offset) = offset_m else {
        problems.add(
            format!("{key}.offset_m"),
            "a gantry without an offset",
            format!("0 to {length:.2} m"),
        );
        return None;
    };
    if offset > length {
        problems.add(
            format!("{key}.offset_m"),
            format!("{offset} m"),
            format!("at most the gantry's length, {length:.2} m"),
        );
        return None;
    }
    let share = if length > 0.0 { offset / length } else { 0.0 };
    Some(from.lerp(to, share).to_array())
}

/// Marks and zones by name, then points; the centre of play when nothing is
/// stated.
pub(super) fn aims(
    table: &CameraTable,
    ground: &BuiltField,
    zones: &[Zone],
    key: &str,
    problems: &mut Problems,
) -> Option<Vec<DVec3>> {
    let mut aims = Vec::new();
    let mut known = true;
    for name in &table.looks_at {
        let name = name.trim();
        let mark = ground.field.marks.iter().find(|m| m.name == name).map(|m| m.at);
        let zone = || zones.iter().find(|z| z.name == name)?.outline.centroid().map(|p| p.0);
        if let Some(at) = mark.or_else(zone) {
            aims.push(on_ground(DVec3::new(at.x, at.y, 0.0), ground));
            continue;
        }
        known = false;
        let names = ground.field.marks.iter().map(|m| m.name.as_str());
        let names = names.chain(zones.iter().map(|z| z.name.as_str()));
        let help = nearest(name, names.clone()).map_or_else(
            || format!("known are: {}", names.collect::<Vec<_>>().join(", ")),
            |n| format!("did you mean \"{n}\"?"),
        );
        problems.add_with_help(
            format!("{key}.looks_at"),
            format!("\"{name}\""),
            "names of marks and zones",
            help,
        );
    }
    let point = |p: &[f64; 2]| ground.frame.to_local(FieldPoint::on_ground(p[0], p[1]));
    aims.extend(table.aim.iter().map(|p| on_ground(point(p), ground)));
    if aims.is_empty() {
        aims.push(on_ground(DVec3::ZERO, ground));
    }
    known.then_some(aims)
}

fn on_ground(at: DVec3, ground: &BuiltField) -> DVec3 {
    at.with_z(ground.relief.as_ref().map_or(0.0, |relief| relief.height_m(at.x, at.y)))
}

/// The closed body that holds a point, if any.
pub(super) fn inside_of(at: DVec3, occluders: &[Occluder]) -> Option<&str> {
    let holds = |shape: &Shape| {
        let Shape::Convex { vertices, faces } = shape else { return false };
        faces.iter().all(|face| {
            let normal = area_vector(face.iter().map(|&i| vertices[i]));
            normal.dot(at - vertices[face[0]]) < 0.0
        })
    };
    let found = occluders
        .iter()
        .find(|o| o.bodies.iter().any(|b| b.passes.is_ever_opaque() && holds(&b.shape)));
    found.map(|o| o.name.as_str())
}
