//! Data of others through the live page: what the import commands write, as one change.

use std::fs;
use std::path::Path;
use std::process::Command;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::serve_support::{Answer, PATIENCE, Session};

/// A house 100 m north of the demo's centre of play, and one thing that is no outline.
const MAP: &str = r#"{"type":"FeatureCollection","features":[
  {"type":"Feature","properties":{"building":"yes","height":"12","name":"Long Barn"},
   "geometry":{"type":"Polygon","coordinates":[[[-0.4203,52.3109],[-0.4197,52.3109],
     [-0.4197,52.3111],[-0.4203,52.3111],[-0.4203,52.3109]]]}},
  {"type":"Feature","properties":{"name":"a way"},
   "geometry":{"type":"LineString","coordinates":[[-0.42,52.31],[-0.42,52.311]]}}]}"#;
/// A pitch and a house, for a ground from nothing.
const PITCH: &str = r#"{"type":"FeatureCollection","features":[
  {"type":"Feature","properties":{"leisure":"pitch","sport":"soccer","name":"Low Meadow"},
   "geometry":{"type":"Polygon","coordinates":[[[-0.4205,52.3095],[-0.4195,52.3095],
     [-0.4195,52.31043],[-0.4205,52.31043],[-0.4205,52.3095]]]}}]}"#;
const SKYLINE: &str = "azimuth_deg,elevation_deg\n0,2\n90,4.5\n180,1\n270,3\n";
/// A box of 10 by 20 by 8 m.
const MODEL: &str = "o Box\nv 0 0 0\nv 10 0 0\nv 10 20 0\nv 0 20 0\nv 0 0 8\nv 10 0 8\nv 10 20 8\n\
    v 0 20 8\nf 4 3 2 1\nf 5 6 7 8\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n";

fn send(session: &Session, name: &str, bytes: &str, kind: &str) -> Answer {
    let cookie = format!("Cookie: {}", session.cookie());
    let kind = format!("Content-Type: {kind}");
    let lines = [&session.host(), &cookie, "X-Quarterstop: live", &kind];
    session.send("POST", &format!("/api/dropped/{name}"), &lines, bytes)
}

fn drop_file(session: &Session, name: &str, bytes: &str) {
    send(session, name, bytes, "application/octet-stream").ok();
}

fn run(session: &Session, request: &Value) -> Value {
    let id = session.post("/api/jobs", request).ok()["id"].clone();
    let begun = Instant::now();
    loop {
        let jobs = session.get("/api/jobs").ok();
        let job = jobs.as_array().unwrap().iter().find(|job| job["id"] == id).unwrap().clone();
        if ["done", "failed", "stopped"].contains(&job["state"].as_str().unwrap()) {
            return job;
        }
        assert!(begun.elapsed() < PATIENCE, "{job}");
        thread::sleep(Duration::from_millis(50));
    }
}

/// What the command itself writes and says, from the same files.
fn by_hand(ground: &str, words: &[&str], file: &str, bytes: &str) -> (String, String) {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("ground.toml"), ground).unwrap();
    fs::write(home.path().join(file), bytes).unwrap();
    let done = Command::new(env!("CARGO_BIN_EXE_quarterstop"))
        .arg("import")
        .args(words)
        .args(["--onto", "ground.toml", "--into", "result.toml"])
        .current_dir(home.path())
        .output()
        .unwrap();
    let text = fs::read_to_string(home.path().join("result.toml")).unwrap_or_default();
    (text, String::from_utf8(done.stderr).unwrap())
}

fn names(folder: &Path) -> Vec<String> {
    let mut all: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    all.sort();
    all
}

#[test]
fn what_is_dropped_becomes_what_the_command_writes_and_undo_takes_it_back() {
    for (command, file, bytes, options, heading) in [
        ("import outlines", "map.geojson", MAP, json!({ "--within-m": 300 }), "[[solid]]"),
        ("import horizon", "sky.csv", SKYLINE, json!({ "--declination-deg": 0.5 }), "[horizon]"),
        (
            "import mesh",
            "box.obj",
            MODEL,
            json!({ "--metres-per-unit": 1, "--up": "z", "--at": "0,-60,0" }),
            "[[mesh]]",
        ),
    ] {
        let session = Session::of("football-demo");
        let before = session.on_disk();
        let mut words = vec![command.split(' ').nth(1).unwrap().to_owned(), file.to_owned()];
        for (name, value) in options.as_object().unwrap() {
            words.push(format!("{name}={}", value.to_string().trim_matches('"')));
        }
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        let (wanted, _) = by_hand(&before, &words, file, bytes);
        assert!(wanted.contains(heading) && wanted != before, "{command}: {wanted}");

        drop_file(&session, file, bytes);
        let mut request = json!({ "command": command, "dropped": [file], "options": options });
        request["options"]["FILE"] = json!(file);
        let job = run(&session, &request);
        assert_eq!(job["state"], "done", "{job}");
        let ground = session.wait("the file brought in", |ground| ground["saved"] == true);
        assert_eq!(ground["text"], wanted.as_str(), "{command}");
        assert_eq!(session.on_disk(), wanted);
        let history = ground["history"].as_array().unwrap();
        assert_eq!(history.last().unwrap(), &json!(format!("{file} brought in")));
        let beside =
            if command == "import mesh" { vec![file, "ground.toml"] } else { vec!["ground.toml"] };
        assert_eq!(names(session.home.path()), beside, "{command}");
        let printed = session.get(&format!("/api/jobs/{}/files/summary.txt", job["id"]));
        assert!(!printed.body.is_empty());
        session.post("/api/undo", &json!({ "revision": ground["revision"] })).ok();
        assert_eq!(session.on_disk(), before, "{command}: back to the first byte");
    }
}

