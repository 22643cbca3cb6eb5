//! Several fields at one place: each is the venue that one would write by hand for it, its
//! shadows are those of a geometry library, and mistakes are reported by line, together.

use std::path::Path;

use serde_json::Value;

use crate::support;
use quarterstop::base::frame::{FieldFrame, FieldPoint, direction};
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::engine::{self, Prepared};
use quarterstop::geometry::{Caster, OverlayScratch, TURF_HEIGHT_M};
use quarterstop::jobs::fit;
use quarterstop::jobs::match_plan::report::json;
use quarterstop::light::Sky;
use quarterstop::venue::{
    Draft, Site, Venue, VenueOrSite, parse, parse_all, parse_in, read_all, read_field,
};

const DEMO: &str = "venues/tennis-site-demo.toml";
const FIELDS: &str = include_str!("data/site_fields.toml");

fn site(text: &str) -> Site {
    match parse_all(text, "site.toml", None).unwrap() {
        VenueOrSite::Site(site) => site,
        VenueOrSite::One(_) => panic!("one field"),
    }
}

fn message(text: &str) -> String {
    parse_all(text, "site.toml", None).unwrap_err().to_string()
}

/// Source: shapely 2.2.0 (GEOS), hulls, unions and intersections of its own, over corners that
/// the script beside the tests puts together from the same file by its own trigonometry.
///
/// Tolerance: the grid moves a corner by at most its cell, under 0.1 micrometre on a court.
#[test]
fn shadows_on_both_fields_agree_with_shapely() {
    const TOLERANCE_M2: f64 = 1e-4;
    let site = site(FIELDS);
    let values: Value = serde_json::from_str(include_str!("data/site_shapely.json")).unwrap();
    let cases = values["cases"].as_array().unwrap();
    let mut from_elsewhere = 0;
    for (index, field) in site.fields.iter().enumerate() {
        // which the reference leaves out as well
        let mut venue = without_tree(field.venue.clone());
        let caster = Caster::new(&venue, support::date(), TURF_HEIGHT_M);
        venue.occluders.retain(|o| ["Left stand", "Store", "Board"].contains(&o.name.as_str()));
        let own = Caster::new(&venue, support::date(), TURF_HEIGHT_M);
        for case in cases {
            let number = |i: usize| case["sun"][i].as_f64().unwrap();
            let (azimuth, elevation) = (number(0), number(1));
            let toward =
                direction(Azimuth::from_degrees(azimuth), Elevation::from_degrees(elevation));
            let area = |caster: &Caster| {
                caster.cast(toward, &mut OverlayScratch::default()).opaque_area_m2
            };
            let (ours, theirs) = (area(&caster), case["shade_m2"][index].as_f64().unwrap());
            assert!((ours - theirs).abs() < TOLERANCE_M2, "{} {case}: {ours}", field.name);
            from_elsewhere += usize::from(ours > area(&own) + 1.0);
        }
    }
    // what the field's own tables do not draw adds a square metre and more to many of them
    assert!(from_elsewhere > 20, "{from_elsewhere}");
}

/// A point of one frame in another, by its own trigonometry: bearings in degrees, origins in
/// metres east and north.
fn seen_from(
    p: [f64; 2],
    (from, at): (f64, [f64; 2]),
    (bearing, origin): (f64, [f64; 2]),
) -> [f64; 2] {
    let east_north = |p: [f64; 2], bearing: f64| {
        let (sin, cos) = bearing.to_radians().sin_cos();
        [p[0] * sin - p[1] * cos, p[0] * cos + p[1] * sin]
    };
    let [x, y] = east_north(p, from);
    let (x, y) = (x + at[0] - origin[0], y + at[1] - origin[1]);
    let (sin, cos) = bearing.to_radians().sin_cos();
    [x * sin + y * cos, y * sin - x * cos]
}

const SITE: (f64, [f64; 2]) = (20.0, [0.0, 0.0]);

