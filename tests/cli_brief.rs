//! `quarterstop brief`, the binary itself.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use predicates::prelude::*;
use render_support::marks::png_pixels;
use tempfile::TempDir;

use crate::render_support;

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
    let documents = [
        "brief.html",
        "brief.pdf",
        "board.html",
        "sheet-a.html",
        "sheet-b.html",
        "cues.ics",
        "cues.csv",
        "settings.csv",
        "brief.json",
        "cues-a.ics",
        "cues-b.ics",
    ];
    let mut expected: Vec<String> = documents.map(str::to_owned).into();
    for camera in ["1-main-wide", "2-main-tight", "3-corner-ahead", "4-corner-behind", "5-reverse"]
    {
        for kind in [".png", "-1545.png"] {
            expected.push(format!("through-{camera}{kind}"));
        }
    }
    let entries = fs::read_dir(folder.path()).unwrap();
    let mut found: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    found.sort();
    expected.sort();
    assert_eq!(found, expected);
    // whole to their last line; pictures are looked at by tests of their own
    for (name, end) in [
        ("brief.html", "</html>"),
        ("brief.pdf", "%%EOF"),
        ("board.html", "</html>"),
        ("sheet-a.html", "</html>"),
        ("sheet-b.html", "</html>"),
        ("cues.ics", "END:VCALENDAR"),
        ("brief.json", "}"),
    ] {
        let bytes = fs::read(folder.path().join(name)).unwrap();
        assert!(bytes.trim_ascii_end().ends_with(end.as_bytes()), "{name}");
    }
    for name in ["cues.csv", "settings.csv"] {
        let mut table = csv::Reader::from_path(folder.path().join(name)).unwrap();
        let rows: Result<Vec<csv::StringRecord>, csv::Error> = table.records().collect();
        assert!(rows.is_ok_and(|rows| !rows.is_empty()), "{name}");
    }
}

