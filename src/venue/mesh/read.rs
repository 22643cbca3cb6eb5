//! From the name of a mesh file to meshes that stand at the field.
//!
//! In: a folder, a file in it, where the mesh stands and which of its groups count.
//! Out: [`PlacedMesh`]: meshes in the local frame, what was brought in, and what of it
//! is low enough to stand in the way of play.

use std::path::{Component, Path, PathBuf};

use glam::DVec3;

use crate::base::bounded;
use crate::base::bounded::Bounded;
use crate::base::frame::{FieldFrame, FieldPoint};
use crate::base::limits::{MAX_MESH_BYTES, MAX_PIECES};
use crate::base::plane::clip;

use super::fault::MeshFault;
use super::place::MeshPlace;
use super::raw::{MeshNote, RawMesh};
use super::triangles::{MeshSurface, TriangleMesh};
use super::weld::{Welded, weld};
use super::{gltf_file, obj_file};

/// What can be read, for messages.
pub const READABLE: &str = "a mesh file that ends in .obj, .gltf or .glb";
/// A corner farther from the centre of play than this is a slip of unit or place,
/// metres.
const MAX_COORDINATE_M: f64 = 5_000.0;
/// Under this height a thing stands in the way of play, metres.
const IN_PLAY_M: f64 = 2.5;

/// Which groups of a file count.
#[derive(Debug, Clone, Copy, Default)]
pub struct Picked<'a> {
    /// Only these; all where it is `None`.
    pub only: Option<&'a [String]>,
    /// Not these.
    pub without: &'a [String],
}

/// A mesh that stands at the field.
#[derive(Debug)]
pub struct PlacedMesh {
    /// Closed pieces and open ones, as far as there are such.
    pub meshes: Vec<TriangleMesh>,
    pub note: MeshNote,
    /// For each group, what of it lies between the plane of play and 2.5 m, as rings
    /// in field axes.
    pub low: Vec<(String, Vec<Vec<[f64; 2]>>)>,
}

/// Reads a mesh file and puts it in its place. `name` is that of the occluder.
///
/// # Errors
/// [`MeshFault`] for a file that may not or cannot be read, says what it may not, or
/// lies too far off.
pub fn placed(
    (folder, file, name): (&Path, &str, &str),
    place: &MeshPlace,
    picked: Picked<'_>,
    frame: FieldFrame,
) -> Result<PlacedMesh, MeshFault> {
    let path = beside(folder, file)?;
    let mut raw = raw(&path, file)?;
    let left_out = pick(&mut raw, picked, file)?;
    let points = field_points(&raw, place, file)?;
    let low = raw.groups.iter().map(|g| (g.name.clone(), low_rings(&points, &g.triangles)));
    let low = low.filter(|(_, rings)| !rings.is_empty()).collect();
    let in_field: Vec<DVec3> =
        points.iter().map(|p| DVec3::new(p.along_m, p.across_m, p.up_m)).collect();
    let used = raw.groups.iter().flat_map(|g| g.triangles.iter().copied());
    let welded = weld(&in_field, used, &mut raw.skipped);
    if welded.closed.is_empty() && welded.open.is_empty() {
        return Err(MeshFault::new(format!("`{file}` without a triangle"), "faces with an area"));
    }
    let pieces = welded.closed_pieces + welded.open_pieces;
    if pieces > MAX_PIECES {
        let found = format!("`{file}`, which has {pieces} pieces: triangles that share no side");
        return Err(MeshFault::new(found, format!("at most {MAX_PIECES}"))
            .help("leave out leaves, seats and the like, or join corners that belong together"));
    }
    let note = note(&raw, &welded, (name, file), left_out, place);
    Ok(PlacedMesh { meshes: meshes(welded, frame), note, low })
}

/// Files that a mesh file needs beside it, by their names from its folder.
///
/// # Errors
/// [`MeshFault`] for a file that cannot be read.
pub fn companions(path: &Path) -> Result<Vec<String>, MeshFault> {
    let file = path.file_name().unwrap_or_default().to_string_lossy();
    match path.extension().is_some_and(|e| e.eq_ignore_ascii_case("gltf")) {
        true => gltf_file::companions(&bytes_of(path, &file)?, &file),
        false => Ok(Vec::new()),
    }
}

/// The files that the meshes of a venue file came from, and those that these need beside
/// them, each once; `venue_file` is its path. A file that cannot be read any more is named
/// all the same.
pub fn files_of(venue_file: &Path, notes: &[MeshNote]) -> Vec<PathBuf> {
    let folder = venue_file.parent().unwrap_or(Path::new(""));
    let mut files: Vec<PathBuf> = Vec::new();
    for model in notes.iter().map(|note| folder.join(&note.file)) {
        let beside = model.parent().unwrap_or(Path::new("")).to_owned();
        let needed = companions(&model).unwrap_or_default();
        files.push(model);
        files.extend(needed.iter().map(|name| beside.join(name)));
    }
    files.sort();
    files.dedup();
    files
}

