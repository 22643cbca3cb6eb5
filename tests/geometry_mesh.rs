//! Meshes as occluders: shadow, rays and sky view.
//!
//! Held against rays that the test casts by itself, triangle by triangle (Moeller
//! and Trumbore, "Fast, minimum storage ray/triangle intersection", Journal of
//! Graphics Tools 2(1), 1997), against the same solids stated as convex bodies, and
//! against arithmetic. All shapes are invented.

use std::sync::Arc;

use geo::{Contains, Coord, Point};
use glam::DVec3;
use proptest::prelude::*;
use support::Dice;

use crate::support;
use quarterstop::base::frame::direction;
use quarterstop::base::units::{Azimuth, Elevation, Transmittance};
use quarterstop::geometry::{
    Caster, FACE_HEIGHT_M, Obstacle, Obstacles, OverlayScratch, Shadow, SkyDome, TURF_HEIGHT_M,
    edge_of, transmission_toward,
};
use quarterstop::solar::Sun;
use quarterstop::venue::mesh::{MeshSurface, TriangleMesh};
use quarterstop::venue::{Body, Part, Shape, Venue};

/// Rays this near to the side of a triangle may go either way, as a share of it.
const ON_SIDE: f64 = 1e-7;

type Triangle = [DVec3; 3];

fn mesh(vertices: Vec<DVec3>, triangles: Vec<[u32; 3]>, surface: MeshSurface) -> Shape {
    Shape::Mesh(Arc::new(TriangleMesh::new(vertices, triangles, surface)))
}

/// A convex body as a closed mesh: each face a fan.
fn closed(shape: &Shape) -> Shape {
    let Shape::Convex { vertices, faces } = shape else { panic!("a solid") };
    let fan = |f: &Vec<usize>| {
        let f: Vec<u32> = f.iter().map(|&i| i as u32).collect();
        (1..f.len() - 1).map(|i| [f[0], f[i], f[i + 1]]).collect::<Vec<_>>()
    };
    mesh(vertices.clone(), faces.iter().flat_map(fan).collect(), MeshSurface::Closed)
}

/// Loose triangles, no corner shared.
fn soup(triangles: &[Triangle]) -> Shape {
    let vertices = triangles.iter().flatten().copied().collect();
    let indices = (0..triangles.len() as u32).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect();
    mesh(vertices, indices, MeshSurface::Open)
}

fn field_with(bodies: Vec<Body>) -> Venue {
    let outline = [[-50.0, -30.0], [50.0, -30.0], [50.0, 30.0], [-50.0, 30.0]];
    let mut venue = support::open_field(&outline, 20.0);
    venue.occluders = vec![support::occluder("things", bodies)];
    venue
}

fn toward(azimuth_deg: f64, elevation_deg: f64) -> DVec3 {
    direction(Azimuth::from_degrees(azimuth_deg), Elevation::from_degrees(elevation_deg))
}

fn cast(venue: &Venue, height_m: f64, toward_sun: DVec3) -> Shadow {
    Caster::new(venue, support::date(), height_m).cast(toward_sun, &mut OverlayScratch::default())
}

/// How often a ray meets triangles; `None` where it passes too near to a side.
fn crossings(triangles: &[Triangle], from: DVec3, toward: DVec3) -> Option<u32> {
    let mut count = 0;
    for [a, b, c] in triangles {
        let (e, f) = (b - a, c - a);
        let p = toward.cross(f);
        let det = e.dot(p);
        if det.abs() < 1e-9 {
            continue;
        }
        let t = from - a;
        let u = t.dot(p) / det;
        let q = t.cross(e);
        let v = toward.dot(q) / det;
        let distance = f.dot(q) / det;
        let least = u.min(v).min(1.0 - u - v);
        if least.abs() < ON_SIDE || distance.abs() < ON_SIDE {
            return None;
        }
        count += u32::from(least > 0.0 && distance > 0.0);
    }
    Some(count)
}

