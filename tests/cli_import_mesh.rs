//! The real binary: `quarterstop import mesh`, and what `check` says of a mesh.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use predicates::prelude::*;
use predicates::str::contains;

const GROUND: &str = r#"# a ground of nobody's
title = "Ground"
[place]
latitude_deg = 52.0
longitude_deg = -0.5
height_m = 50.0
zone = "Europe/London"
[field]
sport = "football"   # as drawn
bearing_deg = 20.0
# the end
"#;

fn import(folder: &Path, words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.current_dir(folder).args(["import", "mesh"]).args(words);
    command
}

fn models(name: &str) -> String {
    format!("{}/tests/data/meshes/{name}", env!("CARGO_MANIFEST_DIR"))
}

fn ground() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("ground.toml"), GROUND).unwrap();
    folder
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

const PLACED: [&str; 6] = ["--metres-per-unit", "0.001", "--up", "z", "--at", "-30,45,0"];

#[test]
fn a_model_comes_in_with_its_file_and_nothing_else_changes() {
    let folder = ground();
    let model = models("stand.obj");
    let words = [
        &[model.as_str()][..],
        &PLACED,
        &["--turned-deg", "-90", "--without", "mast", "--onto", "ground.toml"],
        &["--into", "new.toml", "--name", "West \"A\""],
    ]
    .concat();
    import(folder.path(), &words).assert().success().stderr("").stdout(
        contains("West \"A\" from stand.obj: 20 triangles, 1 closed piece")
            .and(contains("24.00 x 80.00 x 16.00 m"))
            .and(contains("-110.00 to -30.00 m along, 45.00 to 69.00 m across"))
            .and(contains("left out as asked: 1 group with triangles: mast (12)"))
            .and(contains("lines (1)"))
            .and(contains("Written: new.toml")),
    );
    assert_eq!(names(folder.path()), ["ground.toml", "new.toml", "stand.obj"]);
    let text = fs::read_to_string(folder.path().join("new.toml")).unwrap();
    for line in GROUND.lines() {
        assert!(text.contains(line), "{line:?} stays in\n{text}");
    }
    assert!(
        text.contains("name = 'West \"A\"'") && text.contains("without = [\"mast\"]"),
        "{text}"
    );
    assert_eq!(fs::read(folder.path().join("stand.obj")).unwrap(), fs::read(&model).unwrap());
    Command::new(env!("CARGO_BIN_EXE_quarterstop"))
        .current_dir(folder.path())
        .args(["check", "new.toml"])
        .assert()
        .success()
        .stdout(contains("(mesh)").and(contains("not used: lines (1)")).and(contains("sound")));
}

#[test]
fn buffers_come_along_and_a_model_in_the_folder_is_not_copied() {
    let folder = ground();
    let words = ["--metres-per-unit", "1", "--up", "y", "--at", "0,60,0", "--onto", "ground.toml"];
    let model = models("drum.gltf");
    let first = [&[model.as_str()][..], &words, &["--into", "one.toml"]].concat();
    import(folder.path(), &first).assert().success();
    assert_eq!(names(folder.path()), ["drum.bin", "drum.gltf", "ground.toml", "one.toml"]);
    fs::create_dir(folder.path().join("sub")).unwrap();
    fs::copy(models("stand.glb"), folder.path().join("sub/s.glb")).unwrap();
    let second = ["sub/s.glb", "--metres-per-unit", "1", "--up", "y", "--at", "-20,-60,0"];
    let second = [&second[..], &["--onto", "one.toml", "--into", "one.toml"]].concat();
    import(folder.path(), &second).assert().code(2).stderr(contains("--replace"));
    import(folder.path(), &[&second[..], &["--replace"]].concat()).assert().success();
    let text = fs::read_to_string(folder.path().join("one.toml")).unwrap();
    assert_eq!(text.matches("[[mesh]]").count(), 2);
    assert!(text.contains("file = \"sub/s.glb\""), "{text}");
    assert_eq!(names(folder.path()), ["drum.bin", "drum.gltf", "ground.toml", "one.toml", "sub"]);
}

