//! `quarterstop sensitivity`, the binary itself.

use std::{fs, io};

use assert_cmd::Command;
use predicates::prelude::*;
use tempfile::TempDir;

use crate::render_support::marks::{elements, overlapping, texts};
use quarterstop::jobs::sensitivity::report::data;
use quarterstop::jobs::sensitivity::report::table::COLUMNS;

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
    assert_eq!(reader.headers().unwrap().iter().collect::<Vec<_>>(), COLUMNS.map(|c| c.0));
    assert!(reader.records().count() > 5);
    let page = text("measuring-list.html");
    assert!(
        page.contains("Mill Stand: roof, front height") && page.trim_end().ends_with("</html>")
    );
    let words = texts(&elements(&text("sensitivity.svg")));
    assert!(words.len() > 10 && overlapping(&words).is_none(), "{:?}", overlapping(&words));
    let picture = png::Decoder::new(io::Cursor::new(read("sensitivity.png"))).read_info().unwrap();
    assert!(picture.info().width >= 1000 && picture.info().height >= 700);
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
