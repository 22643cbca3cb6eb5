//! `quarterstop forecast` and `brief --forecast` from end to end.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use predicates::prelude::*;
use predicates::str::contains;
use serde_json::Value;
use tempfile::tempdir;

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo.toml");
const HOURS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo-forecast.csv");

fn run(folder: &Path, words: &[&str]) -> assert_cmd::assert::Assert {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.current_dir(folder).args(words).assert()
}

#[test]
fn the_demos_forecast_reads_as_a_crew_wants_it() {
    let home = tempdir().unwrap();
    let out = run(home.path(), &["forecast", DEMO, HOURS, "--into", "out"]).success();
    out.stdout(
        contains("6 members side by side")
            .and(contains("changes an hour"))
            .and(contains("Ready for either"))
            .and(contains("Never look at the sun")),
    );
    let json = fs::read(home.path().join("out/forecast.json")).unwrap();
    let json: Value = serde_json::from_slice(&json).unwrap();
    assert!(jsonschema::is_valid(&quarterstop::report::forecast::data::schema(), &json));
    assert_eq!(json["gaps"], serde_json::json!([]));
    assert_eq!(json["ready"].as_array().unwrap().len(), 10);
    for stretch in json["stretches"].as_array().unwrap() {
        let number = |key: &str| stretch[key].as_f64().unwrap();
        assert!(number("sun_10") <= number("sun") && number("sun") <= number("sun_90"));
    }
    let csv = fs::read(home.path().join("out/forecast.csv")).unwrap();
    let mut reader = csv::Reader::from_reader(csv.as_slice());
    let header: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let venue = quarterstop::venue::read(Path::new(DEMO)).unwrap();
    assert_eq!(header, quarterstop::report::forecast::table::header(&venue));
    let column = |name: &str| header.iter().position(|n| n == name).unwrap();
    for row in reader.records() {
        let row = row.unwrap();
        let share = |name: &str| row[column(name)].parse::<f64>().unwrap();
        let all = ["clear", "thin", "gap", "cumulus", "overcast"].map(share);
        assert!((all.iter().sum::<f64>() - 1.0).abs() < 0.003);
        assert!((share("sun") - all[..3].iter().sum::<f64>()).abs() < 0.003);
    }
}

#[test]
fn the_brief_carries_what_the_forecast_says() {
    let home = tempdir().unwrap();
    let words = ["brief", DEMO, "--forecast", HOURS, "--step", "5", "--into", "out"];
    run(home.path(), &words).success();
    let cues = fs::read_to_string(home.path().join("out/cues.csv")).unwrap();
    let said: Vec<&str> = cues.lines().filter(|l| l.contains("forecast: sun ")).collect();
    assert!(!said.is_empty());
    assert!(said.iter().all(|line| line.contains(",forecast,")), "{said:?}");
}

#[test]
fn forecasts_of_elsewhere_or_another_day_plan_nothing() {
    let home = tempdir().unwrap();
    let text = fs::read_to_string(HOURS).unwrap();
    let with = |name: &str, text: String| fs::write(home.path().join(name), text).unwrap();
    with("place.csv", text.replace("52.31,-0.42", "41.0,2.0"));
    with("day.csv", text.replace("2027-10-16", "2027-10-18"));
    with("percent.csv", text.replacen(",20,", ",120,", 1).replacen(",0,", ",-4,", 1));
    for (name, said) in [
        ("place.csv", "km from the venue"),
        ("day.csv", "says nothing about 2027-10-16"),
        ("percent.csv", "allowed: 0 to 100 percent"),
        ("none.csv", "cannot read"),
    ] {
        let out = run(home.path(), &["forecast", DEMO, name, "--into", "out"]);
        out.code(2).stderr(contains(said));
        assert!(!home.path().join("out").exists(), "{name}");
    }
}