/// Bearing and centre, east and north, of a field at a place in the axes of the site.
fn lies(bearing: f64, at: [f64; 2]) -> (f64, [f64; 2]) {
    // axes of bearing 0 are north and west
    let [north, west] = seen_from(at, SITE, (0.0, [0.0, 0.0]));
    (bearing, [-west, north])
}

fn flat(points: &[[f64; 2]], from: (f64, [f64; 2]), to: (f64, [f64; 2])) -> String {
    let points = points.iter().map(|p| {
        let [along, across] = seen_from(*p, from, to);
        format!("[{along:.9}, {across:.9}]")
    });
    points.collect::<Vec<_>>().join(", ")
}

fn space(points: &[[f64; 3]], from: (f64, [f64; 2]), to: (f64, [f64; 2])) -> String {
    let points = points.iter().map(|p| {
        let [along, across] = seen_from([p[0], p[1]], from, to);
        format!("[{along:.9}, {across:.9}, {}]", p[2])
    });
    points.collect::<Vec<_>>().join(", ")
}

/// A court as somebody would write it who knows of no sites: what the site shares turned into
/// the axes of that court.
fn by_hand(name: &str, own: (f64, [f64; 2]), things: &str, camera: &str) -> Venue {
    let tower = flat(&[[-6.0, -26.0], [2.0, -27.0], [3.0, -20.0], [-5.0, -19.0]], SITE, own);
    let canopy = [[14.0, -30.0, 8.0], [26.0, -30.0, 8.0], [26.0, -22.0, 9.5], [14.0, -22.0, 9.5]];
    let canopy = space(&canopy, SITE, own);
    let lime = flat(&[[22.0, -14.0]], SITE, own);
    let tower_camera = space(&[[-2.0, -23.0, 16.0]], SITE, own);
    let text = format!(
        r#"
title = "Two fields, {name}"
[place]
latitude_deg = 52.0
longitude_deg = -0.5
height_m = 50.0
zone = "Europe/London"
[fixture]
date = "2027-06-12"
start = "15:00"
[field]
sport = "tennis"
bearing_deg = {bearing}
{things}
[[solid]]
name = "Tower"
footprint = [{tower}]
top_m = 14.0
[[panel]]
name = "Canopy"
corners = [{canopy}]
[[tree]]
name = "Lime"
at = {lime}
trunk_height_m = 2.0
crown_height_m = 9.0
crown_radius_m = 3.5
in_leaf_transmittance = 0.1
[[camera]]
{camera}
looks_at = ["net centre"]
horizontal_fov_deg = 36.0
[[camera]]
name = "9 tower"
at = {tower_camera}
looks_at = ["net centre"]
horizontal_fov_deg = 60.0
"#,
        bearing = own.0,
    );
    parse(&text, "by-hand.toml").unwrap()
}

fn north_by_hand() -> Venue {
    let (north, south) = (lies(341.5, [3.5, 2.0]), lies(74.0, [-9.0, -48.0]));
    let store = [[-20.0, 12.0], [-8.0, 12.0], [-8.0, 17.0], [-20.0, 17.0]];
    let board = [[20.0, -6.0, 2.8], [20.0, 6.0, 2.8], [20.5, 6.0, 7.0], [20.5, -6.0, 7.0]];
    let things = format!(
        r#"
[[stand]]
name = "Left stand"
side = "left"
setback_m = 6.5
length_m = 34.0
shift_m = 2.0
depth_m = 9.0
front_height_m = 1.2
back_height_m = 6.0
[stand.roof]
front_height_m = 11.5
back_height_m = 10.0
overhang_m = 2.5
gap_m = 1.0
[[solid]]
name = "Store (South court)"
footprint = [{}]
top_m = 5.5
[[panel]]
name = "Board (South court)"
corners = [{}]
"#,
        flat(&store, south, north),
        space(&board, south, north),
    );
    by_hand("North court", north, &things, "name = \"1 main\"\nat = [-28.0, 0.0, 8.0]")
}

