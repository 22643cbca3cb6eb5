//! Builds a mesh body by body.
//!
//! In: bodies in field axes above the plane. Out: a [`Mesh`] in which equal corners are
//! one, faces that bodies press together are gone, and bodies lie in groups.

use std::hash::{Hash, Hasher};
use std::ops::Range;
use std::sync::Arc;

use geo::{Coord, LineString, Polygon, TriangulateEarcut};
use glam::DVec3;
use rustc_hash::{FxHashMap, FxHasher};

use crate::base::frame::area_vector;
use crate::geometry::relief::cut::over_ground;
use crate::geometry::relief::net::ReliefNet;
use crate::venue::Shape;
use crate::venue::mesh::{MeshSurface, TriangleMesh};

use super::cone::Cone;
use super::pieces::pieces;
use super::{Edge, Edges, Extent, Face, Group, Mesh, NonManifoldEdge, Sides, USERS, Volume};

/// A face bent by more than this, metres, is cut into triangles.
const FLAT_M: f64 = 1e-9;
/// Triangles of a mesh that are left out together where their shadow misses the
/// window: few enough to lie close, many enough to be quick.
const RUN: usize = 64;
/// A group of bodies is full with this many faces.
const GROUP: usize = 64;

/// Builds a [`Mesh`] body by body.
#[derive(Default)]
pub(in crate::geometry) struct MeshBuilder {
    mesh: Mesh,
    rings: Rings,
    /// Faces that came from meshes.
    of_meshes: Vec<Range<usize>>,
    by_place: FxHashMap<[u64; 3], u32>,
    /// What bodies stand on where that is not the plane.
    ground: Option<Arc<ReliefNet>>,
}

/// Corners of all faces, one face after the other.
#[derive(Default)]
pub(super) struct Rings {
    corners: Vec<u32>,
    ends: Vec<u32>,
}

impl Rings {
    /// Adds a ring; corners that come twice in a row count once.
    fn push(&mut self, ring: impl Iterator<Item = u32>) {
        let start = self.corners.len();
        for corner in ring {
            if self.corners.len() == start || self.corners.last() != Some(&corner) {
                self.corners.push(corner);
            }
        }
        self.ends.push(self.corners.len() as u32);
    }

    /// Each ring, in the order of faces.
    pub fn iter(&self) -> impl Iterator<Item = &[u32]> {
        let starts = std::iter::once(0).chain(self.ends.iter().copied());
        starts.zip(&self.ends).map(|(start, &end)| &self.corners[start as usize..end as usize])
    }

    fn len(&self) -> usize {
        self.ends.len()
    }
}

impl MeshBuilder {
    /// For bodies on the plane, or on ground that is not flat.
    pub fn on(ground: Option<&Arc<ReliefNet>>) -> Self {
        Self { ground: ground.cloned(), ..Self::default() }
    }

    /// The part of a ring on and over what bodies stand on.
    fn above(&self, ring: &[DVec3]) -> Vec<Vec<DVec3>> {
        match &self.ground {
            Some(ground) => over_ground(ground, ring),
            None => vec![above_plane(ring)],
        }
    }

    /// Adds a body whose points are already in field axes above the plane; what
    /// lies under the plane is cut off.
    pub fn add(&mut self, shape: &Shape) {
        let (rings, sides): (Vec<Vec<DVec3>>, Sides) = match shape {
            Shape::Convex { vertices, faces } => {
                let corners = |face: &Vec<usize>| -> Vec<DVec3> {
                    face.iter().filter_map(|&i| vertices.get(i).copied()).collect()
                };
                (faces.iter().map(corners).collect(), Sides::Outer)
            }
            Shape::Sheet { corners } => (vec![corners.clone()], Sides::Both),
            Shape::Mesh(mesh) => return self.add_mesh(mesh, |p| p),
        };
        let start = self.mesh.faces.len();
        let mut volume = None;
        for ring in rings.iter().flat_map(|ring| self.above(ring)).collect::<Vec<_>>() {
            for flat in flat_rings(&ring) {
                self.add_face(&flat, sides, &mut volume);
            }
        }
        self.close_body(volume, start);
    }

