//! The picture of a simple court against a general-purpose renderer.
//!
//! `tests/data/view_court.json` is made by `tests/reference/make_view_court_values.py` with
//! Mitsuba 3, which traces paths: an invented court of matt grey sheets, sun and sky, a
//! camera, and the luminance of each pixel in cd/m2. Sun and sky are the same in both.

use glam::DVec3;
use serde::Deserialize;

use crate::support;
use quarterstop::base::units::{Azimuth, Elevation, Transmittance};
use quarterstop::camera::Pinhole;
use quarterstop::engine::Prepared;
use quarterstop::engine::view::{PixelContent, View, ViewScene};
use quarterstop::light::{Air, Daylight, Glow, Sky, SkyLight, SkyLuminance, SkyType, Tristimulus};
use quarterstop::solar::{Sun, SunState};
use quarterstop::venue::{
    Body, CameraPost, Part, Passes, PlayingSurface, Shape, StatedExposure, Sway,
};

/// What is asked of this share of all pixels but the sky's, stops.
const STOPS: f64 = 0.1;
const OF_PIXELS: f64 = 0.95;

#[derive(Deserialize)]
struct Values {
    size: [usize; 2],
    ground_reflects: f64,
    half_m: [f64; 2],
    sun: SunValues,
    sky_type: usize,
    diffuse_horizontal_lx: f64,
    camera: CameraValues,
    sheets: Vec<SheetValues>,
    cd_per_m2: Vec<Vec<f64>>,
}

#[derive(Deserialize)]
struct SunValues {
    azimuth_deg: f64,
    elevation_deg: f64,
    direct_normal_lx: f64,
}

#[derive(Deserialize)]
struct CameraValues {
    at: [f64; 3],
    looks_at: [f64; 3],
    horizontal_fov_deg: f64,
}

#[derive(Deserialize)]
struct SheetValues {
    reflects: f64,
    corners: Vec<[f64; 3]>,
}

#[test]
fn a_court_looks_as_a_renderer_sees_it() {
    let text = std::fs::read_to_string("tests/data/view_court.json").unwrap();
    let values: Values = serde_json::from_str(&text).unwrap();
    let [x, y] = values.half_m;
    let mut venue = support::open_field(&[[-x, y], [-x, -y], [x, -y], [x, y]], 90.0);
    let field = &mut venue.field;
    (field.surface, field.surrounds_surface) = (PlayingSurface::Acrylic, PlayingSurface::Acrylic);
    field.surface_reflectance = values.ground_reflects;
    field.surrounds_reflectance = values.ground_reflects;
    field.markings.clear();
    let body = |sheet: &SheetValues| Body {
        part: Part::Panel,
        shape: Shape::Sheet { corners: sheet.corners.iter().map(|&c| DVec3::from(c)).collect() },
        passes: Passes::Always(Transmittance::OPAQUE),
        reflectance: sheet.reflects,
        scatters: 0.0,
        lit: None,
    };
    let bodies = values.sheets.iter().map(body).collect();
    venue.occluders.push(support::occluder("court", bodies));
    let prepared = Prepared::new(&venue, support::date());

    let elevation = Elevation::from_degrees(values.sun.elevation_deg);
    let azimuth = Azimuth::from_degrees(values.sun.azimuth_deg);
    let sun = Sun { azimuth, apparent_elevation: elevation, true_elevation: elevation };
    let toward_sun = sun.toward();
    let white = |lux: f64| Tristimulus { x: lux, y: lux, z: lux };
    let dome = prepared.light_scene().dome();
    let kind = SkyType::numbered(values.sky_type).unwrap();
    let relative: Vec<f64> = dome.cells().iter().map(|c| kind.relative(toward_sun, *c)).collect();
    let whole: f64 =
        relative.iter().zip(dome.cells()).map(|(r, cell)| r * cell.z * dome.cell_sr()).sum();
    let scale = values.diffuse_horizontal_lx / whole;
    let direct = values.sun.direct_normal_lx;
    let sky = SkyLight {
        toward_sun,
        daylight: Daylight {
            direct_normal: white(direct),
            direct_horizontal: white(direct * toward_sun.z),
            diffuse_horizontal: white(values.diffuse_horizontal_lx),
        },
        glow: Glow { cells: relative.iter().map(|r| white(r * scale)).collect() },
        covered: None,
    };
    let at = support::date().and_hms_opt(12, 0, 0).unwrap();
    let at = at.and_local_timezone(venue.place.zone).unwrap();
    let luminance = SkyLuminance::new(dome, &sun, &venue.place, &Air::default(), Sky::Clear, 100);
    let light = prepared.view_light_of(at, (sun, SunState::Up), &sky, luminance);
    let scene = ViewScene::new(&prepared, &[&light]);
    let post = CameraPost {
        name: "court".into(),
        at: DVec3::from(values.camera.at),
        aims: vec![DVec3::from(values.camera.looks_at)],
        horizontal_fov_deg: values.camera.horizontal_fov_deg,
        aspect: values.size[0] as f64 / values.size[1] as f64,
        floodlight: None,
        exposure: StatedExposure::default(),
        sway: Sway::default(),
    };
    let eye = Pinhole::new(&post, post.aims[0]);
    let view = View { eye, size: values.size, figures: Vec::new() };
    let picture = scene.picture(&light, &view);

    let (mut within, mut all, mut far) = (0, 0, Vec::new());
    let mut map = String::new();
    for (row, wanted) in values.cd_per_m2.iter().enumerate() {
        for (column, wanted) in wanted.iter().enumerate() {
            let index = row * values.size[0] + column;
            if picture.seen[index] == PixelContent::Sky {
                map.push(' ');
                continue;
            }
            let stops = (f64::from(picture.light[index][1]) / wanted).log2();
            all += 1;
            within += usize::from(stops.abs() <= STOPS);
            map.push(match stops {
                s if s.abs() <= STOPS => '.',
                s if s > 0.3 => 'P',
                s if s > 0.0 => 'p',
                s if s < -0.3 => 'M',
                _ => 'm',
            });
            if stops.abs() > STOPS {
                far.push((stops, column, row));
            }
        }
        map.push('\n');
    }
    let share = f64::from(within as u32) / f64::from(all as u32);
    println!(
        "{map}{within} of {all} pixels within {STOPS} stop: {share:.4}, {} nodes",
        scene.nodes_on_faces()
    );
    far.sort_by(|a, b| b.0.abs().total_cmp(&a.0.abs()));
    println!("farthest: {:?}", &far[..far.len().min(20)]);
    assert!(all > 10_000, "{all}");
    assert!(share >= OF_PIXELS, "{share}");
}
