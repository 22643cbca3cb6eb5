//! Match day on three screens: the lead in the truck, an operator and one who looks on, over
//! a rehearsed match. Kickoff comes a quarter of an hour late, a cloud at 15:20, camera 3
//! dies at 15:40, floodlights are lit at half-time, and the server is killed and comes back.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;
use tempfile::TempDir;

use super::chromium::{Opened, open_url};
use super::pages;

/// Minutes of the match in a second and a half: a story of 50 minutes in 40 seconds.
const SPEED: &str = "75";
/// The first plan uses all cores, beside other tests.
const FIRST_PLAN: Duration = Duration::from_secs(90);
const CAMERA: &str = "3 corner ahead";

struct Truck {
    server: Child,
    address: String,
    folder: TempDir,
    ports: (u16, u16),
}

impl Truck {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        fs::copy(pages::demo("football-demo"), folder.path().join("ground.toml")).unwrap();
        let (server, address) = start(folder.path(), "15:13", (0, 0));
        let port = address["http://127.0.0.1:".len()..].split('/').next().unwrap();
        let ports = (port.parse().unwrap(), 0);
        Self { server, address, folder, ports }
    }

    fn kill(&mut self) {
        let _ = self.server.kill();
        let _ = self.server.wait();
    }

    fn start_again(&mut self, at: &str) {
        (self.server, self.address) = start(self.folder.path(), at, self.ports);
    }

    fn log(&self) -> Vec<Value> {
        let path: PathBuf = self.folder.path().join("ground-rehearsal-2027-10-16-1500.jsonl");
        let text = fs::read_to_string(path).unwrap();
        text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
    }
}

impl Drop for Truck {
    fn drop(&mut self) {
        self.kill();
    }
}

fn start(folder: &Path, at: &str, ports: (u16, u16)) -> (Child, String) {
    start_with(folder, at, ports, &[])
}

