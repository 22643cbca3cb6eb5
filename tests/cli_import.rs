//! The real binary: bringing data in.

use std::fs;

use assert_cmd::Command;
use predicates::prelude::*;
use predicates::str::contains;

const OUTLINES: &str =
    concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo-outlines.geojson");
const TERRAIN: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/terrain_degrees.tif");
const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo.toml");

fn quarterstop() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.env_remove("NO_COLOR");
    command
}

#[test]
fn every_help_has_an_example() {
    for words in [["import", "outlines", "--help"], ["import", "horizon", "--help"]] {
        quarterstop()
            .args(words)
            .assert()
            .success()
            .stdout(contains("Example").and(contains("quarterstop import ")))
            .stderr("");
    }
}

#[test]
fn outlines_make_a_venue_that_can_be_checked_and_is_not_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("ground.toml");
    let words = || {
        let mut command = quarterstop();
        command.args(["import", "outlines", OUTLINES, "--zone", "Europe/London", "--into"]);
        command.arg(&into);
        command
    };
    words()
        .assert()
        .success()
        .stdout(contains("14 features").and(contains("Left out:")).and(contains("way/15")))
        .stderr("");
    quarterstop().arg("check").arg(&into).assert().success().stdout(contains("The file is sound."));
    let first = fs::read(&into).unwrap();

    words().assert().code(2).stdout("").stderr(contains("--replace"));
    assert_eq!(fs::read(&into).unwrap(), first);
    words().args(["--replace", "--assume-height-m", "6"]).assert().success();
    let second = fs::read_to_string(&into).unwrap();
    assert!(second.contains("nothing stated: 6 m assumed"));
    // nothing unfinished lies around
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn terrain_goes_into_a_venue_or_to_stdout() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("ground.toml");
    quarterstop()
        .args(["import", "horizon", TERRAIN, "--to-km", "6", "--onto", DEMO, "--into"])
        .arg(&into)
        .assert()
        .success()
        .stdout(
            contains("terrain is 40.0 m high at the centre of play, 38 m in the venue file")
                .and(contains("in place of the one before"))
                .and(contains("12 of 60973")),
        )
        .stderr("");
    quarterstop().arg("check").arg(&into).assert().success().stdout(contains("skyline of "));
    quarterstop()
        .args(["import", "horizon", TERRAIN, "--to-km", "6", "--centre", "52.31,-0.42"])
        .assert()
        .success()
        .stdout(contains("[horizon]\nprofile = ["));
}

#[test]
fn mistakes_leave_with_2_and_write_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).display().to_string();
    let into = path("out.toml");
    fs::write(path("map.geojson"), "{\"type\": \"FeatureCollection\", \"features\": []}").unwrap();
    fs::write(path("bad.geojson"), [0xff, 0xfe, 0x00]).unwrap();
    fs::write(path("N52W001.hgt"), [0; 10]).unwrap();
    fs::write(path("broken.toml"), "title = 7").unwrap();
    fs::write(path("list.csv"), "10,99\n").unwrap();
    let outlines = |file: &str, more: &[&str]| -> Vec<String> {
        let words = ["import", "outlines", file, "--into", &into];
        words.iter().chain(more).map(|w| (*w).to_owned()).collect()
    };
    let horizon = |words: &[&str]| -> Vec<String> {
        ["import", "horizon"].iter().chain(words).map(|w| (*w).to_owned()).collect()
    };
    for (words, said) in [
        (outlines(OUTLINES, &[]), "--zone"),
        (outlines(OUTLINES, &["--zone", "Europe/Londom"]), "Europe/London"),
        (outlines(OUTLINES, &["--zone", "UTC", "--onto", DEMO]), "cannot be used with"),
        (outlines(OUTLINES, &["--zone", "UTC", "--field", "Nowhere"]), "Umbra Park"),
        (
            outlines(OUTLINES, &["--zone", "UTC", "--centre", "95,0", "--bearing-deg", "0"]),
            "LAT,LON",
        ),
        (outlines(OUTLINES, &["--zone", "UTC", "--level-m", "0"]), "1 to 10 m"),
        (outlines(OUTLINES, &["--zone", "UTC", "--within-m", "inf"]), "metres"),
        (outlines(&path("none.geojson"), &["--zone", "UTC"]), "cannot read"),
        (outlines(&path("map.geojson"), &["--zone", "UTC"]), "no feature"),
        (outlines(&path("bad.geojson"), &["--zone", "UTC"]), "UTF-8"),
        (outlines(OUTLINES, &["--onto", &path("broken.toml")]), "text in quotes"),
        (horizon(&[]), "FILE"),
        (horizon(&[TERRAIN]), "--centre"),
        (horizon(&[TERRAIN, "--centre", "0,0"]), "N00E000"),
        (horizon(&[TERRAIN, &path("list.csv"), "--centre", "52,0"]), "not both"),
        (horizon(&[&path("list.csv")]), "99 degrees"),
        (horizon(&[&path("N52W001.hgt"), "--centre", "52.3,-0.4"]), "10 bytes"),
        (horizon(&[DEMO]), ".hgt"),
        (horizon(&[TERRAIN, "--centre", "52.31,-0.42", "--into", &into]), "--onto"),
        (
            horizon(&[TERRAIN, "--centre", "52.31,-0.42", "--from-m", "9000", "--to-km", "8"]),
            "--from-m",
        ),
        (horizon(&[TERRAIN, "--centre", "52.31,-0.42", "--declination-deg", "1"]), "true north"),
    ] {
        quarterstop().args(&words).assert().code(2).stdout("").stderr(contains(said));
        assert!(!std::path::Path::new(&into).exists(), "{words:?}");
    }
    // a place that cannot be written to is our failure
    let nowhere = path("no/such/folder.toml");
    quarterstop()
        .args(["import", "outlines", OUTLINES, "--zone", "UTC", "--into", &nowhere])
        .assert()
        .code(1)
        .stderr(contains("nothing was written"));
}

