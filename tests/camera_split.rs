//! The split a camera sees, worked by hand for simple grounds.

use glam::DVec3;

use crate::support;
use quarterstop::base::units::{Azimuth, Elevation, Lux, Stops};
use quarterstop::camera::{
    CameraEye, CameraView, EyeFaces, InstantShade, LightClass, OneSide, SplitState, cover,
};
use quarterstop::geometry::{
    Caster, FACE_HEIGHT_M, Obstacle, OverlayScratch, SkyDome, TURF_HEIGHT_M,
};
use quarterstop::light::{
    ColourTemperature, Daylight, FloodlightLight, Glow, Scene, Sharing, SkyLight, Sources,
    Tristimulus, level_that_holds,
};
use quarterstop::solar::Sun;
use quarterstop::venue::{CameraPost, Part, PlayingSurface, Shape, Venue};

const REFLECTANCE: f64 = 0.06;

/// Faces made from a shared set of receivers differ from faces of their own by less: a
/// tenth of the quarter of a stop that cameras are matched to.
const SHARED_STOPS: f64 = 0.025;

/// An evenly bright sky of the sun's colour.
pub fn daylight(direct_normal: f64, diffuse: f64, elevation_deg: f64) -> Daylight {
    Daylight {
        direct_normal: Tristimulus::of_daylight(direct_normal),
        direct_horizontal: Tristimulus::of_daylight(
            direct_normal * elevation_deg.to_radians().sin(),
        ),
        diffuse_horizontal: Tristimulus::of_daylight(diffuse),
    }
}

fn view(
    venue: &Venue,
    at: DVec3,
    azimuth_deg: f64,
    elevation_deg: f64,
    light: &Daylight,
) -> CameraView {
    let [view] =
        views_with(venue, at, (azimuth_deg, elevation_deg), light, [FloodlightLight::DARK]);
    view
}

/// What the camera sees with each of some lamps.
pub fn views_with<const N: usize>(
    venue: &Venue,
    at: DVec3,
    (azimuth_deg, elevation_deg): (f64, f64),
    light: &Daylight,
    floodlight: [FloodlightLight; N],
) -> [CameraView; N] {
    let post = CameraPost {
        name: "camera".into(),
        at,
        aims: vec![DVec3::ZERO],
        horizontal_fov_deg: 40.0,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    };
    let sun = Sun {
        azimuth: Azimuth::from_degrees(azimuth_deg),
        apparent_elevation: Elevation::from_degrees(elevation_deg),
        true_elevation: Elevation::from_degrees(elevation_deg),
    };
    let scene = Scene::new(venue, Obstacle::all_of(venue, support::date()));
    let seen = cover(&post, &venue.field.outline, &[]);
    let cast = |height| {
        Caster::new(venue, support::date(), height)
            .cast(sun.toward(), &mut OverlayScratch::default())
    };
    let (turf, face) = (cast(TURF_HEIGHT_M), cast(FACE_HEIGHT_M));
    let even = light.diffuse_horizontal * (1.0 / std::f64::consts::PI);
    let sky = SkyLight {
        toward_sun: sun.toward(),
        daylight: *light,
        glow: Glow { cells: vec![even; SkyDome::new().cells().len()] },
        covered: None,
    };
    let reach = scene.reach(&turf, sun.toward());
    let views = |sharing| {
        let faces = EyeFaces::new(&scene, sharing);
        let eye = CameraEye::new(&post, &seen, &scene, &faces);
        let shade = eye.shade(&InstantShade {
            toward_sun: sun.toward(),
            reach: &reach,
            reflects: scene.ground_reflects(),
            sunlit_views: &faces.sunlit_views(&reach),
            turf: &turf,
            face: Some(&face),
        });
        floodlight.map(|floodlit| eye.view(&Sources::new(&sky, floodlit), &shade))
    };
    let (own, shared) = (views(Sharing::Own), views(Sharing::Shared));
    let lux = |view: &CameraView| view.subject.shaded.map_or(0.0, |s| s.light.lux());
    for (own, shared) in own.iter().zip(&shared) {
        assert!((lux(own) / lux(shared)).log2().abs() < SHARED_STOPS, "{own:?} {shared:?}");
    }
    own
}

