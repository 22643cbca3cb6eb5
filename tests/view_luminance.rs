//! The picture through a camera against the light of the engine, place by place.
//!
//! The luminance of a pixel is that of a matt surface: illuminance times reflectance over pi
//! (the definition of a Lambertian surface, CIE S 017). The illuminance is asked of the light
//! scene at the very place, by all its rays, and of the sun by many rays over its disc.

use glam::DVec3;

use quarterstop::camera::Pinhole;
use quarterstop::engine::Prepared;
use quarterstop::engine::view::{
    LinearPicture, PixelContent, SurfaceSpot, View, ViewLight, ViewScene,
};
use quarterstop::light::{AirByDate, Sky};
use quarterstop::solar::SUN_DIAMETER_DEG;
use quarterstop::venue::{self, Venue};

/// What pixels are held to, and which share of them.
const SHARE: f64 = 0.02;
const OF_PIXELS: f64 = 0.98;
/// Pixels of each picture that are looked at, and the size of the pictures.
const PIXELS: usize = 200;
const SIZE: [usize; 2] = [320, 180];

fn golden(i: usize) -> [f64; 2] {
    // the additive sequence of the plastic number spreads places evenly over a square
    // (Roberts, "The unreasonable effectiveness of quasirandom sequences", 2018)
    let g = 1.324_717_957_244_746;
    [1.0 / g, 1.0 / (g * g)].map(|step| (0.5 + step * (i as f64 + 1.0)).fract())
}

/// Share of the sun's disc that reaches a place, by rays evenly over it.
fn sun_share(scene: &ViewScene, at: DVec3, toward: DVec3) -> f64 {
    let (right, up) = toward.any_orthonormal_pair();
    let radius = (0.5 * SUN_DIAMETER_DEG.to_radians()).tan();
    let count = 900;
    let ray = |i: usize| {
        let away = radius * ((i as f64 + 0.5) / f64::from(count)).sqrt();
        let (sin, cos) = (i as f64 * 2.399_963_229_728_653).sin_cos();
        let toward = (toward + right * (away * cos) + up * (away * sin)).normalize();
        scene.obstacles().transmission(at, toward).share()
    };
    (0..count as usize).map(ray).sum::<f64>() / f64::from(count)
}

/// The engine's answer for a place, cd/m2.
struct Answer {
    /// Over the places around it, see [`around`].
    mean: f64,
    low: f64,
    high: f64,
}

impl Answer {
    /// Within 2 % of the mean, or no farther from it than the engine's own answers are.
    fn holds(&self, luminance: f64) -> bool {
        self.off(luminance) <= SHARE || (self.low..=self.high).contains(&luminance)
    }

    fn off(&self, luminance: f64) -> f64 {
        (luminance / self.mean - 1.0).abs()
    }
}