/// No file of a map may put words or commands into a terminal (ECMA-48 escapes).
#[test]
fn names_cannot_drive_the_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let map = folder.path().join("map.geojson");
    let evil = fs::read_to_string(OUTLINES).unwrap().replace("Weir School", "\\u001b[2J\\u0007x");
    fs::write(&map, evil).unwrap();
    let into = folder.path().join("v.toml");
    let words = ["import", "outlines", "--zone", "UTC", "--into"];
    let assert = quarterstop().args(words).arg(&into).arg(&map).assert().success();
    let control = |bytes: &[u8]| bytes.iter().any(|b| b.is_ascii_control() && *b != b'\n');
    assert!(!control(&assert.get_output().stdout));
    assert!(!control(&fs::read(&into).unwrap()));
}

/// East for west at a ground by the clock of New York: commands that measure or bring in
/// warn of it in the words of those that plan, and do their work.
#[test]
fn slips_of_the_venue_are_warned_of_where_it_is_fitted_and_added_to() {
    const GROUND: &str = "title = \"Ground\"\n[place]\nlatitude_deg = 40.7\nlongitude_deg = 74.0\n\
        height_m = 10.0\nzone = \"America/New_York\"\n[field]\nsport = \"football\"\n\
        bearing_deg = 10.0\n[[solid]]\nname = \"wall\"\n\
        footprint = [[-60.0, 40.0], [60.0, 40.0], [60.0, 40.5], [-60.0, 40.5]]\ntop_m = 12.0\n\
        [fixture]\ndate = \"2027-06-05\"\nstart = \"15:00\"\n";
    const SEEN: &str = "[[unknown]]\nwhat = \"solid.wall.top_m\"\n[[sight]]\n\
        from = \"centre spot\"\nto = \"wall\"\nedge = \"skyline\"\nelevation_deg = 15.0\n";
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in [
        ("ground.toml", GROUND),
        ("seen.toml", SEEN),
        ("sky.csv", "azimuth_deg,elevation_deg\n0,1\n180,2\n"),
    ] {
        fs::write(folder.path().join(name), text).unwrap();
    }
    let model = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/meshes/drum.gltf");
    let mesh = ["import", "mesh", model, "--onto", "ground.toml", "--into", "mesh.toml"];
    let mesh =
        [&mesh[..], &["--metres-per-unit", "0.001", "--up", "y", "--at", "-30,60,0"]].concat();
    let warned = "warning: [place]: at this longitude the sun is ";
    let commands: [(&[&str], &str); 5] = [
        (&["match", "ground.toml", "--data-only", "--step", "60", "--into", "m"], "ground.toml"),
        (&["fit", "ground.toml", "--seen", "seen.toml"], "ground.toml"),
        (&["sensitivity", "ground.toml", "--into", "s"], "ground.toml"),
        (
            &["import", "horizon", "sky.csv", "--onto", "ground.toml", "--into", "horizon.toml"],
            "ground.toml",
        ),
        (&mesh, "ground.toml"),
    ];
    for (words, file) in commands {
        let done = quarterstop().current_dir(folder.path()).args(words).assert();
        let told = String::from_utf8(done.get_output().stderr.clone()).unwrap();
        assert!(told.contains(warned), "{words:?}: {told}");
        assert!(told.contains(&format!("see `quarterstop check {file}`")), "{words:?}: {told}");
        let of_place = told.matches("[place]").count();
        assert_eq!(of_place, 1, "{words:?}: {told}");
    }
    // a new venue has the place of its outlines and the zone of its option
    quarterstop()
        .current_dir(folder.path())
        .args(["import", "outlines", OUTLINES, "--zone", "America/New_York", "--into", "new.toml"])
        .assert()
        .success()
        .stderr(contains(warned).and(contains("see `quarterstop check new.toml`")));
}
