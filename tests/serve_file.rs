//! The file stays the truth: other programs, full discs, ten pages at once, the end.

use std::fs;
use std::process::Command;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tempfile::tempdir;

use crate::serve_support::{PATIENCE, Session, demo};

#[test]
fn what_an_editor_writes_is_followed() {
    let session = Session::of("tennis-demo");
    let mut events = session.events();
    while !events.next().unwrap().is_empty() {}
    let before = session.revision();
    let text = session.on_disk();
    let changed = text.replace("bearing_deg = 352.0", "bearing_deg = 340.5   # measured");
    fs::write(&session.file, &changed).unwrap();
    let ground = session.wait("the file is followed", |g| g["revision"] != before);
    assert_eq!((&ground["text"], &ground["saved"]), (&json!(changed), &json!(true)));
    let data = events.find(|line| line.starts_with("data: {\"revision\"")).unwrap();
    let event: Value = serde_json::from_str(&data["data: ".len()..]).unwrap();
    let expected = json!({ "revision": ground["revision"], "cause": "file", "saved": true });
    assert_eq!(event, expected);
    // by renaming, as many editors do
    let beside = session.home.path().join("beside");
    fs::write(&beside, &text).unwrap();
    fs::rename(&beside, &session.file).unwrap();
    session.wait("the renamed file is followed", |g| g["text"] == text);
    session.post("/api/undo", &json!({ "revision": session.revision() })).ok();
    assert_eq!(session.on_disk(), changed);
}

#[test]
fn a_conflict_is_shown_and_neither_text_is_lost() {
    let session = Session::of("tennis-demo");
    let sound = session.on_disk();
    let half = "title = \"half typed\n".to_owned() + &sound;
    fs::write(&session.file, &half).unwrap();
    let ground = session.wait("a conflict", |g| !g["conflict"].is_null());
    assert_eq!((&ground["text"], &ground["saved"]), (&json!(sound), &json!(false)));
    assert_eq!(ground["conflict"]["text_on_disk"], half);
    assert!(ground["conflict"]["problems"][0]["line"].is_u64());
    // pages go on; what the editor wrote stays
    let ground = session.set("field.bearing_deg", 340.0).ok();
    assert_eq!(ground["saved"], false);
    let mine = ground["text"].as_str().unwrap().to_owned();
    thread::sleep(Duration::from_millis(1200));
    assert_eq!(session.on_disk(), half);
    let job = json!({ "command": "places", "options": {} });
    assert_eq!(session.post("/api/jobs", &job).status, 409);
    // a person chooses
    let chosen = json!({ "revision": session.revision(), "text": mine });
    let ground = session.post("/api/text", &chosen).ok();
    assert_eq!((&ground["saved"], &ground["conflict"]), (&json!(true), &Value::Null));
    assert_eq!(session.on_disk(), mine);
    let kept = session.home.path().join("ground-other-1.toml");
    assert_eq!(fs::read_to_string(kept).unwrap(), half);
}

#[test]
fn a_broken_file_that_is_mended_needs_no_choice() {
    let session = Session::of("tennis-demo");
    let sound = session.on_disk();
    fs::write(&session.file, "title = ").unwrap();
    session.wait("a conflict", |g| !g["conflict"].is_null());
    let mended = sound.replace("352.0", "351.0");
    fs::write(&session.file, &mended).unwrap();
    let ground = session.wait("mended", |g| g["conflict"].is_null());
    assert_eq!((&ground["text"], &ground["saved"]), (&json!(mended), &json!(true)));
    fs::remove_file(&session.file).unwrap();
    let ground = session.wait("told that it is gone", |g| g["saved"] == false);
    assert!(ground["save_problem"].as_str().unwrap().contains("gone"));
    let ground = session.set("field.bearing_deg", 350.0).ok();
    assert_eq!((&ground["saved"], &ground["save_problem"]), (&json!(true), &Value::Null));
    assert_eq!(session.on_disk(), ground["text"].as_str().unwrap());
}