    /// The same for a mesh, whose points `moved` brings into field axes above the
    /// plane.
    pub fn add_mesh(&mut self, mesh: &TriangleMesh, moved: impl Fn(DVec3) -> DVec3) {
        let sides = match mesh.surface() {
            MeshSurface::Closed => Sides::Outer,
            MeshSurface::Open => Sides::Both,
        };
        let first_face = self.mesh.faces.len();
        let vertices: Vec<DVec3> = mesh.vertices().iter().map(|p| moved(*p)).collect();
        let mut known: Vec<Option<u32>> = vec![None; vertices.len()];
        for run in close_runs(&vertices, mesh.triangles()).chunks(RUN) {
            let start = self.mesh.faces.len();
            let mut volume = None;
            for triangle in run {
                let corners = triangle.map(|i| vertices[i as usize]);
                let mut over = self.above(&corners);
                if over.len() != 1 || over[0] != corners {
                    over.drain(..).for_each(|ring| self.add_face(&ring, sides, &mut volume));
                    continue;
                }
                self.add_ring(&corners, sides, &mut volume, |builder, corner| {
                    let index = triangle[corner] as usize;
                    *known[index].get_or_insert_with(|| builder.vertex(corners[corner]))
                });
            }
            self.close_body(volume, start);
        }
        self.of_meshes.push(first_face..self.mesh.faces.len());
    }

    /// The faces since `start` are those of a body.
    fn close_body(&mut self, volume: Option<Volume>, start: usize) {
        let faces = start..self.mesh.faces.len();
        self.mesh.bodies.extend(volume.map(|volume| Extent { volume, faces }));
    }

    fn add_face(&mut self, ring: &[DVec3], sides: Sides, volume: &mut Option<Volume>) {
        self.add_ring(ring, sides, volume, |builder, corner| builder.vertex(ring[corner]));
    }

    /// Adds a face; `vertex` says which vertex each of its corners is.
    fn add_ring(
        &mut self,
        ring: &[DVec3],
        sides: Sides,
        volume: &mut Option<Volume>,
        mut vertex: impl FnMut(&mut Self, usize) -> u32,
    ) {
        let Some(normal) = area_vector(ring.iter().copied()).try_normalize() else {
            return;
        };
        let volume = volume.get_or_insert(Volume::NONE);
        ring.iter().for_each(|p| volume.take_in(*p));
        if sides == Sides::Outer && normal.z == -1.0 {
            return; // turned straight down: never toward the sun
        }
        self.mesh.faces.push(Face { normal, sides });
        let mut rings = std::mem::take(&mut self.rings);
        rings.push((0..ring.len()).map(|corner| vertex(self, corner)));
        self.rings = rings;
    }

    fn vertex(&mut self, p: DVec3) -> u32 {
        // adding zero turns -0.0 into 0.0: one place, one key
        let key = [p.x + 0.0, p.y + 0.0, p.z + 0.0].map(f64::to_bits);
        let vertices = &mut self.mesh.vertices;
        *self.by_place.entry(key).or_insert_with(|| {
            vertices.push(p);
            vertices.len() as u32 - 1
        })
    }

    /// The mesh. With `hidden` set, faces that two closed bodies press together
    /// are taken out: no ray meets them before it has met the bodies' outside.
    pub fn build(mut self, hidden: HiddenFaces) -> Mesh {
        let dropped = match hidden {
            HiddenFaces::Drop => self.pressed_together(),
            HiddenFaces::Keep => vec![false; self.rings.len()],
        };
        self.mesh.groups = groups(&self.mesh);
        self.mesh.pieces = pieces(self.mesh.vertices.len(), &self.rings, &self.of_meshes);
        let shared = self.shared_edges(&dropped);
        sort_edges(&mut self.mesh, shared);
        self.mesh
    }

    /// Marks faces of closed bodies that lie upon each other, back to back.
    fn pressed_together(&self) -> Vec<bool> {
        let mut dropped = vec![false; self.rings.len()];
        let sorted = |ring: &[u32], key: &mut Vec<u32>| {
            key.clear();
            key.extend_from_slice(ring);
            key.sort_unstable();
        };
        let rings: Vec<&[u32]> = self.rings.iter().collect();
        let (mut key, mut other) = (Vec::new(), Vec::new());
        let mut seen: FxHashMap<u64, usize> = FxHashMap::default();
        for (i, ring) in rings.iter().enumerate() {
            if self.mesh.faces[i].sides == Sides::Both {
                continue;
            }
            sorted(ring, &mut key);
            let mut hash = FxHasher::default();
            key.hash(&mut hash);
            let hash = hash.finish();
            let twin = seen.remove(&hash).filter(|twin| {
                sorted(rings[*twin], &mut other);
                key == other && opposed(&self.mesh.faces[*twin], &self.mesh.faces[i])
            });
            match twin {
                Some(twin) => {
                    dropped[twin] = true;
                    dropped[i] = true;
                }
                None => {
                    seen.insert(hash, i);
                }
            }
        }
        dropped
    }

