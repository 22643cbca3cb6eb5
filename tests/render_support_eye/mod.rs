//! Both demo venues planned for pictures through their cameras, and where things
//! should be in such a picture. With `EYE_PICTURES` naming a folder the pictures
//! stay there.
#![allow(dead_code)]

use std::path::Path;
use std::sync::LazyLock;

use chrono::{NaiveTime, TimeDelta};
use glam::DVec3;

use crate::render_support::marks::{Element, attribute, number};
use quarterstop::base::units::Stops;
use quarterstop::engine::{MatchPlan, Settings};
use quarterstop::jobs::brief::picture::EyeView;
use quarterstop::jobs::crew::Levels;
use quarterstop::light::{Air, Sky};
use quarterstop::output::draw::Picture;
use quarterstop::venue::Venue;
use quarterstop::{engine, solar, venue};

/// A camera set for the shade a little: the sun side runs over white.
pub const OPEN: Levels = Levels {
    turf_sun: 0.62,
    turf_shade: 0.10,
    seats_sun: 1.30,
    seats_shade: 0.22,
    subject_sun: 1.10,
    subject_shade: 0.20,
    sky: 0.75,
};

/// Set for the sun: nothing is clipped.
pub const CLOSED: Levels = Levels {
    turf_sun: 0.30,
    turf_shade: 0.04,
    seats_sun: 0.60,
    seats_shade: 0.09,
    subject_sun: 0.45,
    subject_shade: 0.08,
    sky: 0.40,
};

pub struct Demo {
    pub name: &'static str,
    pub venue: Venue,
    pub plan: MatchPlan,
}

pub fn demo(name: &'static str, sky: Sky, from: [u32; 2], steps: i64) -> Demo {
    let path = format!("{}/venues/{name}-demo.toml", env!("CARGO_MANIFEST_DIR"));
    let mut venue = venue::read(Path::new(&path)).unwrap();
    // the pictures ask nothing of the light on cameras: without them the plan is
    // soon made
    let date = venue.fixture.unwrap().date;
    let clock = NaiveTime::from_hms_opt(from[0], from[1], 0).unwrap();
    let from = solar::resolve(venue.place.zone, date, clock, None).unwrap();
    let step = TimeDelta::minutes(30);
    let settings = Settings {
        from,
        until: from + step * steps as i32,
        step,
        sky,
        air: Air::default(),
        hold: Stops::from_stops(2.0),
        milestones: Vec::new(),
    };
    let cameras = std::mem::take(&mut venue.cameras);
    let plan = engine::run(&venue, &settings, |_, _| {}).unwrap();
    venue.cameras = cameras;
    Demo { name, venue, plan }
}

pub static FOOTBALL: LazyLock<Demo> = LazyLock::new(|| demo("football", Sky::Clear, [14, 30], 6));

pub static TENNIS: LazyLock<Demo> = LazyLock::new(|| demo("tennis", Sky::Clear, [15, 30], 10));

pub fn view(venue: &Venue, camera: usize, levels: Levels) -> EyeView {
    let aims = &venue.cameras[camera].aims;
    EyeView { camera, looks_at: aims[aims.len() / 2], levels, setting: "T8, ND 1/4".into() }
}

pub fn kept(name: &str, picture: &Picture) {
    if let Some(folder) = std::env::var_os("EYE_PICTURES") {
        let folder = Path::new(&folder);
        std::fs::create_dir_all(folder).unwrap();
        std::fs::write(folder.join(format!("{name}.svg")), &picture.svg).unwrap();
        std::fs::write(folder.join(format!("{name}.png")), picture.png().unwrap()).unwrap();
    }
}

/// The frame on the page: left, top, right, bottom, pixels, from the last line
/// drawn 4 pixels wide around a box.
pub fn frame(all: &[Element]) -> [f64; 4] {
    let mut boxes = all.iter().filter(|e| e.tag == "polyline" && number(e, "stroke-width") == 4.0);
    let points = places(boxes.next_back().unwrap());
    let (a, c) = (points[0], points[2]);
    [a[0], a[1], c[0], c[1]]
}

pub fn places(e: &Element) -> Vec<[f64; 2]> {
    let pair = |p: &str| {
        let (x, y) = p.split_once(',').unwrap();
        [x.parse().unwrap(), y.parse().unwrap()]
    };
    attribute(e, "points").unwrap().split_whitespace().map(pair).collect()
}

/// Where a point should be, by angles alone: the camera turns to its azimuth, then
/// tilts (plane trigonometry; nothing of the program's own projection).
pub fn by_trigonometry(venue: &Venue, view: &EyeView, p: DVec3, frame: [f64; 4]) -> [f64; 2] {
    let post = &venue.cameras[view.camera];
    let (aim, ray) = (view.looks_at - post.at, p - post.at);
    let turn = ray.x.atan2(ray.y) - aim.x.atan2(aim.y);
    let level = ray.x.hypot(ray.y);
    let tilt = aim.z.atan2(aim.x.hypot(aim.y));
    // in the upright plane of the axis: ahead on the level, and up
    let (ahead, side) = (level * turn.cos(), level * turn.sin());
    let depth = ahead * tilt.cos() + ray.z * tilt.sin();
    let up = ray.z * tilt.cos() - ahead * tilt.sin();
    let px = 0.5 * (frame[2] - frame[0]) / (0.5 * post.horizontal_fov_deg.to_radians()).tan();
    let middle = [0.5 * (frame[0] + frame[2]), 0.5 * (frame[1] + frame[3])];
    [middle[0] + px * side / depth, middle[1] - px * up / depth]
}
