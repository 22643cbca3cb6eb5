//! Names that look like markup are shown as text and run nothing.

use super::chromium::open;
use super::cues::show_all;
use super::pages::{CAMERA, HOSTILE, TITLE, ZONE};

/// Elements that only the names could have brought in.
const STRAYS: &str = "document.querySelectorAll('img, [onload], [onerror]').length";

#[test]
fn a_board_shows_hostile_names_as_text() {
    let Some(page) = open(&format!("{HOSTILE}/board.html"), (1280, 800)) else { return };
    assert_eq!(page.text("#title"), TITLE);
    assert_eq!(page.get::<String>("document.title"), TITLE);
    let button: String = page.get("document.querySelector('[data-camera=\"0\"]').textContent");
    assert_eq!(button, CAMERA);
    page.click("[data-camera='0']");
    page.rest();
    assert!(page.text("#camera-title").contains(CAMERA));
    let places: Vec<String> =
        page.get("[...document.getElementById('place-mark').options].map((o) => o.textContent)");
    assert!(places.contains(&format!("middle of {ZONE}")), "{places:?}");
    show_all(&page);
    let cues: String = page.get("document.getElementById('cue-list').textContent");
    assert!(cues.contains(ZONE) && cues.contains(CAMERA));
    // through all that writes names: the next cue, a place, the key of what is stored
    page.click("#correct-later");
    for _ in 0..10 {
        page.key("n");
    }
    page.rest();
    assert_eq!(page.get::<usize>(STRAYS), 0);
    assert_eq!(page.get::<Option<u8>>("window.hacked"), None);
    let scripts: usize = page.get("document.scripts.length");
    assert_eq!(scripts, 2, "the data and the page's own");
    page.assert_quiet();
    assert_eq!(page.requests(), [page.url()]);
}

#[test]
fn paper_shows_hostile_names_as_text() {
    for file in ["brief", "sheet-b"] {
        let Some(page) = open(&format!("{HOSTILE}/{file}.html"), (1280, 800)) else { return };
        assert!(page.text("h1").starts_with(TITLE));
        assert!(page.get::<String>("document.title").starts_with(TITLE));
        let words: String = page.get("document.body.textContent");
        assert!(words.contains(CAMERA) && words.contains(ZONE));
        assert_eq!(page.get::<usize>(STRAYS), 0);
        assert_eq!(page.get::<usize>("document.scripts.length"), 0);
        assert_eq!(page.get::<Option<u8>>("window.hacked"), None);
        page.assert_quiet();
        assert_eq!(page.requests(), [page.url()]);
    }
}