/// A wall along the field that shades half of it, so thin and far that it hides
/// next to no sky.
pub fn half_shaded(sun_elevation_deg: f64) -> Venue {
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

/// Of an evenly bright sky, as it lights the turf, the strip of [`half_shaded`] hides less
/// than this with the sun at 30 degrees. It is largest from where turf is closest, 350 m off:
/// half the difference of the cosines of the elevations of its two edges (Howell's catalogue
/// of radiation configuration factors, B-5, strips without end; from memory). Its lower
/// edge is (400 - 60) tan 30 up, its upper 400 tan 30: 29.3 and 33.4 degrees.
const MAX_HIDDEN: f64 = 0.5 * (0.8722 - 0.8347);

/// Stops between turf that gets a share of the beam beside the sky, and all of it.
fn split(beam: f64, passes: f64, sky: f64) -> f64 {
    ((beam + sky) / (passes * beam + sky)).log2()
}

/// Arithmetic: turf in the sun gets beam + sky, in shade sky alone.
#[test]
fn turf_splits_by_global_over_diffuse() {
    let light = daylight(80_000.0, 12_000.0, 30.0);
    let seen = view(&half_shaded(30.0), DVec3::new(0.0, 90.0, 30.0), 180.0, 30.0, &light);
    let SplitState::InShot(stops) = seen.turf.state else { panic!("{:?}", seen.turf) };
    let by_hand = split(40_000.0, 0.0, 12_000.0);
    let within = by_hand..=split(40_000.0, 0.0, 12_000.0 * (1.0 - MAX_HIDDEN));
    assert!(within.contains(&stops.stops()), "{} in {within:?}", stops.stops());
    let sunlit = seen.turf.sunlit.unwrap().luminance.cd_per_m2();
    let matt = |sky: f64| (40_000.0 + sky) * REFLECTANCE / std::f64::consts::PI;
    let within = matt(12_000.0 * (1.0 - MAX_HIDDEN))..=matt(12_000.0);
    assert!(within.contains(&sunlit), "{sunlit} in {within:?}");
}

/// The camera of [`half_shaded`]'s tests looks from 30 m over y = 90 at the middle, 40
/// degrees across: its half picture is tan 20 = 0.364 wide and 0.2047 high, its axis falls
/// by atan(30/90). Of the turf it shows the strip down to y = -50 from where the lower edge
/// of the picture meets it, as wide as the picture or the field; what lies south of the middle
/// is in shade. Integrated here over strips for the ground, over points of the picture for
/// what they show.
#[test]
fn shares_are_those_of_the_ground_and_of_the_picture() {
    let light = daylight(80_000.0, 12_000.0, 30.0);
    let seen = view(&half_shaded(30.0), DVec3::new(0.0, 90.0, 30.0), 180.0, 30.0, &light);
    let (wide, high) = (f64::to_radians(20.0).tan(), f64::to_radians(20.0).tan() * 9.0 / 16.0);
    let axis = DVec3::new(0.0, -90.0, -30.0).normalize();
    let up = DVec3::new(0.0, axis.z, -axis.y);
    let (mut ground, mut picture) = ([0.0; 2], [0.0; 2]);
    const STRIPS: i32 = 4000;
    for i in 0..STRIPS {
        let y = -50.0 + 100.0 * (f64::from(i) + 0.5) / f64::from(STRIPS);
        let to = DVec3::new(0.0, y - 90.0, -30.0);
        let (depth, rise) = (to.dot(axis), to.dot(up));
        if rise.abs() < high * depth {
            ground[usize::from(y < 0.0)] += (wide * depth).min(50.0);
        }
    }
    const POINTS: i32 = 1200;
    for i in 0..POINTS * POINTS {
        let part = |i: i32| 2.0 * (f64::from(i) + 0.5) / f64::from(POINTS) - 1.0;
        let (u, v) = (wide * part(i % POINTS), high * part(i / POINTS));
        let ray = axis + DVec3::X * u + up * v;
        let reach = 30.0 / -ray.z;
        let (x, y) = (ray.x * reach, 90.0 + ray.y * reach);
        if x.abs() < 50.0 && y.abs() < 50.0 && reach > 0.0 {
            picture[usize::from(y < 0.0)] += (1.0 + u * u + v * v).powf(-1.5);
        }
    }
    let share = |[sun, shade]: [f64; 2]| shade / (sun + shade);
    // strips of 2.5 cm
    assert!(
        (seen.shaded_share - share(ground)).abs() < 1e-3,
        "{} {}",
        seen.shaded_share,
        share(ground)
    );
    // the edge lies along a row of points, which may be counted to either side of it
    let shares = seen.turf.shares;
    let row = 2.0 / f64::from(POINTS);
    assert!((shares.shade - share(picture)).abs() < row, "{shares:?} {}", share(picture));
    assert!((shares.sun + shares.shade - 1.0).abs() < 1e-9 && shares.dimmed == 0.0);
    assert!(share(ground) - share(picture) > 0.05, "what is near fills the picture");
}

/// Whatever stands there now, each side is the same light on the same places: a strip that
/// shades the half away from the camera or the half before it gives one split.
#[test]
fn the_split_does_not_hang_on_where_the_shade_lies() {
    let light = daylight(80_000.0, 12_000.0, 30.0);
    let venue = half_shaded(30.0);
    let [south, north] =
        [-90.0, 90.0].map(|y| view(&venue, DVec3::new(0.0, y, 30.0), 180.0, 30.0, &light).turf);
    let stops = |split: quarterstop::camera::Split| split.state.in_shot().unwrap().stops();
    // of another part of the field the strip hides another share of the sky
    let hidden = split(40_000.0, 0.0, 12_000.0 * (1.0 - MAX_HIDDEN));
    let most = hidden - split(40_000.0, 0.0, 12_000.0);
    assert!((stops(south) - stops(north)).abs() < most, "{} {}", stops(south), stops(north));
    assert!(south.shares.shade > 0.5 && north.shares.shade < 0.5);
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
    let front = |aside: f64, hidden: f64| {
        let (face, sky) = (f64::to_radians(elevation).cos() * aside, 0.5 * sky * (1.0 - hidden));
        ((beam * face + sky + ground(1.0)) / (sky + ground(0.0))).log2()
    };
    let back = (0.5 * sky + ground(1.0)) / (0.5 * sky + ground(0.0));
    let from_south = stops(DVec3::new(0.0, -90.0, 30.0));
    let from_north = stops(DVec3::new(0.0, 90.0, 30.0));
    // faces turn toward the camera, up to 21 degrees from due south at the sides of its
    // picture, and see the strip: half the difference of the sines of its edges (as above),
    // of the half of the sky that an upright face sees
    let within = front(f64::to_radians(21.0).cos(), 0.0)..=front(1.0, 0.5505 - 0.4893);
    assert!(within.contains(&from_south), "{from_south} in {within:?}");
    // turned away from the sun and the strip, and lit by sky and ground alone
    assert!((from_north - back.log2()).abs() < 0.02, "{from_north} against {}", back.log2());
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
    let corners = [(-200.0, -200.0), (200.0, -200.0), (200.0, 200.0), (-200.0, 200.0)];
    let corners = corners.map(|(x, y)| DVec3::new(x, y, 40.0)).to_vec();
    let roof = support::body(Part::Roof, Shape::Sheet { corners }, 0.0);
    roofed.occluders.push(support::occluder("roof", vec![roof]));
    let seen = view(&roofed, DVec3::new(0.0, 90.0, 30.0), 180.0, 60.0, &light);
    // all of the cover in shade; under the roof's edge the sky lights it, and the sun would
    // be the beam beside that
    let SplitState::Latent(stops, OneSide::AllShaded) = seen.turf.state else {
        panic!("{:?}", seen.turf)
    };
    let sky = seen.turf.shaded.unwrap().light.lux();
    let by_hand = ((80_000.0 * f64::to_radians(60.0).sin() + sky) / sky).log2();
    assert!((stops.stops() - by_hand).abs() < 1e-6, "{} against {by_hand}", stops.stops());
    assert!((seen.shaded_share - 1.0).abs() < 1e-6);
}

/// A roof that passes 40 % leaves 40 % of the beam: the split is smaller than
/// under an opaque one by arithmetic.
#[test]
fn a_translucent_roof_narrows_the_split() {
    let light = daylight(80_000.0, 12_000.0, 30.0);
    let mut venue = half_shaded(30.0);
    for body in venue.occluders.iter_mut().flat_map(|o| &mut o.bodies) {
        body.passes = quarterstop::venue::Passes::Always(
            quarterstop::base::units::Transmittance::from_share(0.4),
        );
    }
    let seen = view(&venue, DVec3::new(0.0, 90.0, 30.0), 180.0, 30.0, &light);
    let SplitState::InShot(stops) = seen.turf.state else { panic!("{:?}", seen.turf) };
    let of = |hidden: f64| split(40_000.0, 0.4, 12_000.0 * (1.0 - hidden));
    let within = of(0.0)..=of(MAX_HIDDEN);
    assert!(within.contains(&stops.stops()), "{} in {within:?}", stops.stops());
    assert_eq!(seen.turf.between, Some((LightClass::Sun, LightClass::Dimmed)));
    assert_eq!(seen.turf.sun_over_dimmed(), Some(stops));
    assert!((seen.turf.shares.transmittance - 0.4).abs() < 1e-9);
    assert_eq!(seen.turf.shares.shade, 0.0);
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
    let shaded = seen.turf.shaded.unwrap().luminance.cd_per_m2();
    let matt = 9_000.0 * REFLECTANCE / std::f64::consts::PI;
    let within = 1.0 - MAX_HIDDEN..=1.0;
    assert!(within.contains(&(shaded / matt)), "{shaded} of {matt}");
}

/// Additivity: floodlights of `f` lx on both sides narrow a split of `S` and `H` lx
/// to `log2((S + f) / (H + f))`; the level that holds two stops leaves two stops.
#[test]
fn floodlights_add_to_both_sides() {
    let light = daylight(80_000.0, 12_000.0, 30.0);
    let venue = half_shaded(30.0);
    let at = DVec3::new(0.0, -90.0, 30.0);
    let of = |lux: f64| {
        let flood = FloodlightLight {
            horizontal: Tristimulus::of_daylight(lux),
            toward_camera: Tristimulus::of_daylight(0.7 * lux),
        };
        let [view] = views_with(&venue, at, (180.0, 30.0), &light, [flood]);
        view
    };
    let (dark, lit) = (of(0.0), of(2000.0));
    assert_eq!(dark.turf.floodlights_take, None);
    for (dark, lit, flood) in [
        (dark.turf, lit.turf, 2000.0),
        // the lamps' light that the turf throws up counts as well
        (dark.subject, lit.subject, 1400.0 + 0.5 * REFLECTANCE * 2000.0),
    ] {
        let lux = |side: Option<quarterstop::camera::Side>| side.unwrap().light.lux();
        let (sun, shade) = (lux(dark.sunlit), lux(dark.shaded));
        let by_hand = ((sun + flood) / (shade + flood)).log2();
        let got = lit.state.in_shot().unwrap().stops();
        assert!((got - by_hand).abs() < 1e-9, "{got} against {by_hand}");
        let take = lit.floodlights_take.unwrap().stops();
        assert!((take - ((sun / shade).log2() - by_hand)).abs() < 1e-9);
    }
    let split = of(0.0).turf;
    let lux = |side: Option<quarterstop::camera::Side>| Lux::from_lux(side.unwrap().light.lux());
    let hold = level_that_holds(lux(split.sunlit), lux(split.shaded), Stops::from_stops(2.0));
    let held = of(hold.unwrap().lux()).turf.state.in_shot().unwrap().stops();
    assert!((held - 2.0).abs() < 1e-6, "{held}");
    assert_eq!(
        level_that_holds(Lux::from_lux(5.0), Lux::from_lux(1.0), Stops::from_stops(0.0)),
        None
    );
    let narrow = level_that_holds(Lux::from_lux(5.0), Lux::from_lux(4.0), Stops::from_stops(2.0));
    assert_eq!(narrow, Some(Lux::ZERO));
}

/// Sides of one colour differ by nothing; a warm sun over a cool sky gives trims of
/// opposite signs, and balanced the other way their negatives.
#[test]
fn colour_is_told_between_the_sides() {
    let white = daylight(80_000.0, 12_000.0, 30.0);
    let at = DVec3::new(0.0, -90.0, 30.0);
    let mut venue = half_shaded(30.0);
    venue.field.surface = PlayingSurface::Acrylic;
    let gap = view(&venue, at, 180.0, 30.0, &white).turf.colour().unwrap();
    assert!(gap.mired.abs() < 0.5 && gap.trims_for_shade.red.abs() < 0.01, "{gap:?}");
    let warm = |light: Tristimulus| Tristimulus { x: 1.06 * light.x, z: 0.7 * light.z, ..light };
    let evening = Daylight {
        direct_normal: warm(white.direct_normal),
        direct_horizontal: warm(white.direct_horizontal),
        ..white
    };
    let split = view(&venue, at, 180.0, 30.0, &evening).turf;
    let gap = split.colour().unwrap();
    let kelvin = |s: Option<quarterstop::camera::Side>| {
        ColourTemperature::of(s.unwrap().light).unwrap().kelvin
    };
    assert!(kelvin(split.sunlit) < kelvin(split.shaded));
    let by_hand = 1e6 / kelvin(split.shaded) - 1e6 / kelvin(split.sunlit);
    assert!(gap.mired < -20.0 && (gap.mired - by_hand).abs() < 1e-9);
    assert!(gap.trims_for_shade.red > 0.0 && gap.trims_for_shade.blue < 0.0);
}
