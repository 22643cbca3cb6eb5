//! `quarterstop on-air`: its files, what they say of themselves, its levels.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;

fn quarterstop() -> Command {
    Command::new(env!("CARGO_BIN_EXE_quarterstop"))
}

fn read(path: &Path) -> Vec<u8> {
    fs::read(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Bits a channel and the code points of a PNG: colour primaries and transfer.
fn png_of(path: &Path) -> (u8, [u8; 2], [u32; 2]) {
    let bytes = std::io::Cursor::new(read(path));
    let mut reader = png::Decoder::new(bytes).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut pixels).unwrap();
    let info = reader.info();
    let points = info.coding_independent_code_points.unwrap();
    let transfer = [points.color_primaries, points.transfer_function];
    (info.bit_depth as u8, transfer, [info.width, info.height])
}

#[test]
fn pictures_say_what_their_numbers_mean() {
    let folder = tempfile::tempdir().unwrap();
    let run = quarterstop()
        .args(["on-air", "venues/golf-demo.toml", "--camera", "1 hoist", "--minute", "11:00"])
        .args(["--width", "160", "--hdr", "pq", "--into"])
        .arg(folder.path())
        .assert()
        .success();
    let text = String::from_utf8_lossy(&run.get_output().stdout).into_owned();
    assert!(text.contains("1 hoist"), "{text}");
    let at = |name: &str| folder.path().join(format!("on-air-1-hoist-{name}.png"));
    // H.273: primaries 1 and 9 are BT.709 and BT.2020, transfer 1 is BT.709, 16 is PQ
    assert_eq!(png_of(&at("1100-sdr")), (8, [1, 1], [160, 90]));
    assert_eq!(png_of(&at("1100-pq")), (16, [9, 16], [160, 90]));
    assert_eq!(png_of(&at("1100-sdr-of-pq")), (8, [1, 1], [160, 90]));
    for page in ["1100-clipped", "1100-settings", "strip"] {
        assert!(read(&at(page)).len() > 1000, "{page}");
    }

    let json: Value = serde_json::from_slice(&read(&folder.path().join("on-air.json"))).unwrap();
    let schema = quarterstop::jobs::on_air::report::schema();
    assert!(jsonschema::validator_for(&schema).unwrap().is_valid(&json));
    let picture = &json["pictures"][0];
    // it looks at ground over 250 m off, where no player would be seen
    assert_eq!(picture["players"], "aim_far_off");
    assert!(text.contains("aim far off"), "{text}");
    let white = picture["white_cd_per_m2"].as_f64().unwrap();
    let levels = picture["levels"].as_array().unwrap();
    assert!(levels.iter().any(|level| level["name"] == "turf in sun"), "{levels:?}");
    for level in levels {
        // the grey card of 18 % under white
        let luminance = level["luminance_cd_per_m2"].as_f64().unwrap();
        let stops = (luminance / (0.18 * white)).log2();
        let said = level["stops_from_grey"].as_f64().unwrap();
        assert!((said - stops).abs() < 0.02, "{level}");
        // narrow range at 10 bits, BT.709-6 item 3.4
        for code in ["sdr_code", "hdr_code", "sdr_of_hdr_code"] {
            assert!((64..=940).contains(&level[code].as_u64().unwrap()), "{level}");
        }
    }
    let table = String::from_utf8(read(&folder.path().join("on-air.csv"))).unwrap();
    let header: Vec<&str> = table.lines().next().unwrap().split(',').collect();
    let columns = quarterstop::jobs::on_air::report::columns();
    assert_eq!(header, columns.iter().map(|c| c.name.as_str()).collect::<Vec<_>>());
    assert_eq!(table.lines().count(), 1 + levels.len());
}

/// A tree before the aim hides it where less than half of the light comes through its leaves,
/// one beside the aim hides one of the row, and in a tight frame heads would be cut.
#[test]
fn players_stand_where_they_are_seen() {
    let placed = |transmittance: &str, (x, radius): (&str, &str), fov_deg: &str| {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("lime-park.toml");
        let text = format!(
            "title = \"Lime Park\"
[place]
latitude_deg = 51.5
longitude_deg = -1.0
height_m = 60.0
zone = \"Europe/London\"
[field]
sport = \"football\"
length_m = 100.0
width_m = 64.0
bearing_deg = 90.0
[[tree]]
name = \"Lime\"
at = [{x}, -42.0]
trunk_height_m = 2.0
crown_height_m = 12.0
crown_radius_m = {radius}
in_leaf_transmittance = {transmittance}
bare_transmittance = 0.9
leaf_from = \"04-20\"
leaf_to = \"11-05\"
[[camera]]
name = \"1 wide\"
at = [0.0, -60.0, 8.0]
looks_at = [\"centre spot\"]
horizontal_fov_deg = {fov_deg}
[fixture]
date = \"2027-07-10\"
start = \"15:00\"
"
        );
        fs::write(&file, text).unwrap();
        quarterstop()
            .arg("on-air")
            .arg(&file)
            .args(["--minute", "15:30", "--width", "160", "--into"])
            .arg(folder.path().join("out"))
            .assert()
            .success();
        let json = read(&folder.path().join("out/on-air.json"));
        let json: Value = serde_json::from_slice(&json).unwrap();
        json["pictures"][0]["players"].clone()
    };
    let (wide, before, beside) = ("50.0", ("0.0", "3.0"), ("-0.7", "0.4"));
    assert_eq!(placed("0.2", before, wide), "aim_hidden");
    assert_eq!(placed("0.8", before, wide), Value::Null);
    // of four players 1.5 m apart the first stands 2.25 m beside the aim
    assert_eq!(placed("0.2", beside, wide), "row_cut");
    assert_eq!(placed("0.8", beside, wide), Value::Null);
    // a frame 3.1 m high at the aim shows 1.55 m over it; one of 1.5 m shows no player whole
    assert_eq!(placed("0.8", before, "5.3"), "row_cut");
    assert_eq!(placed("0.8", before, "2.5"), "heads_out");
}

#[test]
fn an_unknown_camera_is_refused_with_those_that_there_are() {
    let run = quarterstop()
        .args(["on-air", "venues/golf-demo.toml", "--camera", "9 nowhere"])
        .assert()
        .code(2);
    let text = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
    assert!(text.contains("9 nowhere") && text.contains("1 hoist"), "{text}");
}

/// A lens without ND that closes no farther than T8 in the sun shows a picture that is as much
/// brighter as the iris that is missing, and says so.
#[test]
fn a_lens_that_is_closed_all_the_way_shows_a_bright_picture() {
    let folder = tempfile::tempdir().unwrap();
    let demo = fs::read_to_string("venues/football-demo.toml").unwrap();
    let shown = |narrowest: &str| {
        let venue = folder.path().join(format!("closes-to-{narrowest}.toml"));
        let text = demo.replace("narrowest_t = 16.0", &format!("narrowest_t = {narrowest}"));
        let text = text.replace("nd_stops = [0.0, 2.0, 4.0, 6.0]", "nd_stops = [0.0]");
        fs::write(&venue, text).unwrap();
        let run = quarterstop()
            .arg("on-air")
            .arg(&venue)
            .args(["--camera", "1 main wide", "--minute", "15:10", "--width", "160"])
            .args(["--expose", "sun", "--into"])
            .arg(folder.path().join(narrowest))
            .assert()
            .success();
        let text = String::from_utf8_lossy(&run.get_output().stdout).replace("\n ", "");
        let json = read(&folder.path().join(narrowest).join("on-air.json"));
        let json: Value = serde_json::from_slice(&json).unwrap();
        let schema = quarterstop::jobs::on_air::report::schema();
        assert!(jsonschema::validator_for(&schema).unwrap().is_valid(&json));
        (json["pictures"][0].clone(), text.contains("closed all the way"))
    };
    let [(free, free_says), (closed, closed_says)] = ["45.0", "8.0"].map(shown);
    let of = |picture: &Value, key: &str| picture[key].as_f64().unwrap();
    assert_eq!((free_says, closed_says), (false, true), "{free} {closed}");
    assert_eq!((free.get("bright_stops"), of(&closed, "t_number")), (None, 8.0));
    let missing = 2.0 * (of(&free, "t_number") / 8.0).log2();
    assert!(missing > 1.0, "{missing}");
    assert!((of(&closed, "bright_stops") - missing).abs() < 0.02, "{closed}");
    let white = (of(&free, "white_cd_per_m2") / of(&closed, "white_cd_per_m2")).log2();
    assert!((white - missing).abs() < 0.02, "{white} {missing}");
}
