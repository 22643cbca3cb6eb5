//! glTF 2.0, as text (`.gltf`) or in one file (`.glb`).
//!
//! In: the bytes of a file and its folder, where buffers may lie beside it. Out:
//! points and triangles of the scene with the transforms of its nodes, one group for
//! each node and mesh. Nothing is ever fetched. Lines and points are counted and left
//! out, and so are skins and morphs: a mesh stands as it is stored. Compressed and
//! sparse data is refused.
//!
//! Crate `gltf` reads the structure; what the structure says of bytes is checked
//! here before a byte is read.

use std::collections::{HashMap, HashSet};
use std::path::Path;
use std::rc::Rc;

use glam::{DMat4, DQuat, DVec3};
use gltf::accessor::{DataType, Dimensions};
use gltf::buffer::Source;
use gltf::json::validation::{Error as Invalid, Validate};
use gltf::mesh::Mode;
use gltf::scene::Transform;
use gltf::{Document, Gltf, Node, Primitive, Semantic};

use super::fault::MeshFault;
use super::gltf_buffers::{Buffers, decoded};
use super::raw::RawMesh;

/// Nodes in nodes in nodes.
const MAX_DEPTH: usize = 64;
/// A scene of more nodes is no building.
const MAX_NODES: usize = 100_000;
/// Extensions that only say how a surface looks, or add lights: nothing is lost.
const OF_LOOKS: [&str; 5] =
    ["KHR_materials_", "KHR_texture_", "EXT_texture_", "MSFT_texture_", "KHR_lights_"];
/// Length of the header of a `.glb`.
const GLB_HEADER: u32 = 12;

/// Reads a file; `file` is what messages call it, `folder` where it lies.
pub(super) fn read(bytes: &[u8], file: &str, folder: &Path) -> Result<RawMesh, MeshFault> {
    let Gltf { document, blob } = structure(bytes, file)?;
    let mut raw = RawMesh::default();
    unused(&document, &mut raw);
    let nodes = document.nodes().len();
    if nodes > MAX_NODES {
        let found = format!("`{file}`: {nodes} nodes");
        return Err(MeshFault::new(found, format!("at most {MAX_NODES}")));
    }
    let buffers = Buffers::new((file, folder), blob, document.buffers().len(), bytes.len() as u64);
    let mut reader = Reader { buffers, seen: HashSet::new() };
    let nameless = Rc::new(Vec::new());
    let mut waiting: Vec<(Node<'_>, DMat4, Rc<Vec<String>>)> = roots(&document)
        .into_iter()
        .rev()
        .map(|node| (node, DMat4::IDENTITY, Rc::clone(&nameless)))
        .collect();
    while let Some((node, parent, above)) = waiting.pop() {
        let mut names = above.to_vec();
        if !reader.seen.insert(node.index()) || names.len() >= MAX_DEPTH {
            return Err(reader.buffers.fault(
                &format!("node {} in itself or in two nodes", node.index()),
                &format!("a tree of nodes, at most {MAX_DEPTH} deep"),
            ));
        }
        let place = parent * matrix(&node);
        names.push(node.name().map_or(format!("node {}", node.index()), str::to_owned));
        reader.mesh_of(&node, place, &names, &mut raw)?;
        let (children, names): (Vec<Node<'_>>, _) = (node.children().collect(), Rc::new(names));
        waiting.extend(children.into_iter().rev().map(|c| (c, place, Rc::clone(&names))));
    }
    Ok(raw)
}

/// Names of the buffers that lie beside a file.
pub(super) fn companions(bytes: &[u8], file: &str) -> Result<Vec<String>, MeshFault> {
    let uri = |buffer: gltf::Buffer<'_>| match buffer.source() {
        Source::Uri(uri) if !uri.starts_with("data:") => Some(decoded(uri)),
        _ => None,
    };
    Ok(structure(bytes, file)?.buffers().filter_map(uri).collect())
}

/// The structure, held to the standard.
fn structure(bytes: &[u8], file: &str) -> Result<Gltf, MeshFault> {
    let fault = |found: String| MeshFault::new(format!("`{file}`: {found}"), "glTF 2.0");
    if bytes.starts_with(b"glTF") {
        // the reader takes the length for more than the header's own
        let length = bytes.get(8..12).and_then(|b| b.try_into().ok()).map(u32::from_le_bytes);
        if length.is_none_or(|length| length < GLB_HEADER) {
            return Err(fault("a header that is cut off".to_owned()));
        }
    }
    let read = Gltf::from_slice_without_validation(bytes).map_err(|e| fault(e.to_string()))?;
    let root = read.document.as_json();
    let asset = &root.asset;
    version(&asset.version, asset.min_version.as_deref()).map_err(fault)?;
    // the check that follows would reach for positions that are not there
    let places = root.meshes.iter().enumerate().flat_map(|(mesh, m)| {
        let attributes = m.primitives.iter().flat_map(|p| p.attributes.values());
        attributes.map(move |accessor| (mesh, accessor.value()))
    });
    if let Some((mesh, at)) = places.into_iter().find(|(_, at)| *at >= root.accessors.len()) {
        return Err(fault(format!("mesh {mesh} with the accessor {at}, which is not there")));
    }
    let mut invalid = Vec::new();
    root.validate(root, gltf::json::Path::new, &mut |path, error| {
        invalid.push((path().to_string(), error));
    });
    let matters = |(path, error): &(String, Invalid)| {
        *error != Invalid::Unsupported || !OF_LOOKS.iter().any(|looks| path.contains(looks))
    };
    match invalid.iter().find(|found| matters(found)) {
        None => Ok(read),
        Some((path, Invalid::Unsupported)) => {
            Err(fault(format!("an extension that it cannot do without, {path}"))
                .help("export without compression, quantised numbers and instancing"))
        }
        Some((path, error)) => Err(fault(format!("{path}: {error}"))),
    }
}

/// Whether a reader of version 2.0 may read it: glTF 2.0 (ISO/IEC 12113:2022), 3.2: a
/// stated `minVersion` may not be higher, else the major version has to be the same.
fn version(stated: &str, least: Option<&str>) -> Result<(), String> {
    let parts = |text: &str| {
        let (major, minor) = text.split_once('.')?;
        Some((major.parse::<u32>().ok()?, minor.parse::<u32>().ok()?))
    };
    let major = parts(stated).map(|(major, _)| major);
    match (major, least.map(parts)) {
        (Some(2), None) => Ok(()),
        (Some(_), Some(Some(least))) if least <= (2, 0) => Ok(()),
        (_, Some(_)) => Err(format!("asset.minVersion \"{}\"", clean(least.unwrap_or_default()))),
        _ => Err(format!("asset.version \"{}\"", clean(stated))),
    }
}

/// A word of the file, short enough for a message.
fn clean(word: &str) -> String {
    word.chars().filter(|c| !c.is_control()).take(20).collect()
}

/// Nodes of the scene to show, else those that no other holds.
fn roots(document: &Document) -> Vec<Node<'_>> {
    if let Some(scene) = document.default_scene().or_else(|| document.scenes().next()) {
        return scene.nodes().collect();
    }
    let held: HashSet<usize> = document
        .nodes()
        .flat_map(|n| n.children().map(|c| c.index()).collect::<Vec<_>>())
        .collect();
    document.nodes().filter(|n| !held.contains(&n.index())).collect()
}

