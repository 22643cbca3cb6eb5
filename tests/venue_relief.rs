//! Ground that is not flat in a venue file: what it means, and what is refused.

use geo::Coord;
use glam::DVec3;

use crate::support;
use quarterstop::base::frame::{FieldPoint, direction};
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::geometry::{Caster, OverlayScratch, TURF_HEIGHT_M};
use quarterstop::venue::{Part, Site, Venue, VenueOrSite, parse, parse_all, read};

const GROUND: &str = r#"title = "Ground"
[place]
latitude_deg = 52.0
longitude_deg = -0.5
height_m = 50.0
zone = "Europe/London"
[field]
sport = "football"
bearing_deg = 20.0
[fixture]
date = "2027-03-20"
start = "15:00"
"#;

fn with(more: &str) -> Venue {
    parse(&format!("{GROUND}{more}"), "ground.toml").unwrap()
}

fn refused(more: &str) -> String {
    parse(&format!("{GROUND}{more}"), "ground.toml").unwrap_err().to_string()
}

fn height(venue: &Venue, along_m: f64, across_m: f64) -> f64 {
    let at = venue.field.frame.to_local(FieldPoint::on_ground(along_m, across_m));
    venue.ground_m(at.x, at.y)
}

/// By hand: 0.3 m from the middle of 68 m to the touchlines, and 1 m in 100 m toward the end
/// ahead, whose bearing is that of the field.
#[test]
fn crown_and_fall_are_those_of_the_pitch() {
    let venue = with("[relief]\ncrown_mm = 300\nfall_percent = 1.0\nfalls_toward_deg = 20.0\n");
    for (along, across, up) in [
        (0.0, 0.0, 0.0),
        (0.0, 34.0, -0.3),
        (0.0, -17.0, -0.15),
        (50.0, 0.0, -0.5),
        (-50.0, -34.0, 0.2),
        // beyond the touchline it goes on level
        (0.0, 60.0, -0.3),
    ] {
        let found = height(&venue, along, across);
        assert!((found - up).abs() < 2e-3, "{along} {across}: {found}");
    }
}

/// A bank close to the middle of a touchline leaves the pitch as it is.
#[test]
fn a_bank_beside_the_pitch_does_not_bend_it() {
    let bank = "[relief]\ncrown_mm = 300\nbreaklines = [\n\
        [[-40.0, 36.0, -0.3], [40.0, 36.0, -0.3]], [[-40.0, 42.0, 4.0], [40.0, 42.0, 4.0]]]\n";
    let venue = with(bank);
    for (along, across, up) in [(0.0, 33.0, -0.3 * 33.0 / 34.0), (3.0, 0.0, 0.0), (0.0, 39.0, 1.85)]
    {
        let found = height(&venue, along, across);
        assert!((found - up).abs() < 1e-6, "{along} {across}: {found}");
    }
}

#[test]
fn things_stand_on_the_ground_at_their_place() {
    let bank = "[relief]\nfall_percent = 0\nfalls_toward_deg = 0\nbreaklines = [[[-80.0, 60.0, \
        5.0], [80.0, 60.0, 5.0]], [[-80.0, 70.0, 5.0], [80.0, 70.0, 5.0]]]\n";
    let things = "[[solid]]\nname = \"Mast\"\ncentre = [0.0, 65.0]\nradius_m = 0.3\ntop_m = 20.0\n\
        [[tree]]\nname = \"Oak\"\nat = [20.0, 65.0]\ntrunk_height_m = 2.0\ncrown_height_m = 8.0\n\
        crown_radius_m = 3.0\nin_leaf_transmittance = 0.1\n\
        [[camera]]\nname = \"1\"\nat = [10.0, 65.0, 3.0]\nhorizontal_fov_deg = 40.0\n";
    let venue = with(&format!("{bank}{things}"));
    let top = |name: &str| {
        let thing = venue.occluders.iter().find(|o| o.name == name).unwrap();
        let points = thing.bodies.iter().flat_map(|b| b.shape.points());
        points.map(|p| p.z).fold(f64::NEG_INFINITY, f64::max)
    };
    assert!((top("Mast") - 25.0).abs() < 1e-9);
    assert!((top("Oak") - 15.0).abs() < 1e-9);
    assert!((venue.cameras[0].at.z - 8.0).abs() < 1e-9);
}

