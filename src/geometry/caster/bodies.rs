//! What throws shadows, put over the plane or the ground that is cast on.
//!
//! In: a venue, a date, a height. Out: meshes in field axes, one for each transmittance,
//! without what lies under the ground; on ground that is not flat the ground as well.

use std::sync::Arc;

use chrono::NaiveDate;
use glam::DVec3;

use crate::base::frame::{FieldFrame, area_vector};
use crate::geometry::hull::Box2;
use crate::geometry::mesh::{HiddenFaces, Mesh, MeshBuilder, above_plane};
use crate::geometry::relief::folds::BodyFace;
use crate::geometry::relief::net::ReliefNet;
use crate::venue::mesh::MeshSurface;
use crate::venue::{Body, Shape, Through, Venue};

/// What stands above a plane, in field axes, heights above the plane.
#[derive(Debug)]
pub(super) struct Bodies {
    pub opaque: Mesh,
    /// One mesh for each that lets some light through, darkest first; the panels of each
    /// lattice in one plane, whose transmittance follows the sun, by themselves.
    pub tints: Vec<(Through, Mesh)>,
    /// Bodies that are no triangle meshes, one by one, for [`Caster::silhouettes`]: of a
    /// closed body the points, of a sheet the ring.
    pub single: Vec<Shape>,
    /// What they stand on, where that is not the plane. All heights count from its level.
    pub relief: Option<BodiesOnRelief>,
}

/// Bodies as ground that is not flat asks for them.
#[derive(Debug)]
pub(super) struct BodiesOnRelief {
    pub net: Arc<ReliefNet>,
    pub faces: Vec<BodyFace>,
}

impl Bodies {
    /// `window` is the box of the ground, in field axes.
    pub fn new(venue: &Venue, date: NaiveDate, height_m: f64, window: &Box2) -> Self {
        let frame = venue.field.frame;
        let net = venue.relief.as_deref().map(|r| Arc::new(ReliefNet::new(r, frame, window)));
        let plane = Plane {
            frame,
            height_m: net.as_ref().map_or(height_m, |net| height_m + net.level_m),
            ground: net.as_ref(),
        };
        let (opaque, tints) = meshes(venue, date, &plane);
        let single = bodies_on(venue, date).filter_map(|(body, _)| single(&body.shape, &plane));
        let single = single.collect();
        let faces = |(body, passes): (&Body, Through)| {
            let tint = tints.iter().position(|(tint, _)| *tint == passes);
            faces(&body.shape, tint, &plane)
        };
        let relief = net.clone().map(|net| BodiesOnRelief {
            net,
            faces: bodies_on(venue, date).flat_map(faces).collect(),
        });
        Self { single, opaque, tints, relief }
    }

    /// The opaque one first.
    pub fn meshes(&self) -> impl Iterator<Item = &Mesh> {
        std::iter::once(&self.opaque).chain(self.tints.iter().map(|(_, mesh)| mesh))
    }
}

/// What bodies are put over.
struct Plane<'a> {
    frame: FieldFrame,
    /// Where heights count from.
    height_m: f64,
    ground: Option<&'a Arc<ReliefNet>>,
}

impl Plane<'_> {
    /// A point in field axes, its height over the plane.
    fn point(&self, p: DVec3) -> DVec3 {
        let q = self.frame.to_field(p);
        DVec3::new(q.along_m, q.across_m, p.z - self.height_m)
    }
}

/// All bodies that stop light on a date, with what they let through.
fn bodies_on(venue: &Venue, date: NaiveDate) -> impl Iterator<Item = (&Body, Through)> {
    let bodies = venue.occluders.iter().flat_map(|o| &o.bodies);
    bodies
        .map(move |body| (body, body.passes.through(date)))
        .filter(|(_, through)| through.most().share() < 1.0)
}

