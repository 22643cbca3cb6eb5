//! What the builder refuses, in words: keys that are each allowed but cannot
//! stand together.

use chrono::NaiveTime;

use quarterstop::base::units::Lux;
use quarterstop::venue::{
    FloodlightUse, Leaves, NamedAir, Passes, PlayingSurface, Shape, StatedAir, Venue, parse,
};

/// A football pitch whose bearing is north, and nothing around it.
const BASE: &str = r#"title = "Ground"
[place]
latitude_deg = 50.0
longitude_deg = 0.0
height_m = 0.0
zone = "Etc/UTC"
[field]
sport = "football"
bearing_deg = 0.0
"#;

fn built(more: &str) -> Venue {
    parse(&format!("{BASE}{more}"), "ground.toml").unwrap_or_else(|e| panic!("{e}"))
}

fn told(more: &str) -> String {
    parse(&format!("{BASE}{more}"), "ground.toml").unwrap_err().to_string()
}

/// One mistake, told with all of these parts.
fn says(more: &str, parts: &[&str]) {
    let report = told(more);
    assert!(report.starts_with("1 mistake "), "{report}");
    assert!(report.contains("ground.toml:"), "{report}");
    for part in parts {
        assert!(report.contains(part), "{part:?} is missing in:\n{report}");
    }
}

const STAND: &str = "[[stand]]\nname = \"West\"\nside = \"left\"\nsetback_m = 6.0\n\
    length_m = 100.0\ndepth_m = 20.0\nfront_height_m = 1.0\nback_height_m = 11.0\n";
const ROOF: &str =
    "[stand.roof]\nfront_height_m = 15.0\nback_height_m = 14.0\noverhang_m = 2.0\ngap_m = 1.0\n";

fn stand(old: &str, new: &str) -> String {
    let text = format!("{STAND}{ROOF}");
    assert!(text.contains(old));
    text.replacen(old, new, 1)
}

#[test]
fn heights_of_a_stand_that_cross_are_refused() {
    built(&stand("", ""));
    says(
        &stand("back_height_m = 11.0", "back_height_m = 0.5"),
        &["stand[0].back_height_m", "0.5 m", "at least the front height, 1 m"],
    );
    says(
        &stand(
            "front_height_m = 15.0\nback_height_m = 14.0",
            "front_height_m = 15.0\nback_height_m = 12.0",
        )
        .replace("gap_m = 1.0", "gap_m = 1.5"),
        &["stand[0].roof.gap_m", "a gap of 1.5 m", "at most 1.00 m"],
    );
    // a roof that starts over the deck and sinks into its back rows
    says(
        &stand("back_height_m = 14.0", "back_height_m = 10.0")
            .replace("gap_m = 1.0", "gap_m = 0.0"),
        &["stand[0].roof.back_height_m", "a roof at 10.00 m under the deck at 11.00 m"],
    );
    says(
        &stand("overhang_m = 2.0", "overhang_m = -20.0"),
        &["roof.overhang_m", "ends behind the back wall", "-20 m"],
    );
    says(
        &stand("setback_m = 6.0", "setback_m = -3.0"),
        &["stand[0].setback_m", "-3.0 m", "0 to 500 m"],
    );
}

#[test]
fn polygons_that_cross_themselves_are_refused_with_the_place() {
    // the two diagonals of a rectangle 8 by 4 m meet in its middle
    let bow = "[[60.0, 40.0], [68.0, 44.0], [68.0, 40.0], [60.0, 44.0]]";
    let parts = ["a polygon that crosses itself at [64.00, 42.00]", "sides 1 and 3 cross"];
    says(&format!("[[solid]]\nname = \"a\"\ntop_m = 5.0\nfootprint = {bow}\n"), &parts);
    let zone = bow.replace("6", "1");
    says(
        &format!("[[zone]]\nname = \"a\"\ncorners = {zone}\n"),
        &["zone[0].corners", "crosses itself at [14.00, 42.00]"],
    );
    // a panel says where it crosses in the field's axes, heights included
    says(
        "[[panel]]\nname = \"a\"\ncorners = [[60.0, 40.0, 5.0], [68.0, 44.0, 9.0], \
         [68.0, 40.0, 5.0], [60.0, 44.0, 9.0]]\n",
        &["panel[0].corners", "crosses itself at [64.00, 42.00, 7.00]", "sides 1 and 3 cross"],
    );
    says(
        "[[zone]]\nname = \"a\"\ncorners = [[0.0, 0.0], [1.0, 0.0], [1.0, 0.0], [0.0, 0.0]]\n",
        &["2 different corners", "at least 3 corners"],
    );
    says(
        "[[zone]]\nname = \"a\"\ncorners = [[0.0, 0.0], [4.0, 0.0], [9.0, 0.0]]\n",
        &["zone[0].corners"],
    );
}

