//! Cues: who they are for, the crew's correction, the clock that is followed.

use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;

use super::chromium::{Opened, open, open_at};
use super::data::{self, Board, list, number, of_day, text};
use super::pages::{self, BOARD};

/// Cues as the list shows them: seconds of the day and what happens.
fn shown(page: &Opened) -> Vec<(i64, String)> {
    let rows: Vec<(String, String)> = page.get(
        "[...document.querySelectorAll('#cue-list li')].map((row) =>
         [row.querySelector('.cue-time').textContent, row.querySelector('.cue-what').textContent])",
    );
    rows.into_iter().map(|(clock, what)| (of_day(&clock), what)).collect()
}

/// The same from the data, with a shift for the cues that move with the edge: those that
/// are still to come at kickoff, where the page opens.
fn expected(board: &Board, keep: impl Fn(&Value) -> bool, shift: i64) -> Vec<(i64, String)> {
    let moves = |kind: &str| ["edge", "zone", "cover", "verdict", "split"].contains(&kind);
    let cues = list(board.get("cues")).iter().filter(|cue| keep(cue));
    let kickoff = of_day(text(&board.get("milestones")[0]["clock"]));
    let mut rows: Vec<(i64, String)> = cues
        .map(|cue| {
            let at = of_day(text(&cue["clock"]));
            let by = if moves(text(&cue["kind"])) && at >= kickoff { shift } else { 0 };
            (at + by, text(&cue["what"]).to_owned())
        })
        .collect();
    rows.sort_by_key(|(time, _)| *time);
    rows
}

/// Has the list show all cues, not the key actions alone.
pub fn show_all(page: &Opened) {
    page.run(
        "{ const choice = document.getElementById('cue-choice'); choice.value = 'all';
           choice.dispatchEvent(new Event('change')); }",
    );
    page.rest();
}

fn assert_same(mut shown: Vec<(i64, String)>, mut expected: Vec<(i64, String)>) {
    assert!(shown.is_sorted_by_key(|(time, _)| *time), "in the order of time");
    shown.sort();
    expected.sort();
    assert_eq!(shown, expected);
}

/// What needs no hand does not stand in the way until it is asked for.
#[test]
fn key_actions_come_first() {
    let Some(page) = open(BOARD, (1280, 800)) else { return };
    let board = data::read(&pages::path(BOARD));
    let key = |cue: &Value| cue["key_action"] == true;
    let all = list(board.get("cues"));
    assert!(all.iter().any(key) && !all.iter().all(key), "the demo has both");
    assert_same(shown(&page), expected(&board, key, 0));
    // what warns ahead as usual says so once
    assert!(page.text("#lead-note").starts_with("Warn "), "{}", page.text("#lead-note"));
    let rows = page.text("#cue-list");
    let unusual = all.iter().any(|cue| key(cue) && cue["lead_s"] != *board.get("usual_lead_s"));
    assert_eq!(rows.contains(" ahead"), unusual, "{rows}");
    show_all(&page);
    assert_same(shown(&page), expected(&board, |_| true, 0));
    assert!(page.text("#cue-list").contains("outside play"));
    page.assert_quiet();
}

#[test]
fn an_operator_sees_only_own_cues() {
    let Some(page) = open(BOARD, (1280, 800)) else { return };
    let board = data::read(&pages::path(BOARD));
    show_all(&page);
    assert_same(shown(&page), expected(&board, |_| true, 0));
    page.run("document.getElementById('operator').focus()");
    for operator in list(board.get("operators")) {
        page.key("ArrowDown");
        page.rest();
        let chosen = text(&operator["name"]);
        let label: String =
            page.get("document.getElementById('operator').selectedOptions[0].textContent");
        assert!(label.starts_with(&format!("{chosen}:")), "{label}");
        // what no camera sees is for all
        let own = |cue: &Value| {
            let names = list(&cue["operators"]);
            names.is_empty() || names.iter().any(|name| name == chosen)
        };
        let rows = shown(&page);
        assert!(rows.len() < list(board.get("cues")).len(), "{chosen} has not all of them");
        assert_same(rows, expected(&board, own, 0));
    }
    page.assert_quiet();
}

