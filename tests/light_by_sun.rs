//! Light over the sun's place against the straight computation.

use std::sync::Arc;

use chrono::NaiveDate;
use glam::DVec3;
use season_support::{bowl, support};

use crate::season_support;
use quarterstop::base::units::{Azimuth, Elevation, Transmittance};
use quarterstop::geometry::{Caster, FACE_HEIGHT_M, Obstacle, OverlayScratch, TURF_HEIGHT_M};
use quarterstop::light::{
    Air, AirByDate, ByDate, ByElevation, BySun, DaylightCoefficients, LightSum, LitGround,
    Receivers, Scene, SceneLight, Sky, SkyLight, Tristimulus, daylight,
};
use quarterstop::solar::{Sun, true_elevation_deg};
use quarterstop::venue::Place;

/// A thousandth of a stop.
const DAYLIGHT_TOLERANCE: f64 = 0.0007;
/// Light of sky and stands on single places: what bends between nodes of the sun's grid,
/// 3 by 2 degrees, of sky patches 4 to 8 degrees wide that stands cut. Of all places and
/// suns, nine tenths lie within the first, all within the second.
const DEFAULT_TOLERANCE_STOPS: f64 = 0.02;
const WORST_TOLERANCE_STOPS: f64 = 0.15;

fn sun(azimuth_deg: f64, elevation_deg: f64) -> Sun {
    let place = support::place();
    let true_deg = true_elevation_deg(elevation_deg, place.pressure_hpa, place.temperature_c);
    Sun {
        azimuth: Azimuth::from_degrees(azimuth_deg),
        apparent_elevation: Elevation::from_degrees(elevation_deg),
        true_elevation: Elevation::from_degrees(true_deg),
    }
}

fn skies() -> [Sky; 4] {
    [Sky::Clear, Sky::Thin(Transmittance::from_share(0.5)), Sky::Broken, Sky::Overcast]
}

#[test]
fn daylight_over_elevation_is_daylight() {
    let (place, air) = (support::place(), Air::default());
    for sky in skies() {
        let table = ByElevation::new(place, air, sky);
        for step in 0..240 {
            let elevation = -4.0 + 0.37 * f64::from(step);
            for day in [1, 94, 200, 366] {
                let at = sun(180.0, elevation);
                let (own, full) = (table.at(&at, day), daylight(&at, &place, &air, sky, day));
                let pairs = [
                    (own.direct_normal, full.direct_normal),
                    (own.direct_horizontal, full.direct_horizontal),
                    (own.diffuse_horizontal, full.diffuse_horizontal),
                ];
                for (own, full) in pairs {
                    // a sun whose light is under 10 lx lights nothing
                    let slack = DAYLIGHT_TOLERANCE * full.lux() + 0.01;
                    let off = own - full;
                    let most = off.values().into_iter().fold(0.0, |m: f64, v| m.max(v.abs()));
                    assert!(most < slack, "{sky:?} {elevation} {day}: {own:?} {full:?}");
                }
            }
        }
    }
}

/// Between the middles of two seasons the air is neither's: places with the widest steps of
/// aerosol from season to season, at dates all over the year. Held to a hundredth of a stop;
/// suns over 3 degrees.
#[test]
fn daylight_over_the_date_is_that_of_its_air() {
    let mut worst = (0.0_f64, String::new());
    for (latitude_deg, longitude_deg) in [(46.8, 6.9), (24.5, 54.4), (13.5, 2.6), (35.0, 105.0)] {
        let place = Place { latitude_deg, longitude_deg, ..support::place() };
        let airs = AirByDate::typical(&place);
        let table = ByDate::new(place, &airs, Sky::Clear);
        for day in (1..=365).step_by(13) {
            let date = NaiveDate::from_yo_opt(2027, day).unwrap();
            for elevation in [3.1, 5.3, 9.9, 17.0, 33.0, 61.0] {
                let at = sun(180.0, elevation);
                let own = table.at(&at, date);
                let full = daylight(&at, &place, &airs.on(date), Sky::Clear, day);
                for (own, full) in [
                    (own.direct_normal, full.direct_normal),
                    (own.diffuse_horizontal, full.diffuse_horizontal),
                ] {
                    let off = (own.lux() / full.lux()).log2().abs();
                    if off > worst.0 {
                        worst = (off, format!("{latitude_deg} {date} {elevation}"));
                    }
                }
            }
        }
    }
    println!("worst {:.4} stop: {}", worst.0, worst.1);
    assert!(worst.0 < 0.01, "{worst:?}");
}