/// Notes what is not used of the whole file.
fn unused(document: &Document, raw: &mut RawMesh) {
    let looks = |name: &&str| OF_LOOKS.iter().any(|looks| name.starts_with(looks));
    for name in document.extensions_used().filter(|name| !looks(name)) {
        raw.skipped.add(&format!("extension {name}"), 1);
    }
    raw.skipped.add("scenes beside the first", document.scenes().len().saturating_sub(1));
    let materials = document.materials().count();
    raw.skipped.add("materials", materials);
}

fn matrix(node: &Node<'_>) -> DMat4 {
    match node.transform() {
        Transform::Matrix { matrix } => {
            DMat4::from_cols_array_2d(&matrix.map(|column| column.map(f64::from)))
        }
        Transform::Decomposed { translation, rotation, scale } => {
            let rotation = DQuat::from_array(rotation.map(f64::from));
            // a quaternion of 32-bit numbers is of length 1 to seven digits only
            let rotation =
                if rotation.length() > 0.0 { rotation.normalize() } else { DQuat::IDENTITY };
            DMat4::from_scale_rotation_translation(
                DVec3::from_array(scale.map(f64::from)),
                rotation,
                DVec3::from_array(translation.map(f64::from)),
            )
        }
    }
}

/// A file that is being read.
struct Reader<'f> {
    buffers: Buffers<'f>,
    /// Nodes met so far.
    seen: HashSet<usize>,
}

