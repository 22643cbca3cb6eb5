//! What every job says and draws of grounds with relief, with what moves, and of sites: the
//! program itself on the demos. Our own words and marks; there is no outside source for them.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use tempfile::TempDir;

fn run(job: &str, venue: &str, into: Option<&Path>, words: &[&str]) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.arg(job).arg(venue).args(words);
    into.map(|folder| command.arg("--into").arg(folder));
    let done = command.assert().success();
    // rows that are broken anywhere are one line here
    let text = String::from_utf8(done.get_output().stdout.clone()).unwrap();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn written(folder: &TempDir, name: &str, text: &str) -> String {
    let path = folder.path().join(name);
    fs::write(&path, text).unwrap();
    path.display().to_string()
}

const HARBOUR: &str = "venues/harbour-demo.toml";
const RELIEF: &str = "venues/relief-demo.toml";
const COURSE: &str = "venues/course-demo.toml";

/// The roof is drawn shut in the file and stands open at the time of the passage, to which the
/// second is that of the cue in `brief`.
#[test]
fn a_fit_leaves_out_of_what_moves_what_it_leaves_out_of_the_rest() {
    let folder = TempDir::new().unwrap();
    let seen = "on = \"2027-10-09\"\n[[unknown]]\nwhat = \"field.bearing_deg\"\n[[passage]]\n\
                time = \"15:24:38\"\nplace = \"centre spot\"\nbecomes = \"shade\"\n";
    let seen = written(&folder, "seen.toml", seen);
    let text = run("fit", HARBOUR, None, &["--seen", &seen]);
    let found = text.split("field.bearing_deg ").nth(1).unwrap();
    let found: f64 = found.split(' ').next().unwrap().parse().unwrap();
    assert!((found - 348.0).abs() < 0.5, "{text}");
}

/// The bank under the lens and the crown of the pitch hide nothing of what is in the cover.
#[test]
fn ground_hides_nothing_of_a_cover() {
    let folder = TempDir::new().unwrap();
    let place = "\n[[candidate]]\nname = \"west bank\"\nat = [-79.0, -20.0, 4.5]\n\
                 looks_at = [\"22 behind\"]\nshows_m = 40.0\n";
    let venue = fs::read_to_string(RELIEF).unwrap() + place;
    let venue = written(&folder, "ground.toml", &venue);
    let text = run("positions", &venue, Some(folder.path()), &["--step", "30"]);
    assert!(text.contains("1 place compared over one day: 80 min of play"), "{text}");
    let json = fs::read(folder.path().join("positions.json")).unwrap();
    let json: serde_json::Value = serde_json::from_slice(&json).unwrap();
    let places = json["positions"].as_array().unwrap();
    let hidden: Vec<f64> = places.iter().map(|p| p["parts"]["hidden"].as_f64().unwrap()).collect();
    assert!(!hidden.is_empty() && hidden.iter().all(|share| *share < 0.2), "{hidden:?}");
}

/// At 16:30 the roof is shut: nothing of the field is dimmed by it, ground beside it is.
#[test]
fn what_is_dimmed_beside_the_field_has_its_sign() {
    let folder = TempDir::new().unwrap();
    run("match", HARBOUR, Some(folder.path()), &["--at", "16:30"]);
    let svg = fs::read_to_string(folder.path().join("field-1630.svg")).unwrap();
    assert!(svg.contains("none of it dimmed") && svg.contains("Dimmed, 1 % passes"), "{svg}");
}

#[test]
fn plans_show_heights_and_name_what_stands() {
    let folder = TempDir::new().unwrap();
    let text = run("check", RELIEF, Some(folder.path()), &[]);
    assert!(text.contains("heights stated"), "{text}");
    let svg = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap();
    let plan = svg("ground-plan.svg");
    assert!(plan.contains("contours every") && plan.contains(">+5<"), "{plan}");
    run("match", RELIEF, Some(folder.path()), &["--at", "15:00"]);
    assert!(svg("field-1500.svg").contains("Contours every"));
    // seats of the summer are not there in October, and have no place on the plan
    run("check", HARBOUR, Some(folder.path()), &[]);
    let plan = svg("ground-plan.svg");
    assert!(plan.contains(">Dune Side<") && !plan.contains(">Summer seats<"));
    assert!(!plan.contains("contours every"));
}

#[test]
fn looking_up_says_how_the_ground_stands_and_counts_from_it() {
    let folder = TempDir::new().unwrap();
    let text = run("look-up", HARBOUR, Some(folder.path()), &[]);
    let standing = "On all days as on 9 October at 14:45: Roof open (shut from 15:50 on: \
                    --state \"Roof=shut\").";
    assert!(text.contains(standing), "{text}");
    let shut = run("look-up", HARBOUR, Some(folder.path()), &["--state", "Roof=shut"]);
    assert!(shut.contains("On all days as on 9 October at 14:45: Roof shut."), "{shut}");
    run("look-up", COURSE, Some(folder.path()), &["--field", "Hole 1"]);
    let svg = fs::read_to_string(folder.path().join("look-up-centre-of-play.svg")).unwrap();
    assert!(svg.contains("eye 1.7 m over the turf"));
}