/// Luminance of a place by the engine.
fn engine(prepared: &Prepared, scene: &ViewScene, light: &ViewLight, spot: &SurfaceSpot) -> Answer {
    let venue = prepared.venue();
    let over = spot.at + spot.normal * 1e-4;
    let of_scene = light.scene_light();
    let cosine = spot.normal.dot(light.toward_sun).max(0.0);
    let through = if cosine > 0.0 && light.sun_is_out() {
        sun_share(scene, over, light.toward_sun)
    } else {
        0.0
    };
    let Some(obstacle) = spot.obstacle else {
        let at = geo::Coord { x: spot.at.x, y: spot.at.y };
        let weights = prepared.light_scene().places().weights(at);
        let on_playing_area = geo::Contains::contains(&venue.field.playing_area, &geo::Point(at));
        let reflects = match on_playing_area {
            true => venue.field.surface_reflectance,
            false => venue.field.surrounds_reflectance,
        };
        let mean = of_scene.on_turf(&weights, through).lux() * reflects / std::f64::consts::PI;
        return Answer { mean, low: mean, high: mean };
    };
    let obstacle = &scene.obstacles()[obstacle];
    let on_face = |at: &DVec3| {
        // on the same face, and under nothing else
        let back = obstacle.met(*at + spot.normal, -spot.normal);
        let buried = |at: DVec3| scene.obstacles().iter().any(|other| other.holds(at));
        back.is_some_and(|hit| (hit.distance_m - 1.0).abs() < 0.01)
            && !buried(*at + spot.normal * 0.02)
    };
    let facing: Vec<(DVec3, DVec3)> =
        around(spot).into_iter().filter(on_face).map(|at| (at, spot.normal)).collect();
    let receivers = prepared.light_scene().receivers(&facing);
    let faces = of_scene.on(&receivers);
    let all = faces.iter().zip(receivers.ground_views()).map(|(face, views)| {
        (face.as_it_is + of_scene.floodlights_on(spot.normal, views, None)).lux()
    });
    let direct = of_scene.direct_on(spot.normal).lux() * through;
    let luminance = |lux: f64| (lux + direct) * obstacle.reflectance() / std::f64::consts::PI;
    let all: Vec<f64> = all.map(luminance).collect();
    Answer {
        mean: all.iter().sum::<f64>() / all.len() as f64,
        low: all.iter().copied().fold(f64::INFINITY, f64::min),
        high: all.iter().copied().fold(0.0, f64::max),
    }
}

/// The place and those around it. One place of the engine looks by 1152 rays; deep under a
/// roof its light comes through few of them and jumps by some percent where one of them
/// passes an edge, within less than a metre. The mean over places so near is the engine's
/// answer without that.
fn around(spot: &SurfaceSpot) -> Vec<DVec3> {
    let over = spot.at + spot.normal * 1e-4;
    let (right, up) = spot.normal.any_orthonormal_pair();
    let ring = [0.35, 0.7].into_iter().flat_map(move |away: f64| {
        (0..8).map(move |i| {
            let (sin, cos) = ((f64::from(i) + away) * std::f64::consts::FRAC_PI_4).sin_cos();
            over + (right * cos + up * sin) * away
        })
    });
    std::iter::once(over).chain(ring).collect()
}

struct Off {
    share: f64,
    holds: bool,
    what: String,
}

/// Pixels that show one thing, neither line nor edge, and how far each is off.
fn compare(
    prepared: &Prepared,
    scene: &ViewScene,
    light: &ViewLight,
    view: &View,
    picture: &LinearPicture,
) -> Vec<Off> {
    let mut off = Vec::new();
    for i in 0.. {
        if off.len() == PIXELS || i > 40 * PIXELS {
            break;
        }
        let [u, v] = golden(i);
        let (x, y) = ((u * SIZE[0] as f64) as usize, (v * SIZE[1] as f64) as usize);
        if x == 0 || y == 0 || x + 1 >= SIZE[0] || y + 1 >= SIZE[1] {
            continue;
        }
        let index = y * SIZE[0] + x;
        let flat = [index - 1, index + 1, index - SIZE[0], index + SIZE[0]].iter().all(|other| {
            let (a, b) = (f64::from(picture.light[index][1]), f64::from(picture.light[*other][1]));
            picture.seen[index] == picture.seen[*other] && a.max(b) <= 1.1 * a.min(b)
        });
        let Some(spot) = scene.spot(view, x, y).filter(|s| flat && s.passes == 0.0) else {
            continue;
        };
        // where two faces of one body meet the pixel shows both, and neither place is its own
        let beside = [(x - 1, y), (x + 1, y), (x, y - 1), (x, y + 1)];
        let on_one_face = |(x, y): (usize, usize)| {
            let other = scene.spot(view, x, y);
            other.is_some_and(|o| o.obstacle == spot.obstacle && o.normal.dot(spot.normal) > 0.9999)
        };
        if !beside.into_iter().all(on_one_face) {
            continue;
        }
        // beyond the ground that is planned the engine knows no light of its own
        let near = spot.obstacle.is_some()
            || geo::Contains::contains(
                &prepared.venue().field.surrounds,
                &geo::Point::new(spot.at.x, spot.at.y),
            );
        if !near {
            continue;
        }
        let wanted = engine(prepared, scene, light, &spot);
        let got = f64::from(picture.light[index][1]);
        let what = format!(
            "{x},{y} {:?} at {:.1}: {got:.1} for {:.1}, {:.1} to {:.1}",
            picture.seen[index], spot.at, wanted.mean, wanted.low, wanted.high
        );
        off.push(Off { share: wanted.off(got), holds: wanted.holds(got), what });
    }
    off
}

