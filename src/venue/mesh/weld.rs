//! Triangles that touch become one surface.
//!
//! In: triangles of points that nothing ties together. Out: shared corners, pieces,
//! and which pieces are closed, those turned outward.

use glam::DVec3;
use rustc_hash::{FxHashMap, FxHashSet};

use super::raw::SkippedContent;

/// Points nearer than this are one, metres: far under what a drawing means, over
/// what 32-bit numbers round at a few hundred metres.
const WELD_M: f64 = 1e-4;

/// A surface with shared corners.
#[derive(Debug, Default)]
pub(super) struct Welded {
    pub vertices: Vec<DVec3>,
    /// Triangles of closed pieces, anticlockwise seen from outside.
    pub closed: Vec<[u32; 3]>,
    /// All other triangles.
    pub open: Vec<[u32; 3]>,
    pub closed_pieces: usize,
    pub open_pieces: usize,
}

/// Welds points (metres) and sorts pieces. What has no area and what comes twice is
/// left out and counted.
pub(super) fn weld(
    points: &[DVec3],
    triangles: impl Iterator<Item = [u32; 3]>,
    skipped: &mut SkippedContent,
) -> Welded {
    let mut corners = Corners::default();
    let mut place: Vec<Option<u32>> = vec![None; points.len()];
    let mut kept: Vec<[u32; 3]> = Vec::new();
    let mut seen: FxHashSet<[u32; 3]> = FxHashSet::default();
    let (mut flat, mut twice) = (0, 0);
    for triangle in triangles {
        let t = triangle.map(|i| {
            *place[i as usize].get_or_insert_with(|| corners.index_of(points[i as usize]))
        });
        if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
            flat += 1;
        } else if seen.insert(lowest_first(t)) {
            kept.push(t);
        } else {
            twice += 1;
        }
    }
    skipped.add("triangles without area", flat);
    skipped.add("triangles that come twice", twice);
    let mut welded = Welded { vertices: corners.vertices, ..Welded::default() };
    for mut piece in pieces(&kept) {
        if turn_outward(&mut piece, &welded.vertices) {
            welded.closed_pieces += 1;
            welded.closed.extend(piece);
        } else {
            welded.open_pieces += 1;
            welded.open.extend(piece);
        }
    }
    welded
}

/// The same triangle, turned the same way, begun at its lowest corner.
fn lowest_first([a, b, c]: [u32; 3]) -> [u32; 3] {
    if a < b && a < c {
        [a, b, c]
    } else if b < c {
        [b, c, a]
    } else {
        [c, a, b]
    }
}

/// Corners found so far, by the cell of space that they lie in.
#[derive(Default)]
struct Corners {
    vertices: Vec<DVec3>,
    /// The last corner of a cell, and of each corner the one before it in its cell.
    cells: FxHashMap<[i64; 3], u32>,
    before: Vec<Option<u32>>,
}

impl Corners {
    fn index_of(&mut self, p: DVec3) -> u32 {
        let scaled = p / (2.0 * WELD_M);
        let cell = scaled.floor();
        // a point this near lies in this cell or across the nearer of its sides
        let lean = (scaled - cell - 0.5).signum();
        let key = |c: DVec3| [c.x as i64, c.y as i64, c.z as i64];
        for side in 0..8_u32 {
            let to = |bit: u32| f64::from(side >> bit & 1);
            let near = cell + lean * DVec3::new(to(0), to(1), to(2));
            let mut found = None;
            let mut next = self.cells.get(&key(near)).copied();
            while let Some(index) = next {
                if self.vertices[index as usize].distance_squared(p) <= WELD_M * WELD_M {
                    found = Some(index);
                }
                next = self.before[index as usize];
            }
            if let Some(first) = found {
                return first;
            }
        }
        let index = self.vertices.len() as u32;
        self.vertices.push(p);
        self.before.push(self.cells.insert(key(cell), index));
        index
    }
}

