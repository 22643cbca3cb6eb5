//! What people are told about a bad venue file: file, line, key, what was found,
//! what is allowed, several mistakes at once.

use std::io::Write;
use std::path::Path;

use proptest::prelude::*;
use quarterstop::venue::{VenueError, parse, read};

const DEMO: &str = include_str!("../venues/football-demo.toml");

/// The demo with one piece replaced.
fn demo_with(old: &str, new: &str) -> String {
    assert!(DEMO.contains(old), "the demo has no {old:?}");
    DEMO.replacen(old, new, 1)
}

fn told(text: &str) -> String {
    parse(text, "ground.toml").unwrap_err().to_string()
}

/// The report holds all of these.
fn says(text: &str, parts: &[&str]) {
    let report = told(text);
    for part in parts {
        assert!(report.contains(part), "{part:?} is missing in:\n{report}");
    }
}

fn line_of(text: &str, piece: &str) -> usize {
    1 + text[..text.find(piece).unwrap()].matches('\n').count()
}

#[test]
fn the_demo_reads_with_any_line_ends_and_with_a_byte_order_mark() {
    assert!(parse(DEMO, "demo").is_ok());
    assert!(parse(&DEMO.replace('\n', "\r\n"), "demo").is_ok());
    assert!(parse(&format!("\u{feff}{DEMO}"), "demo").is_ok());
}

#[test]
fn an_unknown_key_gets_its_line_and_a_suggestion() {
    let text = demo_with("setback_m = 6.0", "setbak_m = 6.0");
    let line = line_of(&text, "setbak_m");
    says(
        &text,
        &["an unknown key `setbak_m`", "did you mean `setback_m`?", &format!("ground.toml:{line}")],
    );
    says(&text, &["stand[0].setback_m: found nothing", "a number from 0 to 500 m"]);
}

#[test]
fn several_mistakes_are_told_together_in_order_of_lines() {
    let text = demo_with("latitude_deg = 52.31", "latitude_deg = 95.0");
    let text = text.replacen("bearing_deg = 12.0", "bearing_deg = 400.0", 1);
    let text = text.replacen("side = \"left\"", "side = \"lefd\"", 1);
    let text = text.replacen("horizontal_fov_deg = 28.0", "horizontal_fov_deg = \"wide\"", 1);
    let report = told(&text);
    assert!(report.starts_with("4 mistakes in the venue file `ground.toml`"), "{report}");
    let places: Vec<usize> = [
        "place.latitude_deg: found 95.0 degrees",
        "field.bearing_deg: found 400.0 degrees",
        "stand[0].side: found \"lefd\"",
        "camera[4].horizontal_fov_deg: found \"wide\"",
    ]
    .iter()
    .map(|part| report.find(part).unwrap_or_else(|| panic!("{part} in {report}")))
    .collect();
    assert!(places.is_sorted(), "{report}");
    says(
        &text,
        &["a number from -90 to 90 degrees", "did you mean \"left\"?", "a number from 0 to 360"],
    );
}

#[test]
fn numbers_that_are_none_are_refused_at_their_line() {
    for odd in ["nan", "inf", "-inf", "+nan", "1e308", "-4e9", "99999999999999999999"] {
        let text = demo_with("depth_m = 24.0", &format!("depth_m = {odd}"));
        let line = line_of(&text, &format!("depth_m = {odd}"));
        let report = told(&text);
        assert!(report.contains("depth_m: found"), "{odd}: {report}");
        assert!(report.contains(&format!("ground.toml:{line}")), "{odd}: {report}");
        assert!(report.starts_with("1 mistake"), "{odd}: {report}");
        let corner = demo_with("at = [38.0, -66.0]", &format!("at = [{odd}, -66.0]"));
        assert!(told(&corner).starts_with("1 mistake"), "{}", told(&corner));
    }
}

#[test]
fn what_is_missing_is_asked_for() {
    let text = demo_with("sport = \"football\"\n", "");
    says(&text, &["field.sport: found nothing", "one of \"football\", \"rugby_union\""]);
    says("title = \"x\"\n", &["place: found nothing", "field: found nothing", "a table"]);
    says("# nothing but a remark\n", &["title: found nothing"]);
}

#[test]
fn points_need_their_count_of_numbers() {
    says(&demo_with("at = [38.0, -66.0]", "at = [38.0]"), &["tree[0].at", "1 value", "2 values"]);
    says(
        &demo_with("at = [57.0, 38.0, 4.0]", "at = [57.0, 38.0]"),
        &["camera[2].at", "2 values", "3 values"],
    );
}

#[test]
fn broken_toml_is_shown_where_it_breaks() {
    let text = demo_with("title = \"Umbra Park\"", "title = \"Umbra Park");
    says(&text, &["TOML: found", "ground.toml:8"]);
    let twice = demo_with("height_m = 38.0", "height_m = 38.0\nheight_m = 39.0");
    says(&twice, &["duplicate key"]);
}

