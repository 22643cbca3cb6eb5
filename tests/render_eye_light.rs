//! Light in the picture through a camera: levels, clipping, shade on the turf, the
//! sun.

use glam::DVec3;
use render_support::marks;
use render_support::marks::{attribute, elements, number};
use render_support_eye::*;
use render_support_field as grounds;

use crate::{render_support, render_support_eye, render_support_field, support};
use quarterstop::base::frame::FieldPoint;
use quarterstop::jobs::brief::picture::{EyeView, eye_view};
use quarterstop::jobs::crew::Levels;
use quarterstop::light::Sky;
use quarterstop::venue;

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
    let (wide, _, pixels) = marks::png_pixels(&picture.png().unwrap());
    let value = |level: f64| u8::from_str_radix(&bt709(level)[1..3], 16).unwrap();
    let (sun, dark) = (value(CLOSED.turf_sun), value(CLOSED.turf_shade));
    let (mut agree, mut other, mut between) = (0, 0, 0);
    for (i, j) in (-100..=100).flat_map(|i| (-60..=60).map(move |j| (i, j))) {
        let at = demo
            .venue
            .field
            .frame
            .to_local(FieldPoint::on_ground(0.5 * f64::from(i) + 0.21, 0.5 * f64::from(j) + 0.13));
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
        exposure: Default::default(),
        sway: Default::default(),
    });
    let plan = grounds::plan(&bowl, 255.0, 18.0);
    let football = &*FOOTBALL;
    let cases = [(&bowl, &plan, 0, 0), (&football.venue, &football.plan, 2, 5)];
    for (venue, plan, camera, index) in cases {
        let picture = eye_view(venue, plan, index, &view(venue, camera, OPEN)).unwrap();
        kept(&format!("frame-{camera}"), &picture);
        let [left, top, right, bottom] = frame(&elements(&picture.svg));
        let (wide, _, pixels) = marks::png_pixels(&picture.png().unwrap());
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
    let edge = into_the_sun(demo, camera, index, 13.6);
    kept("sun-at-the-edge", &eye_view(&demo.venue, &demo.plan, index, &edge).unwrap());
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
