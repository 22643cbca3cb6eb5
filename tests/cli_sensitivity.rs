//! `quarterstop sensitivity`, the binary itself.

use std::fs;

use assert_cmd::Command;
use predicates::prelude::*;
use tempfile::TempDir;

use crate::render_support::marks::assert_picture_file;
use quarterstop::jobs::sensitivity::report::data;
use quarterstop::jobs::sensitivity::report::table::columns;

fn quarterstop(words: &[&str]) -> Command {
    let mut command = Command::cargo_bin("quarterstop").unwrap();
    command.args(words);
    command
}

#[test]
fn the_demo_gets_a_list_and_every_file() {
    let folder = TempDir::new().unwrap();
    quarterstop(&["sensitivity", "venues/football-demo.toml", "--into"])
        .arg(folder.path())
        .args(["--from", "15:40", "--until", "16:10"])
        .assert()
        .success()
        .stdout(predicate::str::contains("Mill Stand: roof, front height"))
        .stderr("");
    let read = |name: &str| fs::read(folder.path().join(name)).unwrap();
    let text = |name: &str| String::from_utf8(read(name)).unwrap();
    let json: serde_json::Value = serde_json::from_slice(&read("sensitivity.json")).unwrap();
    assert!(jsonschema::validator_for(&data::schema()).unwrap().is_valid(&json));
    let table = read("sensitivity.csv");
    let mut reader = csv::Reader::from_reader(table.as_slice());
    assert_eq!(
        reader.headers().unwrap().iter().collect::<Vec<_>>(),
        crate::support::names_of(columns())
    );
    // the numbers and events of the JSON, in its order, with its rates
    let mut rows = reader.records().map(|row| row.unwrap());
    let events = json["events"].as_array().unwrap();
    for number in json["numbers"].as_array().unwrap() {
        let moves = number["moves_min_per_unit"].as_array().unwrap();
        for (event, rate) in events.iter().zip(moves) {
            let row = rows.next().unwrap();
            let told = [&number["what"], &event["what"], &event["time"]];
            assert_eq!([&row[0], &row[4], &row[5]], told.map(|v| v.as_str().unwrap()));
            let stated = rate.as_f64().map_or(String::new(), |rate| format!("{rate:.3}"));
            assert_eq!(row[6], stated, "{row:?}");
        }
    }
    assert!(rows.next().is_none());
    // what moves most comes first
    let most = json["numbers"].as_array().unwrap().iter().map(|n| n["most_min"].as_f64().unwrap());
    assert!(most.is_sorted_by(|a, b| a >= b));
    let page = text("measuring-list.html");
    assert!(
        page.contains("Mill Stand: roof, front height") && page.trim_end().ends_with("</html>")
    );
    assert_picture_file(folder.path(), "sensitivity.svg");
}

#[test]
fn a_night_is_refused_and_the_schema_is_printed() {
    let folder = TempDir::new().unwrap();
    let out = folder.path().join("out");
    quarterstop(&["sensitivity", "venues/football-demo.toml", "--into"])
        .arg(&out)
        .args(["--from", "20:00", "--until", "21:00"])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("take another date or a wider window"));
    assert!(!out.exists());
    quarterstop(&["schema", "sensitivity"])
        .assert()
        .success()
        .stdout(predicate::str::contains("quarterstop.sensitivity/1"));
}
