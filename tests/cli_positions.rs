//! `quarterstop positions`, the binary itself, and the files it writes read back.

use std::collections::HashSet;
use std::fs;
use std::path::Path;

use assert_cmd::Command;
use predicates::prelude::*;
use render_support::marks::assert_legible;
use tempfile::TempDir;

use crate::render_support;
use quarterstop::jobs::positions::report::{data, table};

const FOOTBALL: &str = "venues/football-demo.toml";

fn positions(venue: &str, into: &Path) -> Command {
    let mut command = Command::cargo_bin("quarterstop").unwrap();
    command.args(["positions", venue, "--into"]).arg(into);
    command
}

#[test]
fn the_demo_gets_a_pick_a_set_and_every_file() {
    let folder = TempDir::new().unwrap();
    positions(FOOTBALL, folder.path())
        .args(["--step", "10", "--over", "1.5,3", "--weigh", "own_sun=0"])
        .assert()
        .success()
        .stdout(predicate::str::contains("5 reverse (now)"))
        .stdout(predicate::str::contains("Best set, matched to each other"))
        .stdout(predicate::str::contains("own_sun 0)"))
        .stdout(predicate::str::contains("Cautions"))
        .stderr("");
    let json = fs::read(folder.path().join("positions.json")).unwrap();
    let json: serde_json::Value = serde_json::from_slice(&json).unwrap();
    let validator = jsonschema::validator_for(&data::schema()).unwrap();
    assert!(validator.is_valid(&json));
    let sites = json["positions"].as_array().unwrap();
    let mut reader = csv::Reader::from_path(folder.path().join("positions.csv")).unwrap();
    let header = reader.headers().unwrap().clone();
    let names: HashSet<&str> = header.iter().collect();
    assert_eq!(names.len(), header.len());
    for column in ["split_over_1.5_min", "split_over_3_share", "gap_1_main_wide_stops"] {
        assert!(names.contains(column), "{column}");
    }
    // the documented columns and families of columns are those of the file
    for name in crate::support::names_of(table::columns()) {
        let start = name.split('<').next().unwrap();
        assert!(header.iter().any(|h| h.starts_with(start)), "{name}");
    }
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), sites.len());
    let column = |name: &str| header.iter().position(|h| h == name).unwrap();
    for (row, site) in rows.iter().zip(sites) {
        assert_eq!(&row[0], site["name"].as_str().unwrap());
        let penalty: f64 = row[column("penalty")].parse().unwrap();
        assert!((penalty - site["penalty"].as_f64().unwrap()).abs() < 1e-4);
        // the parts add up to the whole
        let weighed = header.iter().zip(row).filter(|(h, _)| h.starts_with("weighed_"));
        let sum: f64 = weighed.map(|(_, v)| v.parse::<f64>().unwrap()).sum();
        assert!((sum - penalty).abs() < 1e-3, "{row:?}");
    }
    let picks = rows.iter().filter(|r| &r[column("pick")] == "yes").count();
    let set = rows.iter().filter(|r| &r[column("in_set")] == "yes").count();
    assert_eq!((picks, set), (3, 3));
    assert_eq!(json["set"]["positions"].as_array().unwrap().len(), 3);
    assert_legible("positions", &fs::read_to_string(folder.path().join("positions.svg")).unwrap());
}

#[test]
fn many_candidates_far_off_and_with_long_names_still_fit_the_page() {
    let folder = TempDir::new().unwrap();
    let text = fs::read_to_string(FOOTBALL).unwrap();
    let more: String = (0..12)
        .map(|i| {
            format!(
                "[[candidate]]\nname = \"hoist beyond the terrace, number {i} of the whole list\"\n\
                 at = [{}.0, {}.0, 30.0]\nlooks_at = [\"centre spot\"]\nshows_m = 60.0\n",
                -160 + 25 * i,
                130 - 20 * i,
            )
        })
        .collect();
    let venue = folder.path().join("ground.toml");
    let (head, tail) = text.split_once("# --- exposure and the desk").unwrap();
    fs::write(&venue, format!("{head}{more}# --- exposure and the desk{tail}")).unwrap();
    let out = folder.path().join("out");
    positions(venue.to_str().unwrap(), &out)
        .args(["--step", "20", "--set", "4", "--last-date", "2027-11-13", "--every-days", "14"])
        .assert()
        .success()
        .stdout(predicate::str::contains("over 3 days: 270 min of play"));
    assert_legible("positions", &fs::read_to_string(out.join("positions.svg")).unwrap());
}

#[test]
fn what_cannot_be_asked_is_refused_and_leaves_nothing() {
    let folder = TempDir::new().unwrap();
    let out = folder.path().join("out");
    let refused = |venue: &str, words: &[&str], says: &str| {
        positions(venue, &out)
            .args(words)
            .assert()
            .code(2)
            .stderr(predicate::str::contains(says.to_owned()));
        assert!(!out.exists());
    };
    refused("venues/tennis-demo.toml", &[], "add a [[candidate]]");
    refused(FOOTBALL, &["--set", "9"], "allow 3");
    refused(FOOTBALL, &["--weigh", "beauty=1"], "a part is one of split");
    refused(FOOTBALL, &["--weigh", "split=-1"], "from 0 to 100");
    refused(
        FOOTBALL,
        &["--last-date", "2099-01-01", "--every-days", "1"],
        "more than 1000 matches",
    );
    // 15:00 comes on no clock that skips it, 02:30 does
    let skipped = ["--date", "2027-03-21", "--last-date", "2027-03-28", "--start", "01:30"];
    refused(FOOTBALL, &skipped, "2027-03-28");
}

#[test]
fn the_schema_of_positions_is_printed() {
    let mut command = Command::cargo_bin("quarterstop").unwrap();
    command
        .args(["schema", "positions"])
        .assert()
        .success()
        .stdout(predicate::str::contains("quarterstop.positions/1"));
}