/// The stand of the other court has no side of this one: it is drawn layer by layer.
fn south_by_hand() -> Venue {
    let (north, south) = (lies(341.5, [3.5, 2.0]), lies(74.0, [-9.0, -48.0]));
    let things = format!(
        r#"
[[solid]]
name = "Store"
footprint = [[-20.0, 12.0], [-8.0, 12.0], [-8.0, 17.0], [-20.0, 17.0]]
top_m = 5.5
[[panel]]
name = "Board"
corners = [[20.0, -6.0, 2.8], [20.0, 6.0, 2.8], [20.5, 6.0, 7.0], [20.5, -6.0, 7.0]]
[[grandstand]]
name = "Left stand (North court)"
line = [{}]
[[grandstand.layer]]
part = "front"
profile = [[0.0, 0.0], [0.0, 1.2]]
[[grandstand.layer]]
part = "deck"
profile = [[0.0, 1.2], [9.0, 6.0]]
[[grandstand.layer]]
part = "wall"
profile = [[9.0, 0.0], [9.0, 9.0]]
[[grandstand.layer]]
part = "roof"
profile = [[-2.5, 11.5], [9.0, 10.0]]
[[grandstand.end]]
profile = [[0.0, 0.0], [0.0, 1.2], [9.0, 6.0], [9.0, 0.0]]
"#,
        // from the side line, 10.97 / 2, and the setback
        flat(&[[19.0, 11.985], [-15.0, 11.985]], north, south),
    );
    by_hand("South court", south, &things, "name = \"2 main\"\nat = [-26.0, 0.0, 5.0]")
}

fn without_tree(mut venue: Venue) -> Venue {
    venue.occluders.retain(|occluder| occluder.name != "Lime");
    venue
}

fn plan(venue: &Venue, hours: (u32, u32)) -> Value {
    use chrono::TimeZone;
    let zone = venue.place.zone;
    let at = |hour| zone.with_ymd_and_hms(2027, 6, 12, hour, 0, 0).unwrap();
    let date = venue.fixture.unwrap().date;
    let prepared = Prepared::new(venue, date);
    let settings = engine::Settings {
        from: at(hours.0),
        until: at(hours.1),
        step: chrono::TimeDelta::minutes(20),
        sky: Sky::Clear,
        air: quarterstop::light::Air::default(),
        hold: quarterstop::base::units::Stops::from_stops(2.0),
        milestones: Vec::new(),
    };
    let plan = prepared.run(&settings, |_, _| {}).unwrap();
    serde_json::from_slice(&json::write(venue, &plan, &[], &[]).unwrap()).unwrap()
}

/// Numbers of two documents side by side, by path; of outlines, whose corners may be one more
/// where two lie together, the areas alone.
fn numbers<'a>(a: &'a Value, b: &'a Value, path: &str, into: &mut Vec<(String, f64, f64)>) {
    match (a, b) {
        (Value::Object(a), Value::Object(b)) => {
            assert!(a.keys().eq(b.keys()), "{path}");
            let drawn = |key: &str| key.contains("east_north") || key.starts_with("edge");
            for (key, value) in a.iter().filter(|(key, _)| !drawn(key)) {
                numbers(value, &b[key], &format!("{path}/{key}"), into);
            }
        }
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len(), "{path}");
            for (i, (a, b)) in a.iter().zip(b).enumerate() {
                numbers(a, b, &format!("{path}/{i}"), into);
            }
        }
        (Value::Number(a), Value::Number(b)) => {
            into.push((path.to_owned(), a.as_f64().unwrap(), b.as_f64().unwrap()));
        }
        (a, b) => assert_eq!(a, b, "{path}"),
    }
}

