//! What arrives at the turf and at faces between stands, against view factors in
//! closed form, energy balances and arithmetic.

use glam::DVec3;

use crate::support;
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::geometry::{
    Caster, Obstacle, OverlayScratch, SampleGrid, Shadow, SkyDome, TURF_HEIGHT_M,
};
use quarterstop::light::{
    Air, ColourTemperature, Daylight, FloodlightLight, Glow, LightSum, Scene, Sky, SkyLight,
    Sources, Tristimulus, ground_reflected, reflectances,
};
use quarterstop::solar::Sun;
use quarterstop::venue::{Body, Part, PlayingSurface, Shape, Venue};

/// One band of the dome in 24, cut at 48 places: a rim is met to a 24th of a
/// band's weight on average; 0.5 % of the sky.
const TOLERANCE: f64 = 0.005;

fn sun_at(azimuth_deg: f64, elevation_deg: f64) -> Sun {
    Sun {
        azimuth: Azimuth::from_degrees(azimuth_deg),
        apparent_elevation: Elevation::from_degrees(elevation_deg),
        true_elevation: Elevation::from_degrees(elevation_deg),
    }
}

/// A sky of 1 cd/m2 all over and no sun.
fn even_sky() -> SkyLight {
    let white = Tristimulus { x: 1.0, y: 1.0, z: 1.0 };
    SkyLight {
        toward_sun: DVec3::new(0.0, -0.8, 0.6),
        daylight: Daylight {
            direct_normal: Tristimulus::ZERO,
            direct_horizontal: Tristimulus::ZERO,
            diffuse_horizontal: white * std::f64::consts::PI,
        },
        glow: Glow { cells: vec![white; SkyDome::new().cells().len()] },
        covered: None,
    }
}

fn sheet(corners: &[[f64; 3]], reflectance: f64, transmittance: f64) -> Body {
    let corners = corners.iter().map(|&c| DVec3::from(c)).collect();
    Body { reflectance, ..support::body(Part::Panel, Shape::Sheet { corners }, transmittance) }
}

/// A square field of 40 m without zones, and bodies around it.
fn ground(bodies: Vec<Body>, surface_reflectance: f64) -> Venue {
    let mut venue = support::open_field(&[[-20., -20.], [20., -20.], [20., 20.], [-20., 20.]], 0.0);
    venue.field.surface = PlayingSurface::Acrylic; // without a colour
    venue.field.surface_reflectance = surface_reflectance;
    venue.field.surrounds_surface = PlayingSurface::Acrylic;
    venue.field.surrounds_reflectance = surface_reflectance;
    venue.occluders.push(support::occluder("bodies", bodies));
    venue
}

fn scene(venue: &Venue) -> Scene {
    Scene::new(venue, Obstacle::all_of(venue, support::date()))
}

fn shadow(venue: &Venue, sun: &Sun) -> Shadow {
    Caster::new(venue, support::date(), TURF_HEIGHT_M)
        .cast(sun.toward(), &mut OverlayScratch::default())
}

/// Light on a surface that faces `normal` at a place.
fn on(venue: &Venue, sky: &SkyLight, at: DVec3, normal: DVec3) -> Tristimulus {
    let scene = scene(venue);
    let sun = sun_at(180.0, 37.0);
    let light = scene.at(sky, &shadow(venue, &sun));
    light.on(&scene.receivers(&[(at, normal)]))[0].as_it_is
}

fn share(light: Tristimulus) -> f64 {
    light.lux() / std::f64::consts::PI
}

/// Four walls around the field, `height` high, and perhaps a lid.
fn court(height: f64, half: f64, reflectance: f64) -> Vec<Body> {
    let corner = [[-half, -half], [half, -half], [half, half], [-half, half]];
    let wall = |i: usize| {
        let (a, b) = (corner[i], corner[(i + 1) % 4]);
        sheet(
            &[[a[0], a[1], 0.0], [b[0], b[1], 0.0], [b[0], b[1], height], [a[0], a[1], height]],
            reflectance,
            0.0,
        )
    };
    (0..4).map(wall).collect()
}