#[test]
fn things_on_the_field_of_play_are_refused() {
    let solid = "[[solid]]\nname = \"Tower\"\ntop_m = 5.0\n";
    let on = "footprint = [[0.0, 30.0], [4.0, 30.0], [4.0, 36.0], [0.0, 36.0]]\n";
    says(&format!("{solid}{on}"), &["solid[0].footprint", "16.00 m2 of it on the field of play"]);
    // over it is another matter: a board or a cable camera's beam
    built(&format!("{}{on}bottom_m = 4.0\n", solid));
    built(&format!("{solid}footprint = [[0.0, 34.0], [4.0, 34.0], [4.0, 36.0], [0.0, 36.0]]\n"));
    says(&format!("{solid}bottom_m = 6.0\n{on}"), &["solid[0].top_m", "more than the bottom, 6 m"]);
    says(
        &format!("{solid}{on}centre = [60.0, 40.0]\nradius_m = 1.0\n"),
        &["a solid without one clear footprint", "either footprint"],
    );
    says(
        "[[tree]]\nname = \"Elm\"\nat = [0.0, 10.0]\ntrunk_height_m = 3.0\ncrown_height_m = 9.0\n\
         crown_radius_m = 4.0\nin_leaf_transmittance = 0.1\n",
        &["tree[0].at", "on the field of play"],
    );
}

const RING: &str = "[[bowl]]\nname = \"Ring\"\ninner_along_m = 75.0\ninner_across_m = 52.0\n\
    depth_m = 20.0\nfront_height_m = 1.0\nback_height_m = 12.0\n";

#[test]
fn bowls_that_cut_the_field_are_refused() {
    built(RING);
    let tight = RING.replace("75.0", "60.0").replace("52.0", "40.0");
    says(&tight, &["bowl[0].inner_along_m", "cuts into the field of play", "roundness 3 to 6"]);
    built(&format!("{tight}roundness = 6.0\n"));
    // part of a ring may pass where no field is
    built(&format!("{tight}from_deg = 80.0\nto_deg = 100.0\n"));
    says(&format!("{tight}from_deg = 10.0\nto_deg = 80.0\n"), &["cuts into the field of play"]);
    says(
        &format!("{RING}from_deg = 90.0\nto_deg = 30.0\n"),
        &["bowl[0].to_deg", "more than from_deg"],
    );
    says(&format!("{RING}from_deg = -10.0\nto_deg = 355.0\n"), &["at most a full turn further"]);
}

#[test]
fn zones_far_outside_and_zones_of_the_sports_own_names_are_refused() {
    let zone =
        |name: &str, corners: &str| format!("[[zone]]\nname = \"{name}\"\ncorners = {corners}\n");
    // 34 + 60 m is as far as zones may lie where the file says nothing
    says(
        &zone("bench", "[[0.0, 90.0], [10.0, 90.0], [10.0, 97.0], [0.0, 97.0]]"),
        &["zone[0].corners", "30.0 m2 outside the ground that is planned", "field.surrounds_m"],
    );
    // as wide as a line
    built(&zone("bench", "[[0.0, 30.0], [10.0, 30.0], [10.0, 94.1], [0.0, 94.1]]"));
    says(
        &zone("half ahead", "[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]]"),
        &["zone[0].name", "which the sport brings itself"],
    );
}

