//! The main job from end to end: the real binary, the demo venue, an empty
//! folder.

use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;
use predicates::prelude::*;
use predicates::str::contains;
use serde_json::Value;
use tempfile::{TempDir, tempdir};

use crate::render_support::marks::assert_picture_file;

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo.toml");

fn in_folder(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.current_dir(folder);
    command
}

fn names(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut names: Vec<String> =
        entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

fn json(folder: &Path) -> Value {
    serde_json::from_slice(&fs::read(folder.join("match.json")).unwrap()).unwrap()
}

/// The demo with another value of one key of `[place]`, in a file of its own.
fn demo_with(home: &TempDir, key: &str, value: impl Into<toml::Value>) -> PathBuf {
    let mut table: toml::Table = fs::read_to_string(DEMO).unwrap().parse().unwrap();
    let place = table["place"].as_table_mut().unwrap();
    let before = place.insert(key.to_owned(), value.into());
    assert!(before.is_some(), "the demo has no key {key} in [place]");
    let path = home.path().join("changed.toml");
    fs::write(&path, toml::to_string(&table).unwrap()).unwrap();
    path
}

#[test]
fn moments_of_play_can_be_stated() {
    let home = tempdir().unwrap();
    let stated = ["--moment", "drinks = 20,kickoff=0", "--moment", "end=40"];
    let options = ["--step", "5", "--into", "out"];
    let run = in_folder(home.path()).args(["match", DEMO]).args(options).args(stated).assert();
    run.success().stdout(contains("drinks                  15:20"));
    let plan = json(&home.path().join("out"));
    let milestones: Vec<[&str; 2]> = plan["milestones"]
        .as_array()
        .unwrap()
        .iter()
        .map(|m| [m["name"].as_str().unwrap(), &m["time"].as_str().unwrap()[11..16]])
        .collect();
    assert_eq!(milestones, [["kickoff", "15:00"], ["drinks", "15:20"], ["end", "15:40"]]);
    // 20 minutes before to 25 after
    let instants = plan["instants"].as_array().unwrap();
    assert_eq!(instants.len(), 1 + (20 + 40 + 25) / 5);
    for wrong in ["drinks", "=5", "drinks=x", "drinks=1441", "a\nb=5", "a=0=5"] {
        let run = in_folder(home.path()).args(["match", DEMO, "--moment", wrong]).assert();
        run.code(2).stderr(contains("a moment is NAME=MINUTE"));
    }
}

#[test]
fn of_two_airs_none_is_dropped_in_silence() {
    let home = tempdir().unwrap();
    for (air, found) in [
        ("standard,summer", "found two airs, standard and summer"),
        ("summer,water_cm=2,water_cm=3", "found water_cm twice"),
    ] {
        let run = in_folder(home.path()).args(["match", DEMO, "--air", air]).assert();
        run.code(2).stderr(contains(found));
    }
}

#[test]
fn the_demo_needs_no_options() {
    let home = tempdir().unwrap();
    let run = in_folder(home.path()).args(["match", DEMO]).assert();
    let run = run.success().stderr("");
    let stdout = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    for said in ["Shadow edge", "kickoff", "Widest split", "Never look at the sun", "Written to"] {
        assert!(stdout.contains(said), "{said}\n{stdout}");
    }
    assert!(!stdout.contains('\u{1b}'), "no escape codes in a pipe");
    for line in stdout.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }

    let [folder] = &names(&home.path().join("output"))[..] else {
        panic!("one output folder");
    };
    assert!(folder.starts_with("football-demo-2"), "{folder}");
    let folder = home.path().join("output").join(folder);
    let files = names(&folder);
    for file in ["match.csv", "match.json", "timeline.png", "timeline.svg"] {
        assert!(files.iter().any(|f| f == file), "{file} in {files:?}");
    }
    let fields: Vec<&String> = files.iter().filter(|f| f.starts_with("field-")).collect();
    // four moments of play and the widest split in shot, each as SVG and PNG
    assert_eq!(fields.len(), 2 * 5, "{files:?}");
    let lights = files.iter().filter(|f| f.starts_with("light")).count();
    // each time has a light map beside its plan, and its table
    assert_eq!(lights, 2 + 3 * fields.len() / 2, "{files:?}");
    assert_eq!(files.len(), 4 + fields.len() + lights, "nothing else: {files:?}");
    for file in &files {
        assert!(stdout.contains(file.as_str()), "{file} is listed");
        if file.ends_with(".svg") {
            assert_picture_file(&folder, file);
        }
    }
}