/// A tree in the middle of a fairway, with its shade on the ground around it.
#[test]
fn a_tree_stands_on_a_fairway() {
    let venue = read("venues/golf-relief-demo.toml".as_ref()).unwrap();
    let pine = venue.occluders.iter().find(|o| o.name == "Lone Pine").unwrap();
    let trunk = pine.bodies.iter().find(|b| b.part == Part::Trunk).unwrap();
    let low = trunk.shape.points().iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
    let foot = height(&venue, 22.0, 3.0);
    assert!(low <= foot && low > foot - 0.1, "{low} {foot}");
    let sun = support::afternoon_suns()[2];
    let caster = Caster::new(&venue, support::date(), TURF_HEIGHT_M);
    let shadow = caster.cast(sun, &mut OverlayScratch::default());
    // the middle of the crown, 9.5 m up, along the sun
    let at = venue.field.frame.to_local(FieldPoint::on_ground(22.0, 3.0));
    let mut down = at.with_z(foot + 9.5);
    while down.z > venue.ground_m(down.x, down.y) {
        down -= 0.01 * sun;
    }
    let passes = shadow.transmission_at(Coord { x: down.x, y: down.y }).share();
    assert!((passes - 0.1).abs() < 1e-9, "{passes} at {down}");
}

#[test]
fn bad_ground_is_refused_with_its_line_and_key() {
    let square = "[-90.0, -90.0, 0.0], [90.0, -90.0, 0.0], [90.0, 90.0, 0.0], [-90.0, 90.0, 0.0]";
    for (more, expected) in [
        // an overhang: two heights at one place
        (
            format!("[relief]\nheights = [{square}, [5.0, 5.0, 1.0], [5.0, 5.0, 4.0]]\n"),
            ["relief.heights[5]", "one height at each place", ":14:"].to_vec(),
        ),
        // a hole: a part of the field without heights
        (
            "[relief]\nheights = [[0.0, 0.0, 0.0], [90.0, -90.0, 0.0], [90.0, 90.0, 0.0]]\n".into(),
            vec!["relief.heights", "m2 of the field of play without any", "crown_mm"],
        ),
        ("[relief]\n".into(), vec!["relief", "without heights"]),
        ("[relief]\nfall_percent = 1.0\n".into(), vec!["relief.falls_toward_deg", "together"]),
        (
            "[relief]\ncrown_mm = 100\nheights = [[0.0, 10.0, 0.0]]\n".into(),
            vec!["relief.heights[0]", "on the playing area"],
        ),
        (
            format!(
                "[relief]\nheights = [{square}]\nbreaklines = [[[0.0, 50.0, 1.0], [10.0, 50.0, \
                 1.0]], [[5.0, 45.0, 1.0], [5.0, 55.0, 2.0]]]\n"
            ),
            vec!["relief.breaklines[1]", "crosses", "common points"],
        ),
        ("[relief]\ncrown_mm = -5\n".into(), vec!["relief.crown_mm", "0 to 1000 mm"]),
        (
            "[relief]\ncrown_mm = 5\nbreaklines = [[[0.0, 50.0, 1.0]]]\n".into(),
            vec!["relief.breaklines[0]", "1 points"],
        ),
        // under the ground
        (
            format!(
                "[relief]\nheights = [{square}, [0.0, 60.0, 30.0]]\n[[panel]]\nname = \"Board\"\n\
                 corners = [[-1.0, 60.0, 1.0], [1.0, 60.0, 1.0], [1.0, 60.0, 3.0], [-1.0, 60.0, \
                 3.0]]\ntransmittance = 0.0\n"
            ),
            vec!["panel[0].corners", "under the ground", "plane of the field"],
        ),
        (
            "[relief]\ncrown_mm = 900\n[[gantry]]\nname = \"G\"\nfrom = [0.0, 0.0, 0.0]\n\
             to = [0.0, 60.0, 0.0]\n[[camera]]\nname = \"1\"\ngantry = \"G\"\noffset_m = 10.0\n\
             horizontal_fov_deg = 30.0\n"
                .into(),
            vec![],
        ),
        // two at once, each with its line
        (
            format!(
                "[relief]\nheights = [{square}, [5.0, 5.0, 1.0],\n[5.0, 5.0, 4.0], [8.0, 5.0, \
                     1.0],\n[8.005, 5.0, 1.0]]\n"
            ),
            vec!["relief.heights[5]", ":15:", "relief.heights[7]", ":16:", "no overhang"],
        ),
        (format!("[relief]\nheights = [{square}, [nan, 5.0, 1.0]]\n"), vec!["nan", ":14:"]),
        ("[relief]\nheights = [[-90.0, 0.0, 0.0], [90.0, 0.0, 0.0]]\n".into(), vec!["3 different"]),
    ] {
        if expected.is_empty() {
            with(&more);
            continue;
        }
        let message = refused(&more);
        for part in expected {
            assert!(message.contains(part), "{part:?} in\n{message}");
        }
    }
}

