//! A model that a venue names was changed between a run and the one that takes it up:
//! nothing of the earlier model is used.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use predicates::str::contains;
use quarterstop::venue::{self, mesh};
use tempfile::TempDir;

/// A stand west of a tennis court, as the model has it.
const GROUND: &str = r#"title = "Court"
[place]
latitude_deg = 52.0
longitude_deg = -0.5
height_m = 50.0
zone = "Europe/London"
[field]
sport = "tennis"
bearing_deg = 0.0
[[mesh]]
name = "West stand"
file = "models/stand.obj"
metres_per_unit = 1.0
up = "z"
at = [0.0, 14.0, 0.0]
[fixture]
date = "2027-05-01"
start = "15:00"
"#;

/// A box of 30 x 4 m.
fn stand(height_m: f64) -> String {
    let corners = |up: f64| format!("v -15 0 {up}\nv 15 0 {up}\nv 15 4 {up}\nv -15 4 {up}\n");
    let faces = "f 4 3 2 1\nf 5 6 7 8\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n";
    corners(0.0) + &corners(height_m) + faces
}

fn ground(height_m: f64) -> TempDir {
    let home = TempDir::new().unwrap();
    fs::create_dir(home.path().join("models")).unwrap();
    fs::write(home.path().join("court.toml"), GROUND).unwrap();
    fs::write(home.path().join("models/stand.obj"), stand(height_m)).unwrap();
    home
}

fn run(home: &Path, words: &[&str]) -> assert_cmd::assert::Assert {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.current_dir(home).args(words).assert()
}

#[test]
fn days_of_another_model_are_not_mixed_into_a_year() {
    let home = ground(6.0);
    let year = |more: &[&str]| {
        let span = ["--first-date", "2027-05-01", "--last-date", "2027-05-02", "--step", "60"];
        run(home.path(), &[&["year", "court.toml", "--into", "year"], &span[..], more].concat())
    };
    year(&["--shard", "1/2"]).success();
    fs::write(home.path().join("models/stand.obj"), stand(20.0)).unwrap();
    year(&["--shard", "2/2"]).code(2).stderr(contains("model of it"));
    fs::write(home.path().join("models/stand.obj"), stand(6.0)).unwrap();
    year(&["--shard", "2/2"]).success().stdout(contains("1 of 1 days worked out now"));
}

#[test]
fn starts_under_another_model_are_worked_out_anew() {
    let home = ground(6.0);
    let starts = |into: &str| {
        let times = ["--from-time", "15:00", "--to-time", "17:00", "--every-min", "60"];
        let words = [&["starts", "court.toml", "--step", "30", "--into", into], &times[..]];
        run(home.path(), &words.concat())
    };
    let csv = |into: &str| fs::read(home.path().join(into).join("starts.csv")).unwrap();
    // all is worked out, and then a folder lies in the way of a file
    fs::create_dir_all(home.path().join("stopped/starts.csv")).unwrap();
    starts("stopped").failure().stderr(contains("there is a folder"));
    let kept = fs::read_dir(home.path().join("stopped")).unwrap().flatten();
    assert!(
        kept.map(|e| e.file_name()).any(|n| n.to_string_lossy().starts_with(".unfinished-run"))
    );
    fs::remove_dir(home.path().join("stopped/starts.csv")).unwrap();
    starts("low").success();
    fs::write(home.path().join("models/stand.obj"), stand(20.0)).unwrap();
    starts("stopped").success();
    starts("high").success();
    assert_eq!(csv("stopped"), csv("high"));
    assert_ne!(csv("low"), csv("high"), "a stand of 20 m has to tell from one of 6 m");
}

/// A glTF file is its buffers too.
#[test]
fn buffers_of_a_model_are_files_that_the_venue_names() {
    let home = ground(6.0);
    for name in ["drum.gltf", "drum.bin"] {
        let from = format!("{}/tests/data/meshes/{name}", env!("CARGO_MANIFEST_DIR"));
        fs::copy(from, home.path().join("models").join(name)).unwrap();
    }
    let text = GROUND.replace("stand.obj", "drum.gltf").replace("up = \"z\"", "up = \"y\"");
    let text = text.replace("[0.0, 14.0, 0.0]", "[0.0, 30.0, 0.0]");
    let file = home.path().join("court.toml");
    fs::write(&file, text).unwrap();
    let venue = venue::read(&file).unwrap();
    let named = mesh::files_of(&file, &venue.meshes);
    assert_eq!(named, ["drum.bin", "drum.gltf"].map(|n| home.path().join("models").join(n)));
}
