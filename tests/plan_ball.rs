//! What a camera sees behind a ball, against geometry and the standard of the sky.

use chrono::TimeZone;
use chrono_tz::Tz;
use glam::DVec3;

use crate::support;
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::engine::Prepared;
use quarterstop::geometry::SkyDome;
use quarterstop::jobs::ball::physics::{BallKind, Flight, Screen, Stroke, fly};
use quarterstop::jobs::ball::{Backdrop, BallPlan, BallPlanError, BallSettings, SunOrShade};
use quarterstop::light::{Air, Sky, SkyLight, SkyLuminance, SkyType, air_of};
use quarterstop::solar;
use quarterstop::solar::Sun;
use quarterstop::venue::{CameraPost, StatedAir, Venue};

fn air() -> Air {
    air_of(&StatedAir::default())
}

/// An open field that runs north, a camera 60 m to its west, 8 m up.
fn ground() -> Venue {
    let mut venue =
        support::open_field(&[[-60.0, -40.0], [60.0, -40.0], [60.0, 40.0], [-60.0, 40.0]], 0.0);
    venue.cameras.push(CameraPost {
        name: "side".into(),
        at: DVec3::new(-60.0, 0.0, 8.0),
        aims: vec![DVec3::ZERO],
        horizontal_fov_deg: 20.0,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    });
    venue
}

fn kick(speed_m_per_s: f64, angle_deg: f64) -> Flight {
    let stroke = Stroke { speed_m_per_s, angle_deg, back_spin_rpm: 0.0, side_spin_rpm: 0.0 };
    let ball = BallKind::Football.ball();
    let from = DVec3::new(0.0, -25.0, ball.radius_m);
    let air =
        quarterstop::jobs::ball::physics::FlightAir { density_kg_per_m3: 1.2, wind: DVec3::ZERO };
    fly(&ball, &stroke.launch(from, DVec3::Y), &air, ball.radius_m)
}

fn settings(hour: u32) -> BallSettings {
    BallSettings {
        at: Tz::Europe__London.with_ymd_and_hms(2027, 4, 17, hour, 0, 0).unwrap(),
        sky: Sky::Clear,
        air: air(),
        camera: 0,
        fov_deg: None,
        ball: BallKind::Football.ball(),
        flight: kick(25.0, 50.0),
        rate: 4.0,
        delay_s: None,
        sky_under_stops: 0.7,
        visibility: 8.0,
        screen: Screen::default(),
    }
}

fn plan(venue: &Venue, settings: &BallSettings) -> Result<BallPlan, BallPlanError> {
    let date = support::date();
    BallPlan::new(&Prepared::new(venue, date), date, settings)
}

/// A ball over the level of the lens is before the sky, one under it before the ground
/// (plane geometry: the horizon of a flat ground is level with the eye).
#[test]
fn the_ball_meets_the_sky_where_it_passes_the_lens() {
    let venue = ground();
    let plan = plan(&venue, &settings(13)).unwrap();
    for look in &plan.looks {
        let over = look.at.z - 8.0;
        if over.abs() > 0.2 {
            assert_eq!(look.behind == Backdrop::Sky, over > 0.0, "{look:?}");
        }
        if over < -1.0 {
            // the line of sight comes down on the field or beyond its far side
            let x = -60.0 + 8.0 * (look.at.x + 60.0) / -over;
            let turf = Backdrop::Turf(SunOrShade::Sun);
            let expected = if x < 40.0 { turf } else { Backdrop::Ground(SunOrShade::Sun) };
            if (x - 40.0).abs() > 1.0 {
                assert_eq!(look.behind, expected, "{look:?}");
            }
        }
    }
    assert!(plan.looks.iter().any(|l| l.behind == Backdrop::Sky));
    let names: Vec<String> = plan.stretches().iter().map(|s| s.behind.words(&venue)).collect();
    assert_eq!(names.first().map(String::as_str), Some("turf in sun"));
    assert_eq!(names.last().map(String::as_str), Some("turf in sun"));
    assert_eq!(plan.stopped_by, None);
}

