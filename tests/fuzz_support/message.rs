//! Messages to the server of the live page, in one session.
//!
//! In: bytes. Each message is a line with the method and the address, then its body; a line
//! of `--` stands between two. Out: whether all were answered as asked; a panic where an
//! answer is our failure, has no sentence for people, or where a file is left that is no venue.

use std::fs;
use std::sync::OnceLock;

use quarterstop::serve;
use quarterstop::serve::day::clock::Clock;
use quarterstop::serve::in_process::{InProcess, Reply};
use quarterstop::serve::problem::Refused;
use quarterstop::venue;
use serde_json::Value;
use tempfile::TempDir;
use tokio::runtime::{Builder, Runtime};

use super::Verdict;

/// Messages of one session: more would only be slow.
const MAX_MESSAGES: usize = 24;
/// A ground that is read and drawn in no time.
const SMALL: &str = r#"title = "Small ground"
[place]
latitude_deg = 47.62
longitude_deg = 16.88
height_m = 118.0
zone = "Europe/Vienna"
[field]
sport = "tennis"
bearing_deg = 352.0
[fixture]
date = 2027-06-12
start = 14:00
[[stand]]
name = "West"
side = "left"
length_m = 30.0
setback_m = 6.0
depth_m = 8.0
front_height_m = 1.0
back_height_m = 6.0
[[camera]]
name = "Main"
at = [-30.0, 0.0, 8.0]
horizontal_fov_deg = 40.0
"#;

/// Has the server answer, one message after the other.
pub fn message(data: &[u8]) -> Verdict {
    let home = TempDir::new().expect("a folder");
    let venue = home.path().join("ground.toml");
    fs::write(&venue, SMALL).expect("a file");
    let settings = serve::ServeSettings {
        field: None,
        venue: Some(venue),
        folder: home.path().to_owned(),
        port: 1,
        // no program is started from here
        rules: |_, _| Err(Refused::BadRequest("no jobs here".to_owned())),
        several: false,
        share: None,
        clock: Clock::Real,
        forecast: None,
    };
    let session = InProcess::open(&settings).expect("a session");
    let lines: Vec<&[u8]> = data.split_inclusive(|byte| *byte == b'\n').collect();
    let mut verdict = Verdict::Accepted;
    for message in lines.split(|line| line.trim_ascii_end() == b"--").take(MAX_MESSAGES) {
        let Some((first, body)) = message.split_first() else { continue };
        let first = String::from_utf8_lossy(first);
        let Some((method, address)) = first.trim_end().split_once(' ') else { continue };
        let asked = session.ask(method, address, body.concat());
        // an address that is none reaches no server
        let Ok(answer) = runtime().block_on(asked) else { continue };
        if !answered(address, &answer) {
            verdict = Verdict::Refused;
        }
    }
    let entries = fs::read_dir(home.path()).expect("the folder");
    let paths = entries.map(|entry| entry.expect("an entry").path());
    for path in paths.filter(|path| path.extension().is_some_and(|kind| kind == "toml")) {
        let left = fs::read_to_string(path).expect("text");
        let sound = venue::parse_in(&left, "ground.toml", Some(home.path()));
        assert!(sound.is_ok(), "left on the disc: {left}");
    }
    verdict
}

/// Whether what was asked is done; what is refused says why.
fn answered(address: &str, answer: &Reply) -> bool {
    let shown = String::from_utf8_lossy(&answer.body);
    let busy = answer.status.as_u16() == 503;
    assert!(busy || !answer.status.is_server_error(), "{address}: {shown}");
    assert!(answer.headers.contains_key("content-security-policy"), "{address}");
    let kind = answer.headers.get("content-type").map(|kind| kind.as_bytes());
    if kind == Some(b"application/json") {
        let body: Value = serde_json::from_slice(&answer.body).expect("JSON");
        if !answer.status.is_success() {
            let sentence = body["problems"][0]["text"].as_str().unwrap_or_default();
            assert!(!sentence.trim().is_empty(), "{address}: {shown}");
            let drives = sentence.chars().find(|c| c.is_control() && !matches!(c, '\n' | '\t'));
            assert_eq!(drives, None, "{address}: {sentence:?}");
        }
    }
    answer.status.is_success()
}

fn runtime() -> &'static Runtime {
    static RUNTIME: OnceLock<Runtime> = OnceLock::new();
    RUNTIME.get_or_init(|| Builder::new_current_thread().enable_all().build().expect("a runtime"))
}