fn start_with(
    folder: &Path,
    at: &str,
    (port, shared): (u16, u16),
    more: &[&str],
) -> (Child, String) {
    let mut server = Command::new(pages::tool())
        .args(["live", "ground.toml", "--no-browser", "--rehearse", at, "--speed", SPEED])
        .arg(format!("--port={port}"))
        .arg(format!("--share=127.0.0.1:{shared}"))
        .args(more)
        .current_dir(folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(server.stdout.take().unwrap()).read_line(&mut line).unwrap();
    assert!(line.starts_with("http://127.0.0.1:"), "{line}");
    (server, line.trim().to_owned())
}

/// A wall that has its first plan.
fn wall(url: &str, path: &str) -> Option<Opened> {
    let page = open_url(url, (1280, 800))?;
    if !path.is_empty() {
        page.run(&format!("location.assign('{path}')"));
    }
    page.until_within("document.querySelectorAll('.tile').length > 0", FIRST_PLAN);
    Some(page)
}

fn until_clock(page: &Opened, clock: &str) {
    let so = format!("document.getElementById('clock').textContent >= '{clock}'");
    page.until_within(&so, Duration::from_secs(60));
}

fn tile(page: &Opened, camera: &str) -> String {
    page.get(&format!(
        "[...document.querySelectorAll('.tile')]
            .find((tile) => tile.innerText.includes({camera:?})).className"
    ))
}

/// How long until all screens show something.
fn on_all(screens: &[&Opened], condition: &str) -> Duration {
    let begin = Instant::now();
    for screen in screens {
        screen.until(condition);
    }
    begin.elapsed()
}

fn entries(page: &Opened) -> u64 {
    page.get("fetch('/api/day').then((answer) => answer.json()).then((state) => state.entry)")
}

#[test]
fn a_late_kickoff_a_cloud_a_dead_camera_and_lights_on_three_screens() {
    let mut truck = Truck::new();
    let Some(lead) = wall(&truck.address.clone(), "/wall") else { return };
    let passes: Value = lead.get("fetch('/api/day/passes').then((answer) => answer.json())");
    let url = |words: &str| {
        let all = passes["passes"].as_array().unwrap();
        let pass = all.iter().find(|pass| pass["words"] == words).unwrap();
        pass["url"].as_str().unwrap().to_owned()
    };
    let shared = url("look only");
    truck.ports.1 = shared.split(&[':', '/'][..]).nth(4).unwrap().parse().unwrap();
    let operator = wall(&url("operator A"), "").unwrap();
    let looker = wall(&shared, "").unwrap();
    let screens = [&lead, &operator, &looker];

    until_clock(&lead, "15:15:00");
    lead.key("k");
    let took = on_all(&screens, "document.getElementById('play').textContent === 'play'");
    println!("kickoff on three screens after {} ms", took.as_millis());
    until_clock(&lead, "15:20:00");
    lead.key("3");
    let took =
        on_all(&screens, "document.getElementById('sky').textContent.includes('over the sun')");
    println!("cloud on three screens after {} ms", took.as_millis());
    lead.key("1");
    on_all(&screens, "document.getElementById('sky').textContent.includes('clear')");

    // who looks on has nothing to press, and keys do nothing
    let buttons: Vec<String> =
        looker.get("[...document.querySelectorAll('#enter button')].map((node) => node.innerText)");
    assert_eq!(buttons.len(), 1, "{buttons:?}");
    let before = entries(&looker);
    ["k", "s", "l", "u", "5"].iter().for_each(|key| looker.key(key));
    looker.rest();
    assert_eq!(entries(&looker), before);
    // an operator's own cameras come first
    let first: String = operator.get("document.querySelector('.tile .who').textContent");
    assert_eq!(first, "A");

    until_clock(&lead, "15:40:00");
    lead.run(&format!(
        "[...document.querySelectorAll('.tile')]
            .find((tile) => tile.innerText.includes({CAMERA:?})).click()"
    ));
    lead.until("document.getElementById('camera').open");
    lead.until("!document.getElementById('camera-picture').hidden");
    // which cuts of this camera want a trim, and the hardest of all on every screen
    lead.until("/stops (darker|brighter) than .* at .*: on .* red .* gain|none over/.test(document.getElementById('camera-cuts').innerText)");
    on_all(
        &screens,
        "/Hardest cut .* stops: .* under|All cuts match/.test(document.getElementById('cuts').innerText)",
    );
    lead.run("[...document.querySelectorAll('#camera button')].find((node) => node.textContent === 'Out').click()");
    on_all(&screens, "document.querySelectorAll('.tile.out').length === 1");
    for screen in screens {
        assert!(tile(screen, CAMERA).contains("out"));
    }
    lead.run("document.getElementById('camera').close()");

    until_clock(&lead, "16:00:00");
    lead.key("k");
    on_all(&screens, "document.getElementById('play').textContent === 'break'");
    lead.key("l");
    on_all(&screens, "document.getElementById('sky').textContent.includes('floodlights on')");
    on_all(&screens, "document.getElementById('link').textContent === ''");
    let told = entries(&lead);
    let tiles: u64 = looker.get("document.querySelectorAll('.tile').length");

    // the plug is pulled: screens say so and go on, and catch up
    truck.kill();
    on_all(&screens, "document.getElementById('link').classList.contains('lost')");
    let clock: String = looker.text("#clock");
    looker.until(&format!("document.getElementById('clock').textContent > {clock:?}"));
    assert_eq!(looker.get::<u64>("document.querySelectorAll('.tile').length"), tiles);
    truck.start_again("16:10");
    // the page on this machine has another key now; codes of the network stay
    let lead = wall(&truck.address.clone(), "/wall").unwrap();
    let screens = [&lead, &operator, &looker];
    for screen in screens {
        screen.until_within(
            "!document.getElementById('link').classList.contains('lost')
             && document.getElementById('clock').textContent >= '16:10'
             && document.querySelectorAll('.tile.out').length === 1",
            FIRST_PLAN,
        );
    }
    assert_eq!(screens.map(entries), [told; 3]);

    let log = truck.log();
    let events: Vec<&str> = log.iter().filter_map(|line| line["event"].as_str()).collect();
    let expected = ["moment", "sky", "sky", "camera_out", "moment", "floodlights"];
    assert_eq!(events, expected);
    assert!(log.iter().any(|line| line["line"] == "cue"));
}

/// Twenty-eight cameras fit on one screen without a scroll, in letters that are read from
/// two metres, with what a forecast says of each and without.
#[test]
fn twenty_eight_cameras_fit_on_one_screen() {
    let folder = tempfile::tempdir().unwrap();
    let mut venue: toml::Table =
        fs::read_to_string(pages::demo("football-demo")).unwrap().parse().unwrap();
    let cameras = venue["camera"].as_array_mut().unwrap();
    let own = cameras.len();
    for number in own..28 {
        let mut camera = cameras[number % own].clone();
        camera["name"] = format!("{} of row {}", number + 1, number / own).into();
        cameras.push(camera);
    }
    fs::write(folder.path().join("ground.toml"), toml::to_string(&venue).unwrap()).unwrap();
    let hours = pages::demo("football-demo").with_file_name("football-demo-forecast.csv");
    let forecast = ["--forecast", hours.to_str().unwrap()];
    let (server, address) = start_with(folder.path(), "15:20", (0, 0), &forecast);
    let truck = Truck { server, address, folder, ports: (0, 0) };
    let Some(page) = wall(&truck.address, "/wall") else { return };
    page.until_within("document.querySelectorAll('.tile.expects').length === 28", FIRST_PLAN);
    let head = page.text("#forecast");
    assert!(head.starts_with("Sun ") && head.contains(" % ("), "{head}");
    let lines: Vec<String> =
        page.get("[...document.querySelectorAll('.expected')].map((node) => node.innerText)");
    let ready = |line: &String| {
        let (either, split) = line.split_once('\n').unwrap();
        either.starts_with("cloud") && (split.starts_with("split ") || split == "no edge")
    };
    assert!(lines.iter().all(ready), "{lines:?}");
    assert!(lines.iter().any(|line| line.contains("cloud T") && line.contains('(')), "{lines:?}");
    fits(&page);
    let cut: Vec<String> = page.get(
        "[...document.querySelectorAll('.expected span, .t, .state, .next, #forecast')]
            .filter((node) => node.scrollWidth > node.clientWidth + 1
                || (!node.matches('.t') && node.scrollHeight > node.clientHeight + 2))
            .map((node) => node.textContent)",
    );
    assert!(cut.is_empty(), "{cut:?}");
    page.run(
        "fetch('/api/day/forecast', { method: 'POST', body: '{\"file\":\"\"}',
            headers: { 'Content-Type': 'application/json', 'X-Quarterstop': 'live' } })",
    );
    page.until("document.querySelectorAll('.tile.expects').length === 0");
    assert_eq!(page.text("#forecast"), "");
    fits(&page);
    drop(truck);
}

