//! A file with mistakes opens on the page to be mended; keys are written in order; jobs end
//! with the server; a match at a glance; pictures.

use std::fs;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::serve_support::{PATIENCE, Session, demo};

fn broken() -> (String, String) {
    let sound = fs::read_to_string(demo("football-demo")).unwrap();
    let broken = sound.replace("side = \"left\"", "side = \"west\"").replace("52.31", "152.31");
    assert!(broken != sound);
    (broken, sound)
}

#[test]
fn a_file_with_mistakes_is_shown_to_be_mended() {
    let (broken, sound) = broken();
    let session = Session::with_text(&broken);
    let answer = session.get("/api/ground");
    assert_eq!(answer.status, 422);
    let told = answer.json();
    assert_eq!(told["broken"], json!({ "file": "ground.toml", "text": broken }));
    let keys: Vec<&str> =
        told["problems"].as_array().unwrap().iter().map(|p| p["key"].as_str().unwrap()).collect();
    assert!(keys.contains(&"place.latitude_deg") && keys.contains(&"stand[0].side"), "{keys:?}");
    // half mended: the rest is told, nothing is written
    let half = broken.replace("152.31", "52.31");
    let refused = session.post("/api/mend", &json!({ "text": half }));
    assert_eq!(refused.status, 422);
    assert_eq!(session.on_disk(), broken);
    let ground = session.post("/api/mend", &json!({ "text": sound })).ok();
    assert_eq!((&ground["saved"], &ground["title"]), (&json!(true), &json!("Umbra Park")));
    assert_eq!(session.on_disk(), sound);
    assert_eq!(session.post("/api/mend", &json!({ "text": sound })).status, 404);
}

#[test]
fn an_editor_may_mend_it_and_what_it_wrote_is_not_written_over_unseen() {
    let (broken, sound) = broken();
    let session = Session::with_text(&broken);
    fs::write(&session.file, &sound).unwrap();
    let begun = Instant::now();
    while session.get("/api/ground").status != 200 {
        assert!(begun.elapsed() < PATIENCE, "the page never followed");
        thread::sleep(Duration::from_millis(100));
    }
    assert_eq!(session.ground()["text"], sound.as_str());

    let session = Session::with_text(&broken);
    let other = format!("{broken}\n# a note from elsewhere\n");
    fs::write(&session.file, &other).unwrap();
    thread::sleep(Duration::from_millis(1200)); // it is looked at twice a second
    let ground = session.post("/api/mend", &json!({ "text": sound })).ok();
    assert_eq!(ground["conflict"]["text_on_disk"], other.as_str(), "both texts are shown");
    assert_eq!(session.on_disk(), other);
}

#[test]
fn a_file_that_is_not_there_is_still_refused() {
    let home = tempfile::tempdir().unwrap();
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_quarterstop"))
        .args(["live", "--no-browser"])
        .arg(home.path().join("none.toml"))
        .output()
        .unwrap();
    assert_eq!(done.status.code(), Some(2));
}

/// The order of the demo's own tables, so that `git diff` reads well.
#[test]
fn keys_of_an_added_table_stand_as_in_the_readme() {
    let session = Session::of("football-demo");
    let values = json!({
        "name": "Low Side", "side": "behind", "setback_m": 6, "length_m": 60, "depth_m": 12,
        "front_height_m": 1, "back_height_m": 7, "closed_ends": "both",
        "roof": { "overhang_m": 1, "back_height_m": 9, "front_height_m": 10, "transmittance": 0.2 },
    });
    let add = json!({ "table": "stand", "values": values });
    let before = session.on_disk();
    session.post("/api/table", &json!({ "revision": session.revision(), "add": add })).ok();
    let text = session.on_disk();
    let new = text.split("name = \"Low Side\"").nth(1).unwrap();
    let keys: Vec<&str> = new
        .lines()
        .skip(1)
        .map_while(|line| line.split(" =").next().filter(|key| !key.is_empty()))
        .collect();
    assert_eq!(
        keys,
        [
            "side",
            "setback_m",
            "length_m",
            "depth_m",
            "front_height_m",
            "back_height_m",
            "closed_ends"
        ]
    );
    let roof = new.split("[stand.roof]").nth(1).unwrap();
    let keys: Vec<&str> =
        roof.lines().skip(1).map(|line| line.split(" =").next().unwrap()).take(4).collect();
    assert_eq!(keys, ["front_height_m", "back_height_m", "overhang_m", "transmittance"]);
    // all else stands as it stood
    let kept = text.lines().filter(|line| before.lines().any(|old| old == *line)).count();
    assert!(kept >= before.lines().count(), "{kept}");
}

