//! `quarterstop brief`, the binary itself.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use predicates::prelude::*;
use tempfile::TempDir;

fn brief(venue: &str, into: &Path) -> Command {
    let mut command = Command::cargo_bin("quarterstop").unwrap();
    command.args(["brief", venue, "--into"]).arg(into);
    command
}

const FOOTBALL: &str = "venues/football-demo.toml";
const TENNIS: &str = "venues/tennis-demo.toml";

#[test]
fn the_demo_gets_every_file_and_a_summary() {
    let folder = TempDir::new().unwrap();
    brief(FOOTBALL, folder.path())
        .args(["--through-at", "15:45", "--step", "5"])
        .assert()
        .success()
        .stdout(predicate::str::contains("What to set"))
        .stdout(predicate::str::contains("Cautions"))
        .stderr("");
    for name in [
        "brief.html",
        "brief.pdf",
        "board.html",
        "sheet-a.html",
        "sheet-b.html",
        "cues.ics",
        "cues.csv",
        "settings.csv",
        "brief.json",
        "through-1-main-wide.svg",
        "through-1-main-wide.png",
        "through-5-reverse-1545.svg",
        "through-5-reverse-1545.png",
    ] {
        let size = fs::metadata(folder.path().join(name)).map(|m| m.len()).unwrap_or(0);
        assert!(size > 500, "{name}: {size} bytes");
    }
    assert!(fs::read_dir(folder.path()).unwrap().count() >= 22);
}

#[test]
fn operators_can_be_asked_for_or_stated() {
    let folder = TempDir::new().unwrap();
    brief(TENNIS, folder.path())
        .args(["--operators", "1", "--step", "5"])
        .assert()
        .success()
        .stdout(predicate::str::contains("operator A: 1 main, 2 net, 3 baseline"));
    let text = fs::read_to_string(FOOTBALL).unwrap();
    let stated = text.replace(
        "name = \"A\"\ncameras = [\"1 main wide\"]",
        "name = \"Left\"\ncameras = [\"5 reverse\"]",
    );
    assert_ne!(stated, text);
    let venue = folder.path().join("ground.toml");
    fs::write(&venue, stated).unwrap();
    let out = folder.path().join("out");
    brief(venue.to_str().unwrap(), &out).args(["--step", "5"]).assert().success().stdout(
        predicate::str::contains("operator Left: ").and(predicate::str::contains("5 reverse")),
    );
    let sheet = fs::read_to_string(out.join("sheet-left.html")).unwrap();
    assert!(sheet.contains("5 reverse"));
}

#[test]
fn what_cannot_be_briefed_is_refused_and_leaves_nothing() {
    let folder = TempDir::new().unwrap();
    let out = folder.path().join("out");
    brief(FOOTBALL, &out)
        .args(["--operators", "3", "--step", "10"])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("the venue file names its operators"));
    brief(TENNIS, &out)
        .args(["--operators", "9", "--step", "10"])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("no more operators than cameras"));
    assert!(!out.exists());
    let text = fs::read_to_string(FOOTBALL).unwrap();
    let bare = &text[..text.find("[[camera]]").unwrap()];
    let venue = folder.path().join("bare.toml");
    fs::write(&venue, format!("{bare}\n[fixture]\ndate = \"2027-10-16\"\nstart = \"15:00\"\n"))
        .unwrap();
    brief(venue.to_str().unwrap(), &out)
        .args(["--step", "10"])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("names no camera"));
    assert!(!out.exists());
    brief(FOOTBALL, &out)
        .args(["--through-at", "23:00"])
        .assert()
        .code(2)
        .stderr(predicate::str::contains("outside the window"));
}

#[test]
fn the_schema_of_the_brief_is_printed() {
    Command::cargo_bin("quarterstop")
        .unwrap()
        .args(["schema", "brief"])
        .assert()
        .success()
        .stdout(predicate::str::contains("quarterstop.brief/1"));
}