fn at(venue: &Venue, hour: u32, minute: u32) -> chrono::DateTime<chrono_tz::Tz> {
    let date = venue.fixture.unwrap().date;
    let time = chrono::NaiveTime::from_hms_opt(hour, minute, 0).unwrap();
    date.and_time(time).and_local_timezone(venue.place.zone).unwrap()
}

/// The sun on what is played on, asked for by itself, is the picture's: pixel for pixel the same
/// number, and the same sun but along edges, where the picture takes the mean of four rays.
fn alone(scene: &ViewScene, when: &ViewLight, view: &View, picture: &LinearPicture) {
    let shares = scene.sun_on_play(when, view);
    let play = picture.seen.iter().zip(&picture.sun);
    let play = play.filter(|(seen, _)| matches!(seen, PixelContent::Turf | PixelContent::Line));
    let of_picture: Vec<f64> = play.map(|(_, sun)| f64::from(*sun)).collect();
    assert_eq!(shares.len(), of_picture.len());
    let off = shares.iter().zip(&of_picture).filter(|(a, b)| (**a - **b).abs() > 1e-6).count();
    assert!(off as f64 <= 0.02 * shares.len() as f64, "{off} of {}", shares.len());
    assert!(shares.len() > 1000 && shares.iter().any(|share| *share > 0.99));
    assert!(shares.iter().any(|share| *share < 0.01));
}

#[test]
fn pixels_have_the_luminance_that_the_engine_gives_their_place() {
    let venue = venue::read(std::path::Path::new("venues/football-demo.toml")).unwrap();
    let date = venue.fixture.unwrap().date;
    let prepared = Prepared::new(&venue, date);
    let air = AirByDate::of_venue(&venue).on(date);
    let light = |hour, minute| prepared.view_light(at(&venue, hour, minute), Sky::Clear, &air);
    let tried = [light(13, 0), light(15, 30), light(17, 0)];
    let scene = ViewScene::new(&prepared, &tried.iter().collect::<Vec<_>>());
    for (camera, when) in [(0, light(15, 40)), (4, light(16, 30)), (2, light(14, 10))] {
        let post = &venue.cameras[camera];
        let eye = Pinhole::new(post, post.aims[post.aims.len() / 2]);
        let view = View { eye, size: SIZE, figures: Vec::new() };
        let picture = scene.picture(&when, &view);
        alone(&scene, &when, &view, &picture);
        let off = compare(&prepared, &scene, &when, &view, &picture);
        assert_eq!(off.len(), PIXELS, "{}", post.name);
        let worst = off.iter().max_by(|a, b| a.share.total_cmp(&b.share)).unwrap();
        let over: Vec<&Off> = off.iter().filter(|o| o.share > SHARE).collect();
        let within = PIXELS - over.len();
        println!(
            "{}: {within} of {PIXELS} within {SHARE}, worst {:.4} ({}), {} nodes",
            post.name,
            worst.share,
            worst.what,
            scene.nodes_on_faces()
        );
        let all: Vec<String> = over.iter().map(|o| format!("{:.4} {}", o.share, o.what)).collect();
        assert!(within as f64 >= OF_PIXELS * PIXELS as f64, "{}: {all:#?}", post.name);
        let lost: Vec<&str> = off.iter().filter(|o| !o.holds).map(|o| o.what.as_str()).collect();
        assert!(lost.is_empty(), "{}: {lost:#?}", post.name);
    }
}
