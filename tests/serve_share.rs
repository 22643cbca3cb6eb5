//! The door to the truck's network: without a code nothing, with one what its role may.

use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::process::Command;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::serve_support::{Answer, Door, Session, demo};

/// A shared rehearsal of a demo, some minutes before kickoff.
struct Shared {
    session: Session,
    door: Door,
    passes: Vec<Value>,
}

impl Shared {
    fn of(name: &str) -> Self {
        let home = tempfile::tempdir().unwrap();
        let file = home.path().join("ground.toml");
        std::fs::copy(demo(name), &file).unwrap();
        let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
        command.args(["live", "--no-browser", "--share=127.0.0.1:0", "--rehearse", "14:50"]);
        let session = Session::started(
            {
                command.arg(&file);
                command
            },
            home,
            file,
        );
        let passes = session.get("/api/day/passes").ok()["passes"].as_array().unwrap().clone();
        Self { session, door: Door::of(&passes), passes }
    }

    fn code(&self, words: &str) -> String {
        let pass = self.passes.iter().find(|pass| pass["words"] == words).unwrap();
        pass["code"].as_str().unwrap().to_owned()
    }

    fn send(&self, method: &str, path: &str, lines: &[String], body: &str) -> Answer {
        self.door.send(method, path, lines, body)
    }

    fn host(&self) -> String {
        self.door.host()
    }

    fn join(&self, words: &str) -> String {
        self.door.join(&self.code(words))
    }

    fn get(&self, cookie: &str, path: &str) -> Answer {
        self.door.get(cookie, path)
    }

    fn enter(&self, cookie: &str, what: &Value) -> Answer {
        self.door.post(cookie, "/api/day/enter", &json!({ "what": what }))
    }
}

#[test]
fn without_a_code_there_is_one_sentence_and_nothing_else() {
    let shared = Shared::of("football-demo");
    for path in ["/", "/api/day", "/api/day/plan", "/api/day/events", "/live/wall.js", "/wall"] {
        let answer = shared.send("GET", path, &[shared.host()], "");
        assert_eq!(answer.status, 401, "{path}");
        assert!(!String::from_utf8_lossy(&answer.body).contains("Umbra"), "{path}");
    }
    // the key of the page on this machine opens nothing here
    let key = format!("/?key={}", shared.session.token);
    assert_eq!(shared.send("GET", &key, &[shared.host()], "").status, 401);
    let cookie = format!("Cookie: {}", shared.session.cookie());
    assert_eq!(shared.get(&cookie, "/api/day").status, 401);
    // with a code, the wall and the day, and never the page that changes the ground
    let cookie = shared.join("look only");
    assert_eq!(shared.get(&cookie, "/api/day").ok()["title"], "Umbra Park");
    for path in ["/api/ground", "/api/jobs", "/api/day/passes", "/live/main.js", "/api/files"] {
        assert_eq!(shared.get(&cookie, path).status, 404, "{path}");
    }
    // a name that points here is not this machine's address in digits
    for host in ["rebound.example", "127.0.0.1"] {
        let line = format!("Host: {host}");
        assert_eq!(shared.send("GET", "/api/day", &[line, cookie.clone()], "").status, 403);
    }
    let origin = "Origin: http://rebound.example".to_owned();
    let answer = shared.send("GET", "/api/day", &[shared.host(), cookie, origin], "");
    assert_eq!(answer.status, 403);
}

#[test]
fn wrong_codes_are_slowed_down() {
    let shared = Shared::of("football-demo");
    let mut refused = 0;
    for number in 0..12 {
        let path = format!("/AAAA-AAA{}", char::from(b'A' + number % 8));
        let answer = shared.send("GET", &path, &[shared.host()], "");
        assert!([401, 429].contains(&answer.status), "{}", answer.status);
        refused += i32::from(answer.status == 429);
    }
    assert!(refused >= 8, "{refused}");
    // the right one waits its turn as well, and is then let in
    let path = format!("/{}", shared.code("lead"));
    assert_eq!(shared.send("GET", &path, &[shared.host()], "").status, 429);
    std::thread::sleep(Duration::from_millis(4500));
    assert_eq!(shared.send("GET", &path, &[shared.host()], "").status, 303);
}

