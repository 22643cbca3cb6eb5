//! `quarterstop ball` as the real binary.

use assert_cmd::Command;
use predicates::prelude::*;
use predicates::str::contains;

const DEMO: &str = "venues/football-demo.toml";

fn ball_at(venue: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.env_remove("NO_COLOR").args(["ball", venue]);
    command
}

fn ball() -> Command {
    ball_at(DEMO)
}

/// What was printed, without its breaks of lines.
fn flat(printed: &[u8]) -> String {
    let text = String::from_utf8(printed.to_vec()).unwrap();
    text.split_whitespace().collect::<Vec<&str>>().join(" ")
}

#[test]
fn a_high_kick_writes_whole_files_that_say_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("new");
    let run = ball()
        .args(["--camera", "1 main wide", "--from", "-47,0", "--to", "5,-8", "--apex-m", "24"])
        .args(["--wind-m-per-s", "4", "--wind-from-deg", "250", "--into"])
        .arg(&into)
        .assert()
        .success()
        .stderr("");
    let told = flat(&run.get_output().stdout);
    for words in [
        "highest 24.0 m",
        "wind 4.0 m/s from 250 degrees",
        "Behind the ball",
        "turf in",
        "Background on level:",
        "Ball to be seen:",
        "Never look at the sun",
    ] {
        assert!(told.contains(words), "{words}\n{told}");
    }
    let bytes = |name: &str| std::fs::read(into.join(name)).unwrap();
    assert!(bytes("ball-1-main-wide.svg").starts_with(b"<svg"));
    assert!(bytes("ball-1-main-wide.png").starts_with(b"\x89PNG"));
    let json: serde_json::Value = serde_json::from_slice(&bytes("ball-1-main-wide.json")).unwrap();
    jsonschema::validate(&quarterstop::report::ball::schema(), &json).unwrap();
    assert!((json["flight"]["apex_m"].as_f64().unwrap() - 24.0).abs() < 0.05);
    let to = json["flight"]["to_m"].as_array().unwrap();
    assert!((to[0].as_f64().unwrap() - 5.0).abs() < 0.05);
    assert!((to[1].as_f64().unwrap() + 8.0).abs() < 0.05);
    // backgrounds follow each other without gaps of more than a change
    let behind = json["behind"].as_array().unwrap();
    for pair in behind.windows(2) {
        let (until, from) =
            (pair[0]["until_s"].as_f64().unwrap(), pair[1]["from_s"].as_f64().unwrap());
        assert!((0.0..=1e-3).contains(&(from - until)));
    }
    let csv = String::from_utf8(bytes("ball-1-main-wide.csv")).unwrap();
    let rows: Vec<&str> = csv.trim_end().split("\r\n").collect();
    assert!(rows[0].starts_with("t_s,along_m,across_m,up_m,distance_m,pan_deg"));
    assert!(rows.len() > 60);
    assert!(rows.iter().all(|row| row.split(',').count() == rows[0].split(',').count()));
    assert_eq!(std::fs::read_dir(&into).unwrap().count(), 4);
}

#[test]
fn what_cannot_be_struck_is_refused_together() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("new");
    ball()
        .args(["--from", "nowhere", "--to", "0,0,-3", "--stroke", "driver", "--into"])
        .arg(&into)
        .assert()
        .code(2)
        .stdout("")
        .stderr(
            contains("no mark \"nowhere\"").and(contains("starts and ends at 0 m or more")).and(
                contains("no stroke \"driver\" of a football ball").and(contains("goal kick")),
            ),
        );
    assert!(!into.exists());
    ball()
        .args(["--from", "0,0", "--to", "30,0", "--apex-m", "4", "--hang-s", "9", "--into"])
        .arg(&into)
        .assert()
        .code(2)
        .stderr(contains("give only one of the two"));
    ball()
        .args(["--camera", "9", "--from", "0,0", "--to", "30,0"])
        .assert()
        .code(2)
        .stderr(contains("no camera \"9\"").and(contains("1 main wide")));
    // a ground without floodlights
    ball_at("venues/tennis-demo.toml")
        .args(["--from", "0,0", "--to", "10,0", "--at", "23:30"])
        .assert()
        .code(2)
        .stderr(contains("no light to see a ball by"));
    ball().args(["--from", "0,0", "--to", "30,0", "--apex-m", "NaN"]).assert().code(2);
    ball().args(["--from", "0,0", "--to", "0,0"]).assert().code(2).stderr(contains("same place"));
}