/// One mesh of all that is opaque, and one for each that lets some light through beside it.
fn meshes(venue: &Venue, date: NaiveDate, plane: &Plane) -> (Mesh, Vec<(Through, Mesh)>) {
    let mut opaque = MeshBuilder::on(plane.ground);
    let mut tints: Vec<(Through, MeshBuilder)> = Vec::new();
    for (body, passes) in bodies_on(venue, date) {
        let add = |mesh: &mut MeshBuilder| add(mesh, &body.shape, plane);
        if passes.most().is_opaque() {
            add(&mut opaque);
        } else if let Some((_, mesh)) = tints.iter_mut().find(|(t, _)| *t == passes) {
            add(mesh);
        } else {
            let mut mesh = MeshBuilder::on(plane.ground);
            add(&mut mesh);
            tints.push((passes, mesh));
        }
    }
    tints.sort_by(|a, b| a.0.most().share().total_cmp(&b.0.most().share()));
    let tints = tints.into_iter().map(|(t, mesh)| (t, mesh.build(HiddenFaces::Keep))).collect();
    (opaque.build(HiddenFaces::Drop), tints)
}

/// Adds a shape to a mesh in field axes, heights above the plane.
fn add(mesh: &mut MeshBuilder, shape: &Shape, plane: &Plane) {
    let points = |all: &[DVec3]| all.iter().map(|p| plane.point(*p)).collect();
    match shape {
        Shape::Convex { vertices, faces } => {
            mesh.add(&Shape::Convex { vertices: points(vertices), faces: faces.clone() });
        }
        Shape::Sheet { corners } => mesh.add(&Shape::Sheet { corners: points(corners) }),
        Shape::Mesh(triangles) => mesh.add_mesh(triangles, |p| plane.point(p)),
    }
}

/// The part of a shape above the plane, for a silhouette; none of a mesh.
fn single(shape: &Shape, plane: &Plane) -> Option<Shape> {
    let point = |p: &DVec3| plane.point(*p);
    let above = |ring: Vec<DVec3>| match plane.ground {
        // what lies under the ground throws no edge that is looked for
        Some(_) => ring,
        None => above_plane(&ring),
    };
    Some(match shape {
        Shape::Convex { vertices, faces } => {
            let vertices: Vec<DVec3> = vertices.iter().map(point).collect();
            let ring = |f: &Vec<usize>| {
                above(f.iter().filter_map(|&i| vertices.get(i).copied()).collect())
            };
            Shape::Convex { vertices: faces.iter().flat_map(ring).collect(), faces: Vec::new() }
        }
        Shape::Sheet { corners } => {
            Shape::Sheet { corners: above(corners.iter().map(point).collect()) }
        }
        Shape::Mesh(_) => return None,
    })
}

/// The faces of a shape one by one.
fn faces(shape: &Shape, tint: Option<usize>, plane: &Plane) -> Vec<BodyFace> {
    let (rings, is_outer): (Vec<Vec<DVec3>>, bool) = match shape {
        Shape::Convex { vertices, faces } => {
            let ring =
                |f: &Vec<usize>| f.iter().filter_map(|&i| vertices.get(i).copied()).collect();
            (faces.iter().map(ring).collect(), true)
        }
        Shape::Sheet { corners } => (vec![corners.clone()], false),
        Shape::Mesh(mesh) => {
            let corner = |i: u32| mesh.vertices()[i as usize];
            let ring = |t: &[u32; 3]| t.map(corner).to_vec();
            let closed = mesh.surface() == MeshSurface::Closed;
            (mesh.triangles().iter().map(ring).collect(), closed)
        }
    };
    let face = |ring: Vec<DVec3>| {
        let ring: Vec<DVec3> = ring.into_iter().map(|p| plane.point(p)).collect();
        let normal = area_vector(ring.iter().copied()).try_normalize()?;
        Some(BodyFace { ring, normal, is_outer, tint })
    };
    rings.into_iter().filter_map(face).collect()
}
