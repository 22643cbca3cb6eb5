//! The picture of the field: structure, words and pixels. The grounds are
//! invented; their shadows are cast by the geometry stage.

use std::sync::LazyLock;

use geo::Coord;
use render_support_field as grounds;

use crate::{render_support_field, support};
use quarterstop::base::frame::FieldPoint;
use quarterstop::engine::MatchPlan;
use quarterstop::jobs::match_plan::picture::field;
use quarterstop::light::Sky;
use quarterstop::output::draw::Picture;
use quarterstop::output::error::RenderError;
use quarterstop::venue::Venue;

const WIDTH: usize = 2000;
/// A sheet and the cautions under it.
const HEIGHT: usize = 1414 + 82;

/// Every kind of ground, sun and list.
type Case = (&'static str, Venue, MatchPlan);

/// Grounds of all kinds, planned once for all tests.
fn cases() -> &'static [Case] {
    static CASES: LazyLock<Vec<Case>> = LazyLock::new(planned);
    &CASES
}

fn planned() -> Vec<Case> {
    let football = grounds::football_ground;
    let long = grounds::with_names(football(), |i| {
        format!("Camera {i} <&\"> on the temporary scaffold of the river side, bay {i}")
    });
    let mut none = football();
    none.cameras.clear();
    let suns = [
        ("football", football(), 255.0, 28.0),
        ("morning", football(), 100.0, 22.0),
        ("night", football(), 310.0, -4.0),
        ("low sun", football(), 285.0, 1.5),
        ("long", long, 255.0, 20.0),
        ("many", grounds::many_cameras(28), 240.0, 25.0),
        ("forty", grounds::many_cameras(40), 240.0, 25.0),
        ("bowl", support::bowl(120, 0.4), 200.0, 40.0),
        ("no cameras", none, 180.0, 50.0),
        ("tennis", grounds::tennis_court(), 240.0, 35.0),
        ("cricket", grounds::cricket_oval(), 345.0, 20.0),
        ("ring", grounds::roof_ring(), 20.0, 60.0),
    ];
    let mut cases: Vec<_> = suns
        .into_iter()
        .map(|(name, venue, azimuth, elevation)| {
            let plan = grounds::plan(&venue, azimuth, elevation);
            (name, venue, plan)
        })
        .collect();
    let venue = football();
    let overcast = grounds::plan_under(&venue, 255.0, 28.0, Sky::Overcast);
    cases.push(("overcast", venue, overcast));
    cases
}

