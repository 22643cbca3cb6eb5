//! The forecast of the day on the live page and on the wall, against what the command writes.

use std::fs;
use std::process::Command;

use serde_json::{Value, json};

use crate::serve_support::{Session, demo};

const HOURS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo-forecast.csv");

fn quarterstop(words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.args(words);
    command
}

/// A rehearsal of the demo with its forecast.
fn rehearsal() -> Session {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("ground.toml");
    fs::copy(demo("football-demo"), &file).unwrap();
    let words = ["live", "--no-browser", "--rehearse", "14:50", "--forecast", HOURS];
    let mut command = quarterstop(&words);
    command.arg(&file);
    Session::started(command, home, file)
}

/// What `quarterstop forecast` makes of the demo.
fn by_the_command() -> Value {
    let home = tempfile::tempdir().unwrap();
    let ground = demo("football-demo");
    let made = quarterstop(&["forecast", ground.to_str().unwrap(), HOURS, "--into", "out"])
        .current_dir(home.path())
        .output()
        .unwrap();
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    serde_json::from_slice(&fs::read(home.path().join("out/forecast.json")).unwrap()).unwrap()
}

fn index_of(outlook: &Value, epoch_s: i64) -> usize {
    let times = outlook["epoch_s"].as_array().unwrap();
    times.iter().position(|at| at.as_i64() == Some(epoch_s)).unwrap()
}

#[test]
fn the_day_says_by_minute_what_the_command_says() {
    let session = rehearsal();
    let plan = session.get("/api/day/plan").ok();
    let outlook = session.get("/api/day/forecast").ok();
    assert_eq!(outlook["epoch_s"], plan["epoch_s"]);
    let command = by_the_command();
    let minutes = command["minutes"].as_array().unwrap();
    for (minute, sun) in minutes.iter().zip(outlook["sun"].as_array().unwrap()) {
        assert!((minute["sun"].as_f64().unwrap() - sun.as_f64().unwrap()).abs() < 1e-3);
    }
    let stretches = |of: &Value| of["stretches"].as_array().unwrap().len();
    assert_eq!(stretches(&outlook), stretches(&command));
    // T-numbers of the middle of the first half stand at its minute
    let kickoff = plan["milestones"][0]["epoch_s"].as_i64().unwrap();
    let middle = index_of(&outlook, kickoff + 22 * 60);
    let names: Vec<&Value> =
        plan["cameras"].as_array().unwrap().iter().map(|camera| &camera["name"]).collect();
    let mut compared = 0;
    for ready in command["ready"].as_array().unwrap() {
        if ready["run"] != command["ready"][0]["run"] {
            continue;
        }
        let camera = names.iter().position(|name| **name == ready["camera"]).unwrap();
        for key in ["sun_t", "shade_t", "cloud_t"] {
            let by_minute = outlook["cameras"][camera][key][middle].as_f64();
            let by_command = ready[key].as_f64();
            assert_eq!(by_minute.is_some(), by_command.is_some(), "{key}");
            let Some((t, other)) = by_minute.zip(by_command) else { continue };
            assert!((2.0 * (t / other).log2()).abs() < 0.1, "{key}: {t} for {}", ready["camera"]);
            compared += 1;
        }
    }
    assert!(compared >= 12, "{compared}");
    // the expected split lies within its range, and somewhere there is one
    let splits = |camera: &Value| camera["split"].as_array().unwrap().clone();
    let all: Vec<Value> = outlook["cameras"].as_array().unwrap().iter().flat_map(splits).collect();
    let number = |split: &Value, k: usize| split[k].as_f64().unwrap();
    assert!(all.iter().all(|s| number(s, 1) <= number(s, 2)));
    assert!(all.iter().any(|s| number(s, 0) > 1.0 && number(s, 2) > number(s, 1)));

    // a late kickoff takes the outlook with it
    let late = json!({ "what": { "event": "moment", "moment": 0, "name": "" }, "at": "15:15" });
    session.post("/api/day/enter", &late).ok();
    let plan = session.get("/api/day/plan").ok();
    let later = session.get("/api/day/forecast").ok();
    assert_eq!(later["epoch_s"], plan["epoch_s"]);
    assert_ne!(later["epoch_s"], outlook["epoch_s"]);
    let (at, before) = (index_of(&later, kickoff + 3600), index_of(&outlook, kickoff + 3600));
    assert_eq!(later["sun"][at], outlook["sun"][before]);
}

#[test]
fn a_newer_forecast_takes_the_place_of_the_one_before() {
    let session = rehearsal();
    let hours = fs::read_to_string(HOURS).unwrap();
    let held = session.get("/api/day").ok()["forecast"].clone();
    assert_eq!((&held["number"], &held["members"]), (&json!(1), &json!(6)));
    // in the words of the command, and the one before stays
    let other_day = hours.replace("2027-10-16", "2027-10-18");
    for (text, said) in [
        (other_day, "says nothing about 2027-10-16"),
        (hours.replace("52.31,-0.42", "41.0,2.0"), "km from the venue"),
        ("time,cover_total_percent\n2027-10-16T15:00+01:00,140\n".into(), "allowed: 0 to 100"),
    ] {
        let answer =
            session.post("/api/day/forecast", &json!({ "file": "newer.csv", "text": text }));
        assert_eq!(answer.status, 422);
        assert!(answer.problem().contains(said), "{}", answer.problem());
    }
    assert_eq!(session.get("/api/day").ok()["forecast"], held);
    let heard = std::thread::spawn({
        let events = session.events();
        move || events.into_iter().find(|line| line == "event: forecast")
    });
    std::thread::sleep(std::time::Duration::from_millis(500));
    let overcast = "time,cover_total_percent,rain_mm\n2027-10-16T12:00+01:00,100,1\n\
                    2027-10-16T15:00+01:00,100,1\n2027-10-16T18:00+01:00,100,1\n";
    let newer = json!({ "file": "newer.csv", "text": overcast });
    let taken = session.post("/api/day/forecast", &newer).ok();
    assert_eq!(taken["left_out"], "columns of the forecast that are not read: rain_mm");
    assert!(heard.join().unwrap().is_some());
    session.get("/api/day/plan").ok();
    let outlook = session.get("/api/day/forecast").ok();
    assert!(outlook["sun"].as_array().unwrap().iter().all(|sun| sun == 0.0));
    // the plan of the page has it as well
    let asked =
        format!("/api/plan?revision={}&date=2027-10-16&start=15:00&step=15", session.revision());
    assert_eq!(session.get(&asked).ok()["forecast"]["minutes"][0], "Sun 0 %");
    session.post("/api/day/forecast", &json!({ "file": "" })).ok();
    assert_eq!(session.get("/api/day/forecast").ok(), Value::Null);
    assert_eq!(session.get(&asked).ok()["forecast"], Value::Null);
}

#[test]
fn a_forecast_that_is_none_is_refused_before_anything_is_served() {
    let home = tempfile::tempdir().unwrap();
    let hours = fs::read_to_string(HOURS).unwrap().replace("2027-10-16", "2027-10-18");
    fs::write(home.path().join("day.csv"), hours).unwrap();
    let ground = demo("football-demo");
    let words = ["live", ground.to_str().unwrap(), "--no-browser", "--forecast", "day.csv"];
    let out = quarterstop(&words).current_dir(home.path()).output().unwrap();
    assert_eq!(out.status.code(), Some(2));
    assert!(out.stdout.is_empty());
    let said = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(said.contains("says nothing about 2027-10-16"), "{said}");
}
