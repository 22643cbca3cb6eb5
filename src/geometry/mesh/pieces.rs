//! Which faces of a mesh hang together.
//!
//! In: the corners of all faces. Out: a number for each vertex, the same for all that
//! faces tie together. A walk along edges never leaves its piece, and no piece takes
//! shade away from another: their shadows may be joined one by one.

use std::ops::Range;

use super::rings::Rings;

/// Vertices by the piece that they belong to.
#[derive(Debug, Clone, Default)]
pub(super) struct Pieces {
    /// Of each vertex.
    of: Vec<u32>,
    /// Of each piece: whether faces of meshes are part of it.
    of_mesh: Vec<bool>,
}

impl Pieces {
    /// The piece of a vertex.
    pub fn of(&self, vertex: u32) -> u32 {
        self.of.get(vertex as usize).copied().unwrap_or(0)
    }

    /// Whether faces of a triangle mesh are part of a piece.
    pub fn is_of_mesh(&self, piece: u32) -> bool {
        self.of_mesh.get(piece as usize).copied().unwrap_or(false)
    }
}

/// Joins the vertices of each face. `of_meshes` are the faces that came from meshes.
pub(super) fn pieces(vertices: usize, rings: &Rings, of_meshes: &[Range<usize>]) -> Pieces {
    let mut parent: Vec<u32> = (0..vertices as u32).collect();
    for ring in rings.iter() {
        for pair in ring.windows(2) {
            let (a, b) = (root(&mut parent, pair[0]), root(&mut parent, pair[1]));
            parent[a.max(b) as usize] = a.min(b);
        }
    }
    let mut number: Vec<u32> = vec![u32::MAX; vertices];
    let mut count = 0;
    let of: Vec<u32> = (0..vertices as u32)
        .map(|vertex| {
            let number = &mut number[root(&mut parent, vertex) as usize];
            if *number == u32::MAX {
                *number = count;
                count += 1;
            }
            *number
        })
        .collect();
    let mut of_mesh = vec![false; count as usize];
    let mut ranges = of_meshes.iter().peekable();
    for (face, ring) in rings.iter().enumerate() {
        while ranges.next_if(|range| range.end <= face).is_some() {}
        let Some(&first) = ring.first() else { continue };
        if ranges.peek().is_some_and(|range| range.contains(&face)) {
            of_mesh[of[first as usize] as usize] = true;
        }
    }
    Pieces { of, of_mesh }
}

fn root(parent: &mut [u32], mut at: u32) -> u32 {
    while parent[at as usize] != at {
        parent[at as usize] = parent[parent[at as usize] as usize];
        at = parent[at as usize];
    }
    at
}