    /// The edges of all faces that are not dropped, each with the faces along it, in the
    /// order in which faces first run them.
    fn shared_edges(&self, dropped: &[bool]) -> Vec<NonManifoldEdge> {
        let mut sides: Vec<FaceSide> = Vec::with_capacity(self.rings.corners.len());
        for (face, ring) in self.rings.iter().enumerate().filter(|(i, _)| !dropped[*i]) {
            for (&a, &b) in ring.iter().zip(ring.iter().cycle().skip(1)).filter(|(a, b)| a != b) {
                let index = sides.len() as u32;
                sides.push(FaceSide {
                    ends: (a.min(b), a.max(b)),
                    index,
                    face: face as u32,
                    sense: if a < b { 1 } else { -1 },
                });
            }
        }
        sides.sort_unstable_by_key(|side| (side.ends, side.index));
        let mut edges: Vec<(u32, NonManifoldEdge)> = Vec::with_capacity(sides.len() / 2);
        for run in sides.chunk_by(|a, b| a.ends == b.ends) {
            for along in run.chunks(USERS) {
                let mut users = [(0, 0); USERS];
                users
                    .iter_mut()
                    .zip(along)
                    .for_each(|(user, side)| *user = (side.face, side.sense));
                let (from, to) = along[0].ends;
                let count = along.len() as u8;
                edges.push((along[0].index, NonManifoldEdge { from, to, users, count }));
            }
        }
        edges.sort_unstable_by_key(|(first, _)| *first);
        edges.into_iter().map(|(_, edge)| edge).collect()
    }
}

/// One side of one face.
#[derive(Clone, Copy)]
struct FaceSide {
    /// Lower and higher vertex.
    ends: (u32, u32),
    /// Counted over all faces.
    index: u32,
    face: u32,
    /// +1 where the face runs from the lower to the higher one.
    sense: i8,
}

/// Bodies in a row until their faces fill a group.
fn groups(mesh: &Mesh) -> Vec<Group> {
    let bodies = &mesh.bodies;
    let mut groups: Vec<Group> = Vec::new();
    let mut faces = GROUP;
    for (index, body) in bodies.iter().enumerate() {
        match groups.last_mut() {
            Some(group) if faces + body.faces.len() <= GROUP => {
                group.volume = group.volume.joined(&body.volume);
                group.bodies.end = index + 1;
                faces += body.faces.len();
            }
            _ => {
                groups.push(Group {
                    volume: body.volume,
                    bodies: index..index + 1,
                    edges: Edges::default(),
                    cone: None,
                });
                faces = body.faces.len();
            }
        }
    }
    for group in groups.iter_mut().filter(|group| group.bodies.len() == 1) {
        group.cone = Cone::of(&mesh.faces[bodies[group.bodies.start].faces.clone()]);
    }
    groups
}

/// Puts edges where [`Mesh`] wants them.
fn sort_edges(mesh: &mut Mesh, shared: Vec<NonManifoldEdge>) {
    let mut group_of = vec![0_usize; mesh.faces.len()];
    for (index, group) in mesh.groups.iter().enumerate() {
        for body in &mesh.bodies[group.bodies.clone()] {
            group_of[body.faces.clone()].fill(index);
        }
    }
    let none = mesh.faces.len() as u32;
    let place = |faces: &mut dyn Iterator<Item = u32>| {
        let mut groups = faces.filter(|face| *face != none).map(|face| group_of[face as usize]);
        let first = groups.next().unwrap_or(0);
        if groups.all(|group| group == first) { first } else { mesh.groups.len() }
    };
    let mut simple: Vec<(usize, Edge)> = Vec::new();
    let mut crowded: Vec<(usize, NonManifoldEdge)> = Vec::new();
    for edge in shared {
        let (from, to) = (edge.from, edge.to);
        let users = &edge.users[..usize::from(edge.count)];
        let (forward, backward) = match users {
            [(face, 1)] => (*face, none),
            [(face, _)] => (none, *face),
            [(a, 1), (b, -1)] | [(b, -1), (a, 1)] => (*a, *b),
            _ => {
                crowded.push((place(&mut users.iter().map(|(face, _)| *face)), edge));
                continue;
            }
        };
        let place = place(&mut [forward, backward].into_iter());
        // those of two faces first
        let order = 2 * place + usize::from(users.len() == 1);
        simple.push((order, Edge { from, to, forward, backward }));
    }
    simple.sort_by_key(|(order, _)| *order);
    crowded.sort_by_key(|(place, _)| *place);
    let within = |place: usize| Edges {
        shared: range_of(&simple, 2 * place),
        open: range_of(&simple, 2 * place + 1),
        crowded: range_of(&crowded, place),
    };
    let parts: Vec<Edges> = (0..=mesh.groups.len()).map(within).collect();
    mesh.edges = simple.into_iter().map(|(_, edge)| edge).collect();
    mesh.crowded = crowded.into_iter().map(|(_, edge)| edge).collect();
    mesh.between = parts.last().cloned().unwrap_or_default();
    for (group, edges) in mesh.groups.iter_mut().zip(parts) {
        group.edges = edges;
    }
}

