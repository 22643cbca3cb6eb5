//! What is lit itself: screens and boards against closed forms, and the same light by every
//! way that asks for it.

use std::f64::consts::{PI, TAU};
use std::sync::Arc;

use chrono::TimeZone;
use chrono_tz::Tz;
use glam::DVec3;

use crate::support;
use quarterstop::camera::Pinhole;
use quarterstop::engine::Prepared;
use quarterstop::engine::view::{View, ViewScene};
use quarterstop::geometry::{Caster, FACE_HEIGHT_M, Obstacle, OverlayScratch, TURF_HEIGHT_M};
use quarterstop::light::{Air, BySun, LightSum, LitGround, Scene, Sky, SkyLight, luminance_of};
use quarterstop::solar;
use quarterstop::venue::{Venue, parse};

const GROUND: &str = r#"title = "Ground"
[place]
latitude_deg = 52.0
longitude_deg = 0.0
height_m = 50.0
zone = "Europe/London"
[field]
sport = "football"
bearing_deg = 0.0
surface_reflectance = 0.0
surrounds_reflectance = 0.0
[fixture]
date = "2027-01-09"
start = "15:00"
"#;

/// An upright screen, 24 m wide and 10 m high, its lower side on the ground 20 m behind the
/// goal line, and a wall that sends light on.
const SCREEN: &str = r#"
[[panel]]
name = "Screen"
corners = [[72.5, -12.0, 0.0], [72.5, 12.0, 0.0], [72.5, 12.0, 10.0], [72.5, -12.0, 10.0]]
reflectance = 0.0
luminance_cd_m2 = 900.0
colour_temperature_k = 7500.0
"#;
const WALL: &str = r#"
[[panel]]
name = "Wall"
corners = [[-40.0, 50.0, 0.0], [40.0, 50.0, 0.0], [40.0, 50.0, 15.0], [-40.0, 50.0, 15.0]]
reflectance = 0.5
"#;

fn venue(more: &str) -> Venue {
    parse(&format!("{GROUND}{SCREEN}{more}"), "ground.toml").unwrap()
}

fn at(hour: u32) -> chrono::DateTime<Tz> {
    Tz::Europe__London.with_ymd_and_hms(2027, 1, 9, hour, 0, 0).unwrap()
}

/// View factor of a small level plane to an upright rectangle `a` wide and `b` high that
/// stands on its plane `c` before it, one lower corner straight ahead: B-4 of J. R. Howell, "A
/// Catalog of Radiation Heat Transfer Configuration Factors", also in Siegel and Howell,
/// "Thermal Radiation Heat Transfer" (formula and number from memory).
fn upright(a: f64, b: f64, c: f64) -> f64 {
    let (x, y) = (b / a, c / a);
    ((1.0 / y).atan() - y / x.hypot(y) * (1.0 / x.hypot(y)).atan()) / TAU
}

/// Illuminance of a Lambertian source: pi times luminance times view factor (CIE S 017, the
/// definition of either). At midnight nothing else shines.
#[test]
fn turf_before_a_screen_has_the_light_of_the_closed_form() {
    let venue = venue("");
    let date = at(0).date_naive();
    let scene = Scene::new(&venue, Obstacle::all_of(&venue, date));
    let sun = solar::position(&venue.place, at(0));
    let night = SkyLight::new(scene.dome(), &sun, &venue.place, &Air::default(), Sky::Clear, 9);
    let dark = Caster::new(&venue, date, TURF_HEIGHT_M).darkness();
    let light = scene.at(&night, &dark);
    let mut looked = 0;
    for (place, got) in scene.places().at().iter().zip(&light.turf) {
        let p = venue.field.frame.to_field(DVec3::new(place.x, place.y, 0.0));
        // in field axes, from the screen's foot; both halves to either side of the place
        let (c, left, right) = (72.5 - p.along_m, 12.0 - p.across_m, 12.0 + p.across_m);
        if c < 1.0 {
            continue;
        }
        let half = |a: f64| a.signum() * upright(a.abs().max(1e-9), 10.0, c);
        let wanted = 900.0 * PI * (half(left) + half(right));
        // the turf is asked for a hair over the ground
        assert!((got.lux() / wanted - 1.0).abs() < 2e-3, "{p:?}: {} {wanted}", got.lux());
        looked += 1;
    }
    assert!(looked > 200, "{looked}");
}

