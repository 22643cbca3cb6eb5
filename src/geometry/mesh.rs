//! Bodies of equal transmittance as one mesh, and its outline toward the sun.
//!
//! In: bodies cut at the plane, in field axes (metres along, metres across,
//! metres above the plane); per instant a direction toward the sun. Out: closed
//! loops on the plane whose winding number at a place counts how many surfaces
//! that face the sun lie between the place and the sun.
//!
//! A closed body or a closed mesh counts with the faces it turns toward the sun, a
//! sheet or an open mesh with each face, whichever side that is. Projected, each such face is a positive
//! ring; where two of them share an edge, the edge cancels. What remains are the
//! edges between a face that counts and one that does not. So a bowl of hundreds
//! of segments hands the overlay its few long outlines and not every segment.
//! Corners are shared when their coordinates are equal bit for bit; bodies that
//! do not share corners are merely less economical.

use std::collections::HashMap;
use std::ops::Range;

use geo::{Coord, LineString, Polygon, TriangulateEarcut};
use glam::DVec3;

use super::hull::Box2;
use crate::frame::area_vector;
use crate::plane::P2;
use crate::venue::Shape;
use crate::venue::mesh::{MeshSurface, TriangleMesh};

/// A face bent by more than this, metres, is cut into triangles.
const FLAT_M: f64 = 1e-9;
/// Triangles of a mesh that are left out together where their shadow misses the
/// window: few enough to lie close, many enough to be quick.
const RUN: usize = 64;
/// An edge entry holds this many faces; an edge with more gets a second entry,
/// which cancels less but stays right.
const USERS: usize = 4;

#[derive(Debug, Clone, Default)]
pub(super) struct Mesh {
    vertices: Vec<DVec3>,
    faces: Vec<Face>,
    edges: Vec<Edge>,
    bodies: Vec<Extent>,
}

#[derive(Debug, Clone, Copy)]
struct Face {
    normal: DVec3,
    sides: Sides,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Sides {
    /// Part of a closed body: counts when turned toward the sun.
    Outer,
    /// A sheet: counts always.
    Both,
}

#[derive(Debug, Clone, Copy)]
struct Edge {
    from: u32,
    to: u32,
    /// Faces along the edge and whether they run it forward (+1) or backward.
    users: [(u32, i8); USERS],
    count: u8,
}

/// Where a body can throw its shadow, and its faces.
#[derive(Debug, Clone)]
struct Extent {
    footprint: Box2,
    lowest_m: f64,
    highest_m: f64,
    faces: Range<usize>,
}

/// Scratch of [`Mesh::outlines`].
#[derive(Default)]
pub(super) struct Tracer {
    turned: Vec<i8>,
    directed: Vec<(u32, u32)>,
    /// First edge that leaves a vertex, and the next one after an edge.
    head: Vec<u32>,
    next: Vec<u32>,
}

const NONE: u32 = u32::MAX;

impl Mesh {
    pub fn is_empty(&self) -> bool {
        self.faces.is_empty()
    }

    /// The outlines of all that reaches the window. `run` is how far along and
    /// across a shadow goes for each metre of height, `toward_sun` is in field
    /// axes. Each loop is handed to `take` as points on the plane.
    pub fn outlines(
        &self,
        toward_sun: DVec3,
        run: P2,
        window: &Box2,
        tracer: &mut Tracer,
        ring: &mut Vec<P2>,
        mut take: impl FnMut(&mut Vec<P2>),
    ) {
        let mut corners = Vec::new();
        self.walks(toward_sun, run, window, tracer, &mut corners, |corners| {
            ring.clear();
            ring.extend(corners.iter().map(|p| [p.x - p.z * run[0], p.y - p.z * run[1]]));
            take(ring);
        });
    }

