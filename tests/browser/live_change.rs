//! What people do on the live page, and what becomes of the file.

use std::fs;

use super::live_server::{Live, choose, number, settled};

const SIZE: (u32, u32) = (1280, 900);
const BACK_HEIGHT: &str = "[data-address='stand[0].back_height_m'] input";
const SETBACK: &str = "[data-address='stand[0].setback_m'] input";
const DEPTH: &str = "[data-address='stand[0].depth_m'] input";

#[test]
fn a_dragged_stand_moves_its_shadow_and_its_numbers() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    let before = live.text();
    choose(&page, "stand[0]");
    settled(&page);
    let plan = page.pixels("#plan");
    let share: f64 = page.get("liveState().shaded_share");
    // about a metre toward the field, where no camera comes to stand inside of the stand
    let at = page.hold("#handles [data-handle='body']", (0.0, 3.0));
    page.until("liveState().preview");
    page.rest();
    assert!(page.pixels("#plan") != plan, "the plan follows the pointer");
    assert_eq!(live.text(), before, "nothing is kept before the hand lets go");
    page.let_go(at);
    page.until("liveState().revision > 1 && !liveState().preview");
    settled(&page);
    let after = live.until_text("a smaller setback", |text| text != before);
    let (was, is) =
        (number(&before, "Mill Stand", "setback_m"), number(&after, "Mill Stand", "setback_m"));
    assert!(is < was, "{was} m to {is} m");
    let changed = before.lines().zip(after.lines()).filter(|(a, b)| a != b).count();
    assert!(
        changed <= 1 && after.lines().count() <= before.lines().count() + 1,
        "a readable difference"
    );
    let nearer: f64 = page.get("liveState().shaded_share");
    assert!(nearer > share, "a nearer stand shades more: {share} to {nearer}");
    let field: String =
        page.get("document.querySelector(\"[data-address='stand[0].setback_m'] input\").value");
    assert_eq!(field.parse::<f64>().unwrap(), is);
    page.run("document.activeElement.blur()");
    page.control_key("z");
    live.until_text("its first bytes", |text| text == before);
    page.assert_quiet();
}

#[test]
fn a_handle_moves_by_keys_alone() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    choose(&page, "stand[0]");
    page.run("document.querySelector(\"#handles [data-handle='back']\").focus()");
    page.key("ArrowUp");
    page.key("ArrowUp");
    page.key("Enter");
    // one change or two: a slow machine lets time pass between the keys
    live.until_text("a greater depth", |text| number(text, "Mill Stand", "depth_m") == 24.2);
    let focus: String = page.get("document.activeElement.dataset.handle ?? ''");
    assert_eq!(focus, "back", "the focus stays where the hands are");
    page.assert_quiet();
}

#[test]
fn a_field_takes_feet_and_inches_and_refuses_what_cannot_be() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    let before = live.text();
    choose(&page, "stand[0]");
    page.fill(BACK_HEIGHT, "900");
    page.key("Tab");
    let problem = "document.querySelector(\"[data-address='stand[0].back_height_m'] .problem\")";
    page.until(&format!("!{problem}.hidden"));
    let words: String = page.get(&format!("{problem}.textContent"));
    assert!(words.contains("0 m to 150 m"), "{words}");
    assert_eq!(live.text(), before);
    page.fill(BACK_HEIGHT, "49 ft 2 1/2 in");
    page.key("Enter");
    // 49 x 0.3048 + 2.5 x 0.0254 = 14.9987
    let text = live.until_text("the height in metres", |text| text != before);
    assert_eq!(number(&text, "Mill Stand", "back_height_m"), 14.9987);
}

/// The answer to one change makes all fields anew while somebody types in the next.
#[test]
fn what_is_typed_stays_when_an_answer_comes() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    choose(&page, "stand[0]");
    settled(&page);
    page.fill(SETBACK, "6.5");
    page.fill(DEPTH, "2");
    page.until("liveState().revision > 1");
    live.until_text("the first change", |text| number(text, "Mill Stand", "setback_m") == 6.5);
    page.key("1");
    page.key("Tab");
    let text =
        live.until_text("the second change", |text| number(text, "Mill Stand", "depth_m") != 24.0);
    assert_eq!(number(&text, "Mill Stand", "depth_m"), 21.0, "all that was typed");
}

/// Typed on by Tab without a pause, as from a sheet of paper: answers come in between.
#[test]
fn numbers_typed_on_by_tab_are_all_taken() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    choose(&page, "stand[0]");
    settled(&page);
    let numbers = [
        ("setback_m", 8.4),
        ("shift_m", 1.0),
        ("length_m", 92.0),
        ("depth_m", 22.5),
        ("front_height_m", 1.4),
        ("back_height_m", 13.5),
    ];
    page.fill(SETBACK, "8.4");
    for (_, value) in &numbers[1..] {
        page.key("Tab");
        page.type_keys(&value.to_string());
    }
    page.key("Enter");
    let text = live
        .until_text("the last number", |text| number(text, "Mill Stand", "back_height_m") == 13.5);
    for (key, value) in numbers {
        assert_eq!(number(&text, "Mill Stand", key), value, "{key}");
    }
}

