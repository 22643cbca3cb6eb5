//! A folder of venue files is one day: a code opens its own ground and no other, the lead of
//! the day has all, cameras move between grounds and both logs say so.

use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tempfile::{TempDir, tempdir};

use crate::serve_support::{Answer, Door, PATIENCE, Session};

/// An invented court with cameras of these names.
fn court(title: &str, start: &str, cameras: &[&str]) -> String {
    let mut text = format!(
        "title = \"{title}\"\n[place]\nlatitude_deg = 47.62\nlongitude_deg = 16.88\n\
         height_m = 118.0\nzone = \"Europe/Vienna\"\n[field]\nsport = \"tennis\"\n\
         bearing_deg = 352.0\n[fixture]\ndate = \"2027-06-19\"\nstart = \"{start}\"\n\
         [[stand]]\nname = \"West stand\"\nside = \"left\"\nlength_m = 36.0\n\
         setback_m = 4.0\ndepth_m = 9.0\nfront_height_m = 1.0\nback_height_m = 9.0\n"
    );
    for (number, name) in cameras.iter().enumerate() {
        text += &format!(
            "[[camera]]\nname = \"{name}\"\nat = [-30.0, {number}.0, 8.0]\n\
             horizontal_fov_deg = 36.0\n[camera.exposure]\nt_number_at_2000_lx = {}\n",
            9 + 2 * number
        );
    }
    text
}

/// Two courts, one file with mistakes and one that is no ground.
fn folder() -> TempDir {
    let home = tempdir().unwrap();
    let write = |name: &str, text: &str| fs::write(home.path().join(name), text).unwrap();
    write("court-1.toml", &court("Court 1", "15:00", &["1 main", "2 net"]));
    write("court 2.toml", &court("Court 2", "15:30", &["1 main", "2 net", "3 baseline"]));
    let mistaken =
        court("Court 3", "16:00", &["1 main"]).replace("length_m = 36.0", "length_m = -36.0");
    write("court-3.toml", &mistaken);
    write("notes.toml", "[note]\ntext = \"nothing\"\n");
    home
}

struct Tour {
    session: Session,
    door: Door,
    passes: Vec<Value>,
}

impl Tour {
    fn new() -> Self {
        Self::of(folder(), "14:50")
    }

    /// A rehearsal from a time on.
    fn of(home: TempDir, at: &str) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
        command.args(["live", "--no-browser", "--share=127.0.0.1:0", "--rehearse", at]);
        command.arg(home.path());
        let file = home.path().join("court-1.toml");
        let session = Session::started(command, home, file);
        let passes = session.get("/api/day/passes").ok()["passes"].as_array().unwrap().clone();
        Self { door: Door::of(&passes), session, passes }
    }

    /// The server is killed, and started again on the same folder some minutes later.
    fn again(mut self) -> Self {
        self.session.child.kill().unwrap();
        self.session.child.wait().unwrap();
        let home = std::mem::replace(&mut self.session.home, tempdir().unwrap());
        drop(self);
        Self::of(home, "14:55")
    }

    fn join(&self, ground: &str, words: &str) -> String {
        let is_it = |pass: &&Value| pass["ground"] == ground && pass["words"] == words;
        let pass = self.passes.iter().find(is_it).unwrap();
        self.door.join(pass["code"].as_str().unwrap())
    }

    fn moves(&self, cookie: &str, body: Value) -> Answer {
        self.door.post(cookie, "/api/grounds/move", &body)
    }

    fn enter(&self, cookie: &str, ground: &str, what: Value) -> Answer {
        self.door.post(cookie, &format!("{ground}/api/day/enter"), &json!({ "what": what }))
    }

    /// Lines of a log that are entries.
    fn log(&self, name: &str, start: &str) -> Vec<Value> {
        let file = format!("{name}-rehearsal-2027-06-19-{start}.jsonl");
        entries(&self.session.home.path().join(file))
    }

    /// A camera as the screens of a ground have it.
    fn camera(&self, cookie: &str, ground: &str, name: &str) -> Value {
        let state = self.door.get(cookie, &format!("{ground}/api/day")).ok();
        let cameras = state["cameras"].as_array().unwrap();
        cameras.iter().find(|camera| camera["name"] == name).unwrap().clone()
    }

    /// Asks until it is so.
    fn until(&self, what: &str, so: impl Fn() -> bool) {
        let begun = Instant::now();
        while !so() {
            assert!(begun.elapsed() < PATIENCE, "never: {what}");
            std::thread::sleep(Duration::from_millis(50));
        }
    }
}