/// Radiation handbooks: the foot of an endless wall sees half of the sky; with a
/// wall on either side the floor in the middle of a street sees
/// `cos(atan(2 h / w))` (Oke, Boundary Layer Climates, 1987, from memory), the
/// walls the rest.
#[test]
fn a_street_canyon_has_its_view_factors() {
    let far = 1e5;
    for (height, width) in [(10.0, 60.0), (25.0, 60.0), (60.0, 60.0)] {
        let wall = |x: f64| {
            sheet(&[[x, -far, 0.0], [x, far, 0.0], [x, far, height], [x, -far, height]], 0.0, 0.0)
        };
        let venue = ground(vec![wall(-width / 2.0), wall(width / 2.0)], 0.0);
        let middle = share(on(&venue, &even_sky(), DVec3::ZERO, DVec3::Z));
        let exact = (2.0 * height / width).atan().cos();
        assert!((middle - exact).abs() < TOLERANCE, "{middle} against {exact}");
        // an upright face toward a wall at a height: half of what lies above the
        // wall's elevation counts, (1 - sin) / 2
        let face = share(on(&venue, &even_sky(), DVec3::new(0.0, 0.0, 1.7), DVec3::X));
        let elevation = ((height - 1.7) / (width / 2.0)).atan();
        let exact = 0.5 * (1.0 - elevation.sin());
        assert!((face - exact).abs() < TOLERANCE, "{face} against {exact}");
    }
    let wall = sheet(
        &[[-20.01, -far, 0.0], [-20.01, far, 0.0], [-20.01, far, far], [-20.01, -far, far]],
        0.0,
        0.0,
    );
    let venue = ground(vec![wall], 0.0);
    let foot = share(on(&venue, &even_sky(), DVec3::new(-20.0, 0.0, 0.0), DVec3::Z));
    assert!((foot - 0.5).abs() < TOLERANCE, "{foot}");
}

/// Energy balance: in a white box under an even sky every surface is as bright as
/// the sky, however small the opening, and a grey box is darker by what it keeps.
#[test]
fn a_white_box_is_as_bright_as_the_sky_above_it() {
    for height in [3.0, 15.0, 40.0] {
        let white = ground(court(height, 20.5, 1.0), 1.0);
        for (at, normal) in [(DVec3::ZERO, DVec3::Z), (DVec3::new(15.0, -15.0, 0.0), DVec3::Z)] {
            let light = share(on(&white, &even_sky(), at, normal));
            assert!((light - 1.0).abs() < 0.01, "{height} m, {at}: {light}");
        }
        let face = on(&white, &even_sky(), DVec3::new(0.0, 0.0, 1.7), DVec3::Y);
        // floor and walls are as bright as the sky: the light on a face is finished, so the
        // half of it that comes from the floor is part of it
        assert!((share(face) - 1.0).abs() < 0.01, "{height} m: {}", share(face));
    }
    let grey = |reflectance: f64| {
        let venue = ground(court(40.0, 20.5, reflectance), reflectance);
        share(on(&venue, &even_sky(), DVec3::ZERO, DVec3::Z))
    };
    let (dark, half, light) = (grey(0.0), grey(0.5), grey(0.9));
    assert!(dark < half && half < light && light < 1.0, "{dark} {half} {light}");
}

/// A closed white box lit from inside by nothing is dark, and no number runs away.
#[test]
fn a_closed_white_box_is_dark() {
    let mut bodies = court(10.0, 20.5, 1.0);
    bodies.push(sheet(
        &[[-21.0, -21.0, 10.0], [21.0, -21.0, 10.0], [21.0, 21.0, 10.0], [-21.0, 21.0, 10.0]],
        1.0,
        0.0,
    ));
    let light = share(on(&ground(bodies, 1.0), &even_sky(), DVec3::ZERO, DVec3::Z));
    assert!(light.abs() < 1e-6, "{light}");
}

/// A sunlit white wall north of a place lights it from the north: arithmetic by
/// view factors. The wall faces the sun's azimuth, so its luminance is
/// `reflectance * (E cos(elevation) + half of the sky's light) / pi`.
#[test]
fn a_sunlit_wall_gives_light_back() {
    let (far, height, distance) = (1e4, 20.0, 30.0);
    let wall = |reflectance| {
        sheet(
            &[
                [-far, distance, 0.0],
                [far, distance, 0.0],
                [far, distance, height],
                [-far, distance, height],
            ],
            reflectance,
            0.0,
        )
    };
    let elevation = 37.0_f64.to_radians();
    let mut sky = even_sky();
    let direct = 100.0;
    sky.daylight.direct_normal = Tristimulus { x: direct, y: direct, z: direct };
    sky.daylight.direct_horizontal = sky.daylight.direct_normal * elevation.sin();
    sky.toward_sun = DVec3::new(0.0, -elevation.cos(), elevation.sin());
    let face = DVec3::new(0.0, 0.0, 1.7);
    let lit = on(&ground(vec![wall(0.5)], 0.0), &sky, face, DVec3::Y).lux();
    let black = on(&ground(vec![wall(0.0)], 0.0), &sky, face, DVec3::Y).lux();
    // over eye level and, since the lower half is cast as the upper half is, under it
    let sine = |over: f64| (over / distance).atan().sin();
    let sees = 0.5 * (sine(height - 1.7) + sine(1.7));
    let luminance =
        0.5 * (direct * elevation.cos() + 0.5 * std::f64::consts::PI) / std::f64::consts::PI;
    let by_hand = luminance * sees * std::f64::consts::PI;
    // rays at the wall's rim, and the sun told by rays within 6 degrees of it
    assert!(((lit - black) / by_hand - 1.0).abs() < 0.05, "{} against {by_hand}", lit - black);
}

