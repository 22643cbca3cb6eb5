//! Files dropped on the live page, zones dragged on its plan, a text mended in it.

use std::fs;
use std::time::Duration;

use super::chromium::Opened;
use super::live_server::{Live, choose, settled};

const SIZE: (u32, u32) = (1280, 900);
/// For light on a machine that does other work beside.
const DRAWN: Duration = Duration::from_secs(90);
const SKYLINE: &str = "azimuth_deg,elevation_deg\n0,2\n90,4.5\n180,1\n270,3\n";
const MODEL: &str = "o Box\nv 0 0 0\nv 10 0 0\nv 10 20 0\nv 0 20 0\nv 0 0 8\nv 10 0 8\nv 10 20 8\n\
    v 0 20 8\nf 4 3 2 1\nf 5 6 7 8\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n";

/// Lets a file go over the page, as a hand does that drags it from a folder.
pub fn drop_on(page: &Opened, name: &str, text: &str) {
    page.run(&format!(
        "const held = new DataTransfer();
         held.items.add(new File([{text:?}], {name:?}));
         for (const kind of ['dragover', 'drop']) {{
             document.body.dispatchEvent(new DragEvent(kind, {{ dataTransfer: held, bubbles: true, cancelable: true }}));
         }}"
    ));
}

#[test]
fn a_skyline_dropped_on_the_page_is_one_change() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    let before = live.text();
    drop_on(&page, "skyline of the hill.csv", SKYLINE);
    page.until("document.getElementById('bring-dialog').open");
    page.click("#bring-start");
    page.until("liveState().revision > 1");
    let text = live.until_text("the skyline", |text| text.contains("[90.0, 4.5]"));
    assert!(text != before);
    page.until("!document.getElementById('bring-log').hidden && document.getElementById('bring-stop').hidden");
    let log = page.text("#bring-log");
    assert!(log.contains("4 points") || log.contains("skyline of the hill.csv"), "{log}");
    page.until("liveState().choice === 'horizon'");
    page.run("document.querySelector('#bring-dialog > .row button').click()");
    page.control_key("z");
    live.until_text("its first bytes", |text| text == before);
    page.assert_quiet();
}

#[test]
fn a_model_dropped_on_the_page_stands_on_the_plan() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    drop_on(&page, "shed.obj", MODEL);
    page.until("document.getElementById('bring-dialog').open");
    page.fill("[data-option='--at']", "0,-60,0");
    page.click("#bring-start");
    page.until("liveState().choice === 'mesh[0]'");
    let text = live.until_text("the model", |text| text.contains("[[mesh]]"));
    assert!(text.contains("file = \"shed.obj\""), "{text}");
    assert_eq!(fs::read_to_string(live.path("shed.obj")).unwrap(), MODEL);
    let handles: usize = page.get("document.querySelectorAll('#handles .handle').length");
    assert!(handles > 0, "it can be dragged into its place");
    page.assert_quiet();
}

#[test]
fn what_cannot_be_brought_in_is_told() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    let before = live.text();
    drop_on(&page, "notes.pdf", "x");
    page.until("document.getElementById('bring-dialog').open");
    let words = page.text("#bring-problem");
    assert!(words.contains("GeoJSON") && words.contains("OBJ"), "{words}");
    page.run("document.querySelector('#bring-dialog > .row button').click()");
    drop_on(&page, "broken.csv", "azimuth_deg,elevation_deg\n0,two\n");
    // what is dropped is read before it is asked about
    page.until("document.getElementById('bring-dialog').open");
    page.click("#bring-start");
    page.until("document.getElementById('bring-log').textContent.includes('error: ')");
    // the log comes line by line, the verdict when the job has ended
    page.until("document.getElementById('bring-problem').textContent !== ''");
    assert_eq!(page.text("#bring-problem"), "Nothing was changed.");
    assert_eq!(live.text(), before);
}

#[test]
fn corners_of_a_zone_are_dragged_on_the_plan() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    let before = live.text();
    page.run(
        "const kind = document.getElementById('add-kind');
         document.getElementById('add-box').open = true;
         kind.value = 'zone'; kind.dispatchEvent(new Event('change'));",
    );
    page.click("#add-form button[type=submit]");
    let text = live.until_text("a zone", |text| text.matches("[[zone]]").count() == 2);
    let zone = |text: &str| -> Vec<Vec<f64>> {
        let file: toml::Table = text.parse().unwrap();
        let corners = file["zone"][1]["corners"].as_array().unwrap().clone();
        let numbers = |point: toml::Value| {
            point.as_array().unwrap().iter().map(|n| n.as_float().unwrap()).collect()
        };
        corners.into_iter().map(numbers).collect()
    };
    let was = zone(&text);
    choose(&page, "zone[1]");
    settled(&page);
    let point = "#handles [data-handle='point0']";
    page.run(&format!("document.querySelector({point:?}).scrollIntoView({{ block: 'center' }})"));
    let at = page.hold(point, (-40.0, 30.0));
    page.let_go(at);
    let text = live.until_text("another corner", |text| zone(text) != was);
    let is = zone(&text);
    assert_eq!(is[1..], was[1..], "the others stay");
    assert!(is[0][0] < was[0][0] && is[0][1] < was[0][1], "left and down: {was:?} to {is:?}");
    // all of it, by keys, once the page has the answer
    page.until("liveState().revision === 3");
    page.rest();
    page.run("document.querySelector(\"#handles [data-handle='body']\").focus()");
    page.key("ArrowRight");
    page.key("Enter");
    let text = live.until_text("a zone further ahead", |text| zone(text) != is);
    for (old, new) in is.iter().zip(zone(&text)) {
        assert!((new[0] - old[0] - 0.1).abs() < 1e-9 && new[1] == old[1], "{old:?} to {new:?}");
    }
    for _ in 0..3 {
        page.run("document.activeElement.blur()");
        page.control_key("z");
        page.rest();
    }
    live.until_text("its first bytes", |text| text == before);
    page.assert_quiet();
}