#[test]
fn corners_of_a_panel_lie_in_one_plane() {
    let panel = |z: f64| {
        format!(
            "[[panel]]\nname = \"Sail\"\ncorners = [[0.0, -40.0, 6.0], [20.0, -40.0, 6.0], \
             [20.0, -50.0, 6.0], [0.0, -50.0, {z}]]\n"
        )
    };
    // a corner lifted by h is off the mean plane of the square by about h / 4
    says(&panel(6.8), &["panel[0].corners", "0.20 m out of the panel's plane", "within 0.05 m"]);
    built(&panel(6.12));
    // an L, which no convex outline could hold
    let venue = built(
        "[[panel]]\nname = \"L\"\ncorners = [[0.0, -40.0, 6.0], [9.0, -40.0, 6.0], [9.0, -43.0, 6.0], \
         [3.0, -43.0, 6.0], [3.0, -49.0, 6.0], [0.0, -49.0, 6.0]]\ntransmittance = 0.4\n",
    );
    let Shape::Sheet { corners } = &venue.occluders[0].bodies[0].shape else { panic!("a sheet") };
    assert_eq!(corners.len(), 6);
    assert!(told("[[panel]]\nname = \"a\"\ncorners = [[0.0, 0.0, 1.0], [1.0, 0.0, 1.0], [2.0, 0.0, 1.0]]\n")
        .contains("a panel without area"));
}

#[test]
fn corners_join_neighbours_that_leave_room() {
    let north = "[[stand]]\nname = \"North\"\nside = \"ahead\"\nsetback_m = 6.0\nlength_m = 60.0\n\
        depth_m = 20.0\nfront_height_m = 1.0\nback_height_m = 11.0\n";
    let joins = |a: &str, b: &str| format!("[[corner]]\njoins = [\"{a}\", \"{b}\"]\n");
    built(&format!("{STAND}{north}{}", joins("West", "North")));
    says(
        &format!("{STAND}{north}{}", joins("West", "Nroth")),
        &["corner[0].joins", "\"Nroth\"", "did you mean \"North\"?"],
    );
    let east = STAND.replace("West", "East").replace("left", "right");
    says(&format!("{STAND}{east}{}", joins("West", "East")), &["not on neighbouring sides"]);
    // two short stands: a straight infill would run over the pitch
    let short = STAND.replace("length_m = 100.0", "length_m = 40.0");
    let narrow = north.replace("length_m = 60.0", "length_m = 20.0");
    says(
        &format!("{short}{narrow}{}", joins("West", "North")),
        &["corner[0].joins", "of it on the field of play", "lengthen the stands"],
    );
    let long = STAND.replace("length_m = 100.0", "length_m = 170.0");
    let wide = north.replace("length_m = 60.0", "length_m = 90.0");
    says(&format!("{long}{wide}{}", joins("West", "North")), &["ends overlap"]);
    // ends that share their front corner leave no gap but the wedge behind
    let meeting = STAND.replace("length_m = 100.0", "length_m = 117.0");
    let flush = north.replace("length_m = 60.0", "length_m = 80.0");
    built(&format!("{meeting}{flush}{}", joins("West", "North")));
}

