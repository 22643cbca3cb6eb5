//! Builds a mesh body by body.
//!
//! In: bodies in field axes above the plane. Out: a [`Mesh`] in which equal corners are
//! one, faces that bodies press together are gone, and bodies lie in groups.

use std::hash::{Hash, Hasher};
use std::ops::Range;
use std::sync::Arc;

use glam::DVec3;
use rustc_hash::{FxHashMap, FxHasher};

use crate::base::frame::area_vector;
use crate::geometry::relief::cut::over_ground;
use crate::geometry::relief::net::ReliefNet;
use crate::venue::Shape;
use crate::venue::mesh::{MeshSurface, TriangleMesh};

use super::edges::{groups, shared_edges, sort_edges};
use super::pieces::pieces;
use super::rings::{Rings, above_plane, close_runs, flat_rings, opposed};
use super::{Extent, Face, Mesh, Sides, Volume};

/// Triangles of a mesh that are left out together where their shadow misses the
/// window: few enough to lie close, many enough to be quick.
const RUN: usize = 64;
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
        let shared = shared_edges(&self.rings, &dropped);
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
}

/// What to do with faces between two bodies that touch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::geometry) enum HiddenFaces {
    /// Opaque bodies: nothing shows of them.
    Drop,
    /// Translucent bodies: each body dims on its own.
    Keep,
}