/// A page of the brief holds the very picture that `on-air` writes for the same minute, exposed
/// between sun and shade, in its frame under the heading.
#[test]
fn a_camera_shows_what_it_shows_on_air() {
    let folder = TempDir::new().unwrap();
    brief(TENNIS, folder.path()).args(["--through-at", "17:00", "--step", "10"]).assert().success();
    Command::cargo_bin("quarterstop")
        .unwrap()
        .args(["on-air", TENNIS, "--camera", "2 net", "--minute", "17:00", "--width", "1280"])
        .arg("--into")
        .arg(folder.path())
        .assert()
        .success();
    let read = |name: &str| png_pixels(&fs::read(folder.path().join(name)).unwrap());
    let (page_wide, _, page) = read("through-2-net-1700.png");
    let (wide, tall, picture) = read("on-air-2-net-1700-sdr.png");
    assert_eq!((page_wide, wide, tall), (1280 + 2 * 40, 1280, 720));
    let row = |of: &[u8], width: u32, from: [u32; 2]| -> Vec<u8> {
        let start = 3 * (from[1] * width + from[0]) as usize;
        of[start..start + 3 * wide as usize].to_vec()
    };
    for y in 0..tall {
        assert!(row(&page, page_wide, [40, 122 + y]) == row(&picture, wide, [0, y]), "row {y}");
    }
    let distinct: std::collections::HashSet<&[u8]> = picture.chunks(3).collect();
    assert!(distinct.len() > 500, "{} colours", distinct.len());
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

/// A truss of transmittance 0.6 over an opaque hoarding: dimmed light gets its T-number and
/// its share of the picture everywhere, between those of sun and shade.
#[test]
fn dimmed_light_is_on_all_pages() {
    let folder = TempDir::new().unwrap();
    let (venue, out) = (folder.path().join("truss.toml"), folder.path().join("out"));
    let panel = |name: &str, bottom: f64, top: f64| {
        format!(
            "[[panel]]\nname = \"{name}\"\ncorners = [[-60.0, 37.0, {bottom:.1}], [60.0, 37.0, \
             {bottom:.1}], [60.0, 37.0, {top:.1}], [-60.0, 37.0, {top:.1}]]\n"
        )
    };
    let text = format!(
        "title = \"SampleGrid Ground\"\n[place]\nlatitude_deg = 51.0\nlongitude_deg = 0.0\n\
         height_m = 0.0\nzone = \"Europe/London\"\n[field]\nsport = \"football\"\n\
         bearing_deg = 0.0\n{}transmittance = 0.6\n{}[[camera]]\nname = \"1 wide\"\n\
         at = [0.0, 52.0, 16.0]\naim = [[-30.0, 0.0], [30.0, 0.0]]\nhorizontal_fov_deg = 30.0\n\
         [fixture]\ndate = \"2027-09-30\"\nstart = \"14:30\"\n",
        panel("truss", 12.0, 22.0),
        panel("hoarding", 0.0, 8.0)
    );
    fs::write(&venue, text).unwrap();
    brief(venue.to_str().unwrap(), &out)
        .args(["--step", "10"])
        .assert()
        .success()
        .stdout(predicate::str::contains("dimmed T"))
        .stdout(predicate::str::contains("% of the picture"));
    let read = |name: &str| fs::read_to_string(out.join(name)).unwrap();
    for name in ["brief.html", "sheet-a.html"] {
        assert!(read(name).contains("dimmed\u{a0}T") || read(name).contains("dimmed T"), "{name}");
    }
    let brief: serde_json::Value = serde_json::from_str(&read("brief.json")).unwrap();
    let dimmed = &brief["cameras"][0]["settings"][0]["dimmed"];
    let pair = |key: &str| [0, 1].map(|i| dimmed[key][i].as_f64().unwrap());
    for through in pair("transmittance") {
        assert!((through - 0.6).abs() < 1e-9, "{through}");
    }
    let [low, high] = pair("picture_share");
    assert!((0.02..high).contains(&low) && high < 1.0, "{low} {high}");
    let board = read("board.html");
    for key in ["t_dimmed", "dimmed_share", "Set in dimmed light"] {
        assert!(board.contains(key), "{key}");
    }
    let settings = read("settings.csv");
    let mut lines = settings.lines().map(|line| line.split(',').collect::<Vec<_>>());
    let head = lines.next().unwrap();
    let at = |name: &str| head.iter().position(|column| *column == name).unwrap();
    let columns = ["sun_t", "dimmed_t", "shade_t", "dimmed_picture_share"].map(at);
    let mut between = 0;
    for row in lines {
        let [sun, dimmed, shade, share] = columns.map(|i| row[i].parse::<f64>().unwrap_or(0.0));
        if share >= 0.02 {
            assert!(shade <= dimmed && dimmed < sun, "{row:?}");
            between += 1;
        }
    }
    assert!(between > 5, "{between}");
}

/// Play into the dark without floodlights: T0.1 is no iris of any lens.
#[test]
fn less_light_than_the_lens_needs_is_said_in_words() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("fen-lane.toml");
    let text = "title = \"Fen Lane\"
[place]
latitude_deg = 52.3
longitude_deg = -1.2
height_m = 70.0
zone = \"Europe/London\"
[field]
sport = \"football\"
bearing_deg = 10.0
[[camera]]
name = \"1 wide\"
at = [-45.0, 0.0, 9.0]
looks_at = [\"centre spot\"]
horizontal_fov_deg = 40.0
[camera.exposure]
widest_t = 2.2
[fixture]
date = \"2027-10-30\"
start = \"16:30\"
";
    fs::write(&file, text).unwrap();
    let run = brief(file.to_str().unwrap(), &folder.path().join("out")).assert().success();
    let told = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
    assert!(told.contains("to T2.2\n"), "{told}");
    assert!(told.contains("  shade: wide open from 17:"), "{told}");
    assert!(!told.contains("T0.") && !told.contains("T1."), "{told}");
    let page = fs::read_to_string(folder.path().join("out/brief.html")).unwrap();
    assert!(page.contains("wide open from"));
    let board = fs::read_to_string(folder.path().join("out/board.html")).unwrap();
    assert!(board.contains("\"t_lens\":[[2.2,"));
    let run = Command::cargo_bin("quarterstop")
        .unwrap()
        .args(["on-air", file.to_str().unwrap(), "--minute", "18:10", "--width", "160", "--into"])
        .arg(folder.path().join("on-air"))
        .assert()
        .success();
    let told = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    assert!(told.contains("T2.2, no ND, wide open and "), "{told}");
    assert!(told.lines().all(|line| !line.trim().starts_with("K")), "{told}");
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
    assert!(page.contains("to\u{a0}2.2)"), "the range of an iris that is wide open is its end");
}