/// The check is the file that somebody writes who turns every number by hand: shadows, shares,
/// splits and light of every instant, to rounding. Corners are written with nine decimals, which
/// is a nanometre; the largest difference found was a millionth. Without the tree, whose crown
/// is a prism of twelve sides along the axes that it is drawn in.
#[test]
fn a_field_of_a_site_is_the_venue_written_by_hand() {
    const ROUNDING: f64 = 5e-6;
    let (site, by_hand) = (site(FIELDS), without_tree(north_by_hand()));
    let north = &without_tree(site.fields[0].venue.clone());
    assert_eq!(north.title, by_hand.title);
    assert_eq!(north.occluders.len(), by_hand.occluders.len());
    for (ours, theirs) in north.cameras.iter().zip(&by_hand.cameras) {
        assert_eq!(ours.name, theirs.name);
        assert!(ours.at.distance(theirs.at) < 1e-8, "{ours:?} {theirs:?}");
    }
    let mut pairs = Vec::new();
    numbers(&plan(north, (8, 20)), &plan(&by_hand, (8, 20)), "", &mut pairs);
    assert!(pairs.len() > 4000, "{}", pairs.len());
    for (path, a, b) in pairs {
        let allowed = ROUNDING * a.abs().max(b.abs()).max(1.0);
        assert!((a - b).abs() <= allowed, "{path}: {a} {b}");
    }
}

/// The other field, whose neighbour's stand is drawn by hand of other pieces: its shadows are
/// the same, while light from its faces is sampled at other places.
#[test]
fn a_stand_of_another_field_throws_the_shadow_of_one_drawn_by_hand() {
    let (site, by_hand) = (site(FIELDS), without_tree(south_by_hand()));
    let south = without_tree(site.fields[1].venue.clone());
    let shade = |venue: &Venue, azimuth: f64, elevation: f64| {
        let caster = Caster::new(venue, support::date(), TURF_HEIGHT_M);
        let toward = direction(Azimuth::from_degrees(azimuth), Elevation::from_degrees(elevation));
        caster.cast(toward, &mut OverlayScratch::default()).opaque_area_m2
    };
    let mut shaded = 0;
    for azimuth in (0..360).step_by(10) {
        for elevation in [5.0, 12.0, 30.0] {
            let ours = shade(&south, azimuth.into(), elevation);
            let theirs = shade(&by_hand, azimuth.into(), elevation);
            assert!((ours - theirs).abs() < 1e-3, "{azimuth} {elevation}: {ours} {theirs}");
            shaded += usize::from(ours > 1.0);
        }
    }
    assert!(shaded > 30, "{shaded}");
}

#[test]
fn every_field_has_all_that_stands_and_its_own_cameras() {
    let VenueOrSite::Site(site) = read_all(Path::new(DEMO)).unwrap() else { panic!("one field") };
    let names: Vec<&str> = site.fields.iter().map(|f| f.name.as_str()).collect();
    assert_eq!(names, ["Court 1", "Court 2", "Court 3"]);
    let of = |i: usize| {
        let mut names: Vec<String> =
            site.fields[i].venue.occluders.iter().map(|o| o.name.clone()).collect();
        names.sort();
        names
    };
    assert!(of(0).contains(&"Low stand (Court 2)".to_owned()), "{:?}", of(0));
    assert!(of(2).contains(&"West stand (Court 1)".to_owned()));
    assert!((0..3).all(|i| of(i).len() == of(0).len()));
    // one lens, seen from three courts
    let roof = |i: usize| {
        let venue = &site.fields[i].venue;
        let camera = venue.cameras.iter().find(|c| c.name == "7 roof").unwrap();
        (camera.at + site.fields[i].at, camera.horizontal_fov_deg)
    };
    for i in 1..3 {
        assert!(roof(0).0.distance(roof(i).0) < 1e-9);
    }
    assert_eq!([roof(0).1, roof(1).1, roof(2).1], [20.0, 12.0, 20.0]);
    let shared = site.shared_cameras();
    assert_eq!(shared, [("6 tower", vec![0, 1]), ("7 roof", vec![0, 1, 2])]);
    // along runs to the bearing: ten metres along from a court are ten metres along from all
    let frame = FieldFrame::new(Azimuth::from_degrees(350.0));
    let away = site.fields[1].at - site.fields[0].at;
    let expected = frame.to_local(FieldPoint::on_ground(-2.0, -40.0));
    assert!(away.distance(expected) < 1e-9);
}