/// Where the edges of a place are in a list that is sorted by places.
fn range_of<E>(sorted: &[(usize, E)], place: usize) -> Range<usize> {
    let before = |limit: usize| sorted.partition_point(|(at, _)| *at < limit);
    before(place)..before(place + 1)
}

/// Triangles in an order in which neighbours in the list lie close: cells of space
/// one after the other.
fn close_runs(vertices: &[DVec3], triangles: &[[u32; 3]]) -> Vec<[u32; 3]> {
    let middle = |t: &[u32; 3]| t.iter().map(|&i| vertices[i as usize]).sum::<DVec3>() / 3.0;
    let (low, high) = vertices
        .iter()
        .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(l, h), p| (l.min(*p), h.max(*p)));
    let size = (high - low).max_element().max(f64::MIN_POSITIVE);
    // bits of the three coordinates in turn: a walk from cell to cell
    let key = |t: &[u32; 3]| {
        let at = ((middle(t) - low) / size * 1023.0).max(DVec3::ZERO);
        let spread = |v: f64| (0..10).map(|bit| ((v as u64 >> bit) & 1) << (3 * bit)).sum::<u64>();
        spread(at.x) | spread(at.y) << 1 | spread(at.z) << 2
    };
    let mut ordered = triangles.to_vec();
    ordered.sort_by_cached_key(key);
    ordered
}

/// What to do with faces between two bodies that touch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::geometry) enum HiddenFaces {
    /// Opaque bodies: nothing shows of them.
    Drop,
    /// Translucent bodies: each body dims on its own.
    Keep,
}

fn opposed(a: &Face, b: &Face) -> bool {
    a.normal.dot(b.normal) < -0.999_999
}

/// A planar ring as it is; a bent one as triangles.
fn flat_rings(ring: &[DVec3]) -> Vec<Vec<DVec3>> {
    let Some(normal) = area_vector(ring.iter().copied()).try_normalize() else {
        return Vec::new();
    };
    let offsets = ring.iter().map(|p| (p - ring[0]).dot(normal).abs());
    if ring.len() <= 3 || offsets.fold(0.0, f64::max) <= FLAT_M {
        return vec![ring.to_vec()];
    }
    let u = normal.any_orthonormal_vector();
    let v = normal.cross(u);
    let coords: Vec<Coord<f64>> =
        ring.iter().map(|p| Coord { x: (p - ring[0]).dot(u), y: (p - ring[0]).dot(v) }).collect();
    let raw = Polygon::new(LineString(coords), Vec::new()).earcut_triangles_raw();
    let corner = |i: usize| ring[i % ring.len()];
    let oriented = |t: &[usize]| {
        let triangle = vec![corner(t[0]), corner(t[1]), corner(t[2])];
        if area_vector(triangle.iter().copied()).dot(normal) < 0.0 {
            vec![triangle[0], triangle[2], triangle[1]]
        } else {
            triangle
        }
    };
    raw.triangle_indices.chunks_exact(3).map(oriented).collect()
}

/// The part of a planar ring on and above the plane.
pub(in crate::geometry) fn above_plane(ring: &[DVec3]) -> Vec<DVec3> {
    if ring.iter().all(|p| p.z >= 0.0) {
        return ring.to_vec();
    }
    let mut kept = Vec::with_capacity(ring.len() + 2);
    for (&a, &b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        if a.z >= 0.0 {
            kept.push(a);
        }
        if (a.z < 0.0) != (b.z < 0.0) {
            kept.push(on_plane(a, b));
        }
    }
    kept
}

/// Where a segment meets the plane. The ends are taken in a fixed order so that
/// faces that share the segment agree to the last bit.
fn on_plane(a: DVec3, b: DVec3) -> DVec3 {
    let (low, high) = if a.z < b.z { (a, b) } else { (b, a) };
    let p = low + (high - low) * (-low.z / (high.z - low.z));
    DVec3::new(p.x, p.y, 0.0)
}