/// No floodlights stand on a course, its order of play is no slip, and golf has no turf that
/// its laws draw zones on.
#[test]
fn a_course_is_told_as_one() {
    let folder = TempDir::new().unwrap();
    let done = run("match", COURSE, Some(folder.path()), &["--field", "Hole 2", "--at", "21:00"]);
    assert!(!done.contains("Floodlights pass daylight") && !done.contains("-0.0 "), "{done}");
    let svg = fs::read_to_string(folder.path().join("field-2100.svg")).unwrap();
    assert!(svg.contains(">a  tee<") && svg.contains(">c  green<"), "{svg}");
    let check = run("check", COURSE, Some(folder.path()), &["--field", "Hole 2"]);
    assert!(check.contains("No warnings."), "{check}");
    let site = "venues/tennis-site-demo.toml";
    run("match", site, Some(folder.path()), &["--field", "Court 1", "--at", "16:10"]);
    let svg = fs::read_to_string(folder.path().join("field-1610.svg")).unwrap();
    assert!(svg.contains("Clay (0 m)") && !svg.to_lowercase().contains("turf"), "{svg}");
}

/// A gantry whose view is all roof: settings come with a word of it.
#[test]
fn a_camera_that_is_blocked_is_said_to_be() {
    let folder = TempDir::new().unwrap();
    let stand = "\n[[stand]]\nname = \"Mill Stand\"\nside = \"left\"\nlength_m = 80.0\n\
                 setback_m = 5.0\ndepth_m = 10.0\nfront_height_m = 1.0\nback_height_m = 7.0\n\
                 [stand.roof]\nfront_height_m = 10.0\nback_height_m = 9.0\noverhang_m = 1.0\n\
                 transmittance = 0.4\n";
    let camera = "\n[[camera]]\nname = \"1 gantry\"\nat = [0.0, 55.0, 11.0]\n\
                  looks_at = [\"centre spot\"]\nhorizontal_fov_deg = 32.0\n";
    let place = "title = \"Quarry Bank Park\"\n[place]\nlatitude_deg = 51.2\nlongitude_deg = -3.4\n\
                 height_m = 90.0\nzone = \"Europe/London\"\n[field]\nsport = \"football\"\n\
                 length_m = 102.0\nwidth_m = 66.0\nbearing_deg = 95.0\n";
    let fixture = "\n[fixture]\ndate = \"2027-10-09\"\nstart = \"15:00\"\n";
    let venue = written(&folder, "quarry.toml", &format!("{place}{stand}{camera}{fixture}"));
    let words = "of what it covers is hidden from it";
    let check = run("check", &venue, Some(folder.path()), &[]);
    assert!(check.contains(words), "{check}");
    let brief = run("brief", &venue, Some(folder.path()), &["--step", "15"]);
    assert!(brief.contains("Hidden from cameras") && brief.contains(words), "{brief}");
    let html = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap();
    assert!(html("brief.html").contains(words) && html("board.html").contains(words));
    let text = run("agreement", &venue, Some(folder.path()), &["--step", "15"]);
    assert!(text.contains(words), "{text}");
    let page = html("agreement.html");
    assert!(page.contains(words) && page.contains("unless the moment says otherwise"), "{page}");
    // no setting is promised for what is out of sight
    let promised = ["one iris will do", "the iris can follow", "choose a side"];
    assert!(promised.iter().all(|words| !page.contains(words)), "{page}");
    assert!(page.contains("in what it covers, but "), "{page}");
    // where another camera sees more, that is shown
    let other = camera.replace("1 gantry", "2 bank").replace("55.0, 11.0", "-55.0, 8.0");
    let two = written(&folder, "two.toml", &format!("{place}{stand}{camera}{other}{fixture}"));
    let text = run("agreement", &two, Some(folder.path()), &["--step", "15"]);
    assert!(!text.contains("1 gantry:") && text.contains("2 bank:"), "{text}");
    assert!(html("agreement.html").contains("most of the cover being hidden: 1 gantry."));
    let text = run("match", &venue, Some(folder.path()), &["--step", "15", "--data-only"]);
    assert!(text.contains("Hidden from cameras 1 gantry: ") && text.contains(words), "{text}");
    let json = fs::read(folder.path().join("match.json")).unwrap();
    let json: serde_json::Value = serde_json::from_slice(&json).unwrap();
    jsonschema::validate(&quarterstop::jobs::match_plan::report::json::schema(), &json).unwrap();
    let hidden = &json["cameras"][0]["hidden"];
    assert_eq!(hidden["by"], "Mill Stand");
    assert!(hidden["cover_share"].as_f64().unwrap() > 0.5, "{hidden}");
    let percent = format!("{:.0} % {words}", 100.0 * hidden["cover_share"].as_f64().unwrap());
    assert!(text.contains(&percent), "{text}");
}

/// People read the venue's own word for its ground; words that programs read stay.
#[test]
fn the_ground_of_play_is_called_what_it_is() {
    let folder = TempDir::new().unwrap();
    let court = fs::read_to_string("venues/tennis-demo.toml").unwrap();
    let clay = court.replace("surface = \"acrylic\"", "surface = \"clay\"");
    let venue = written(&folder, "clay.toml", &clay);
    let ball = run("ball", &venue, Some(folder.path()), &["--from=-11,0", "--to", "6,2"]);
    assert!(ball.contains("clay in ") && !ball.contains("turf"), "{ball}");
    let table = fs::read_to_string(folder.path().join("ball-1-main.csv")).unwrap();
    assert!(table.contains("turf_in_") && !table.contains("clay"), "{table}");
    let day = ["--first-date", "2027-06-19", "--last-date", "2027-06-19", "--step", "60"];
    let year = run("year", &venue, Some(folder.path()), &day);
    assert!(year.contains("split-on-the-clay-camera-1-main.svg"), "{year}");
    let table = fs::read_to_string(folder.path().join("year.csv")).unwrap();
    assert!(table.contains("_turf_split_stops"));
    let look = run("look-up", &venue, Some(folder.path()), &["--place", "net centre"]);
    let svg = fs::read_to_string(folder.path().join("look-up-net-centre.svg")).unwrap();
    assert!(svg.contains("eye 1.7 m over the clay") && !look.contains("turf"), "{look}");
}