#[cfg(target_os = "linux")]
fn children(of: u32) -> Vec<u32> {
    let stat = |pid: u32| fs::read_to_string(format!("/proc/{pid}/stat")).ok();
    let parent = |pid: u32| stat(pid)?.rsplit(')').next()?.split_whitespace().nth(1)?.parse().ok();
    let all = fs::read_dir("/proc").unwrap().flatten();
    let all = all.filter_map(|entry| entry.file_name().to_str()?.parse::<u32>().ok());
    all.filter(|pid| parent(*pid) == Some(of)).collect()
}

/// A server that is killed says nothing to anybody: its jobs notice by themselves.
#[cfg(target_os = "linux")]
#[test]
fn a_job_ends_with_a_server_that_is_killed() {
    let mut session = Session::of("tennis-demo");
    let request = json!({ "command": "year", "options": { "--year": 2027, "--step": "1" } });
    session.post("/api/jobs", &request).ok();
    let begun = Instant::now();
    let job = loop {
        if let Some(job) = children(session.child.id()).first() {
            break *job;
        }
        assert!(begun.elapsed() < PATIENCE, "the job never began");
        thread::sleep(Duration::from_millis(20));
    };
    session.child.kill().unwrap();
    session.child.wait().unwrap();
    let alive = || {
        let stat = fs::read_to_string(format!("/proc/{job}/stat")).unwrap_or_default();
        let state = stat.rsplit(')').next().and_then(|rest| rest.trim().chars().next());
        state.is_some_and(|state| state != 'Z')
    };
    let begun = Instant::now();
    while alive() {
        assert!(begun.elapsed() < Duration::from_secs(20), "the job outlives the server");
        thread::sleep(Duration::from_millis(50));
    }
}

#[test]
fn the_match_at_a_glance_is_that_of_the_plan() {
    let session = Session::of("football-demo");
    let asked = "revision=1&date=2027-10-16&start=15:00&step=30";
    let row_camera = session.get(&format!("/api/outlook?{asked}")).ok();
    let plan = session.get(&format!("/api/plan?{asked}")).ok();
    for key in ["epoch_s", "clock", "milestones"] {
        assert_eq!(row_camera[key], plan[key], "{key}");
    }
    let shares = |all: &Value| -> Vec<f64> {
        all["shaded_share"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
    };
    let (row_camera, plan) = (shares(&row_camera), shares(&plan));
    assert_eq!(row_camera.len(), plan.len());
    // the plan's are written to three decimals
    assert!(
        row_camera.iter().zip(&plan).all(|(a, b)| (a - b).abs() < 0.0006),
        "{row_camera:?} {plan:?}"
    );
    assert!(plan.iter().any(|share| *share > 0.05));
}

#[test]
fn pictures_follow_the_time_and_say_what_they_show() {
    let session = Session::of("football-demo");
    let picture = |rest: &str| session.get(&format!("/api/picture?revision=1&{rest}"));
    let one = picture("at=2027-10-16T15:30&kind=through&camera=0");
    assert_eq!((one.status, one.header("content-type")), (200, Some("image/svg+xml")));
    let text = String::from_utf8(one.body).unwrap();
    let sees = "What 1 main wide sees at 15:30 BST on 16 October 2027";
    assert!(text.contains(sees), "{}", &text[..400]);
    let later = picture("at=2027-10-16T16:30&kind=through&camera=0");
    assert!(String::from_utf8_lossy(&later.body).contains("sees at 16:30 BST"));
    // what the pixels of a camera show is kept while it looks there, and nothing comes out other
    let elsewhere = Session::of("football-demo");
    let picture_there = |rest: &str| elsewhere.get(&format!("/api/picture?revision=1&{rest}"));
    assert_eq!(picture_there("at=2027-10-16T15:30&kind=through&camera=1").status, 200);
    let anew = picture_there("at=2027-10-16T16:30&kind=through&camera=0");
    let [kept, anew] = [later, anew].map(|one| pixels(&String::from_utf8(one.body).unwrap()));
    assert!(kept == anew, "pixels differ");
    let light = picture("at=2027-10-16T15:30&kind=light");
    assert!(String::from_utf8_lossy(&light.body).contains("Map of the light on the turf at 15:30"));
    let up = picture("at=2027-10-16T12:00&kind=look_up&place=penalty+spot+ahead");
    let up = String::from_utf8(up.body).unwrap();
    assert!(up.contains("What stands around penalty spot ahead"), "{}", &up[..400]);
    assert_eq!(picture("at=2027-10-16T12:00&kind=through&camera=99").status, 404);
    let unknown = picture("at=2027-10-16T12:00&kind=look_up&place=nowhere");
    assert_eq!(unknown.status, 422);
    assert!(unknown.problem().contains("nowhere"));
}

/// The image inside of a picture, decoded.
fn pixels(svg: &str) -> Vec<u8> {
    use base64::Engine as _;
    let start = svg.find("base64,").unwrap() + 7;
    let end = start + svg[start..].find('"').unwrap();
    let png = base64::engine::general_purpose::STANDARD.decode(&svg[start..end]).unwrap();
    let mut reader = png::Decoder::new(std::io::Cursor::new(png)).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut pixels).unwrap();
    pixels
}

