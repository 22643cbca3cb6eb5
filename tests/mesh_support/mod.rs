//! Stands as meshes, made by formula: a bowl with as many triangles as asked for.
//! Invented throughout.
#![allow(dead_code)]

use std::sync::Arc;

use glam::DVec3;

use quarterstop::base::frame::{FieldFrame, FieldPoint};
use quarterstop::base::units::Transmittance;
use quarterstop::venue::mesh::{MeshSurface, TriangleMesh};
use quarterstop::venue::{Body, Occluder, OccluderKind, Part, Passes, Shape, Venue};

/// How a bowl is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bowl {
    /// One closed surface.
    Smooth,
    /// Each step of each segment a box of its own.
    Steps,
}

/// Front row on an ellipse around a football field, the back row 32 m out and 24 m
/// up, a roof over the last rows.
pub fn bowl_mesh(frame: FieldFrame, bowl: Bowl, rows: u32, segments: u32) -> TriangleMesh {
    let at = |segment: u32, out_m: f64, up_m: f64| {
        let angle = std::f64::consts::TAU * f64::from(segment % segments) / f64::from(segments);
        frame.to_local(FieldPoint {
            along_m: (80.0 + out_m) * angle.cos(),
            across_m: (56.0 + out_m) * angle.sin(),
            up_m,
        })
    };
    let step = |row: u32| 32.0 * f64::from(row) / f64::from(rows);
    let rise = |row: u32| 1.0 + 23.0 * f64::from(row) / f64::from(rows);
    let (mut vertices, mut triangles) = (Vec::new(), Vec::new());
    match bowl {
        Bowl::Smooth => {
            // the outline of a section, around the bowl
            let mut section: Vec<[f64; 2]> = (0..=rows).map(|r| [step(r), rise(r)]).collect();
            section.extend([[32.0, 31.0], [10.0, 33.0], [10.0, 33.6], [32.6, 31.6], [32.6, 0.0]]);
            section.push([0.0, 0.0]);
            let n = section.len() as u32;
            for s in 0..segments {
                vertices.extend(section.iter().map(|p| at(s, p[0], p[1])));
            }
            let k = |s: u32, i: u32| (s % segments) * n + i % n;
            for s in 0..segments {
                for i in 0..n {
                    let [a, b, c, d] = [k(s, i), k(s, i + 1), k(s + 1, i + 1), k(s + 1, i)];
                    triangles.extend([[a, c, b], [a, d, c]]);
                }
            }
        }
        Bowl::Steps => {
            for s in 0..segments {
                for r in 0..rows {
                    let first = vertices.len() as u32;
                    for up in [0.0, rise(r)] {
                        for (segment, row) in [(s, r), (s, r + 1), (s + 1, r + 1), (s + 1, r)] {
                            vertices.push(at(segment, step(row), up));
                        }
                    }
                    triangles.extend(BOX.map(|t| t.map(|i| first + i)));
                }
            }
        }
    }
    TriangleMesh::new(vertices, triangles, MeshSurface::Closed)
}

/// A box over four corners that run anticlockwise seen from above.
const BOX: [[u32; 3]; 12] = [
    [0, 2, 1],
    [0, 3, 2],
    [4, 5, 6],
    [4, 6, 7],
    [0, 1, 5],
    [0, 5, 4],
    [1, 2, 6],
    [1, 6, 5],
    [2, 3, 7],
    [2, 7, 6],
    [3, 0, 4],
    [3, 4, 7],
];

/// A venue with a mesh beside everything else.
pub fn with_mesh(mut venue: Venue, mesh: TriangleMesh) -> Venue {
    let body = Body {
        part: Part::Mesh,
        shape: Shape::Mesh(Arc::new(mesh)),
        passes: Passes::Always(Transmittance::OPAQUE),
        reflectance: 0.3,
        scatters: 0.0,
        lit: None,
    };
    let bodies = vec![body];
    venue.occluders.push(Occluder { name: "bowl".into(), kind: OccluderKind::Mesh, bodies });
    venue
}

/// Six times the volume that a closed mesh encloses, and twice its area.
pub fn volume_and_area(mesh: &TriangleMesh) -> (f64, f64) {
    let origin = mesh.vertices()[0];
    let each = mesh.triangles().iter().map(|t| {
        let [a, b, c] = mesh.corners(t).map(|p: DVec3| p - origin);
        (a.dot(b.cross(c)), (b - a).cross(c - a).length())
    });
    each.fold((0.0, 0.0), |(v, s), (dv, ds)| (v + dv, s + ds))
}