/// A text of the SVG and the box that its letters fill, pixels.
struct Label {
    text: String,
    size: f64,
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

fn labels(svg: &str) -> Vec<Label> {
    let label = |element: &str| {
        let attribute = |name: &str| {
            let from = element.split_once(&format!(" {name}=\"")).unwrap().1;
            from.split_once('"').unwrap().0.to_owned()
        };
        let number = |name: &str| attribute(name).parse::<f64>().unwrap();
        let text = element.split_once('>').unwrap().1.trim().to_owned();
        let text =
            [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&apos;", "'"), ("&amp;", "&")]
                .iter()
                .fold(text, |t, (from, to)| t.replace(from, to));
        let size = number("font-size");
        let width = number("textLength");
        let x = number("x");
        let left = match attribute("text-anchor").as_str() {
            "start" => x,
            "middle" => x - 0.5 * width,
            _ => x - width,
        };
        // all texts stand on their baseline: capitals reach 0.73 em up (DejaVu Sans)
        let bottom = number("y");
        Label { text, size, left, right: left + width, top: bottom - 0.73 * size, bottom }
    };
    svg.split("<text").skip(1).map(|rest| label(rest.split_once("</text>").unwrap().0)).collect()
}

#[test]
fn labels_stay_on_the_page_and_off_each_other() {
    for (name, venue, plan) in cases() {
        let labels = labels(&field(venue, plan, 0).unwrap().svg);
        assert!(labels.len() > 12, "{name}");
        for a in &labels {
            assert!(
                a.left >= 20.0
                    && a.top >= 10.0
                    && a.right <= WIDTH as f64 - 20.0
                    && a.bottom <= HEIGHT as f64 - 10.0,
                "{name}: {}",
                a.text
            );
            assert!(a.size >= 23.0, "{name}: {} of {} px", a.text, a.size);
        }
        for (i, a) in labels.iter().enumerate() {
            for b in &labels[i + 1..] {
                let apart = a.right <= b.left
                    || b.right <= a.left
                    || a.bottom <= b.top
                    || b.bottom <= a.top;
                assert!(apart, "{name}: {:?} meets {:?}", a.text, b.text);
            }
        }
    }
}

fn words(name: &str) -> Vec<String> {
    let (_, venue, plan) = cases().iter().find(|c| c.0 == name).unwrap();
    let svg = field(venue, plan, 0).unwrap().svg;
    labels(&svg).into_iter().map(|l| l.text).collect()
}

#[test]
fn the_picture_says_where_when_and_how_much() {
    let (_, _, plan) = &cases()[0];
    let share = plan.instants[0].turf.field;
    let words = words("football");
    let says = |part: &str| assert!(words.iter().any(|w| w.contains(part)), "{part}: {words:?}");
    says("Invented Lane Ground");
    says("16:35 BST");
    says("Saturday 17 April 2027");
    says("UTC+01:00");
    says("second half + 35 min");
    says("azimuth 255.0°");
    says("elevation 28.0°");
    says("Clear sky");
    says("(0 m)");
    says("(1.7 m)");
    says(&format!("{:.0} % of the field in shade", 100.0 * share.shaded));
    says(&format!("{:.0} % opaque", 100.0 * share.opaque));
    says(&format!("{:.0} % of the direct light arrives", 100.0 * share.mean_transmission));
    says("Dimmed, 15 % passes");
    says("20 m");
    says("High behind, terrace end");
    says("stops in shot");
    says("stops latent");
}

#[test]
fn no_direct_sun_is_said_and_shows_no_edge() {
    let night = words("night");
    assert!(night.contains(&"Sun down".to_owned()), "{night:?}");
    assert!(night.contains(&"elevation −4.0°".to_owned()), "{night:?}");
    assert!(!night.iter().any(|w| w.contains("Full sun") || w.contains("Edge of")), "{night:?}");
    let overcast = words("overcast");
    assert!(overcast.iter().any(|w| w.contains("no direct sun")), "{overcast:?}");
}

#[test]
fn every_camera_is_named_and_numbered_once_on_the_plan_and_once_in_the_list() {
    let words = words("many");
    for number in 1..=28 {
        let count = words.iter().filter(|w| **w == number.to_string()).count();
        // the legend shows a marker with a 1 as well
        assert!(count == 2 || (number == 1 && (3..=4).contains(&count)), "{number}: {count}");
        assert!(words.iter().any(|w| w.starts_with(&format!("Position {number} "))), "{number}");
    }
}

#[test]
fn a_list_too_long_for_the_page_says_how_many_it_leaves_out() {
    let words = words("forty");
    let listed = words.iter().filter(|w| w.starts_with("Position ")).count();
    let more = format!("and {} more, not listed here", 40 - listed);
    assert!(listed >= 25 && words.contains(&more), "{listed} {words:?}");
}

#[test]
fn names_are_escaped_and_long_ones_end_in_an_ellipsis() {
    let (_, venue, plan) = cases().iter().find(|c| c.0 == "long").unwrap();
    let mut venue = venue.clone();
    venue.title = "Tom & Tim's <\"ground\"> with a name that goes on and on, well past what \
                   any heading on any page could ever hold"
        .into();
    let svg = field(&venue, plan, 0).unwrap().svg;
    assert!(svg.contains("&lt;&amp;"));
    assert!(!svg.contains("<&"));
    let words: Vec<String> = labels(&svg).into_iter().map(|l| l.text).collect();
    let cut = |start: &str| words.iter().any(|w| w.starts_with(start) && w.ends_with('…'));
    assert!(cut("Camera 0 <&\"> on the"), "{words:?}");
    assert!(cut("Tom & Tim's <\"ground\">"), "{words:?}");
    // every tag is closed and no angle bracket or ampersand stands free
    let mut open: Vec<&str> = Vec::new();
    for tag in svg.split('<').skip(1) {
        let (inside, after) = tag.split_once('>').expect("a tag ends");
        assert!(!after.contains('>'));
        if let Some(name) = inside.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name));
        } else if !inside.ends_with('/') {
            open.push(inside.split_whitespace().next().unwrap());
        }
    }
    assert!(open.is_empty());
    let entities = ["amp;", "lt;", "gt;", "quot;", "apos;"];
    for rest in svg.split('&').skip(1) {
        assert!(entities.iter().any(|e| rest.starts_with(e)), "{}", &rest[..12]);
    }
}

