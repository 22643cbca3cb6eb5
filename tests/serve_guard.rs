//! The live page answers to its own page on this machine, and to nobody else.

use std::fs;
use std::io::Write;
use std::thread;
use std::time::Duration;

use serde_json::json;

use crate::serve_support::Session;

#[test]
fn the_key_of_the_address_opens_the_page_and_nothing_else_does() {
    let session = Session::of("tennis-demo");
    let host = session.host();
    for path in ["/", "/api/ground", "/live/main.js", "/api/events", "/?key=", "/?key=0000"] {
        assert_eq!(session.send("GET", path, &[&host], "").status, 401, "{path}");
    }
    let near = format!("/?key={}0", session.token);
    assert_eq!(session.send("GET", &near, &[&host], "").status, 401);
    let welcome = session.send("GET", &format!("/?key={}", session.token), &[&host], "");
    assert_eq!((welcome.status, welcome.header("location")), (303, Some("/")));
    let cookie = welcome.header("set-cookie").unwrap();
    assert!(cookie.starts_with(&session.cookie()), "{cookie}");
    for word in ["HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(word), "{cookie}");
    }
    let ground = session.get("/api/ground");
    assert_eq!(ground.status, 200);
    let policy = ground.header("content-security-policy").unwrap();
    assert!(policy.starts_with("default-src 'none'; script-src 'self';"), "{policy}");
    assert_eq!(ground.header("x-content-type-options"), Some("nosniff"));
    // two sessions have two keys
    assert_ne!(Session::of("tennis-demo").token, session.token);
}

/// A name that another site lets point to this machine arrives as another Host; a page of
/// another site sends its Origin (WHATWG Fetch, "Origin header").
#[test]
fn other_names_and_other_pages_are_refused() {
    let session = Session::of("tennis-demo");
    let (port, cookie) = (session.port, format!("Cookie: {}", session.cookie()));
    let hosts = [
        "rebound.example".to_owned(),
        format!("rebound.example:{port}"),
        "127.0.0.1".to_owned(),
        format!("127.0.0.1:{}", port ^ 1),
        format!("127.0.0.1:{port}.example"),
        String::new(),
    ];
    for host in hosts {
        let line = format!("Host: {host}");
        assert_eq!(session.send("GET", "/api/ground", &[&line, &cookie], "").status, 403, "{host}");
    }
    let twice = [session.host(), "Host: rebound.example".to_owned()];
    let answer = session.send("GET", "/api/ground", &[&twice[0], &twice[1], &cookie], "");
    assert!([400, 403].contains(&answer.status));
    for origin in ["http://rebound.example", "null", "https://127.0.0.1", "http://127.0.0.1"] {
        let line = format!("Origin: {origin}");
        let answer = session.send("GET", "/api/ground", &[&session.host(), &cookie, &line], "");
        assert_eq!(answer.status, 403, "{origin}");
    }
    for own in [format!("127.0.0.1:{port}"), format!("localhost:{port}")] {
        let lines = [format!("Host: {own}"), format!("Origin: http://{own}"), cookie.clone()];
        let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
        assert_eq!(session.send("GET", "/api/ground", &lines, "").status, 200, "{own}");
    }
}

#[test]
fn only_the_page_itself_changes_anything() {
    let session = Session::of("tennis-demo");
    let before = session.on_disk();
    let (host, cookie) = (session.host(), format!("Cookie: {}", session.cookie()));
    let (own, kind) = ("X-Quarterstop: live", "Content-Type: application/json");
    let set = json!([{ "address": "field.bearing_deg", "value": 10.0 }]);
    let body = json!({ "revision": session.revision(), "set": set }).to_string();
    let refused: [(&[&str], u16); 6] = [
        (&[&host, &cookie, kind], 403),
        (&[&host, &cookie, own], 400),
        (&[&host, &cookie, own, "Content-Type: text/plain"], 400),
        (&[&host, &cookie, own, kind, "Sec-Fetch-Site: cross-site"], 403),
        (&[&host, &cookie, own, kind, "Origin: http://rebound.example"], 403),
        (&[&host, own, kind], 401),
    ];
    for (lines, status) in refused {
        assert_eq!(session.send("POST", "/api/edit", lines, &body).status, status, "{lines:?}");
    }
    assert_eq!(session.get("/api/edit").status, 405);
    assert_eq!(session.post("/api/ground", &json!({})).status, 405);
    let lines = [host.as_str(), &cookie, own, kind];
    assert_eq!(session.send("PUT", "/api/edit", &lines, "").status, 405);
    assert_eq!(session.on_disk(), before);
    assert_eq!(session.send("POST", "/api/edit", &lines, &body).status, 200);
    assert_ne!(session.on_disk(), before);
}

#[test]
fn what_is_too_large_or_no_json_is_refused_and_the_server_goes_on() {
    let session = Session::of("tennis-demo");
    let large = json!({ "revision": 1, "text": "#".repeat(2 * 1024 * 1024) });
    let answer = session.post("/api/text", &large);
    assert_eq!(answer.status, 413);
    assert!(answer.problem().contains("1048576 bytes"), "{}", answer.problem());
    let lines = [
        session.host(),
        format!("Cookie: {}", session.cookie()),
        "X-Quarterstop: live".to_owned(),
        "Content-Type: application/json".to_owned(),
    ];
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    for body in ["", "{", "[]", "{\"revision\":\"one\"}", "\u{0}"] {
        assert_eq!(session.send("POST", "/api/edit", &lines, body).status, 400, "{body:?}");
    }
    for path in ["/api/shadow", "/api/shadow?revision=-1&at=x", "/api/plan?revision=1"] {
        assert_eq!(session.get(path).status, 400, "{path}");
    }
    let long = format!("/api/shadow?revision=1&at={}", "9".repeat(40_000));
    assert!([400, 414, 431].contains(&session.get(&long).status));
    assert_eq!(session.get("/api/ground").status, 200);
}

