//! What the live page shows of a ground is what the other commands say of it, to the last
//! digit; what it changes is what a change of the file would be.

use std::collections::HashMap;
use std::fs;
use std::process::Command;

use geo::{Area, BooleanOps, MultiPolygon, Polygon, Translate};
use quarterstop::base::frame::FieldPoint;
use quarterstop::venue::Draft;
use serde_json::{Value, json};

use crate::serve_support::{Session, demo};

const FIRST: &str = "stand[0].roof.front_height_m";

#[test]
fn an_edit_is_that_of_a_draft_and_undo_leads_back_to_the_first_byte() {
    let session = Session::of("football-demo");
    let first = session.on_disk();
    let mut draft = Draft::parse(&first, "ground.toml").unwrap();
    let sets = [
        (FIRST, r#"stand."Mill Stand".roof.front_height_m"#, 17.25),
        ("field.bearing_deg", "field.bearing_deg", 33.5),
        ("camera[2].at[2]", "", 9.0),
    ];
    for (key, address, value) in sets {
        let address = match address {
            "" => draft.address_at(key).unwrap().clone(),
            address => address.parse().unwrap(),
        };
        draft.set(&address, value).unwrap();
        let ground = session.set(key, value).ok();
        assert_eq!(ground["text"], draft.text());
        assert_eq!((&ground["saved"], &ground["can_undo"]), (&json!(true), &json!(true)));
        // written before it is answered
        assert_eq!(session.on_disk(), draft.text());
    }
    let ground = session.ground();
    let words: Vec<&str> =
        ground["history"].as_array().unwrap().iter().map(|w| w.as_str().unwrap()).collect();
    assert_eq!(words[0], "Mill Stand: roof, front height 19 m to 17.25 m");
    assert_eq!(words.len(), 3);
    // the address that venue files use names the same number
    assert_eq!(session.set(r#"stand."Mill Stand".roof.front_height_m"#, 17.25).status, 200);
    assert_eq!(session.revision(), ground["revision"].as_u64().unwrap(), "nothing changed");
    for _ in 0..3 {
        session.post("/api/undo", &json!({ "revision": session.revision() })).ok();
    }
    let ground = session.ground();
    assert_eq!(session.on_disk(), first);
    assert_eq!((&ground["can_undo"], &ground["can_redo"]), (&json!(false), &json!(true)));
    for _ in 0..3 {
        session.post("/api/redo", &json!({ "revision": session.revision() })).ok();
    }
    assert_eq!(session.on_disk(), draft.text());
}

/// Editors of one system write U+FEFF first and end lines with CR LF.
#[test]
fn marks_and_line_ends_of_other_systems_stay() {
    let text = fs::read_to_string(demo("tennis-demo")).unwrap();
    let text = format!("\u{feff}{}", text.replace('\n', "\r\n"));
    let session = Session::with_text(&text);
    session.set("field.bearing_deg", 350.0).ok();
    assert_eq!(session.on_disk(), text.replace("bearing_deg = 352.0", "bearing_deg = 350.0"));
    session.post("/api/undo", &json!({ "revision": session.revision() })).ok();
    assert_eq!(session.on_disk(), text);
}

#[test]
fn an_old_revision_is_told_with_the_ground_as_it_is() {
    let session = Session::of("tennis-demo");
    let old = session.revision();
    session.set("field.bearing_deg", 350.0).ok();
    let set = json!([{ "address": "field.bearing_deg", "value": 10.0 }]);
    for (path, body) in [
        ("/api/edit", json!({ "revision": old, "set": set })),
        ("/api/text", json!({ "revision": old, "text": "" })),
        ("/api/table", json!({ "revision": old, "remove": "camera[0]" })),
        ("/api/undo", json!({ "revision": old })),
    ] {
        let answer = session.post(path, &body);
        assert_eq!(answer.status, 409, "{path}");
        assert_eq!(answer.json()["ground"], session.ground(), "{path}");
    }
    for path in ["shadow?at=2027-06-05T16:00&", "plan?date=2027-06-05&start=15:00&", "check?"] {
        let answer = session.get(&format!("/api/{path}revision={old}"));
        assert_eq!(answer.status, 409, "{path}");
    }
    assert!(session.on_disk().contains("bearing_deg = 350.0"));
}

#[test]
fn a_preview_is_the_edit_that_follows_it_and_keeps_nothing() {
    let session = Session::of("football-demo");
    let (before, at) = (session.ground(), "2027-10-16T16:10:00");
    let text = session.on_disk();
    let set = json!([{ "address": FIRST, "value": 12.0 }, { "address": "stand[0].setback_m", "value": 9.0 }]);
    let revision = session.revision();
    let preview = json!({ "revision": revision, "set": set, "preview": true, "at": at });
    let mut shown = session.post("/api/edit", &preview).ok();
    assert_eq!((session.ground(), session.on_disk()), (before.clone(), text));
    let after = session.post("/api/edit", &json!({ "revision": revision, "set": set })).ok();
    for part in ["stands", "cameras"] {
        assert_eq!(shown[part], after[part], "{part}");
        assert!(part != "stands" || shown[part] != before[part]);
    }
    let now = session.revision();
    let shadow = session.get(&format!("/api/shadow?revision={now}&at={at}")).ok();
    shown["shadow"]["revision"] = json!(now);
    assert_eq!(shown["shadow"], shadow);
    // a number that cannot be says so beside its key
    let set = json!([{ "address": "stand[0].depth_m", "value": -3.0 }]);
    let wrong = json!({ "revision": now, "set": set, "preview": true, "at": at });
    let answer = session.post("/api/edit", &wrong);
    assert_eq!(answer.status, 422);
    assert_eq!(answer.json()["problems"][0]["key"], "stand[0].depth_m");
}

fn table(text: &str) -> Vec<HashMap<String, String>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().map(|row| row.unwrap()).collect()
}

fn run(words: &[&str], folder: &std::path::Path) {
    let output = Command::new(env!("CARGO_BIN_EXE_quarterstop"))
        .args(words)
        .args(["--into", "out"])
        .current_dir(folder)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}

/// Four decimals of shares, two of stops and degrees: all that `match` writes.
#[test]
fn shadow_and_light_of_an_instant_are_those_of_match() {
    let session = Session::of("football-demo");
    let home = session.home.path();
    run(&["match", "ground.toml", "--data-only", "--step", "35"], home);
    let rows = table(&fs::read_to_string(home.join("out/match.csv")).unwrap());
    assert!(rows.len() > 3);
    let revision = session.revision();
    for row in &rows {
        let at = &row["time"][..19];
        let shadow = session.get(&format!("/api/shadow?revision={revision}&at={at}")).ok();
        let close =
            |value: &Value, decimals: usize| format!("{:.decimals$}", value.as_f64().unwrap());
        assert_eq!(close(&shadow["sun"]["azimuth_deg"], 2), row["sun_azimuth_deg"]);
        assert_eq!(close(&shadow["sun"]["elevation_deg"], 2), row["sun_apparent_elevation_deg"]);
        for area in ["field", "playing_area", "surrounds"] {
            for (share, column) in [("opaque", "opaque_share"), ("shaded", "shaded_share")] {
                let name = format!("turf_{area}_{column}");
                let expected = row.get(&name).unwrap_or_else(|| panic!("no column {name}"));
                assert_eq!(&close(&shadow["shares"][area][share], 4), expected, "{name} at {at}");
            }
        }
        assert_eq!(shadow["shaded_share"], shadow["shares"]["field"]["shaded"]);
    }
    let row = &rows[2];
    let light =
        session.get(&format!("/api/instant?revision={revision}&at={}", &row["time"][..19])).ok();
    let close = |value: &Value| match value.as_f64() {
        Some(number) => format!("{number:.2}"),
        None => String::new(),
    };
    let columns = |end: &str| -> Vec<String> {
        let mut names: Vec<&String> = row.keys().filter(|name| name.ends_with(end)).collect();
        names.sort();
        names.into_iter().map(|name| row[name].clone()).collect()
    };
    let cameras = light["cameras"].as_array().unwrap();
    assert_eq!(cameras.len(), 5);
    // the demo's [exposure]
    let lens = json!([1.9, 16.0]);
    assert!(cameras.iter().all(|camera| camera["t_lens"] == lens), "{cameras:?}");
    for (end, path) in [
        ("_turf_split_stops", "/split_stops/value"),
        ("_turf_split_stops_low", "/split_stops/low"),
        ("_turf_split_stops_high", "/split_stops/high"),
        ("_subject_split_stops", "/subject_split_stops/value"),
    ] {
        let mut told: Vec<String> =
            cameras.iter().map(|c| c.pointer(path).map_or(String::new(), &close)).collect();
        let mut expected = columns(end);
        told.sort();
        expected.sort();
        assert_eq!(told, expected, "{end}");
    }
}

#[test]
fn the_plan_is_the_data_of_the_board_of_the_brief() {
    let session = Session::of("football-demo");
    let home = session.home.path();
    run(&["brief", "ground.toml", "--step", "5"], home);
    let page = fs::read_to_string(home.join("out/board.html")).unwrap();
    let (_, data) = page.split_once(r#"id="plan-data">"#).unwrap();
    let expected: Value = serde_json::from_str(data.split_once("</script>").unwrap().0).unwrap();
    let path =
        format!("/api/plan?revision={}&date=2027-10-16&start=15:00&step=5", session.revision());
    let told = session.get(&path).ok();
    assert_eq!(told, expected);
    assert!(told["epoch_s"].as_array().unwrap().len() > 20);
    for (wrong, word) in [("step=0", "1 to 60"), ("step=5&start=25:00", "start")] {
        let answer = session.get(
            &path.replace("start=15:00&step=5", wrong).replace("step=0", "start=15:00&step=0"),
        );
        assert_eq!(answer.status, 422, "{wrong}");
        assert!(answer.problem().contains(word), "{}", answer.problem());
    }
}

/// Right after a stand was moved the first look has its shadow to the last digit, sky light
/// that is off by no more than a moved roof makes, and cues to the step of the plan.
#[test]
fn a_first_look_after_a_change_has_the_true_shadow() {
    let session = Session::of("football-demo");
    let plan = |more: &str| {
        let revision = session.revision();
        let path = format!("/api/plan?revision={revision}&date=2027-10-16&start=15:00&step=15");
        session.get(&(path + more)).ok()
    };
    let before = plan("");
    let unchanged = plan("&first_look=true");
    assert_eq!(unchanged["cameras"], before["cameras"], "nothing was changed");
    let by_the_sun = unchanged["cues"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|cue| matches!(cue["kind"].as_str(), Some("edge" | "zone" | "cover" | "lens")));
    for cue in by_the_sun {
        let since = cue["epoch_s"].as_i64().unwrap() - unchanged["epoch_s"][0].as_i64().unwrap();
        assert_eq!(since % 900, 0, "{cue}");
        assert_eq!(cue["uncertain_s"].as_f64(), Some(900.0), "{cue}");
    }
    let splits = |plan: &Value| -> Vec<f64> {
        let cameras = plan["cameras"].as_array().unwrap();
        let all = cameras.iter().flat_map(|c| c["split_turf"].as_array().unwrap());
        all.filter_map(Value::as_f64).collect()
    };
    // the surrounds reach to the stand, and move with it
    for (key, value) in [("roof.front_height_m", 20.5), ("setback_m", 8.0)] {
        session.set(&format!("stand[0].{key}"), value).ok();
        let first = plan("&first_look=true");
        let whole = plan("");
        assert_eq!(plan("&first_look=true"), first, "it is kept");
        assert_ne!(whole["shaded_share"], before["shaded_share"]);
        assert_eq!(first["shaded_share"], whole["shaded_share"]);
        let (first, whole) = (splits(&first), splits(&whole));
        assert_eq!(first.len(), whole.len());
        assert!(first.len() > 20);
        // less than half of what crews match to
        for (first, whole) in first.iter().zip(&whole) {
            assert!((first - whole).abs() < 0.1, "{key}: {first} {whole}");
        }
    }
}

fn region(rings: &Value) -> MultiPolygon<f64> {
    let rings = rings.as_array().unwrap().iter().map(|ring| {
        let point = |p: &Value| (p[0].as_f64().unwrap(), p[1].as_f64().unwrap());
        Polygon::new(ring.as_array().unwrap().iter().map(point).collect(), Vec::new())
    });
    // even-odd
    rings.fold(MultiPolygon(Vec::new()), |all, ring| all.xor(&ring))
}

/// What a page draws under a hand that moves a stand, its own shadow shifted over that of all
/// others, is the shadow of the ground with the stand moved.
#[test]
fn a_shadow_that_moves_with_its_stand_is_that_of_the_moved_stand() {
    let session = Session::of("football-demo");
    let at = "2027-10-16T10:10";
    let shadow = || session.get(&format!("/api/shadow?revision={}&at={at}", session.revision()));
    let apart = |table: &str| {
        let revision = session.revision();
        session.get(&format!("/api/shadow/apart?revision={revision}&at={at}&table={table}"))
    };
    let ground = session.ground();
    // no corner hangs on this one
    let parts = apart("stand[1]").ok();
    let (own, rest) = (region(&parts["own"]["shade"]), region(&parts["rest"]["shade"]));
    assert!(own.unsigned_area() > 300.0);
    let area = |ring: &Value| region(&json!([ring]));
    let drawn = area(&ground["surrounds"]);
    for setback in [5.0, 2.5, 9.0] {
        session.set("stand[1].setback_m", setback).ok();
        let whole = region(&shadow().ok()["shade"]);
        // the stand is on the right, and right is down
        let moved = own.translate(0.0, 5.0 - setback).union(&rest);
        // the surrounds reach to the stand
        let drawn = drawn.intersection(&area(&session.ground()["surrounds"]));
        let differing = moved.xor(&whole).intersection(&drawn).unsigned_area();
        // lines are drawn to 2 cm along some 600 m of edges
        assert!(differing < 0.02 * 600.0, "{setback}: {differing} m2");
    }
    assert_eq!(apart("stand[9]").status, 422);
    assert!(apart("stand[9]").problem().contains("table"));
}

#[test]
fn a_broken_text_is_told_at_its_lines_and_not_taken() {
    let session = Session::of("football-demo");
    let ground = session.ground();
    let text = ground["text"].as_str().unwrap();
    let broken = text
        .replace("back_height_m = 14.0", "back_height_m = \"high\"")
        .replace("depth_m = 24.0", "depht_m = 24.0");
    let answer =
        session.post("/api/text", &json!({ "revision": ground["revision"], "text": broken }));
    assert_eq!(answer.status, 422);
    let problems = answer.json()["problems"].clone();
    let keys: Vec<&str> =
        problems.as_array().unwrap().iter().filter_map(|p| p["key"].as_str()).collect();
    assert!(keys.contains(&"stand[0].back_height_m"), "{keys:?}");
    assert!(keys.iter().any(|key| key.contains("depht_m")), "{keys:?}");
    let lines: Vec<usize> = broken
        .lines()
        .enumerate()
        .filter(|(_, l)| l.contains("\"high\""))
        .map(|(i, _)| i + 1)
        .collect();
    let told =
        problems.as_array().unwrap().iter().find(|p| p["key"] == "stand[0].back_height_m").unwrap();
    assert_eq!(told["line"], lines[0]);
    for word in ["found", "allowed", "text"] {
        assert!(told[word].is_string(), "{word}");
    }
    assert_eq!(session.ground(), ground);
    assert_eq!(session.on_disk(), text);
}

#[test]
fn tables_are_added_changed_and_taken_out_with_comments_kept() {
    let session = Session::of("football-demo");
    let first = session.on_disk();
    let post = |mut body: Value| {
        body["revision"] = json!(session.revision());
        session.post("/api/table", &body)
    };
    let values = json!({
        "name": "Canal Stand", "side": "left", "setback_m": 40, "length_m": 30, "depth_m": 8,
        "front_height_m": 1, "back_height_m": 4.5,
        "roof": { "front_height_m": 9, "back_height_m": 8, "overhang_m": 1 },
    });
    let ground = post(json!({ "add": { "table": "stand", "values": values } })).ok();
    let stands = ground["stands"].as_array().unwrap();
    let added = stands.iter().find(|s| s["name"] == "Canal Stand").unwrap();
    assert_eq!((&added["kind"], added["roof"].is_array()), (&json!("stand"), true));
    let text = ground["text"].as_str().unwrap();
    assert!(text.contains("\n\n[[stand]]\nname = \"Canal Stand\"\n"), "{text}");
    assert!(
        text.contains("setback_m = 40.0\n")
            && text.contains("[stand.roof]\nfront_height_m = 9.0\n")
    );
    // every line that was there is there still, in its order
    let mut lines = text.lines();
    assert!(first.lines().all(|line| lines.any(|other| other == line)));
    let table = added["table"].as_str().unwrap();
    let named = json!([
        { "address": format!("{table}.name"), "value": "Lock Stand" },
        { "address": format!("{table}.roof"), "value": null },
        { "address": "camera[0].looks_at", "value": ["centre spot"] },
    ]);
    let ground = post(json!({ "set_values": named })).ok();
    let stands = ground["stands"].as_array().unwrap();
    let renamed = stands.iter().find(|s| s["name"] == "Lock Stand").unwrap();
    assert!(renamed["roof"].is_null());
    let ground = post(json!({ "remove": table })).ok();
    assert_eq!(ground["stands"].as_array().unwrap().len(), stands.len() - 1);
    let ends = json!({ "set_value": { "address": "fixture.start", "value": "16:30" } });
    assert_eq!(post(ends).ok()["start"], "16:30");
    for (wrong, word) in [
        (json!({ "remove": "stand[99]" }), "stand[99]"),
        (json!({ "remove": "nothing" }), "nothing"),
        (json!({ "add": { "table": "roofs", "values": {} } }), "roofs"),
        (json!({ "add": { "table": "field", "values": {} } }), "already"),
        (json!({ "add": { "table": "stand", "values": { "name": "Bare" } } }), "nothing"),
        (json!({ "set_value": { "address": "stand[0]..name", "value": 1 } }), "no address"),
        (json!({ "set_value": { "address": "stand[0].name.x.y", "value": 1 } }), "names nothing"),
        (json!({ "set_value": { "address": "stand[0].colour", "value": "red" } }), "colour"),
    ] {
        let before = session.on_disk();
        let answer = post(wrong.clone());
        assert_eq!(answer.status, 422, "{wrong}");
        assert!(
            String::from_utf8_lossy(&answer.body).contains(word),
            "{wrong}: {}",
            answer.problem()
        );
        assert_eq!(session.on_disk(), before);
    }
    assert_eq!(post(json!({})).status, 400);
    for _ in 0..4 {
        session.post("/api/undo", &json!({ "revision": session.revision() })).ok();
    }
    assert_eq!(session.on_disk(), first);
}

/// In Austria clocks go from 02:59 back to 02:00 on 31 October 2027 and from 01:59 on to
/// 03:00 on 28 March 2027, by Directive 2000/84/EC, Articles 2 and 3.
#[test]
fn a_time_that_clocks_show_twice_is_asked_about() {
    let session = Session::of("tennis-demo");
    let revision = session.revision();
    for what in ["shadow", "instant"] {
        let path = format!("/api/{what}?revision={revision}&at=");
        let answer = session.get(&format!("{path}2027-10-31T02:30"));
        assert_eq!(answer.status, 422);
        let choices = json!([
            { "fold": "first", "zone_name": "CEST" },
            { "fold": "second", "zone_name": "CET" },
        ]);
        assert_eq!(answer.json()["choices"], choices);
        assert!(!answer.problem().contains("--"), "{}", answer.problem());
        for (fold, zone, offset) in [("first", "CEST", "+02:00"), ("second", "CET", "+01:00")] {
            let told = session.get(&format!("{path}2027-10-31T02:30:00&fold={fold}")).ok();
            assert_eq!(told["zone_name"], zone);
            assert!(told["at"].as_str().unwrap().ends_with(offset), "{told}");
        }
        let skipped = session.get(&format!("{path}2027-03-28T02:30"));
        assert_eq!(skipped.status, 422);
        assert!(skipped.problem().contains("03:00"), "{}", skipped.problem());
        for at in ["", "noon", "2027-02-30T12:00", "9999-01-01T00:00", "2027-06-05T24:00"] {
            assert_eq!(session.get(&format!("{path}{at}")).status, 422, "{at}");
        }
    }
}

#[test]
fn a_new_ground_is_that_of_the_same_file_typed() {
    let session = Session::empty();
    assert_eq!(session.get("/api/ground").status, 404);
    let listed = session.get("/api/files").ok();
    assert_eq!(listed["files"], json!([]));
    assert_eq!(listed["demos"], json!(["football-demo", "tennis-demo", "golf-demo"]));
    let new = json!({
        "template": "empty", "title": "Ferry \"Meadow\"", "sport": "football",
        "latitude_deg": 47.1, "longitude_deg": 15.4, "zone": "Europe/Vienna", "bearing_deg": 12.5,
        "date": "2027-09-18", "start": "15:30", "file": "meadow.toml",
    });
    let ground = session.post("/api/new", &new).ok();
    let typed = "title = 'Ferry \"Meadow\"'\n\n[place]\nlatitude_deg = 47.1\nlongitude_deg = 15.4\n\
        height_m = 0.0\nzone = \"Europe/Vienna\"\n\n[field]\nsport = \"football\"\n\
        bearing_deg = 12.5\n\n[fixture]\ndate = \"2027-09-18\"\nstart = \"15:30\"\n";
    let typed: toml::Table = typed.parse().unwrap();
    let made = fs::read_to_string(session.home.path().join("meadow.toml")).unwrap();
    assert_eq!(made.parse::<toml::Table>().unwrap(), typed);
    assert_eq!((&ground["file"], &ground["start"]), (&json!("meadow.toml"), &json!("15:30")));
    let again = session.post("/api/new", &new);
    assert_eq!(again.status, 422);
    assert!(again.problem().contains("already"), "{}", again.problem());
    for (key, value) in
        [("zone", json!("Europe/Vena")), ("latitude_deg", json!(95.0)), ("sport", json!("chess"))]
    {
        let mut wrong = new.clone();
        (wrong["file"], wrong[key]) = (json!("wrong.toml"), value);
        let answer = session.post("/api/new", &wrong);
        assert_eq!(answer.status, 422, "{key}");
        assert!(answer.json()["problems"][0]["key"].as_str().unwrap().ends_with(key));
    }
    assert!(!session.home.path().join("wrong.toml").exists());
    // without cameras there is a shadow, and a plan says what is missing
    let revision = session.revision();
    session.get(&format!("/api/shadow?revision={revision}&at=2027-09-18T16:00")).ok();
    let plan = session.get(&format!("/api/plan?revision={revision}&date=2027-09-18&start=15:30"));
    assert!(plan.status == 422 && plan.problem().contains("camera"), "{}", plan.problem());
    // demos are copies under free names
    for file in ["golf-demo.toml", "golf-demo-2.toml"] {
        assert_eq!(session.post("/api/open", &json!({ "demo": "golf-demo" })).ok()["file"], file);
    }
    assert_eq!(session.post("/api/open", &json!({ "demo": "other" })).status, 404);
    let files = session.get("/api/files").ok()["files"].clone();
    assert_eq!(files, json!(["golf-demo-2.toml", "golf-demo.toml", "meadow.toml"]));
    let opened = session.post("/api/open", &json!({ "file": "meadow.toml" })).ok();
    assert_eq!((&opened["text"], &opened["can_undo"]), (&ground["text"], &json!(false)));
}

/// A flat ground has no contours; on one that is not they lie at whole steps, on its own
/// heights.
#[test]
fn contours_lie_on_the_ground_at_their_heights() {
    assert_eq!(Session::of("football-demo").ground()["contours"], Value::Null);
    let contours = Session::of("relief-demo").ground()["contours"].clone();
    let step_m = contours["step_m"].as_f64().unwrap();
    assert_eq!(contours["words"], format!("contours every {step_m} m"));
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/relief-demo.toml");
    let venue = quarterstop::venue::read(std::path::Path::new(file)).unwrap();
    let mut places = 0;
    for line in contours["lines"].as_array().unwrap() {
        let up_m = line["up_m"].as_f64().unwrap();
        assert!((up_m / step_m - (up_m / step_m).round()).abs() < 1e-6, "{up_m}");
        for place in line["pieces"].as_array().unwrap().iter().flat_map(|p| p.as_array().unwrap()) {
            let [along_m, across_m] = [0, 1].map(|axis| place[axis].as_f64().unwrap());
            let at = FieldPoint::on_ground(along_m, across_m);
            let at = venue.field.frame.to_local(at);
            // points are written to a tenth of a millimetre, on banks of one in two
            assert!((venue.ground_m(at.x, at.y) - up_m).abs() < 2e-4, "{place} {up_m}");
            places += 1;
        }
    }
    assert!(places > 100, "{places}");
}
