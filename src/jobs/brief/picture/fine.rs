//! Meshes of so many faces that a painter would take for ever.
//!
//! In: a shot. Out: pieces for the faces that take most of the picture, the faces
//! that throw most of the shade, the outline of the shade on flat land, and how many
//! faces are left out.
//!
//! What is approximate: a face is toned whole, by the light at its middle; all but the
//! largest are put in order by the distance of their middles; those too small to be seen, or over
//! the number that a picture holds, are left out, and the picture says how many.

use geo::{Coord, LineString, MultiPolygon, Polygon, unary_union};
use glam::DVec3;

use crate::base::frame::area_vector;
use crate::base::plane::{clip, signed_area};
use crate::geometry::transmission_toward;
use crate::venue::mesh::{MeshSurface, TriangleMesh};
use crate::venue::{Body, Shape};

use super::bodies::{Caster, MIN_COSINE};
use super::lens::Brush;
use super::order::Piece;
use super::shot::Shot;

/// Meshes that have more faces than this in all are painted as said above; fewer are
/// painted as every other body is.
const MAX_EXACT: usize = 400;
/// A picture holds one face of meshes for so many of its pixels ...
const PX2_PER_FACE: f64 = 500.0;
/// ... but not fewer and not more than this.
const HELD: (f64, f64) = (300.0, 4_000.0);
/// Faces that take less of the picture than this are not seen, square pixels.
const MIN_PX2: f64 = 3.0;
/// Faces that take this share of the picture are put in order exactly, and cut others
/// for it ...
const LARGE: f64 = 0.005;
/// ... up to so many of them.
const MAX_LARGE: usize = 150;
/// So many faces throw shade on other things.
const MAX_CASTERS: usize = 300;
/// Light at the middle of a face is asked for this far before it, metres.
const BEFORE_M: f64 = 0.01;

/// What was left out of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct LeftOut {
    pub drawn: usize,
    pub left_out: usize,
}

/// Whether the meshes of a shot are too fine to be painted as other bodies.
pub(super) fn are_fine(shot: &Shot) -> bool {
    let faces = meshes(shot).map(|(_, mesh)| mesh.flats().len());
    faces.sum::<usize>() > MAX_EXACT
}

fn meshes<'s>(shot: &'s Shot) -> impl Iterator<Item = (&'s Body, &'s TriangleMesh)> {
    let bodies = shot.venue.occluders.iter().flat_map(|o| &o.bodies);
    bodies.filter_map(|body| match &body.shape {
        Shape::Mesh(mesh) => Some((body, mesh.as_ref())),
        _ => None,
    })
}

fn ring_of(mesh: &TriangleMesh, flat: &[u32]) -> Vec<DVec3> {
    flat.iter().filter_map(|&i| mesh.vertices().get(i as usize).copied()).collect()
}

/// Faces that take most of the picture.
pub(super) fn pieces(brush: &Brush, shot: &Shot) -> (Vec<Piece>, LeftOut) {
    let mut seen: Vec<(f64, &Body, Vec<DVec3>, DVec3)> = Vec::new();
    for (body, mesh) in meshes(shot) {
        for flat in mesh.flats() {
            let face = ring_of(mesh, flat);
            let (Some(first), Some(outward)) =
                (face.first(), area_vector(face.iter().copied()).try_normalize())
            else {
                continue;
            };
            let toward_camera = outward.dot(shot.eye.at - *first);
            if toward_camera <= 0.0 && mesh.surface() == MeshSurface::Closed {
                continue;
            }
            let ring = shot.eye.clip(&face);
            let px2 = signed_area(&brush.lens.ring(&ring)).abs();
            if px2 > 0.0 {
                let normal = if toward_camera < 0.0 { -outward } else { outward };
                seen.push((px2, body, ring, normal));
            }
        }
    }
    seen.sort_by(|a, b| b.0.total_cmp(&a.0));
    let frame = brush.lens.frame;
    let most = (frame.width() * frame.height() / PX2_PER_FACE).clamp(HELD.0, HELD.1) as usize;
    let large_px2 = LARGE * frame.width() * frame.height();
    let drawn = seen.partition_point(|face| face.0 >= MIN_PX2).min(most);
    let left_out = LeftOut { drawn, left_out: seen.len() - drawn };
    let pieces =
        seen.into_iter().take(drawn).enumerate().map(|(rank, (px2, body, ring, normal))| {
            let level = level(shot, body, &ring, normal);
            Piece {
                ring,
                normal,
                level,
                shade: Vec::new(),
                edges: Vec::new(),
                edge_level: 0.0,
                small: px2 < large_px2 || rank >= MAX_LARGE,
            }
        });
    (pieces.collect(), left_out)
}

/// Level of a face by the light at its middle.
fn level(shot: &Shot, body: &Body, ring: &[DVec3], normal: DVec3) -> f64 {
    let middle = ring.iter().sum::<DVec3>() / ring.len().max(1) as f64 + normal * BEFORE_M;
    let passes = match shot.sun {
        Some(sun) if normal.dot(sun) > MIN_COSINE => {
            transmission_toward(shot.obstacles(), middle, sun).share()
        }
        _ => body.passes.on(shot.date()).share(),
    };
    shot.body(body.reflectance, passes)
}

/// Faces that throw most of the shade.
pub(super) fn casters(shot: &Shot, sun: DVec3) -> Vec<Caster> {
    let mut all: Vec<(f64, Caster)> = Vec::new();
    for (body, mesh) in meshes(shot) {
        let passes = body.passes.on(shot.date()).share();
        if passes >= 1.0 {
            continue;
        }
        for ring in mesh.flats().iter().map(|flat| ring_of(mesh, flat)) {
            let across = area_vector(ring.iter().copied()).dot(sun);
            let counts = across > 0.0 || (across < 0.0 && mesh.surface() == MeshSurface::Open);
            if counts {
                all.push((across.abs(), Caster { ring, passes }));
            }
        }
    }
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    all.into_iter().take(MAX_CASTERS).map(|(_, caster)| caster).collect()
}

/// Shade of all meshes on the plane of the field, with the share that passes of each.
pub(super) fn shade_on_land(shot: &Shot, sun: DVec3) -> Vec<(MultiPolygon<f64>, f64)> {
    let shade = |(body, mesh): (&Body, &TriangleMesh)| {
        let passes = body.passes.on(shot.date()).share();
        let mut above = Vec::new();
        let thrown = mesh.flats().iter().filter_map(|flat| {
            let ring = ring_of(mesh, flat);
            let across = area_vector(ring.iter().copied()).dot(sun);
            if across <= 0.0 && mesh.surface() == MeshSurface::Closed {
                return None;
            }
            clip(&ring, &mut above, |p| p.z, |a, b, share| a.lerp(b, share));
            let flat = above.iter().map(|p| *p - sun * (p.z / sun.z));
            let line: LineString<f64> = flat.map(|p| Coord { x: p.x, y: p.y }).collect();
            (line.0.len() > 2).then(|| Polygon::new(line, Vec::new()))
        });
        let thrown: Vec<Polygon<f64>> = thrown.collect();
        (passes < 1.0).then(|| (unary_union(&thrown), passes))
    };
    meshes(shot).filter_map(shade).collect()
}