#[test]
fn camera_places_are_checked() {
    let camera = |rest: &str| format!("[[camera]]\nname = \"1\"\n{rest}\n");
    let lens = "horizontal_fov_deg = 30.0";
    says(
        &camera(&format!("at = [0.0, 40.0, -1.5]\n{lens}")),
        &["camera[0].at", "a camera 1.50 m under ground", "a height of 0 m or more"],
    );
    // half way up a deck that rises from 1 to 11 m over 20 m: 6 m is its surface
    let on_deck =
        |up: f64| format!("{STAND}{}", camera(&format!("at = [0.0, 50.0, {up}]\n{lens}")));
    says(&on_deck(5.9), &["camera[0].at", "a camera inside \"West\"", "outside of all decks"]);
    built(&on_deck(6.1));
    says(&camera(lens), &["camera[0].at", "a camera without a place"]);
    let gantry =
        "[[gantry]]\nname = \"main\"\nfrom = [-10.0, 45.0, 16.0]\nto = [10.0, 45.0, 16.0]\n";
    let on = |rest: &str| format!("{gantry}{}", camera(&format!("{rest}\n{lens}")));
    let venue = built(&on("gantry = \"main\"\noffset_m = 5.0"));
    let at = venue.field.frame.to_field(venue.cameras[0].at);
    assert!(
        (at.along_m + 5.0).abs() < 1e-9 && (at.across_m - 45.0).abs() < 1e-9 && at.up_m == 16.0
    );
    says(&on("gantry = \"mian\"\noffset_m = 5.0"), &["\"mian\"", "did you mean \"main\"?"]);
    says(&on("gantry = \"main\"\noffset_m = 20.5"), &["20.5 m", "the gantry's length, 20.00 m"]);
    says(&on("gantry = \"main\""), &["a gantry without an offset", "0 to 20.00 m"]);
    says(&on("at = [0.0, 40.0, 2.0]\ngantry = \"main\""), &["both at and gantry"]);
    says(&on("at = [0.0, 40.0, 2.0]\noffset_m = 1.0"), &["an offset without a gantry"]);
    let under = gantry.replace("16.0", "-2.0");
    says(
        &format!("{under}{}", camera(&format!("gantry = \"main\"\noffset_m = 1.0\n{lens}"))),
        &["camera[0].gantry", "2.00 m under ground"],
    );
}

#[test]
fn camera_lenses_and_aims_are_checked() {
    let camera = |rest: &str| format!("[[camera]]\nname = \"1\"\nat = [0.0, 40.0, 2.0]\n{rest}\n");
    says(&camera(""), &["a camera without a lens"]);
    says(
        &camera("horizontal_fov_deg = 30.0\nfocal_length_mm = 20.0"),
        &["both a focal length and a field of view"],
    );
    says(&camera("horizontal_fov_deg = 30.0\nimage_width_mm = 9.6"), &["an image width beside"]);
    // 2 atan(9.6 / 80) = 13.69 degrees; the 9.6 mm are taken when not stated
    for width in ["image_width_mm = 9.6", ""] {
        let venue = built(&camera(&format!("focal_length_mm = 40.0\n{width}")));
        assert!((venue.cameras[0].horizontal_fov_deg - 13.686).abs() < 0.001);
    }
    let aims = "horizontal_fov_deg = 30.0\nlooks_at = ";
    says(
        &camera(&format!("{aims}[\"penalty spt ahead\"]")),
        &["did you mean \"penalty spot ahead\"?"],
    );
    says(&camera(&format!("{aims}[\"xyz\"]")), &["\"xyz\"", "known are: centre spot"]);
    let venue = built(&camera(&format!(
        "{aims}[\"penalty spot ahead\", \"half behind\"]\naim = [[1.0, 2.0]]"
    )));
    let frame = venue.field.frame;
    let aims: Vec<[f64; 2]> = venue.cameras[0]
        .aims
        .iter()
        .map(|p| frame.to_field(*p))
        .map(|p| [(p.along_m * 100.0).round() / 100.0, (p.across_m * 100.0).round() / 100.0])
        .collect();
    assert_eq!(aims, [[41.5, 0.0], [-26.25, 0.0], [1.0, 2.0]]);
}

#[test]
fn names_tell_things_apart() {
    let twice = format!("{STAND}{}", STAND.replace("left", "right"));
    says(&twice, &["stand[1].name", "\"West\" a second time", "differs from stand[0].name"]);
    // also across kinds of things, but a camera may be called like a stand
    let solid = "[[solid]]\nname = \"West\"\ncentre = [60.0, 50.0]\nradius_m = 1.0\ntop_m = 9.0\n";
    says(&format!("{STAND}{solid}"), &["solid[0].name", "a second time"]);
    built(&format!(
        "{STAND}[[camera]]\nname = \"West\"\nat = [0.0, 40.0, 2.0]\nhorizontal_fov_deg = 30.0\n"
    ));
    says(&STAND.replace("\"West\"", "\"  \""), &["stand[0].name", "an empty name"]);
}