fn entries(log: &Path) -> Vec<Value> {
    let text = fs::read_to_string(log).unwrap();
    let lines = text.lines().map(|line| serde_json::from_str::<Value>(line).unwrap());
    lines.filter(|line| line["line"] == "entry").collect()
}

const ONE: &str = "/of/court-1";
const TWO: &str = "/of/court-2";

fn over() -> Value {
    json!({
        "from": "court-1", "camera": "2 net",
        "to": { "ground": "court-2", "place": "3 baseline" },
    })
}

#[test]
fn a_code_opens_its_own_ground_and_no_other() {
    let tour = Tour::new();
    let lead_1 = tour.join("court-1", "lead");
    let day = tour.join("", "lead of the day");
    assert_eq!(tour.door.get(&lead_1, "/api/day").ok()["title"], "Court 1");
    let see_2 = tour.join("court 2", "look only");
    assert_eq!(tour.door.get(&see_2, "/api/day").ok()["title"], "Court 2");
    // nothing of the others, by any address
    for path in [
        "/of/court-2/api/day",
        "/of/court-2/wall",
        "/of/court-1/api/day",
        "/api/grounds",
        "/api/grounds/events",
        "/api/day/passes",
        "/api/ground",
    ] {
        assert_eq!(tour.door.get(&lead_1, path).status, 404, "{path}");
        let answer = tour.door.send("GET", path, &[tour.door.host()], "");
        assert_eq!(answer.status, 401, "{path}");
        assert!(!String::from_utf8_lossy(&answer.body).contains("Court"), "{path}");
    }
    assert_eq!(tour.moves(&lead_1, over()).status, 404);
    let cloud = json!({ "event": "sky", "sky": "overcast" });
    assert_eq!(tour.enter(&lead_1, TWO, cloud.clone()).status, 404);
    assert_eq!(tour.enter(&see_2, "", cloud.clone()).status, 403);
    // a crew lead's entry is of that ground alone
    assert_eq!(tour.enter(&lead_1, "", cloud).ok()["entry"], 1);
    assert_eq!(tour.door.get(&day, &format!("{ONE}/api/day")).ok()["sky"], "overcast");
    assert_eq!(tour.door.get(&day, &format!("{TWO}/api/day")).ok()["sky"], "clear");
    // the day has all grounds, and neither the pages that change them nor the codes
    for path in ["/of/court-1/api/ground", "/of/court-1/api/day/passes", "/api/day/passes"] {
        assert_eq!(tour.door.get(&day, path).status, 404, "{path}");
    }
    // an address is a name of the table, never a way to a file
    for path in ["/of/notes/api/day", "/of/..%2Fcourt-1/api/day", "/of/court%202/api/day"] {
        assert_eq!(tour.door.get(&day, path).status, 404, "{path}");
    }
}

#[test]
fn files_with_mistakes_are_listed_and_the_others_run() {
    let home = folder();
    #[cfg(unix)]
    std::os::unix::fs::symlink(home.path().join("court-1.toml"), home.path().join("twin.toml"))
        .unwrap();
    let tour = Tour::of(home, "14:50");
    let list = tour.session.get("/api/grounds").ok();
    let grounds = list["grounds"].as_array().unwrap();
    let titles: Vec<&str> = grounds.iter().map(|g| g["title"].as_str().unwrap_or("-")).collect();
    assert_eq!(titles, ["Court 2", "Court 1", "-"]);
    let problem = &grounds[2]["problems"][0];
    assert_eq!(problem["key"], "stand[0].length_m");
    assert!(problem["text"].as_str().unwrap().contains("-36"), "{problem}");
    if cfg!(unix) {
        let left_out = &list["left_out"][0];
        assert_eq!(left_out["file"], "twin.toml");
        assert!(left_out["why"].as_str().unwrap().contains("court-1.toml"), "{left_out}");
    }
    // once it is mended it is a ground like the others
    let mended = court("Court 3", "16:00", &["1 main"]);
    fs::write(tour.session.home.path().join("court-3.toml"), mended).unwrap();
    tour.until("mended", || {
        let list = tour.session.get("/api/grounds").ok();
        list["grounds"][2]["problems"].as_array().unwrap().is_empty()
    });
    let see = tour.join("court-3", "look only");
    assert_eq!(tour.door.get(&see, "/api/day").ok()["title"], "Court 3");
}

