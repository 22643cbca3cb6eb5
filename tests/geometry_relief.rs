//! Shadows on ground that is not flat against closed forms and a general-purpose geometry
//! library.

use geo::Area;
use glam::DVec3;
use serde_json::Value;
use std::sync::Arc;

use crate::support;
use quarterstop::base::frame::{FieldPoint, direction};
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::geometry::{Caster, OverlayScratch, Shadow, TURF_HEIGHT_M, edge_of};
use quarterstop::solar::Sun;
use quarterstop::venue::{Part, Relief, Shape, Venue};

pub fn toward(azimuth_deg: f64, elevation_deg: f64) -> DVec3 {
    direction(Azimuth::from_degrees(azimuth_deg), Elevation::from_degrees(elevation_deg))
}

pub fn cast(venue: &Venue, height_m: f64, sun: DVec3) -> Shadow {
    Caster::new(venue, support::date(), height_m).cast(sun, &mut OverlayScratch::default())
}

/// A field of 100 x 70 m whose long axis points east, on ground through spots.
pub fn field_on(spots: &[[f64; 3]], lines: &[[usize; 2]]) -> Venue {
    let mut venue =
        support::open_field(&[[-50.0, -35.0], [50.0, -35.0], [50.0, 35.0], [-50.0, 35.0]], 90.0);
    let spots: Vec<DVec3> = spots.iter().copied().map(DVec3::from).collect();
    venue.relief = Some(Arc::new(Relief::with_lines(&spots, lines).unwrap()));
    venue
}

fn plane(a: f64, b: f64) -> Venue {
    let corner = |x: f64, y: f64| [x, y, a * x + b * y];
    let far = 400.0;
    field_on(&[corner(-far, -far), corner(far, -far), corner(far, far), corner(-far, far)], &[])
}

/// A pole of square section on a slope: its shadow is as long as the pole is high over the
/// tangent of the elevation plus the rise along the shadow (any surveying handbook: the line
/// from the top meets the plane). By hand: 10 m, sun in the west at 30 degrees, a rise of one
/// in ten eastward: 10 / (0.57735 + 0.1) = 14.7634 m; with a fall of one in ten 20.9488 m.
#[test]
fn a_wall_on_a_slope_has_the_shadow_of_the_handbook() {
    for (rise, length) in [(0.1, 14.7634), (-0.1, 20.9488), (0.0, 17.3205)] {
        let mut venue = plane(rise, 0.0);
        let foot = rise * -10.0;
        // 20 m across the sun, 10 m over the ground, no thicker than a millimetre
        let ring = [[-10.0, -10.0], [-9.999, -10.0], [-9.999, 10.0], [-10.0, 10.0]];
        let wall = support::prism(&ring, foot - 2.0, foot + 10.0);
        venue
            .occluders
            .push(support::occluder("wall", vec![support::body(Part::Solid, wall, 0.0)]));
        let shadow = cast(&venue, TURF_HEIGHT_M, toward(270.0, 30.0));
        let expected = 20.0 * (length + 0.001);
        assert!(
            (shadow.opaque_area_m2 - expected).abs() < 0.01,
            "{rise} {}",
            shadow.opaque_area_m2
        );
        // at the height of a face over the ground there is less of it
        let face = cast(&venue, 1.7, toward(270.0, 30.0));
        let expected = 20.0 * (0.83 * length + 0.001);
        assert!((face.opaque_area_m2 - expected).abs() < 0.01, "{rise} {}", face.opaque_area_m2);
    }
}

