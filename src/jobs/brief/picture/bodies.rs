//! Stands, roofs, trees and the rest, as flat pieces with the shade on them.
//!
//! In: a shot. Out: what throws shade, and pieces whose normals are turned to the
//! camera. A piece turned to the sun is lit by the level of seats in the sun, flat
//! over all slopes, without the soft edge that the turf has, and shade lies on it
//! where something opaque or translucent is in the sun's way. A piece turned away
//! is in shade, or glows by what passes through it.

use glam::DVec3;

use crate::base::frame::area_vector;
use crate::base::plane::{P2, clip, cross, signed_area, within_convex};
use crate::venue::mesh::MeshSurface;
use crate::venue::{Body, Part, Shape};

use super::fine;
use super::fine::LeftOut;
use super::lens::Brush;
use super::order::Piece;
use super::shot::Shot;

/// What is above a piece by less throws no shade on it, metres.
const ON_PIECE_M: f64 = 1e-3;
/// A piece is turned to the sun from this cosine on.
pub(super) const MIN_COSINE: f64 = 1e-3;
/// Lines along borders, as a share of the level in shade.
const EDGE: f64 = 0.55;
/// A solid of more faces is round, and has no edges to show.
const MAX_FLAT_FACES: usize = 6;
/// Of a mesh of more faces the lines along borders would be most of the picture.
const MAX_EDGED_FACES: usize = 100;
/// A shadow of more than this share of a piece is all of it.
const WHOLE: f64 = 1.0 - 1e-6;

/// A flat thing in the sun's way.
pub(super) struct Caster {
    pub ring: Vec<DVec3>,
    /// Share of the direct light that passes.
    pub passes: f64,
}

/// The faces of a body with outward normals; of a sheet the one ring, either way.
fn faces(body: &Body) -> Vec<Vec<DVec3>> {
    match &body.shape {
        Shape::Convex { vertices, faces } => faces
            .iter()
            .map(|face| face.iter().filter_map(|&i| vertices.get(i).copied()).collect())
            .collect(),
        Shape::Sheet { corners } => vec![corners.clone()],
        Shape::Mesh(mesh) => mesh
            .flats()
            .iter()
            .map(|ring| ring.iter().map(|&i| mesh.vertices()[i as usize]).collect())
            .collect(),
    }
}

/// Whether the faces of a body are seen, and throw shade, with both sides.
fn is_sheet(body: &Body) -> bool {
    match &body.shape {
        Shape::Convex { .. } => false,
        Shape::Sheet { .. } => true,
        Shape::Mesh(mesh) => mesh.surface() == MeshSurface::Open,
    }
}

/// Everything that throws shade, the clearest first. Of a closed body the side
/// toward the sun is enough: every ray that meets the body leaves it there.
pub(super) fn casters(shot: &Shot) -> Vec<Caster> {
    let Some(sun) = shot.sun else { return Vec::new() };
    let fine = fine::are_fine(shot);
    let mut casters = if fine { fine::casters(shot, sun) } else { Vec::new() };
    for body in painted(shot, fine) {
        let passes = body.passes.on(shot.date()).share();
        if passes >= 1.0 {
            continue;
        }
        for ring in faces(body) {
            if is_sheet(body) || area_vector(ring.iter().copied()).dot(sun) > 0.0 {
                casters.push(Caster { ring, passes });
            }
        }
    }
    casters.sort_by(|a, b| b.passes.total_cmp(&a.passes));
    casters
}

/// Bodies whose faces are taken one by one: all but meshes that are too fine.
fn painted<'s>(shot: &'s Shot, fine: bool) -> impl Iterator<Item = &'s Body> {
    let bodies = shot.venue.occluders.iter().flat_map(|o| &o.bodies);
    bodies.filter(move |body| !(fine && matches!(body.shape, Shape::Mesh(_))))
}

/// What of all bodies the camera can see, and what of fine meshes is left out.
pub(super) fn pieces(
    brush: &Brush,
    shot: &Shot,
    casters: &[Caster],
) -> (Vec<Piece>, Option<LeftOut>) {
    let fine = fine::are_fine(shot);
    let (mut pieces, left_out) = match fine {
        true => {
            let (pieces, left_out) = fine::pieces(brush, shot);
            (pieces, Some(left_out))
        }
        false => (Vec::new(), None),
    };
    for body in painted(shot, fine) {
        let faces = faces(body);
        let edged = match body.part {
            Part::Crown | Part::Trunk => false,
            Part::Solid => faces.len() <= MAX_FLAT_FACES,
            Part::Mesh => faces.len() <= MAX_EDGED_FACES,
            _ => true,
        };
        for face in &faces {
            pieces.extend(piece(brush, shot, casters, body, face, edged));
        }
    }
    (pieces, left_out)
}