#[test]
fn roles_are_held() {
    let shared = Shared::of("football-demo");
    let (see, a, lead) = (shared.join("look only"), shared.join("operator A"), shared.join("lead"));
    shared.get(&lead, "/api/day/plan").ok();
    let cloud = json!({ "event": "sky", "sky": "overcast" });
    let iris = |camera: &str| json!({ "event": "iris", "camera": camera, "t_number": 5.6 });
    // a newer forecast is for the lead
    let newer = |who: &str| shared.door.post(who, "/api/day/forecast", &json!({ "file": "" }));
    assert_eq!((newer(&see).status, newer(&a).status, newer(&lead).status), (403, 403, 200));
    assert_eq!(shared.enter(&see, &cloud).status, 403);
    assert_eq!(shared.enter(&a, &cloud).status, 403);
    assert_eq!(shared.enter(&see, &iris("1 main wide")).status, 403);
    // the file gives this camera to A
    assert_eq!(shared.enter(&a, &iris("1 main wide")).ok()["entry"], 1);
    let plan = shared.get(&lead, "/api/day/plan").ok();
    let cameras = plan["cameras"].as_array().unwrap();
    let other = cameras.iter().find(|camera| camera["operator"] == "B").unwrap();
    assert_eq!(shared.enter(&a, &iris(other["name"].as_str().unwrap())).status, 403);
    assert_eq!(shared.enter(&lead, &cloud).ok()["entry"], 2);
    // each takes back what is theirs; the lead all
    let undo = |entry| json!({ "event": "undo", "takes_back": entry });
    assert_eq!(shared.enter(&a, &undo(2)).status, 403);
    assert_eq!(shared.enter(&a, &undo(1)).ok()["entry"], 3);
    assert_eq!(shared.enter(&lead, &undo(2)).ok()["entry"], 4);
    assert_eq!(shared.get(&see, "/api/day").ok()["sky"], "clear");
}

/// Twelve screens hear of an entry within a second.
#[test]
fn all_screens_hear_of_an_entry_and_a_restart_loses_nothing() {
    let shared = Shared::of("football-demo");
    let lead = shared.join("lead");
    let screens: Vec<BufReader<TcpStream>> = (0..12)
        .map(|_| {
            let mut stream = TcpStream::connect(("127.0.0.1", shared.door.port)).unwrap();
            stream.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
            let head =
                format!("GET /api/day/events HTTP/1.1\r\n{}\r\n{lead}\r\n\r\n", shared.host());
            stream.write_all(head.as_bytes()).unwrap();
            BufReader::new(stream)
        })
        .collect();
    std::thread::sleep(Duration::from_millis(500));
    let at = Instant::now();
    let kickoff = json!({ "event": "moment", "moment": 0, "name": "" });
    assert_eq!(shared.enter(&lead, &kickoff).ok()["entry"], 1);
    for mut screen in screens {
        let mut line = String::new();
        while !line.starts_with("data: {\"entry\":1") {
            line.clear();
            assert!(screen.read_line(&mut line).unwrap() > 0);
        }
    }
    assert!(at.elapsed() < Duration::from_secs(1), "{:?}", at.elapsed());
    let log = std::fs::read_to_string(
        shared.session.file.with_file_name("ground-rehearsal-2027-10-16-1500.jsonl"),
    );
    assert!(log.unwrap().contains("\"event\":\"moment\""));
}

/// Who has which camera is in the log, and holds for who starts again.
#[test]
fn operators_keep_their_cameras_after_a_restart() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("ground.toml");
    std::fs::copy(demo("football-demo"), &file).unwrap();
    let started = || {
        let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
        command.args(["live", "--no-browser", "--rehearse", "14:50"]).arg(&file);
        Session::started(command, tempfile::tempdir().unwrap(), file.clone())
    };
    let operators = |session: &Session| -> Vec<(String, String)> {
        let plan = session.get("/api/day/plan").ok();
        let text = |value: &Value| value.as_str().unwrap().to_owned();
        let cameras = plan["cameras"].as_array().unwrap().iter();
        cameras.map(|camera| (text(&camera["name"]), text(&camera["operator"]))).collect()
    };
    let session = started();
    let before = operators(&session);
    // the plan says of each iris how far it may be off
    let plan = session.get("/api/day/plan").ok();
    for camera in plan["cameras"].as_array().unwrap() {
        let seen = camera["t_set"].as_array().unwrap().iter();
        for (t, stops) in seen.zip(camera["t_uncertain"].as_array().unwrap()) {
            assert_eq!(t.is_null(), stops.is_null());
            assert!(stops.is_null() || (0.02..1.0).contains(&stops.as_f64().unwrap()), "{stops}");
        }
    }
    drop(session);
    let log = folder.path().join("ground-rehearsal-2027-10-16-1500.jsonl");
    let mut lines: Vec<Value> = std::fs::read_to_string(&log)
        .unwrap()
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    let noted = lines.iter_mut().find(|line| line["line"] == "operators").unwrap();
    let other = |operator: &str| if operator == "A" { "B" } else { "A" };
    for (camera, operator) in &before {
        assert_eq!(noted["operators"][camera], *operator);
        noted["operators"][camera] = other(operator).into();
    }
    let text: String = lines.iter().map(|line| format!("{line}\n")).collect();
    std::fs::write(&log, text).unwrap();
    let changed = before.iter().map(|(camera, o)| (camera.clone(), other(o).to_owned()));
    assert_eq!(operators(&started()), changed.collect::<Vec<_>>());
}
