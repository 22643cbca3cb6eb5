//! The picture of what stands around a place, read back from its SVG.

use chrono::{DateTime, NaiveDate, TimeDelta, TimeZone};
use chrono_tz::Tz;
use glam::DVec3;
use render_support::marks::{Element, attribute, elements, number, overlapping, png_pixels, texts};

use crate::{render_support, support};
use quarterstop::engine::{Surroundings, find};
use quarterstop::jobs::look_up::LookUp;
use quarterstop::jobs::look_up::picture::look_up;
use quarterstop::output::draw::Picture;
use quarterstop::venue::{CameraPost, Part, Shape, Venue, read};

type Window = Option<(DateTime<Tz>, DateTime<Tz>)>;

fn drawn(venue: &Venue, place: &str, on: NaiveDate, window: Window) -> (LookUp, Picture) {
    let around = Surroundings::new(venue, on);
    let spot = find(&around, place, 1.7).unwrap();
    let look = LookUp::new(&around, spot, on, window);
    let picture = look_up(venue, &look).unwrap();
    (look, picture)
}

fn demo(name: &str) -> Venue {
    read(std::path::Path::new(&format!("venues/{name}-demo.toml"))).unwrap()
}

fn window(venue: &Venue) -> Window {
    let fixture = venue.fixture?;
    let zone = venue.place.zone;
    let start = zone.from_local_datetime(&fixture.date.and_time(fixture.start)).single()?;
    Some((start, start + TimeDelta::minutes(105)))
}

/// Texts apart and inside, marks inside, both formats of one size.
fn stands_well(what: &str, picture: &Picture) -> Vec<Element> {
    let all = elements(&picture.svg);
    let (width, height, pixels) = png_pixels(&picture.png().unwrap());
    let svg = &all[0];
    assert_eq!((number(svg, "width"), number(svg, "height")), (width.into(), height.into()));
    let words = texts(&all);
    if let Some((a, b)) = overlapping(&words) {
        panic!("{what}: \"{}\" lies over \"{}\"", a.text, b.text);
    }
    for word in &words {
        let inside = word.left >= 0.0
            && word.right <= f64::from(width)
            && word.top >= 0.0
            && word.bottom <= f64::from(height);
        assert!(inside, "{what}: {word:?}");
    }
    for e in all.iter().filter(|e| e.tag == "polygon" || e.tag == "polyline") {
        for [x, y] in points(e) {
            let (x_in, y_in) = (-1.0..=f64::from(width) + 1.0, -1.0..=f64::from(height) + 1.0);
            assert!(x_in.contains(&x) && y_in.contains(&y), "{what}: {x} {y}");
        }
    }
    let paper = pixels.chunks(3).filter(|p| *p == [255, 255, 255]).count();
    assert!(paper > pixels.len() / 30, "{what}: the page is full");
    all
}

fn points(e: &Element) -> Vec<[f64; 2]> {
    let pair = |p: &str| {
        let (x, y) = p.split_once(',').unwrap();
        [x.parse().unwrap(), y.parse().unwrap()]
    };
    attribute(e, "points").unwrap().split_whitespace().map(pair).collect()
}

fn says(all: &[Element], text: &str) -> bool {
    all.iter().any(|e| e.tag == "text" && e.content.contains(text))
}

#[test]
fn words_keep_apart_and_on_the_page_at_both_demos() {
    for (name, places) in [
        ("football", &["centre spot", "corner flag ahead left", "1 main wide", "5 reverse"][..]),
        ("tennis", &["net centre", "2 net", "3 baseline"][..]),
    ] {
        let venue = demo(name);
        let on = venue.fixture.unwrap().date;
        for place in places {
            let (_, picture) = drawn(&venue, place, on, window(&venue));
            let all = stands_well(place, &picture);
            assert!(says(&all, "Never look at the sun"), "{place}");
            assert!(says(&all, &format!("Looking up from {place}")), "{place}");
            assert!(says(&all, &on.format("%-d %B").to_string()), "{place}");
        }
    }
}

#[test]
fn words_keep_apart_wherever_on_earth() {
    let on = NaiveDate::from_ymd_opt(2027, 4, 10).unwrap();
    for (latitude, longitude, zone) in [
        (78.2, 15.6, Tz::Arctic__Longyearbyen),
        (0.0, 36.8, Tz::Africa__Nairobi),
        (-35.3, 149.1, Tz::Australia__Sydney),
        (10.5, -66.9, Tz::America__Caracas),
        (-90.0, 0.0, Tz::Antarctica__McMurdo),
    ] {
        let mut venue = demo("football");
        venue.place.latitude_deg = latitude;
        venue.place.longitude_deg = longitude;
        venue.place.zone = zone;
        let (_, picture) = drawn(&venue, "centre spot", on, None);
        stands_well(zone.name(), &picture);
    }
}