/// A file in a folder or under it.
///
/// # Errors
/// [`MeshFault`] for a path that leads anywhere else.
pub(super) fn beside(folder: &Path, file: &str) -> Result<PathBuf, MeshFault> {
    let allowed = "a file in the folder of the file that names it, or below";
    let within = |c: Component| matches!(c, Component::Normal(_) | Component::CurDir);
    // a backslash or a drive is a way out on one system and a name on another
    let sound = !file.trim().is_empty() && !file.contains(['\\', ':', '\0']);
    if !sound || !Path::new(file).components().all(within) {
        let help = "put it there, and name it by a relative path without `..`";
        return Err(MeshFault::new(format!("\"{file}\""), allowed).help(help));
    }
    let unreadable = |cause: std::io::Error| {
        MeshFault::new(format!("`{file}`, which cannot be read: {cause}"), allowed)
    };
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let path = folder.join(file).canonicalize().map_err(unreadable)?;
    if !path.starts_with(folder.canonicalize().map_err(unreadable)?) {
        return Err(MeshFault::new(format!("`{file}`, a link that leads out"), allowed));
    }
    Ok(path)
}

/// All bytes of a file that is not too large.
pub(super) fn bytes_of(path: &Path, file: &str) -> Result<Vec<u8>, MeshFault> {
    let fault = match bounded::read(path, MAX_MESH_BYTES) {
        Ok(Bounded::Whole(bytes)) => return Ok(bytes),
        Ok(Bounded::Larger { .. }) => {
            let found = format!("`{file}`, which has more than {MAX_MESH_BYTES} bytes");
            MeshFault::new(found, "a smaller file")
                .help("leave out small things such as seats and rails, or simplify the model")
        }
        Ok(Bounded::Folder) => MeshFault::new(format!("`{file}`, a folder"), READABLE),
        Err(cause) => MeshFault::new(format!("`{file}`, which cannot be read: {cause}"), READABLE),
    };
    Err(fault)
}

fn raw(path: &Path, file: &str) -> Result<RawMesh, MeshFault> {
    let extension = path.extension().map(|e| e.to_string_lossy().to_lowercase());
    match extension.as_deref() {
        Some("obj") => obj_file::read(&bytes_of(path, file)?, file),
        Some("gltf" | "glb") => {
            let folder = path.parent().unwrap_or(Path::new(""));
            gltf_file::read(&bytes_of(path, file)?, file, folder)
        }
        _ => Err(MeshFault::new(format!("`{file}`"), READABLE)),
    }
}

/// Leaves the groups that count; gives back the others with their triangles.
fn pick(
    raw: &mut RawMesh,
    picked: Picked<'_>,
    file: &str,
) -> Result<Vec<(String, usize)>, MeshFault> {
    let known = |name: &String| raw.groups.iter().any(|g| g.names.contains(name));
    let asked = picked.only.unwrap_or_default().iter().chain(picked.without);
    if let Some(unknown) = asked.into_iter().find(|name| !known(name)) {
        let mut names: Vec<&str> =
            raw.groups.iter().flat_map(|g| &g.names).map(String::as_str).collect();
        names.sort_unstable();
        names.dedup();
        let list = match names.len() {
            0 => "none: the file names no groups".to_owned(),
            1..=12 => format!("\"{}\"", names.join("\", \"")),
            many => format!("\"{}\" and {} more", names[..12].join("\", \""), many - 12),
        };
        return Err(MeshFault::new(format!("\"{unknown}\", which `{file}` has not"), list));
    }
    let counts = |names: &[String]| {
        picked.only.is_none_or(|only| only.iter().any(|n| names.contains(n)))
            && !picked.without.iter().any(|n| names.contains(n))
    };
    let mut left_out = Vec::new();
    raw.groups.retain(|group| {
        let kept = counts(&group.names);
        if !kept {
            left_out.push((group.name.clone(), group.triangles.len()));
        }
        kept && !group.triangles.is_empty()
    });
    Ok(left_out)
}

fn field_points(
    raw: &RawMesh,
    place: &MeshPlace,
    file: &str,
) -> Result<Vec<FieldPoint>, MeshFault> {
    let mut used = vec![false; raw.points.len()];
    for i in raw.groups.iter().flat_map(|g| g.triangles.iter().flatten()) {
        used[*i as usize] = true;
    }
    let points: Vec<FieldPoint> = raw.points.iter().map(|p| place.to_field(*p)).collect();
    // what is no number is within nothing
    let near = |p: &FieldPoint| {
        [p.along_m, p.across_m, p.up_m].iter().all(|v| v.abs() <= MAX_COORDINATE_M)
    };
    match points.iter().zip(&used).position(|(p, used)| *used && !near(p)) {
        None => Ok(points),
        Some(at) => {
            let (p, said) = (points[at], raw.points[at]);
            Err(MeshFault::new(
                format!(
                    "`{file}` with a point at [{}, {}, {}], which lies {} m along, {} m across \
                     and {} m up",
                    said.x, said.y, said.z, p.along_m as f32, p.across_m as f32, p.up_m as f32
                ),
                format!("points within {MAX_COORDINATE_M} m of the centre of play"),
            )
            .help("look at metres_per_unit, up and at"))
        }
    }
}