fn piece(
    brush: &Brush,
    shot: &Shot,
    casters: &[Caster],
    body: &Body,
    face: &[DVec3],
    edged: bool,
) -> Option<Piece> {
    let outward = area_vector(face.iter().copied()).try_normalize()?;
    let toward_camera = outward.dot(shot.eye.at - *face.first()?);
    if toward_camera <= 0.0 && !is_sheet(body) {
        return None;
    }
    let ring = brush.lens.eye.clip(face);
    if ring.len() < 3 {
        return None;
    }
    let normal = if toward_camera < 0.0 { -outward } else { outward };
    let own = body.passes.on(shot.date()).share();
    let level = |passes: f64| shot.body(body.reflectance, passes);
    let lit = shot.sun.filter(|sun| normal.dot(*sun) > MIN_COSINE);
    let shade = lit.map_or_else(Vec::new, |sun| shade_on(&ring, normal, sun, casters));
    let passes = if lit.is_some() { 1.0 } else { own };
    let edges = face.iter().zip(face.iter().cycle().skip(1)).map(|(a, b)| [*a, *b]);
    Some(Piece {
        ring,
        normal,
        level: level(passes),
        shade: shade.into_iter().map(|(ring, passes)| (ring, level(passes))).collect(),
        edges: if edged { edges.collect() } else { Vec::new() },
        edge_level: EDGE * level(0.0),
        small: false,
    })
}

/// Shade on a flat piece and the share of light that passes there. What is not
/// convex gets none: an approximation.
fn shade_on(
    ring: &[DVec3],
    normal: DVec3,
    sun: DVec3,
    casters: &[Caster],
) -> Vec<(Vec<DVec3>, f64)> {
    let Some(&origin) = ring.first() else { return Vec::new() };
    let axes = (normal.any_orthonormal_vector(), normal.cross(normal.any_orthonormal_vector()));
    let flat = |p: DVec3| [(p - origin).dot(axes.0), (p - origin).dot(axes.1)];
    let space = |p: &P2| origin + axes.0 * p[0] + axes.1 * p[1];
    let bounds: Vec<P2> = ring.iter().map(|p| flat(*p)).collect();
    if !is_convex(&bounds) {
        return Vec::new();
    }
    let (low, high) = corners(&bounds);
    let whole = signed_area(&bounds).abs();
    let slant = normal.dot(sun);
    let over = |p: DVec3| normal.dot(p - origin);
    let (mut shade, mut above): (Vec<(Vec<DVec3>, f64)>, Vec<DVec3>) = (Vec::new(), Vec::new());
    for caster in casters {
        clip(&caster.ring, &mut above, |p| over(p) - ON_PIECE_M, |a, b, share| a.lerp(b, share));
        let cast: Vec<P2> = above.iter().map(|p| flat(*p - sun * (over(*p) / slant))).collect();
        let (least, most) = corners(&cast);
        if (0..2).any(|axis| most[axis] < low[axis] || least[axis] > high[axis]) {
            continue;
        }
        let cast = within_convex(&cast, &bounds);
        let area = signed_area(&cast).abs();
        if area > whole * WHOLE {
            shade.clear();
        }
        if cast.len() >= 3 && area > 0.0 {
            shade.push((cast.iter().map(space).collect(), caster.passes));
        }
    }
    shade
}

fn corners(ring: &[P2]) -> (P2, P2) {
    ring.iter().fold(([f64::MAX; 2], [f64::MIN; 2]), |(low, high), p| {
        ([low[0].min(p[0]), low[1].min(p[1])], [high[0].max(p[0]), high[1].max(p[1])])
    })
}

fn is_convex(ring: &[P2]) -> bool {
    let count = ring.len();
    let turn = |i: usize| cross(ring[i], ring[(i + 1) % count], ring[(i + 2) % count]);
    let turns = (0..count).map(turn);
    let (low, high) = turns.fold((0.0_f64, 0.0_f64), |(l, h), v| (l.min(v), h.max(v)));
    // a straight corner turns a little either way by rounding
    low.abs().min(high) <= 1e-9 * low.abs().max(high)
}

/// Paints pieces in their order.
pub(super) fn paint(brush: &mut Brush, pieces: &[Piece]) {
    for piece in pieces {
        brush.surface(&piece.ring, piece.level);
        for (ring, level) in &piece.shade {
            brush.cover(ring, *level);
        }
        for edge in &piece.edges {
            brush.line(edge, 1, piece.edge_level);
        }
    }
}
