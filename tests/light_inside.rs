//! Light between stands against a validated lighting simulator.
//!
//! `tests/data/light_inside.json` holds invented grounds (four stands; a bowl with an
//! opaque, a clear and a scattering roof; pale stands on sand), suns and skies, and the
//! illuminance that Radiance finds on the turf and on upright faces of eight turns, to
//! the edge of the field of play and up to a metre from the stands. It is made by
//! `tests/reference/make_light_inside_values.py`, which states version and call. Sky
//! luminance and sun are the same in both, so that geometry and bounces are compared.

use glam::DVec3;
use serde::Deserialize;

use crate::support;
use quarterstop::base::units::{Azimuth, Elevation, Transmittance};
use quarterstop::geometry::{
    Caster, FACE_HEIGHT_M, Obstacle, OverlayScratch, SkyDome, TURF_HEIGHT_M,
};
use quarterstop::light::{Daylight, Glow, Scene, SkyLight, SkyType, Tristimulus};
use quarterstop::solar::Sun;
use quarterstop::venue::{Body, Part, Passes, PlayingSurface, Shape, Venue};

/// What is asked of every case, over all places, stops.
const RMS_STOPS: f64 = 0.06;
/// What is asked of every place, stops.
const WORST_STOPS: f64 = 0.2;
/// What is asked of the mean over a ground's places, as a camera's cover has it, stops.
const LEVEL_STOPS: f64 = 0.1;

#[derive(Deserialize)]
struct Values {
    grounds: Vec<GroundValues>,
}

#[derive(Deserialize)]
struct GroundValues {
    name: String,
    reflects: f64,
    half_m: [f64; 2],
    polygons: Vec<PolygonValues>,
    turf: Vec<[f64; 2]>,
    faces: Vec<[f64; 2]>,
    cases: Vec<CaseValues>,
}

#[derive(Deserialize)]
struct PolygonValues {
    reflects: f64,
    direct: f64,
    scattered: f64,
    corners: Vec<[f64; 3]>,
}

#[derive(Deserialize)]
struct CaseValues {
    sky_type: usize,
    sun_azimuth_deg: f64,
    sun_elevation_deg: f64,
    direct_normal_lx: f64,
    diffuse_horizontal_lx: f64,
    turf_lx: Vec<f64>,
    faces_lx: Vec<[f64; 8]>,
}

impl GroundValues {
    fn venue(&self) -> Venue {
        let [x, y] = self.half_m;
        let mut venue = support::open_field(&[[-x, y], [-x, -y], [x, -y], [x, y]], 90.0);
        venue.field.surface = PlayingSurface::Acrylic; // without a colour
        venue.field.surface_reflectance = self.reflects;
        venue.field.surrounds_surface = PlayingSurface::Acrylic;
        venue.field.surrounds_reflectance = self.reflects;
        let body = |p: &PolygonValues| Body {
            part: Part::Panel,
            shape: Shape::Sheet { corners: p.corners.iter().map(|&c| DVec3::from(c)).collect() },
            passes: Passes::Always(Transmittance::from_share(p.direct)),
            reflectance: p.reflects,
            scatters: p.scattered,
            lit: None,
        };
        let bodies = self.polygons.iter().map(body).collect();
        venue.occluders.push(support::occluder("stands", bodies));
        venue
    }
}

impl CaseValues {
    fn sun(&self) -> Sun {
        let elevation = Elevation::from_degrees(self.sun_elevation_deg);
        let azimuth = Azimuth::from_degrees(self.sun_azimuth_deg);
        Sun { azimuth, apparent_elevation: elevation, true_elevation: elevation }
    }

    fn sky(&self, dome: &SkyDome) -> SkyLight {
        let white = |lux: f64| Tristimulus { x: lux, y: lux, z: lux };
        let toward_sun = self.sun().toward();
        let kind = SkyType::numbered(self.sky_type).unwrap();
        let relative: Vec<f64> =
            dome.cells().iter().map(|cell| kind.relative(toward_sun, *cell)).collect();
        let whole: f64 =
            relative.iter().zip(dome.cells()).map(|(r, cell)| r * cell.z * dome.cell_sr()).sum();
        let scale = self.diffuse_horizontal_lx / whole;
        SkyLight {
            toward_sun,
            daylight: Daylight {
                direct_normal: white(self.direct_normal_lx),
                direct_horizontal: white(self.direct_normal_lx * toward_sun.z),
                diffuse_horizontal: white(self.diffuse_horizontal_lx),
            },
            glow: Glow { cells: relative.iter().map(|r| white(r * scale)).collect() },
            covered: None,
        }
    }
}