#[test]
fn csv_and_json_tell_the_same_and_hold_to_the_schema() {
    let home = tempdir().unwrap();
    in_folder(home.path()).args(["match", DEMO, "--into", "here", "--step", "5"]).unwrap();
    let folder = home.path().join("here");
    let value = json(&folder);
    let schema = quarterstop::jobs::match_plan::report::json::schema();
    let errors: Vec<String> = jsonschema::validator_for(&schema)
        .unwrap()
        .iter_errors(&value)
        .map(|e| format!("{e} at {}", e.instance_path()))
        .collect();
    assert!(errors.is_empty(), "{errors:#?}");

    let mut reader = csv::Reader::from_path(folder.join("match.csv")).unwrap();
    let header = reader.headers().unwrap().clone();
    let column = |name: &str| header.iter().position(|h| h == name).unwrap();
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.unwrap()).collect();
    let instants = value["instants"].as_array().unwrap();
    // 14:40 to 17:10, every five minutes
    assert_eq!((rows.len(), instants.len()), (31, 31));
    assert_eq!(value["step_min"], 5.0);
    for (row, instant) in rows.iter().zip(instants) {
        assert_eq!(&row[column("time")], instant["time"].as_str().unwrap());
        let shaded: f64 = row[column("turf_field_shaded_share")].parse().unwrap();
        let exact = instant["turf"]["field"]["shaded_share"].as_f64().unwrap();
        assert!((shaded - exact).abs() <= 0.5e-4 + 1e-12, "{shaded} {exact}");
        for camera in instant["cameras"].as_array().unwrap() {
            let id = camera["camera"].as_str().unwrap();
            let state = &row[column(&format!("camera_{id}_turf_split_state"))];
            assert_eq!(state, camera["turf"]["state"].as_str().unwrap());
        }
    }
}

#[test]
fn the_same_run_gives_the_same_bytes_and_replaces_its_files() {
    let home = tempdir().unwrap();
    let arguments = ["match", DEMO, "--into", "here", "--step", "15"];
    in_folder(home.path()).args(arguments).unwrap();
    let folder = home.path().join("here");
    let before: Vec<(String, Vec<u8>)> = names(&folder)
        .into_iter()
        .map(|n| (n.clone(), fs::read(folder.join(n)).unwrap()))
        .collect();
    fs::write(folder.join("match.csv"), b"spoilt").unwrap();
    in_folder(home.path()).args(arguments).unwrap();
    assert_eq!(names(&folder).len(), before.len());
    for (name, bytes) in before {
        assert!(fs::read(folder.join(&name)).unwrap() == bytes, "{name} differs");
    }
}

#[test]
fn pictures_of_an_earlier_run_are_kept_and_named() {
    let home = tempdir().unwrap();
    let folder = home.path().join("here");
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("field-0312.svg"), b"older").unwrap();
    fs::write(folder.join("notes.txt"), b"mine").unwrap();
    in_folder(home.path())
        .args(["match", DEMO, "--into", "here", "--step", "60"])
        .assert()
        .success()
        .stderr(contains("`here` holds 1 file of an earlier run"));
    assert_eq!(fs::read(folder.join("field-0312.svg")).unwrap(), b"older");
}

#[test]
fn pictures_are_drawn_when_asked_for() {
    let home = tempdir().unwrap();
    in_folder(home.path())
        .args(["match", DEMO, "--into", "here", "--step", "10", "--start", "15:00"])
        .args(["--from", "14:00", "--until", "16:00", "--pictures-at", "14:30,15:40,14:30"])
        .unwrap();
    let fields: Vec<String> =
        names(&home.path().join("here")).into_iter().filter(|n| n.starts_with("field-")).collect();
    let expected = ["field-1430.png", "field-1430.svg", "field-1540.png", "field-1540.svg"];
    assert_eq!(fields, expected);
}

#[test]
fn a_window_may_pass_midnight() {
    let home = tempdir().unwrap();
    in_folder(home.path())
        .args(["match", DEMO, "--into", "here", "--step", "30", "--start", "22:00"])
        .args(["--from", "21:00", "--until", "00:30"])
        .assert()
        .success();
    let value = json(&home.path().join("here"));
    assert_eq!(value["instants"].as_array().unwrap().len(), 8);
}

#[test]
fn a_window_without_sun_works_with_a_warning() {
    let home = tempdir().unwrap();
    in_folder(home.path())
        .args(["match", DEMO, "--into", "here", "--step", "30"])
        .args(["--from", "23:00", "--until", "23:30"])
        .assert()
        .success()
        .stdout(contains("the sun is down"))
        .stderr(contains("warning: the sun is down in the whole window").and(contains("sets at")));
    assert!(names(&home.path().join("here")).contains(&"timeline.svg".to_owned()));
}

