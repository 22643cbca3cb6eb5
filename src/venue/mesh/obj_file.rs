//! Wavefront OBJ.
//!
//! In: the bytes of a file. Out: points and triangles, polygons cut, one group for
//! each name of an `o` or `g` line. Lines, points and curves are counted and left
//! out; materials, texture coordinates and normals say nothing about shade.
//!
//! Crate `tobj` reads numbers, faces and relative indices. It is handed the lines
//! that matter alone: it would make faces of polylines, and cut polygons as fans.

use std::collections::HashSet;
use std::io::{BufRead, Cursor, Read};

use glam::DVec3;
use tobj::{LoadError, LoadOptions};

use super::cut::cut;
use super::fault::MeshFault;
use super::raw::RawMesh;

/// A face of more corners than this is no face of a building.
const MAX_CORNERS: usize = 2_000;
const AS_THEY_ARE: LoadOptions = LoadOptions {
    single_index: false,
    triangulate: false,
    ignore_points: false,
    ignore_lines: false,
};

/// Reads a file; `file` is what messages call it.
pub(super) fn read(bytes: &[u8], file: &str) -> Result<RawMesh, MeshFault> {
    let text = std::str::from_utf8(bytes).map_err(|fault| {
        let line = 1 + bytes[..fault.valid_up_to()].iter().filter(|b| **b == b'\n').count();
        MeshFault::new(format!("`{file}`, line {line}: bytes that are no text"), "text in UTF-8")
    })?;
    let mut raw = RawMesh::default();
    // editors of some systems put a mark in front of UTF-8
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let lines = relevant(text, &mut raw);
    let mut counted = Counted { inner: Cursor::new(lines.text.as_bytes()), lines: 0 };
    // no material is looked up: nothing but this file is opened
    let loaded = tobj::load_obj_buf(&mut counted, &AS_THEY_ARE, |_| Err(LoadError::OpenFileFailed));
    let (models, _) = loaded.map_err(|fault| {
        let line = lines.numbers.get(counted.lines.saturating_sub(1)).copied();
        explained(&fault, line, &lines, file)
    })?;
    for model in &models {
        add(&mut raw, model, file)?;
    }
    if let Some(at) = raw.points.iter().position(|p| !p.is_finite()) {
        let said = raw.points[at];
        return Err(MeshFault::new(
            format!("`{file}`: a vertex at [{}, {}, {}]", said.x, said.y, said.z),
            "numbers that are finite",
        ));
    }
    Ok(raw)
}

/// Lines that tell of points, faces and groups, and their numbers in the file.
struct Relevant {
    text: String,
    numbers: Vec<usize>,
}

/// Sorts out lines; what is left out is counted.
fn relevant(text: &str, raw: &mut RawMesh) -> Relevant {
    let mut kept = Relevant { text: String::new(), numbers: Vec::new() };
    let mut materials = HashSet::new();
    let mut lines = text.lines().enumerate();
    while let Some((number, line)) = lines.next() {
        let mut whole = line.trim().to_owned();
        // a backslash at the end carries a line on
        while whole.ends_with('\\') {
            whole.pop();
            whole.push(' ');
            whole += lines.next().map_or("", |(_, next)| next.trim());
        }
        let (word, rest) = whole.split_once(char::is_whitespace).unwrap_or((&whole, ""));
        match word {
            "v" | "f" | "o" | "g" => {
                let few = word == "f" && rest.split_whitespace().count() < 3;
                if few {
                    raw.skipped.add("faces of less than three corners", 1);
                    continue;
                }
                kept.text.extend([word, " ", rest, "\n"]);
                kept.numbers.push(number + 1);
            }
            "l" => raw.skipped.add("lines", 1),
            "p" => raw.skipped.add("points", 1),
            "curv" | "curv2" | "surf" => raw.skipped.add("curves and curved surfaces", 1),
            "usemtl" => {
                materials.insert(rest.trim().to_owned());
            }
            _ => {}
        }
    }
    raw.skipped.add("materials", materials.len());
    kept
}

/// Counts the lines that a reader has taken.
struct Counted<R> {
    inner: R,
    lines: usize,
}

impl<R: Read> Read for Counted<R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        self.inner.read(buffer)
    }
}

impl<R: BufRead> BufRead for Counted<R> {
    fn fill_buf(&mut self) -> std::io::Result<&[u8]> {
        self.inner.fill_buf()
    }

    fn consume(&mut self, amount: usize) {
        let taken = self.inner.fill_buf().map_or(0, |buffer| {
            buffer[..amount.min(buffer.len())].iter().filter(|b| **b == b'\n').count()
        });
        self.lines += taken;
        self.inner.consume(amount);
    }
}

