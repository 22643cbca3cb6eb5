//! The split a camera sees, worked by hand for simple grounds.

mod support;

use glam::DVec3;
use quarterstop::camera::{CameraEye, CameraView, OneSide, SplitState, cover};
use quarterstop::geometry::{Caster, FACE_HEIGHT_M, Obstacle, SkyDome, TURF_HEIGHT_M, Workbench};
use quarterstop::light::Daylight;
use quarterstop::solar::Sun;
use quarterstop::units::{Azimuth, Elevation, Lux};
use quarterstop::venue::{CameraPost, Part, Shape, Venue};

const REFLECTANCE: f64 = 0.06;

fn daylight(direct_normal: f64, diffuse: f64, elevation_deg: f64) -> Daylight {
    Daylight {
        direct_normal: Lux::from_lux(direct_normal),
        direct_horizontal: Lux::from_lux(direct_normal * elevation_deg.to_radians().sin()),
        diffuse_horizontal: Lux::from_lux(diffuse),
    }
}

fn view(
    venue: &Venue,
    at: DVec3,
    azimuth_deg: f64,
    elevation_deg: f64,
    light: &Daylight,
) -> CameraView {
    let post = CameraPost {
        name: "camera".into(),
        at,
        aims: vec![DVec3::ZERO],
        horizontal_fov_deg: 40.0,
        aspect: 16.0 / 9.0,
    };
    let sun = Sun {
        azimuth: Azimuth::from_degrees(azimuth_deg),
        apparent_elevation: Elevation::from_degrees(elevation_deg),
        true_elevation: Elevation::from_degrees(elevation_deg),
    };
    let obstacles = Obstacle::all_of(venue, support::date());
    let seen = cover(&post, &venue.field.outline, &[]);
    let eye = CameraEye::new(&post, &seen, &obstacles, &SkyDome::new(), REFLECTANCE);
    let cast = |height| {
        Caster::new(venue, support::date(), height).cast(sun.toward(), &mut Workbench::default())
    };
    eye.view(&sun, light, &cast(TURF_HEIGHT_M), &cast(FACE_HEIGHT_M))
}

/// A wall along the field that shades half of it, so thin and far that it hides
/// next to no sky.
fn half_shaded(sun_elevation_deg: f64) -> Venue {
    let mut venue =
        support::open_field(&[[-50., -50.], [50., -50.], [50., 50.], [-50., 50.]], 90.0);
    // a strip in the air, 400 m away to the south, whose shadow falls on y < 0
    let distance = 400.0;
    let height = |y: f64| (distance + y) * f64::to_radians(sun_elevation_deg).tan();
    let corners = [(-900.0, -60.0), (900.0, -60.0), (900.0, 0.0), (-900.0, 0.0)];
    let corners = corners.map(|(x, y)| DVec3::new(x, -distance, height(y))).to_vec();
    let strip = support::body(Part::Panel, Shape::Sheet { corners }, 0.0);
    venue.occluders.push(support::occluder("strip", vec![strip]));
    venue
}

/// Arithmetic: turf in the sun gets beam + sky, in shade sky alone.
#[test]
fn turf_splits_by_global_over_diffuse() {
    let light = daylight(80_000.0, 12_000.0, 30.0);
    let seen = view(&half_shaded(30.0), DVec3::new(0.0, 90.0, 30.0), 180.0, 30.0, &light);
    let SplitState::InShot(stops) = seen.turf.state else { panic!("{:?}", seen.turf) };
    let by_hand = ((40_000.0 + 12_000.0) / 12_000.0_f64).log2();
    // the strip hides a little of the sky on both sides: under a tenth of a stop
    assert!((stops.stops() - by_hand).abs() < 0.1, "{} against {by_hand}", stops.stops());
    assert!(stops.stops() >= by_hand);
    let sunlit = seen.turf.sunlit.unwrap().cd_per_m2();
    let matt = 52_000.0 * REFLECTANCE / std::f64::consts::PI;
    assert!((sunlit / matt - 1.0).abs() < 0.03, "{sunlit} against {matt}");
    assert!((seen.shaded_share - 0.5).abs() < 0.25);
}