fn random_soup(dice: &mut Dice, count: usize) -> Vec<Triangle> {
    let mut point = |middle: DVec3, size: f64| {
        middle
            + DVec3::new(
                dice.between(-size, size),
                dice.between(-size, size),
                dice.between(-size, size),
            )
    };
    (0..count)
        .map(|_| {
            let middle = point(DVec3::new(0.0, 0.0, 10.0), 45.0).with_z(12.0);
            let middle = point(middle, 11.0);
            [point(middle, 14.0), point(middle, 14.0), point(middle, 14.0)]
        })
        .collect()
}

/// The share that arrives at places of the field, by the polygons, by the tree of
/// boxes and by plain rays; triangles lie partly under the plane.
fn held_to_plain_rays(seed: u64, count: usize, transmittance: f64) {
    let mut dice = Dice(seed);
    let triangles = random_soup(&mut dice, count);
    let venue = field_with(vec![support::body(Part::Mesh, soup(&triangles), transmittance)]);
    let obstacles = Obstacle::all_of(&venue, support::date());
    for height in [TURF_HEIGHT_M, FACE_HEIGHT_M] {
        let sun = toward(dice.between(0.0, 360.0), dice.between(4.0, 80.0));
        let shadow = cast(&venue, height, sun);
        for _ in 0..300 {
            let field = Coord { x: dice.between(-55.0, 55.0), y: dice.between(-55.0, 55.0) };
            if !venue.field.outline.contains(&Point(field)) {
                continue;
            }
            let from = DVec3::new(field.x, field.y, height);
            let Some(crossed) = crossings(&triangles, from, sun) else { continue };
            let wanted = transmittance.powf(f64::from(crossed));
            let by_polygons = shadow.transmission_at(field).share();
            let by_rays = transmission_toward(&obstacles, from, sun).share();
            assert!(
                (by_polygons - wanted).abs() < 1e-9,
                "{seed}: {field:?} {by_polygons} {wanted}"
            );
            assert!((by_rays - wanted).abs() < 1e-9, "{seed}: {field:?} {by_rays} {wanted}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn loose_triangles_shade_where_plain_rays_meet_them(seed in 1_u64.., count in 1_usize..60) {
        held_to_plain_rays(seed, count, 0.0);
    }

    #[test]
    fn loose_triangles_dim_once_each(seed in 1_u64.., count in 1_usize..12) {
        held_to_plain_rays(seed, count, 0.5);
    }
}

/// A group of convex solids, touching and crossing each other.
fn solids(dice: &mut Dice, count: usize) -> Vec<Shape> {
    (0..count)
        .map(|_| {
            let (x, y) = (dice.between(-60.0, 60.0), dice.between(-60.0, 60.0));
            let (w, d) = (dice.between(0.5, 25.0), dice.between(0.5, 25.0));
            let top = dice.between(1.0, 30.0);
            let ring = [[x, y], [x + w, y], [x + w, y + d], [x, y + d]];
            support::prism(&ring, dice.between(-3.0, top - 0.5), top)
        })
        .collect()
}

#[test]
fn closed_meshes_do_what_convex_bodies_do() {
    let mut dice = Dice(20_270_417);
    for case in 0..40 {
        let shapes = solids(&mut dice, 8);
        for transmittance in [0.0, 0.4] {
            let body = |shape: Shape| support::body(Part::Solid, shape, transmittance);
            let convex = field_with(shapes.iter().cloned().map(body).collect());
            let meshed = field_with(shapes.iter().map(closed).map(body).collect());
            let date = support::date();
            let (a, b) = (Obstacle::all_of(&convex, date), Obstacle::all_of(&meshed, date));
            let sun = toward(dice.between(0.0, 360.0), dice.between(3.0, 85.0));
            for height in [TURF_HEIGHT_M, FACE_HEIGHT_M] {
                let (one, other) = (cast(&convex, height, sun), cast(&meshed, height, sun));
                let (one, other) = (one.field_share(), other.field_share());
                assert!((one.opaque - other.opaque).abs() < 1e-9, "{case} {height}");
                assert!((one.shaded - other.shaded).abs() < 1e-9, "{case} {height}");
                let mean = (one.mean_transmission - other.mean_transmission).abs();
                assert!(mean < 1e-9, "{case} {height} {mean}");
            }
            for _ in 0..100 {
                let from = DVec3::new(
                    dice.between(-70.0, 70.0),
                    dice.between(-70.0, 70.0),
                    dice.between(0.0, 5.0),
                );
                let toward = toward(dice.between(0.0, 360.0), dice.between(1.0, 89.0));
                let share = |all: &Obstacles| transmission_toward(all, from, toward).share();
                assert!((share(&a) - share(&b)).abs() < 1e-12, "{case} {from} {toward}");
            }
        }
    }
}

#[test]
fn many_solids_in_one_mesh_dim_once_each() {
    // three slabs over each other, one mesh: 0.5 * 0.5 * 0.5 under all of them
    let slab = |low: f64| {
        let ring = [[-10.0, -10.0], [10.0, -10.0], [10.0, 10.0], [-10.0, 10.0]];
        support::prism(&ring, low, low + 1.0)
    };
    let (mut vertices, mut triangles) = (Vec::new(), Vec::new());
    for low in [5.0, 8.0, 11.0] {
        let Shape::Mesh(one) = closed(&slab(low)) else { unreachable!() };
        let first = vertices.len() as u32;
        vertices.extend_from_slice(one.vertices());
        triangles.extend(one.triangles().iter().map(|t| t.map(|i| i + first)));
    }
    let shape = mesh(vertices, triangles, MeshSurface::Closed);
    let venue = field_with(vec![support::body(Part::Mesh, shape, 0.5)]);
    let under = Coord { x: 0.0, y: 0.0 };
    let shadow = cast(&venue, TURF_HEIGHT_M, DVec3::Z);
    assert_eq!(shadow.transmission_at(under).share(), 0.125);
    let obstacles = Obstacle::all_of(&venue, support::date());
    let by_ray = |at: DVec3| transmission_toward(&obstacles, at, DVec3::Z).share();
    assert_eq!(by_ray(DVec3::ZERO), 0.125);
    // from inside of the lowest, and from between: the middle of the slab is also where
    // the diagonals of its faces run
    assert_eq!(by_ray(DVec3::new(0.0, 0.0, 5.5)), 0.125);
    assert_eq!(by_ray(DVec3::new(0.0, 0.0, 7.0)), 0.25);
}

/// Rays through corners and along diagonals of a grid of squares, each cut in two,
/// pass one triangle each, not none and not two.
#[test]
fn no_ray_slips_through_a_joint_or_counts_it_twice() {
    let n = 12_u32;
    let at = |i: u32, j: u32| DVec3::new(f64::from(i) - 6.0, f64::from(j) - 6.0, 7.3);
    let vertices: Vec<DVec3> = (0..=n).flat_map(|i| (0..=n).map(move |j| at(i, j))).collect();
    let k = |i: u32, j: u32| i * (n + 1) + j;
    let triangles: Vec<[u32; 3]> = (0..n)
        .flat_map(|i| (0..n).map(move |j| (i, j)))
        .flat_map(|(i, j)| {
            [[k(i, j), k(i + 1, j), k(i + 1, j + 1)], [k(i, j), k(i + 1, j + 1), k(i, j + 1)]]
        })
        .collect();
    let shape = mesh(vertices.clone(), triangles, MeshSurface::Open);
    let venue = field_with(vec![support::body(Part::Mesh, shape, 0.5)]);
    let obstacles = Obstacle::all_of(&venue, support::date());
    let mut dice = Dice(77);
    for _ in 0..200 {
        let from = DVec3::new(dice.between(-3.0, 3.0), dice.between(-3.0, 3.0), 0.0);
        for i in 1..n {
            for j in 1..n {
                for target in [at(i, j), 0.5 * (at(i, j) + at(i + 1, j + 1))] {
                    let toward = (target - from).normalize();
                    let share = transmission_toward(&obstacles, from, toward).share();
                    assert_eq!(share, 0.5, "{from} {target}");
                }
            }
        }
    }
}

#[test]
fn the_sky_over_a_mesh_is_that_over_the_same_bodies() {
    let mut dice = Dice(4242);
    let dome = SkyDome::new();
    for _ in 0..6 {
        let shapes = solids(&mut dice, 12);
        for transmittance in [0.0, 0.3] {
            let obstacle = |shape: Shape| {
                let body = support::body(Part::Solid, shape, transmittance);
                Obstacle::new(&body, Transmittance::from_share(transmittance)).unwrap()
            };
            let convex: Obstacles = shapes.iter().cloned().map(obstacle).collect();
            let meshed: Obstacles = shapes.iter().map(closed).map(obstacle).collect();
            for _ in 0..6 {
                let at = DVec3::new(dice.between(-50.0, 50.0), dice.between(-30.0, 30.0), 0.0);
                let (a, b) = (dome.from_point(&convex, at), dome.from_point(&meshed, at));
                // who stands inside of a solid sees nothing; what of it differs
                if a.hits().iter().any(|m| m.surface.at.distance(at) < 1e-3) {
                    continue;
                }
                assert_eq!(a.arrives(), b.arrives());
                assert_eq!(a.hits().len(), b.hits().len());
                for (a, b) in a.hits().iter().zip(b.hits()) {
                    assert_eq!((a.patch, a.surface.obstacle), (b.patch, b.surface.obstacle));
                    assert!(a.surface.at.distance(b.surface.at) < 1e-9);
                    assert!(a.surface.normal.dot(b.surface.normal) > 1.0 - 1e-12);
                }
            }
        }
    }
}

/// The edge of a mesh's shadow is as soft as that of the same body: what throws it is
/// as high.
#[test]
fn the_edge_of_a_mesh_knows_its_height() {
    let shape = support::prism(&[[-5.0, 40.0], [5.0, 40.0], [5.0, 45.0], [-5.0, 45.0]], 0.0, 30.0);
    let body = |shape: Shape| support::body(Part::Solid, shape, 0.0);
    let sun = Sun {
        azimuth: Azimuth::from_degrees(20.0),
        true_elevation: Elevation::from_degrees(25.0),
        apparent_elevation: Elevation::from_degrees(25.0),
    };
    let edge = |shape: Shape| {
        let venue = field_with(vec![body(shape)]);
        let caster = Caster::new(&venue, support::date(), TURF_HEIGHT_M);
        let shadow = caster.cast(sun.toward(), &mut OverlayScratch::default());
        edge_of(&caster, &shadow, &sun, venue.field.outline.exterior())
    };
    let widest = |shape: Shape| {
        let edge = edge(shape);
        assert!(edge.iter().flat_map(|e| &e.penumbra_m).all(Option::is_some));
        edge.iter().flat_map(|e| &e.penumbra_m).flatten().fold(0.0, |a: f64, b| a.max(*b))
    };
    let (convex, meshed) = (widest(shape.clone()), widest(closed(&shape)));
    assert!(convex > 0.3 && (convex - meshed).abs() < 1e-6, "{convex} {meshed}");
}

#[test]
fn a_mesh_far_off_or_behind_a_ray_is_not_met() {
    let triangle =
        [DVec3::new(4000.0, 0.0, 0.0), DVec3::new(4000.0, 9.0, 0.0), DVec3::new(4000.0, 4.0, 9.0)];
    let body = support::body(Part::Mesh, soup(&[triangle]), 0.0);
    let obstacle = Obstacle::new(&body, Transmittance::OPAQUE).unwrap();
    let middle = triangle.iter().sum::<DVec3>() / 3.0;
    let met = obstacle.met(DVec3::ZERO, middle.normalize()).unwrap();
    assert!((met.distance_m - middle.length()).abs() < 1e-9);
    assert!(met.normal.dot(DVec3::NEG_X) > 1.0 - 1e-12);
    assert!(obstacle.met(DVec3::ZERO, -middle.normalize()).is_none());
    assert!(!obstacle.meets(middle + DVec3::X, DVec3::X));
    assert!(obstacle.meets(middle + DVec3::X, DVec3::NEG_X));
    // from the surface itself
    assert!(!obstacle.meets(middle, DVec3::X));
}
