//! The picture through a camera, on both demo venues: words, places, levels. With
//! `EYE_PICTURES` naming a folder the pictures stay there.

mod render_support;
mod render_support_field;
mod support;

use std::path::Path;
use std::sync::LazyLock;

use chrono::{NaiveTime, TimeDelta};
use glam::DVec3;
use quarterstop::light::{Air, Sky};
use quarterstop::plan::{self, MatchPlan, Settings};
use quarterstop::render::{EyeView, Levels, Picture, RenderError, eye_strip, eye_view};
use quarterstop::units::Stops;
use quarterstop::venue::Venue;
use quarterstop::{solar, venue};
use render_support::marks::{self, Element, attribute, elements, number, overlapping, texts};
use render_support_field as grounds;

/// A camera set for the shade a little: the sun side runs over white.
const OPEN: Levels = Levels {
    turf_sun: 0.62,
    turf_shade: 0.10,
    seats_sun: 1.30,
    seats_shade: 0.22,
    subject_sun: 1.10,
    subject_shade: 0.20,
    sky: 0.75,
};
/// Set for the sun: nothing is clipped.
const CLOSED: Levels = Levels {
    turf_sun: 0.30,
    turf_shade: 0.04,
    seats_sun: 0.60,
    seats_shade: 0.09,
    subject_sun: 0.45,
    subject_shade: 0.08,
    sky: 0.40,
};

struct Demo {
    name: &'static str,
    venue: Venue,
    plan: MatchPlan,
}

fn demo(name: &'static str, sky: Sky, from: [u32; 2], steps: i64) -> Demo {
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
    let plan = plan::run(&venue, &settings, |_, _| {}).unwrap();
    venue.cameras = cameras;
    Demo { name, venue, plan }
}

static FOOTBALL: LazyLock<Demo> = LazyLock::new(|| demo("football", Sky::Clear, [14, 30], 6));
static TENNIS: LazyLock<Demo> = LazyLock::new(|| demo("tennis", Sky::Clear, [15, 30], 10));

fn view(venue: &Venue, camera: usize, levels: Levels) -> EyeView {
    let aims = &venue.cameras[camera].aims;
    EyeView { camera, looks_at: aims[aims.len() / 2], levels, setting: "T8, ND 1/4".into() }
}

fn kept(name: &str, picture: &Picture) {
    if let Some(folder) = std::env::var_os("EYE_PICTURES") {
        let folder = Path::new(&folder);
        std::fs::create_dir_all(folder).unwrap();
        std::fs::write(folder.join(format!("{name}.svg")), &picture.svg).unwrap();
        std::fs::write(folder.join(format!("{name}.png")), &picture.png).unwrap();
    }
}

/// Whether every text stands on it apart from the others.
fn words_stand_well(name: &str, picture: &Picture) {
    let all = elements(&picture.svg);
    let (width, height) = (number(&all[0], "width"), number(&all[0], "height"));
    let texts = texts(&all);
    assert!(texts.len() >= 3, "{name}");
    for t in &texts {
        assert!(
            t.left >= 20.0 && t.right <= width - 20.0 && t.top >= 10.0 && t.bottom <= height - 10.0,
            "{name}: {t:?}"
        );
    }
    assert!(overlapping(&texts).is_none(), "{name}: {:?}", overlapping(&texts));
    let (w, h, _) = marks::png_pixels(&picture.png);
    assert_eq!((f64::from(w), f64::from(h)), (width, height), "{name}");
}

#[test]
fn words_stay_on_the_page_and_apart_for_every_camera() {
    for demo in [&*FOOTBALL, &*TENNIS] {
        for camera in 0..demo.venue.cameras.len() {
            let count = demo.plan.instants.len();
            for index in [0, count / 2 + 1, count - 2] {
                let levels = if index == 0 { OPEN } else { CLOSED };
                let view = view(&demo.venue, camera, levels);
                let picture = eye_view(&demo.venue, &demo.plan, index, &view).unwrap();
                let name = format!("{}-{}-{index}", demo.name, camera + 1);
                kept(&name, &picture);
                words_stand_well(&name, &picture);
            }
        }
    }
}