    /// The same loops as points of the bodies themselves, in field axes above the
    /// plane.
    pub fn walks(
        &self,
        toward_sun: DVec3,
        run: P2,
        window: &Box2,
        tracer: &mut Tracer,
        corners: &mut Vec<DVec3>,
        mut take: impl FnMut(&[DVec3]),
    ) {
        self.turn_faces(toward_sun, run, window, tracer);
        self.collect_edges(tracer);
        for start in 0..tracer.directed.len() {
            let first = tracer.directed[start].0;
            if !tracer.leads_on(first, start) {
                continue;
            }
            corners.clear();
            let mut at = first;
            // every vertex has as many edges in as out, so the walk comes home
            while let Some(onward) = tracer.leave(at) {
                corners.push(self.vertices[at as usize]);
                at = onward;
            }
            take(corners);
        }
    }

    /// Marks each face with the sense in which its shadow counts: 0, 1 or -1.
    fn turn_faces(&self, toward_sun: DVec3, run: P2, window: &Box2, tracer: &mut Tracer) {
        tracer.turned.clear();
        tracer.turned.resize(self.faces.len(), 0);
        for body in self.bodies.iter().filter(|b| b.reach(run).overlaps(window)) {
            for (turned, face) in
                tracer.turned[body.faces.clone()].iter_mut().zip(&self.faces[body.faces.clone()])
            {
                let facing = face.normal.dot(toward_sun);
                *turned = match face.sides {
                    _ if facing > 0.0 => 1,
                    Sides::Both if facing < 0.0 => -1,
                    _ => 0,
                };
            }
        }
    }

    /// Edges that do not cancel, directed so that the shadow lies to the left.
    fn collect_edges(&self, tracer: &mut Tracer) {
        tracer.directed.clear();
        for edge in &self.edges {
            let users = &edge.users[..usize::from(edge.count)];
            let net: i8 =
                users.iter().map(|&(face, sense)| tracer.turned[face as usize] * sense).sum();
            let (a, b) = if net > 0 { (edge.from, edge.to) } else { (edge.to, edge.from) };
            for _ in 0..net.unsigned_abs() {
                tracer.directed.push((a, b));
            }
        }
        tracer.head.resize(self.vertices.len(), NONE);
        tracer.next.clear();
        for (i, &(from, _)) in tracer.directed.iter().enumerate() {
            tracer.next.push(tracer.head[from as usize]);
            tracer.head[from as usize] = i as u32;
        }
    }
}

impl Tracer {
    /// Whether edge `index` still waits to be walked.
    fn leads_on(&self, from: u32, index: usize) -> bool {
        let mut at = self.head[from as usize];
        while at != NONE {
            if at as usize == index {
                return true;
            }
            at = self.next[at as usize];
        }
        false
    }

    /// Walks an unused edge out of a vertex; `None` when all are walked.
    fn leave(&mut self, vertex: u32) -> Option<u32> {
        let edge = self.head[vertex as usize];
        if edge == NONE {
            return None;
        }
        self.head[vertex as usize] = self.next[edge as usize];
        Some(self.directed[edge as usize].1)
    }
}

impl Extent {
    /// A box that holds the body's shadow.
    fn reach(&self, run: P2) -> Box2 {
        let mut reach = self.footprint;
        for (axis, run) in run.into_iter().enumerate() {
            let (a, b) = (self.lowest_m * run, self.highest_m * run);
            reach.min[axis] -= a.max(b);
            reach.max[axis] -= a.min(b);
        }
        reach
    }
}

/// Builds a [`Mesh`] body by body.
#[derive(Default)]
pub(super) struct MeshBuilder {
    mesh: Mesh,
    rings: Vec<Vec<u32>>,
    by_place: HashMap<[u64; 3], u32>,
}

impl MeshBuilder {
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
        let mut extent: Option<Extent> = None;
        for ring in rings.iter().map(|ring| above_plane(ring)) {
            for flat in flat_rings(&ring) {
                self.add_face(&flat, sides, &mut extent);
            }
        }
        if let Some(mut extent) = extent {
            extent.faces = start..self.mesh.faces.len();
            self.mesh.bodies.push(extent);
        }
    }

