//! `quarterstop look-up` and `quarterstop check` as the real binary.

use assert_cmd::Command;
use predicates::prelude::*;
use predicates::str::contains;

use crate::render_support::marks::assert_picture_file;

const DEMO: &str = "venues/football-demo.toml";

fn quarterstop() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.env_remove("NO_COLOR");
    command
}

#[test]
fn looking_up_writes_whole_files_for_each_place() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("new");
    quarterstop()
        .args(["look-up", DEMO, "--place", "penalty spot ahead", "--at", "-10,5.5", "--into"])
        .arg(&into)
        .assert()
        .success()
        .stdout(
            contains("16 October: lit ")
                .and(contains("; behind land 07:").and(contains("Mill Stand 16:")))
                .and(contains("21 June (June solstice)"))
                .and(contains("Never look at the sun"))
                .and(contains("From 10 m behind, 5.5 m left, 1.7 m up")),
        )
        .stderr("");
    let bytes = |name: &str| std::fs::read(into.join(name)).unwrap();
    for stem in ["look-up-penalty-spot-ahead", "look-up-10-m-behind-5-5-m-left-1-7-m-up"] {
        assert_picture_file(&into, &format!("{stem}.svg"));
        let csv = String::from_utf8(bytes(&format!("{stem}.csv"))).unwrap();
        let rows: Vec<&str> = csv.trim_end().split("\r\n").collect();
        assert_eq!(rows[0], "azimuth_deg,elevation_deg,thing,covered_to_deg");
        assert_eq!(rows.len(), 1 + 1440);
        assert!(rows[1].starts_with("0.125,"));
        let json: serde_json::Value =
            serde_json::from_slice(&bytes(&format!("{stem}.json"))).unwrap();
        let schema = quarterstop::jobs::look_up::report::schema();
        jsonschema::validate(&schema, &json).unwrap();
        assert_eq!(json["days"].as_array().unwrap().len(), 5);
        assert_eq!(json["skyline"].as_array().unwrap().len(), 1440);
    }
    assert_eq!(std::fs::read_dir(&into).unwrap().count(), 8);
}

#[test]
fn places_and_dates_that_are_none_are_refused_together() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("new");
    quarterstop()
        .args(["look-up", DEMO, "--place", "penalty spot", "--at", "0,45,3", "--into"])
        .arg(&into)
        .assert()
        .code(2)
        .stdout("")
        .stderr(contains("penalty spot ahead").and(contains("lies inside Mill Stand")));
    assert!(!into.exists());
    for (words, said) in [
        (&["--at", "1"][..], "ALONG,ACROSS"),
        (&["--at", "nan,0"], "ALONG,ACROSS"),
        (&["--at", "1,2,3,4"], "ALONG,ACROSS"),
        (&["--at", "9000,0"], "2000"),
        (&["--eye-m", "-1"], "a height is a number of metres"),
        (&["--date", "2027-02-30"], "in the calendar"),
        (&["--date", "2027-03-28", "--start", "01:30"], "does not exist"),
    ] {
        quarterstop().args(["look-up", DEMO]).args(words).assert().code(2).stderr(contains(said));
    }
}

#[test]
fn schemas_of_the_new_formats_are_json_schemas() {
    for format in ["look-up", "check"] {
        let output = quarterstop().args(["schema", format]).assert().success();
        let schema: serde_json::Value =
            serde_json::from_slice(&output.get_output().stdout).unwrap();
        jsonschema::meta::validate(&schema).unwrap();
    }
    quarterstop()
        .args(["look-up", "--help"])
        .assert()
        .success()
        .stdout(contains("Example").and(contains("quarterstop look-up ")));
}

#[test]
fn what_is_only_suspicious_leaves_with_0() {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(DEMO).unwrap();
    let path = folder.path().join("odd.toml");
    std::fs::write(&path, text.replace("longitude_deg = -0.42", "longitude_deg = 60.42")).unwrap();
    quarterstop()
        .arg("check")
        .arg(&path)
        .assert()
        .success()
        .stdout(contains("The file is sound.").and(contains("2 things look suspicious")))
        .stderr("");
    let output = quarterstop().arg("check").arg(&path).arg("--json").assert().success();
    let json: serde_json::Value = serde_json::from_slice(&output.get_output().stdout).unwrap();
    assert_eq!(json["suspicions"][0]["kind"], "zone_off_longitude");
    quarterstop().args(["check", DEMO]).assert().success().stdout(contains("No warnings."));
}
