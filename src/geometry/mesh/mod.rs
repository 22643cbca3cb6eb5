//! Bodies of equal transmittance as one mesh, and its outline toward the sun.
//!
//! In: bodies cut at the plane, in field axes (metres along, metres across,
//! metres above the plane); per instant a direction toward the sun. Out: closed
//! loops on the plane whose winding number at a place counts how many surfaces
//! that face the sun lie between the place and the sun.
//!
//! A closed body or a closed mesh counts with the faces it turns toward the sun, a
//! sheet or an open mesh with each face, whichever side that is. Projected, each such
//! face is a positive ring; where two of them share an edge, the edge cancels. What
//! remains are the edges between a face that counts and one that does not. So a bowl of
//! hundreds of segments hands the overlay its few long outlines and not every segment.
//! Corners are shared when their coordinates are equal bit for bit; bodies that
//! do not share corners are merely less economical.
//!
//! Bodies that follow each other in the venue lie close, so they are kept in groups: a
//! group whose shadow misses the window costs one comparison of boxes, and none of its
//! bodies, faces or edges is looked at. Where all faces of a group are turned the same way,
//! which is most of a fine mesh, the edges between two of them cancel unseen.

mod build;
mod cone;
mod edges;
mod pieces;
mod rings;

use std::ops::Range;

use glam::DVec3;

use crate::base::plane::P2;
use crate::geometry::hull::{Box2, Outside};

use cone::Cone;
use pieces::Pieces;

pub(super) use build::{HiddenFaces, MeshBuilder};
pub(super) use rings::above_plane;

/// An edge of many faces lists this many; one with more gets a second entry, which
/// cancels less but stays right.
const USERS: usize = 4;

#[derive(Debug, Clone, Default)]
pub(super) struct Mesh {
    vertices: Vec<DVec3>,
    faces: Vec<Face>,
    bodies: Vec<Extent>,
    groups: Vec<Group>,
    /// Edges of two faces or one: those within the first group, within the second and so
    /// on, then those between groups.
    edges: Vec<Edge>,
    /// Edges of more faces, or of two that run it the same way; in the same order.
    crowded: Vec<NonManifoldEdge>,
    between: Edges,
    pieces: Pieces,
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

/// An edge, the face that runs it forward and the one that runs it backward; the number
/// of faces stands for none.
#[derive(Debug, Clone, Copy)]
struct Edge {
    from: u32,
    to: u32,
    forward: u32,
    backward: u32,
}

#[derive(Debug, Clone, Copy)]
struct NonManifoldEdge {
    from: u32,
    to: u32,
    /// Faces along the edge and whether they run it forward (+1) or backward.
    users: [(u32, i8); USERS],
    count: u8,
}

/// Where something can throw its shadow.
#[derive(Debug, Clone, Copy)]
struct Volume {
    footprint: Box2,
    lowest_m: f64,
    highest_m: f64,
}

/// A body: its volume and its faces.
#[derive(Debug, Clone)]
struct Extent {
    volume: Volume,
    faces: Range<usize>,
}

/// Bodies that lie close, and the edges that only they have.
#[derive(Debug, Clone)]
struct Group {
    volume: Volume,
    bodies: Range<usize>,
    edges: Edges,
    /// Where the faces are turned; `None` where they have no direction in common.
    cone: Option<Cone>,
}

/// A part of each list of edges.
#[derive(Debug, Clone, Default)]
struct Edges {
    /// Of two faces each.
    shared: Range<usize>,
    /// Of one face each.
    open: Range<usize>,
    crowded: Range<usize>,
}

/// Scratch of [`Mesh::outlines`], kept from instant to instant.
#[derive(Default)]
pub(super) struct OutlineTracer {
    turned: Vec<i8>,
    /// Groups whose shadow meets the window, with faces that are turned either way.
    mixed: Vec<u32>,
    /// The others that it meets: all of their faces are turned the same way.
    uniform: Vec<u32>,
    directed: Vec<(u32, u32)>,
    /// First edge that leaves a vertex, and the next one after an edge.
    head: Vec<u32>,
    next: Vec<u32>,
    corners: Vec<DVec3>,
    ring: Vec<P2>,
    spare: Vec<P2>,
}

const NONE: u32 = u32::MAX;

impl Mesh {
    pub fn is_empty(&self) -> bool {
        self.faces.is_empty()
    }

    /// Whether faces of a triangle mesh are part of a piece.
    pub fn is_of_mesh(&self, piece: u32) -> bool {
        self.pieces.is_of_mesh(piece)
    }

    /// The outlines of all that reaches the window, clipped to it. `run` is how far along
    /// and across a shadow goes for each metre of height, `toward_sun` is in field
    /// axes. Each loop is handed to `take` as points on the plane, with the number of the
    /// piece of the mesh that throws it.
    pub fn outlines(
        &self,
        toward_sun: DVec3,
        run: P2,
        window: &Box2,
        tracer: &mut OutlineTracer,
        mut take: impl FnMut(u32, &[P2]),
    ) {
        let mut ring = std::mem::take(&mut tracer.ring);
        let mut spare = std::mem::take(&mut tracer.spare);
        self.walks(toward_sun, run, window, tracer, |piece, corners| {
            let mut outline = Outside::of(window, &mut ring);
            corners.iter().for_each(|p| outline.push([p.x - p.z * run[0], p.y - p.z * run[1]]));
            if outline.clip(&mut spare) {
                take(piece, &ring);
            }
        });
        (tracer.ring, tracer.spare) = (ring, spare);
    }