/// Play after sunset without floodlights: a light that asks for T0.8 opens the lens, and no
/// T-number under that of the lens is on a tile, in the list of a camera or on the live page.
#[test]
fn an_iris_that_is_wide_open_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let mut venue: toml::Table =
        fs::read_to_string(pages::demo("football-demo")).unwrap().parse().unwrap();
    venue.remove("floodlights");
    venue["fixture"]["start"] = "16:30".into();
    fs::write(folder.path().join("ground.toml"), toml::to_string(&venue).unwrap()).unwrap();
    // the sun sets at 18:05
    let (server, address) = start_with(folder.path(), "18:25", (0, 0), &[]);
    let truck = Truck { server, address, folder, ports: (0, 0) };
    let Some(page) = wall(&truck.address, "/wall") else { return };
    let widest: f64 = page.get("fetch('/api/day/plan').then((answer) => answer.json()).then((plan) => plan.cameras[0].t_lens[0][0])");
    let open = format!("T{widest:.1} wide open");
    let all_open = format!(
        "[...document.querySelectorAll('.tile .t')].every((node) => node.textContent === {open:?})"
    );
    page.until(&all_open);
    fits(&page);
    page.run("location.assign('/')");
    page.until("typeof liveState === 'function' && liveState().revision !== null");
    page.run("document.getElementById('tab-cameras').click()");
    page.run(
        "const time = document.getElementById('time-slider');
         time.value = 18 * 60 + 25;
         time.dispatchEvent(new Event('input'));",
    );
    let words = format!("T{widest:.1}, wide open");
    let cards = "document.getElementById('camera-cards').innerText";
    page.until_within(&format!("{cards}.includes({words:?})"), FIRST_PLAN);
    assert!(!page.text("#camera-cards").contains("T0."), "{}", page.text("#camera-cards"));
    drop(truck);
}

fn fits(page: &Opened) {
    let [all, seen]: [u64; 2] = page.get(
        "(() => { const box = document.getElementById('tiles'); return [box.scrollHeight, box.clientHeight]; })()",
    );
    assert!(all <= seen, "{all} px of tiles on {seen} px");
    let small: Vec<String> = page.get(
        "[...document.querySelectorAll('header *, main *, footer *')]
            .filter((node) => node.textContent && parseFloat(getComputedStyle(node).fontSize) < 16)
            .map((node) => node.textContent)",
    );
    assert!(small.is_empty(), "{small:?}");
}