/// A limit on the size of files, of which the process is told as of a full disc (EFBIG where
/// the signal is ignored: setrlimit(2)).
#[cfg(target_os = "linux")]
#[test]
fn a_full_disc_is_told_and_written_to_when_there_is_room() {
    let home = tempdir().unwrap();
    let file = home.path().join("ground.toml");
    fs::copy(demo("football-demo"), &file).unwrap();
    let first = fs::read_to_string(&file).unwrap();
    let mut command = Command::new("sh");
    let stage = "trap '' XFSZ; ulimit -S -f 1; exec \"$0\" live --no-browser \"$1\"";
    command.args(["-c", stage, env!("CARGO_BIN_EXE_quarterstop")]).arg(&file);
    let session = Session::started(command, home, file);
    let ground = session.set("field.bearing_deg", 40.0).ok();
    assert_eq!(ground["saved"], false);
    let told = ground["save_problem"].as_str().unwrap();
    assert!(told.contains("cannot write"), "{told}");
    assert_eq!(session.on_disk(), first);
    assert!(ground["text"].as_str().unwrap().contains("bearing_deg = 40.0"));
    let names = || fs::read_dir(session.home.path()).unwrap().count();
    assert_eq!(names(), 1, "nothing half is left");
    let room = ["--pid", &session.child.id().to_string(), "--fsize=unlimited:unlimited"]
        .map(str::to_owned);
    let Ok(status) = Command::new("prlimit").args(room).status() else { return };
    assert!(status.success());
    session.wait("written", |g| g["saved"] == true);
    assert_eq!(session.on_disk(), ground["text"].as_str().unwrap());
}

#[test]
fn ten_pages_at_once_lose_nothing() {
    let session = Session::of("tennis-demo");
    let first = session.on_disk();
    let (pages, each) = (10, 4);
    thread::scope(|scope| {
        for page in 0..pages {
            let session = &session;
            scope.spawn(move || {
                for turn in 0..each {
                    let value = 300.0 + f64::from(page * each + turn);
                    let begun = Instant::now();
                    loop {
                        let answer = session.set("field.bearing_deg", value);
                        if answer.status == 200 {
                            break;
                        }
                        assert_eq!(answer.status, 409);
                        thread::sleep(Duration::from_millis(20));
                        assert!(begun.elapsed() < PATIENCE);
                    }
                }
            });
        }
    });
    let ground = session.ground();
    assert_eq!(ground["history"].as_array().unwrap().len(), 40);
    assert_eq!(ground["revision"], 41);
    assert_eq!(session.on_disk(), ground["text"].as_str().unwrap());
    for _ in 0..40 {
        session.post("/api/undo", &json!({ "revision": session.revision() })).ok();
    }
    assert_eq!(session.on_disk(), first);
}

#[cfg(unix)]
#[test]
fn it_ends_cleanly_when_asked_with_pages_that_listen() {
    for signal in ["-INT", "-TERM"] {
        let mut session = Session::of("tennis-demo");
        let mut events = session.events();
        assert!(events.next().unwrap().contains("200"));
        session.set("field.bearing_deg", 340.0).ok();
        let pid = session.child.id().to_string();
        assert!(Command::new("kill").args([signal, &pid]).status().unwrap().success());
        let begun = Instant::now();
        let status = loop {
            match session.child.try_wait().unwrap() {
                Some(status) => break status,
                None if begun.elapsed() < PATIENCE => thread::sleep(Duration::from_millis(20)),
                None => panic!("still there after {signal}"),
            }
        };
        assert!(status.success(), "{signal}: {status}");
        assert!(session.on_disk().contains("bearing_deg = 340.0"));
        assert_eq!(fs::read_dir(session.home.path()).unwrap().count(), 1);
        let rest: Vec<String> = events.collect();
        assert!(rest.iter().any(|line| line.contains("revision")), "{rest:?}");
    }
}

#[test]
fn what_cannot_be_served_is_refused_as_by_every_command() {
    let home = tempdir().unwrap();
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    for (words, told) in [
        (&["missing.toml"][..], "cannot read"),
        (&["--folder", "missing"], "--folder"),
        (&["--port", &port], "--port"),
        (&["--port", "99999"], "65535"),
    ] {
        let output = Command::new(env!("CARGO_BIN_EXE_quarterstop"))
            .args(["live", "--no-browser"])
            .args(words)
            .current_dir(home.path())
            .output()
            .unwrap();
        let text = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{words:?}: {text}");
        assert!(text.contains(told), "{words:?}: {text}");
    }
}
