//! The timeline picture, checked from outside through its SVG and its PNG.

use chrono::{DateTime, TimeDelta, Timelike};
use chrono_tz::Tz;
use render_support::marks::{Element, attribute, elements, number, overlapping, png_pixels, texts};
use render_support::*;

use crate::render_support;
use quarterstop::base::units::Stops;
use quarterstop::camera::{CameraView, SplitState};
use quarterstop::engine::MatchPlan;
use quarterstop::jobs::match_plan::picture::timeline;
use quarterstop::light::Sky;
use quarterstop::output::draw::Picture;
use quarterstop::output::error::RenderError;

/// Turf and subject, as the palette names them in SVG (Okabe and Ito 2008: blue
/// 0, 114, 178; vermillion 213, 94, 0).
const BLUE: &str = "#0072B2";
const VERMILLION: &str = "#D55E00";

fn drawn(story: &Story) -> Picture {
    timeline(&venue(story), &plan(story)).unwrap()
}

fn every_story() -> Vec<(&'static str, Story)> {
    let one = Story { cameras: vec!["Main gantry".into()], ..afternoon() };
    let none = Story { cameras: Vec::new(), ..afternoon() };
    let overcast = Story { sky: Sky::Overcast, ..evening() };
    vec![
        ("afternoon", afternoon()),
        ("evening", evening()),
        ("polar-night", polar_night()),
        ("many-cameras", many_cameras()),
        ("long-day", long_day()),
        ("one-camera", one),
        ("no-camera", none),
        ("overcast", overcast),
    ]
}

/// With `TIMELINE_PICTURES` naming a folder the pictures are kept to look at.
#[test]
fn text_stays_inside_and_apart_in_every_picture() {
    for (name, story) in every_story() {
        let picture = drawn(&story);
        if let Ok(folder) = std::env::var("TIMELINE_PICTURES") {
            let path = std::path::Path::new(&folder);
            std::fs::write(path.join(format!("{name}.png")), picture.png().unwrap()).unwrap();
            std::fs::write(path.join(format!("{name}.svg")), &picture.svg).unwrap();
        }
        let all = elements(&picture.svg);
        let (width, height) = (number(&all[0], "width"), number(&all[0], "height"));
        let texts = texts(&all);
        assert!(texts.len() > 30, "{name}");
        for text in &texts {
            let inside = 0.0 < text.left && text.right < width && 0.0 < text.top;
            assert!(inside && text.bottom < height, "{name}: {text:?}");
        }
        if let Some((a, b)) = overlapping(&texts) {
            panic!("{name}: {a:?} lies over {b:?}");
        }
    }
}

#[test]
fn print_on_a4_is_at_least_nine_points() {
    // A4 landscape inside 10 mm margins is 277 x 190 mm (ISO 216: 297 x 210);
    // a point is 1/72 inch of 25.4 mm
    let all = elements(&drawn(&afternoon()).svg);
    let (width, height) = (number(&all[0], "width"), number(&all[0], "height"));
    let mm_per_px = (277.0 / width).min(190.0 / height);
    for text in all.iter().filter(|e| e.tag == "text") {
        let points = number(text, "font-size") * mm_per_px / 25.4 * 72.0;
        assert!(points >= 9.0, "{points:.2} pt: {}", text.content);
    }
}

#[test]
fn svg_is_well_formed_and_says_what_it_shows() {
    let mut story = afternoon();
    story.cameras[0] = "Gantry <1> & \"wide\"\u{1}'s".into();
    let mut venue = venue(&story);
    venue.title = "Ground <of> \"this\" & that".into();
    let picture = timeline(&venue, &plan(&story)).unwrap();
    let all = elements(&picture.svg);
    assert_eq!(all[0].tag, "svg");
    assert_eq!(attribute(&all[0], "xmlns"), Some("http://www.w3.org/2000/svg"));
    assert_eq!(all[1].tag, "title");
    assert!(all[1].content.contains("Ground <of> \"this\" & that"));
    assert_eq!(all[2].tag, "desc");
    assert!(all[2].content.contains("Gantry <1> & \"wide\" 's"));
    let says = |what: &str| all.iter().any(|e| e.tag == "text" && e.content == what);
    assert!(says("Ground <of> \"this\" & that"));
    assert!(says("Gantry <1> & \"wide\" 's"));
    assert!(says("Saturday 17 April 2027, 14:35 to 17:05 Europe/London (UTC+01:00), clear sky"));
    for label in [
        "kickoff 15:00",
        "half-time 15:45",
        "second half 16:00",
        "full-time 16:45",
        "stops",
        "100 %",
        "30\u{b0}",
    ] {
        assert!(says(label), "{label}");
    }
    let family =
        |e: &Element| attribute(e, "font-family").is_some_and(|f| f.ends_with("sans-serif"));
    assert!(all.iter().filter(|e| e.tag == "text").all(family));
}