#[test]
fn no_path_leads_out_of_the_folder() {
    let session = Session::of("tennis-demo");
    let outside = tempfile::tempdir().unwrap();
    let secret = outside.path().join("secret.toml");
    fs::write(&secret, session.on_disk()).unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(&secret, session.home.path().join("link.toml")).unwrap();
    let absolute = secret.display().to_string();
    let up = "../secret.toml".to_owned();
    for name in [absolute, up, "link.toml".into(), ".hidden.toml".into(), "a\\b.toml".into()] {
        let answer = session.post("/api/open", &json!({ "file": name }));
        assert!([404, 422].contains(&answer.status), "{name}: {}", answer.status);
        let options = json!({ "--seen": name, "--json": "fit.json" });
        let job = json!({ "command": "fit", "options": options });
        assert!([404, 422].contains(&session.post("/api/jobs", &job).status), "{name}");
    }
    let new = |file: &str| {
        let place = json!({ "latitude_deg": 47.0, "longitude_deg": 15.0, "zone": "Europe/Vienna" });
        let mut new = json!({ "title": "Meadow", "sport": "football", "bearing_deg": 20.0 });
        new.as_object_mut().unwrap().extend(place.as_object().unwrap().clone());
        new["file"] = json!(file);
        session.post("/api/new", &new)
    };
    for name in
        ["../made.toml", "/tmp/made.toml", "made", "made.txt", "con/made.toml", "ground.toml"]
    {
        assert_eq!(new(name).status, 422, "{name}");
    }
    assert!(!session.home.path().parent().unwrap().join("made.toml").exists());
    for path in ["/live/..%2f..%2fCargo.toml", "/live/%2e%2e/x", "/../ground.toml", "/ground.toml"]
    {
        assert_eq!(session.get(path).status, 404, "{path}");
    }
    // a text cannot name a mesh outside either
    let ground = session.ground();
    let mesh = "\n[[mesh]]\nname = \"M\"\nfile = \"../m.obj\"\nat = [60.0, 0.0, 0.0]\nmetres_per_unit = 1.0\nup = \"z\"\n";
    let text = ground["text"].as_str().unwrap().to_owned() + mesh;
    let answer =
        session.post("/api/text", &json!({ "revision": ground["revision"], "text": text }));
    assert_eq!(answer.status, 422);
    assert!(answer.problem().contains("../m.obj"), "{}", answer.problem());
}

#[test]
fn a_flood_is_held_off_and_others_come_through_after_it() {
    let session = Session::of("tennis-demo");
    let host = session.host();
    let statuses: Vec<u16> = thread::scope(|scope| {
        let flood = || {
            let one = |_| session.send("GET", "/", &[&host], "").status;
            (0..500).map(one).collect::<Vec<_>>()
        };
        let all: Vec<_> = (0..8).map(|_| scope.spawn(flood)).collect();
        all.into_iter().flat_map(|one| one.join().unwrap()).collect()
    });
    assert!(statuses.iter().all(|status| [401, 429, 503].contains(status)), "{statuses:?}");
    assert!(statuses.contains(&429), "4000 requests at once are let through");
    thread::sleep(Duration::from_secs(2));
    assert_eq!(session.get("/api/ground").status, 200);
}

#[test]
fn pages_that_leave_or_say_nothing_hold_nobody_up() {
    let session = Session::of("football-demo");
    let silent: Vec<_> = (0..60).map(|_| session.connect()).collect();
    let revision = session.revision();
    for path in [
        format!("/api/plan?revision={revision}&date=2027-10-16&start=15:00&step=1"),
        "/api/check?revision=1".to_owned(),
        "/api/events".to_owned(),
    ] {
        for part in [20, 60, 4000] {
            let head = format!(
                "GET {path} HTTP/1.1\r\n{}\r\nCookie: {}\r\n\r\n",
                session.host(),
                session.cookie()
            );
            let mut stream = session.connect();
            stream.write_all(&head.as_bytes()[..part.min(head.len())]).unwrap();
        }
    }
    // half of a body, then gone
    let mut stream = session.connect();
    write!(
        stream,
        "POST /api/undo HTTP/1.1\r\n{}\r\nCookie: {}\r\n",
        session.host(),
        session.cookie()
    )
    .unwrap();
    write!(
        stream,
        "X-Quarterstop: live\r\nContent-Type: application/json\r\nContent-Length: 90\r\n\r\n{{"
    )
    .unwrap();
    drop(stream);
    assert_eq!(session.revision(), revision);
    assert_eq!(session.set("field.bearing_deg", 12.0).status, 200);
    drop(silent);
}

#[test]
fn thirty_two_pages_may_listen_and_no_more() {
    let session = Session::of("tennis-demo");
    let mut streams: Vec<_> = (0..32).map(|_| session.events()).collect();
    for stream in &mut streams {
        assert!(stream.next().unwrap().contains("200"));
    }
    assert_eq!(session.get("/api/events").status, 503);
    drop(streams.pop());
}