#[test]
fn zones_of_time_bearings_and_skylines_are_checked() {
    let wrong = BASE.replace("Etc/UTC", "Europe/Londn");
    let report = parse(&wrong, "g").unwrap_err().to_string();
    assert!(
        report.contains("place.zone") && report.contains("did you mean \"Europe/London\"?"),
        "{report}"
    );
    let magnetic = BASE.replace("bearing_deg = 0.0", "bearing_deg = 12.0\nnorth = \"magnetic\"");
    let report = parse(&magnetic, "g").unwrap_err().to_string();
    assert!(report.contains("magnetic north without a declination"), "{report}");
    let stated = format!("{magnetic}declination_deg = 0.7\n");
    let bearing = parse(&stated, "g").unwrap().field.frame.bearing().degrees();
    assert!((bearing - 12.7).abs() < 1e-9, "magnetic 12 with 0.7 east is 12.7 true: {bearing}");
    let land =
        format!("{stated}[horizon]\nnorth = \"magnetic\"\nprofile = [[90.0, 2.0], [359.8, 1.0]]\n");
    let profile = parse(&land, "g").unwrap().horizon.profile;
    let azimuths: Vec<f64> =
        profile.iter().map(|p| (p.0.degrees() * 10.0).round() / 10.0).collect();
    assert_eq!(azimuths, [0.5, 90.7]);
    says(
        "[horizon]\nnorth = \"magnetic\"\nprofile = []\n",
        &["horizon.north", "declination_deg in [field]"],
    );
    let twice = "[horizon]\nprofile = [[0.0, 1.0], [90.0, 2.0], [360.0, 1.0]]\n";
    says(twice, &["horizon.profile", "the azimuth 0 twice"]);
    says(
        "[horizon]\nprofile = [[0.0, 95.0]]\n",
        &["horizon.profile[0]", "an elevation of 95 degrees"],
    );
    says("[horizon]\nprofile = [[-1.0, 5.0]]\n", &["an azimuth of -1 degrees", "0 to 360"]);
}

#[test]
fn fixtures_and_floodlights_are_checked() {
    says("[fixture]\ndate = \"2027-02-29\"\nstart = \"15:00\"\n", &["fixture.date", "YYYY-MM-DD"]);
    says("[fixture]\ndate = \"2028-02-29\"\nstart = \"25:00\"\n", &["fixture.start", "HH:MM"]);
    built("[fixture]\ndate = \"2028-02-29\"\nstart = \"15:00\"\n");
    let lights = "[floodlights]\nhorizontal_lx = 2000.0\nvertical_lx = 1400.0\n\
        colour_temperature_k = 5600.0\non = \"below_daylight\"\n";
    says(lights, &["floodlights.below_lx", "no level"]);
    built(&format!("{lights}below_lx = 5000.0\n"));
    built(&lights.replace("below_daylight", "always"));
    let from = lights.replace("below_daylight", "from_time");
    says(&from, &["floodlights.from", "no time", "HH:MM"]);
    says(&format!("{from}from = \"25:00\"\n"), &["floodlights.from", "25:00", "HH:MM"]);
    let lit = built(&format!("{from}from = \"16:30\"\n")).floodlights.unwrap();
    assert_eq!(lit.when, FloodlightUse::FromTime(NaiveTime::from_hms_opt(16, 30, 0).unwrap()));
    let own = "[[camera]]\nname = \"1\"\nat = [0.0, -60.0, 12.0]\nlooks_at = [\"centre spot\"]\n\
        horizontal_fov_deg = 40.0\nfloodlight_lx = 1100.0\n";
    says(own, &["camera[0].floodlight_lx", "without [floodlights]"]);
    let venue = built(&format!("{lights}below_lx = 5000.0\n{own}"));
    assert_eq!(venue.cameras[0].floodlight, Some(Lux::from_lux(1100.0)));
}

