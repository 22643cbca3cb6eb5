//! A ground made by clicks and keys alone gives the crew the same brief as the same ground
//! typed as a file; the form for the recce on paper.

use std::fs;
use std::process::Command;
use std::time::Duration;

use serde_json::Value;

use super::chromium::Opened;
use super::live_server::{Live, settled};
use super::pages;

const SIZE: (u32, u32) = (1280, 900);

/// The same ground as a person would type it.
const TYPED: &str = r#"
title = "North Field"
[place]
latitude_deg = 52.31
longitude_deg = -0.42
height_m = 40.0
zone = "Europe/London"
[fixture]
date = "2027-10-16"
start = "15:00"
[field]
sport = "football"
length_m = 100.0
width_m = 64.0
bearing_deg = 12.0
[[camera]]
name = "1 wide"
at = [2.0, -45.0, 9.0]
aim = [[0.0, 0.0]]
horizontal_fov_deg = 55.0
[[stand]]
name = "West Side"
side = "left"
setback_m = 7.5
length_m = 90.0
depth_m = 18.0
front_height_m = 1.2
back_height_m = 13.0
roof = { front_height_m = 17.0, back_height_m = 15.0, overhang_m = 2.0, gap_m = 0.8 }
"#;

/// Types into the control that a label names.
fn fill(page: &Opened, within: &str, label: &str, text: &str) {
    page.run(&format!(
        "const label = [...document.querySelectorAll('{within} label')].find((one) => one.textContent.startsWith({label:?}));
         label.control.scrollIntoView({{ block: 'center', behavior: 'instant' }});
         label.control.focus(); label.control.select?.();
         label.control.dataset.wanted = '';"
    ));
    page.type_keys(text);
    page.run("document.querySelector('[data-wanted]').removeAttribute('data-wanted')");
}

fn choose_by_keys(page: &Opened, selector: &str, word: &str) {
    page.run(&format!("document.querySelector({selector:?}).focus()"));
    page.type_keys(word);
    page.until(&format!(
        "document.querySelector({selector:?}).selectedOptions[0].textContent.startsWith({word:?})"
    ));
}

/// A number of a table by its field; it is in the file before the next is typed.
fn number(live: &Live, page: &Opened, address: &str, text: &str) {
    page.fill(&format!("[data-address='{address}'] input"), text);
    page.key("Enter");
    is_written(live, address, text);
    settled(page);
}

/// Waits until the file has a number at an address such as `stand[0].roof.gap_m`.
fn is_written(live: &Live, address: &str, text: &str) {
    let wanted: f64 = text.parse().unwrap();
    live.until_text(address, |text| {
        let file: toml::Value = toml::Value::Table(text.parse().unwrap());
        let keys = address.split(['.', '[', ']']).filter(|key| !key.is_empty());
        let found = keys.into_iter().try_fold(&file, |at, key| match key.parse::<usize>() {
            Ok(i) => at.get(i),
            Err(_) => at.get(key),
        });
        found.is_some_and(|v| v.as_float().or(v.as_integer().map(|i| i as f64)) == Some(wanted))
    });
}

