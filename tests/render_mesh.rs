//! Meshes in pictures: what they cover, and that fine ones stay within bounds.

use std::sync::Arc;

use mesh_support::{Bowl, bowl_mesh, with_mesh};

use crate::{mesh_support, render_support, render_support_field as fields, support};
use quarterstop::jobs::match_plan::picture::field;
use quarterstop::output::draw::Picture;
use quarterstop::venue::mesh::{MeshSurface, TriangleMesh};
use quarterstop::venue::{Part, Shape};

/// A picture of a mesh may not take more than this, bytes: four thousand faces of
/// some hundred and fifty each, filled and outlined.
const MAX_SVG: usize = 2_000_000;

/// Pixels that differ by more than a step or two of grey, as a share of all.
fn differing(a: &Picture, b: &Picture) -> f64 {
    let (one, other) = (
        render_support::marks::png_pixels(&a.png().unwrap()),
        render_support::marks::png_pixels(&b.png().unwrap()),
    );
    assert_eq!((one.0, one.1), (other.0, other.1));
    let pairs = one.2.iter().zip(&other.2);
    let differ = pairs.filter(|(a, b)| a.abs_diff(**b) > 4).count();
    differ as f64 / one.2.len() as f64
}

#[test]
fn a_coarse_mesh_looks_like_the_body_that_it_states() {
    let ring = [[-20.0, 45.0], [25.0, 40.0], [30.0, 60.0], [-22.0, 64.0]];
    let convex = support::prism(&ring, 0.0, 17.0);
    let Shape::Convex { vertices, faces } = &convex else { panic!("a solid") };
    let fan = |f: &Vec<usize>| {
        let f: Vec<u32> = f.iter().map(|&i| i as u32).collect();
        (1..f.len() - 1).map(|i| [f[0], f[i], f[i + 1]]).collect::<Vec<_>>()
    };
    let triangles = faces.iter().flat_map(fan).collect();
    let mesh = TriangleMesh::new(vertices.clone(), triangles, MeshSurface::Closed);
    assert_eq!(mesh.flats().len(), 6);
    let meshed = Shape::Mesh(Arc::new(mesh));
    let [one, other] = [convex, meshed].map(|shape| {
        let mut venue = support::football();
        let body = support::body(Part::Solid, shape, 0.0);
        venue.occluders = vec![support::occluder("block", vec![body])];
        let plan = fields::plan(&venue, 300.0, 24.0);
        field(&venue, &plan, 0).unwrap()
    });
    assert!(differing(&one, &other) < 1e-3);
}

#[test]
fn pictures_of_fine_meshes_are_bounded() {
    for (name, bowl) in [("smooth", Bowl::Smooth), ("steps", Bowl::Steps)] {
        let ground = support::football();
        let mesh = bowl_mesh(ground.field.frame, bowl, 8, 64);
        let venue = with_mesh(ground, mesh);
        let plan = fields::plan(&venue, 300.0, 24.0);
        let above = field(&venue, &plan, 0).unwrap();
        assert!(above.svg.len() < MAX_SVG, "{name}: {} bytes", above.svg.len());
    }
}