#[test]
fn empty_files_and_other_encodings_are_named() {
    assert!(matches!(parse("", "x"), Err(VenueError::Empty { .. })));
    assert!(matches!(parse(" \n\t\n", "x"), Err(VenueError::Empty { .. })));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("ground.toml");
    let utf16: Vec<u8> = DEMO.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let with_mark: Vec<u8> = [0xff, 0xfe].into_iter().chain(utf16).collect();
    std::fs::write(&path, with_mark).unwrap();
    let report = read(&path).unwrap_err().to_string();
    assert!(report.contains("not text in UTF-8: byte 0 (line 1)"), "{report}");
    let mut latin = b"title = \"ok\"\n# caf".to_vec();
    latin.push(0xe9);
    std::fs::write(&path, latin).unwrap();
    let report = read(&path).unwrap_err().to_string();
    assert!(
        report.contains("byte 18 (line 2)") && report.contains("save the file as UTF-8"),
        "{report}"
    );
}

#[test]
fn large_files_folders_and_missing_files_are_refused_at_once() {
    let folder = tempfile::tempdir().unwrap();
    assert!(matches!(read(folder.path()), Err(VenueError::Folder { .. })));
    let missing = read(&folder.path().join("none.toml")).unwrap_err().to_string();
    assert!(missing.contains("none.toml") && missing.contains("check the name"), "{missing}");
    let path = folder.path().join("huge.toml");
    let mut file = std::fs::File::create(&path).unwrap();
    file.write_all(b"title = \"x\"\n").unwrap();
    file.set_len(100 * 1024 * 1024).unwrap();
    let report = read(&path).unwrap_err().to_string();
    assert!(report.contains("104857600 bytes") && report.contains("4194304"), "{report}");
    assert!(matches!(read(Path::new("/dev/zero")), Err(VenueError::TooLarge { .. })));
}

#[test]
fn deep_nesting_is_an_error_and_no_crash() {
    for (open, close) in [("[", "]"), ("{a = ", "}")] {
        for depth in [60, 500, 10_000] {
            let text = format!("title = {}1{}\n", open.repeat(depth), close.repeat(depth));
            assert!(parse(&text, "deep").is_err());
        }
    }
    let dotted = format!("{}x = 1\n", "a.".repeat(5000));
    assert!(parse(&dotted, "deep").is_err());
}

#[test]
fn a_flood_of_mistakes_is_counted() {
    let zones: String = (0..50).map(|i| format!("[[zone]]\nname = {i}\ncorners = []\n")).collect();
    let report = told(&format!("{DEMO}\n{zones}"));
    assert!(report.starts_with("50 mistakes"), "{report}");
    assert!(report.ends_with("and 20 more, not shown"), "{report}");
}

/// Checking a polygon takes time that grows with the square of its corners.
#[test]
fn polygons_have_a_limit_of_corners() {
    let corners = |n: usize| {
        let corner = |i: usize| {
            let (sin, cos) = (std::f64::consts::TAU * i as f64 / n as f64).sin_cos();
            format!("[{:.6}, {:.6}], ", 10.0 * cos, 10.0 * sin)
        };
        let ring: String = (0..n).map(corner).collect();
        format!("{DEMO}\n[[zone]]\nname = \"ring\"\ncorners = [{ring}]\n")
    };
    assert!(parse(&corners(1000), "demo").is_ok());
    says(&corners(1001), &["zone[1].corners: found 1001 of them", "at most 1000"]);
    says(&corners(60_000), &["60000 of them"]);
}

#[test]
fn names_fit_on_a_line() {
    let long = format!("name = \"{}\"", "x".repeat(81));
    says(&demo_with("name = \"Scoreboard\"", &long), &["solid[0].name", "up to 80 characters"]);
    says(&demo_with("name = \"Scoreboard\"", "name = \"a\\nb\""), &["solid[0].name"]);
}

#[test]
fn dates_may_go_without_quotes() {
    let text = demo_with("date = \"2027-10-16\"", "date = 2027-10-16");
    let text = text.replacen("start = \"15:00\"", "start = 15:00:00", 1);
    let fixture = parse(&text, "demo").unwrap().fixture.unwrap();
    assert_eq!(fixture.date.to_string(), "2027-10-16");
    assert_eq!(fixture.start.to_string(), "15:00:00");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    /// Whatever is done to a file, it is read or refused in words.
    #[test]
    fn no_change_to_a_file_ends_in_a_panic(
        at in 0..DEMO.len(),
        what in prop_oneof![
            Just("".to_owned()), Just("-".into()), Just("[".into()), Just("\"".into()),
            Just("1e9".into()), Just("0".into()), Just("= =".into()), "\\PC{0,6}",
        ],
        length in 0_usize..12,
    ) {
        let mut end = (at + length).min(DEMO.len());
        let mut start = at;
        while !DEMO.is_char_boundary(start) { start -= 1; }
        while !DEMO.is_char_boundary(end) { end += 1; }
        let text = format!("{}{what}{}", &DEMO[..start], &DEMO[end..]);
        if let Err(error) = parse(&text, "ground.toml") {
            prop_assert!(!error.to_string().is_empty());
        }
    }
}
