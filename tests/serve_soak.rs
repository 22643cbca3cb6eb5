//! The server of the live page at speed, for as long as one wants.
//!
//! Run by name: `QUARTERSTOP_SOAK_MINUTES=120 cargo test --release --test suite -- --ignored
//! --nocapture soak`. Pages change the ground, drag, undo, plan, start jobs and leave in the
//! middle of a request, all on the loopback address.

use std::fs;
use std::io::Write;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::serve_support::{Answer, Session};

const FIRST: &str = "stand[0].roof.front_height_m";

/// Answers by kind.
#[derive(Default)]
struct Counts {
    done: AtomicU64,
    outdated: AtomicU64,
    busy: AtomicU64,
}

impl Counts {
    /// An answer that is no fault: done, overtaken by another page, or too much at once.
    fn take(&self, what: &str, answer: &Answer) {
        let kind = match answer.status {
            200 => &self.done,
            409 | 422 => &self.outdated,
            429 | 503 => &self.busy,
            status => panic!("{what}: {status}: {}", String::from_utf8_lossy(&answer.body)),
        };
        kind.fetch_add(1, Ordering::Relaxed);
    }
}

/// Resident memory of the server, MB; `None` where the system does not say.
fn memory_mb(session: &Session) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{}/status", session.child.id())).ok()?;
    let line = status.lines().find(|line| line.starts_with("VmRSS:"))?;
    line.split_whitespace().nth(1)?.parse::<u64>().ok().map(|kb| kb / 1024)
}

/// One request of one page.
fn ask(session: &Session, page: u64, turn: u64, counts: &Counts) {
    let ground = session.get("/api/ground");
    if ground.status != 200 {
        return counts.take("ground", &ground);
    }
    let revision = ground.json()["revision"].as_u64().unwrap();
    let height = 14.0 + ((page * 31 + turn * 7) % 60) as f64 * 0.1;
    let set = json!([{ "address": FIRST, "value": height }]);
    let at = format!("2027-10-16T{:02}:{:02}:00", 12 + turn % 6, turn * 13 % 60);
    let post = |path: &str, body: Value| session.post(path, &body);
    let answer = match (page + turn) % 9 {
        0 | 1 => post("/api/edit", json!({ "revision": revision, "set": set })),
        2..=4 => {
            let body = json!({ "revision": revision, "set": set, "preview": true, "at": at });
            post("/api/edit", body)
        }
        5 => post("/api/undo", json!({ "revision": revision })),
        6 => session.get(&format!("/api/shadow?revision={revision}&at={at}")),
        7 if turn.is_multiple_of(40) => session
            .get(&format!("/api/plan?revision={revision}&date=2027-10-16&start=15:00&step=30")),
        7 => session.get("/api/jobs"),
        _ => {
            // leaves before the whole request is there
            let head = format!("POST /api/edit HTTP/1.1\r\n{}\r\nContent-Le", session.host());
            let _ = session.connect().write_all(head.as_bytes());
            return;
        }
    };
    counts.take("page", &answer);
}

#[test]
#[ignore = "runs for as long as QUARTERSTOP_SOAK_MINUTES says: by name"]
fn soak() {
    let minutes = std::env::var("QUARTERSTOP_SOAK_MINUTES").ok().and_then(|m| m.parse().ok());
    let end = Duration::from_secs_f64(60.0 * minutes.unwrap_or(1.0));
    let mut session = Session::of("football-demo");
    let begun = Instant::now();
    let counts = Counts::default();
    let early = thread::scope(|scope| {
        for page in 0..6 {
            let (session, counts) = (&session, &counts);
            scope.spawn(move || {
                let mut turn = 0;
                while begun.elapsed() < end {
                    ask(session, page, turn, counts);
                    turn += 1;
                }
            });
        }
        thread::sleep(end / 4);
        memory_mb(&session)
    });
    assert!(session.child.try_wait().unwrap().is_none(), "the server has ended");
    let ground = session.wait("saved", |ground| ground["saved"] == json!(true));
    assert_eq!(session.on_disk(), ground["text"]);
    let late = memory_mb(&session);
    let count = |kind: &AtomicU64| kind.load(Ordering::Relaxed);
    println!(
        "{:.1} minutes: {} done, {} outdated, {} busy; memory {early:?} MB after a quarter, {late:?} MB at the end",
        begun.elapsed().as_secs_f64() / 60.0,
        count(&counts.done),
        count(&counts.outdated),
        count(&counts.busy),
    );
    assert!(count(&counts.done) > 0);
    if let (Some(early), Some(late)) = (early, late) {
        assert!(late <= early + early / 4 + 40, "memory grows: {early} MB, {late} MB");
    }
}