    /// The same loops as points of the bodies themselves, in field axes above the
    /// plane.
    pub fn walks(
        &self,
        toward_sun: DVec3,
        run: P2,
        window: &Box2,
        tracer: &mut OutlineTracer,
        mut take: impl FnMut(u32, &[DVec3]),
    ) {
        self.turn_faces(toward_sun, run, window, tracer);
        self.collect_edges(tracer);
        let mut corners = std::mem::take(&mut tracer.corners);
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
            take(self.pieces.of(first), &corners);
        }
        tracer.corners = corners;
    }

    /// Marks each face with the sense in which its shadow counts: 0, 1 or -1.
    fn turn_faces(&self, toward_sun: DVec3, run: P2, window: &Box2, tracer: &mut OutlineTracer) {
        tracer.turned.clear();
        // one more, for the face that an edge has not
        tracer.turned.resize(self.faces.len() + 1, 0);
        tracer.mixed.clear();
        tracer.uniform.clear();
        for (index, group) in self.groups.iter().enumerate() {
            if !group.volume.reaches(run, window) {
                continue;
            }
            let bodies = &self.bodies[group.bodies.clone()];
            let same = group.cone.and_then(|cone| cone.turned(toward_sun));
            if let ([body], Some(sense)) = (bodies, same) {
                tracer.turned[body.faces.clone()].fill(sense);
                tracer.uniform.push(index as u32);
                continue;
            }
            tracer.mixed.push(index as u32);
            for body in bodies.iter().filter(|body| body.volume.reaches(run, window)) {
                let faces = &self.faces[body.faces.clone()];
                for (turned, face) in tracer.turned[body.faces.clone()].iter_mut().zip(faces) {
                    *turned = face.turned(toward_sun);
                }
            }
        }
    }

    /// Edges that do not cancel, directed so that the shadow lies to the left.
    fn collect_edges(&self, tracer: &mut OutlineTracer) {
        let OutlineTracer { turned, mixed, uniform, directed, head, next, .. } = tracer;
        directed.clear();
        let within = |group: &u32| &self.groups[*group as usize].edges;
        let all = mixed.iter().map(within).chain([&self.between]).map(|e| (e.shared.clone(), e));
        // two faces that are turned the same way leave nothing of their edge
        let some = uniform.iter().map(within).map(|e| (0..0, e));
        for (shared, Edges { open, crowded, .. }) in all.chain(some) {
            for edge in self.edges[shared].iter().chain(&self.edges[open.clone()]) {
                let net = turned[edge.forward as usize] - turned[edge.backward as usize];
                if net != 0 {
                    directed_edge(edge.from, edge.to, net, directed);
                }
            }
            for edge in &self.crowded[crowded.clone()] {
                let users = &edge.users[..usize::from(edge.count)];
                let net = users.iter().map(|&(face, sense)| turned[face as usize] * sense).sum();
                directed_edge(edge.from, edge.to, net, directed);
            }
        }
        head.resize(self.vertices.len().max(head.len()), NONE);
        next.clear();
        for (i, &(from, _)) in directed.iter().enumerate() {
            next.push(head[from as usize]);
            head[from as usize] = i as u32;
        }
    }
}

impl Face {
    /// The sense in which its shadow counts.
    fn turned(&self, toward_sun: DVec3) -> i8 {
        let facing = self.normal.dot(toward_sun);
        match self.sides {
            _ if facing > 0.0 => 1,
            Sides::Both if facing < 0.0 => -1,
            _ => 0,
        }
    }
}

/// Adds an edge `net` times forward, or backward where `net` is negative.
fn directed_edge(from: u32, to: u32, net: i8, directed: &mut Vec<(u32, u32)>) {
    let edge = if net > 0 { (from, to) } else { (to, from) };
    for _ in 0..net.unsigned_abs() {
        directed.push(edge);
    }
}

impl OutlineTracer {
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

impl Volume {
    /// That of nothing, to be widened.
    const NONE: Self = Self {
        footprint: Box2 { min: [f64::INFINITY; 2], max: [f64::NEG_INFINITY; 2] },
        lowest_m: f64::INFINITY,
        highest_m: f64::NEG_INFINITY,
    };

    fn take_in(&mut self, p: DVec3) {
        for (axis, value) in [p.x, p.y].into_iter().enumerate() {
            self.footprint.min[axis] = self.footprint.min[axis].min(value);
            self.footprint.max[axis] = self.footprint.max[axis].max(value);
        }
        self.lowest_m = self.lowest_m.min(p.z);
        self.highest_m = self.highest_m.max(p.z);
    }

    fn joined(self, other: &Self) -> Self {
        let (a, b) = (self.footprint, other.footprint);
        let mut all = self;
        for axis in 0..2 {
            all.footprint.min[axis] = a.min[axis].min(b.min[axis]);
            all.footprint.max[axis] = a.max[axis].max(b.max[axis]);
        }
        all.lowest_m = self.lowest_m.min(other.lowest_m);
        all.highest_m = self.highest_m.max(other.highest_m);
        all
    }

    /// Whether a box around its shadow meets the window.
    fn reaches(&self, run: P2, window: &Box2) -> bool {
        let mut reach = self.footprint;
        for (axis, run) in run.into_iter().enumerate() {
            let (a, b) = (self.lowest_m * run, self.highest_m * run);
            reach.min[axis] -= a.max(b);
            reach.max[axis] -= a.min(b);
        }
        reach.overlaps(window)
    }
}
