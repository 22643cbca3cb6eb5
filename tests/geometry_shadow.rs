//! Shadow polygons against things outside the project: a general-purpose
//! geometry library, a ray-cast that shares no code with the projection, and
//! the shadow length of any surveying handbook.

use geo::{Area, BoundingRect, Coord, Euclidean, Length};
use glam::DVec3;
use serde_json::Value;

use crate::support;
use quarterstop::base::frame::{FieldPoint, direction};
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::geometry::{
    Caster, FACE_HEIGHT_M, Obstacle, OverlayScratch, Region, Shadow, TURF_HEIGHT_M, edge_of,
    penumbra_width_m, transmission_toward,
};
use quarterstop::solar::Sun;
use quarterstop::venue::{Part, Shape, Venue};

fn sun(azimuth_deg: f64, elevation_deg: f64) -> Sun {
    Sun {
        azimuth: Azimuth::from_degrees(azimuth_deg),
        apparent_elevation: Elevation::from_degrees(elevation_deg),
        true_elevation: Elevation::from_degrees(elevation_deg),
    }
}

fn cast(venue: &Venue, height_m: f64, azimuth_deg: f64, elevation_deg: f64) -> Shadow {
    Caster::new(venue, support::date(), height_m)
        .cast(sun(azimuth_deg, elevation_deg).toward(), &mut OverlayScratch::default())
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
}

fn venue_of(case: &Value) -> Venue {
    let field = numbers(&case["field_m"]);
    let (x, y) = (field[0] / 2.0, field[1] / 2.0);
    // bearing 90: the field's long axis points east, as in the reference
    let mut venue = support::open_field(&[[-x, -y], [x, -y], [x, y], [-x, y]], 90.0);
    for body in case["bodies"].as_array().unwrap() {
        let made = if body["kind"] == "plate" {
            let corners = body["corners"].as_array().unwrap().iter();
            let corners = corners.map(|c| DVec3::from_slice(&numbers(c))).collect();
            let t = body["transmittance"].as_f64().unwrap();
            support::body(Part::Panel, Shape::Sheet { corners }, t)
        } else {
            let ring = body["ring"].as_array().unwrap().iter();
            let ring: Vec<[f64; 2]> = ring.map(|p| [numbers(p)[0], numbers(p)[1]]).collect();
            let bottom = body["bottom_m"].as_f64().unwrap();
            let top = body["top_m"].as_f64().unwrap();
            support::body(Part::Solid, support::prism(&ring, bottom, top), 0.0)
        };
        venue.occluders.push(support::occluder("reference", vec![made]));
    }
    venue
}

/// Source: shapely 2.2.0 (GEOS), hulls, unions and intersections of its own;
/// the script that made the values stands beside the tests.
///
/// Tolerance: the grid moves a corner by at most its cell, 0.24 micrometres on these
/// fields, so areas agree to perimeter times cell: 1 cm2 is that of 400 m.
#[test]
fn prisms_and_roof_plates_agree_with_shapely() {
    const TOLERANCE_M2: f64 = 1e-4;
    let text = include_str!("data/shadow_shapely.json");
    let data: Value = serde_json::from_str(text).unwrap();
    let cases = data["cases"].as_array().unwrap();
    assert!(cases.len() >= 100);
    let mut tinted = 0;
    for (i, case) in cases.iter().enumerate() {
        let number = |key: &str| case[key].as_f64().unwrap();
        let venue = venue_of(case);
        let shadow = cast(
            &venue,
            number("height_m"),
            number("sun_azimuth_deg"),
            number("sun_elevation_deg"),
        );
        let share = shadow.field_share();
        let area = shadow.field_area_m2;
        let close = |ours: f64, theirs: f64, what: &str| {
            assert!(
                (ours - theirs).abs() < TOLERANCE_M2,
                "case {i}: {what} {ours} against {theirs}"
            );
        };
        close(shadow.opaque_area_m2, number("opaque_m2"), "opaque m2");
        close(share.shaded * area, number("shaded_m2"), "shaded m2");
        close(share.mean_transmission * area, number("mean_transmission") * area, "lit m2");
        // the polygons themselves carry the same areas, in the local frame
        close(shadow.opaque.unsigned_area(), number("opaque_m2"), "polygon m2");
        close(shadow.shaded.unsigned_area(), number("shaded_m2"), "polygon m2");
        let dimmed = number("shaded_m2") - number("opaque_m2") > TOLERANCE_M2;
        assert_eq!(!shadow.dimmed.is_empty(), dimmed, "case {i}");
        tinted += usize::from(dimmed);
    }
    // as many as the reference has
    assert_eq!(tinted, 41, "cases with translucent shade");
}