impl Reader<'_> {
    /// Adds the mesh of a node, where it has one.
    fn mesh_of(
        &mut self,
        node: &Node<'_>,
        place: DMat4,
        names: &[String],
        raw: &mut RawMesh,
    ) -> Result<(), MeshFault> {
        let Some(mesh) = node.mesh() else { return Ok(()) };
        raw.skipped.add("skins", usize::from(node.skin().is_some()));
        let mut names = names.to_vec();
        let own =
            node.name().or(mesh.name()).map_or(format!("node {}", node.index()), str::to_owned);
        names.extend(mesh.name().map(str::to_owned));
        names.dedup();
        for primitive in mesh.primitives() {
            let what = format!("mesh {}, primitive {}", mesh.index(), primitive.index());
            raw.skipped.add("morph targets", primitive.morph_targets().count());
            match primitive.mode() {
                Mode::Triangles | Mode::TriangleStrip | Mode::TriangleFan => {
                    self.triangles_of(&primitive, &what, place, (&own, &names), raw)?;
                }
                Mode::Points => raw.skipped.add("primitives of points", 1),
                _ => raw.skipped.add("primitives of lines", 1),
            }
        }
        Ok(())
    }

    fn triangles_of(
        &mut self,
        primitive: &Primitive<'_>,
        what: &str,
        place: DMat4,
        (own, names): (&str, &[String]),
        raw: &mut RawMesh,
    ) -> Result<(), MeshFault> {
        let Some(positions) = primitive.get(&Semantic::Positions) else {
            raw.skipped.add("primitives without positions", 1);
            return Ok(());
        };
        let positions = self.buffers.elements(&positions, &format!("{what}, POSITION"))?;
        if positions.shape != (DataType::F32, Dimensions::Vec3) {
            let found = format!("{what}: positions that are not three 32-bit floats");
            return Err(self.buffers.fault(&found, "VEC3 of FLOAT"));
        }
        let indices = match primitive.indices() {
            Some(accessor) => Some(self.buffers.elements(&accessor, &format!("{what}, indices"))?),
            None => None,
        };
        let whole_number = |shape: (DataType, Dimensions)| {
            let kind = matches!(shape.0, DataType::U8 | DataType::U16 | DataType::U32);
            kind && shape.1 == Dimensions::Scalar
        };
        if indices.as_ref().is_some_and(|i| !whole_number(i.shape)) {
            let found = format!("{what}: indices that are no whole numbers");
            return Err(self.buffers.fault(&found, "SCALAR of UNSIGNED_BYTE, _SHORT or _INT"));
        }
        let count = indices.as_ref().map_or(positions.count, |i| i.count);
        raw.room_for(triangle_count(primitive.mode(), count)).map_err(|fault| MeshFault {
            found: format!("`{}` with {}", self.buffers.file(), fault.found),
            ..fault
        })?;
        let all = triangles(primitive.mode(), count);
        let mirrored = place.determinant() < 0.0;
        let mut index: HashMap<usize, u32> = HashMap::new();
        let mut kept: Vec<[u32; 3]> = Vec::with_capacity(all.len());
        for corners in all {
            let mut triangle = [0; 3];
            for (to, corner) in triangle.iter_mut().zip(corners) {
                let at = match &indices {
                    None => corner,
                    Some(indices) => self.buffers.whole(indices, corner),
                };
                if at >= positions.count {
                    let found = format!("{what}: the index {at}");
                    return Err(self
                        .buffers
                        .fault(&found, &format!("0 to {}", positions.count - 1)));
                }
                *to = match index.get(&at) {
                    Some(known) => *known,
                    None => {
                        let stored = self.buffers.point(&positions, at);
                        let p = place.transform_point3(stored);
                        if !p.is_finite() {
                            let found = format!(
                                "{what}: vertex {at} at [{}, {}, {}] in its node",
                                stored.x, stored.y, stored.z
                            );
                            return Err(self.buffers.fault(&found, "numbers that are finite"));
                        }
                        raw.points.push(p);
                        let new = raw.points.len() as u32 - 1;
                        index.insert(at, new);
                        new
                    }
                };
            }
            if mirrored {
                triangle.swap(1, 2);
            }
            kept.push(triangle);
        }
        raw.group(own, names.to_vec()).triangles.extend(kept);
        Ok(())
    }
}

fn triangle_count(mode: Mode, corners: usize) -> usize {
    match mode {
        Mode::TriangleStrip | Mode::TriangleFan => corners.saturating_sub(2),
        _ => corners / 3,
    }
}

/// The triangles of `count` corners (glTF 2.0 specification, 3.7.2.1: list, strip
/// and fan; neighbours of a strip are turned in turn).
fn triangles(mode: Mode, count: usize) -> Vec<[usize; 3]> {
    let all = 0..triangle_count(mode, count);
    match mode {
        Mode::TriangleStrip => all.map(|i| [i, i + 1 + i % 2, i + 2 - i % 2]).collect(),
        Mode::TriangleFan => all.map(|i| [i + 1, i + 2, 0]).collect(),
        _ => all.map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect(),
    }
}