#[test]
fn png_has_the_size_of_the_svg_and_a_free_border() {
    for (name, story) in [("afternoon", afternoon()), ("many", many_cameras())] {
        let picture = drawn(&story);
        let all = elements(&picture.svg);
        let (width, height, pixels) = png_pixels(&picture.png().unwrap());
        assert_eq!(f64::from(width), number(&all[0], "width"), "{name}");
        assert_eq!(f64::from(height), number(&all[0], "height"), "{name}");
        let at = |x: u32, y: u32| {
            let i = 3 * (y * width + x) as usize;
            [pixels[i], pixels[i + 1], pixels[i + 2]]
        };
        let count = |colour: [u8; 3]| pixels.chunks(3).filter(|p| **p == colour).count();
        assert!(count([0, 114, 178]) > 5_000, "{name}: turf lines");
        assert!(count([213, 94, 0]) > 2_000, "{name}: subject lines");
        let inked = pixels.len() / 3 - count([255, 255, 255]);
        assert!(inked > pixels.len() / 3 / 20, "{name}: {inked} pixels drawn");
        for border in 0..8 {
            for x in 0..width {
                assert_eq!(at(x, border), [255; 3], "{name}");
                assert_eq!(at(x, height - 1 - border), [255; 3], "{name}");
            }
            for y in 0..height {
                assert_eq!(at(border, y), [255; 3], "{name}");
                assert_eq!(at(width - 1 - border, y), [255; 3], "{name}");
            }
        }
    }
}

#[test]
fn same_plan_gives_same_bytes() {
    let (venue, plan) = (venue(&evening()), plan(&evening()));
    assert_eq!(timeline(&venue, &plan), timeline(&venue, &plan));
}

/// The widest split in shot, either way, by search, first in time.
fn worst(
    plan: &MatchPlan,
    of: impl Fn(&CameraView) -> SplitState,
    camera: usize,
) -> Option<(f64, DateTime<Tz>)> {
    let mut found: Option<(f64, DateTime<Tz>)> = None;
    for instant in &plan.instants {
        if let SplitState::InShot(s) = of(&instant.cameras[camera])
            && found.is_none_or(|(most, _)| s.stops().abs() > most.abs())
        {
            found = Some((s.stops(), instant.at));
        }
    }
    found
}

#[test]
fn worst_split_is_told_and_marked_where_the_plan_has_it() {
    let story = afternoon();
    let plan = plan(&story);
    let all = elements(&drawn(&story).svg);
    // the time axis, read back from two of its labels
    let tick = |text: &str| {
        let found = all.iter().find(|e| e.tag == "text" && e.content == text);
        number(found.unwrap(), "x")
    };
    let per_minute = (tick("17:00") - tick("15:00")) / 120.0;
    let x_at = |at: DateTime<Tz>| {
        tick("15:00") + per_minute * (f64::from(at.num_seconds_from_midnight()) / 60.0 - 900.0)
    };
    let thick_turf: Vec<Vec<(f64, f64)>> =
        all.iter().filter(|e| is_line(e, BLUE, "6")).map(points).collect();
    let mut checked = 0;
    for camera in 0..story.cameras.len() {
        let turf = worst(&plan, |view| view.turf.state, camera);
        let subject = worst(&plan, |view| view.subject.state, camera);
        for (what, worst) in [("turf", turf), ("subject", subject)] {
            let Some((stops, at)) = worst else { continue };
            let told = format!("{what} {stops:.1} stops at {}", at.format("%H:%M"));
            let found = all.iter().any(|e| e.tag == "text" && e.content == told);
            assert!(found, "{told}");
            checked += 1;
        }
        let Some((_, at)) = turf else { continue };
        let marked = all.iter().filter(|e| {
            e.tag == "circle"
                && attribute(e, "fill") == Some(BLUE)
                && (number(e, "cx") - x_at(at)).abs() <= 1.5
        });
        let on_line = |e: &Element| {
            let centre = (number(e, "cx"), number(e, "cy"));
            thick_turf.iter().any(|line| line.contains(&centre))
        };
        assert!(marked.into_iter().any(on_line), "camera {camera}");
    }
    // the third camera never has the edge in shot
    assert_eq!(checked, 8);
    assert!(all.iter().any(|e| e.content == "edge never in shot"));
}

