//! The timeline of light and the light map, checked from outside through their SVG
//! and PNG.

use chrono::{DateTime, TimeZone};
use chrono_tz::Tz;
use render_support::marks::{attribute, elements, number, overlapping, png_pixels, texts};
use render_support::*;
use render_support_field as grounds;

use crate::{render_support, render_support_field, support};
use quarterstop::base::units::Lux;
use quarterstop::engine::Prepared;
use quarterstop::jobs::match_plan::LightMap;
use quarterstop::jobs::match_plan::picture::field::light_map;
use quarterstop::jobs::match_plan::picture::timeline::light_timeline;
use quarterstop::light::{Air, FloodlightState, Sky};
use quarterstop::output::draw::Picture;
use quarterstop::output::error::RenderError;
use quarterstop::venue::{FloodlightUse, Floodlights, Venue};

/// Text inside the picture and apart, and a picture for those who want to look:
/// `LIGHT_PICTURES` names a folder.
fn hold_to_account(name: &str, picture: &Picture, least_texts: usize) {
    if let Ok(folder) = std::env::var("LIGHT_PICTURES") {
        let path = std::path::Path::new(&folder);
        std::fs::write(path.join(format!("{name}.png")), picture.png().unwrap()).unwrap();
        std::fs::write(path.join(format!("{name}.svg")), &picture.svg).unwrap();
    }
    let all = elements(&picture.svg);
    let (width, height) = (number(&all[0], "width"), number(&all[0], "height"));
    let texts = texts(&all);
    assert!(texts.len() >= least_texts, "{name}: {} texts", texts.len());
    for text in &texts {
        let inside = 0.0 < text.left && text.right < width && 0.0 < text.top;
        assert!(inside && text.bottom < height, "{name}: {text:?}");
    }
    if let Some((a, b)) = overlapping(&texts) {
        panic!("{name}: {a:?} lies over {b:?}");
    }
    let (png_width, png_height, _) = png_pixels(&picture.png().unwrap());
    assert_eq!((f64::from(png_width), f64::from(png_height)), (width, height));
}

#[test]
fn the_timeline_of_light_reads_in_every_story() {
    let overcast = Story { sky: Sky::Overcast, ..evening() };
    let none = Story { cameras: Vec::new(), ..afternoon() };
    for (name, story) in [
        ("light-afternoon", afternoon()),
        ("light-evening", evening()),
        ("light-night", polar_night()),
        ("light-many", many_cameras()),
        ("light-long", long_day()),
        ("light-none", none),
        ("light-overcast", overcast),
    ] {
        let picture = light_timeline(&venue(&story), &plan(&story)).unwrap();
        hold_to_account(name, &picture, 25);
    }
    let mut empty = plan(&afternoon());
    empty.instants.clear();
    let refused = light_timeline(&venue(&afternoon()), &empty);
    assert_eq!(refused, Err(RenderError::NoInstants));
}

#[test]
fn the_timeline_of_light_shows_sun_shade_lamps_and_cameras() {
    let story = evening();
    let plan = plan(&story);
    let picture = light_timeline(&venue(&story), &plan).unwrap();
    let all = elements(&picture.svg);
    let says = |what: &str| all.iter().any(|e| e.tag == "text" && e.content.contains(what));
    for what in ["lx", "K", "stops", "Swing", "Gain trims", "1 = Main gantry", "floodlights lit"] {
        assert!(says(what), "{what}");
    }
    let lines = |colour: &str| {
        all.iter()
            .filter(|e| e.tag == "polyline")
            .filter(|e| render_support::marks::attribute(e, "stroke") == Some(colour))
            .count()
    };
    // yellow sun, blue shade and swing, vermillion trims and subjects (Okabe and
    // Ito 2008)
    assert!(lines("#F0E442") >= 2 && lines("#0072B2") >= 4 && lines("#D55E00") >= 6);
    assert!(plan.instants.iter().any(|i| i.floodlight == FloodlightState::Lit));
    let described = all.iter().find(|e| e.tag == "desc").unwrap();
    assert!(described.content.contains("in full sun") && described.content.contains("in shade"));
}

fn at(hour: u32, minute: u32) -> DateTime<Tz> {
    Tz::Europe__London.with_ymd_and_hms(2027, 4, 17, hour, minute, 0).unwrap()
}

fn map(venue: &Venue, when: DateTime<Tz>, sky: Sky) -> LightMap {
    let prepared = Prepared::new(venue, support::date());
    let reference = prepared.reference(None).unwrap();
    prepared.light_map(when, sky, &Air::default(), reference, None)
}

#[test]
fn light_maps_read_on_every_ground() {
    let mut lit = grounds::football_ground();
    lit.floodlights = Some(Floodlights {
        horizontal: Lux::from_lux(1800.0),
        vertical: Lux::from_lux(1200.0),
        colour_temperature_k: 5600.0,
        when: FloodlightUse::Always,
    });
    for (name, venue, when, sky) in [
        ("map-football", grounds::football_ground(), at(17, 0), Sky::Clear),
        ("map-evening", grounds::football_ground(), at(19, 20), Sky::Clear),
        ("map-night", grounds::football_ground(), at(23, 30), Sky::Clear),
        ("map-lamps", lit, at(23, 30), Sky::Clear),
        ("map-overcast", grounds::football_ground(), at(15, 0), Sky::Overcast),
        ("map-tennis", grounds::tennis_court(), at(17, 30), Sky::Clear),
        ("map-oval", grounds::cricket_oval(), at(18, 0), Sky::Broken),
    ] {
        let map = map(&venue, when, sky);
        let picture = light_map(&venue, &map).unwrap();
        hold_to_account(name, &picture, 30);
        let says = |what: &str| {
            let all = elements(&picture.svg);
            all.iter().any(|e| e.tag == "text" && e.content.contains(what))
        };
        assert!(says("stops count from here"), "{name}");
        assert_eq!(says("no edge on the field"), map.profile.is_none(), "{name}");
    }
}

