//! A tapped place and a chosen camera tell what the data hold.

use serde_json::Value;

use super::chromium::{Opened, open};
use super::data::{self, Board, list, number, of_day, text};
use super::pages::{self, BOARD};

/// A place in sun at one clock and in shade at the other, well inside the field, whose
/// light stays the same for a metre around.
fn turning_place(board: &Board, (sunny, shady): (&str, &str)) -> [f64; 2] {
    let (sunny, shady) = (board.at(sunny), board.at(shady));
    let grid = (-40..=40).step_by(4).flat_map(|x| (-28..=28).step_by(4).map(move |y| (x, y)));
    let steady = |place: [f64; 2], index, light| {
        [[0.0, 0.0], [1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]]
            .iter()
            .all(|off| board.light([place[0] + off[0], place[1] + off[1]], index) == light)
    };
    grid.map(|(x, y)| [f64::from(x), f64::from(y)])
        .find(|place| steady(*place, sunny, "sun") && steady(*place, shady, "shade"))
        .unwrap()
}

#[test]
fn a_tapped_place_tells_when_its_light_changes() {
    let Some(page) = open(BOARD, (1280, 800)) else { return };
    let board = data::read(&pages::path(BOARD));
    let wanted = turning_place(&board, ("15:00", "16:30"));
    let before = page.pixels("#plan");
    let [x, y]: [f64; 2] = page.get(&format!(
        "(() => {{ const box = document.getElementById('plan').getBoundingClientRect();
         const [x, y] = onScreen(view.frame, [{}, {}]); return [box.x + x, box.y + y]; }})()",
        wanted[0], wanted[1]
    ));
    page.click_at(x, y);
    page.rest();
    let place: [f64; 2] = page.get("boardState().place");
    let apart = (place[0] - wanted[0]).hypot(place[1] - wanted[1]);
    assert!(apart < 0.5, "{place:?} for {wanted:?}");
    assert!(page.pixels("#plan") != before, "the place is marked");

    let expected = board.runs(place);
    assert!(expected.len() > 1, "it turns: {expected:?}");
    let told = page.text("#place-words");
    let (_, words) = told.trim_end_matches('.').rsplit_once(": ").unwrap();
    let parts: Vec<&str> = words.split(", ").collect();
    assert_eq!(parts.len(), expected.len(), "{told}\n{expected:?}");
    let bar: Vec<String> = page
        .get("[...document.querySelectorAll('#place-bar .run-word')].map((n) => n.textContent)");
    for ((part, run), (light, first)) in parts.iter().zip(&bar).zip(&expected) {
        let span = part.strip_prefix(light).unwrap_or_else(|| panic!("{part} is {light}"));
        let (from, _) = span.trim().split_once(" to ").unwrap();
        let off = of_day(from) - of_day(board.clock(*first));
        assert!(off.abs() <= board.step_s(), "{part}: {}", board.clock(*first));
        assert_eq!(run, light);
    }
    page.assert_quiet();
}

#[test]
fn a_place_is_also_chosen_without_pointing() {
    let Some(page) = open(BOARD, (1280, 800)) else { return };
    let board = data::read(&pages::path(BOARD));
    page.run("document.getElementById('place-mark').focus()");
    page.key("ArrowDown");
    page.rest();
    let mark = &board.get("field")["marks"][0];
    let told = page.text("#place-words");
    assert!(told.starts_with(text(&mark["name"])), "{told}");
    let at = [number(&mark["at"][0]), number(&mark["at"][1])];
    let words: Vec<String> =
        board.runs(at).iter().map(|(light, k)| format!("{light} {} to", board.clock(*k))).collect();
    for run in &words {
        assert!(told.contains(run), "{run}\n{told}");
    }
    page.assert_quiet();
}

/// The figure beside a label of the camera's panel.
fn figure(page: &Opened, label: &str) -> String {
    page.get(&format!(
        "[...document.querySelectorAll('#figures dt')].find((n) => n.textContent === {label:?})
         .nextElementSibling.textContent"
    ))
}

/// A figure as shown is the value to its one decimal; a dash is no value.
fn assert_shown(shown: &str, value: &Value) {
    let Some(value) = value.as_f64() else {
        assert_eq!(shown, "\u{2013}");
        return;
    };
    let digits = shown.trim_start_matches('T').trim_end_matches(" stops");
    assert_eq!(digits.split_once('.').unwrap().1.len(), 1, "{shown}");
    let off: f64 = digits.parse::<f64>().unwrap() - value;
    assert!(off.abs() < 0.05 + 1e-9, "{shown} for {value}");
}

