//! Every family of pictures of the demos, as the real binary writes them: words
//! inside the page and off each other, no mark outside, cautions at the foot, and a PNG
//! that is the SVG in pixels.

use std::fs;

use assert_cmd::Command;
use render_support::marks::assert_picture_file;
use tempfile::TempDir;

use crate::render_support;

const FOOTBALL: &str = "venues/football-demo.toml";
const TENNIS: &str = "venues/tennis-demo.toml";
const GOLF: &str = "venues/golf-demo.toml";
const HARBOUR: &str = "venues/harbour-demo.toml";
const SITE: &str = "venues/tennis-site-demo.toml";

/// Runs a command and looks at the pictures it writes, which are to have these names or
/// beginnings of names.
fn looked_at(arguments: &[&str], families: &[&str]) {
    let folder = TempDir::new().unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
    command.args(arguments).arg("--into").arg(folder.path()).assert().success();
    let names: Vec<String> = fs::read_dir(folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".svg"))
        .collect();
    for family in families {
        assert!(names.iter().any(|name| name.starts_with(family)), "{family} in {names:?}");
    }
    for name in &names {
        assert_picture_file(folder.path(), name);
    }
}

#[test]
fn a_match_of_football() {
    looked_at(&["match", FOOTBALL, "--step", "30"], &["timeline", "light", "light-", "field-"]);
}

#[test]
fn a_match_of_tennis() {
    looked_at(&["match", TENNIS, "--step", "30"], &["timeline", "light", "light-", "field-"]);
}

#[test]
fn a_day_of_golf() {
    looked_at(&["match", GOLF, "--step", "60"], &["timeline", "light", "light-", "field-"]);
}

/// Labelled times at the very left of the axis keep off the words beside it.
#[test]
fn a_window_that_begins_on_a_labelled_time() {
    let window = ["--from", "14:45", "--until", "16:45", "--step", "30"];
    looked_at(&[&["match", FOOTBALL][..], &window[..]].concat(), &["timeline", "light"]);
}

#[test]
fn states_of_what_moves() {
    looked_at(&["states", HARBOUR, "--step", "15"], &["states"]);
}

#[test]
fn a_day_of_several_courts() {
    looked_at(&["order", SITE, "--step", "10"], &["order"]);
    for court in ["Court 1", "Court 3"] {
        let words = ["--field", court, "--step", "60"];
        looked_at(&[&["match", SITE][..], &words[..]].concat(), &["timeline", "field-"]);
    }
}

#[test]
fn pairs_that_cut() {
    looked_at(&["matching", FOOTBALL, "--step", "5"], &["matching"]);
    looked_at(&["matching", TENNIS, "--step", "5"], &["matching"]);
}

#[test]
fn positions_and_what_to_measure() {
    looked_at(&["positions", GOLF, "--step", "60"], &["positions"]);
    looked_at(&["positions", FOOTBALL, "--step", "30"], &["positions"]);
    for venue in [TENNIS, GOLF] {
        looked_at(&["sensitivity", venue], &["sensitivity"]);
    }
}

#[test]
fn looking_up() {
    for place in ["penalty spot ahead", "1 main wide", "centre spot"] {
        looked_at(&["look-up", FOOTBALL, "--place", place], &["look-up-"]);
    }
}

#[test]
fn a_year() {
    let span = ["--first-date", "2027-03-01", "--last-date", "2027-04-30", "--step", "60"];
    let shown = ["--show", "field", "--show", "split=1 main", "--show", "lens=1 main"];
    let all = [&["year", TENNIS][..], &span[..], &shown[..]].concat();
    looked_at(
        &all,
        &["share-of-the-field", "split-on-the-playing-surface", "the-sun-and-the-lens"],
    );
}

#[test]
fn start_times() {
    let times = ["--from-time", "12:00", "--to-time", "18:00", "--every-min", "60", "--step", "30"];
    for venue in [FOOTBALL, TENNIS, GOLF] {
        looked_at(&[&["starts", venue][..], &times[..]].concat(), &["starts"]);
    }
    let season = ["--date", "2027-08-14", "--last-date", "2027-10-09", "--every-days", "7"];
    looked_at(&[&["starts", FOOTBALL][..], &times[..], &season[..]].concat(), &["starts"]);
}

#[test]
fn high_balls() {
    let kick = ["--camera", "1 main wide", "--from", "-47,0", "--to", "10,-8"];
    let goal = ["--stroke", "goal kick"];
    looked_at(&[&["ball", FOOTBALL][..], &kick[..], &goal[..]].concat(), &["ball-1-main-wide"]);
    let shot = ["--camera", "1 hoist", "--shot", "tee shot", "--at", "17:00"];
    looked_at(&[&["ball", GOLF][..], &shot[..]].concat(), &["ball-1-hoist"]);
    looked_at(&["ball", GOLF, "--camera", "1 hoist", "--hours"], &["hours-1-hoist"]);
    looked_at(&["ball", GOLF, "--towers", "--every", "60"], &["towers"]);
}