#[test]
fn a_folder_without_grounds_or_with_too_many_is_refused() {
    let home = tempdir().unwrap();
    let start = || {
        let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
        command.args(["live", "--no-browser", "--share=127.0.0.1:0"]).arg(home.path());
        command.output().unwrap()
    };
    let refused = |output: std::process::Output, words: &str| {
        let text = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{text}");
        assert!(text.contains(words), "{text}");
    };
    refused(start(), "holds no venue file");
    for number in 0..=quarterstop::base::limits::MAX_GROUNDS {
        fs::write(home.path().join(format!("{number}.toml")), "[place]\n").unwrap();
    }
    refused(start(), "33 venue files; a day has 32 grounds at most");
}

#[test]
fn a_camera_that_goes_over_is_in_both_logs_and_taken_back_in_both() {
    let tour = Tour::new();
    let day = tour.join("", "lead of the day");
    let lead_1 = tour.join("court-1", "lead");
    let lead_2 = tour.join("court 2", "lead");
    assert_eq!(tour.moves(&day, over()).ok()["entry"], 1);
    let (one, two) = (tour.log("court-1", "1500"), tour.log("court 2", "1530"));
    assert_eq!(one[0]["event"], "camera_goes_over");
    assert_eq!(two[0]["event"], "camera_comes_over");
    assert_eq!(one[0]["moved"], two[0]["moved"]);
    // its own exposure, from its own file
    assert_eq!(two[0]["exposure"]["t_number_at_2000_lx"], 11.0);
    assert_eq!(tour.camera(&day, ONE, "2 net")["out"], true);
    assert_eq!(tour.camera(&day, TWO, "3 baseline")["comes"]["camera"], "2 net of court-1");
    // it is in use until it is home
    assert_eq!(tour.moves(&day, over()).status, 422);
    let back = json!({ "event": "camera_back", "camera": "2 net" });
    assert_eq!(tour.enter(&lead_1, "", back).status, 422);
    // neither crew takes back what is of both, nor enters such a line by itself
    let undo = |entry: u64| json!({ "event": "undo", "takes_back": entry });
    assert_eq!(tour.enter(&lead_1, "", undo(1)).status, 403);
    assert_eq!(tour.enter(&lead_2, "", undo(1)).status, 403);
    let line = json!({
        "event": "camera_leaves", "camera": "3 baseline", "to_ground": "court-1",
        "moved": "x", "ends": one[0]["moved"],
    });
    assert_eq!(tour.enter(&lead_2, "", line).status, 403);
    // the lead of the day does, on either ground
    tour.enter(&day, TWO, undo(1)).ok();
    assert_eq!(tour.camera(&day, ONE, "2 net")["out"], false);
    assert_eq!(tour.camera(&day, TWO, "3 baseline")["comes"], Value::Null);
    assert_eq!(tour.log("court-1", "1500")[1]["takes_back"], 1);
    assert_eq!(tour.log("court 2", "1530")[1]["takes_back"], 1);
    // and brings it back: taking back what took it back, which a crew cannot either
    assert_eq!(tour.enter(&lead_2, "", undo(2)).status, 403);
    tour.enter(&day, ONE, undo(2)).ok();
    assert_eq!(tour.camera(&day, ONE, "2 net")["out"], true);
    assert_eq!(tour.camera(&day, TWO, "3 baseline")["comes"]["camera"], "2 net of court-1");
}