#[test]
fn air_has_a_name_and_numbers_within_reason() {
    assert_eq!(built("").air, None);
    let stated = built("[air]\nname = \"summer\"\nwater_cm = 2.1\n").air.unwrap();
    let wanted = StatedAir { name: NamedAir::Summer, water_cm: Some(2.1), ..StatedAir::default() };
    assert_eq!(stated, wanted);
    says("[air]\nname = \"sumer\"\n", &["sumer", "summer"]);
    says("[air]\naerosol_500nm = 4.0\n", &["air.aerosol_500nm", "0 to 3"]);
    says("[air]\nwater_mm = 14.0\n", &["water_mm", "water_cm"]);
}

#[test]
fn what_is_played_on_has_its_usual_reflectance_unless_stated() {
    let field = |more: &str| {
        let base = format!("{BASE}{more}");
        parse(&base, "ground.toml").unwrap_or_else(|e| panic!("{e}")).field
    };
    assert_eq!(field("").surface, PlayingSurface::Grass);
    assert_eq!(field("").surface_reflectance, PlayingSurface::Grass.usual_reflectance());
    let clay = field("surface = \"clay\"\n");
    assert_eq!(clay.surface_reflectance, PlayingSurface::Clay.usual_reflectance());
    let measured = field("surface = \"sand\"\nsurface_reflectance = 0.35\n");
    assert_eq!((measured.surface, measured.surface_reflectance), (PlayingSurface::Sand, 0.35));
    says("surface = \"mud\"\n", &["field.surface", "mud", "clay"]);
    says("surface_reflectance = 1.4\n", &["field.surface_reflectance", "0 to 1"]);
}

/// Energy: what passes and what comes back are no more than what arrives.
#[test]
fn surfaces_give_back_no_more_than_they_keep() {
    let panel = "[[panel]]\nname = \"Sail\"\ntransmittance = 0.4\n\
        corners = [[0.0, 60.0, 9.0], [10.0, 60.0, 9.0], [10.0, 70.0, 9.0]]\n";
    built(&format!("{panel}reflectance = 0.6\n"));
    says(
        &format!("{panel}reflectance = 0.7\n"),
        &["panel[0].reflectance", "0.7 beside a transmittance of 0.4", "at most 0.60"],
    );
    let roof = |more: &str| format!("{STAND}{ROOF}transmittance = 0.5\n{more}");
    built(&roof("soffit_reflectance = 0.5\n"));
    says(&roof("soffit_reflectance = 0.6\n"), &["soffit_reflectance", "at most 0.50"]);
    says(&format!("{STAND}seat_reflectance = 1.2\n"), &["seat_reflectance", "0 to 1"]);
}

#[test]
fn moments_of_play_may_be_stated_in_any_order() {
    let moment =
        |name: &str, minute: &str| format!("[[moment]]\nname = \"{name}\"\nafter_min = {minute}\n");
    let venue = built(&format!("{}{}", moment("end", "70"), moment(" drinks ", "30")));
    let read: Vec<(&str, u32)> =
        venue.moments.iter().map(|m| (m.name.as_str(), m.after_min)).collect();
    assert_eq!(read, [("drinks", 30), ("end", 70)]);
    assert_eq!(quarterstop::engine::programme(&venue).length_min(), 70);
    // without any, those of the sport: IFAB Laws of the Game, Law 7, 45 + 15 + 45
    assert_eq!(quarterstop::engine::programme(&built("")).length_min(), 105);
    says(
        &format!("{}{}", moment("a", "30"), moment("b", "30")),
        &["moment[1].after_min", "30 a second time", "a minute of its own"],
    );
    says(&moment("a", "-1"), &["moment[0].after_min", "-1 minutes", "0 to 1440"]);
    says(&moment("  ", "1"), &["moment[0].name", "an empty name"]);
}