/// Minutes counted by hand from the demo's tables.
#[test]
fn the_order_of_play_gives_each_field_its_moments() {
    let VenueOrSite::Site(site) = read_all(Path::new(DEMO)).unwrap() else { panic!("one field") };
    let order = site.order.as_ref().unwrap();
    let plays: Vec<String> = order
        .plays
        .iter()
        .map(|p| format!("{} {} {}", p.name, p.from.format("%H:%M"), p.until.format("%H:%M")))
        .collect();
    assert_eq!(
        plays,
        [
            "Match 1 11:00 12:40",
            "Match 2 11:00 13:00",
            "Match 3 12:30 14:20",
            "Match 5 13:20 15:20",
            "Match 4 14:00 16:10",
            "Match 6 17:30 19:30",
        ]
    );
    let moments = &site.fields[1].venue.moments;
    let moments: Vec<(&str, u32)> = moments.iter().map(|m| (&*m.name, m.after_min)).collect();
    let expected = [("Match 2", 0), ("Match 2 ends", 120), ("Match 5", 140), ("Match 5 ends", 260)];
    assert_eq!(moments, expected);
    assert_eq!(site.fields[2].venue.fixture.unwrap().start.format("%H:%M").to_string(), "12:30");
    let on_air = order.on_air.iter().map(|s| (s.field, s.from.format("%H:%M").to_string()));
    let (fields, times): (Vec<usize>, Vec<String>) = on_air.unzip();
    assert_eq!(fields, [0, 2, 0, 1, 0, 0]);
    assert_eq!(times, ["10:50", "12:45", "13:55", "14:50", "15:20", "17:25"]);
}

#[test]
fn mistakes_are_reported_together_with_line_key_and_what_is_allowed() {
    let demo = std::fs::read_to_string(DEMO).unwrap();
    let wrong = demo
        .replace("name = \"Court 3\"", "name = \"Court 2\"")
        .replace("serves = [\"Court 1\", \"Court 2\"]", "serves = [\"Court 1\", \"Court 9\"]");
    let told = message(&wrong);
    for part in [
        "field[2].name: found \"Court 2\" a second time",
        "a name that differs from field[1].name",
        "camera[0].serves: found \"Court 9\"",
        "a field of this site: \"Court 1\", \"Court 2\"",
        "did you mean \"Court",
        "site.toml:",
    ] {
        assert!(told.contains(part), "{part} in\n{told}");
    }

    let told = message(&demo.replace("at = [-2.0, -40.0]", "at = [-2.0, -8.0]"));
    for part in ["field[1].at: found", "of it on \"Court 1\"", "do not overlap"] {
        assert!(told.contains(part), "{part} in\n{told}");
    }

    // what belongs to a field is said with the field
    let told = message(
        &demo
            .replace("depth_m = 4.0", "depth_m = -4.0")
            .replace("sport = \"tennis\"\nbearing_deg = 262.0", "bearing_deg = 262.0"),
    );
    for part in ["Court 2, field[1].stand[0].depth_m", "Court 3, field[2].sport: found nothing"] {
        assert!(told.contains(part), "{part} in\n{told}");
    }
    let told = message(&demo.replace(
        "looks_at = [\"net centre\"]\nhorizontal_fov_deg = 20.0",
        "looks_at = [\"nett\"]\nhorizontal_fov_deg = 20.0",
    ));
    assert!(told.contains("7 roof, camera[1].looks_at: found \"nett\""), "{told}");
    assert_eq!(told.matches("found \"nett\"").count(), 1, "{told}");

    // a thing of the site on a court, and one of another court
    let told = message(&demo.replace("at = [10.0, -25.5]", "at = [10.0, -38.5]"));
    assert!(
        told.contains("Poplar north, tree[0]") && told.contains("of it on \"Court 2\""),
        "{told}"
    );
    let told = message(&demo.replace(
        "[[19.5, -7.0, 4.0], [19.5, 7.0, 4.0], [25.0, 7.0, 5.0], [25.0, -7.0, 5.0]]",
        "[[10.0, -60.0, 0.5], [26.0, -60.0, 0.5], [26.0, -48.0, 1.0], [10.0, -48.0, 1.0]]",
    ));
    for part in ["field[2].panel[0]: found", "of it on \"Court 1\""] {
        assert!(told.contains(part), "{part} in\n{told}");
    }
}