#[test]
fn a_killed_server_has_the_same_cameras_where_they_were() {
    let tour = Tour::new();
    let day = tour.join("", "lead of the day");
    tour.moves(&day, over()).ok();
    let (one, two) = (tour.log("court-1", "1500"), tour.log("court 2", "1530"));
    let tour = tour.again();
    // the same code lets the same screens in
    let state = tour
        .door
        .get(&day.replacen(&cookie_port(&day), &tour.door.port.to_string(), 1), "/api/grounds");
    assert_eq!(state.status, 200);
    let day = tour.join("", "lead of the day");
    assert_eq!(tour.camera(&day, ONE, "2 net")["out"], true);
    assert_eq!(tour.camera(&day, TWO, "3 baseline")["comes"]["camera"], "2 net of court-1");
    // nothing was written twice
    std::thread::sleep(Duration::from_millis(2500));
    assert_eq!((tour.log("court-1", "1500"), tour.log("court 2", "1530")), (one, two));
    // a plug that was pulled between the two lines
    let path = tour.session.home.path().join("court 2-rehearsal-2027-06-19-1530.jsonl");
    let text = fs::read_to_string(&path).unwrap();
    let tour = {
        let mut tour = tour;
        tour.session.child.kill().unwrap();
        tour.session.child.wait().unwrap();
        fs::write(&path, text.lines().next().unwrap().to_owned() + "\n").unwrap();
        tour.again()
    };
    tour.until("the other log follows", || tour.log("court 2", "1530").len() == 1);
    let followed = tour.log("court 2", "1530");
    assert_eq!(followed[0]["moved"], tour.log("court-1", "1500")[0]["moved"]);
}

/// The port in the name of a cookie.
fn cookie_port(cookie: &str) -> String {
    let name = cookie.split('=').next().unwrap();
    name.rsplit('_').next().unwrap().to_owned()
}

#[test]
fn a_camera_goes_at_a_moment_of_play_and_home_again() {
    let tour = Tour::new();
    let day = tour.join("", "lead of the day");
    let lead_1 = tour.join("court-1", "lead");
    let at_end = |ground: &str, moment: u64| {
        let mut sent = over();
        sent["moment"] = json!({ "ground": ground, "moment": moment });
        sent
    };
    // a place where somebody works until then is no place to come to
    assert_eq!(tour.moves(&day, at_end("court-1", 1)).status, 422);
    let out = json!({ "event": "camera_out", "camera": "3 baseline" });
    tour.enter(&day, TWO, out).ok();
    tour.moves(&day, at_end("court-1", 1)).ok();
    // tennis: 150 minutes from the first service, the nominal end
    let nominal = |at: &Value| at.as_i64().unwrap();
    let goes = tour.camera(&day, ONE, "2 net");
    let comes = tour.camera(&day, TWO, "3 baseline");
    assert_eq!((&goes["out"], &comes["out"]), (&json!(false), &json!(true)));
    assert_eq!(goes["goes"]["epoch_s"], comes["comes"]["epoch_s"]);
    let planned = nominal(&comes["comes"]["epoch_s"]);
    // the first service of court 1 comes late, as its own crew enters: court 2 follows
    let begin = json!({ "event": "moment", "moment": 0, "name": "" });
    let sent = json!({ "what": begin, "at": "15:20" });
    tour.door.post(&lead_1, "/api/day/enter", &sent).ok();
    tour.until("court 2 follows the play of court 1", || {
        let comes = tour.camera(&day, TWO, "3 baseline");
        nominal(&comes["comes"]["epoch_s"]) == planned + 20 * 60
    });
    let two = tour.log("court 2", "1530");
    assert_eq!(two.last().unwrap()["event"], "move_expected");
    // which nobody takes back by itself
    let undo = json!({ "event": "undo", "takes_back": two.last().unwrap()["entry"] });
    assert_eq!(tour.enter(&day, TWO, undo).status, 422);
    // home before it went: nothing has changed
    tour.moves(&day, json!({ "from": "court-1", "camera": "2 net" })).ok();
    assert_eq!(tour.camera(&day, ONE, "2 net")["goes"], Value::Null);
    assert_eq!(tour.camera(&day, TWO, "3 baseline")["comes"], Value::Null);
    assert_eq!(tour.camera(&day, TWO, "3 baseline")["out"], true);
    // the other ground's play decides the same way
    tour.moves(&day, at_end("court-2", 0)).ok();
    let begin = json!({ "event": "moment", "moment": 0, "name": "" });
    tour.door
        .post(&day, &format!("{TWO}/api/day/enter"), &json!({ "what": begin, "at": "15:45" }))
        .ok();
    tour.until("court 1 follows the play of court 2", || {
        let goes = tour.camera(&day, ONE, "2 net");
        nominal(&goes["goes"]["epoch_s"]) == planned - 150 * 60 + 45 * 60
    });
}