#[test]
fn the_same_plan_gives_the_same_picture() {
    for (name, venue, plan) in cases().iter().take(2) {
        let (a, b) = (field(venue, plan, 0).unwrap(), field(venue, plan, 0).unwrap());
        assert!(a == b, "{name}");
    }
}

#[test]
fn an_instant_beyond_the_plan_is_an_error() {
    let venue = support::football();
    let plan = grounds::plan(&venue, 180.0, 40.0);
    let error = field(&venue, &plan, 1).unwrap_err();
    assert!(matches!(error, RenderError::NoSuchInstant { index: 1, count: 1 }), "{error}");
}

/// Pixels per metre of a picture.
fn scale(venue: &Venue) -> f64 {
    let svg = field(venue, &grounds::plan(venue, 255.0, 28.0), 0).unwrap().svg;
    let page = to_page(&svg, venue);
    let [a, b] = [page(Coord { x: 0.0, y: 0.0 }), page(Coord { x: 10.0, y: 0.0 })];
    (a[0] - b[0]).hypot(a[1] - b[1]) / 10.0
}

/// Whatever throws a shadow on the ground is in the drawing; with the sun in the west-south-
/// west nothing that stands to the east is asked for.
#[test]
fn what_throws_a_shadow_is_in_the_drawing() {
    let venue = grounds::football_ground();
    let plan = grounds::plan(&venue, 255.0, 28.0);
    let page = to_page(&field(&venue, &plan, 0).unwrap().svg, &venue);
    let sun = plan.instants[0].sun.toward();
    let obstacles = venue.occluders.iter().flat_map(|o| &o.bodies);
    let (mut inside, outline) = (0, &venue.field.surrounds);
    for p in obstacles.flat_map(|body| body.shape.points()) {
        let reach = p.z.max(0.0) / sun.z;
        let shade = geo::Point::new(p.x - reach * sun.x, p.y - reach * sun.y);
        if geo::Contains::contains(outline, &shade) {
            let [x, y] = page(Coord { x: p.x, y: p.y });
            assert!((40.0..1370.0).contains(&x) && (200.0..1136.0).contains(&y), "{p}: {x}, {y}");
            inside += 1;
        }
    }
    assert!(inside > 3, "{inside} corners throw onto the ground");
}

/// A horseshoe of which the side to the sun throws on the ground is shown with its other side,
/// which does not: nothing of it lies over the border.
#[test]
fn a_bowl_that_throws_a_shadow_is_shown_whole() {
    let text = "\
title = \"Bowl\"
[place]
latitude_deg = -43.95
longitude_deg = -176.55
height_m = 22.0
zone = \"Pacific/Chatham\"
[field]
sport = \"rugby_union\"
bearing_deg = 74.0
[[bowl]]
name = \"Shell\"
inner_along_m = 78.0
inner_across_m = 52.0
roundness = 3.2
depth_m = 26.0
front_height_m = 1.5
back_height_m = 16.0
segments = 72
from_deg = 40.0
to_deg = 320.0
";
    let venue = quarterstop::venue::parse(text, "bowl.toml").unwrap();
    let svg = field(&venue, &grounds::plan(&venue, 303.8, 23.1), 0).unwrap().svg;
    let page = to_page(&svg, &venue);
    let points = venue.occluders.iter().flat_map(|o| &o.bodies).flat_map(|b| b.shape.points());
    let mut count = 0;
    for p in points {
        let [x, y] = page(Coord { x: p.x, y: p.y });
        assert!((40.0..1370.0).contains(&x) && (200.0..1136.0).contains(&y), "{p}: {x}, {y}");
        count += 1;
    }
    assert!(count > 200, "{count}");
}