/// A side of a triangle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct TriangleSide {
    /// Lower and higher corner.
    ends: (u32, u32),
    face: u32,
    /// Whether the triangle runs it from the lower to the higher.
    forward: bool,
}

/// All sides of triangles, those of equal ends in a row.
fn sides_of(triangles: &[[u32; 3]]) -> Vec<TriangleSide> {
    let mut sides = Vec::with_capacity(triangles.len() * 3);
    for (face, t) in triangles.iter().enumerate() {
        for i in 0..3 {
            let (a, b) = (t[i], t[(i + 1) % 3]);
            let ends = (a.min(b), a.max(b));
            sides.push(TriangleSide { ends, face: face as u32, forward: a < b });
        }
    }
    sides.sort_unstable();
    sides
}

/// The triangles along each side.
fn along(sides: &[TriangleSide]) -> impl Iterator<Item = &[TriangleSide]> {
    sides.chunk_by(|a, b| a.ends == b.ends)
}

/// Triangles in groups that hang together over sides, in the order of the file.
fn pieces(triangles: &[[u32; 3]]) -> Vec<Vec<[u32; 3]>> {
    let mut parent: Vec<usize> = (0..triangles.len()).collect();
    fn root(parent: &mut [usize], mut at: usize) -> usize {
        while parent[at] != at {
            parent[at] = parent[parent[at]];
            at = parent[at];
        }
        at
    }
    for users in along(&sides_of(triangles)) {
        for pair in users.windows(2) {
            let [a, b] = [pair[0], pair[1]].map(|side| root(&mut parent, side.face as usize));
            parent[a.max(b)] = a.min(b);
        }
    }
    let mut order: Vec<Option<usize>> = vec![None; triangles.len()];
    let mut pieces: Vec<Vec<[u32; 3]>> = Vec::new();
    for (face, t) in triangles.iter().enumerate() {
        let at = *order[root(&mut parent, face)].get_or_insert_with(|| {
            pieces.push(Vec::new());
            pieces.len() - 1
        });
        pieces[at].push(*t);
    }
    pieces
}

/// Turns the triangles of a closed piece outward; whether it is closed. A piece that
/// is not stays as it is.
fn turn_outward(piece: &mut [[u32; 3]], vertices: &[DVec3]) -> bool {
    let sides = sides_of(piece);
    let balanced = |users: &[TriangleSide]| {
        2 * users.iter().filter(|side| side.forward).count() == users.len()
    };
    if !along(&sides).all(balanced) {
        // a solid whose faces are turned at random, as some programs write them
        let Some(flips) = even_turns(piece.len(), &sides) else { return false };
        for (t, flip) in piece.iter_mut().zip(flips) {
            if flip {
                t.swap(1, 2);
            }
        }
    }
    if volume(piece, vertices) < 0.0 {
        piece.iter_mut().for_each(|t| t.swap(1, 2));
    }
    true
}

/// Which triangles to turn over so that neighbours agree; `None` where a side has
/// not exactly two triangles, or where there is no such choice.
fn even_turns(count: usize, sides: &[TriangleSide]) -> Option<Vec<bool>> {
    let mut neighbours: Vec<Vec<(usize, bool)>> = vec![Vec::new(); count];
    for users in along(sides) {
        let [one, other] = users else { return None };
        let (a, b, against) = (one.face, other.face, one.forward == other.forward);
        neighbours[a as usize].push((b as usize, against));
        neighbours[b as usize].push((a as usize, against));
    }
    let mut flips: Vec<Option<bool>> = vec![None; count];
    let mut waiting = vec![0];
    if let Some(first) = flips.first_mut() {
        *first = Some(false);
    }
    while let Some(face) = waiting.pop() {
        let own = flips[face]?;
        for &(other, against) in &neighbours[face] {
            let wanted = own ^ against;
            match flips[other] {
                None => {
                    flips[other] = Some(wanted);
                    waiting.push(other);
                }
                Some(flip) if flip != wanted => return None,
                Some(_) => {}
            }
        }
    }
    flips.into_iter().collect()
}