#[test]
fn a_text_with_mistakes_is_mended_on_the_page() {
    let (live, sound) = Live::broken("football-demo", "side = \"left\"", "side = \"west\"");
    let Some(page) = live.page(SIZE) else { return };
    page.until("!document.getElementById('mend').hidden");
    let problems = page.text("#mend-problems");
    assert!(problems.contains("Line ") && problems.contains("stand[0].side"), "{problems}");
    page.run(
        "const area = document.getElementById('mend-text');
         area.value = area.value.replace('side = \"west\"', 'side = \"left\"');",
    );
    page.click("#mend-take");
    page.until("liveState().revision !== null && !document.getElementById('work').hidden");
    assert_eq!(live.text(), sound);
    page.run("console.clear()");
}

#[test]
fn pictures_follow_the_time_and_say_when_they_are_old() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    page.run("document.getElementById('tab-pictures').click()");
    let drawn = |words: &str| {
        let is_drawn = format!(
            "document.getElementById('picture-words').textContent.includes({words:?}) && document.getElementById('picture-stale').hidden && document.getElementById('picture').complete && document.getElementById('picture').naturalWidth > 0"
        );
        page.until_within(&is_drawn, DRAWN);
    };
    drawn("Map of the light on the turf at 15:00");
    page.run("document.getElementById('time').value = '16:20'; document.getElementById('time').dispatchEvent(new Event('change'))");
    let stale: bool = page.get("!document.getElementById('picture-stale').hidden");
    assert!(stale, "old until the new one is there");
    drawn("Map of the light on the turf at 16:20");
    for (kind, words) in [
        ("through", "What 1 main wide sees at 16:20"),
        ("look_up", "What stands around"),
        ("matching", "Cuts that need a trim"),
    ] {
        page.run(&format!("const kind = document.getElementById('picture-kind'); kind.value = {kind:?}; kind.dispatchEvent(new Event('change'))"));
        drawn(words);
    }
    page.click("#picture-enlarge");
    page.until("document.getElementById('picture-dialog').open");
    page.assert_quiet();
}

#[test]
fn a_picture_through_a_camera_follows_its_controls() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    page.run("document.getElementById('tab-pictures').click()");
    let set = |id: &str, value: &str, event: &str| {
        page.run(&format!("const one = document.getElementById({id:?}); one.value = {value:?}; one.dispatchEvent(new Event({event:?}))"));
    };
    let drawn = |words: &str| {
        let is_drawn = format!(
            "document.getElementById('picture-words').textContent.includes({words:?}) && document.getElementById('picture-stale').hidden"
        );
        page.until_within(&is_drawn, DRAWN);
    };
    assert!(page.get::<bool>("document.getElementById('through').hidden"));
    set("picture-kind", "through", "change");
    drawn("one setting between sun and shade");
    set("through-expose", "shade", "change");
    drawn("set for the shade");
    set("through-signal", "lost_in_sdr", "change");
    drawn("what SDR loses");
    set("through-zoom", "60", "input");
    drawn("field of view 8.0° across");
    let words: String = page.get("document.getElementById('through-zoom-words').textContent");
    assert_eq!(words, "8.0° across");
    page.click("#through-as-in-file");
    page.until(
        "document.getElementById('through-zoom-words').textContent.includes('as in the file')",
    );
    page.assert_quiet();
}

/// The text follows what is changed elsewhere, and a page without a text of one's own may be
/// left without a question.
#[test]
fn the_text_follows_a_change_made_in_a_field() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    choose(&page, "field");
    page.fill("[data-address='field.length_m'] input", "104");
    page.key("Enter");
    page.until("document.getElementById('text').value.includes('length_m = 104')");
    let state: [bool; 2] = page.get(
        "[document.getElementById('take-text').disabled, window.dispatchEvent(new Event('beforeunload', { cancelable: true }))]",
    );
    assert_eq!(state, [true; 2], "nothing is changed in the text, and leaving is not held up");
}