/// The frame on the page: left, top, right, bottom, pixels, from the last line
/// drawn 4 pixels wide around a box.
fn frame(all: &[Element]) -> [f64; 4] {
    let mut boxes = all.iter().filter(|e| e.tag == "polyline" && number(e, "stroke-width") == 4.0);
    let points = places(boxes.next_back().unwrap());
    let (a, c) = (points[0], points[2]);
    [a[0], a[1], c[0], c[1]]
}

fn places(e: &Element) -> Vec<[f64; 2]> {
    let pair = |p: &str| {
        let (x, y) = p.split_once(',').unwrap();
        [x.parse().unwrap(), y.parse().unwrap()]
    };
    attribute(e, "points").unwrap().split_whitespace().map(pair).collect()
}

/// Where a point should be, by angles alone: the camera turns to its azimuth, then
/// tilts (plane trigonometry; nothing of the program's own projection).
fn by_trigonometry(venue: &Venue, view: &EyeView, p: DVec3, frame: [f64; 4]) -> [f64; 2] {
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

/// Check "figures stand on their marks and are 1.8 m tall": bodies of figures in
/// the SVG against plane trigonometry, within a pixel.
#[test]
fn figures_stand_on_their_marks_and_are_as_tall_as_people() {
    for (demo, camera, least) in [(&*FOOTBALL, 3, 2), (&*TENNIS, 0, 5)] {
        let view = view(&demo.venue, camera, CLOSED);
        let svg = eye_view(&demo.venue, &demo.plan, 1, &view).unwrap().svg;
        let all = elements(&svg);
        let frame = frame(&all);
        let polygons: Vec<Vec<[f64; 2]>> =
            all.iter().filter(|e| e.tag == "polygon").map(places).collect();
        let mut found = 0;
        for mark in &demo.venue.field.marks {
            let foot = DVec3::new(mark.at.x, mark.at.y, 0.0);
            let expected = by_trigonometry(&demo.venue, &view, foot, frame);
            let shoulder = by_trigonometry(&demo.venue, &view, foot + DVec3::Z * 1.5, frame);
            let top = by_trigonometry(&demo.venue, &view, foot + DVec3::Z * 1.8, frame);
            let near = |a: f64, b: f64| (a - b).abs() <= 1.0;
            let inside = |p: [f64; 2]| {
                p[0] > frame[0] + 80.0
                    && p[0] < frame[2] - 80.0
                    && p[1] > frame[1]
                    && p[1] < frame[3] - 20.0
            };
            if !inside(expected) || !inside(top) {
                continue;
            }
            // bottom and top edge in the middle of an eight-cornered polygon
            let body = polygons.iter().any(|ring| {
                let low = ring.iter().map(|p| p[1]).fold(f64::MIN, f64::max);
                let high = ring.iter().map(|p| p[1]).fold(f64::MAX, f64::min);
                let sum: f64 = ring.iter().map(|p| p[0]).sum();
                ring.len() == 8
                    && near(low, expected[1])
                    && near(high, shoulder[1])
                    && (sum / 8.0 - expected[0]).abs() <= 1.5
            });
            let head = polygons.iter().any(|ring| {
                let high = ring.iter().map(|p| p[1]).fold(f64::MAX, f64::min);
                near(high, top[1]) && ring.iter().any(|p| (p[0] - top[0]).abs() < 40.0)
            });
            if body && head {
                found += 1;
            }
        }
        assert!(found >= least, "{}: {found}", demo.name);
    }
}

/// Check "the field lies where its corners are": the polygon of the turf against
/// plane trigonometry, for a camera that sees the whole court.
#[test]
fn the_court_lies_where_its_corners_are() {
    let demo = &*TENNIS;
    let mut venue = demo.venue.clone();
    venue.cameras[0].horizontal_fov_deg = 60.0;
    let view = view(&venue, 0, CLOSED);
    let all = elements(&eye_view(&venue, &demo.plan, 1, &view).unwrap().svg);
    let frame = frame(&all);
    let corners: Vec<[f64; 2]> = venue.field.outline.exterior().0[1..]
        .iter()
        .map(|c| by_trigonometry(&venue, &view, DVec3::new(c.x, c.y, 0.0), frame))
        .collect();
    let close =
        |a: &[f64; 2], b: &[f64; 2]| (a[0] - b[0]).abs() <= 1.0 && (a[1] - b[1]).abs() <= 1.0;
    let turf =
        all.iter().filter(|e| e.tag == "polygon").map(places).find(|ring| {
            ring.len() == 4 && corners.iter().all(|c| ring.iter().any(|p| close(p, c)))
        });
    assert!(turf.is_some(), "{corners:?}");
}

/// Fills of the picture, without the page's own paper.
fn fills(svg: &str) -> Vec<String> {
    let all = elements(svg);
    let shapes = all.iter().filter(|e| e.tag == "polygon");
    shapes.filter_map(|e| attribute(e, "fill").map(str::to_owned)).collect()
}

/// A level in the file's own words. ITU-R BT.709-6, section 1, item 1.2:
/// V = 1.099 L^0.45 - 0.099 from L = 0.018 up, else 4.5 L.
fn bt709(level: f64) -> String {
    let signal = if level < 0.018 { 4.5 * level } else { 1.099 * level.powf(0.45) - 0.099 };
    let value = (255.0 * signal.min(1.0)).round() as u8;
    format!("#{value:02X}{value:02X}{value:02X}")
}

#[test]
fn levels_are_drawn_through_the_curve_of_bt709() {
    let demo = &*FOOTBALL;
    let levels = Levels { turf_shade: 0.012, ..CLOSED };
    let view = view(&demo.venue, 3, levels);
    let fills = fills(&eye_view(&demo.venue, &demo.plan, 3, &view).unwrap().svg);
    for level in
        [levels.turf_sun, levels.turf_shade, levels.sky, levels.seats_sun, levels.subject_sun]
    {
        assert!(fills.contains(&bt709(level)), "{level} {}: {fills:?}", bt709(level));
    }
    // the curve in numbers, worked by hand
    assert_eq!(bt709(0.18), "#686868");
    assert_eq!(bt709(0.01), "#0B0B0B");
}

/// Strokes that mark what is clipped, inside the frame: two points, rising to the
/// right at 45 degrees.
fn hatches(svg: &str) -> usize {
    let all = elements(svg);
    let [_, _, _, bottom] = frame(&all);
    let lines = all
        .iter()
        .filter(|e| e.tag == "polyline")
        .filter(|e| attribute(e, "stroke") == Some("#969696") && number(e, "stroke-width") == 1.0);
    let rises = |points: &Vec<[f64; 2]>| {
        points.len() == 2
            && points.iter().all(|p| p[1] <= bottom)
            && (points[1][0] - points[0][0] + points[1][1] - points[0][1]).abs() <= 1.0
    };
    lines.map(places).filter(rises).count()
}

#[test]
fn what_is_over_white_is_marked_and_nothing_else() {
    let demo = &*FOOTBALL;
    let at = |levels: Levels, camera: usize| {
        eye_view(&demo.venue, &demo.plan, 0, &view(&demo.venue, camera, levels)).unwrap().svg
    };
    let dim = Levels { seats_sun: 0.2, seats_shade: 0.1, ..CLOSED };
    assert_eq!(hatches(&at(dim, 0)), 0);
    let turf = Levels { turf_sun: 1.4, ..dim };
    let svg = at(turf, 0);
    assert!(hatches(&svg) > 50);
    assert!(svg.contains("Turf in sun over white by 0.5 stop"));
    // white itself is not over white
    assert_eq!(hatches(&at(Levels { turf_sun: 1.0, ..dim }, 0)), 0);
}

/// Points of the field, projected by plane trigonometry, have the level of the
/// light that the plan says arrives there, and one between the two in the penumbra.
#[test]
fn turf_is_lit_where_the_light_arrives_and_its_edge_is_soft() {
    let demo = &*FOOTBALL;
    let (index, shade) = (3, &demo.plan.instants[3].turf.shadow);
    let view = view(&demo.venue, 0, CLOSED);
    let picture = eye_view(&demo.venue, &demo.plan, index, &view).unwrap();
    let frame = frame(&elements(&picture.svg));
    let (wide, _, pixels) = marks::png_pixels(&picture.png);
    let value = |level: f64| u8::from_str_radix(&bt709(level)[1..3], 16).unwrap();
    let (sun, dark) = (value(CLOSED.turf_sun), value(CLOSED.turf_shade));
    let (mut agree, mut other, mut between) = (0, 0, 0);
    for (i, j) in (-100..=100).flat_map(|i| (-60..=60).map(move |j| (i, j))) {
        let at = demo.venue.field.frame.to_local(quarterstop::frame::FieldPoint::on_ground(
            0.5 * f64::from(i) + 0.21,
            0.5 * f64::from(j) + 0.13,
        ));
        let [x, y] = by_trigonometry(&demo.venue, &view, at, frame);
        let room = 8.0;
        if x < frame[0] + room || x > frame[2] - room || y < frame[1] + room || y > frame[3] - room
        {
            continue;
        }
        let passes = |dx: f64, dy: f64| {
            shade.transmission_at(geo::Coord { x: at.x + dx, y: at.y + dy }).share()
        };
        let pixel = pixels[3 * (y.round() as usize * wide as usize + x.round() as usize)];
        let here = passes(0.0, 0.0);
        // the widest penumbra of this instant is under 1.2 m
        let near = [(1.2, 0.0), (-1.2, 0.0), (0.0, 1.2), (0.0, -1.2)];
        if near.iter().any(|&(dx, dy)| passes(dx, dy) != here) {
            between += usize::from(pixel > dark + 3 && pixel < sun - 3);
            continue;
        }
        let expected = if here == 1.0 { sun } else { dark };
        if pixel == expected { agree += 1 } else { other += 1 }
    }
    // lines and the figure hide the rest
    assert!(agree > 1000 && 20 * other < agree, "{agree} {other}");
    assert!(between > 20, "{between}");
}

/// No mark of the scene reaches over the border of the frame: in the PNG a line of
/// paper runs around it.
#[test]
fn nothing_leaves_the_frame() {
    let mut bowl = support::bowl(64, 0.4);
    bowl.cameras.push(venue::CameraPost {
        name: "high".into(),
        at: DVec3::new(-20.0, -58.0, 27.0),
        aims: vec![DVec3::ZERO],
        horizontal_fov_deg: 75.0,
        aspect: 16.0 / 9.0,
        floodlight: None,
    });
    let plan = grounds::plan(&bowl, 255.0, 18.0);
    let football = &*FOOTBALL;
    let cases = [(&bowl, &plan, 0, 0), (&football.venue, &football.plan, 2, 5)];
    for (venue, plan, camera, index) in cases {
        let picture = eye_view(venue, plan, index, &view(venue, camera, OPEN)).unwrap();
        kept(&format!("frame-{camera}"), &picture);
        let [left, top, right, bottom] = frame(&elements(&picture.svg));
        let (wide, _, pixels) = marks::png_pixels(&picture.png);
        let is_paper = |x: f64, y: f64| {
            let i = 3 * (y as usize * wide as usize + x as usize);
            pixels[i..i + 3] == [255; 3]
        };
        let (left, top, right, bottom) = (left - 6.0, top - 6.0, right + 6.0, bottom + 6.0);
        for x in left as usize..=right as usize {
            assert!(is_paper(x as f64, top) && is_paper(x as f64, bottom), "{x}");
        }
        for y in top as usize..=bottom as usize {
            assert!(is_paper(left, y as f64) && is_paper(right, y as f64), "{y}");
        }
    }
}

fn into_the_sun(demo: &Demo, camera: usize, index: usize, off_deg: f64) -> EyeView {
    let sun = demo.plan.instants[index].sun.toward();
    let side = sun.cross(DVec3::Z).normalize();
    let (sin, cos) = off_deg.to_radians().sin_cos();
    let looks_at = demo.venue.cameras[camera].at + (sun * cos + side * sin) * 80.0;
    EyeView { looks_at, ..view(&demo.venue, camera, CLOSED) }
}

#[test]
fn the_sun_is_drawn_only_where_it_is_in_the_frame() {
    let demo = &*FOOTBALL;
    let (camera, index) = (4, 4);
    let disc = |view: &EyeView| {
        let svg = eye_view(&demo.venue, &demo.plan, index, view).unwrap().svg;
        let all = elements(&svg);
        let [left, _, right, _] = frame(&all);
        let tan = |degrees: f64| degrees.to_radians().tan();
        let half = 0.5 * demo.venue.cameras[camera].horizontal_fov_deg;
        let wide = (right - left) * tan(0.5 * 0.533) / tan(half);
        // a white polygon, as wide as the sun should be
        let white =
            all.iter().filter(|e| e.tag == "polygon" && attribute(e, "fill") == Some("#FFFFFF"));
        white.map(places).any(|ring| {
            let xs = || ring.iter().map(|p| p[0]);
            let width = xs().fold(f64::MIN, f64::max) - xs().fold(f64::MAX, f64::min);
            ring.len() > 12 && (width - wide).abs() <= 2.0
        })
    };
    let middle = into_the_sun(demo, camera, index, 0.0);
    kept("sun-in-frame", &eye_view(&demo.venue, &demo.plan, index, &middle).unwrap());
    assert!(disc(&middle));
    assert!(disc(&into_the_sun(demo, camera, index, 12.0)));
    assert!(!disc(&into_the_sun(demo, camera, index, 17.0)));
    assert!(!disc(&view(&demo.venue, 3, CLOSED)));
    // nor under a sky that hides it
    let mut overcast = demo.plan.clone();
    overcast.sky = Sky::Overcast;
    let svg = eye_view(&demo.venue, &overcast, index, &middle).unwrap().svg;
    assert!(svg.contains("no direct sun: cloud"));
    assert!(!svg.contains("Turf in sun"));
}

#[test]
fn the_same_plan_gives_the_same_picture() {
    let demo = &*FOOTBALL;
    let view = view(&demo.venue, 0, OPEN);
    let draw = || eye_view(&demo.venue, &demo.plan, 2, &view).unwrap();
    assert!(draw() == draw());
}

#[test]
fn what_there_is_not_is_an_error() {
    let demo = &*FOOTBALL;
    let good = view(&demo.venue, 0, OPEN);
    let error = eye_view(&demo.venue, &demo.plan, 99, &good).unwrap_err();
    assert!(matches!(error, RenderError::NoSuchInstant { index: 99, .. }));
    let none = EyeView { camera: 9, ..good.clone() };
    let error = eye_view(&demo.venue, &demo.plan, 0, &none).unwrap_err();
    assert!(matches!(error, RenderError::NoSuchCamera { index: 9, count: 5 }));
    let strip = |indices: &[usize], views: &[EyeView]| {
        eye_strip(&demo.venue, &demo.plan, indices, views).unwrap_err()
    };
    let other = view(&demo.venue, 1, OPEN);
    let bad = [
        strip(&[], &[]),
        strip(&[0, 1], std::slice::from_ref(&good)),
        strip(&[0, 1], &[good.clone(), other]),
        strip(&[0; 13], &vec![good; 13]),
    ];
    assert!(bad.iter().all(|e| matches!(e, RenderError::Strip { .. })));
}

#[test]
fn a_strip_tells_the_time_under_each_picture() {
    for (demo, camera, count) in [(&*FOOTBALL, 0, 7), (&*TENNIS, 0, 3), (&*FOOTBALL, 4, 1)] {
        let indices: Vec<usize> = (0..count).collect();
        let levels = if count == 3 { OPEN } else { CLOSED };
        let views = vec![view(&demo.venue, camera, levels); count];
        let picture = eye_strip(&demo.venue, &demo.plan, &indices, &views).unwrap();
        let name = format!("strip-{}-{}", demo.name, camera + 1);
        kept(&name, &picture);
        words_stand_well(&name, &picture);
        for instant in &demo.plan.instants[..count] {
            let time = instant.at.format("%H:%M %Z").to_string();
            assert!(texts(&elements(&picture.svg)).iter().any(|t| t.text == time), "{time}");
        }
    }
    let demo = &*TENNIS;
    let views = vec![view(&demo.venue, 2, CLOSED); 12];
    let indices: Vec<usize> = (0..12).map(|i| i % demo.plan.instants.len()).collect();
    let picture = eye_strip(&demo.venue, &demo.plan, &indices, &views).unwrap();
    kept("strip-twelve", &picture);
    words_stand_well("twelve", &picture);
}

#[test]
fn a_camera_that_looks_straight_down_and_one_that_looks_up_are_drawn() {
    // without a setting, too
    let demo = &*FOOTBALL;
    for (name, off) in [("down", -DVec3::Z), ("up", DVec3::Z)] {
        let post = &demo.venue.cameras[0];
        let view = EyeView {
            looks_at: post.at + off * 10.0,
            setting: String::new(),
            ..view(&demo.venue, 0, CLOSED)
        };
        let picture = eye_view(&demo.venue, &demo.plan, 0, &view).unwrap();
        kept(name, &picture);
        words_stand_well(name, &picture);
    }
}
