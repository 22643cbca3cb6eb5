//! The picture through a camera, on both demo venues: words, places, strips,
//! errors.

use glam::DVec3;
use render_support::marks;
use render_support::marks::{elements, number, overlapping, texts};
use render_support_eye::*;

use crate::{render_support, render_support_eye};
use quarterstop::jobs::brief::picture::{EyeView, eye_strip, eye_view};
use quarterstop::output::draw::Picture;
use quarterstop::output::error::RenderError;

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
    let (w, h, _) = marks::png_pixels(&picture.png().unwrap());
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