/// Differences in stops, with what they are of.
struct Off(Vec<(f64, String)>);

impl Off {
    fn rms(&self) -> f64 {
        (self.0.iter().map(|o| o.0 * o.0).sum::<f64>() / self.0.len() as f64).sqrt()
    }

    fn worst(&self) -> &(f64, String) {
        self.0.iter().max_by(|a, b| a.0.abs().total_cmp(&b.0.abs())).unwrap()
    }
}

#[test]
fn light_between_stands_is_that_of_the_simulator() {
    let text = std::fs::read_to_string("tests/data/light_inside.json").unwrap();
    let values: Values = serde_json::from_str(&text).unwrap();
    let mut failures = Vec::new();
    for ground in &values.grounds {
        let venue = ground.venue();
        let scene = Scene::new(&venue, Obstacle::all_of(&venue, support::date()));
        let caster = Caster::new(&venue, support::date(), TURF_HEIGHT_M);
        let turned = (0..8).map(|k| {
            let (sin, cos) = (f64::from(k) * 45.0).to_radians().sin_cos();
            DVec3::new(sin, cos, 0.0)
        });
        let turned: Vec<DVec3> = turned.collect();
        let over = |at: &[f64; 2]| DVec3::new(at[0], at[1], FACE_HEIGHT_M);
        let facing: Vec<(DVec3, DVec3)> =
            ground.faces.iter().flat_map(|at| turned.iter().map(move |n| (over(at), *n))).collect();
        let receivers = scene.receivers(&facing);
        for case in &ground.cases {
            let shadow = caster.cast(case.sun().toward(), &mut OverlayScratch::default());
            let light = scene.at(&case.sky(scene.dome()), &shadow);
            let toward_sun = case.sun().toward();
            let reaches = |at: DVec3| scene.transmission(at, toward_sun).share();
            let stops = |ours: f64, theirs: f64| (ours / theirs).log2();
            let turf: Vec<(f64, f64)> = ground
                .turf
                .iter()
                .zip(&case.turf_lx)
                .map(|(&[x, y], theirs)| {
                    let weights = scene.places().weights(geo::Coord { x, y });
                    let through = reaches(DVec3::new(x, y, 0.005));
                    (light.on_turf(&weights, through).lux(), *theirs)
                })
                .collect();
            let faces: Vec<(f64, f64)> = facing
                .iter()
                .zip(light.on(&receivers))
                .zip(case.faces_lx.iter().flatten())
                .map(|((&(at, normal), rest), theirs)| {
                    let direct = light.direct_on(normal).lux();
                    let sun = if direct > 0.0 { direct * reaches(at) } else { 0.0 };
                    (sun + rest.as_it_is.lux(), *theirs)
                })
                .collect();
            let name =
                format!("{}, sky {}, sun {}", ground.name, case.sky_type, case.sun_elevation_deg);
            let all = |lit: &[(f64, f64)], what: &str| {
                let one = |(i, (ours, theirs)): (usize, &(f64, f64))| {
                    (stops(*ours, *theirs), format!("{what} {i}: {ours:.0} for {theirs:.0} lx"))
                };
                Off(lit.iter().enumerate().map(one).collect())
            };
            for (what, lit) in [("turf", &turf), ("face", &faces)] {
                let off = all(lit, what);
                let sums = lit.iter().fold((0.0, 0.0), |sum, of| (sum.0 + of.0, sum.1 + of.1));
                let (rms, level) = (off.rms(), stops(sums.0, sums.1));
                let (worst, which) = off.worst();
                println!(
                    "{name}, {what}: rms {rms:.3}, level {level:+.3}, worst {worst:+.3} ({which})"
                );
                if rms > RMS_STOPS || worst.abs() > WORST_STOPS || level.abs() > LEVEL_STOPS {
                    failures
                        .push(format!("{name}: {what} {rms:.3} {level:+.3} {worst:+.3} {which}"));
                }
            }
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}