/// Through the gap between two roofs the sun is a strip: beyond it the light falls again,
/// so that the sunlit end of the profile is darker than its middle.
#[test]
fn the_profile_of_a_strip_of_sun_stays_below_its_heading() {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo.toml");
    let venue = quarterstop::venue::read(demo.as_ref()).unwrap();
    let when = Tz::Europe__London.with_ymd_and_hms(2027, 10, 16, 16, 45, 0).unwrap();
    let prepared = Prepared::new(&venue, when.date_naive());
    let reference = prepared.reference(None).unwrap();
    let map = prepared.light_map(when, Sky::Clear, &Air::default(), reference, None);
    let points = &map.profile.as_ref().unwrap().points;
    assert!(points.iter().any(|p| p.stops.stops() > 0.1), "no strip: {points:?}");

    let all = elements(&light_map(&venue, &map).unwrap().svg);
    let heading = all.iter().find(|e| e.content.contains("soft over")).unwrap();
    let lines = all.iter().filter(|e| e.tag == "polyline");
    let lines = lines.map(|e| attribute(e, "points").unwrap().split_whitespace());
    let mut profiles = lines.filter(|line| line.clone().count() == points.len());
    let profile = profiles.next().expect("one line with the points of the profile");
    let highest = profile.map(|p| p.split_once(',').unwrap().1.parse::<f64>().unwrap());
    let highest = highest.fold(f64::INFINITY, f64::min);
    assert!(highest > number(heading, "y") + 20.0, "{highest} under {}", number(heading, "y"));
}

/// Left and right, top and bottom of a football field of 105 by 68 m in a picture, pixels:
/// of the closed white lines the largest of these proportions. That of the playing area
/// around it is as much wider as higher, and so has others.
fn field_on(svg: &str) -> ((f64, f64), (f64, f64)) {
    let lines = svg.lines().filter(|l| l.contains("polyline") && l.contains("#FFFFFF"));
    let boxes = lines.map(|line| {
        let points = line.split_once("points=\"").unwrap().1.split_once('"').unwrap().0;
        let of = |p: &str, i: usize| p.split(',').nth(i).unwrap().parse::<f64>().unwrap();
        let range = |i: usize| {
            let all = points.split_whitespace().map(|p| of(p, i));
            (all.clone().fold(f64::MAX, f64::min), all.fold(f64::MIN, f64::max))
        };
        (range(0), range(1))
    });
    let size = |of: (f64, f64)| of.1 - of.0;
    let alike = boxes.filter(|(x, y)| (size(*x) / size(*y) / (105.0 / 68.0) - 1.0).abs() < 0.005);
    alike.max_by(|a, b| size(a.0).total_cmp(&size(b.0))).expect("the outline of the field")
}

/// The pixels of full sun and of shade carry the colours of their bands: lightness
/// rises with the light.
#[test]
fn brighter_turf_is_drawn_lighter() {
    const MANY: usize = 101;
    let venue = grounds::football_ground();
    let map = map(&venue, at(17, 30), Sky::Clear);
    let stops = |node: usize| map.stops(node).unwrap().stops();
    // well inside of the field; the middle of several, since numbers and lines lie over some
    let inside = |node: &usize| {
        let at = map.grid.node(*node);
        at.along_m.abs() < 50.0 && at.across_m.abs() < 32.0
    };
    let mut nodes: Vec<usize> = (0..map.grid.count()).filter(inside).collect();
    nodes.sort_by(|a, b| stops(*a).total_cmp(&stops(*b)));
    let (darkest, brightest) = (&nodes[..MANY], &nodes[nodes.len() - MANY..]);
    assert!(stops(brightest[0]) - stops(darkest[MANY - 1]) > 1.0);
    let picture = light_map(&venue, &map).unwrap();
    let (width, _, pixels) = png_pixels(&picture.png().unwrap());
    let ((left, right), (top, bottom)) = field_on(&picture.svg);
    let scale = (right - left) / 105.0;
    let lightness = |node: usize| {
        let at = map.grid.node(node);
        let x = 0.5 * (left + right) + scale * at.along_m;
        let y = 0.5 * (top + bottom) - scale * at.across_m;
        let i = 3 * (y.round() as usize * width as usize + x.round() as usize);
        pixels[i..i + 3].iter().map(|&c| u32::from(c)).sum::<u32>()
    };
    let middle = |nodes: &[usize]| {
        let mut all: Vec<u32> = nodes.iter().map(|node| lightness(*node)).collect();
        all.sort_unstable();
        all[MANY / 2]
    };
    assert!(middle(brightest) > middle(darkest) + 100);
}
