//! Meshes in pictures: what they cover, and that fine ones stay within bounds.

use std::sync::Arc;

use mesh_support::{Bowl, bowl_mesh, with_mesh};
use render_support::marks::{elements, texts};

use crate::{mesh_support, render_support, render_support_field as fields, support};
use quarterstop::base::frame::FieldPoint;
use quarterstop::camera::Pinhole;
use quarterstop::jobs::brief::picture::{EyeView, eye_strip, eye_view};
use quarterstop::jobs::crew::Levels;
use quarterstop::jobs::match_plan::picture::field;
use quarterstop::output::draw::Picture;
use quarterstop::venue::mesh::{MeshSurface, TriangleMesh};
use quarterstop::venue::{Body, CameraPost, Part, Shape, Venue};

const LEVELS: Levels = Levels {
    turf_sun: 0.30,
    turf_shade: 0.04,
    seats_sun: 0.60,
    seats_shade: 0.09,
    subject_sun: 0.45,
    subject_shade: 0.08,
    sky: 0.40,
};

/// A picture of a mesh may not take more than this, bytes: four thousand faces of
/// some hundred and fifty each, filled and outlined.
const MAX_SVG: usize = 2_000_000;

fn ground() -> Venue {
    let mut venue = support::football();
    let frame = venue.field.frame;
    let at = frame.to_local(FieldPoint { along_m: 0.0, across_m: -44.0, up_m: 14.0 });
    venue.cameras = vec![CameraPost {
        name: "main".into(),
        at,
        aims: vec![frame.to_local(FieldPoint::on_ground(0.0, 20.0))],
        horizontal_fov_deg: 60.0,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    }];
    venue
}

fn view(venue: &Venue) -> EyeView {
    EyeView {
        camera: 0,
        looks_at: venue.cameras[0].aims[0],
        levels: LEVELS,
        setting: String::new(),
    }
}

fn kept(name: &str, picture: &Picture) {
    if let Some(folder) = std::env::var_os("EYE_PICTURES") {
        let folder = std::path::Path::new(&folder);
        std::fs::create_dir_all(folder).unwrap();
        std::fs::write(folder.join(format!("{name}.svg")), &picture.svg).unwrap();
        std::fs::write(folder.join(format!("{name}.png")), picture.png().unwrap()).unwrap();
    }
}

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
        let mut venue = ground();
        let body = support::body(Part::Solid, shape, 0.0);
        venue.occluders = vec![support::occluder("block", vec![body])];
        let plan = fields::plan(&venue, 300.0, 24.0);
        (eye_view(&venue, &plan, 0, &view(&venue)).unwrap(), field(&venue, &plan, 0).unwrap())
    });
    kept("mesh-coarse", &other.0);
    assert!(differing(&one.0, &other.0) < 1e-3, "through the camera");
    assert!(differing(&one.1, &other.1) < 1e-3, "from above");
}

#[test]
fn pictures_of_fine_meshes_are_bounded_and_say_so() {
    for (name, bowl) in [("smooth", Bowl::Smooth), ("steps", Bowl::Steps)] {
        let ground = ground();
        let mesh = bowl_mesh(ground.field.frame, bowl, 8, 64);
        let venue = with_mesh(ground, mesh);
        let plan = fields::plan(&venue, 300.0, 24.0);
        let picture = eye_view(&venue, &plan, 0, &view(&venue)).unwrap();
        kept(&format!("mesh-{name}"), &picture);
        assert!(picture.svg.len() < MAX_SVG, "{name}: {} bytes", picture.svg.len());
        let told = |svg: &str| texts(&elements(svg)).iter().any(|t| t.text.starts_with("Meshes: "));
        assert!(told(&picture.svg), "{name}");
        let strip = eye_strip(&venue, &plan, &[0; 3], &vec![view(&venue); 3]).unwrap();
        kept(&format!("mesh-{name}-strip"), &strip);
        assert!(strip.svg.len() < 2 * MAX_SVG && told(&strip.svg), "{name}");
        let above = field(&venue, &plan, 0).unwrap();
        kept(&format!("mesh-{name}-field"), &above);
        assert!(above.svg.len() < MAX_SVG, "{name}");
    }
}

