//! Messages of the readers, walked through: whatever is wrong with a file, the message has
//! a subject, names a line that there is, and shows no value as code would.

use std::fs;
use std::path::Path;

use quarterstop::import::horizon::{csv, geotiff, hgt};
use quarterstop::import::outlines::{FieldChoice, Goal, HeightRule, NewVenue, Wish, import};
use quarterstop::venue::{parse, read};

const DEMO: &str = include_str!("../venues/football-demo.toml");

/// What no message for people has in it.
fn assert_plain(message: &str) {
    for sign in [
        "Some(",
        "None",
        "Ok(",
        "Err(",
        "line 0",
        ":0:0",
        "error: : ",
        "error: found :",
        "invalid digit",
        "invalid float",
        "ParseIntError",
        "Error {",
        "::",
        "\\n",
        " 1 values",
        " 1 cameras",
        " 1 points",
        " 1 mistakes",
        "(1 features",
        "U8(",
        "[8, ",
    ] {
        assert!(!message.contains(sign), "{sign:?} in\n{message}");
    }
    assert!(!message.trim().is_empty());
    for line in message.lines().filter(|line| line.starts_with("error")) {
        assert!(!line.trim_end().ends_with(':'), "{line}");
    }
    let lines = message.lines().count();
    assert!(lines <= 400, "{lines} lines");
}

/// Each line of the demo made wrong in ways that people do.
#[test]
fn mistakes_in_a_venue_file_have_a_plain_message() {
    let wrong: [fn(&str) -> String; 7] = [
        |line| line.replacen(" = ", " = \"x\" # ", 1),
        |line| line.replacen(" = ", " = -99999.0 # ", 1),
        |line| line.replacen(" = ", " = [] # ", 1),
        |line| line.replacen(" = ", " = true # ", 1),
        |line| line.replacen(" = ", "x = ", 1),
        |line| line.replace('"', "\u{201d}"),
        |line| line.replacen('.', ",", 1),
    ];
    let lines: Vec<&str> = DEMO.lines().collect();
    let mut refused = 0;
    for at in (0..lines.len()).filter(|at| !lines[*at].trim_start().starts_with('#')) {
        for change in wrong {
            let mut changed: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
            changed[at] = change(lines[at]);
            if changed[at] == lines[at] {
                continue;
            }
            if let Err(error) = parse(&changed.join("\n"), "ground.toml") {
                let message = error.to_string();
                assert_plain(&message);
                assert_plain(&error.without_lines());
                assert!(message.contains("ground.toml:"), "{message}");
                refused += 1;
            }
        }
    }
    assert!(refused > 400, "{refused}");
}

/// Twenty thousand mistakes are counted, not listed.
#[test]
fn many_mistakes_are_counted() {
    let text = format!("{DEMO}\n{}", "[[tree]]\nname = \"T\"\nat = [0, 0, 0]\n".repeat(5_000));
    let error = parse(&text, "ground.toml").unwrap_err();
    assert_plain(&error.to_string());
    assert!(error.to_string().contains(" more, not shown"), "{error}");
    let short = error.without_lines();
    assert!(short.lines().count() <= 31 && !short.contains("ground.toml:"), "{short}");
}

fn wish() -> Wish {
    Wish {
        source: "map.geojson".into(),
        within_m: 300.0,
        rule: HeightRule { level_m: 3.0, assumed_m: None },
    }
}

fn new_venue(zone: &str) -> NewVenue {
    NewVenue {
        title: None,
        zone: zone.into(),
        height_m: Some(30.0),
        sport: None,
        length_m: None,
        width_m: None,
        field: FieldChoice::Drawn { named: None },
    }
}

/// A pitch of `size` degrees of latitude beside other features.
fn map(size: f64, others: &str) -> String {
    format!(
        r#"{{"type":"FeatureCollection","features":[{{"type":"Feature","id":"way/1",
        "properties":{{"leisure":"pitch","sport":"soccer"}},"geometry":{{"type":"Polygon",
        "coordinates":[[[0,50],[{0},50],[{0},{1}],[0,{1}],[0,50]]]}}}}{others}]}}"#,
        size,
        50.0 + size
    )
}

#[test]
fn maps_that_cannot_be_used_have_a_plain_message() {
    let refused = |text: &str, zone: &str| {
        let new = new_venue(zone);
        let told = import(text, Goal::New(new), &wish()).err().map(|e| e.to_string());
        let told = told.unwrap_or_else(|| panic!("sound: {text}"));
        assert_plain(&told);
        told
    };
    // what says leisure=pitch and is none is not said to be missing
    let small = refused(&map(0.000_001, ""), "Europe/London");
    assert!(small.contains("way/1: 0.1 x 0.1 m") && !small.contains("no polygon"), "{small}");
    let large = refused(&map(0.5, ""), "Europe/London");
    assert!(large.contains("km") || large.contains(" m, where 1 m of width"), "{large}");
    let point = map(0.001, "").replace("\"Polygon\"", "\"Point\"");
    refused(&point, "Europe/London");
    assert!(
        refused(&map(0.001, "").replace("pitch", "park"), "Europe/London").contains("no polygon")
    );
    for text in [
        "",
        "{",
        "[]",
        "7",
        "{\"type\":\"Feature\"}",
        "{\"type\":\"FeatureCollection\",\"features\":[]}",
    ] {
        refused(text, "Europe/London");
    }
    // the venue that would be written has no lines that anybody could look at
    let unsound = refused(&map(0.0009, ""), "Europe/Nowhere");
    assert!(unsound.contains("place.zone: found \"Europe/Nowhere\""), "{unsound}");
    assert!(!unsound.contains(".toml:") && !unsound.contains("-->"), "{unsound}");
}