fn explained(fault: &LoadError, line: Option<usize>, lines: &Relevant, file: &str) -> MeshFault {
    let at = |line: Option<usize>| match line {
        Some(line) => format!("`{file}`, line {line}"),
        None => format!("`{file}`"),
    };
    match fault {
        LoadError::PositionParseError
        | LoadError::ColorParseError
        | LoadError::ScalingByZeroError => MeshFault::new(
            format!("{}: a vertex that is not three numbers", at(line)),
            "v X Y Z, with a weight or a colour after it or not",
        ),
        LoadError::FaceParseError => MeshFault::new(
            format!("{}: a face whose corners are not indices", at(line)),
            "f I J K ..., each a number, or numbers with slashes between",
        ),
        // told when a group ends, not at the line itself
        LoadError::FaceVertexOutOfBounds => match out_of_bounds(lines) {
            Some((line, index, count)) => MeshFault::new(
                format!("{}: a face with the vertex {index}", at(Some(line))),
                format!("1 to {count}, or -1 to -{count}, the vertices so far"),
            ),
            None => MeshFault::new(
                format!("{}: a face with a vertex that there is not", at(None)),
                "indices of vertices",
            ),
        },
        other => MeshFault::new(format!("{}: {other}", at(line)), "Wavefront OBJ"),
    }
}

/// The first face that names a vertex that there is not: its line, the index, and
/// how many vertices the file has by then.
fn out_of_bounds(lines: &Relevant) -> Option<(usize, i64, i64)> {
    let mut count = 0;
    let whole = lines.text.lines().filter(|l| l.starts_with("v ")).count() as i64;
    for (line, number) in lines.text.lines().zip(&lines.numbers) {
        let mut words = line.split_whitespace();
        match words.next() {
            Some("v") => count += 1,
            Some("f") => {
                for word in words {
                    let index: i64 = word.split('/').next()?.parse().ok()?;
                    let within = if index < 0 { -index <= count } else { index <= whole };
                    if index == 0 || !within {
                        return Some((*number, index, if index < 0 { count } else { whole }));
                    }
                }
            }
            _ => {}
        }
    }
    None
}

fn add(raw: &mut RawMesh, model: &tobj::Model, file: &str) -> Result<(), MeshFault> {
    let first = raw.points.len();
    let mesh = &model.mesh;
    raw.points.extend(mesh.positions.chunks_exact(3).map(DVec3::from_slice));
    let corners: usize = mesh.indices.len();
    let rings: Vec<&[u32]> = rings(&mesh.indices, &mesh.face_arities).collect();
    raw.room_for(corners.saturating_sub(2 * rings.len()))
        .map_err(|fault| MeshFault { found: format!("`{file}` with {}", fault.found), ..fault })?;
    let (mut triangles, mut crossed) = (Vec::new(), 0);
    let mut ring: Vec<DVec3> = Vec::new();
    for indices in rings {
        if indices.len() > MAX_CORNERS {
            return Err(MeshFault::new(
                format!("`{file}`: a face with {} corners in \"{}\"", indices.len(), model.name),
                format!("at most {MAX_CORNERS}"),
            ));
        }
        ring.clear();
        ring.extend(indices.iter().filter_map(|&i| raw.points.get(first + i as usize)));
        if ring.len() != indices.len() || !ring.iter().all(|p| p.is_finite()) {
            continue; // a point that is none is told of once all are there
        }
        let cut = cut(&ring);
        crossed += usize::from(!cut.fills);
        triangles.extend(cut.triangles.iter().map(|t| t.map(|i| first as u32 + indices[i])));
    }
    raw.skipped.add("faces that cross themselves, cut as well as it goes", crossed);
    let mut names: Vec<String> = vec![model.name.clone()];
    names.extend(model.name.split_whitespace().map(str::to_owned));
    names.dedup();
    raw.group(&model.name, names).triangles.extend(triangles);
    Ok(())
}

/// The faces of a mesh; without arities all are triangles.
fn rings<'m>(indices: &'m [u32], arities: &'m [u32]) -> impl Iterator<Item = &'m [u32]> {
    let mut rest = indices;
    let mut next = arities.iter();
    std::iter::from_fn(move || {
        let count = match (arities.is_empty(), rest.is_empty()) {
            (_, true) => return None,
            (true, false) => 3,
            (false, false) => *next.next()? as usize,
        };
        let (ring, more) = rest.split_at_checked(count)?;
        rest = more;
        Some(ring)
    })
}