/// A wall of a wavy mesh across the field's long side, its reflectance given.
fn wall(venue: &mut Venue, across: f64, top: f64, reflectance: f64) {
    let frame = venue.field.frame;
    let n = 24_u32;
    let share = |k: u32| f64::from(k) / f64::from(n);
    let (mut vertices, mut triangles) = (Vec::new(), Vec::new());
    for i in 0..=n {
        for j in 0..=n {
            // a slight wave keeps faces from being joined
            let wave = 0.1 * f64::from((i * i * 7 + j * j * 13 + i * j * 5) % 11);
            let (along_m, up_m) = (120.0 * share(i) - 60.0, top * share(j));
            vertices.push(frame.to_local(FieldPoint { along_m, across_m: across + wave, up_m }));
        }
    }
    for i in 0..n {
        for j in 0..n {
            let k = |i: u32, j: u32| i * (n + 1) + j;
            triangles.extend([
                [k(i, j), k(i + 1, j), k(i + 1, j + 1)],
                [k(i, j), k(i + 1, j + 1), k(i, j + 1)],
            ]);
        }
    }
    let mesh = TriangleMesh::new(vertices, triangles, MeshSurface::Open);
    assert!(mesh.flats().len() > 400);
    let body = Body { reflectance, ..support::body(Part::Mesh, Shape::Mesh(Arc::new(mesh)), 0.0) };
    venue.occluders.push(support::occluder("wall", vec![body]));
}

/// Of two walls of fine meshes the near dark one hides the far bright one, in whatever
/// order they are stated: its pixels are those of the near one alone.
#[test]
fn near_faces_hide_far_ones() {
    let (near, far) = ((45.0, 12.0, 0.05), (90.0, 30.0, 0.9));
    let picture = |walls: &[(f64, f64, f64)]| {
        let mut venue = ground();
        // seats behind the camera: what other bodies are compared with
        let ring = [[0.0, 300.0], [1.0, 300.0], [1.0, 301.0], [0.0, 301.0]];
        let deck = support::body(Part::Deck, support::prism(&ring, 0.0, 1.0), 0.0);
        venue.occluders.push(support::occluder("deck", vec![deck]));
        walls.iter().for_each(|w| wall(&mut venue, w.0, w.1, w.2));
        let plan = fields::plan(&venue, 110.0, 30.0);
        let view = view(&venue);
        let picture = eye_view(&venue, &plan, 0, &view).unwrap();
        (venue, view, picture)
    };
    let (venue, view, alone) = picture(&[near]);
    let eye = Pinhole::new(&venue.cameras[0], view.looks_at);
    let frame = venue.field.frame;
    let pixels_at = |picture: &Picture| -> Vec<u8> {
        let (width, _, pixels) = render_support::marks::png_pixels(&picture.png().unwrap());
        let place = |along_m: f64, up_m: f64| {
            let p = frame.to_local(FieldPoint { along_m, across_m: near.0 + 0.6, up_m });
            let [x, y] = eye.project(p).unwrap();
            // a frame of 1920 x 1080 pixels, 40 from the left and 200 from the top
            let at = [1000.0 + 960.0 * x, 740.0 - 540.0 * y].map(|v| v.round() as usize);
            pixels[3 * (at[1] * width as usize + at[0])]
        };
        (0..40).map(|i| place(f64::from(i) - 20.0, 2.0 + 0.2 * f64::from(i))).collect()
    };
    let wanted = pixels_at(&alone);
    let (_, _, behind) = picture(&[far]);
    assert!(pixels_at(&behind).iter().zip(&wanted).all(|(a, b)| a > b), "the far one is bright");
    for walls in [[near, far], [far, near]] {
        let (_, _, both) = picture(&walls);
        kept("mesh-walls", &both);
        assert_eq!(pixels_at(&both), wanted);
    }
}