#[test]
fn a_picture_through_a_camera_follows_iris_signal_aim_and_zoom() {
    let session = Session::of("football-demo");
    let through = |rest: &str| {
        let path = format!("/api/picture?revision=1&at=2027-10-16T16:10&kind=through&{rest}");
        let answer = session.get(&path);
        assert_eq!(answer.status, 200, "{rest}");
        String::from_utf8(answer.body).unwrap()
    };
    let mean = |svg: &str| {
        let all = pixels(svg);
        all.iter().map(|v| f64::from(*v)).sum::<f64>() / all.len() as f64
    };
    // the sun lights half of the picture: set for it the picture is darker than set for shade
    let [sun, between, shade] =
        ["sun", "between", "shade"].map(|side| mean(&through(&format!("camera=0&expose={side}"))));
    assert!(sun < between && between < shade, "{sun} {between} {shade}");
    assert_eq!(through("camera=0"), through("camera=0&expose=between&signal=sdr&along=0.5"));
    let lost = through("camera=0&expose=shade&signal=lost_in_sdr");
    assert!(
        lost.contains("what SDR loses, set for the shade") && lost.contains("clips"),
        "{lost:.400}"
    );
    assert!(through("camera=0&signal=lost_in_hdr").contains("what HLG loses"));
    assert!(through("camera=0&signal=sdr_of_hdr").contains("SDR made of HLG"));
    let views: Vec<Vec<u8>> = ["along=0", "along=1", "zoom_deg=8"]
        .map(|r| pixels(&through(&format!("camera=0&{r}"))))
        .into();
    assert!(views[0] != views[1] && views[1] != views[2]);
    assert!(through("camera=0&zoom_deg=8").contains("field of view 8.0° across"));
    for (wrong, named) in
        [("along=1.5", "along: found 1.5"), ("zoom_deg=0.1", "zoom_deg: found 0.1")]
    {
        let path = format!("/api/picture?revision=1&at=2027-10-16T16:10&kind=through&{wrong}");
        let refused = session.get(&path);
        assert_eq!(refused.status, 422);
        assert!(refused.problem().contains(named), "{}", refused.problem());
    }
}

#[test]
fn the_page_shows_which_cuts_are_hard() {
    let session = Session::of("football-demo");
    let of =
        |rest: &str| session.get(&format!("/api/picture?revision=1&at=2027-10-16T12:00&{rest}"));
    let drawn = of("kind=matching&start=15:00&step=5");
    assert_eq!(drawn.status, 200);
    let text = String::from_utf8(drawn.body).unwrap();
    assert!(text.contains("Cuts that need a trim at Umbra Park"), "{text:.400}");
    assert!(text.contains("1 main wide / "));
    assert_eq!(of("kind=matching").status, 422, "no start");
    // one camera has nobody to cut to
    let alone = std::fs::read_to_string(demo("tennis-demo")).unwrap();
    let tables: Vec<&str> = alone.split("[[camera]]").collect();
    let rest = tables.last().unwrap().find("\n[").map_or("", |at| &tables.last().unwrap()[at..]);
    let text = match tables.len() {
        2 => alone.clone(),
        _ => format!("{}[[camera]]{}{rest}", tables[0], tables[1]),
    };
    let session = Session::with_text(&text);
    let alone = session
        .get("/api/picture?revision=1&at=2027-06-20T12:00&kind=matching&start=14:00&step=30");
    assert_eq!(alone.status, 422);
    assert!(alone.problem().contains("no two cameras"), "{}", alone.problem());
}
