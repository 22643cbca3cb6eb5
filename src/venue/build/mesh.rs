//! Meshes.

use std::path::Path;
use std::sync::Arc;

use crate::base::frame::FieldPoint;
use crate::base::limits::{MAX_PIECES, MAX_TRIANGLES};
use crate::venue::file::MeshTable;
use crate::venue::mesh::{MeshFault, MeshNote, MeshPlace, Picked, placed};
use crate::venue::occluder::{Body, Occluder, OccluderKind, Part, Passes, Shape};
use crate::venue::problem::Problems;

use super::field::BuiltField;
use super::profile::{Passing, check_sheet};

/// Concrete, seats and paint together: common practice, no source.
const REFLECTANCE: f64 = 0.3;
/// Groups on the field of play that a message names.
const MAX_NAMED: usize = 3;

/// Where the files of meshes are to be found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeshFiles<'a> {
    /// Nowhere: a venue that names one has a problem.
    Refused,
    /// In this folder.
    In(&'a Path),
    /// They have been read with this venue before and are not looked at again; the
    /// venue is built without them.
    Trusted,
}

impl<'a> MeshFiles<'a> {
    /// In the folder, where there is one.
    pub fn in_folder(folder: Option<&'a Path>) -> Self {
        folder.map_or(Self::Refused, Self::In)
    }
}

/// All meshes of a file, in its order.
pub(super) fn meshes(
    tables: &[MeshTable],
    files: MeshFiles,
    ground: &BuiltField,
    problems: &mut Problems,
) -> Vec<(Occluder, MeshNote)> {
    let (mut triangles, mut pieces) = (0, 0);
    let mut built = Vec::new();
    for (i, table) in tables.iter().enumerate() {
        let key = format!("mesh[{i}]");
        let folder = match files {
            MeshFiles::In(folder) => folder,
            MeshFiles::Trusted => continue,
            MeshFiles::Refused => {
                problems.add_with_help(
                    format!("{key}.file"),
                    format!("\"{}\", and no folder to look for it in", table.file),
                    "a mesh in a venue that is read from a file",
                    "read the venue from its file, not from text alone",
                );
                continue;
            }
        };
        let Some((occluder, note)) = mesh(table, &key, folder, ground, problems) else { continue };
        triangles += note.triangles;
        if triangles > MAX_TRIANGLES {
            problems.add(
                format!("{key}.file"),
                format!("{triangles} triangles in all meshes so far"),
                format!("at most {MAX_TRIANGLES}"),
            );
            break;
        }
        pieces += note.closed_pieces + note.open_pieces;
        if pieces > MAX_PIECES {
            problems.add(
                format!("{key}.file"),
                format!("{pieces} pieces, which share no sides, in all meshes so far"),
                format!("at most {MAX_PIECES}"),
            );
            break;
        }
        built.push((occluder, note));
    }
    built
}

fn mesh(
    table: &MeshTable,
    key: &str,
    folder: &Path,
    ground: &BuiltField,
    problems: &mut Problems,
) -> Option<(Occluder, MeshNote)> {
    let stated = format!("{key}.reflectance");
    if !check_sheet(table.reflectance, table.transmittance, stated, problems) {
        return None;
    }
    let [along_m, across_m, up_m] = table.at;
    let place = MeshPlace {
        metres_per_unit: table.metres_per_unit,
        up: table.up,
        at: FieldPoint { along_m, across_m, up_m },
        turned_deg: table.turned_deg,
    };
    let picked = Picked { only: table.only.as_deref(), without: &table.without };
    let name = table.name.trim();
    let placed = match placed((folder, &table.file, name), &place, picked, ground.frame) {
        Ok(placed) => placed,
        Err(MeshFault { found, allowed, help }) => {
            let help = help.unwrap_or_default();
            problems.add_with_help(format!("{key}.file"), found, allowed, help);
            return None;
        }
    };
    if !over_ground(&placed.note, key, problems) || !off_field(&placed.low, key, ground, problems) {
        return None;
    }
    let passing = Passing::new(table.transmittance, table.scattered_share);
    let (passes, scatters) = (Passes::Always(passing.straight), passing.scattered);
    let reflectance = table.reflectance.unwrap_or(REFLECTANCE).min(1.0 - table.transmittance);
    let body = |mesh| Body {
        part: Part::Mesh,
        shape: Shape::Mesh(Arc::new(mesh)),
        passes,
        reflectance,
        scatters,
        lit: None,
    };
    let occluder = Occluder {
        name: name.to_owned(),
        kind: OccluderKind::Mesh,
        bodies: placed.meshes.into_iter().map(body).collect(),
    };
    Some((occluder, placed.note))
}

/// Notes a mesh of which nothing rises over the plane of the field; whether it does.
fn over_ground(note: &MeshNote, key: &str, problems: &mut Problems) -> bool {
    let highest_m = note.field_box[1].up_m;
    if highest_m > 0.0 {
        return true;
    }
    problems.add_with_help(
        format!("{key}.at"),
        format!("a mesh all under the ground, its highest point {:.2} m down", -highest_m),
        "a mesh that rises over the plane of the field",
        "look at the last number of `at`, at `up` and at `metres_per_unit`; its file may count \
         heights from the sea",
    );
    false
}

/// Notes groups that stand on the field of play, such as a pitch that was drawn with
/// the stand and would shade itself; whether there are none.
fn off_field(
    low: &[(String, Vec<Vec<[f64; 2]>>)],
    key: &str,
    ground: &BuiltField,
    problems: &mut Problems,
) -> bool {
    let near = |ring: &[[f64; 2]]| {
        (0..2).all(|i| {
            ring.iter().any(|p| p[i] > ground.min[i]) && ring.iter().any(|p| p[i] < ground.max[i])
        })
    };
    let mut on_field: Vec<(f64, &str)> = low
        .iter()
        .map(|(group, rings)| {
            let rings = rings.iter().filter(|ring| near(ring));
            let area: f64 = rings.filter_map(|ring| ground.overlap_m2(ring)).sum();
            (area, group.as_str())
        })
        .filter(|(area, _)| *area > 0.0)
        .collect();
    if on_field.is_empty() {
        return true;
    }
    on_field.sort_by(|a, b| b.0.total_cmp(&a.0));
    let area: f64 = on_field.iter().map(|(area, _)| area).sum();
    let named: Vec<String> =
        on_field.iter().take(MAX_NAMED).map(|(_, group)| format!("\"{group}\"")).collect();
    problems.add_with_help(
        format!("{key}.file"),
        format!("{area:.2} m2 of it, under 2.5 m, on the field of play: {}", named.join(", ")),
        "a mesh beside the field of play",
        "look at `at` and `turned_deg`, or leave such groups out with `without`",
    );
    false
}
