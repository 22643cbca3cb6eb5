//! The slider, the keys and what they move.

use super::chromium::{Opened, open};
use super::data;
use super::pages::{self, BOARD};

fn index(page: &Opened) -> usize {
    page.get("boardState().index")
}

#[test]
fn time_moves_the_clock_and_the_plan() {
    let Some(page) = open(BOARD, (1280, 800)) else { return };
    let board = data::read(&pages::path(BOARD));
    let (early, late) = (board.at("15:00"), board.at("16:30"));
    assert_eq!((index(&page), page.text("#clock")), (early, "15:00".to_owned()));
    let before = page.pixels("#plan");

    page.run("document.getElementById('time-slider').focus()");
    page.key("ArrowRight");
    page.rest();
    assert_eq!(index(&page), board.at("15:01"), "an arrow is a minute");
    assert_eq!(page.text("#clock"), "15:01");
    page.key("ArrowLeft");
    for _ in 0..9 {
        page.shift_key("ArrowRight");
    }
    page.rest();
    assert_eq!((index(&page), page.text("#clock")), (late, "16:30".to_owned()));
    assert_eq!(page.get::<usize>("Number(document.getElementById('time-slider').value)"), late);
    let after = page.pixels("#plan");
    assert!(before != after, "the plan is drawn again");

    // the mouse on the track, where the thumb would then stand
    let wanted = board.at("15:20");
    let [left, top, width, height]: [f64; 4] = page.get(
        "(() => { const box = document.getElementById('time-slider').getBoundingClientRect();
         return [box.x, box.y, box.width, box.height]; })()",
    );
    let share = wanted as f64 / (board.len() - 1) as f64;
    page.click_at(left + 16.0 + share * (width - 32.0), top + height / 2.0);
    page.rest();
    assert_eq!(index(&page), wanted);
    assert_eq!(page.text("#clock"), board.clock(wanted));

    // and back again to the very same picture
    page.run("document.getElementById('time-slider').focus()");
    for _ in 0..2 {
        page.shift_key("ArrowLeft");
    }
    page.rest();
    assert_eq!(index(&page), early);
    assert!(page.pixels("#plan") == before, "the same instant is the same plan");
    page.assert_quiet();
}