/// What of triangles lies in the way of play, seen from above.
fn low_rings(points: &[FieldPoint], triangles: &[[u32; 3]]) -> Vec<Vec<[f64; 2]>> {
    let low = |t: &[u32; 3]| {
        let ring: Vec<DVec3> = t
            .iter()
            .map(|&i| points[i as usize])
            .map(|p| DVec3::new(p.along_m, p.across_m, p.up_m))
            .collect();
        let (mut over, mut between) = (Vec::new(), Vec::new());
        let cut = |a: DVec3, b: DVec3, share: f64| a.lerp(b, share);
        clip(&ring, &mut over, |p| p.z, cut);
        clip(&over, &mut between, |p| IN_PLAY_M - p.z, cut);
        (between.len() > 2).then(|| between.iter().map(|p| [p.x, p.y]).collect())
    };
    triangles.iter().filter_map(low).collect()
}

fn meshes(welded: Welded, frame: FieldFrame) -> Vec<TriangleMesh> {
    let Welded { vertices, closed, open, .. } = welded;
    let surfaces = [(closed, MeshSurface::Closed), (open, MeshSurface::Open)];
    surfaces
        .into_iter()
        .filter(|(triangles, _)| !triangles.is_empty())
        .map(|(triangles, surface)| {
            let (corners, triangles) = only_used(&vertices, &triangles);
            let local =
                |p: &DVec3| frame.to_local(FieldPoint { along_m: p.x, across_m: p.y, up_m: p.z });
            TriangleMesh::new(corners.iter().map(local).collect(), triangles, surface)
        })
        .collect()
}

/// The corners that triangles use, and the triangles with indices into them.
fn only_used(vertices: &[DVec3], triangles: &[[u32; 3]]) -> (Vec<DVec3>, Vec<[u32; 3]>) {
    let mut place: Vec<Option<u32>> = vec![None; vertices.len()];
    let mut corners = Vec::new();
    let moved = triangles.iter().map(|t| {
        t.map(|i| {
            *place[i as usize].get_or_insert_with(|| {
                corners.push(vertices[i as usize]);
                corners.len() as u32 - 1
            })
        })
    });
    let moved = moved.collect();
    (corners, moved)
}

fn note(
    raw: &RawMesh,
    welded: &Welded,
    (name, file): (&str, &str),
    left_out: Vec<(String, usize)>,
    place: &MeshPlace,
) -> MeshNote {
    let used: Vec<DVec3> = raw
        .groups
        .iter()
        .flat_map(|g| g.triangles.iter().flatten())
        .map(|&i| raw.points[i as usize] * place.metres_per_unit)
        .collect();
    let triangles = welded.closed.iter().chain(&welded.open);
    let in_field: Vec<DVec3> = triangles.flatten().map(|&i| welded.vertices[i as usize]).collect();
    let [low, high] = box_of(&in_field);
    let point = |p: DVec3| FieldPoint { along_m: p.x, across_m: p.y, up_m: p.z };
    MeshNote {
        name: name.to_owned(),
        file: file.to_owned(),
        triangles: welded.closed.len() + welded.open.len(),
        closed_pieces: welded.closed_pieces,
        open_pieces: welded.open_pieces,
        groups: raw.groups.iter().map(|g| (g.name.clone(), g.triangles.len())).collect(),
        left_out,
        file_box_m: box_of(&used),
        field_box: [point(low), point(high)],
        under_ground_share: under_ground_share(welded),
        skipped: raw.skipped.clone(),
    }
}

fn under_ground_share(welded: &Welded) -> f64 {
    let (mut under_m2, mut all_m2) = (0.0, 0.0);
    for triangle in welded.closed.iter().chain(&welded.open) {
        let [a, b, c] = triangle.map(|i| welded.vertices[i as usize]);
        let area_m2 = 0.5 * (b - a).cross(c - a).length();
        all_m2 += area_m2;
        under_m2 += if a.z + b.z + c.z < 0.0 { area_m2 } else { 0.0 };
    }
    if all_m2 > 0.0 { under_m2 / all_m2 } else { 0.0 }
}

fn box_of(points: &[DVec3]) -> [DVec3; 2] {
    let first = points.first().copied().unwrap_or(DVec3::ZERO);
    points.iter().fold([first; 2], |[low, high], p| [low.min(*p), high.max(*p)])
}