/// A court without floodlights at night: fractions of a lux, written as 0 lx.
#[test]
fn darkness_has_no_colour() {
    let home = tempdir().unwrap();
    let court = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/tennis-demo.toml");
    in_folder(home.path())
        .args(["match", court, "--into", "here", "--step", "30", "--data-only"])
        .args(["--from", "23:00", "--until", "23:30"])
        .assert()
        .success()
        .stdout(contains("under 1 lx").and(contains("under 1 lx,").not()));
    for instant in json(&home.path().join("here"))["instants"].as_array().unwrap() {
        let light = &instant["field_light"]["in_shade"];
        assert!(light["illuminance_lx"].as_f64().unwrap() < 0.5, "{light}");
        for colour in ["chromaticity_xy", "colour_temperature_k", "duv"] {
            assert!(light[colour].is_null(), "{light}");
        }
    }
}

#[test]
fn an_overcast_sky_has_no_edge_and_says_so() {
    let home = tempdir().unwrap();
    in_folder(home.path())
        .args(["match", DEMO, "--into", "here", "--step", "30", "--sky", "overcast"])
        .assert()
        .success()
        .stdout(contains("Overcast sky (no direct sun).").and(contains("no edge")));
    let value = json(&home.path().join("here"));
    assert_eq!(value["sky"], "overcast");
    for instant in value["instants"].as_array().unwrap() {
        assert_eq!(instant["daylight"]["direct_normal_lx"], 0.0);
        assert_eq!(instant["cameras"][0]["turf"]["state"], "no_edge");
    }
}

#[test]
fn input_that_cannot_be_planned_leaves_with_2_and_no_files() {
    for (arguments, said) in [
        (&["--from", "16:00", "--until", "16:00"][..], "window is empty"),
        (&["--from", "23:30"], "ends before it begins"),
        (
            &["--start", "15:00", "--from", "14:00", "--until", "16:00", "--pictures-at", "16:01"],
            "outside the window",
        ),
        (&["--date", "2026-13-01"], "YYYY-MM-DD"),
    ] {
        let home = tempdir().unwrap();
        in_folder(home.path())
            .args(["match", DEMO])
            .args(arguments)
            .assert()
            .code(2)
            .stdout("")
            .stderr(contains(said));
        assert!(names(home.path()).is_empty(), "{arguments:?}");
    }
}

#[test]
fn a_venue_file_that_is_not_there_is_named() {
    let home = tempdir().unwrap();
    for command in ["match", "check"] {
        in_folder(home.path())
            .args([command, "nowhere.toml"])
            .assert()
            .code(2)
            .stdout("")
            .stderr(contains("nowhere.toml"));
    }
    assert!(names(home.path()).is_empty());
}

/// In Portugal the clocks went from 00:59 to 02:00 on 29 March 2026 and from
/// 01:59 back to 01:00 on 25 October (Directive 2000/84/EC, Articles 2 and 3;
/// 01:00 UTC), so in UTC the two readings of 01:30 in October are 00:30 and
/// 01:30.
#[test]
fn clock_changes_are_refused_or_settled() {
    let home = tempdir().unwrap();
    let venue = demo_with(&home, "zone", "Europe/Lisbon");
    let run = |arguments: &[&str]| {
        let mut command = in_folder(home.path());
        command.arg("match").arg(&venue).args(["--into", "here", "--step", "60"]);
        command.args(arguments);
        command.assert()
    };
    run(&["--date", "2026-03-29", "--start", "01:30"])
        .code(2)
        .stderr(contains("00:59").and(contains("02:00")));
    let october = ["--date", "2026-10-25", "--start", "01:30"];
    run(&october).code(2).stderr(contains("--repeated"));
    assert!(!home.path().join("here").exists());
    for (which, utc) in [("earlier", "T00:30:00Z"), ("later", "T01:30:00Z")] {
        let window = ["--repeated", which, "--from", "01:30", "--until", "04:30"];
        run(&[&october[..], &window[..]].concat()).success();
        let first = &json(&home.path().join("here"))["instants"][0]["time_utc"];
        assert!(first.as_str().unwrap().ends_with(utc), "{which}: {first}");
    }
}

/// At 75 degrees north the sun is at most 90 - 75 - 23.44 = -8.4 degrees high on
/// 21 December (obliquity of the ecliptic, Astronomical Almanac).
#[test]
fn a_day_without_sunrise_is_refused_with_how_high_the_sun_comes() {
    let home = tempdir().unwrap();
    let venue = demo_with(&home, "latitude_deg", 75.0);
    // under floodlights it would be planned
    let text = fs::read_to_string(&venue).unwrap();
    fs::write(&venue, text.replace("on = \"below_daylight\"", "on = \"never\"")).unwrap();
    in_folder(home.path())
        .arg("match")
        .arg(venue)
        .args(["--date", "2026-12-21"])
        .assert()
        .code(2)
        .stdout("")
        .stderr(contains("does not rise").and(contains("8.4 degrees under")));
    assert!(!home.path().join("output").exists());
}

