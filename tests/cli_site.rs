//! Commands on a site from end to end: the real binary, the demo with three courts, an empty
//! folder.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::tempdir;

use crate::render_support::marks::assert_picture_file;

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/tennis-site-demo.toml");

fn run(folder: &Path, words: &[&str]) -> std::process::Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.current_dir(folder).args(words).output().unwrap()
}

fn said(output: &std::process::Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

#[test]
fn a_command_that_needs_a_field_lists_them() {
    let home = tempdir().unwrap();
    for words in [&["look-up", DEMO][..], &["positions", DEMO], &["on-air", DEMO]] {
        let output = run(home.path(), words);
        let told = said(&output);
        assert_eq!(output.status.code(), Some(2), "{told}");
        assert!(told.contains("--field: \"Court 1\", \"Court 2\", \"Court 3\""), "{told}");
    }
    let output = run(home.path(), &["match", DEMO, "--field", "Court 4"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(said(&output).contains("no field \"Court 4\""), "{}", said(&output));
    let seen = DEMO.replace("tennis-site-demo", "football-demo-seen");
    for words in [&["sensitivity", DEMO][..], &["fit", DEMO, "--seen", &seen]] {
        let output = run(home.path(), words);
        assert_eq!(output.status.code(), Some(2));
        assert!(said(&output).contains("--field: \"Court 1\""), "{}", said(&output));
    }
    // a file of one field takes no name
    let one = DEMO.replace("tennis-site-demo", "tennis-demo");
    let output = run(home.path(), &["match", &one, "--field", "Court 1", "--data-only"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(said(&output).contains("the file of one field"), "{}", said(&output));
    assert_eq!(fs::read_dir(home.path()).unwrap().count(), 0);
}

#[test]
fn without_a_field_each_gets_a_folder_and_a_page_shows_all() {
    let home = tempdir().unwrap();
    let output = run(home.path(), &["check", DEMO, "--into", "all"]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let all = home.path().join("all");
    for court in ["court-1", "court-2", "court-3"] {
        assert_picture_file(&all.join(court), "ground-plan.svg");
    }
    let page = fs::read_to_string(all.join("fields.html")).unwrap();
    assert!(page.contains("href=\"court-2/ground-plan.svg\""));
    assert_eq!(page.matches("data:image/svg+xml;base64,").count(), 3);
    // one field alone is what it is among all
    let output = run(home.path(), &["check", DEMO, "--into", "one", "--field", "Court 2"]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let plan = |path: &str| fs::read(home.path().join(path).join("ground-plan.svg")).unwrap();
    assert_eq!(plan("one"), plan("all/court-2"));
}

/// A camera of two courts stands in one place: what it needs on the court that it comes from is
/// what `brief` of that court says for that minute, and so on the court that it comes to.
#[test]
fn the_order_follows_play_from_field_to_field() {
    let home = tempdir().unwrap();
    let output = run(home.path(), &["order", DEMO, "--into", "day"]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let day = home.path().join("day");
    assert_picture_file(&day, "order.svg");
    let page = fs::read_to_string(day.join("order.html")).unwrap();
    for part in ["Court 3", "Match 6", "Cameras that turn to it", "Never look at the sun"] {
        assert!(page.contains(part), "{part}");
    }
    let data: Value = serde_json::from_slice(&fs::read(day.join("order.json")).unwrap()).unwrap();
    let validator = jsonschema::validator_for(&quarterstop::jobs::order::data::schema()).unwrap();
    let wrong: Vec<String> = validator.iter_errors(&data).map(|e| e.to_string()).collect();
    assert!(wrong.is_empty(), "{wrong:?}");
    let stretches = data["stretches"].as_array().unwrap();
    let fields: Vec<&str> = stretches.iter().map(|s| s["field"].as_str().unwrap()).collect();
    assert_eq!(fields, ["Court 1", "Court 3", "Court 1", "Court 2", "Court 1", "Court 1"]);
    let camera = |stretch: usize, name: &str| {
        let cameras = stretches[stretch]["cameras"].as_array().unwrap();
        cameras.iter().find(|c| c["name"] == name).unwrap().clone()
    };
    // the tower serves Courts 1 and 2: it turns at 14:50 and back at 15:20, not at 12:45
    assert!(stretches[1]["cameras"].as_array().unwrap().iter().all(|c| c["name"] != "6 tower"));
    assert!(camera(2, "6 tower")["from_field"].is_null());
    let turned = camera(3, "6 tower");
    assert_eq!(turned["from_field"], "Court 1");

    for court in ["Court 1", "Court 2"] {
        let output = run(home.path(), &["brief", DEMO, "--field", court, "--into", court]);
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    }
    let row = |court: &str| {
        let mut reader = csv::Reader::from_path(home.path().join(court).join("settings.csv"));
        let reader = reader.as_mut().unwrap();
        let head = reader.headers().unwrap().clone();
        let column = move |name: &str| head.iter().position(|h| h == name).unwrap();
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        let found = rows.into_iter().find(|row| {
            row[column("time")].starts_with("2027-06-12T14:50")
                && &row[column("camera")] == "6 tower"
        });
        let found = found.unwrap();
        let number = |name: &str| found[column(name)].parse::<f64>().unwrap();
        (number("nd_stops"), number("one_t"))
    };
    for (court, set) in [("Court 1", &turned["set_before"]), ("Court 2", &turned["set"])] {
        let (nd, t) = row(court);
        assert_eq!(set["nd_stops"].as_f64().unwrap(), nd, "{court}");
        assert!((set["one_t"].as_f64().unwrap() - t).abs() < 0.011, "{court} {set} {t}");
    }
    // two stops of ND are two stops, a T-number counts twice its logarithm
    let number = |set: &Value, key: &str| set[key].as_f64().unwrap();
    let (was, is) = (&turned["set_before"], &turned["set"]);
    let by_setting = number(is, "nd_stops") - number(was, "nd_stops")
        + 2.0 * (number(is, "one_t") / number(was, "one_t")).log2();
    assert!((by_setting - turned["brighter_stops"].as_f64().unwrap()).abs() < 0.02);

    // the table says the same, a row each
    let mut reader = csv::Reader::from_path(day.join("order.csv")).unwrap();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.iter().filter(|row| &row[3] == "field").count(), 6);
    let plain = DEMO.replace("tennis-site-demo", "tennis-demo");
    let output = run(home.path(), &["order", &plain]);
    assert_eq!(output.status.code(), Some(2));
    assert!(said(&output).contains("has no order of play"), "{}", said(&output));
}