#[test]
fn days_in_leaf_follow_the_hemisphere() {
    let tree = "[[tree]]\nname = \"Elm\"\nat = [0.0, 60.0]\ntrunk_height_m = 3.0\n\
        crown_height_m = 9.0\ncrown_radius_m = 4.0\nin_leaf_transmittance = 0.1\n";
    says(&format!("{tree}leaf_from = \"04-20\"\n"), &["days in leaf without a bare crown"]);
    let bare = format!("{tree}bare_transmittance = 0.6\n");
    let report = told(&format!("{bare}leaf_from = \"13-01\"\n"));
    assert!(
        report.contains("leaf_from: found \"13-01\"") && report.contains("leaf_to: found nothing")
    );
    let south = built(&format!("{bare}leaf_from = \"09-20\"\nleaf_to = \"05-05\"\n"));
    let Passes::Leaves(Leaves { .. }) = south.occluders[0].bodies[0].passes else {
        panic!("leaves")
    };
    let on = |month, day| {
        let date = chrono::NaiveDate::from_ymd_opt(2027, month, day).unwrap();
        south.occluders[0].bodies[0].passes.on(date).share()
    };
    assert_eq!(
        [on(1, 15), on(5, 5), on(5, 6), on(7, 1), on(9, 19), on(9, 20)],
        [0.1, 0.1, 0.6, 0.6, 0.6, 0.1]
    );
}

#[test]
fn exposure_of_a_camera_stands_over_that_of_all() {
    let camera = "[[camera]]\nname = \"1\"\nat = [0.0, -60.0, 12.0]\nhorizontal_fov_deg = 40.0\n";
    let venue = built(&format!(
        "[exposure]\nwidest_t = 2.8\nknee_stops = 1.0\n{camera}[camera.exposure]\nknee_stops = 3.0\n"
    ));
    let exposure = &venue.cameras[0].exposure;
    assert_eq!((exposure.widest_t, exposure.knee_stops), (Some(2.8), Some(3.0)));
    says(
        "[exposure]\nwidest_t = 8.0\nnarrowest_t = 5.6\n",
        &["exposure.narrowest_t", "T5.6 beside widest_t of T8", "larger"],
    );
    says("[exposure]\nprefers_t = [8.0, 4.0]\n", &["exposure.prefers_t", "the smaller first"]);
    says(
        "[exposure]\nnd_stops = []\n",
        &["exposure.nd_stops", "rising numbers from 0 to 12 stops"],
    );
    says(
        &format!("{camera}[camera.exposure]\ngain_db = [6.0, 0.0]\n"),
        &["camera[0].exposure.gain_db", "rising numbers"],
    );
    says("[exposure]\ncontrast = 2.0\n", &["exposure.contrast", "4 to 100000"]);
    says("[subject]\nskin_reflectance = 1.5\n", &["subject.skin_reflectance", "0.02 to 1"]);
}

#[test]
fn operators_have_cameras_that_are_there_each_once() {
    let cameras = "[[camera]]\nname = \"1\"\nat = [0.0, -60.0, 12.0]\nhorizontal_fov_deg = 40.0\n\
        [[camera]]\nname = \"2\"\nat = [9.0, -60.0, 12.0]\nhorizontal_fov_deg = 40.0\n";
    let operator = |name: &str, cameras: &str| {
        format!("[[operator]]\nname = \"{name}\"\ncameras = [{cameras}]\n")
    };
    let venue = built(&format!("{cameras}{}{}", operator("A", "\"2\""), operator("B", "")));
    assert_eq!(venue.operators[0].cameras, [1]);
    assert_eq!(venue.operators[1].cameras, [0_usize; 0]);
    says(
        &format!("{cameras}{}", operator("A", "\"3\"")),
        &["operator[0].cameras", "\"3\"", "names of cameras"],
    );
    says(
        &format!("{cameras}{}{}", operator("A", "\"1\""), operator("B", "\"1\"")),
        &["operator[1].cameras", "A's already"],
    );
    says(
        &format!("{cameras}{}{}", operator("A", ""), operator("A", "")),
        &["operator[1].name", "a second time"],
    );
    let many = (0..3).map(|n| operator(&n.to_string(), "")).collect::<String>();
    says(&format!("{cameras}{many}"), &["3 operators for 2 cameras"]);
}