/// A subject lit from the front splits more than the turf does; one lit from
/// behind shows the camera its own shadow and splits by what the turf gives back.
#[test]
fn a_subject_splits_by_where_the_camera_stands_from_the_sun() {
    let (elevation, beam, sky) = (30.0, 80_000.0, 12_000.0);
    let light = daylight(beam, sky, elevation);
    let venue = half_shaded(elevation);
    let stops = |at: DVec3| {
        let SplitState::InShot(stops) = view(&venue, at, 180.0, elevation, &light).subject.state
        else {
            panic!("no edge")
        };
        stops.stops()
    };
    let ground = |lit: f64| 0.5 * REFLECTANCE * (lit * beam * 0.5 + sky);
    let front = (beam * f64::to_radians(elevation).cos() + 0.5 * sky + ground(1.0))
        / (0.5 * sky + ground(0.0));
    let back = (0.5 * sky + ground(1.0)) / (0.5 * sky + ground(0.0));
    let from_south = stops(DVec3::new(0.0, -90.0, 30.0));
    let from_north = stops(DVec3::new(0.0, 90.0, 30.0));
    // faces turn toward the camera and so spread around due south
    assert!((from_south - front.log2()).abs() < 0.15, "{from_south} against {}", front.log2());
    assert!((from_north - back.log2()).abs() < 0.1, "{from_north} against {}", back.log2());
}

#[test]
fn without_an_edge_in_shot_the_split_is_latent() {
    let light = daylight(80_000.0, 12_000.0, 30.0);
    let open = support::football();
    let seen = view(&open, DVec3::new(0.0, 90.0, 30.0), 180.0, 30.0, &light);
    let SplitState::Latent(stops, OneSide::AllSunlit) = seen.turf.state else {
        panic!("{:?}", seen.turf)
    };
    assert!((stops.stops() - (52.0_f64 / 12.0).log2()).abs() < 1e-6);
    let mut roofed = support::football();
    let corners = [(-900.0, -900.0), (900.0, -900.0), (900.0, 900.0), (-900.0, 900.0)];
    let corners = corners.map(|(x, y)| DVec3::new(x, y, 40.0)).to_vec();
    let roof = support::body(Part::Roof, Shape::Sheet { corners }, 0.0);
    roofed.occluders.push(support::occluder("roof", vec![roof]));
    let seen = view(&roofed, DVec3::new(0.0, 90.0, 30.0), 180.0, 60.0, &light);
    // all of the cover in shade, and next to no sky under the roof to light it
    assert!(matches!(
        seen.turf.state,
        SplitState::Latent(_, OneSide::AllShaded) | SplitState::NoEdge
    ));
    assert!((seen.shaded_share - 1.0).abs() < 1e-6);
}

/// A roof that passes 40 % leaves 40 % of the beam: the split is smaller than
/// under an opaque one by arithmetic.
#[test]
fn a_translucent_roof_narrows_the_split() {
    let light = daylight(80_000.0, 12_000.0, 30.0);
    let mut venue = half_shaded(30.0);
    for body in venue.occluders.iter_mut().flat_map(|o| &mut o.bodies) {
        body.passes =
            quarterstop::venue::Passes::Always(quarterstop::units::Transmittance::from_share(0.4));
    }
    let seen = view(&venue, DVec3::new(0.0, 90.0, 30.0), 180.0, 30.0, &light);
    let SplitState::InShot(stops) = seen.turf.state else { panic!("{:?}", seen.turf) };
    let by_hand = (52_000.0 / (0.4 * 40_000.0 + 12_000.0_f64)).log2();
    assert!((stops.stops() - by_hand).abs() < 0.1, "{} against {by_hand}", stops.stops());
}

#[test]
fn no_direct_sun_means_no_edge() {
    let seen = view(
        &half_shaded(30.0),
        DVec3::new(0.0, 90.0, 30.0),
        180.0,
        30.0,
        &daylight(0.0, 9_000.0, 30.0),
    );
    assert_eq!(seen.turf.state, SplitState::NoEdge);
    assert!(seen.turf.sunlit.is_none());
    let shaded = seen.turf.shaded.unwrap().cd_per_m2();
    let matt = 9_000.0 * REFLECTANCE / std::f64::consts::PI;
    assert!((shaded / matt - 1.0).abs() < 0.05);
}