/// A face that looks at the screen from afar has what a small source sends: luminance times
/// area over the square of the distance (photometric distance law).
#[test]
fn a_face_far_off_has_the_light_of_a_small_source() {
    let venue = venue("");
    let date = at(0).date_naive();
    let scene = Scene::new(&venue, Obstacle::all_of(&venue, date));
    let sun = solar::position(&venue.place, at(0));
    let night = SkyLight::new(scene.dome(), &sun, &venue.place, &Air::default(), Sky::Clear, 9);
    let light = scene.at(&night, &Caster::new(&venue, date, TURF_HEIGHT_M).darkness());
    let far = venue.field.frame.to_local(quarterstop::base::frame::FieldPoint {
        along_m: -1127.5,
        across_m: 0.0,
        up_m: 5.0,
    });
    let toward = venue.field.frame.to_local(quarterstop::base::frame::FieldPoint {
        along_m: 1.0,
        across_m: 0.0,
        up_m: 0.0,
    });
    let got = light.on(&scene.receivers(&[(far, toward), (far, -toward)]));
    let wanted = 900.0 * 240.0 / (1200.0 * 1200.0);
    // a face turned away has the night sky alone, which is the same on both
    let [toward, away] = [got[0], got[1]].map(|face| face.as_it_is.lux());
    assert!(away < 1e-3, "{away}");
    assert!(((toward - away) / wanted - 1.0).abs() < 1e-3, "{toward} {away} {wanted}");
}

/// A plan's coefficients, a season's tables and the light place by place are the same, with
/// walls that send the screen's light on.
#[test]
fn every_way_to_ask_for_the_light_has_the_screen_in_it() {
    let grass = "surface_reflectance = 0.0\nsurrounds_reflectance = 0.0\n";
    let text = format!("{GROUND}{SCREEN}{WALL}").replace(grass, "");
    let venue = parse(&text, "ground.toml").unwrap();
    let date = at(0).date_naive();
    let (now, air) = (at(14), Air::default());
    let prepared = Prepared::new(&venue, date);
    let mut bench = OverlayScratch::default();
    let instant = prepared.instant(now, Sky::Clear, &air, &mut bench);
    let light = prepared.view_light(now, Sky::Clear, &air);
    let by_places = light.scene_light().turf_mean().lux();
    let mean = instant.field_light.in_shade.lux();
    assert!((mean / by_places - 1.0).abs() < 1e-4, "{mean} {by_places}");
    // the screen is a part of it that shows
    let unlit =
        parse(&text.replace("luminance_cd_m2 = 900.0\ncolour_temperature_k = 7500.0\n", ""), "g")
            .unwrap();
    let without = Prepared::new(&unlit, date).instant(now, Sky::Clear, &air, &mut bench);
    let adds = mean - without.field_light.in_shade.lux();
    assert!((5.0..500.0).contains(&adds), "{adds}");

    let scene = Scene::new(&venue, Obstacle::all_of(&venue, date));
    let faces = scene.receivers(&[(DVec3::new(20.0, 30.0, FACE_HEIGHT_M), DVec3::Y)]);
    let turf = Arc::new(Caster::over_ground(&venue, date, TURF_HEIGHT_M));
    let places = scene.places().at().len();
    let on_turf = (0..places).map(|i| LightSum::Turf(vec![(i, 1.0)]));
    let on_face = LightSum::Faces(&faces, vec![(0, 1.0)]);
    let sums = scene.coefficients(&on_turf.chain([on_face]).collect::<Vec<_>>());
    let ground = Arc::new(LitGround::new(scene, vec![Arc::new(sums)], Arc::clone(&turf)));
    let table = BySun::new(Arc::clone(&ground), venue.place, &air.into(), Sky::Overcast);
    let sun = solar::position(&venue.place, now);
    let sky = SkyLight::new(ground.scene.dome(), &sun, &venue.place, &air, Sky::Overcast, 9);
    let full = ground.scene.at(&sky, &turf.darkness());
    let own = table.under(&sun).at(&sky.daylight, air.aerosol_500nm);
    assert_eq!(own.len(), places + 1);
    let face = full.on(&faces)[0].as_it_is;
    for (own, full) in own.iter().zip(full.turf.iter().chain([&face])) {
        assert!((own.lux() / full.lux() - 1.0).abs() < 5e-3, "{own:?} {full:?}");
    }
}

