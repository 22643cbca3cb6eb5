//! Standing figures for scale at the marks of the field.
//!
//! In: a shot. Out: flat pieces turned to the camera, 1.8 m tall, and their shade
//! on the turf. One level a figure: in the sun where its face is.

use geo::Coord;
use glam::DVec3;

use crate::base::plane::P2;

use super::ground::on_turf;
use super::order::Piece;
use super::shot::Shot;

/// Body from the feet to the shoulders: across and up, metres. With the head, a
/// person of 1.8 m.
const BODY: [[f64; 2]; 8] = [
    [-0.13, 0.0],
    [0.13, 0.0],
    [0.19, 0.85],
    [0.25, 1.40],
    [0.17, 1.50],
    [-0.17, 1.50],
    [-0.25, 1.40],
    [-0.19, 0.85],
];
/// Middle and radius of the head, metres: it ends 1.8 m above the turf.
const HEAD: (f64, f64) = (1.66, 0.14);
const HEAD_CORNERS: u32 = 12;
/// A figure nearer to the camera than this would fill the frame, metres.
const TOO_NEAR_M: f64 = 3.0;
/// Around a figure, as a share of its level: it is seen before its like too.
const OUTLINE: f64 = 0.3;
/// Turf whose direct light is less has no shade of a figure to show.
const IN_SUN: f64 = 0.5;

fn shapes() -> [Vec<[f64; 2]>; 2] {
    let head = (0..HEAD_CORNERS).map(|i| {
        let turn = std::f64::consts::TAU * (f64::from(i) + 0.25) / f64::from(HEAD_CORNERS);
        [HEAD.1 * turn.cos(), HEAD.0 + HEAD.1 * turn.sin()]
    });
    [BODY.to_vec(), head.collect()]
}

/// Where figures stand.
fn feet(shot: &Shot) -> Vec<Coord<f64>> {
    let away = |c: &Coord<f64>| on_turf(*c).distance(shot.eye.at) >= TOO_NEAR_M;
    shot.venue.field.marks.iter().map(|mark| mark.at).filter(away).collect()
}

/// Shade of the figures on the ground, as rings in its plane.
pub(super) fn shade(shot: &Shot) -> Vec<Vec<P2>> {
    let Some(sun) = shot.sun.filter(|sun| sun.z > 0.0) else { return Vec::new() };
    let across = DVec3::Z.cross(sun).normalize_or_zero();
    let lit = feet(shot).into_iter().filter(|at| shot.on_turf(shot.inward(*at)) >= IN_SUN);
    lit.flat_map(|at| shapes().map(|shape| (at, shape)))
        .map(|(at, shape)| {
            let thrown = |[x, z]: &[f64; 2]| {
                let p = on_turf(at) + across * *x - sun * (*z / sun.z);
                [p.x, p.y]
            };
            shape.iter().map(thrown).collect()
        })
        .collect()
}

/// The figures themselves.
pub(super) fn pieces(shot: &Shot) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for at in feet(shot) {
        let foot = on_turf(at);
        let to_camera = shot.eye.at - foot;
        let normal = DVec3::new(to_camera.x, to_camera.y, 0.0).try_normalize();
        let Some(normal) = normal else { continue };
        let across = DVec3::Z.cross(normal);
        let level = shot.subject(shot.on_face(at));
        for shape in shapes() {
            let ring = shape.iter().map(|[x, z]| foot + across * *x + DVec3::Z * *z);
            let ring: Vec<DVec3> = ring.collect();
            let edges = ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| [*a, *b]);
            pieces.push(Piece {
                edges: edges.collect(),
                ring,
                normal,
                level,
                shade: Vec::new(),
                edge_level: OUTLINE * level.min(1.0),
                small: false,
            });
        }
    }
    pieces
}