/// A number that cannot be stays in its field with its message, whatever else is changed.
#[test]
fn a_refused_number_stays_to_be_mended() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    choose(&page, "stand[0]");
    settled(&page);
    page.fill(BACK_HEIGHT, "900");
    page.key("Tab");
    page.fill(DEPTH, "23");
    page.key("Enter");
    live.until_text("the other number", |text| number(text, "Mill Stand", "depth_m") == 23.0);
    settled(&page);
    let typed: String = page.get(&format!("document.querySelector({BACK_HEIGHT:?}).value"));
    assert_eq!(typed, "900");
    let words = page.text("[data-address='stand[0].back_height_m'] .problem");
    assert!(words.contains("0 m to 150 m"), "{words}");
}

#[test]
fn a_broken_file_is_a_choice_between_two_texts() {
    let live = Live::on("football-demo");
    let Some(page) = live.page(SIZE) else { return };
    let before = live.text();
    let broken = before.replace("setback_m = 6.0", "setback_m = six");
    assert!(broken != before);
    fs::write(live.path("ground.toml"), &broken).unwrap();
    page.until("document.getElementById('conflict-dialog').open");
    let shown: [String; 2] = page.get(
        "[document.getElementById('conflict-disk').value, document.getElementById('conflict-page').value]",
    );
    assert!(shown[0].contains("setback_m = six") && shown[1].contains("setback_m = 6.0"));
    page.click("#conflict-keep-page");
    live.until_text("the text of the page", |text| text == before);
    page.until("!document.getElementById('conflict-dialog').open");
    let kept = fs::read_to_string(live.path("ground-other-1.toml")).unwrap();
    assert_eq!(kept, broken, "nothing is lost");
}

#[test]
fn two_pages_and_an_editor_follow_each_other() {
    let live = Live::on("football-demo");
    let Some(one) = live.page(SIZE) else { return };
    let Some(other) = live.page((360, 740)) else { return };
    choose(&one, "stand[0]");
    choose(&other, "stand[0]");
    one.fill(BACK_HEIGHT, "13.5");
    one.key("Enter");
    other.until(&format!("document.querySelector({BACK_HEIGHT:?}).value === '13.5'"));
    let text = live
        .until_text("the new height", |text| number(text, "Mill Stand", "back_height_m") == 13.5);
    fs::write(
        live.path("ground.toml"),
        text.replace("back_height_m = 13.5", "back_height_m = 12.5"),
    )
    .unwrap();
    for page in [&one, &other] {
        page.until(&format!("document.querySelector({BACK_HEIGHT:?}).value === '12.5'"));
    }
    other.assert_quiet();
}

#[test]
fn a_ground_is_made_from_nothing_by_fields_and_buttons() {
    let live = Live::empty();
    let Some(page) = live.page(SIZE) else { return };
    for (label, text) in [
        ("Name of the ground", "North Field"),
        ("Coordinates of the centre of play", "52\u{b0}18'36\"N 0\u{b0}25'12\"W"),
        ("Time zone", "Europe/London"),
        ("Compass bearing", "12"),
        ("Magnetic declination", "0.6"),
        ("File", "ground.toml"),
    ] {
        page.run(&format!(
            "const label = [...document.querySelectorAll('#new-form label')].find((one) => one.textContent.startsWith({label:?}));
             label.control.id = 'wanted';"
        ));
        page.fill("#wanted", text);
        page.run("document.getElementById('wanted').removeAttribute('id')");
    }
    page.click("#new-form button[type=submit]");
    page.until("liveState().revision !== null && document.getElementById('start').hidden");
    let text = live.text();
    let file: toml::Table = text.parse().unwrap();
    assert!((file["place"]["latitude_deg"].as_float().unwrap() - 52.31).abs() < 1e-6);
    assert!((file["place"]["longitude_deg"].as_float().unwrap() + 0.42).abs() < 1e-6);
    // what was read, not what was made of it
    assert_eq!(file["field"]["bearing_deg"].as_float(), Some(12.0));
    assert_eq!(file["field"]["north"].as_str(), Some("magnetic"));
    assert_eq!(file["field"]["declination_deg"].as_float(), Some(0.6));
    page.click("#add-box summary");
    page.run(
        "const kind = document.getElementById('add-kind');
         kind.value = 'covered'; kind.dispatchEvent(new Event('change'));",
    );
    page.click("#add-form button[type=submit]");
    let text = live.until_text("a stand", |text| text.contains("[[stand]]"));
    assert!(text.contains("[stand.roof]"), "{text}");
    settled(&page);
}
