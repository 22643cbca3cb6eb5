//! Groups of bodies and the edges between faces, in the order that [`Mesh`] wants them.
//!
//! In: faces with their corners. Out: bodies in groups, edges by what they lie between.

use std::ops::Range;

use super::cone::Cone;
use super::rings::Rings;
use super::{Edge, Edges, Group, Mesh, NonManifoldEdge, USERS};

/// A group of bodies is full with this many faces.
const GROUP: usize = 64;

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

/// The edges of all faces that are not dropped, each with the faces along it, in the
/// order in which faces first run them.
pub(super) fn shared_edges(rings: &Rings, dropped: &[bool]) -> Vec<NonManifoldEdge> {
    let mut sides: Vec<FaceSide> = Vec::with_capacity(rings.corner_count());
    for (face, ring) in rings.iter().enumerate().filter(|(i, _)| !dropped[*i]) {
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
            users.iter_mut().zip(along).for_each(|(user, side)| *user = (side.face, side.sense));
            let (from, to) = along[0].ends;
            let count = along.len() as u8;
            edges.push((along[0].index, NonManifoldEdge { from, to, users, count }));
        }
    }
    edges.sort_unstable_by_key(|(first, _)| *first);
    edges.into_iter().map(|(_, edge)| edge).collect()
}

/// Bodies in a row until their faces fill a group.
pub(super) fn groups(mesh: &Mesh) -> Vec<Group> {
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
pub(super) fn sort_edges(mesh: &mut Mesh, shared: Vec<NonManifoldEdge>) {
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
