//! `quarterstop clouds` from end to end.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use predicates::prelude::*;
use predicates::str::contains;
use serde_json::Value;
use tempfile::tempdir;

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo.toml");

fn clouds(folder: &Path, options: &[&str]) -> assert_cmd::assert::Assert {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.current_dir(folder).args(["clouds", DEMO]).args(options).assert()
}

#[test]
fn a_broken_sky_is_told_for_every_half_and_camera() {
    let home = tempdir().unwrap();
    let run = clouds(home.path(), &["--cover", "50", "--into", "out"]).success();
    run.stdout(
        contains("changes in an hour")
            .and(contains("changes from kickoff on, 45 min"))
            .and(contains("Never look at the sun")),
    );
    let json = fs::read(home.path().join("out/clouds.json")).unwrap();
    let json: Value = serde_json::from_slice(&json).unwrap();
    let schema = quarterstop::jobs::clouds::report::data::schema();
    assert!(jsonschema::is_valid(&schema, &json));
    let of = |key: &str| json["changes_per_hour"][key].as_f64().unwrap();
    assert!(of("p10") <= of("p50") && of("p50") < of("p90"));
    let cameras = json["cameras"].as_array().unwrap();
    assert_eq!(cameras.len(), 5);
    for camera in cameras {
        let number = |key: &str| camera[key].as_f64().unwrap();
        // the T-number under the cloud is wider by the swing
        let stops = 2.0 * (number("sun_t") / number("cloud_t")).log2();
        assert!((stops - number("swing_stops")).abs() < 1e-9);
        let peak = |chase: &str| camera[chase]["peak_stops_per_s"].as_f64().unwrap();
        assert!(peak("fast") > peak("usual"));
    }
    let csv = fs::read_to_string(home.path().join("out/clouds.csv")).unwrap();
    assert_eq!(csv.lines().count(), 6);
    let header: Vec<&str> = csv.lines().next().unwrap().split(',').collect();
    assert_eq!(
        header,
        crate::support::names_of(quarterstop::jobs::clouds::report::table::columns())
    );
}

#[test]
fn what_is_no_broken_sky_is_refused() {
    let home = tempdir().unwrap();
    for (options, said) in [
        (&["--cover", "0.5"][..], "per cent from 5 to 95"),
        (&["--cover", "101"], "from 5 to 95"),
        (&["--cover", "50", "--wind", "200"], "from 1 to 60"),
        (&["--cover", "50", "--base", "-3"], "from 100 to 15000"),
        (&["--cover", "NaN"], "from 5 to 95"),
    ] {
        clouds(home.path(), options).code(2).stderr(contains(said));
    }
    assert_eq!(fs::read_dir(home.path()).unwrap().count(), 0);
}
