//! Commands that the live page runs: progress, a stop, files, and nothing beyond.

use std::fs;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::serve_support::{PATIENCE, Session};

fn over(session: &Session, id: &Value) -> Value {
    let begun = Instant::now();
    loop {
        let jobs = session.get("/api/jobs").ok();
        let job = jobs.as_array().unwrap().iter().find(|job| job["id"] == *id).unwrap().clone();
        if ["done", "failed", "stopped"].contains(&job["state"].as_str().unwrap()) {
            return job;
        }
        assert!(begun.elapsed() < 4 * PATIENCE, "{job}");
        thread::sleep(Duration::from_millis(100));
    }
}

#[test]
fn a_brief_is_made_of_the_ground_as_it_is_now() {
    let session = Session::of("football-demo");
    session.set("field.bearing_deg", 40.0).ok();
    let request =
        json!({ "command": "brief", "options": { "--step": "30", "--tell-splits": [1.5, "3"] } });
    let id = session.post("/api/jobs", &request).ok()["id"].clone();
    let job = over(&session, &id);
    assert_eq!((&job["state"], &job["command"]), (&json!("done"), &json!("brief")), "{job}");
    let files: Vec<&str> =
        job["files"].as_array().unwrap().iter().map(|f| f.as_str().unwrap()).collect();
    for file in ["brief.html", "board.html", "brief.pdf", "cues.ics", "brief.json", "summary.txt"] {
        assert!(files.contains(&file), "{files:?}");
    }
    let board = session.get(&format!("/api/jobs/{id}/files/board.html"));
    assert_eq!(board.status, 200);
    assert!(board.header("content-disposition").unwrap().starts_with("attachment"));
    let revision = session.revision();
    let path = format!("/api/plan?revision={revision}&date=2027-10-16&start=15:00&step=30");
    let north = session.get(&path).ok()["field"]["north_deg"].clone();
    // the bearing of the demo counts from magnetic north, 0.7 degrees east of true north
    assert_eq!(north, 319.3);
    assert!(String::from_utf8_lossy(&board.body).contains("\"north_deg\":319.3"));
    // what is opened may run its own scripts, without the rights of this server's pages
    let opened = session.get(&format!("/api/jobs/{id}/files/board.html?open=1"));
    assert!(opened.header("content-disposition").unwrap().starts_with("inline"));
    let policy = opened.header("content-security-policy").unwrap();
    assert!(policy.starts_with("sandbox ") && !policy.contains("allow-same-origin"), "{policy}");
    for name in ["..%2f..%2fground.toml", "ground.toml", "%2e%2e", ".."] {
        assert_eq!(session.get(&format!("/api/jobs/{id}/files/{name}")).status, 404, "{name}");
    }
    // nothing is left in the folder of the ground
    assert_eq!(fs::read_dir(session.home.path()).unwrap().count(), 1);
}

#[test]
fn a_long_job_shows_how_far_it_is_and_can_be_stopped() {
    let session = Session::of("tennis-demo");
    let request = json!({ "command": "year", "options": { "--year": 2027, "--step": "10" } });
    let id = session.post("/api/jobs", &request).ok()["id"].clone();
    let second = session.post("/api/jobs", &json!({ "command": "places" })).ok()["id"].clone();
    let begun = Instant::now();
    let job = loop {
        let job = session.get("/api/jobs").ok()[0].clone();
        let lines = job["lines"].as_array().unwrap();
        if lines.iter().any(|line| line.as_str().unwrap().ends_with(" %")) {
            break job;
        }
        assert!(begun.elapsed() < 4 * PATIENCE && job["state"] != "failed", "{job}");
        thread::sleep(Duration::from_millis(50));
    };
    assert_eq!(job["state"], "running");
    assert_eq!(session.get("/api/jobs").ok()[1]["state"], "waiting");
    session.post(&format!("/api/jobs/{id}/stop"), &json!({})).ok();
    assert_eq!(over(&session, &id)["state"], "stopped");
    // the next has its turn
    let places = over(&session, &second);
    assert_eq!(places["state"], "done");
    let printed = session.get(&format!("/api/jobs/{second}/files/summary.txt"));
    assert!(String::from_utf8_lossy(&printed.body).contains("net centre"));
    assert_eq!(session.post("/api/jobs/99/stop", &json!({})).status, 404);
    let mut events = session.events();
    while !events.next().unwrap().is_empty() {}
    let id = session.post("/api/jobs", &json!({ "command": "places" })).ok()["id"].clone();
    let done = events.find(|line| line.contains("\"done\":true")).unwrap();
    let event: Value = serde_json::from_str(&done["data: ".len()..]).unwrap();
    assert_eq!(event, json!({ "id": id, "line": "done", "done": true }));
}

#[test]
fn observations_that_come_along_are_fitted() {
    let session = Session::of("football-demo");
    let seen = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo-seen.toml");
    let text = fs::read_to_string(seen).unwrap();
    let request = json!({
        "command": "fit",
        "options": { "--seen": "recce.toml", "--json": "fit.json" },
        "files": { "recce.toml": text },
    });
    let id = session.post("/api/jobs", &request).ok()["id"].clone();
    let job = over(&session, &id);
    assert_eq!(job["state"], "done", "{job}");
    let fit = session.get(&format!("/api/jobs/{id}/files/fit.json")).ok();
    assert!(fit.is_object());
}

#[test]
fn only_what_the_command_line_allows_is_run() {
    let session = Session::of("tennis-demo");
    for (request, told) in [
        (json!({ "command": "live" }), "allowed: match"),
        (json!({ "command": "import" }), "allowed: match"),
        (json!({ "command": "manual" }), "allowed: match"),
        (json!({ "command": "brief", "options": { "--step": "0" } }), "1"),
        (json!({ "command": "brief", "options": { "--sky": "green" } }), "green"),
        (json!({ "command": "brief", "options": { "--nonsense": true } }), "--nonsense"),
        (json!({ "command": "brief", "options": { "--step": {} } }), "--step"),
        (json!({ "command": "match", "options": { "--data-only": "yes" } }), "no value"),
        (json!({ "command": "match", "options": { "--into": "/tmp/x.json" } }), "file name"),
        (json!({ "command": "match", "options": { "VENUE": "/etc/passwd" } }), "file name"),
        (json!({ "command": "odds" }), "EPW"),
        (json!({ "command": "fit" }), "--seen"),
        (json!({ "command": "fit", "options": { "--seen": "../x.toml" } }), "file name"),
        (json!({ "command": "fit", "files": { "../x.toml": "" } }), "file name"),
        (json!({ "command": "fit", "files": { "list.csv": "" } }), "file name"),
    ] {
        let answer = session.post("/api/jobs", &request);
        assert!([404, 422].contains(&answer.status), "{request}: {}", answer.status);
        assert!(answer.problem().contains(told), "{request}: {}", answer.problem());
    }
    assert_eq!(session.get("/api/jobs").ok(), json!([]));
}