/// A skyline and outlines go into a venue that has a model already: neither touches it.
#[test]
fn a_venue_with_a_model_takes_a_skyline_and_outlines() {
    let folder = ground();
    // where the outlines are
    let there = GROUND.replace("52.0", "52.31").replace("-0.5", "-0.42").replace("20.0", "12.0");
    fs::write(folder.path().join("ground.toml"), there).unwrap();
    let model = models("stand.obj");
    let words = [&[model.as_str()][..], &PLACED, &["--turned-deg", "-90", "--without", "mast"]];
    let words = [&words.concat()[..], &["--onto", "ground.toml", "--into", "one.toml"]].concat();
    import(folder.path(), &words).assert().success();

    let more = |words: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
        command.current_dir(folder.path()).arg("import").args(words);
        command.args(["--onto", "one.toml", "--into", "one.toml", "--replace"]);
        command.assert().success().stderr("");
    };
    let venues = concat!(env!("CARGO_MANIFEST_DIR"), "/venues");
    more(&["horizon", &format!("{venues}/football-demo-skyline.csv"), "--declination-deg", "0.7"]);
    more(&["outlines", &format!("{venues}/football-demo-outlines.geojson")]);
    let text = fs::read_to_string(folder.path().join("one.toml")).unwrap();
    for table in ["[[mesh]]", "[horizon]", "[[solid]]"] {
        assert!(text.contains(table), "{table} in\n{text}");
    }
    Command::new(env!("CARGO_BIN_EXE_quarterstop"))
        .current_dir(folder.path())
        .args(["check", "one.toml"])
        .assert()
        .success()
        .stdout(contains("stand (mesh)").and(contains("sound")));

    // the model is gone: said by name, nothing written
    let before = fs::read(folder.path().join("one.toml")).unwrap();
    fs::remove_file(folder.path().join("stand.obj")).unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.current_dir(folder.path()).args(["import", "horizon"]);
    command.arg(format!("{venues}/football-demo-skyline.csv")).args(["--declination-deg", "0.7"]);
    command.args(["--onto", "one.toml", "--into", "one.toml", "--replace"]);
    command.assert().code(2).stderr(contains("stand.obj"));
    assert_eq!(fs::read(folder.path().join("one.toml")).unwrap(), before);
}

#[test]
fn what_fails_leaves_nothing_behind() {
    let folder = ground();
    let told = |words: &[&str], parts: &[&str]| {
        let mut run = import(folder.path(), words).assert().code(2).stdout("");
        for part in parts {
            run = run.stderr(contains(*part));
        }
        assert_eq!(names(folder.path()), ["ground.toml"], "{words:?}");
    };
    let model = models("stand.obj");
    let base = [&[model.as_str()][..], &PLACED, &["--onto", "ground.toml"]].concat();
    let into = |more: &[&'static str]| [&base[..], more].concat();
    told(
        &into(&["--into", "new.toml", "--only", "roof"]),
        &["\"roof\", which `stand.obj` has not"],
    );
    let on_field = [
        &[model.as_str()][..],
        &["--metres-per-unit", "0.001", "--up", "z", "--onto", "ground.toml", "--into", "n.toml"],
    ]
    .concat();
    told(&on_field, &["on the field of play", "would not be sound"]);
    told(&into(&["--into", "ground.toml"]), &["there is a file `ground.toml` already"]);
    told(
        &[
            "none.obj",
            "--metres-per-unit",
            "1",
            "--up",
            "z",
            "--onto",
            "ground.toml",
            "--into",
            "n.toml",
        ],
        &["none.obj"],
    );
    told(&into(&["--into", "n.toml", "--at", "1,2"]), &["ALONG,ACROSS,UP"]);
    told(&[&base[..], &["--into", "n.toml", "--transmittance", "1.2"]].concat(), &["from 0 to 1"]);
    // another file of that name
    fs::write(folder.path().join("stand.obj"), "v 0 0 0\n").unwrap();
    import(folder.path(), &into(&["--into", "n.toml"]))
        .assert()
        .code(2)
        .stderr(contains("another file").and(contains("rename the model")));
    assert_eq!(names(folder.path()), ["ground.toml", "stand.obj"]);
}

#[test]
fn the_help_says_which_axis_runs_where() {
    import(Path::new("."), &["--help"])
        .assert()
        .success()
        .stdout(contains("Example").and(contains("x axis runs along the field's bearing")));
}