#[test]
fn an_order_of_play_that_cannot_be_is_refused() {
    let demo = std::fs::read_to_string(DEMO).unwrap();
    let says = |wrong: String, parts: &[&str]| {
        let told = message(&wrong);
        for part in parts {
            assert!(told.contains(part), "{part} in\n{told}");
        }
    };
    says(
        demo.replace("field = \"Court 3\"\nstarts", "field = \"Court 4\"\nstarts")
            .replace("not_before = \"14:00\"", "starts = \"12:00\""),
        &[
            "Match 3, play[2].field: found \"Court 4\"",
            "Match 4, play[3].starts: found 12:00, while \"Match 1\" is on that field",
            "later than 12:40",
        ],
    );
    // without [[on_air]] nothing says which of two matches the programme shows
    let (alone, _) = demo.split_once("[[on_air]]").unwrap();
    says(
        alone.to_owned(),
        &[
            "Match 2, play[1].field: found a match while \"Match 1\" is on \"Court 1\"",
            "[[on_air]]",
        ],
    );
    says(
        demo.replace("from = \"12:45\"", "from = \"10:45\""),
        &["on_air[1].from: found 10:45, not after the one before", "later than 10:50"],
    );
    says(
        demo.replace(
            "field = \"Court 3\"\nfrom = \"12:45\"",
            "field = \"Court 7\"\nfrom = \"12:45\"",
        ),
        &["on_air[1].field: found \"Court 7\""],
    );
    says(demo.replace("starts = \"12:30\"", ""), &["Match 3, play[2].starts: found nothing"]);
    says(
        demo.replace("starts = \"12:30\"", "starts = \"25:30\""),
        &["play[2].starts: found \"25:30\"", "a time of day"],
    );
    // clocks of the zone: 2027-03-28 skips 02:00 to 03:00, 2027-10-31 has it twice
    let day = |date: &str| demo.replace("2027-06-12", date).replace("\"12:30\"", "\"02:30\"");
    says(day("2027-03-28"), &["play[2].starts: found \"02:30\", which does not exist on that day"]);
    says(day("2027-10-31"), &["play[2].starts: found \"02:30\", which comes twice on that day"]);
    says(demo.replace("lasts_min = 100", "lasts_min = 0"), &["a whole number from 1 to 1440"]);
}

#[test]
fn the_field_is_chosen_by_name() {
    let path = Path::new(DEMO);
    let venue = read_field(path, Some("Court 2")).unwrap();
    assert_eq!(venue.title, "Solstice Tennis Park, Court 2");
    let told = read_field(path, None).unwrap_err().to_string();
    assert!(told.contains("has several fields") && told.contains("\"Court 1\", \"Court 2\""));
    let told = read_field(path, Some("Court 22")).unwrap_err().to_string();
    assert!(told.contains("no field \"Court 22\"") && told.contains("did you mean"), "{told}");
    let told = read_field(Path::new("venues/tennis-demo.toml"), Some("Court 1")).unwrap_err();
    assert!(told.to_string().contains("the file of one field"), "{told}");
    // one field needs no name
    let (shared, rest) = FIELDS.split_once("[[field]]").unwrap();
    let (first, _) = rest.split_once("[[field]]").unwrap();
    let one = format!("{shared}[[field]]{first}");
    assert_eq!(parse_in(&one, "one.toml", None).unwrap().title, "Two fields, North court");
}

