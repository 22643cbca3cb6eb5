//! The real binary: `quarterstop fit`.

use std::path::Path;

use assert_cmd::Command;
use predicates::prelude::*;
use predicates::str::contains;

const DEMO: &str = "venues/football-demo.toml";
const SEEN: &str = "venues/football-demo-seen.toml";

fn fit(words: &[&str]) -> assert_cmd::assert::Assert {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.env_remove("NO_COLOR").arg("fit").args(words).assert()
}

fn path(folder: &Path, name: &str) -> String {
    folder.join(name).display().to_string()
}

#[test]
fn the_example_is_told_in_lines_of_80() {
    let done = fit(&[DEMO, "--seen", SEEN]).success().stderr("");
    let text = String::from_utf8(done.get_output().stdout.clone()).unwrap();
    for part in [
        "Found\n  stand.\"Mill Stand\".roof.front_height_m\n",
        "+- ",
        "95 % from",
        "The observations agree as well as their errors say",
        "What would help most",
        "Never look at the sun",
        "no survey",
    ] {
        assert!(text.contains(part), "{part:?} is missing in\n{text}");
    }
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn files_are_written_and_read_again() {
    let folder = tempfile::tempdir().unwrap();
    let (fitted, json) = (path(folder.path(), "my ground.toml"), path(folder.path(), "fit.json"));
    fit(&[DEMO, "--seen", SEEN, "--into", &fitted, "--json", &json])
        .success()
        .stdout(contains("Written to").and(contains("3 numbers with [[surveyed]] entries")));
    let text = std::fs::read_to_string(&fitted).unwrap();
    assert!(text.contains("how = \"fitted\"") && text.contains("# --- cameras ---"));
    let venue = quarterstop::venue::read(Path::new(&fitted)).unwrap();
    assert_eq!(venue.surveyed.len(), 3);
    let value: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(&json).unwrap()).unwrap();
    assert_eq!(value["unknowns"].as_array().unwrap().len(), 4);
    // a second fit of what came out moves nothing by more than its rounding
    let done = fit(&[&fitted, "--seen", SEEN]).success();
    let again = String::from_utf8(done.get_output().stdout.clone()).unwrap();
    assert!(again.contains("observations agree"), "{again}");
    let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(left.len(), 2, "{left:?}");
}

#[test]
fn inputs_are_spared_unless_asked() {
    let folder = tempfile::tempdir().unwrap();
    let (venue, seen) = (path(folder.path(), "v.toml"), path(folder.path(), "s.toml"));
    std::fs::copy(DEMO, &venue).unwrap();
    std::fs::copy(SEEN, &seen).unwrap();
    let before = std::fs::read_to_string(&venue).unwrap();
    for words in [
        &[venue.as_str(), "--seen", &seen, "--into", &venue][..],
        &[&venue, "--seen", &seen, "--into", &seen],
        &[&venue, "--seen", &seen, "--json", &venue],
        &[&venue, "--seen", &seen, "--json", &venue, "--into", "x.toml", "--over-venue"],
        &[&venue, "--seen", &seen, "--into", &seen, "--over-venue"],
        &[&venue, "--seen", &seen, "--into", &venue, "--replace"],
    ] {
        fit(words).code(2).stdout("").stderr(contains("is read by this run"));
    }
    assert_eq!(std::fs::read_to_string(&venue).unwrap(), before);
    fit(&[&venue, "--seen", &seen, "--into", &venue, "--over-venue"]).success();
    assert_ne!(std::fs::read_to_string(&venue).unwrap(), before);
}

/// One hour mistyped: no file, and the report says which and what it would be.
#[test]
fn numbers_in_doubt_are_not_written() {
    let folder = tempfile::tempdir().unwrap();
    let (seen, fitted) = (path(folder.path(), "seen.toml"), path(folder.path(), "fitted.toml"));
    let json = path(folder.path(), "fit.json");
    let text = std::fs::read_to_string(SEEN).unwrap();
    assert!(text.contains("time = \"17:05\""));
    std::fs::write(&seen, text.replace("time = \"17:05\"", "time = \"16:05\"")).unwrap();
    let words = [DEMO, "--seen", &seen, "--into", &fitted, "--json", &json];
    fit(&words)
        .code(2)
        .stdout(contains("The observations disagree").and(contains("Looks wrong: edge 4,")))
        .stderr(contains("--into was refused, and no file was written"))
        .stderr(contains("the observations disagree: a chi-square"))
        .stderr(contains("edge 4, 18 Sep 16:05, middle left to middle right: at 17:05, one hour"))
        .stderr(contains("--despite-doubts"));
    assert!(!Path::new(&fitted).exists() && !Path::new(&json).exists());
    fit(&[&words[..], &["--despite-doubts"]].concat()).success();
    let text = std::fs::read_to_string(&fitted).unwrap();
    assert!(text.contains("observations, despite doubts"), "{text}");
    let value: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(&json).unwrap()).unwrap();
    assert_eq!(value["explanations"][0]["slip"], "hours");
    assert_eq!(value["explanations"][0]["keys"][0], "edge[3]");
    assert_eq!(value["suspect"]["key"], "edge[3]");
    let schema = quarterstop::jobs::fit::report::schema();
    assert!(jsonschema::validator_for(&schema).unwrap().is_valid(&value));
}

#[test]
fn mistakes_leave_with_2_and_advice() {
    let folder = tempfile::tempdir().unwrap();
    let bad = path(folder.path(), "bad.toml");
    std::fs::write(&bad, "[[unknown]]\nwhat = \"field.bering_deg\"\n").unwrap();
    fit(&[DEMO, "--seen", &bad]).code(2).stdout("").stderr(contains("field.bearing_deg"));
    fit(&[DEMO, "--seen", "none.toml"]).code(2).stderr(contains("file of observations"));
    fit(&["none.toml", "--seen", SEEN]).code(2).stderr(contains("venue file"));
    fit(&[DEMO]).code(2).stderr(contains("--seen"));
    fit(&[DEMO, "--seen", SEEN, "--over-venue"]).code(2).stderr(contains("--into"));
    let nowhere = path(folder.path(), "no/such/folder.toml");
    fit(&[DEMO, "--seen", SEEN, "--into", &nowhere]).code(1).stderr(contains("cannot write"));
    fit(&["--help"]).success().stdout(contains("Example"));
}