/// Luminance of the turf is reflectance times illuminance over pi (a matt surface), the
/// same for every look on open turf in the sun; ND, exposure and need are those of the strike.
#[test]
fn open_turf_asks_for_nothing_and_the_sky_for_its_ratio() {
    let venue = ground();
    let plan = plan(&venue, &settings(13)).unwrap();
    let turf: Vec<f64> = plan
        .looks
        .iter()
        .filter(|l| l.behind == Backdrop::Turf(SunOrShade::Sun))
        .map(|l| l.background.cd_per_m2())
        .collect();
    assert!(turf.iter().all(|l| (l / turf[0] - 1.0).abs() < 0.02));
    for (look, need) in plan.looks.iter().zip(&plan.rides.level) {
        if look.behind == Backdrop::Turf(SunOrShade::Sun) {
            assert!(need.stops.abs() < 0.05);
        }
        if look.behind == Backdrop::Sky {
            // white for turf: 0.72 over its reflectance of 0.06; white for sky: 0.7 stops over
            let by_hand =
                (look.background.cd_per_m2() * 0.7_f64.exp2() / (turf[0] * 0.72 / 0.06)).log2();
            assert!((need.stops - by_hand).abs() < 0.05, "{} {by_hand}", need.stops);
        }
    }
}

/// Source: ISO 15469:2004, formula 1: ratios of luminance are those of the type, here of
/// type 12 (aerosol 0.1 by our choice), at any two places of the sky; and the sky so told
/// sends as much to the horizontal as the cells of the light model do.
#[test]
fn the_sky_has_the_ratios_of_the_standard_and_the_light_of_the_model() {
    let dome = SkyDome::new();
    let sun = Sun {
        azimuth: Azimuth::from_degrees(140.0),
        apparent_elevation: Elevation::from_degrees(35.0),
        true_elevation: Elevation::from_degrees(35.0),
    };
    let clean = Air { aerosol_500nm: 0.1, ..air() };
    let place = support::place();
    for (sky, kind) in [(Sky::Clear, SkyType::CLEAR), (Sky::Overcast, SkyType::OVERCAST)] {
        let found = SkyLuminance::new(&dome, &sun, &place, &clean, sky, 107);
        let at = |pan: f64, tilt: f64| {
            quarterstop::base::frame::direction(
                Azimuth::from_degrees(pan),
                Elevation::from_degrees(tilt),
            )
        };
        let zenith = found.toward(DVec3::Z).cd_per_m2();
        for (pan, tilt) in [(140.0, 40.0), (320.0, 35.0), (50.0, 10.0), (140.0, 3.0)] {
            let ratio = found.toward(at(pan, tilt)).cd_per_m2() / zenith;
            let standard = kind.relative(sun.toward(), at(pan, tilt));
            assert!((ratio / standard - 1.0).abs() < 1e-9, "{sky:?} {pan} {tilt}");
        }
        let whole: f64 =
            dome.cells().iter().map(|t| found.toward(*t).cd_per_m2() * t.z * dome.cell_sr()).sum();
        let light = SkyLight::new(&dome, &sun, &place, &clean, sky, 107);
        assert!((whole / light.daylight.diffuse_horizontal.lux() - 1.0).abs() < 1e-6);
    }
}

/// A matt ball in the open with the sun behind the camera is as bright as two thirds of a
/// matt plane facing the sun, and a little more by the sky (Lambert sphere, Russell 1916).
#[test]
fn the_ball_is_as_bright_as_a_matt_sphere() {
    let venue = ground();
    // late afternoon: the sun stands in the west, behind the camera
    let plan = plan(&venue, &settings(18)).unwrap();
    let sun = solar::position(&venue.place, plan.at);
    let look = &plan.looks[plan.looks.len() / 2];
    let to_camera = (plan.post.at - look.at).normalize();
    let p = to_camera.angle_between(sun.toward());
    let light = quarterstop::light::daylight(&sun, &venue.place, &air(), Sky::Clear, 107);
    let phase = 2.0 / 3.0 * (p.sin() + (std::f64::consts::PI - p) * p.cos()) / std::f64::consts::PI;
    let direct = light.direct_normal.lux() * 0.70 / std::f64::consts::PI * phase;
    let sky = look.ball.cd_per_m2() - direct;
    assert!(look.ball_in_sun == Some(1.0));
    // sky and turf on the ball: less than a plane under the whole sky gets, more than none
    let whole = light.diffuse_horizontal.lux() * 0.70 / std::f64::consts::PI;
    assert!((0.1 * whole..1.3 * whole).contains(&sky), "{sky} {whole}");
}

