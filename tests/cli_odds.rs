//! `quarterstop odds`, the binary itself.

use assert_cmd::Command;
use predicates::prelude::*;
use tempfile::TempDir;

use quarterstop::jobs::odds::report::columns;

const PVGIS: &str = "tests/data/pvgis-tmy-45.0N-8.0E-2005-2023.epw";

fn odds() -> Command {
    let mut command = Command::cargo_bin("quarterstop").unwrap();
    command.arg("odds");
    command
}

#[test]
fn tables_are_printed_and_written_and_what_is_doubtful_is_said() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("odds.csv");
    let run = odds()
        .args([PVGIS, "--venue", "venues/football-demo.toml", "--csv"])
        .arg(&file)
        .assert()
        .success()
        .stdout(predicate::str::contains("45.00° north 8.00° east, 1 file"))
        .stdout(predicate::str::contains("WMO-No. 8"))
        .stderr(predicate::str::contains("km from the venue"))
        .stderr(predicate::str::contains("40 min later"));
    let text = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    let mut reader = csv::Reader::from_path(&file).unwrap();
    let header: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    assert_eq!(header, crate::support::names_of(columns()));
    let mut rows = 0;
    for record in reader.records() {
        let record = record.unwrap();
        let share = |i: usize| record[i].parse::<f64>().unwrap();
        let states: f64 = (5..10).map(share).sum();
        assert!((states - 1.0).abs() < 3e-4, "{record:?}");
        assert!((3..13).all(|i| (0.0..=1.0).contains(&share(i))), "{record:?}");
        rows += 1;
    }
    assert!(rows > 100, "{rows} rows");
}

#[test]
fn what_is_no_weather_file_is_refused() {
    odds()
        .arg("venues/football-demo.toml")
        .assert()
        .code(2)
        .stderr(predicate::str::contains("LOCATION, as an EPW file begins"));
    odds().arg("no-such.epw").assert().code(2).stderr(predicate::str::contains("no-such.epw"));
}