/// A point is in shade where a straight line to the sun meets something.
/// Independent of the projection: half-space and plane tests in space.
#[test]
fn a_ray_cast_grid_agrees_with_the_polygons() {
    let venue = support::bowl(24, 0.4);
    let obstacles = Obstacle::all_of(&venue, support::date());
    let mut dice = support::Dice(7);
    for _ in 0..12 {
        let (az, el) = (dice.between(0.0, 360.0), dice.between(4.0, 55.0));
        for height in [TURF_HEIGHT_M, FACE_HEIGHT_M] {
            let shadow = cast(&venue, height, az, el);
            let toward = sun(az, el).toward();
            let mut differ = 0;
            let (columns, rows) = (105, 68);
            for k in 0..columns * rows {
                let p = venue.field.frame.to_local(FieldPoint {
                    along_m: f64::from(k % columns) - 52.0,
                    across_m: f64::from(k / columns) - 33.5,
                    up_m: height,
                });
                let by_ray = transmission_toward(&obstacles, p, toward);
                let by_polygon = shadow.transmission_at(Coord { x: p.x, y: p.y });
                differ += u32::from((by_ray.share() - by_polygon.share()).abs() > 1e-9);
            }
            // none lies within a cell of the grid, a quarter of a micrometre, of an edge
            assert_eq!(differ, 0, "of 7140 points at {az} {el} {height}");
        }
    }
}

/// Source: shadow length = height / tan(elevation), any surveying handbook.
#[test]
fn a_mast_throws_a_shadow_of_height_over_tangent() {
    let mut venue =
        support::open_field(&[[-100., -100.], [100., -100.], [100., 100.], [-100., 100.]], 0.0);
    let half = 0.05;
    let foot = [[-half, -half], [half, -half], [half, half], [-half, half]];
    venue.occluders.push(support::occluder(
        "mast",
        vec![support::body(Part::Solid, support::prism(&foot, 0.0, 20.0), 0.0)],
    ));
    for (elevation, height) in [(15.0, 0.0), (30.0, 0.0), (45.0, 1.7), (60.0, 1.7)] {
        let shadow = cast(&venue, height, 180.0, elevation);
        let bounds = shadow.opaque.bounding_rect().unwrap();
        let expected = (20.0 - height) / f64::to_radians(elevation).tan();
        // sun in the south: the shadow points north from the mast's north face
        assert!((bounds.max().y - (half + expected)).abs() < 1e-6, "{elevation}");
        assert!((bounds.min().y + half).abs() < 1e-6);
        assert!((bounds.width() - 2.0 * half).abs() < 1e-6);
    }
}

/// Arithmetic: 0.5 x 0.6 where two sheets overlap, each alone elsewhere.
#[test]
fn translucent_sheets_multiply_where_they_overlap() {
    let mut venue =
        support::open_field(&[[-50., -50.], [50., -50.], [50., 50.], [-50., 50.]], 90.0);
    let sheet = |x0: f64, x1: f64, z: f64, t: f64| {
        let corners = [(x0, -10.0), (x1, -10.0), (x1, 10.0), (x0, 10.0)];
        let corners = corners.map(|(x, y)| DVec3::new(x, y, z)).to_vec();
        support::occluder("sheet", vec![support::body(Part::Roof, Shape::Sheet { corners }, t)])
    };
    venue.occluders.push(sheet(-20.0, 0.0, 10.0, 0.5));
    venue.occluders.push(sheet(-10.0, 10.0, 20.0, 0.6));
    venue.occluders.push(sheet(-10.0, -5.0, 30.0, 0.6));
    let shadow = cast(&venue, 0.0, 0.0, 90.0);
    let at = |x: f64| shadow.transmission_at(Coord { x, y: 0.0 }).share();
    assert_eq!(at(-15.0), 0.5);
    assert!((at(-7.5) - 0.5 * 0.6 * 0.6).abs() < 1e-12);
    assert!((at(-2.5) - 0.5 * 0.6).abs() < 1e-12);
    assert_eq!(at(5.0), 0.6);
    assert_eq!(at(15.0), 1.0);
    let lost = 200.0 * 0.5 + 100.0 * (1.0 - 0.18) + 100.0 * (1.0 - 0.3) + 200.0 * 0.4;
    let share = shadow.field_share();
    assert!((share.mean_transmission - (1.0 - lost / 1e4)).abs() < 1e-9);
    assert!((share.shaded - 0.06).abs() < 1e-9);
    assert_eq!(share.opaque, 0.0);
}