/// A translucent roof dims the sky by its transmittance and shows its own
/// underside, lit from the ground.
#[test]
fn a_translucent_roof_dims_and_glows() {
    let far = 1e4;
    let roof = |reflectance| {
        sheet(
            &[[-far, -far, 10.0], [far, -far, 10.0], [far, far, 10.0], [-far, far, 10.0]],
            reflectance,
            0.4,
        )
    };
    let dim = share(on(&ground(vec![roof(0.0)], 0.5), &even_sky(), DVec3::ZERO, DVec3::Z));
    assert!((dim - 0.4).abs() < TOLERANCE, "{dim}");
    let glow = share(on(&ground(vec![roof(0.6)], 0.5), &even_sky(), DVec3::ZERO, DVec3::Z));
    // to and fro between floor (0.5) and roof (0.6): 0.4 / (1 - 0.3)
    assert!((glow - 0.4 / 0.7).abs() < 0.01, "{glow}");
}

/// Under a clear sky shade is bluer than the whole sky's share of blue alone would
/// make it where a stand hides the bright side, and turf throws up green.
#[test]
fn shade_is_bluer_and_turf_is_greener() {
    let venue = support::football();
    let scene = scene(&venue);
    let sun = sun_at(220.0, 30.0);
    let sky = SkyLight::new(scene.dome(), &sun, &venue.place, &Air::default(), Sky::Clear, 250);
    let light = scene.at(&sky, &shadow(&venue, &sun));
    let shade = ColourTemperature::of(light.turf_mean()).unwrap();
    let full = ColourTemperature::of(light.turf_mean() + light.direct_horizontal).unwrap();
    assert!(shade.kelvin > 9000.0 && (4800.0..6200.0).contains(&full.kelvin), "{shade:?} {full:?}");
    let [x, y, z] = reflectances(PlayingSurface::Grass, 0.06);
    assert!(x < y && z < 0.6 * y, "{x} {y} {z}");
    let green = ColourTemperature::of(light.direct_horizontal.tinted([x, y, z])).unwrap();
    assert!(green.duv > 0.02, "{green:?}");
    // away from the sun the sky is bluer than toward it
    let faces = scene.receivers(&[
        (DVec3::new(0.0, 0.0, 1.7), sun.toward().with_z(0.0).normalize()),
        (DVec3::new(0.0, 0.0, 1.7), -sun.toward().with_z(0.0).normalize()),
    ]);
    let on: Vec<Tristimulus> = light.on(&faces).iter().map(|face| face.as_it_is).collect();
    assert!(on[0].lux() > 1.3 * on[1].lux(), "{on:?}");
    let mired = |l: Tristimulus| ColourTemperature::of(l).unwrap().mired();
    assert!(mired(on[0]) > mired(on[1]) + 5.0);
}

/// A cloud over the sun: told as a change to some cells, it must give what the
/// whole sky with the cloud gives.
#[test]
fn a_covered_sun_is_told_the_same_both_ways() {
    let venue = support::bowl(24, 0.4);
    let scene = scene(&venue);
    let sun = sun_at(230.0, 33.0);
    let air = Air::default();
    let of = |sky| SkyLight::new(scene.dome(), &sun, &venue.place, &air, sky, 120);
    let shade = shadow(&venue, &sun);
    let clear = of(Sky::Clear);
    let light = scene.at(&clear, &shade);
    let change = clear.covered.as_ref().unwrap();
    let covered = scene.covered(&light, change);
    let cumulus = scene.at(&of(Sky::Cumulus), &shade);
    let close = |a: Tristimulus, b: Tristimulus| (a.lux() / b.lux() - 1.0).abs() < 1e-3;
    for (a, b) in covered.turf.iter().zip(&cumulus.turf) {
        assert!(close(*a, *b), "{a:?} {b:?}");
    }
    let face = scene.receivers(&[(DVec3::new(3.0, 5.0, 1.7), DVec3::NEG_Y)]);
    let told = light.on_both(&face, &covered).1[0];
    assert!(close(told, cumulus.on(&face)[0].as_it_is));
    assert!(light.turf_mean().lux() > covered.turf_mean().lux());
}

