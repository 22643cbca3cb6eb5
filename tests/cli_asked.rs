//! What was asked is what is answered: one instant, data alone, places of the south, nights
//! under floodlights, edits that change nothing.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use predicates::str::contains;

/// Invented, with nothing around it.
const COURT: &str = r#"
title = "Reedholm Court"
[place]
latitude_deg = 50.0
longitude_deg = 8.0
height_m = 100.0
zone = "Europe/Berlin"
[field]
sport = "tennis"
bearing_deg = 20.0
surface = "clay"
[[camera]]
name = "1 high"
at = [-30.0, 0.0, 8.0]
looks_at = ["net centre"]
horizontal_fov_deg = 40.0
[fixture]
date = "2027-06-05"
start = "13:00"
"#;

fn run(folder: &Path, words: &[&str]) -> assert_cmd::assert::Assert {
    Command::cargo_bin("quarterstop").unwrap().current_dir(folder).args(words).assert()
}

fn home(text: &str) -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("v.toml"), text).unwrap();
    home
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn one_instant_to_the_second_with_and_without_pictures() {
    let home = home(COURT);
    let words = ["match", "v.toml", "--at", "14:07:30", "--into", "out"];
    run(home.path(), &[&words[..], &["--data-only"]].concat()).success();
    let out = home.path().join("out");
    assert_eq!(names(&out), ["light-140730.csv", "match.csv", "match.json"]);
    let rows = fs::read_to_string(out.join("match.csv")).unwrap();
    assert_eq!(rows.lines().count(), 2, "{rows}");
    assert!(rows.contains("2027-06-05T14:07:30+02:00"), "{rows}");
    run(home.path(), &words).success();
    let drawn = names(&out);
    for picture in ["field-140730.png", "field-140730.svg", "light-140730.png"] {
        assert!(drawn.iter().any(|name| name == picture), "{drawn:?}");
    }
    // one instant has no course over time
    assert!(!drawn.iter().any(|name| name.starts_with("timeline")), "{drawn:?}");
    for wrong in ["14:07:60", "24:00", "noon"] {
        run(home.path(), &["match", "v.toml", "--at", wrong]).code(2).stderr(contains("HH:MM:SS"));
    }
    run(home.path(), &["match", "v.toml", "--at", "14:00", "--from", "13:00"]).code(2);
}

#[test]
fn the_whole_match_without_pictures() {
    let home = home(COURT);
    let words = ["match", "v.toml", "--data-only", "--step", "30", "--into", "out"];
    run(home.path(), &words).success();
    let drawn = names(&home.path().join("out"));
    assert!(
        drawn.iter().all(|name| name.ends_with(".csv") || name.ends_with(".json")),
        "{drawn:?}"
    );
    assert!(drawn.iter().any(|name| name == "match.json"));
}

/// The sun stays under the horizon of 69.65 degrees north on 21 December (any almanac).
#[test]
fn a_polar_night_is_planned_under_floodlights_and_only_then() {
    let north = COURT
        .replace("latitude_deg = 50.0", "latitude_deg = 69.65")
        .replace("longitude_deg = 8.0", "longitude_deg = 19.0")
        .replace("Europe/Berlin", "Europe/Oslo")
        .replace("2027-06-05", "2027-12-21");
    let words = ["match", "v.toml", "--data-only", "--step", "30", "--into", "out"];
    run(home(&north).path(), &words).code(2).stderr(contains("does not rise"));
    let lit = north.clone()
        + "[floodlights]\nhorizontal_lx = 1500.0\nvertical_lx = 1000.0\n\
           colour_temperature_k = 5600.0\non = \"always\"\n";
    let home = home(&lit);
    run(home.path(), &words).success().stderr(contains("the sun is down"));
    let json = fs::read_to_string(home.path().join("out/match.json")).unwrap();
    assert!(json.contains("Reedholm Court"));
}

#[test]
fn a_place_of_the_south_and_the_west_is_no_option() {
    let home = home(COURT);
    let words = ["import", "horizon", "none.hgt", "--centre", "-33.9,-151.2"];
    // the place is read; what is missing is the terrain
    run(home.path(), &words).code(2).stderr(contains("none.hgt"));
    run(home.path(), &["import", "horizon", "none.hgt", "--centre", "-133.9,2"])
        .code(2)
        .stderr(contains("LAT,LON"));
}

#[test]
fn a_model_may_begin_with_a_byte_order_mark() {
    let home = home(COURT);
    let model = "v 0 0 0\nv 2 0 0\nv 0 2 0\nv 0 0 2\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n";
    fs::write(home.path().join("plain.obj"), model).unwrap();
    fs::write(home.path().join("marked.obj"), format!("\u{feff}{model}")).unwrap();
    let bring = |file: &str, into: &str| {
        let words = ["import", "mesh", file, "--onto", "v.toml", "--into", into];
        let place = ["--metres-per-unit", "1", "--up", "z", "--at", "30,0,0", "--name", "Kiosk"];
        let done = run(home.path(), &[&words[..], &place].concat()).success();
        String::from_utf8(done.get_output().stdout.clone()).unwrap()
    };
    let (plain, marked) = (bring("plain.obj", "a.toml"), bring("marked.obj", "b.toml"));
    assert_eq!(plain.replace("plain", "marked").replace("a.toml", "b.toml"), marked);
}

#[test]
fn a_flight_that_nobody_can_strike_is_refused() {
    let home = home(COURT);
    let words = ["ball", "v.toml", "--from", "-11,0", "--to", "60,0", "--hang-s", "0.3"];
    run(home.path(), &[&words[..], &["--into", "out"]].concat())
        .code(2)
        .stdout("")
        .stderr(contains("m/s"));
}

/// Comments may be edited between two runs of a year; numbers may not.
#[test]
fn a_year_goes_on_after_comments_changed() {
    let home = home(COURT);
    let words = [
        "year",
        "v.toml",
        "--first-date",
        "2027-06-05",
        "--last-date",
        "2027-06-06",
        "--step",
        "60",
        "--show",
        "field",
        "--into",
        "out",
    ];
    run(home.path(), &[&words[..], &["--shard", "1/2"]].concat()).success();
    let noted = format!("# measured with a tape\n{COURT}\n# end\n");
    fs::write(home.path().join("v.toml"), noted).unwrap();
    run(home.path(), &words).success().stdout(contains("1 were there before"));
    let moved = COURT.replace("bearing_deg = 20.0", "bearing_deg = 21.0");
    fs::write(home.path().join("v.toml"), moved).unwrap();
    run(home.path(), &words).code(2).stderr(contains("another venue file"));
}