    /// The same for a mesh, whose points `moved` brings into field axes above the
    /// plane.
    pub fn add_mesh(&mut self, mesh: &TriangleMesh, moved: impl Fn(DVec3) -> DVec3) {
        let sides = match mesh.surface() {
            MeshSurface::Closed => Sides::Outer,
            MeshSurface::Open => Sides::Both,
        };
        let vertices: Vec<DVec3> = mesh.vertices().iter().map(|p| moved(*p)).collect();
        for run in close_runs(&vertices, mesh.triangles()).chunks(RUN) {
            let start = self.mesh.faces.len();
            let mut extent = None;
            for triangle in run {
                let ring = above_plane(&triangle.map(|i| vertices[i as usize]));
                self.add_face(&ring, sides, &mut extent);
            }
            if let Some(mut extent) = extent {
                extent.faces = start..self.mesh.faces.len();
                self.mesh.bodies.push(extent);
            }
        }
    }

    fn add_face(&mut self, ring: &[DVec3], sides: Sides, extent: &mut Option<Extent>) {
        let Some(normal) = area_vector(ring.iter().copied()).try_normalize() else {
            return;
        };
        let Some(footprint) = Box2::around(ring.iter().map(|p| [p.x, p.y])) else {
            return;
        };
        let extent = extent.get_or_insert(Extent {
            footprint,
            lowest_m: f64::INFINITY,
            highest_m: f64::NEG_INFINITY,
            faces: 0..0,
        });
        for p in ring {
            for (axis, value) in [p.x, p.y].into_iter().enumerate() {
                extent.footprint.min[axis] = extent.footprint.min[axis].min(value);
                extent.footprint.max[axis] = extent.footprint.max[axis].max(value);
            }
            extent.lowest_m = extent.lowest_m.min(p.z);
            extent.highest_m = extent.highest_m.max(p.z);
        }
        if sides == Sides::Outer && normal.z == -1.0 {
            return; // turned straight down: never toward the sun
        }
        let mut corners: Vec<u32> = ring.iter().map(|&p| self.vertex(p)).collect();
        corners.dedup();
        self.mesh.faces.push(Face { normal, sides });
        self.rings.push(corners);
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
        let mut dropped = vec![false; self.rings.len()];
        if hidden == HiddenFaces::Drop {
            let mut seen: HashMap<Vec<u32>, usize> = HashMap::new();
            for (i, ring) in self.rings.iter().enumerate() {
                if self.mesh.faces[i].sides == Sides::Both {
                    continue;
                }
                let mut key = ring.clone();
                key.sort_unstable();
                match seen.remove(&key) {
                    Some(twin) if opposed(&self.mesh.faces[twin], &self.mesh.faces[i]) => {
                        dropped[twin] = true;
                        dropped[i] = true;
                    }
                    _ => {
                        seen.insert(key, i);
                    }
                }
            }
        }
        let mut open: HashMap<(u32, u32), usize> = HashMap::new();
        for (face, ring) in self.rings.iter().enumerate().filter(|(i, _)| !dropped[*i]) {
            for (&a, &b) in ring.iter().zip(ring.iter().cycle().skip(1)).filter(|(a, b)| a != b) {
                let (key, sense) = if a < b { ((a, b), 1) } else { ((b, a), -1) };
                let full = |e: &usize| usize::from(self.mesh.edges[*e].count) == USERS;
                let index = match open.get(&key).filter(|e| !full(e)) {
                    Some(&index) => index,
                    None => {
                        let users = [(0, 0); USERS];
                        self.mesh.edges.push(Edge { from: key.0, to: key.1, users, count: 0 });
                        open.insert(key, self.mesh.edges.len() - 1);
                        self.mesh.edges.len() - 1
                    }
                };
                let edge = &mut self.mesh.edges[index];
                edge.users[usize::from(edge.count)] = (face as u32, sense);
                edge.count += 1;
            }
        }
        self.mesh
    }
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
pub(super) enum HiddenFaces {
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
pub(super) fn above_plane(ring: &[DVec3]) -> Vec<DVec3> {
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