/// A hole of golf is a field like any other: three of them, one behind the other.
#[test]
fn three_holes_are_three_fields() {
    let hole = |name: &str, at: [f64; 2], bearing: f64, up: f64| {
        format!(
            r#"
[[field]]
name = "{name}"
at = {at:?}
up_m = {up}
sport = "golf"
bearing_deg = {bearing}
corners = [[-150.0, -30.0], [150.0, -30.0], [150.0, 30.0], [-150.0, 30.0]]
[[field.zone]]
name = "tee"
corners = [[-148.0, -5.0], [-138.0, -5.0], [-138.0, 5.0], [-148.0, 5.0]]
[[field.zone]]
name = "green"
corners = [[120.0, -12.0], [145.0, -12.0], [145.0, 12.0], [120.0, 12.0]]
[field.hole]
tees = ["tee"]
green = "green"
"#
        )
    };
    let (shared, _) = FIELDS.split_once("[[solid]]").unwrap();
    let tree = r#"
[[tree]]
name = "Beech"
at = [0.0, 45.0]
trunk_height_m = 3.0
crown_height_m = 15.0
crown_radius_m = 6.0
in_leaf_transmittance = 0.1
[[camera]]
name = "tower"
at = [60.0, 40.0, 12.0]
serves = ["1", "2"]
looks_at = ["green"]
horizontal_fov_deg = 20.0
"#;
    let holes = hole("1", [0.0, 0.0], 20.0, 0.0)
        + &hole("2", [10.0, 90.0], 205.0, 4.0)
        + &hole("3", [30.0, 190.0], 30.0, -3.0);
    let site = site(&format!("{shared}{tree}{holes}"));
    let low = |i: usize| {
        let venue = &site.fields[i].venue;
        let tree = venue.occluders.iter().find(|o| o.name == "Beech").unwrap();
        let heights = tree.bodies.iter().flat_map(|b| b.shape.points()).map(|p| p.z);
        heights.fold(f64::INFINITY, f64::min)
    };
    // the same tree stands 4 m lower over the plane of the second hole
    assert!((low(0) - low(1) - 4.0).abs() < 1e-9 && (low(2) - low(0) - 3.0).abs() < 1e-9);
    assert_eq!(site.shared_cameras(), [("tower", vec![0, 1])]);
    assert!(site.fields.iter().all(|field| field.venue.hole.is_some()));
}

const FOOTBALL: &str = include_str!("../venues/football-demo.toml");

/// The football demo as the first field of a site, with another field far away, and a hut of the
/// site where its shadow never comes near.
fn football_site() -> String {
    let mut text = String::new();
    let own = ["stand", "corner", "solid", "tree", "zone", "gantry", "camera", "candidate"];
    let (mut site, mut field) = (String::new(), String::new());
    let (mut into_field, mut left_out) = (false, false);
    for line in FOOTBALL.lines() {
        let head = line.split(']').next().unwrap_or_default();
        let table = head.trim_start_matches('[').split('.').next().unwrap_or_default();
        if head.starts_with('[') {
            // those of the other field would have no camera
            left_out = table == "operator";
        }
        if left_out {
            continue;
        }
        let line = match head.starts_with('[') {
            true if table == "field" => {
                into_field = true;
                "[[field]]\nname = \"Main\"\nat = [0.0, 0.0]".to_owned()
            }
            true if own.contains(&table) => {
                into_field = true;
                line.replacen(table, &format!("field.{table}"), 1)
            }
            true => {
                into_field = false;
                line.to_owned()
            }
            false => line.to_owned(),
        };
        let part = if into_field { &mut field } else { &mut site };
        part.push_str(&line);
        part.push('\n');
    }
    text += &site;
    text += "[[solid]]\nname = \"Hut\"\nfootprint = [[900.0, 0.0], [904.0, 0.0], [904.0, 4.0]]\n\
             top_m = 3.0\n";
    text += &field;
    text += "[[field]]\nname = \"Training\"\nat = [1200.0, 300.0]\nsport = \"football\"\n\
             bearing_deg = 40.0\n[[field.stand]]\nname = \"Low\"\nside = \"left\"\nsetback_m = 5.0\n\
             length_m = 30.0\ndepth_m = 4.0\nfront_height_m = 1.0\nback_height_m = 3.0\n";
    text
}

