//! The ground around the field of play: playing area, surrounds, zones on them.

use geo::{Area, BooleanOps, Contains, Point};

use quarterstop::base::frame::FieldPoint;
use quarterstop::venue::{PlayingSurface, Venue, parse};

fn file(field: &str, more: &str) -> String {
    format!(
        "title = \"x\"\n[place]\nlatitude_deg = 50.0\nlongitude_deg = 0.0\nheight_m = 0.0\n\
         zone = \"Etc/UTC\"\n[field]\nbearing_deg = 30.0\n{field}\n{more}"
    )
}

fn built(field: &str, more: &str) -> Venue {
    parse(&file(field, more), "ground.toml").unwrap_or_else(|e| panic!("{e}"))
}

fn told(field: &str, more: &str) -> String {
    parse(&file(field, more), "ground.toml").map_or_else(|e| e.to_string(), |_| String::new())
}

fn planned(venue: &Venue, along: f64, across: f64) -> bool {
    let at = venue.field.frame.to_local(FieldPoint::on_ground(along, across));
    venue.field.surrounds.contains(&Point::new(at.x, at.y))
}

/// The overlay that cuts and joins outlines puts corners on a grid of less than a
/// micrometre, along some hundred metres.
const AREA_M2: f64 = 1e-4;

fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < AREA_M2, "{found}, wanted {wanted}");
}

const RUGBY: &str = "sport = \"rugby_union\"";

/// World Rugby Law 1: an in-goal of 6 to 22 m; the usual one, stated ones, and what the
/// law does not allow. A perimeter of 5 m is planned with it.
#[test]
fn the_depth_of_the_in_goal_is_the_files() {
    let usual = built(RUGBY, "");
    near(usual.field.outline.unsigned_area(), 100.0 * 70.0);
    near(usual.field.playing_area.unsigned_area(), 120.0 * 70.0);
    near(usual.field.surrounds.unsigned_area(), 130.0 * 80.0);
    for depth in [6.0, 15.5, 22.0] {
        let venue = built(&format!("{RUGBY}\nin_goal_m = {depth:.1}"), "");
        near(venue.field.playing_area.unsigned_area(), (100.0 + 2.0 * depth) * 70.0);
    }
    for depth in ["5.9", "22.5"] {
        let report = told(&format!("{RUGBY}\nin_goal_m = {depth}"), "");
        assert!(report.contains("6 to 22 m") && report.contains("Law 1"), "{report}");
    }
    let other = told("sport = \"football\"\nin_goal_m = 10.0", "");
    assert!(other.contains("field.in_goal_m") && other.contains("rugby_union"), "{other}");
}

#[test]
fn run_offs_are_the_files_as_well() {
    let tennis = "sport = \"tennis\"\nrun_off_ends_m = 5.48\nrun_off_sides_m = 3.05";
    let venue = built(tennis, "");
    near(venue.field.playing_area.unsigned_area(), (23.77 + 10.96) * (10.97 + 6.10));
    let other = told("sport = \"cricket\"\nrun_off_ends_m = 5.0", "");
    assert!(other.contains("tennis and hockey"), "{other}");
}

/// IFAB Law 1.9: a technical area ends 1 m from the touchline; the side is the file's.
#[test]
fn technical_areas_lie_where_the_file_says() {
    assert!(built("sport = \"football\"", "").zones.iter().all(|z| !z.name.contains("technical")));
    let venue = built("sport = \"football\"\ntechnical_areas = \"right\"", "");
    let areas: Vec<_> = venue.zones.iter().filter(|z| z.name.contains("technical")).collect();
    assert_eq!(areas.len(), 2);
    for zone in areas {
        for corner in &zone.outline.exterior().0 {
            let at = venue.field.frame.to_field(glam::DVec3::new(corner.x, corner.y, 0.0));
            assert!(at.across_m < -34.0 - 1.0 + 1e-9, "{at:?}");
        }
        assert!(venue.field.surrounds.contains(&zone.outline), "{}", zone.name);
    }
}

/// What stands beside the field is no ground: its foot is cut out, the field is not.
#[test]
fn what_stands_on_the_ground_is_cut_out() {
    let stand = "[[stand]]\nname = \"West\"\nside = \"left\"\nsetback_m = 3.0\n\
        length_m = 200.0\ndepth_m = 20.0\nfront_height_m = 1.0\nback_height_m = 11.0\n";
    let venue = built(RUGBY, stand);
    near(venue.field.surrounds.unsigned_area(), 130.0 * 78.0);
    near(venue.field.playing_area.unsigned_area(), 120.0 * 70.0);
    // a building over half of the depth of an in-goal
    let house = "[[solid]]\nname = \"Clubhouse\"\n\
        footprint = [[55.0, -10.0], [75.0, -10.0], [75.0, 10.0], [55.0, 10.0]]\ntop_m = 9.0\n";
    let venue = built(RUGBY, house);
    near(venue.field.playing_area.unsigned_area(), 120.0 * 70.0 - 5.0 * 20.0);
    near(venue.field.surrounds.unsigned_area(), 130.0 * 80.0 - 10.0 * 20.0);
    // a mast takes no ground, and a building on stilts lets people pass
    let mast = "[[solid]]\nname = \"Mast\"\n\
        footprint = [[62.0, 0.0], [63.0, 0.0], [63.0, 1.0], [62.0, 1.0]]\ntop_m = 30.0\n";
    near(built(RUGBY, mast).field.surrounds.unsigned_area(), 130.0 * 80.0);
    let stilts = format!("{house}bottom_m = 3.0\n");
    near(built(RUGBY, &stilts).field.surrounds.unsigned_area(), 130.0 * 80.0);
}