#[test]
fn a_file_in_place_of_the_folder_is_named_and_kept() {
    let home = tempdir().unwrap();
    fs::write(home.path().join("taken"), b"mine").unwrap();
    in_folder(home.path())
        .args(["match", DEMO, "--step", "60", "--into", "taken"])
        .assert()
        .code(2)
        .stdout("")
        .stderr(contains("`taken`").and(contains("--into")));
    assert_eq!(fs::read(home.path().join("taken")).unwrap(), b"mine");
}

/// Nobody, not even the root user, makes a folder in /proc (proc(5)).
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_cannot_be_made_is_our_failure() {
    let home = tempdir().unwrap();
    in_folder(home.path())
        .args(["match", DEMO, "--step", "60", "--into", "/proc/quarterstop"])
        .assert()
        .code(1)
        .stderr(contains("/proc/quarterstop"));
}

/// A limit of 1 block of 1024 bytes on every file, as a full disc would be: the
/// run stops in the middle of its first large file.
#[cfg(target_os = "linux")]
#[test]
fn a_run_that_is_cut_off_leaves_no_half_file() {
    let home = tempdir().unwrap();
    let folder = home.path().join("here");
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("match.csv"), b"older").unwrap();
    let line = r#"ulimit -f 1; exec "$0" match "$1" --step 30 --into here"#;
    Command::new("bash")
        .current_dir(home.path())
        .args(["-c", line, env!("CARGO_BIN_EXE_quarterstop"), DEMO])
        .assert()
        .failure();
    let visible: Vec<String> =
        names(&folder).into_iter().filter(|n| !n.starts_with(".unfinished-")).collect();
    assert_eq!(visible, ["match.csv"]);
    assert_eq!(fs::read(folder.join("match.csv")).unwrap(), b"older");
}

#[test]
fn check_says_what_the_file_holds() {
    let home = tempdir().unwrap();
    in_folder(home.path())
        .args(["check", DEMO])
        .assert()
        .success()
        .stdout(contains("5 cameras").and(contains("The file is sound.")))
        .stderr("");
    assert!(names(home.path()).is_empty());
}

/// JSON Schema draft 2020-12, by the crate `jsonschema`.
#[test]
fn the_demo_holds_to_the_schema_of_the_venue_file() {
    let home = tempdir().unwrap();
    let run = in_folder(home.path()).args(["schema", "venue"]).assert().success();
    let schema: Value = serde_json::from_slice(&run.get_output().stdout).unwrap();
    let table: toml::Table = fs::read_to_string(DEMO).unwrap().parse().unwrap();
    let demo = serde_json::to_value(table).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let errors: Vec<String> = validator.iter_errors(&demo).map(|e| e.to_string()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    assert!(!validator.is_valid(&serde_json::json!({ "nothing": 1 })));
}

/// Sky and air say what every figure holds for; words that mean nothing are refused
/// with what is allowed.
#[test]
fn sky_and_air_are_chosen_and_told() {
    let home = tempdir().unwrap();
    let run = |into: &str, options: &[&str]| {
        in_folder(home.path())
            .args(["match", DEMO, "--step", "60", "--into", into])
            .args(options)
            .assert()
            .success();
        json(&home.path().join(into))
    };
    let clear = run("clear", &[]);
    let thin = run("thin", &["--sky", "thin", "--direct-share", "0.4", "--air", "haze,water_cm=1"]);
    assert_eq!((&thin["sky"], &thin["thin_cloud_direct_share"]), (&"thin".into(), &0.4.into()));
    assert_eq!(thin["air"]["aerosol_500nm"], 0.6);
    assert_eq!(thin["air"]["water_cm"], 1.0);
    let direct = |v: &Value| v["instants"][0]["daylight"]["direct_normal_lx"].as_f64().unwrap();
    assert!(direct(&thin) < 0.4 * direct(&clear));
    let broken = run("broken", &["--sky", "broken", "--hold", "1.5"]);
    assert_eq!(direct(&broken), direct(&clear));
    assert_eq!(broken["floodlight_to_hold"]["most_stops"], 1.5);
    let cumulus = run("cumulus", &["--sky", "cumulus", "--count-from", "penalty spot ahead"]);
    assert_eq!(direct(&cumulus), 0.0);
    assert_eq!(cumulus["light_maps"][0]["reference"], "penalty spot ahead");
    for (options, said) in [
        (vec!["--direct-share", "0.4"], "--sky thin"),
        (vec!["--sky", "thin", "--direct-share", "0"], "from 0.02 to 1"),
        (vec!["--air", "smog"], "standard, washed, summer"),
        (vec!["--air", "water_cm=99"], "from 0 to 10"),
        (vec!["--hold", "-1"], "from 0.1 to 8"),
        (vec!["--count-from", "nowhere"], "centre spot"),
    ] {
        let run = in_folder(home.path()).args(["match", DEMO]).args(&options).assert();
        run.code(2).stderr(contains(said));
    }
}