#[test]
fn long_names_and_bare_grounds_are_drawn_too() {
    let on = support::date();
    let mut venue = support::football();
    venue.title = "A ground with a name & more <words> than any page has room for ".repeat(4);
    let (_, picture) = drawn(&venue, "centre of play", on, None);
    let all = stands_well("bare", &picture);
    assert!(!says(&all, "opaque"), "nothing opaque stands there");
    let block = [[20.0, -5.0], [30.0, -5.0], [30.0, 5.0], [20.0, 5.0]];
    for i in 0..12 {
        let shape = support::prism(&block.map(|p| [p[0], p[1] + 8.0 * f64::from(i)]), 0.0, 20.0);
        let body = support::body(Part::Solid, shape, 0.0);
        let name = format!("Block number {i} of a row with long names, each of them longer");
        venue.occluders.push(support::occluder(&name, vec![body]));
    }
    let (_, picture) = drawn(&venue, "centre of play", on, None);
    let all = stands_well("blocks", &picture);
    assert!(says(&all, "opaque") && says(&all, "Block number"));
}

/// Check "the roofline is where trigonometry has it": the top of a wall due south of
/// the eye, height over distance, on the picture's own scale.
#[test]
fn the_roofline_stands_on_the_scale_of_the_picture() {
    let mut venue = support::football();
    let wall = [[-300.0, -60.0], [300.0, -60.0], [300.0, -61.0], [-300.0, -61.0]];
    let wall: Vec<[f64; 2]> = wall.iter().rev().copied().collect();
    let shape = support::prism(&wall, 0.0, 21.7);
    venue.occluders.push(support::occluder("Wall", vec![support::body(Part::Solid, shape, 0.0)]));
    let (_, picture) = drawn(&venue, "centre of play", support::date(), None);
    let all = stands_well("wall", &picture);
    let tick = |text: &str| {
        let e = all.iter().find(|e| e.tag == "text" && e.content == text).unwrap();
        (number(e, "x"), number(e, "y"))
    };
    let per_degree = (tick("0°").1 - tick("20°").1) / 20.0;
    let south = tick("180° S").0;
    let opaque = "#B2B7BE";
    let ring = all
        .iter()
        .filter(|e| e.tag == "polygon" && attribute(e, "fill") == Some(opaque))
        .map(points)
        .max_by_key(Vec::len)
        .unwrap();
    let top =
        ring.iter().filter(|p| (p[0] - south).abs() < 3.0).map(|p| p[1]).fold(f64::MAX, f64::min);
    // the tick's text and the line of its elevation share one height but for the text's
    // own offset, which is the same at 0 and at 20 degrees: measure from a frame corner
    let level = all
        .iter()
        .filter(|e| e.tag == "polyline" || e.tag == "line")
        .filter(|e| attribute(e, "stroke-width") == Some("3"))
        .filter(|e| attribute(e, "stroke") == Some("#5F656E"))
        .map(|e| if e.tag == "line" { number(e, "y1") } else { points(e)[0][1] })
        .next()
        .unwrap();
    let expected = (20.0_f64 / 60.0).atan().to_degrees();
    let found = (level - top) / per_degree;
    assert!((found - expected).abs() < 0.12, "{found} {expected}");
}

#[test]
fn a_cameras_frame_is_drawn_where_it_reaches_the_sky() {
    let mut venue = support::football();
    let post = |name: &str, at: DVec3, aim: DVec3| CameraPost {
        name: name.into(),
        at,
        aims: vec![aim],
        horizontal_fov_deg: 50.0,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    };
    let (low, high) = (DVec3::new(0.0, 60.0, 2.0), DVec3::new(0.0, 20.0, 40.0));
    venue.cameras = vec![
        post("low, south", low, DVec3::ZERO),
        post("high, down", high, DVec3::ZERO),
        post("low, north", -low.with_z(-2.0), DVec3::ZERO),
    ];
    let frame = "the camera's frame and pan";
    let outside = "stays outside this part of the sky";
    for (camera, seen) in [("low, south", true), ("high, down", false), ("low, north", false)] {
        let (look, picture) = drawn(&venue, camera, support::date(), None);
        let all = stands_well(camera, &picture);
        assert_eq!((says(&all, frame), says(&all, outside)), (seen, !seen), "{camera}");
        // 28 degrees up at the most: the noon sun of December, 15 degrees, is in frame
        let december = look.days.last().unwrap();
        assert_eq!(!december.in_lens.is_empty(), seen, "{camera}");
    }
}

#[test]
fn a_shape_without_thickness_overhead_leaves_the_sky_beside_it() {
    let mut venue = support::football();
    let roof = [[-20.0, -20.0], [20.0, -20.0], [20.0, 20.0], [-20.0, 20.0]];
    let corners = roof.map(|p| DVec3::new(p[0], p[1], 15.0)).to_vec();
    let body = support::body(Part::Roof, Shape::Sheet { corners }, 0.0);
    venue.occluders.push(support::occluder("Canopy", vec![body]));
    let (look, picture) = drawn(&venue, "centre of play", support::date(), None);
    stands_well("canopy", &picture);
    assert!(look.skyline.iter().all(|p| p.elevation.degrees() > 89.0));
    assert!(look.skyline.iter().all(|p| p.covered.degrees() == 0.0));
    // only a low sun gets under it
    assert!(look.days[0].lit() > TimeDelta::hours(4));
}