#[test]
fn a_file_that_does_not_read_changes_nothing_and_is_told_as_by_the_command() {
    let session = Session::of("football-demo");
    let before = session.on_disk();
    let broken = "azimuth_deg,elevation_deg\n0,two\n";
    let (_, said) = by_hand(&before, &["horizon", "sky.csv"], "sky.csv", broken);
    let said = said.lines().next().unwrap();
    assert!(said.starts_with("error: "), "{said}");
    drop_file(&session, "sky.csv", broken);
    let request = json!({
        "command": "import horizon", "dropped": ["sky.csv"], "options": { "FILE": ["sky.csv"] },
    });
    let job = run(&session, &request);
    assert_eq!(job["state"], "failed", "{job}");
    let lines = job["lines"].as_array().unwrap();
    assert!(lines.iter().any(|line| line == said), "{said}: {job}");
    assert_eq!(session.on_disk(), before);
    assert_eq!(session.revision(), 1);
}

#[test]
fn a_map_makes_a_ground_where_none_is_open() {
    let session = Session::empty();
    drop_file(&session, "map.geojson", PITCH);
    let request = |file: &str| {
        json!({
            "command": "import outlines", "dropped": ["map.geojson"], "new_file": file,
            "options": { "FILE": "map.geojson", "--zone": "Europe/London", "--height-m": "38" },
        })
    };
    let job = run(&session, &request("ground.toml"));
    assert_eq!(job["state"], "done", "{job}");
    let ground = session.ground();
    assert_eq!((&ground["title"], &ground["file"]), (&json!("Low Meadow"), &json!("ground.toml")));
    // never over a file that is there
    drop_file(&session, "map.geojson", PITCH);
    let refused = session.post("/api/jobs", &request("ground.toml"));
    assert_eq!(refused.status, 422);
    assert!(refused.problem().contains("already"), "{}", refused.problem());
}

#[test]
fn only_files_that_are_read_are_kept_and_only_from_the_page() {
    let session = Session::of("football-demo");
    for name in ["..%2fground.csv", "%2e%2e", "ground.toml", "run.sh", ".csv"] {
        let answer = send(&session, name, "x", "application/octet-stream");
        assert!([404, 422].contains(&answer.status), "{name}: {}", answer.status);
    }
    // a form of another page could send this
    assert_eq!(send(&session, "sky.csv", SKYLINE, "text/plain").status, 400);
    assert_eq!(send(&session, "sky.csv", SKYLINE, "application/json").status, 400);
    let undropped = json!({
        "command": "import horizon", "dropped": ["sky.csv"], "options": { "FILE": "sky.csv" },
    });
    assert_eq!(session.post("/api/jobs", &undropped).status, 404);
    drop_file(&session, "sky.csv", SKYLINE);
    for option in ["--onto", "--into"] {
        let mut request = undropped.clone();
        request["options"][option] = json!("ground.toml");
        let answer = session.post("/api/jobs", &request);
        assert!([404, 422].contains(&answer.status), "{option}: {}", answer.status);
        drop_file(&session, "sky.csv", SKYLINE);
    }
    assert_eq!(names(session.home.path()), ["ground.toml"]);
}

/// A change that comes while the command runs must not be written over.
#[test]
fn a_ground_that_moved_on_meanwhile_is_left_alone() {
    let session = Session::of("football-demo");
    drop_file(&session, "sky.csv", SKYLINE);
    // another job holds the only turn meanwhile
    let long = json!({ "command": "year", "options": { "--year": 2027, "--step": "10" } });
    let long = session.post("/api/jobs", &long).ok()["id"].clone();
    let request = json!({
        "command": "import horizon", "dropped": ["sky.csv"], "options": { "FILE": "sky.csv" },
    });
    let id = session.post("/api/jobs", &request).ok()["id"].clone();
    session.set("stand[0].back_height_m", 15.0).ok();
    let text = session.on_disk();
    session.post(&format!("/api/jobs/{long}/stop"), &json!({})).ok();
    let begun = Instant::now();
    let job = loop {
        let jobs = session.get("/api/jobs").ok();
        let job = jobs.as_array().unwrap().iter().find(|job| job["id"] == id).unwrap().clone();
        if job["state"] == "failed" || job["state"] == "done" {
            break job;
        }
        assert!(begun.elapsed() < PATIENCE, "{job}");
        thread::sleep(Duration::from_millis(50));
    };
    assert_eq!(job["state"], "failed", "{job}");
    assert!(job.to_string().contains("the ground has changed since"), "{job}");
    assert_eq!(session.on_disk(), text);
}
