//! `quarterstop sensitivity`, the binary itself.

use std::fs;

use assert_cmd::Command;
use predicates::prelude::*;
use tempfile::TempDir;

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
    for name in [
        "measuring-list.html",
        "sensitivity.svg",
        "sensitivity.png",
        "sensitivity.csv",
        "sensitivity.json",
    ] {
        assert!(fs::metadata(folder.path().join(name)).is_ok_and(|m| m.len() > 500), "{name}");
    }
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