/// A tower so far off that its shadow comes in from far away is named at the border: the
/// field keeps two fifths of the scale that it has alone. Cameras change nothing.
#[test]
fn far_towers_and_far_cameras_do_not_make_the_field_small() {
    let mut bare = grounds::football_ground();
    bare.occluders.clear();
    bare.cameras.clear();
    let alone = scale(&bare);
    let many = grounds::many_cameras(28);
    assert!(scale(&many) > 0.4 * alone, "{} of {alone}", scale(&many));
    let mut fewer = many.clone();
    fewer.cameras.clear();
    assert_eq!(scale(&many), scale(&fewer));
    let corners = |x: f64| [[x, -20.0, 0.0], [x, 20.0, 0.0], [x, 20.0, 900.0], [x, -20.0, 900.0]];
    let sheet = corners(-1500.0).map(glam::DVec3::from_array).to_vec();
    let shape = quarterstop::venue::Shape::Sheet { corners: sheet };
    let tower = support::body(quarterstop::venue::Part::Panel, shape, 0.0);
    bare.occluders.push(support::occluder("Far tower", vec![tower]));
    assert_eq!(scale(&bare), alone);
    let svg = field(&bare, &grounds::plan(&bare, 270.0, 28.0), 0).unwrap().svg;
    assert!(svg.contains("Far tower"));
}

/// A decoded PNG, three bytes to a pixel.
struct Pixels(Vec<u8>);

impl Pixels {
    fn of(picture: &Picture) -> Self {
        let bytes = std::io::Cursor::new(picture.png().unwrap());
        let mut reader = png::Decoder::new(bytes).read_info().unwrap();
        let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut bytes).unwrap();
        assert_eq!((info.width as usize, info.height as usize), (WIDTH, HEIGHT));
        assert_eq!(info.color_type, png::ColorType::Rgb);
        Self(bytes)
    }

    fn at(&self, x: f64, y: f64) -> [u8; 3] {
        let i = 3 * (y.round() as usize * WIDTH + x.round() as usize);
        [self.0[i], self.0[i + 1], self.0[i + 2]]
    }
}

/// Where a point of the field of play is on the page, from the field's own
/// polygon in the SVG: the bearing points right, the left side up.
fn to_page(svg: &str, venue: &Venue) -> impl Fn(Coord<f64>) -> [f64; 2] + use<> {
    let polygon = svg.split('\n').find(|l| l.contains("polygon") && l.contains("#B2D280"));
    let points = polygon.unwrap().split_once("points=\"").unwrap().1;
    let points: Vec<[f64; 2]> = points
        .split_once('"')
        .unwrap()
        .0
        .split_whitespace()
        .map(|p| p.split_once(',').unwrap())
        .map(|(x, y)| [x.parse().unwrap(), y.parse().unwrap()])
        .collect();
    let span = |axis: usize| {
        let values = points.iter().map(|p| p[axis]);
        (values.clone().fold(f64::MAX, f64::min), values.fold(f64::MIN, f64::max))
    };
    let ((left, right), (top, bottom)) = (span(0), span(1));
    let frame = venue.field.frame;
    let along = |c: &Coord<f64>| frame.to_field(glam::DVec3::new(c.x, c.y, 0.0)).along_m;
    let length = venue.field.outline.exterior().0.iter().map(along).fold(0.0, f64::max) * 2.0;
    let scale = (right - left) / length;
    move |c| {
        let p: FieldPoint = frame.to_field(glam::DVec3::new(c.x, c.y, 0.0));
        [0.5 * (left + right) + scale * p.along_m, 0.5 * (top + bottom) - scale * p.across_m]
    }
}