#[test]
fn a_ground_made_by_clicks_and_keys_gives_the_brief_of_the_same_file_typed() {
    let live = Live::empty();
    let Some(page) = live.page(SIZE) else { return };
    for (label, text) in [
        ("Name of the ground", "North Field"),
        ("Length of the field of play", "100"),
        ("Width of the field of play", "64"),
        ("Coordinates", "52.31, -0.42"),
        ("Height above sea level", "40"),
        ("Time zone", "Europe/London"),
        ("Compass bearing", "12"),
        ("File", "ground.toml"),
    ] {
        fill(&page, "#new-form", label, text);
    }
    page.run(
        "for (const [type, value] of [['date', '2027-10-16'], ['time', '15:00']]) document.querySelector(`#new-form input[type=${type}]`).value = value;",
    );
    page.click("#new-form button[type=submit]");
    page.until("liveState().revision !== null && document.getElementById('start').hidden");
    settled(&page);

    page.click("#add-box summary");
    choose_by_keys(&page, "#add-kind", "Stand with a roof");
    fill(&page, "#add-form", "Name", "West Side");
    choose_by_keys(&page, "#add-side", "left");
    page.click("#add-form button[type=submit]");
    page.until("liveState().choice === 'stand[0]'");
    for (key, value) in [
        ("setback_m", "7.5"),
        ("length_m", "90"),
        ("roof.front_height_m", "17"),
        ("roof.back_height_m", "15"),
        ("roof.overhang_m", "2"),
        ("back_height_m", "13"),
    ] {
        number(&live, &page, &format!("stand[0].{key}"), value);
    }
    page.click("#tab-cameras");
    page.click("#add-camera");
    fill(&page, "#add-form", "Name", "1 wide");
    page.click("#add-form button[type=submit]");
    page.until("liveState().choice === 'camera[0]'");
    for (k, value) in [(0, "2"), (1, "-45"), (2, "9")] {
        page.run(&format!(
            "const field = document.querySelectorAll(\"[data-address='camera[0].at'] input\")[{k}];
             field.scrollIntoView({{ block: 'center' }}); field.focus(); field.select();"
        ));
        page.type_keys(value);
        page.key("Enter");
        is_written(&live, &format!("camera[0].at[{k}]"), value);
        settled(&page);
    }
    number(&live, &page, "camera[0].horizontal_fov_deg", "55");

    page.click("#tab-jobs");
    fill(&page, "#job-options", "Minutes from one instant", "15");
    page.click("#job-form button[type=submit]");
    page.until_within(
        "document.querySelector('#job-list .job')?.dataset.state === 'done'",
        Duration::from_secs(120),
    );
    let made: String =
        page.get("fetch('/api/jobs/1/files/brief.json').then((answer) => answer.text())");
    let made: Value = serde_json::from_str(&made).unwrap();

    let typed = tempfile::tempdir().unwrap();
    fs::write(typed.path().join("ground.toml"), TYPED).unwrap();
    let done = Command::new(pages::tool())
        .args(["brief", "ground.toml", "--step", "15", "--date", "2027-10-16", "--start", "15:00"])
        .args(["--sky", "clear", "--into", "out"])
        .current_dir(typed.path())
        .output()
        .unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let text = fs::read_to_string(typed.path().join("out/brief.json")).unwrap();
    let wanted: Value = serde_json::from_str(&text).unwrap();
    assert!(wanted["cues"].as_array().is_some_and(|cues| !cues.is_empty()), "{wanted}");
    assert_eq!(made, wanted, "the file of the page:\n{}", live.text());
}

/// The form for the recce, on A4, with every stand and every camera on it.
#[test]
fn the_form_for_the_recce_prints() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    settled(&page);
    page.run("window.print = () => {}");
    page.click("#print-recce");
    page.media("print");
    page.rest();
    let words = page.text("#recce");
    for name in ["Recce of Umbra Park", "Mill Stand", "1 main wide", "Never look at the sun"] {
        assert!(words.contains(name), "{name}: {words}");
    }
    let shown: Vec<String> = page.get(
        "[...document.body.children].filter((node) => node.checkVisibility()).map((node) => node.id || node.tagName)",
    );
    assert_eq!(shown, ["recce"], "nothing else is on paper");
    let pdf = page.pdf();
    let sizes = super::paper::page_sizes(&pdf);
    assert!(sizes.len() >= 2, "{sizes:?}");
    for size in sizes {
        assert!((size[0] - 595.28).abs() <= 1.0 && (size[1] - 841.89).abs() <= 1.0, "{size:?}");
    }
    page.size(((182.0_f64 / 25.4 * 96.0) as u32, 1000));
    let wide: f64 = page.get("document.documentElement.scrollWidth");
    assert!(wide <= 182.0 / 25.4 * 96.0, "{wide} px on paper");
}

/// The page as it is, printed: the plan and the panel, no part of it cut off.
#[test]
fn the_page_itself_prints() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    settled(&page);
    page.run("document.getElementById('tab-cameras').click()");
    page.media("print");
    page.rest();
    let ends: [f64; 2] = page.get(
        "[document.getElementById('panel-cameras').scrollHeight, document.getElementById('panel-cameras').clientHeight]",
    );
    assert!(ends[0] <= ends[1] + 1.0, "all of the panel is on paper: {ends:?}");
    let plan: f64 = page.get("document.getElementById('plan').getBoundingClientRect().height");
    assert!(plan > 100.0);
    assert!(!super::paper::page_sizes(&page.pdf()).is_empty());
}