fn site(text: &str) -> Site {
    match parse_all(text, "course.toml", None).unwrap() {
        VenueOrSite::Site(site) => site,
        VenueOrSite::One(_) => panic!("one field"),
    }
}

const COURSE: &str = r#"title = "Course"
[place]
latitude_deg = 52.0
longitude_deg = -0.5
height_m = 50.0
zone = "Europe/London"
[site]
bearing_deg = 30.0
[relief]
RELIEF
[[solid]]
name = "Hut"
centre = [50.0, 0.0]
radius_m = 2.0
top_m = 4.0
[[camera]]
name = "Shared"
at = [60.0, 10.0, 3.0]
horizontal_fov_deg = 40.0
[[field]]
name = "One"
at = [0.0, 0.0]
up_m = 2.0
sport = "free"
bearing_deg = 75.0
corners = [[-20.0, -20.0], [20.0, -20.0], [20.0, 20.0], [-20.0, 20.0]]
[[field]]
name = "Two"
at = [120.0, 40.0]
sport = "free"
bearing_deg = 200.0
corners = [[-20.0, -20.0], [20.0, -20.0], [20.0, 20.0], [-20.0, 20.0]]
[[field.tree]]
name = "Oak"
at = [30.0, 5.0]
trunk_height_m = 2.0
crown_height_m = 8.0
crown_radius_m = 3.0
in_leaf_transmittance = 0.1
"#;

/// A plane that rises by one in ten along the site lies under both fields, however they are
/// turned and whichever height their own planes have; what stands counts from it.
#[test]
fn a_site_states_the_ground_of_all_its_fields() {
    let square = "heights = [[-300.0, -300.0, -30.0], [400.0, -300.0, 40.0], [400.0, 300.0, 40.0], \
                  [-300.0, 300.0, -30.0]]";
    let site = site(&COURSE.replace("RELIEF", square));
    let along = |p: DVec3| {
        p.truncate()
            .dot(direction(Azimuth::from_degrees(30.0), Elevation::from_degrees(0.0)).truncate())
    };
    for (field, plane_m) in site.fields.iter().zip([2.0, 0.0]) {
        let venue = &field.venue;
        for (x, y) in [(0.0, 0.0), (33.0, -20.0), (-70.0, 41.0)] {
            let expected = 0.1 * along(field.at + DVec3::new(x, y, 0.0)) - plane_m;
            assert!((venue.ground_m(x, y) - expected).abs() < 1e-6, "{} {x} {y}", field.name);
        }
        let camera = venue.cameras.iter().find(|c| c.name == "Shared").unwrap().at;
        let over = camera.z - venue.ground_m(camera.x, camera.y);
        assert!((over - 3.0).abs() < 1e-6, "{} {over}", field.name);
        let hut = venue.occluders.iter().find(|o| o.name == "Hut").unwrap();
        let top = hut.bodies.iter().flat_map(|b| b.shape.points()).map(|p| p.z);
        let top = top.fold(f64::NEG_INFINITY, f64::max);
        // 50 m along the site, 4 m over the ground there
        assert!((top - (9.0 - plane_m)).abs() < 1e-6, "{} {top}", field.name);
        let oak = venue.occluders.iter().find(|o| o.name.starts_with("Oak")).unwrap();
        let crown = oak.bodies.iter().find(|b| b.part == Part::Crown).unwrap().shape.points();
        let middle = crown.iter().copied().sum::<DVec3>() / crown.len() as f64;
        let top = crown.iter().map(|p| p.z).fold(f64::NEG_INFINITY, f64::max);
        let over = top - venue.ground_m(middle.x, middle.y);
        assert!((over - 10.0).abs() < 1e-6, "{} {over}", field.name);
    }
}

#[test]
fn bad_ground_of_a_site_is_refused_once() {
    let refused = |relief: &str| {
        parse_all(&COURSE.replace("RELIEF", relief), "course.toml", None).unwrap_err().to_string()
    };
    let message = refused("crown_mm = 100\nheights = [[0.0, 0.0, 1.0], [0.0, 0.0, 2.0]]");
    for part in ["relief.crown_mm", ":10:", "relief.heights[1]", ":11:", "[field.relief]"] {
        assert!(message.contains(part), "{part:?} in\n{message}");
    }
    assert_eq!(message.matches("relief.heights[1]").count(), 1, "{message}");
}