/// Each place of a lattice over the field has the colour of the light that
/// arrives there, holes in the shade and what stands in them included. Places
/// near any line are drawn over and left out.
#[test]
fn pixels_are_lit_where_the_light_arrives() {
    for (name, venue, plan) in cases() {
        if matches!(*name, "many" | "forty") {
            continue; // markers hide too much
        }
        let picture = field(venue, plan, 0).unwrap();
        let pixels = Pixels::of(&picture);
        let page = to_page(&picture.svg, venue);
        let shadow = &plan.instants[0].turf.shadow;
        let (mut lit, mut shaded, mut dimmed, mut other) = (0, 0, 0, 0);
        let half = if *name == "tennis" { (11.0, 5.0, 0.2) } else { (51.0, 33.0, 1.0) };
        let steps = |limit: f64| (-limit / half.2) as i32..=(limit / half.2) as i32;
        for (i, j) in steps(half.0).flat_map(|i| steps(half.1).map(move |j| (i, j))) {
            let p = FieldPoint::on_ground(
                (f64::from(i) + 0.31) * half.2,
                (f64::from(j) + 0.27) * half.2,
            );
            let at = venue.field.frame.to_local(p);
            let at = Coord { x: at.x, y: at.y };
            let passes = |dx: f64, dy: f64| {
                shadow.transmission_at(Coord { x: at.x + dx, y: at.y + dy }).share()
            };
            // half a pixel and the width of a joint stay clear of every edge
            let near = 0.4 * half.2;
            let here = passes(0.0, 0.0);
            if [(near, 0.0), (-near, 0.0), (0.0, near), (0.0, -near)]
                .iter()
                .any(|&(dx, dy)| passes(dx, dy) != here)
            {
                continue;
            }
            let [x, y] = page(at);
            match (pixels.at(x, y), here) {
                ([178, 210, 128], 1.0) => lit += 1,
                ([62, 78, 96], 0.0) => shaded += 1,
                ([178, 210, 128] | [62, 78, 96], t) if t == 1.0 || t == 0.0 => {
                    panic!("{name}: {t} arrives at {p:?}, drawn as the other side")
                }
                ([178, 210, 128], t) => panic!("{name}: {t} arrives at {p:?}, drawn as full sun"),
                ([r, g, b], t) if t > 0.0 && t < 1.0 && g > r && g > b => dimmed += 1,
                _ => other += 1,
            }
        }
        let all = f64::from(lit + shaded + dimmed + other);
        assert!(f64::from(other) < 0.12 * all, "{name}: {other} of {all} under other marks");
        if *name == "ring" {
            assert!(lit > 1000 && shaded > 1000 && dimmed > 20, "{lit} {shaded} {dimmed}");
        }
    }
}

#[test]
fn shade_is_far_darker_than_sun_on_a_grey_print() {
    // relative luminance, IEC 61966-2-1 (sRGB)
    let luminance = |rgb: [u8; 3]| {
        let linear = rgb.map(|v| {
            let v = f64::from(v) / 255.0;
            if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    };
    let (_, venue, plan) = cases().iter().find(|c| c.0 == "ring").unwrap();
    let picture = field(venue, plan, 0).unwrap();
    let pixels = Pixels::of(&picture);
    let page = to_page(&picture.svg, venue);
    let colour = |along: f64, across: f64| {
        let p = venue.field.frame.to_local(FieldPoint::on_ground(along, across));
        let [x, y] = page(Coord { x: p.x, y: p.y });
        luminance(pixels.at(x, y))
    };
    let (sun, shade) = (colour(-27.0, 12.0), colour(20.0, 28.0));
    // WCAG 2.2, success criterion 1.4.11: 3 to 1 for parts of a graphic
    assert!((sun + 0.05) / (shade + 0.05) > 3.0, "{sun} {shade}");
}

#[test]
#[ignore = "writes pictures for the eye: FIELD_PICTURES=folder"]
fn write_pictures() {
    let folder = std::path::PathBuf::from(std::env::var("FIELD_PICTURES").unwrap());
    for (name, venue, plan) in cases() {
        let start = std::time::Instant::now();
        let picture = field(venue, plan, 0).unwrap();
        println!("{name}: {:?}", start.elapsed());
        std::fs::write(folder.join(format!("{name}.svg")), &picture.svg).unwrap();
        std::fs::write(folder.join(format!("{name}.png")), picture.png().unwrap()).unwrap();
    }
}