fn assert_panel(page: &Opened, board: &Board, number: usize) {
    let camera = &board.get("cameras")[number];
    let index: usize = page.get("boardState().index");
    let title = page.text("#camera-title");
    assert!(title.contains(text(&camera["name"])), "{title}");
    assert!(title.ends_with(&format!("at {}", board.clock(index))), "{title}");
    let operator = format!("operator {},", text(&camera["operator"]));
    assert!(title.contains(&operator), "{title}");
    let rows = [
        ("Set in sun", "t_sun"),
        ("Set in shade", "t_shade"),
        ("One iris for both", "t_set"),
        ("Split on turf", "split_turf"),
        ("Split on subject", "split_subject"),
    ];
    for (label, key) in rows {
        assert_shown(&figure(page, label), &camera[key][index]);
    }
    let filter = match number_of(&camera["nd"][index]) {
        0 => "no ND".to_owned(),
        stops => format!("ND 1/{}", 1 << stops),
    };
    assert_eq!(figure(page, "Filter"), filter);
    let verdict = match text(&camera["verdict"][index]) {
        "hold" => "One iris for both",
        "ride" => "Ride the iris",
        "choose" => "Expose for sun or for shade",
        _ => "Nothing to do: no edge in the picture",
    };
    assert_eq!(page.text("#verdict"), verdict);
}

fn number_of(value: &Value) -> u32 {
    let stops = number(value);
    assert!(stops.fract() == 0.0, "the demo's filters are whole stops");
    stops as u32
}

#[test]
fn a_chosen_camera_shows_its_own_figures() {
    // tall enough for the eye to be in sight
    let Some(page) = open(BOARD, (1280, 1700)) else { return };
    let board = data::read(&pages::path(BOARD));
    let mut pictures = Vec::new();
    for number in 0..list(board.get("cameras")).len() {
        page.click(&format!("[data-camera='{number}']"));
        page.rest();
        assert_eq!(page.get::<usize>("boardState().camera"), number);
        for _ in 0..3 {
            assert_panel(&page, &board, number);
            page.shift_key("ArrowRight");
            page.rest();
        }
        pictures.push(page.pixels("#eye"));
    }
    let shown = pictures.len();
    pictures.sort_by(f64::total_cmp);
    pictures.dedup();
    assert_eq!(pictures.len(), shown, "each camera sees something else");
    page.assert_quiet();
}

#[test]
fn the_eye_follows_the_time_and_the_aim() {
    let Some(page) = open(BOARD, (1280, 1700)) else { return };
    page.click("[data-camera='0']");
    page.rest();
    let colours: usize = page.get(
        "(() => { const eye = document.getElementById('eye');
         const dots = new Uint32Array(eye.getContext('2d').getImageData(0, 0, eye.width, eye.height).data.buffer);
         return new Set(dots).size; })()",
    );
    assert!(colours > 8, "a picture, not a plain: {colours} colours");
    let before = page.pixels("#eye");
    for _ in 0..9 {
        page.shift_key("ArrowRight");
    }
    page.rest();
    let later = page.pixels("#eye");
    assert!(before != later, "the light has moved");
    page.click("#aim-buttons button:nth-child(2)");
    page.rest();
    assert!(page.pixels("#eye") != later, "the camera has panned");
    page.assert_quiet();
}

/// A hole without a stand has no seats to tell levels of; a show court has.
#[test]
fn levels_are_of_what_is_there() {
    for (venue, seats) in [(pages::GOLF, false), (pages::TENNIS, true)] {
        let Some(page) = open(&format!("{venue}/board.html"), (1280, 800)) else { return };
        let told = page.text("#eye-note");
        assert_eq!(told.contains("seats in sun"), seats, "{told}");
        assert!(!told.contains("Stand faces") && told.contains("sky"), "{told}");
        page.assert_quiet();
    }
}

/// The plan's number and a name that begins with another one do not run together.
#[test]
fn a_title_parts_number_and_name() {
    let Some(page) = open(BOARD, (1280, 800)) else { return };
    for (place, name, title) in [
        (0, "1 main", "1 main"),
        (0, "3 tee", "1: 3 tee"),
        (1, "Beam", "2 Beam"),
        (0, "12", "1: 12"),
    ] {
        assert_eq!(page.get::<String>(&format!("cameraTitle({place}, '{name}')")), title);
    }
}
