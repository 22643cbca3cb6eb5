//! A board opens without a complaint and asks for nothing but itself.

use super::chromium::open;

#[test]
fn a_board_loads_in_silence_and_alone() {
    for venue in ["football-demo", "tennis-demo"] {
        let Some(page) = open(&format!("{venue}/board.html"), (1280, 800)) else { return };
        let resources: Vec<String> =
            page.get("performance.getEntriesByType('resource').map((one) => one.name)");
        assert!(resources.is_empty(), "{resources:?}");
        // play once through the controls, which may ask for what the start did not
        for selector in ["#theme", "#play", "#follow", "#correct-later", "#correct-undo"] {
            page.click(selector);
        }
        page.assert_quiet();
        assert_eq!(page.requests(), [page.url()], "one request: the page");
    }
}