/// A building on a slope throws one shadow, whichever way the field lies: its top and its walls
/// meet in plan to the grid.
#[test]
fn a_building_that_stands_in_the_ground_throws_one_shadow() {
    let tops_m = [6.5, 6.51, 6.1234567, 5.9876543];
    let all = [90.0, 12.0, 37.0, 203.0].into_iter().flat_map(|b| tops_m.map(|top_m| (b, top_m)));
    for (bearing_deg, top_m) in all {
        let outline = [[-50.0, -35.0], [50.0, -35.0], [50.0, 35.0], [-50.0, 35.0]];
        let mut venue = support::open_field(&outline, bearing_deg);
        let far = 400.0;
        let corners = [[-far, -far], [far, -far], [far, far], [-far, far]];
        let spots = corners.map(|[x, y]| DVec3::new(x, y, 0.02 * x + 0.01 * y));
        venue.relief = Some(Arc::new(Relief::through(&spots).unwrap()));
        let frame = venue.field.frame;
        let ring = [[-10.0, -14.0], [-2.0, -14.0], [-2.0, 14.0], [-10.0, 14.0]];
        let ring = ring.map(|[along, across]| {
            let p = frame.to_local(FieldPoint::on_ground(along, across));
            [p.x, p.y]
        });
        let building = support::prism(&ring, -3.0, top_m);
        let body = support::body(Part::Solid, building, 0.0);
        venue.occluders.push(support::occluder("building", vec![body]));
        for azimuth_deg in (5..360).step_by(20) {
            let shadow = cast(&venue, TURF_HEIGHT_M, toward(f64::from(azimuth_deg), 31.0));
            let pieces: Vec<f64> = shadow.opaque.0.iter().map(|p| p.unsigned_area()).collect();
            assert_eq!(pieces.len(), 1, "{bearing_deg} {top_m} {azimuth_deg} {pieces:?}");
            assert!(shadow.opaque.0[0].interiors().is_empty(), "{bearing_deg} {azimuth_deg}");
        }
    }
}

/// On a plane that the sun does not reach nothing is lit, and on one along it neither.
#[test]
fn a_slope_turned_away_from_the_sun_is_dark() {
    let venue = plane(-0.3, 0.0);
    // a fall of 0.3 eastward is 16.7 degrees
    assert_eq!(cast(&venue, TURF_HEIGHT_M, toward(270.0, 20.0)).opaque_area_m2, 0.0);
    let dark = cast(&venue, TURF_HEIGHT_M, toward(270.0, 15.0));
    assert!((dark.opaque_area_m2 - 7000.0).abs() < 1e-6, "{}", dark.opaque_area_m2);
    assert!((dark.shaded.unsigned_area() - 7000.0).abs() < 1e-6);
}

/// A bank behind the field, straight: its crest throws an edge at its height over the tangent.
#[test]
fn a_bank_shades_what_lies_behind_it() {
    let mut spots = Vec::new();
    for (x, z) in
        [(-300.0, 0.0), (-80.0, 0.0), (-60.0, 8.0), (-55.0, 8.0), (-50.0, 0.0), (300.0, 0.0)]
    {
        spots.extend([-300.0, 300.0].map(|y| [x, y, z]));
    }
    let lines: Vec<[usize; 2]> = (0..6).map(|i| [2 * i, 2 * i + 1]).collect();
    let venue = field_on(&spots, &lines);
    // 8 m at 20 degrees: 21.98 m from the crest's edge at -55
    let shadow = cast(&venue, TURF_HEIGHT_M, toward(270.0, 20.0));
    let expected = 70.0 * (8.0 / 20_f64.to_radians().tan() - 5.0);
    assert!((shadow.opaque_area_m2 - expected).abs() < 1e-3, "{}", shadow.opaque_area_m2);
    assert_eq!(shadow.shaded.0.len(), 1, "one piece without slits");
    assert!(shadow.shaded.0[0].interiors().is_empty());
    // from the other side it lies in the sun
    assert_eq!(cast(&venue, TURF_HEIGHT_M, toward(90.0, 20.0)).opaque_area_m2, 0.0);
}