/// Against the file of the field alone: the same numbers under the same addresses, the same fit,
/// and what is found stands under the field and reads again.
#[test]
fn a_field_is_changed_and_fitted_as_a_file_of_its_own() {
    let alone = Draft::parse(FOOTBALL, "alone.toml").unwrap();
    let text = football_site();
    let open = |field: &str| Draft::parse_field_in(&text, "site.toml", None, Some(field));
    let mut draft = open("Main").unwrap();
    assert_eq!(draft.part().map(|part| (part.index, part.all.len())), Some((0, 2)));
    let numbers = |draft: &Draft| -> Vec<(String, f64)> {
        draft.dimensions().into_iter().map(|d| (d.address.to_string(), d.value)).collect()
    };
    assert!(numbers(&draft).len() > 100);
    assert_eq!(numbers(&draft), numbers(&alone));
    for one in draft.dimensions() {
        let Some(line) = one.line else { continue };
        let key = one.key.split('.').next_back().unwrap().split('[').next().unwrap().to_owned();
        let said = text.lines().nth(line - 1).unwrap();
        assert!(said.contains(&key) || said.trim_start().starts_with('['), "{} {said}", one.key);
    }
    let seen = include_str!("../venues/football-demo-seen.toml");
    let fits = [&alone, &draft].map(|draft| {
        let seen = fit::seen::parse(seen, "seen.toml", draft).unwrap();
        (fit::fit(draft, &seen).unwrap(), seen)
    });
    for (a, b) in fits[0].0.unknowns.iter().zip(&fits[1].0.unknowns) {
        assert!((a.value - b.value).abs() < 1e-6, "{a:?} {b:?}");
    }
    let (found, seen) = &fits[1];
    assert_eq!(fit::write_into(&mut draft, seen, found), Ok(3));
    let written = draft.text();
    assert_eq!(written.matches("[[field.surveyed]]").count(), 3, "{written}");
    let again = Draft::parse_field_in(&written, "site.toml", None, Some("Main")).unwrap();
    assert_eq!(again.venue().unwrap().surveyed.len(), 3);
    assert_eq!(numbers(&again), numbers(&draft));
    // the other field is as it was
    let other = |text: &str| {
        let draft = Draft::parse_field_in(text, "site.toml", None, Some("Training")).unwrap();
        (numbers(&draft), draft.venue().unwrap().surveyed.len())
    };
    assert_eq!(other(&written), other(&text));
    let wrong = written.replacen("what = \"field.", "what = \"fild.", 1);
    let error = parse_all(&wrong, "site.toml", None).unwrap_err().to_string();
    assert!(error.contains("field[0].surveyed[") && error.contains("fild."), "{error}");
    let error = open("Nowhere").unwrap_err().to_string();
    assert!(error.contains("\"Main\", \"Training\""), "{error}");
}

/// Variants have what else stands on the site: their shadows are those of the text.
#[test]
fn variants_of_a_field_keep_what_stands_beside_it() {
    let text = std::fs::read_to_string(DEMO).unwrap();
    for field in ["Court 1", "Court 2", "Court 3"] {
        let mut draft =
            Draft::parse_field_in(&text, DEMO, Some(Path::new("venues")), Some(field)).unwrap();
        let bearing = "field.bearing_deg".parse().unwrap();
        let turned = draft.value(&bearing).unwrap() - 3.0;
        let made =
            draft.variants(std::slice::from_ref(&bearing)).unwrap().venue(&[turned]).unwrap();
        draft.set(&bearing, turned).unwrap();
        let read = draft.venue().unwrap();
        let names = |venue: &Venue| -> Vec<String> {
            venue.occluders.iter().map(|o| o.name.clone()).collect()
        };
        assert_eq!(names(&made), names(&read));
        for (azimuth, elevation) in [(95.0, 14.0), (180.0, 62.0), (262.0, 11.0)] {
            let sun = direction(Azimuth::from_degrees(azimuth), Elevation::from_degrees(elevation));
            let area = |venue: &Venue| {
                Caster::new(venue, support::date(), TURF_HEIGHT_M)
                    .cast(sun, &mut OverlayScratch::default())
                    .opaque_area_m2
            };
            assert!((area(&made) - area(&read)).abs() < 1e-6, "{field} {azimuth}");
        }
    }
}