/// Six times the volume that triangles enclose, positive when turned outward.
fn volume(piece: &[[u32; 3]], vertices: &[DVec3]) -> f64 {
    let Some(first) = piece.first() else { return 0.0 };
    let origin = vertices[first[0] as usize];
    let at = |i: u32| vertices[i as usize] - origin;
    piece.iter().map(|t| at(t[0]).dot(at(t[1]).cross(at(t[2])))).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    const TETRAHEDRON: [[u32; 3]; 4] = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]];

    fn corners() -> Vec<DVec3> {
        vec![DVec3::ZERO, DVec3::X * 6.0, DVec3::Y * 6.0, DVec3::Z * 6.0]
    }

    fn welded(points: &[DVec3], triangles: &[[u32; 3]]) -> (Welded, SkippedContent) {
        let mut skipped = SkippedContent::default();
        (weld(points, triangles.iter().copied(), &mut skipped), skipped)
    }

    #[test]
    fn a_solid_is_closed_however_its_faces_are_turned() {
        for turned in 0..16_u32 {
            let faces = TETRAHEDRON
                .iter()
                .enumerate()
                .map(|(i, &[a, b, c])| if turned >> i & 1 == 1 { [a, c, b] } else { [a, b, c] });
            let (w, _) = welded(&corners(), &faces.collect::<Vec<_>>());
            assert_eq!((w.closed.len(), w.open.len()), (4, 0));
            assert!((volume(&w.closed, &w.vertices) - 216.0).abs() < 1e-9, "{turned}");
        }
    }

    #[test]
    fn a_solid_without_a_face_is_open_and_points_of_three_faces_are_one() {
        // every triangle with points of its own, a hair apart
        let mut points = Vec::new();
        let mut faces = Vec::new();
        for (i, t) in TETRAHEDRON.iter().enumerate() {
            let near = |k: u32| corners()[k as usize] + DVec3::splat(1e-5 * i as f64);
            points.extend(t.map(near));
            let first = 3 * i as u32;
            faces.push([first, first + 1, first + 2]);
        }
        let (w, skipped) = welded(&points, &faces);
        assert_eq!((w.vertices.len(), w.closed_pieces, w.open_pieces), (4, 1, 0));
        assert!(skipped.is_empty());
        let (w, _) = welded(&points, &faces[1..]);
        assert_eq!((w.closed_pieces, w.open_pieces, w.open.len()), (0, 1, 3));
    }

    #[test]
    fn a_plate_with_a_back_is_closed_and_what_comes_twice_is_counted() {
        let faces = [[0, 1, 2], [0, 2, 1], [1, 2, 0], [0, 1, 1]];
        let (w, skipped) = welded(&corners(), &faces);
        assert_eq!((w.closed.len(), w.open.len()), (2, 0));
        let kinds: Vec<_> = skipped.kinds().collect();
        assert_eq!(kinds, [("triangles that come twice", 1), ("triangles without area", 1)]);
    }

    #[test]
    fn a_moebius_band_is_open() {
        let n = 12_u32;
        let point = |i: u32, side: f64| {
            let a = std::f64::consts::TAU * f64::from(i) / f64::from(n);
            let out = 5.0 + side * (a / 2.0).cos();
            DVec3::new(out * a.cos(), out * a.sin(), side * (a / 2.0).sin())
        };
        let points: Vec<DVec3> = (0..=n).flat_map(|i| [point(i, -1.0), point(i, 1.0)]).collect();
        let faces: Vec<[u32; 3]> = (0..n)
            .flat_map(|i| [[2 * i, 2 * i + 2, 2 * i + 3], [2 * i, 2 * i + 3, 2 * i + 1]])
            .collect();
        let (w, _) = welded(&points, &faces);
        assert_eq!((w.closed_pieces, w.open_pieces), (0, 1));
    }
}