/// The light of each place of the turf and of some faces, as sums of one.
fn each_light(scene: &Scene, faces: &Receivers) -> Vec<Arc<DaylightCoefficients>> {
    let one = |i| vec![(i, 1.0)];
    let turf = (0..scene.places().at().len()).map(|i| LightSum::Turf(one(i)));
    let on_faces = (0..faces.len()).map(|i| LightSum::Faces(faces, one(i)));
    vec![Arc::new(scene.coefficients(&turf.chain(on_faces).collect::<Vec<_>>()))]
}

/// The same, place by place, without what sunlit ground sends to the faces.
fn in_full(light: &SceneLight, faces: &Receivers) -> Vec<Tristimulus> {
    let on_faces = light.on(faces).into_iter().map(|face| face.ground_in_shade);
    light.turf.iter().copied().chain(on_faces).collect()
}

#[test]
fn light_over_the_suns_place_is_the_scenes() {
    let venue = bowl(32, 0.4);
    let scene = Scene::new(&venue, Obstacle::all_of(&venue, support::date()));
    let places = scene.places().at().iter().take(scene.places().inside()).step_by(7);
    let turned = [DVec3::X, DVec3::Y, -DVec3::X, -DVec3::Y];
    let facing: Vec<(DVec3, DVec3)> = places
        .flat_map(|at| turned.map(|facing| (DVec3::new(at.x, at.y, FACE_HEIGHT_M), facing)))
        .collect();
    let faces = scene.receivers(&facing);
    let turf = Arc::new(Caster::over_ground(&venue, support::date(), TURF_HEIGHT_M));
    let sums = each_light(&scene, &faces);
    let ground = Arc::new(LitGround::new(scene, sums, Arc::clone(&turf)));
    let air = Air::default();
    let mut bench = OverlayScratch::default();
    for sky in [Sky::Clear, Sky::Broken] {
        let table = BySun::new(Arc::clone(&ground), venue.place, &air.into(), sky);
        let mut off = Vec::new();
        for (azimuth, elevation, day) in [
            (95.3, 4.1, 80),
            (141.0, 21.9, 280),
            (181.7, 61.1, 172),
            (229.4, 33.2, 130),
            (262.2, 9.3, 250),
        ] {
            let sun = sun(azimuth, elevation);
            let shadow = turf.cast(sun.toward(), &mut bench);
            let overhead = SkyLight::new(ground.scene.dome(), &sun, &venue.place, &air, sky, day);
            let full = in_full(&ground.scene.at(&overhead, &shadow), &faces);
            let own = table.under(&sun).at(&overhead.daylight, air.aerosol_500nm);
            assert_eq!(own.len(), full.len());
            let stops = |(a, b): (&Tristimulus, &Tristimulus)| (a.lux() / b.lux()).log2().abs();
            off.extend(own.iter().zip(&full).map(stops));
        }
        off.sort_by(f64::total_cmp);
        let (usual, worst) = (off[off.len() * 9 / 10], off[off.len() - 1]);
        println!("{sky:?}: {} lights, 90 % within {usual:.4}, worst {worst:.4} stop", off.len());
        assert!(usual < DEFAULT_TOLERANCE_STOPS, "{usual}");
        assert!(worst < WORST_TOLERANCE_STOPS, "{worst}");
    }
}

#[test]
fn at_a_node_of_the_grid_nothing_is_lost() {
    let venue = bowl(16, 0.0);
    let scene = Scene::new(&venue, Obstacle::all_of(&venue, support::date()));
    let faces = scene.receivers(&[(DVec3::new(10.0, 5.0, FACE_HEIGHT_M), DVec3::Y)]);
    let turf = Arc::new(Caster::over_ground(&venue, support::date(), TURF_HEIGHT_M));
    let sums = each_light(&scene, &faces);
    let ground = Arc::new(LitGround::new(scene, sums, Arc::clone(&turf)));
    let air = Air::default();
    let table = BySun::new(Arc::clone(&ground), venue.place, &air.into(), Sky::Clear);
    let sun = sun(213.0, 38.0);
    let shadow = turf.cast(sun.toward(), &mut OverlayScratch::default());
    // another day than the grid's own: the sun's distance is a factor of its own
    let overhead = SkyLight::new(ground.scene.dome(), &sun, &venue.place, &air, Sky::Clear, 3);
    let full = in_full(&ground.scene.at(&overhead, &shadow), &faces);
    let own = table.under(&sun).at(&overhead.daylight, air.aerosol_500nm);
    assert_eq!(own.len(), full.len());
    let tolerance = 2e-5;
    for (own, full) in own.iter().zip(&full) {
        assert!((own.lux() / full.lux() - 1.0).abs() < tolerance, "{own:?} {full:?}");
        assert!((own.z / full.z - 1.0).abs() < tolerance, "{own:?} {full:?}");
    }
}