/// Who looks up before a bank sees its crest: tan(elevation) = rise / distance x cos(azimuth from
/// square on) (plane trigonometry). It hides a low wall behind it and not a high one.
#[test]
fn a_bank_stands_in_the_skyline() {
    use quarterstop::engine::{SeenInDirection, Surroundings};
    let mut spots = Vec::new();
    for (x, z) in [(-300.0, 0.0), (-80.0, 0.0), (-55.0, 8.0), (-50.0, 0.0), (300.0, 0.0)] {
        spots.extend([-900.0, 900.0].map(|y| [x, y, z]));
    }
    let lines: Vec<[usize; 2]> = (0..5).map(|i| [2 * i, 2 * i + 1]).collect();
    for (wall_m, shows) in [(9.0, false), (20.0, true)] {
        let mut venue = field_on(&spots, &lines);
        let corner = |y: f64, z: f64| DVec3::new(-90.0, y, z);
        let corners = vec![
            corner(-800.0, 0.0),
            corner(800.0, 0.0),
            corner(800.0, wall_m),
            corner(-800.0, wall_m),
        ];
        let wall = support::body(Part::Panel, Shape::Sheet { corners }, 0.0);
        venue.occluders.push(support::occluder("wall", vec![wall]));
        let around = Surroundings::new(&venue, support::date());
        let at = DVec3::new(0.0, 0.0, 1.7);
        let skyline = around.skyline(&around.panorama(at));
        let (mut west, mut east) = (0, 0);
        for point in skyline {
            let facing = -point.azimuth.radians().sin();
            let (rise, away) = if shows { (wall_m - 1.7, 90.0) } else { (8.0 - 1.7, 55.0) };
            if facing > 0.3 {
                let expected = (rise / away * facing).atan().to_degrees();
                assert!(
                    (point.elevation.degrees() - expected).abs() < 2e-3,
                    "{point:?} {expected}"
                );
                assert_eq!(point.thing.is_some(), shows, "{point:?}");
                assert!((point.covered.degrees() - expected).abs() < 2e-3, "{point:?}");
                west += 1;
            } else if facing < -0.01 {
                assert_eq!((point.elevation.degrees(), point.thing), (0.0, None));
                east += 1;
            }
        }
        assert!(west > 500 && east > 600, "{west} {east}");
        let seen = |elevation: f64| {
            around.seen(at, Azimuth::from_degrees(270.0), Elevation::from_degrees(elevation))
        };
        let over = if shows { SeenInDirection::Opaque { by: 0 } } else { SeenInDirection::Sky };
        assert_eq!(
            [seen(6.0), seen(7.0), seen(12.0)],
            [SeenInDirection::Land, over, SeenInDirection::Sky]
        );
    }
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
}