/// A reason for each of many features is a list that nobody reads.
#[test]
fn reasons_of_an_import_are_counted() {
    let broken = |i: usize| {
        format!(
            r#",{{"type":"Feature","id":"way/{i}","properties":{{"building":"yes","height":"5"}},
            "geometry":{{"type":"Polygon","coordinates":[[[{i},95],[1,95],[1,96],[{i},95]]]}}}}"#
        )
    };
    let others: String = (1000..2000).map(broken).collect();
    let wish = wish();
    let map = map(0.0009, &others);
    let imported = import(&map, Goal::New(new_venue("Europe/London")), &wish);
    let imported = imported.unwrap_or_else(|e| panic!("{e}"));
    let told = quarterstop::import::outlines::text(&imported, &wish);
    assert!(told.contains(" more reasons"), "{told}");
    assert!(told.lines().count() < 120, "{}", told.lines().count());
    assert!(imported.text.lines().count() < 200, "{}", imported.text.lines().count());
}

#[test]
fn skylines_and_terrain_have_plain_messages() {
    let many = "1,100\n".repeat(20_000);
    for text in
        ["", "a,b\n1,2\n", "azimuth_deg,elevation_deg\n", "x,1\n", "1,x\n", "400,95\n", &many]
    {
        let told = csv::read(text, "list.csv", None).err().map(|e| e.to_string());
        assert_plain(&told.unwrap_or_else(|| panic!("sound: {text}")));
    }
    assert_plain(&hgt::read(&[0; 10], "N52W001.hgt").unwrap_err().to_string());
    assert_plain(&hgt::read(&[0; 10], "x.hgt").unwrap_err().to_string());
    // every single tag of a tile made another: kinds of pixels, depths, compressions
    let tile = fs::read(format!("{}/tests/data/terrain_degrees.tif", env!("CARGO_MANIFEST_DIR")));
    let tile = tile.unwrap();
    let start = u32::from_le_bytes(tile[4..8].try_into().unwrap()) as usize;
    let tags = usize::from(u16::from_le_bytes(tile[start..start + 2].try_into().unwrap()));
    let mut refused = 0;
    for tag in 0..tags {
        let entry = start + 2 + 12 * tag;
        for (offset, value) in [(8, 0_u8), (8, 3), (8, 5), (8, 6), (8, 99), (4, 2), (2, 2), (0, 1)]
        {
            let mut bytes = tile.clone();
            bytes[entry + offset] = value;
            if let Err(error) = geotiff::read(&bytes, "a.tif") {
                assert_plain(&error.to_string());
                refused += 1;
            }
        }
    }
    assert!(refused > 20, "{refused}");
}

#[test]
fn models_have_plain_messages() {
    let base = DEMO.split("[[stand]]").next().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let told = |file: &str, bytes: &[u8], extra: &str| {
        fs::write(folder.path().join(file), bytes).unwrap();
        let text = format!(
            "{base}[[mesh]]\nname = \"Old Stand\"\nfile = \"{file}\"\nmetres_per_unit = 1.0\n\
             up = \"z\"\n{extra}\n"
        );
        let path = folder.path().join("ground.toml");
        fs::write(&path, text).unwrap();
        let message = read(Path::new(&path)).err().map(|e| e.to_string());
        let message = message.unwrap_or_else(|| panic!("sound: {file}"));
        assert_plain(&message);
        assert!(message.contains("Old Stand, mesh[0]."), "{message}");
        message
    };
    let far = "at = [0.0, 60.0, 0.0]";
    let triangle = "v 0 0 0\nv 9 0 0\nv 0 0 9\n";
    for (text, at) in [
        ("v 0 0 x\n", far),
        ("v 0 0\n", far),
        ("f 1 2 3\n", far),
        ("", far),
        ("\u{0}\u{1}\u{2}", far),
    ] {
        told("a.obj", text.as_bytes(), at);
    }
    for face in
        ["f 1 2 9", "f 1 2", "f 1 2 x", "f 0 1 2", "f -1 -2 -9", "f 1/1/1 2 99999999999999999999"]
    {
        told("a.obj", format!("{triangle}{face}\n").as_bytes(), far);
    }
    for text in ["{", "{}", "[]", "{\"asset\":{\"version\":\"9\"}}", "{\"asset\":{}}", "glTF"] {
        told("a.gltf", text.as_bytes(), far);
    }
    told("a.glb", b"glTF\x02\0\0\0\0\0\0\0", far);
    told("a.stl", b"solid", far);
    let sunk = told("a.obj", format!("{triangle}f 1 2 3\n").as_bytes(), "at = [0.0, 60.0, -50.0]");
    assert!(sunk.contains("its highest point 41.00 m down"), "{sunk}");
}

/// A key that nothing knows and a lens that closes no farther than it opens are reported in one
/// go: the rest of the file can be read without the key.
#[test]
fn unknown_keys_and_wrong_values_are_reported_together() {
    let text = DEMO
        .replacen("widest_t = 1.9\n", "widest_t = 1.9\nwidest_tt = 2.0\n", 1)
        .replacen("narrowest_t = 16.0\n", "narrowest_t = 1.0\n", 1)
        .replacen("[[camera]]\n", "[[camera]]\nsharpness = 3\n", 1);
    let error = parse(&text, "ground.toml").unwrap_err().to_string();
    assert!(error.starts_with("3 mistakes in the venue file"), "{error}");
    for said in ["unknown key `widest_tt`", "unknown key `sharpness`", "narrowest_t: found T1"] {
        assert!(error.contains(said), "{said}: {error}");
    }
}
