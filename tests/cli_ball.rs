//! `quarterstop ball` as the real binary.

use assert_cmd::Command;
use predicates::prelude::*;
use predicates::str::contains;

use crate::render_support::marks::assert_picture_file;

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
    assert_picture_file(&into, "ball-1-main-wide.svg");
    let json: serde_json::Value = serde_json::from_slice(&bytes("ball-1-main-wide.json")).unwrap();
    jsonschema::validate(&quarterstop::jobs::ball::report::schema(), &json).unwrap();
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
    // from the strike to the end, never more than 50 ms without a look; times have three
    // decimals
    let times: Vec<f64> =
        rows[1..].iter().map(|row| row.split(',').next().unwrap().parse().unwrap()).collect();
    assert_eq!(times[0], 0.0);
    assert!((times[times.len() - 1] - json["flight"]["lasts_s"].as_f64().unwrap()).abs() <= 5e-4);
    assert!(times.windows(2).all(|t| (0.0..0.051).contains(&(t[1] - t[0]))), "{times:?}");
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
            contains("no mark \"nowhere\"")
                .and(contains("starts and ends at 0 m or more, which is the ground"))
                .and(
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

#[test]
fn hours_and_towers_of_the_demo_hole_are_ranked_the_same_in_all_files() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("new");
    let run = ball_at("venues/golf-demo.toml")
        .args(["--hours", "--towers", "--every", "120", "--earliest", "08:00", "--into"])
        .arg(&into)
        .assert()
        .success()
        .stderr("");
    let told = flat(&run.get_output().stdout);
    let read = |name: &str| std::fs::read(into.join(name)).unwrap();
    let json = |name: &str| -> serde_json::Value {
        let value = serde_json::from_slice(&read(name)).unwrap();
        jsonschema::validate(&quarterstop::jobs::ball::report::hours::schema(), &value).unwrap();
        value
    };
    let hours = json("hours-1-hoist.json");
    let places = hours["places"].as_array().unwrap();
    assert_eq!(places.len(), 1);
    let best = places[0]["best_first"][0].as_str().unwrap();
    assert!(told.contains("Hours from 1 hoist"), "{told}");
    assert!(told.contains(&format!("near {},", &best[11..16])), "{best}\n{told}");
    let towers = json("towers.json");
    let places = towers["places"].as_array().unwrap();
    // two candidates, two cameras
    assert_eq!(places.len(), 4);
    let means: Vec<f64> = places.iter().map(|p| p["mean_penalty"].as_f64().unwrap()).collect();
    assert!(means.is_sorted());
    let first = places[0]["name"].as_str().unwrap();
    assert!(told.contains(&format!("worst hour {first}")), "{first}\n{told}");
    let rows = String::from_utf8(read("towers.csv")).unwrap();
    let count = 4 * places[0]["hours"].as_array().unwrap().len() * 2;
    assert_eq!(rows.trim_end().split("\r\n").count(), count + 1);
    for stem in ["hours-1-hoist", "towers"] {
        assert_picture_file(&into, &format!("{stem}.svg"));
    }
}

#[test]
fn shots_of_the_hole_are_chosen_by_name() {
    let folder = tempfile::tempdir().unwrap();
    let golf = |args: &[&str]| {
        let mut command = ball_at("venues/golf-demo.toml");
        command.args(args).arg("--into").arg(folder.path().join("new"));
        command.assert()
    };
    let told = flat(&golf(&["--shot", "approach"]).success().get_output().stdout);
    assert!(told.contains("9 iron"), "{told}");
    assert!(told.contains("Sway of 0.30 m and 0.2 degrees each way"), "{told}");
    golf(&["--shot", "putt"]).code(2).stderr(contains("choose one of: tee shot, approach"));
    golf(&["--from", "green"]).code(2).stderr(contains("--to"));
    golf(&["--stroke", "driver"]).code(2).stderr(contains("--from"));
    golf(&["--hours", "--earliest", "23:00"]).code(2).stderr(contains("no light"));
    ball().assert().code(2).stderr(contains("give --from and --to"));
    ball().args(["--from", "0,0", "--to", "30,0", "--towers", "--weigh", "sky=2"]).assert().code(2);
}