/// An oval field: the area in shade is the half of it that a long wall shades.
#[test]
fn a_field_that_is_no_box_is_cut_along_its_outline() {
    let oval: Vec<[f64; 2]> = (0..72)
        .map(|i| {
            let angle = std::f64::consts::TAU * f64::from(i) / 72.0;
            [80.0 * angle.cos(), 65.0 * angle.sin()]
        })
        .collect();
    let mut venue = support::open_field(&oval, 90.0);
    for t in [0.0, 0.3] {
        venue.occluders.clear();
        // a wall along x at y = -70 whose shadow reaches y = 0
        let corners = [(-300.0, 0.0), (300.0, 0.0), (300.0, 70.0), (-300.0, 70.0)];
        let corners = corners.map(|(x, z)| DVec3::new(x, -70.0, z)).to_vec();
        let wall = support::body(Part::Panel, Shape::Sheet { corners }, t);
        venue.occluders.push(support::occluder("wall", vec![wall]));
        let share = cast(&venue, 0.0, 180.0, 45.0).field_share();
        assert!((share.shaded - 0.5).abs() < 1e-9, "{share:?}");
        assert!((share.mean_transmission - (0.5 + 0.5 * t)).abs() < 1e-9, "{share:?}");
    }
}

#[test]
fn zones_add_up_to_the_field() {
    let venue = support::bowl(64, 0.4);
    let strip = |i: i32| {
        let x = -52.5 + 10.5 * f64::from(i);
        let ring = [[x, -34.0], [x + 10.5, -34.0], [x + 10.5, 34.0], [x, 34.0]];
        Region::new(&support::polygon(venue.field.frame, &ring).into())
    };
    let strips: Vec<Region> = (0..10).map(strip).collect();
    for (az, el) in [(250.0, 12.0), (180.0, 40.0), (95.0, 5.0)] {
        let shadow = cast(&venue, 0.0, az, el);
        let whole = shadow.field_share();
        let sum = |f: fn(quarterstop::geometry::ShadeShare) -> f64| {
            strips.iter().map(|s| f(s.share(&shadow))).sum::<f64>() / 10.0
        };
        assert!((sum(|s| s.opaque) - whole.opaque).abs() < 1e-6);
        assert!((sum(|s| s.shaded) - whole.shaded).abs() < 1e-6);
        assert!((sum(|s| s.mean_transmission) - whole.mean_transmission).abs() < 1e-6);
    }
}

/// Geometry of a disc of 0.533 degree (mean angular diameter, The Astronomical
/// Almanac): a long level edge 20 m up, sun square to it at elevation 30.
#[test]
fn the_edge_is_found_with_its_penumbra() {
    let mut venue =
        support::open_field(&[[-50., -40.], [50., -40.], [50., 40.], [-50., 40.]], 90.0);
    let corners = [(-400.0, 0.0), (400.0, 0.0), (400.0, 20.0), (-400.0, 20.0)];
    let corners = corners.map(|(x, z)| DVec3::new(x, -45.0, z)).to_vec();
    let wall = support::body(Part::Panel, Shape::Sheet { corners }, 0.0);
    venue.occluders.push(support::occluder("wall", vec![wall]));
    let caster = Caster::new(&venue, support::date(), 0.0);
    let sun = sun(180.0, 30.0);
    let shadow = caster.cast(sun.toward(), &mut OverlayScratch::default());
    let edge = edge_of(&caster, &shadow, &sun, venue.field.outline.exterior());
    assert_eq!(edge.len(), 1);
    assert!((Euclidean.length(&edge[0].line) - 100.0).abs() < 1e-5);
    let y = -45.0 + 20.0 / f64::to_radians(30.0).tan();
    assert!(edge[0].line.0.iter().all(|c| (c.y - y).abs() < 1e-5));
    // slant distance 40 m; the disc's lower and upper limb in closed form
    let half = 0.533_f64.to_radians() / 2.0;
    let reach = |elevation: f64| 20.0 / elevation.tan();
    let exact = reach(30_f64.to_radians() - half) - reach(30_f64.to_radians() + half);
    let width = edge[0].penumbra_m[0].unwrap();
    // the width is linear in the disc's size; the closed form is not: 1e-4 apart
    assert!((width / exact - 1.0).abs() < 1e-3, "{width} against {exact}");
    // an edge along the sun's azimuth is sharpened to the disc across it
    let along = penumbra_width_m(20.0, &sun, Coord { x: 0.0, y: 1.0 });
    assert!((along - 40.0 * 0.533_f64.to_radians()).abs() < 1e-12);
}

#[test]
fn no_sun_leaves_everything_in_shade_and_a_bare_field_nothing() {
    let venue = support::football();
    let caster = Caster::new(&venue, support::date(), 0.0);
    let mut bench = OverlayScratch::default();
    let night = caster
        .cast(direction(Azimuth::from_degrees(0.0), Elevation::from_degrees(-3.0)), &mut bench);
    assert_eq!(night.field_share().shaded, 1.0);
    let day = caster.cast(sun(200.0, 20.0).toward(), &mut bench);
    assert_eq!(day.field_share().shaded, 0.0);
    assert_eq!(day.field_share().mean_transmission, 1.0);
}