fn is_line(e: &Element, colour: &str, width: &str) -> bool {
    e.tag == "polyline"
        && attribute(e, "stroke") == Some(colour)
        && attribute(e, "stroke-width") == Some(width)
}

fn points(e: &Element) -> Vec<(f64, f64)> {
    let pairs = attribute(e, "points").unwrap().split_whitespace();
    pairs
        .map(|pair| {
            let (x, y) = pair.split_once(',').unwrap();
            (x.parse().unwrap(), y.parse().unwrap())
        })
        .collect()
}

#[test]
fn thick_lines_are_drawn_exactly_while_the_edge_is_in_shot() {
    for story in [afternoon(), evening(), polar_night(), many_cameras()] {
        let plan = plan(&story);
        let stretches = |of: fn(&CameraView) -> SplitState| -> usize {
            (0..story.cameras.len())
                .map(|camera| {
                    let seen = plan.instants.iter().map(|i| of(&i.cameras[camera]));
                    let seen: Vec<bool> = seen.map(|s| s.in_shot().is_some()).collect();
                    usize::from(seen[0]) + seen.windows(2).filter(|w| !w[0] && w[1]).count()
                })
                .sum()
        };
        let all = elements(&drawn(&story).svg);
        let lines = |colour: &str, width: &str| -> usize {
            all.iter().filter(|e| is_line(e, colour, width)).count()
        };
        // and one sample each in the legend
        assert_eq!(lines(BLUE, "6"), stretches(|v| v.turf.state) + 1);
        assert_eq!(lines(VERMILLION, "8"), stretches(|v| v.subject.state) + 1);
    }
}

#[test]
fn stretches_without_sun_are_named() {
    let says = |story: &Story, what: &str| {
        let all = elements(&drawn(story).svg);
        all.iter().any(|e| e.tag == "text" && e.content.starts_with(what))
    };
    assert!(says(&evening(), "sun down"));
    assert!(says(&evening(), "sun behind the skyline"));
    assert!(says(&polar_night(), "sun down"));
    assert!(says(&polar_night(), "the sun stays down all day"));
    assert!(!says(&afternoon(), "sun down"));
}

#[test]
fn a_clock_change_in_the_window_is_told() {
    // summer time ends on 2027-10-31 at 01:00 UTC (IANA time zone database,
    // Europe/London)
    let mut story = afternoon();
    story.start += TimeDelta::days(197) - TimeDelta::hours(14);
    let all = elements(&drawn(&story).svg);
    let told = |e: &&Element| e.content.contains("(UTC+01:00, later UTC+00:00)");
    assert!(all.iter().find(told).is_some(), "{}", story.start);
}

#[test]
fn odd_plans_are_drawn_or_refused_without_panic() {
    let story = afternoon();
    let (venue, whole) = (venue(&story), plan(&story));
    let mut empty = whole.clone();
    empty.instants.clear();
    assert_eq!(timeline(&venue, &empty), Err(RenderError::NoInstants));
    let mut lone = whole.clone();
    lone.instants.truncate(1);
    assert!(timeline(&venue, &lone).is_ok());
    let mut broken = whole.clone();
    for (i, instant) in broken.instants.iter_mut().enumerate() {
        instant.turf.field.shaded = f64::NAN;
        instant.cameras.truncate(i % 6);
        if let Some(view) = instant.cameras.first_mut() {
            view.turf.state = SplitState::InShot(Stops::from_stops(f64::INFINITY));
            view.subject.state = SplitState::Latent(
                Stops::from_stops(-3.0),
                quarterstop::camera::OneSide::AllSunlit,
            );
        }
    }
    assert!(timeline(&venue, &broken).is_ok());
}