/// A wall as high as 14 m stands 5 m before the camera's view of the far side: the ball that
/// flies into it stops there; the sun in the picture is told.
#[test]
fn what_stands_in_the_way_stops_the_ball_and_the_sun_is_told() {
    use quarterstop::base::units::Transmittance;
    use quarterstop::venue::{Body, Occluder, OccluderKind, Part, Passes, Shape};
    let mut venue = ground();
    let corners = [[-30.0, 10.0, 0.0], [30.0, 10.0, 0.0], [30.0, 10.0, 14.0], [-30.0, 10.0, 14.0]];
    venue.occluders.push(Occluder {
        name: "wall".into(),
        kind: OccluderKind::Panel,
        bodies: vec![Body {
            part: Part::Panel,
            shape: Shape::Sheet { corners: corners.map(DVec3::from).to_vec() },
            passes: Passes::Always(Transmittance::OPAQUE),
            reflectance: 0.3,
            scatters: 0.0,
            lit: None,
        }],
    });
    // a kick at 20 degrees would be down before the wall
    let low = BallSettings { flight: kick(25.0, 30.0), ..settings(13) };
    let plan = plan(&venue, &low).unwrap();
    assert_eq!(plan.stopped_by, Some(0));
    let end = plan.flight.end().at;
    assert!((end.y - 10.0).abs() < 0.6 && end.y <= 10.0, "{end}");
    // in the morning the sun stands low in the east, in front of the camera
    let wide = BallSettings { fov_deg: Some(60.0), ..settings(8) };
    let open = super_plan(&wide);
    assert!(open.sun_in_frame().is_some() || open.sun_on_element().is_some());
    let (look, off) = open.sun_on_element().unwrap();
    let to = (look.at - open.post.at).normalize();
    let by_hand = to.angle_between(open.sun.toward()).to_degrees();
    assert!((off - by_hand).abs() < 1e-6);
}

fn super_plan(settings: &BallSettings) -> BallPlan {
    plan(&ground(), settings).unwrap()
}

#[test]
fn darkness_and_cameras_that_are_none_are_refused() {
    let venue = ground();
    let night = plan(&venue, &settings(23));
    assert!(matches!(night, Err(BallPlanError::Dark { .. })));
    let other = BallSettings { camera: 4, ..settings(13) };
    assert_eq!(
        plan(&venue, &other).unwrap_err(),
        BallPlanError::NoSuchCamera { index: 4, count: 1 }
    );
}

/// A ball that is lost before an over-exposed sky is found by closing: the ride for the
/// ball never closes more than the search, and what it closes to shows the ball.
#[test]
fn closing_down_shows_a_ball_that_clipped() {
    let mut venue = ground();
    // dark turf under cloud, exposed for, leaves the sky far over white
    venue.subject.turf_under_white_stops = Some(0.5);
    let plan = plan(&venue, &BallSettings { sky: Sky::Overcast, ..settings(13) }).unwrap();
    let sky: Vec<Option<f64>> = plan
        .looks
        .iter()
        .zip(&plan.rides.visible)
        .filter(|(l, _)| l.behind == Backdrop::Sky)
        .map(|(_, v)| *v)
        .collect();
    assert!(!sky.is_empty());
    assert!(sky.iter().flatten().any(|s| *s > 0.5), "{sky:?}");
}