/// On air a pixel of the lit side has its luminance and colour, one of the back none of it.
#[test]
fn a_picture_shows_the_screen_as_bright_as_it_is() {
    let venue = venue(
        "[[camera]]\nname = \"1\"\nat = [0.0, -60.0, 12.0]\n\
                       looks_at = [\"centre spot\"]\nhorizontal_fov_deg = 30.0\n",
    );
    let prepared = Prepared::new(&venue, at(0).date_naive());
    let light = prepared.view_light(at(0), Sky::Clear, &Air::default());
    let scene = ViewScene::new(&prepared, &[&light]);
    let middle = venue.occluders[0].bodies[0].shape.points().iter().sum::<DVec3>() / 4.0;
    let lit = venue.occluders[0].bodies[0].lit.unwrap();
    for (from, wanted) in [(lit.toward, 900.0), (-lit.toward, 0.0)] {
        let post =
            quarterstop::venue::CameraPost { at: middle + from * 40.0, ..venue.cameras[0].clone() };
        let eye = Pinhole::along(&post, -from);
        let picture = scene.picture(&light, &View { eye, size: [64, 36], figures: Vec::new() });
        let [x, y, z] = picture.light[18 * 64 + 32].map(f64::from);
        assert!((y - wanted).abs() < 1.0, "{from:?}: {y}");
        if wanted > 0.0 {
            let own = luminance_of(&lit);
            assert!((x / own.x - 1.0).abs() < 0.01 && (z / own.z - 1.0).abs() < 0.01);
        }
    }
}

#[test]
fn lit_panels_that_cannot_be_are_refused_with_their_key() {
    let panel = |keys: &str| {
        format!(
            "{GROUND}[[panel]]\nname = \"P\"\ncorners = [[60.0, -5.0, 0.0], [60.0, 5.0, 0.0], \
             [60.0, 5.0, 1.0], [60.0, -5.0, 1.0]]\n{keys}"
        )
    };
    for (keys, wanted) in [
        (
            "luminance_cd_m2 = 500.0\ntransmittance = 0.5\n",
            ["panel[0].luminance_cd_m2", "transmittance of 0.5"],
        ),
        ("colour_temperature_k = 5000.0\n", ["panel[0].luminance_cd_m2", "without a luminance"]),
        ("luminance_cd_m2 = 90000.0\n", ["panel[0].luminance_cd_m2", "20000"]),
    ] {
        let error = parse(&panel(keys), "ground.toml").unwrap_err().to_string();
        assert!(wanted.iter().all(|part| error.contains(part)), "{error}");
    }
    let edge = format!(
        "{GROUND}[[panel]]\nname = \"P\"\ncorners = [[60.0, 0.0, 0.0], [70.0, 0.0, 0.0], \
         [70.0, 0.0, 5.0], [60.0, 0.0, 5.0]]\nluminance_cd_m2 = 500.0\n"
    );
    let error = parse(&edge, "ground.toml").unwrap_err().to_string();
    assert!(error.contains("in whose plane the centre of play lies"), "{error}");
    assert!(support::football().occluders.is_empty());
}