#[test]
fn zones_lie_anywhere_on_the_ground_and_carry_it_with_them() {
    let zone = |corners: &str| format!("[[zone]]\nname = \"warm-up\"\ncorners = {corners}\n");
    let near_by = zone("[[10.0, 36.0], [20.0, 36.0], [20.0, 39.0], [10.0, 39.0]]");
    near(built(RUGBY, &near_by).field.surrounds.unsigned_area(), 130.0 * 80.0);
    // ten metres farther out, and the way there
    let far = zone("[[10.0, 45.0], [20.0, 45.0], [20.0, 50.0], [10.0, 50.0]]");
    let venue = built(RUGBY, &far);
    near(venue.field.surrounds.unsigned_area(), 130.0 * 80.0 + 10.0 * 10.0);
    assert!(planned(&venue, 15.0, 42.0) && planned(&venue, 15.0, 49.0));
    assert!(!planned(&venue, 25.0, 42.0));
    // with a stated depth the ground ends there
    let report = told(&format!("{RUGBY}\nsurrounds_m = 5.0"), &far);
    assert!(report.contains("50.0 m2 outside the ground that is planned"), "{report}");
    let wide = built(&format!("{RUGBY}\nsurrounds_m = 20.0"), &far);
    near(wide.field.surrounds.unsigned_area(), 160.0 * 110.0);
}

#[test]
fn surrounds_may_be_any_outline_around_the_field() {
    let corners = "surrounds = [[-70.0, -60.0], [70.0, -40.0], [70.0, 40.0], [-70.0, 40.0]]";
    let venue = built(&format!("{RUGBY}\n{corners}"), "");
    near(venue.field.surrounds.unsigned_area(), 140.0 * 80.0 + 140.0 * 20.0 / 2.0);
    let both = told(&format!("{RUGBY}\n{corners}\nsurrounds_m = 3.0"), "");
    assert!(both.contains("surrounds beside surrounds_m"), "{both}");
    let tight = corners.replace("40.0", "30.0");
    let report = told(&format!("{RUGBY}\n{tight}"), "");
    assert!(report.contains("field.surrounds") && report.contains("of the field of play"));
}

/// An outline that is no box grows by its depth everywhere: for a convex one the area
/// gains the circumference times the depth and, with square corners, the mitres.
#[test]
fn other_outlines_grow_by_their_depth() {
    let triangle = "sport = \"free\"\ncorners = [[-30.0, -20.0], [30.0, -20.0], [0.0, 40.0]]\n\
        surrounds_m = 2.0";
    let venue = built(triangle, "");
    let (field, whole) = (&venue.field.outline, &venue.field.surrounds);
    // a triangle grown by d is the same triangle with an inscribed circle d greater
    let sides = [60.0, 30.0_f64.hypot(60.0), 30.0_f64.hypot(60.0)];
    let area = 60.0 * 60.0 / 2.0;
    let inradius = 2.0 * area / sides.iter().sum::<f64>();
    let scale = (inradius + 2.0) / inradius;
    assert!(
        (whole.unsigned_area() - area * scale * scale).abs() < 1e-3,
        "{}",
        whole.unsigned_area()
    );
    assert!(field.difference(whole).unsigned_area() < 1e-9);
}

#[test]
fn ground_outside_the_playing_area_has_a_surface_of_its_own() {
    let same = built("sport = \"football\"\nsurface_reflectance = 0.1", "").field;
    assert_eq!(same.surrounds_surface, PlayingSurface::Grass);
    assert_eq!(same.surrounds_reflectance, 0.1);
    let concrete = built("sport = \"football\"\nsurrounds_surface = \"concrete\"", "").field;
    assert_eq!(concrete.surrounds_surface, PlayingSurface::Concrete);
    assert_eq!(concrete.surrounds_reflectance, 0.40);
    let stated = built("sport = \"football\"\nsurrounds_reflectance = 0.3", "").field;
    assert_eq!(stated.surrounds_reflectance, 0.3);
    assert_eq!(stated.surface_reflectance, 0.06);
}