/// A sum by daylight coefficients is the sum of the light place by place, all bounces,
/// scattering roofs and a cloud counted: both are the same matrices, multiplied from either
/// end. They are of 32-bit floats, a few hundred terms each.
#[test]
fn daylight_coefficients_give_the_light_place_by_place() {
    const ROUNDING: f64 = 2e-5;
    let mut venue = support::bowl(24, 0.4);
    venue.field.surface_reflectance = 0.4;
    for body in venue.occluders.iter_mut().flat_map(|o| &mut o.bodies) {
        body.scatters = if body.part == Part::Roof { 0.3 } else { 0.0 };
    }
    let scene = scene(&venue);
    let turned = |i: usize| DVec3::new((i as f64).cos(), (i as f64).sin(), 0.0);
    let at = |i: usize| DVec3::new(9.0 * i as f64 - 45.0, 3.0 * i as f64 - 15.0, 1.7);
    let faces = scene.receivers(&(0..11).map(|i| (at(i), turned(i))).collect::<Vec<_>>());
    let on_turf: Vec<(usize, f64)> = (0..scene.places().at().len()).map(|i| (i, 0.003)).collect();
    let on_faces: Vec<(usize, f64)> = (0..11).map(|i| (i, 0.02 * (i + 1) as f64)).collect();
    let sums = [LightSum::Turf(on_turf.clone()), LightSum::Faces(&faces, on_faces.clone())];
    let sums = scene.coefficients(&sums);
    let close = |sum: Tristimulus, all: Tristimulus| {
        for (sum, all) in sum.values().into_iter().zip(all.values()) {
            assert!((sum / all - 1.0).abs() < ROUNDING, "{sum} {all}");
        }
    };
    for (azimuth_deg, elevation_deg) in [(230.0, 33.0), (110.0, 9.0), (190.0, 61.0)] {
        let sun = sun_at(azimuth_deg, elevation_deg);
        let air = Air::default();
        let sky = SkyLight::new(scene.dome(), &sun, &venue.place, &air, Sky::Clear, 120);
        let shade = shadow(&venue, &sun);
        let light = scene.at(&sky, &shade);
        let covered = scene.covered(&light, sky.covered.as_ref().unwrap());
        let (each, under_cloud) = light.on_both(&faces, &covered);
        let reach = scene.reach(&shade, sun.toward());
        let told = Sources::new(&sky, FloodlightLight::DARK).light_once(&sums, &reach);
        let told_covered = told.covered.unwrap();
        close(told.now[0], light.turf_at(&on_turf));
        close(told_covered[0], covered.turf_at(&on_turf));
        let sum = |of: &dyn Fn(usize) -> Tristimulus| {
            on_faces.iter().map(|&(i, weight)| of(i) * weight).sum::<Tristimulus>()
        };
        let sunlit = faces.sunlit_views(reach.spots());
        let from_ground = |i: usize| {
            ground_reflected(light.direct_horizontal, scene.ground_reflects(), sunlit[i])
        };
        close(told.now[1], sum(&|i| each[i].ground_in_shade));
        close(told.now[1] + sum(&from_ground), sum(&|i| each[i].as_it_is));
        close(told_covered[1], sum(&|i| under_cloud[i]));
    }
}

#[test]
fn a_lattice_tells_shade_as_the_shadow_does() {
    let venue = support::bowl(32, 0.4);
    let sun = sun_at(250.0, 20.0);
    let shade = shadow(&venue, &sun);
    let outline = geo::MultiPolygon(vec![venue.field.outline.clone()]);
    let lattice = SampleGrid::over(&outline, 105.0 * 68.0, 1800.0);
    assert!((1700..1900).contains(&lattice.places().len()));
    let told = lattice.transmissions(&shade);
    assert!(told.contains(&0.0) && told.contains(&1.0));
    for (at, told) in lattice.places().iter().zip(told) {
        let exact = shade.transmission_at(*at).share();
        assert!((exact - f64::from(told)).abs() < 1e-6, "{at:?}: {told} for {exact}");
    }
}