/// Source: shapely 2.1.2 (GEOS 3.13.1), hulls, unions and intersections of its own on the
/// planes themselves; `tests/reference/make_relief_values.py`.
///
/// Tolerance: as on flat ground, a corner moves by some cells of the grid.
#[test]
fn a_crowned_pitch_agrees_with_shapely() {
    const TOLERANCE_M2: f64 = 1e-3;
    let data: Value = serde_json::from_str(include_str!("data/relief_shapely.json")).unwrap();
    let cases = data["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 60);
    let (mut shaded, mut dimmed) = (0, 0);
    for (i, case) in cases.iter().enumerate() {
        let number = |key: &str| case[key].as_f64().unwrap();
        let rise = numbers(&case["rise"]);
        let height =
            |x: f64, y: f64| rise[0] * x + rise[1] * y - number("crown_m") * f64::abs(y) / 35.0;
        let xs = [-50.0, 50.0];
        let spots: Vec<[f64; 3]> =
            xs.iter().flat_map(|x| [-35.0, 0.0, 35.0].map(|y| [*x, y, height(*x, y)])).collect();
        let mut venue = field_on(&spots, &[[0, 3], [1, 4], [2, 5]]);
        for body in case["bodies"].as_array().unwrap() {
            let made = if body["kind"] == "plate" {
                let corners = body["corners"].as_array().unwrap().iter();
                let corners = corners.map(|c| DVec3::from_slice(&numbers(c))).collect();
                let passes = body["transmittance"].as_f64().unwrap();
                support::body(Part::Panel, Shape::Sheet { corners }, passes)
            } else {
                let ring = body["ring"].as_array().unwrap().iter();
                let ring: Vec<[f64; 2]> = ring.map(|p| [numbers(p)[0], numbers(p)[1]]).collect();
                let top = body["top_m"].as_f64().unwrap();
                // deep in the ground, which must not show
                support::body(Part::Solid, support::prism(&ring, -30.0, top), 0.0)
            };
            venue.occluders.push(support::occluder("reference", vec![made]));
        }
        let sun = toward(number("sun_azimuth_deg"), number("sun_elevation_deg"));
        let shadow = cast(&venue, TURF_HEIGHT_M, sun);
        let close = |ours: f64, theirs: f64, what: &str| {
            assert!((ours - theirs).abs() < TOLERANCE_M2, "case {i}: {what} {ours} not {theirs}");
        };
        close(shadow.opaque_area_m2, number("opaque_m2"), "opaque m2");
        close(shadow.dimmed.iter().map(|d| d.area_m2).sum(), number("dimmed_m2"), "dimmed m2");
        close(
            shadow.shaded.unsigned_area(),
            number("opaque_m2") + number("dimmed_m2"),
            "shaded polygons m2",
        );
        shaded += usize::from(number("opaque_m2") > 1.0);
        dimmed += usize::from(number("dimmed_m2") > 1.0);
    }
    assert!(shaded > 20 && dimmed > 5, "{shaded} {dimmed}");
}

/// Level ground through spots throws the same shadows as no spots at all.
#[test]
fn level_spots_change_nothing() {
    let flat = support::bowl(64, 0.4);
    let mut level = flat.clone();
    let spots = [[-300.0, -300.0], [300.0, -290.0], [310.0, 300.0], [-300.0, 300.0], [7.0, 9.0]];
    let spots = spots.map(|[x, y]| DVec3::new(x, y, 0.0));
    level.relief = Some(Arc::new(Relief::through(&spots).unwrap()));
    for (i, sun) in support::afternoon_suns().into_iter().enumerate() {
        let (a, b) = (cast(&flat, 0.0, sun), cast(&level, 0.0, sun));
        assert!((a.opaque_area_m2 - b.opaque_area_m2).abs() < 1e-3, "{i}");
        let dimmed = |s: &Shadow| s.dimmed.iter().map(|d| d.area_m2).sum::<f64>();
        assert!((dimmed(&a) - dimmed(&b)).abs() < 1e-3, "{i}: {} {}", dimmed(&a), dimmed(&b));
    }
}

/// The penumbra of an edge on a slope is that of the way from the roof's edge down to it.
#[test]
fn an_edge_on_a_slope_has_the_penumbra_of_its_way() {
    let mut venue = plane(0.1, 0.0);
    let ring = [[-20.0, -30.0], [-19.0, -30.0], [-19.0, 30.0], [-20.0, 30.0]];
    let wall = support::prism(&ring, -8.0, 8.0);
    venue.occluders.push(support::occluder("wall", vec![support::body(Part::Solid, wall, 0.0)]));
    let sun = Sun {
        azimuth: Azimuth::from_degrees(270.0),
        apparent_elevation: Elevation::from_degrees(30.0),
        true_elevation: Elevation::from_degrees(30.0),
    };
    let caster = Caster::new(&venue, support::date(), TURF_HEIGHT_M);
    let shadow = caster.cast(sun.toward(), &mut OverlayScratch::default());
    let edge = edge_of(&caster, &shadow, &sun, venue.field.outline.exterior());
    // the top edge at -19 m, 8 m up, comes down at x: 8 - 0.1 x = (x + 19) tan 30
    let x = (8.0 - 19.0 * 30_f64.to_radians().tan()) / (30_f64.to_radians().tan() + 0.1);
    let far = edge.iter().flat_map(|e| e.line.0.windows(2).zip(&e.penumbra_m));
    let mut found = 0;
    for (side, width) in far {
        if (side[0].x - x).abs() < 1e-3 && (side[1].x - x).abs() < 1e-3 {
            let expected = (8.0 - 0.1 * x) / 0.25 * 0.533_f64.to_radians();
            let width = width.unwrap();
            assert!((width - expected).abs() < 1e-3, "{width} {expected}");
            found += 1;
        }
    }
    assert!(found > 0, "{edge:?}");
}

/// Direct light on a plane is that of the beam by the cosine of its incidence (Lambert's law),
/// wherever it is asked for: the mean over the field, a map, the rays of the sky.
#[test]
fn a_slope_gets_the_sun_by_its_incidence() {
    use chrono::TimeZone;
    use quarterstop::engine::Prepared;
    use quarterstop::light::{Air, Sky};
    let venue = plane(0.0, -0.2);
    let at = venue.place.zone.with_ymd_and_hms(2027, 4, 17, 11, 0, 0).unwrap();
    let prepared = Prepared::new(&venue, support::date());
    let mut bench = OverlayScratch::default();
    let instant = prepared.instant(at, Sky::Clear, &Air::default(), &mut bench);
    let normal = DVec3::new(0.0, 0.2, 1.0).normalize();
    let cosine = normal.dot(instant.sun.toward());
    let beam = instant.daylight.direct_normal.lux();
    let light = instant.field_light;
    let direct = light.in_sun.unwrap().lux() - light.in_shade.lux();
    assert!((direct / (beam * cosine) - 1.0).abs() < 1e-9, "{direct} {}", beam * cosine);
    assert!(cosine < 0.9 * instant.sun.toward().z, "the slope falls away from the sun");
    // level ground without a slope gets more
    let level = Prepared::new(&plane(0.0, 0.0), support::date())
        .instant(at, Sky::Clear, &Air::default(), &mut bench)
        .field_light;
    assert!(level.in_sun.unwrap().lux() > light.in_sun.unwrap().lux());
    let reference = prepared.reference(None).unwrap();
    let map = prepared.light_map(at, Sky::Clear, &Air::default(), reference, Some(10.0));
    for node in map.light.iter().flatten() {
        let off = node.lux() / light.in_sun.unwrap().lux() - 1.0;
        assert!(off.abs() < 0.01, "{off}");
    }
}

/// A tilted plane without anything on it sees (1 + cos tilt) / 2 of the sky and the rest of
/// itself no more than level ground does (CIE S 011: an evenly bright sky on a tilted plane).
#[test]
fn a_hill_hides_its_part_of_the_sky() {
    use quarterstop::geometry::{Obstacle, SkyDome};
    let mut spots = Vec::new();
    for (x, z) in [(-3000.0, 0.0), (20.0, 0.0), (20.02, 3000.0), (3000.0, 3000.0)] {
        spots.extend([-3000.0, 3000.0].map(|y| [x, y, z]));
    }
    let venue = field_on(&spots, &[[0, 1], [2, 3], [4, 5], [6, 7]]);
    let obstacles = Obstacle::all_of(&venue, support::date());
    let dome = SkyDome::new();
    let view = dome.from_point(&obstacles, DVec3::new(19.0, 0.0, 0.0));
    // an endless wall a metre off, 3 km high, hides half of the sky
    assert!((dome.horizontal(&view) - 0.5).abs() < 0.01, "{}", dome.horizontal(&view));
    let far = dome.from_point(&obstacles, DVec3::new(-2980.0, 0.0, 0.0));
    // 45 degrees of elevation across: sine squared of half the rest, (1 + cos 45) / 2
    let expected = 0.5 * (1.0 + 45_f64.to_radians().cos());
    assert!((dome.horizontal(&far) - expected).abs() < 0.02, "{}", dome.horizontal(&far));
}