#[test]
fn a_correction_moves_the_edge_and_is_kept() {
    let Some(page) = open(BOARD, (1280, 800)) else { return };
    let board = data::read(&pages::path(BOARD));
    show_all(&page);
    assert_eq!(page.text("#correction"), "No correction.");
    // at kickoff
    page.click("#correct-later");
    page.click("#correct-later");
    page.rest();
    let moved = expected(&board, |_| true, 120);
    assert!(moved != expected(&board, |_| true, 0));
    let breaks = |kind: &str| list(board.get("cues")).iter().any(|c| c["kind"] == kind);
    assert!(breaks("break") && breaks("edge"), "the demo has both");
    assert_same(shown(&page), moved.clone());
    let told = page.text("#correction");
    assert!(told.contains("+2 min"), "{told}");
    assert!(told.contains("this device only"), "{told}");
    assert_eq!(page.get::<i64>("boardState().correction_s"), 120);

    page.reload();
    show_all(&page);
    assert_same(shown(&page), moved);
    assert_eq!(page.text("#correction"), told);

    page.click("#correct-undo");
    page.rest();
    assert_same(shown(&page), expected(&board, |_| true, 0));
    assert_eq!(page.text("#correction"), "No correction.");
    assert!(page.get::<bool>("document.getElementById('correct-undo').hidden"));
    page.assert_quiet();
}

#[test]
fn a_late_correction_leaves_the_past() {
    let Some(page) = open(BOARD, (1280, 800)) else { return };
    let board = data::read(&pages::path(BOARD));
    show_all(&page);
    for _ in 0..6 {
        page.shift_key("ArrowRight");
    }
    page.click("#correct-earlier");
    page.rest();
    let now = of_day("16:00");
    let past = |cue: &Value| of_day(text(&cue["clock"])) <= now;
    let mut rows = expected(&board, past, 0);
    rows.extend(expected(&board, |cue| !past(cue), -60));
    assert_same(shown(&page), rows);
    let told = page.text("#correction");
    assert!(told.contains("\u{2212}1 min"), "{told}");
    page.assert_quiet();
}

/// Seconds of "in 1:39", with what may follow.
fn countdown(page: &Opened) -> i64 {
    let told = page.text("#next-count");
    let clock = told.strip_prefix("in ").unwrap_or_else(|| panic!("{told}"));
    let (minutes, seconds) = clock.split_whitespace().next().unwrap().split_once(':').unwrap();
    minutes.parse::<i64>().unwrap() * 60 + seconds.parse::<i64>().unwrap()
}

#[test]
fn the_clock_is_followed_to_the_next_cue() {
    const BEFORE_S: f64 = 100.0;
    let Some(first) = open(BOARD, (1280, 800)) else { return };
    let board = data::read(&pages::path(BOARD));
    let cues = list(board.get("cues"));
    let lonely = cues
        .windows(2)
        .find(|pair| number(&pair[1]["epoch_s"]) - number(&pair[0]["epoch_s"]) > BEFORE_S + 20.0);
    let cue = &lonely.unwrap()[1];
    let hash = format!("#now={}", number(&cue["epoch_s"]) - BEFORE_S);
    drop(first);
    let page = open_at(BOARD, &hash, (1280, 800)).unwrap();
    show_all(&page);
    page.click("#follow");
    page.rest();
    assert!(page.get::<bool>("boardState().following"));
    assert!(page.text("#follow-note").contains("TEST clock"));
    let words = page.text("#next-words");
    assert!(words.contains(text(&cue["what"])), "{words}");
    assert!(words.contains(text(&cue["clock"])), "{words}");
    let clock = of_day(&page.text("#clock"));
    let (begin, told) = (Instant::now(), countdown(&page));
    assert!((60..=100).contains(&told), "{told} s");
    assert!((clock + told - of_day(text(&cue["clock"]))).abs() <= 2, "clock and countdown agree");
    thread::sleep(Duration::from_millis(2200));
    let gone = told - countdown(&page);
    let true_gone = begin.elapsed().as_secs_f64();
    assert!((gone as f64 - true_gone).abs() < 1.5, "{gone} s of {true_gone:.1}");
    // a hand on the time ends it
    page.key("ArrowRight");
    page.rest();
    assert!(!page.get::<bool>("boardState().following"));
    page.assert_quiet();
}
