//! No output destroys an input, a file that was not to be replaced, or what is no plain
//! file: every command that writes, with every option that names a file or folder.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use predicates::str::contains;

const VENUE: &str = "venues/tennis-demo.toml";
const SEEN: &str = "venues/football-demo-seen.toml";
const WEATHER: &str = "tests/data/pvgis-tmy-45.0N-8.0E-2005-2023.epw";
const OUTLINES: &str = "venues/football-demo-outlines.geojson";
const SKYLINE: &str = "venues/football-demo-skyline.csv";
const MODEL: &str = "v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n";

fn run(folder: &Path, words: &[&str]) -> assert_cmd::assert::Assert {
    Command::cargo_bin("quarterstop").unwrap().current_dir(folder).args(words).assert()
}

/// A folder with one of each input.
fn home() -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    let to = |name: &str| home.path().join(name);
    fs::copy(VENUE, to("v.toml")).unwrap();
    fs::copy("venues/football-demo.toml", to("football.toml")).unwrap();
    fs::copy(SEEN, to("seen.toml")).unwrap();
    fs::copy(WEATHER, to("w.epw")).unwrap();
    fs::copy(OUTLINES, to("o.geojson")).unwrap();
    fs::copy(SKYLINE, to("s.csv")).unwrap();
    fs::write(to("m.obj"), MODEL).unwrap();
    home
}

/// The words of a run, with `OUT` where it names its output.
const RUNS: [(&str, &[&str]); 9] = [
    ("v.toml", &["changed", "v.toml", "v.toml", "--csv", "OUT"]),
    ("w.epw", &["odds", "w.epw", "--csv", "OUT"]),
    ("v.toml", &["odds", "w.epw", "--venue", "v.toml", "--csv", "OUT"]),
    ("seen.toml", &["fit", "football.toml", "--seen", "seen.toml", "--into", "OUT"]),
    ("football.toml", &["fit", "football.toml", "--seen", "seen.toml", "--json", "OUT"]),
    ("o.geojson", &["import", "outlines", "o.geojson", "--onto", "football.toml", "--into", "OUT"]),
    ("s.csv", &["import", "horizon", "s.csv", "--onto", "v.toml", "--into", "OUT"]),
    (
        "m.obj",
        &[
            "import",
            "mesh",
            "m.obj",
            "--onto",
            "v.toml",
            "--into",
            "OUT",
            "--metres-per-unit",
            "1",
            "--up",
            "z",
            "--at",
            "30,0,0",
        ],
    ),
    (
        "m.obj",
        &[
            "import",
            "mesh",
            "m.obj",
            "--onto",
            "v.toml",
            "--into",
            "OUT",
            "--metres-per-unit",
            "1",
            "--up",
            "z",
            "--at",
            "30,0,0",
            "--name",
            "Kiosk",
        ],
    ),
];

fn with<'a>(words: &[&'a str], out: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let named = words.iter().map(|word| if *word == "OUT" { out } else { word });
    named.chain(more.iter().copied()).collect()
}

#[test]
fn an_input_is_never_an_output_not_even_with_replace() {
    let home = home();
    for (input, words) in RUNS {
        let before = fs::read(home.path().join(input)).unwrap();
        for more in [&[][..], &["--replace"]] {
            let words = with(words, input, more);
            run(home.path(), &words).code(2).stdout("").stderr(contains(input));
            assert_eq!(fs::read(home.path().join(input)).unwrap(), before, "{words:?}");
        }
    }
}

#[test]
fn a_file_that_is_there_stays_unless_it_is_to_be_replaced() {
    let home = home();
    // one of the two of weather is enough
    for (_, words) in RUNS.iter().take(7).filter(|run| !run.1.contains(&"--venue")) {
        let out = home.path().join("out");
        fs::write(&out, "mine").unwrap();
        run(home.path(), &with(words, "out", &[])).code(2).stderr(contains("--replace"));
        assert_eq!(fs::read(&out).unwrap(), b"mine", "{words:?}");
        run(home.path(), &with(words, "out", &["--replace"])).success();
        assert_ne!(fs::read(&out).unwrap(), b"mine", "{words:?}");
        fs::remove_file(&out).unwrap();
    }
}

/// A folder of outputs may be the folder of an input that has the name of an output.
#[test]
fn a_set_of_outputs_spares_the_inputs_beside_it() {
    let home = home();
    let list = "date,venue,earliest,latest,duration_min,start\n\
        2027-06-05,v.toml,12:00,12:30,60,free\n";
    fs::write(home.path().join("season.csv"), list).unwrap();
    let words = ["starts", "--fixtures", "season.csv", "--into", "."];
    run(home.path(), &words).code(2).stdout("").stderr(contains("season.csv"));
    assert_eq!(fs::read(home.path().join("season.csv")).unwrap(), list.as_bytes());
    assert!(!home.path().join("starts.csv").exists());
}

#[cfg(unix)]
#[test]
fn pipes_devices_and_links_are_left_as_they_are_and_permissions_stay() {
    use std::os::unix::fs::{FileTypeExt, PermissionsExt, symlink};
    let home = home();
    let at = |name: &str| home.path().join(name);
    assert!(std::process::Command::new("mkfifo").arg(at("pipe")).status().unwrap().success());
    symlink(at("nowhere"), at("dangling")).unwrap();
    let words = RUNS[0].1;
    for (out, why) in [("pipe", "a pipe"), ("/dev/null", "a device"), ("dangling", "nowhere")] {
        let words = with(words, out, &["--replace"]);
        run(home.path(), &words).code(2).stdout("").stderr(contains(why));
    }
    assert!(fs::metadata(at("pipe")).unwrap().file_type().is_fifo());
    assert!(fs::symlink_metadata(at("dangling")).unwrap().is_symlink());
    fs::write(at("real"), "old").unwrap();
    symlink(at("real"), at("link")).unwrap();
    fs::set_permissions(at("real"), fs::Permissions::from_mode(0o640)).unwrap();
    run(home.path(), &with(words, "link", &["--replace"])).success();
    assert!(fs::symlink_metadata(at("link")).unwrap().is_symlink());
    assert_ne!(fs::read(at("real")).unwrap(), b"old");
    assert_eq!(fs::metadata(at("real")).unwrap().permissions().mode() & 0o777, 0o640);
}

/// A venue file that a fit rewrites keeps its permissions.
#[cfg(unix)]
#[test]
fn a_venue_that_is_rewritten_keeps_its_permissions() {
    use std::os::unix::fs::PermissionsExt;
    let home = home();
    let venue = home.path().join("football.toml");
    fs::set_permissions(&venue, fs::Permissions::from_mode(0o640)).unwrap();
    let words = ["fit", "football.toml", "--seen", "seen.toml", "--into", "football.toml"];
    run(home.path(), &[&words[..], &["--over-venue"]].concat()).success();
    assert_eq!(fs::metadata(&venue).unwrap().permissions().mode() & 0o777, 0o640);
}
