//! Where a lens is at an end of its range: a clay court from low sun into the dark without
//! floodlights, T-numbers by the exposure equation worked out here.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use chrono::TimeDelta;
use quarterstop::base::units::Luminance;
use quarterstop::camera::LensEnd;
use quarterstop::engine::MatchPlan;
use quarterstop::jobs::crew::Brief;
use quarterstop::jobs::matching::matched_pairs;
use quarterstop::venue::{Venue, parse};
use tempfile::TempDir;

use crate::plan_brief::in_steps;

/// The court, with what is appended: cameras, keys of a camera.
pub(crate) const COURT: &str = "\
title = \"Courts\"
[place]
latitude_deg = 47.2
longitude_deg = 15.9
height_m = 410.0
zone = \"Europe/Vienna\"
[field]
sport = \"tennis\"
surface = \"clay\"
bearing_deg = 8.0
[[stand]]
name = \"West\"
side = \"left\"
setback_m = 8.0
length_m = 40.0
depth_m = 16.0
front_height_m = 1.5
back_height_m = 11.0
[exposure]
t_number_at_2000_lx = 10.0
frames_per_s = 50.0
widest_t = 2.0
narrowest_t = 16.0
prefers_t = [4.0, 8.0]
contrast = 500.0
knee_stops = 2.0
nd_stops = [0.0, 2.0, 4.0, 6.0]
[fixture]
date = \"2027-09-21\"
start = \"17:30\"
[[camera]]
name = \"1 main\"
at = [-31.0, 0.0, 9.0]
looks_at = [\"net centre\"]
horizontal_fov_deg = 34.0
";
const SECOND: &str = "\
[[camera]]
name = \"2 net\"
at = [0.0, -13.0, 1.6]
looks_at = [\"net centre\"]
horizontal_fov_deg = 50.0
[camera.exposure]
widest_t = 2.8
";
/// Widest and narrowest of the court's lenses.
const LENS: (f64, f64) = (2.0, 16.0);
const ND: [f64; 4] = [0.0, 2.0, 4.0, 6.0];
/// A tenth of a stop is no more than the marks on a lens tell.
const MARKS_STOPS: f64 = 0.1;

fn briefed(venue: &Venue) -> (MatchPlan, Brief) {
    in_steps(venue, TimeDelta::minutes(2))
}

/// ISO 2720, the relation for reflected light, `T^2` goes with luminance, from the data sheet's
/// form: T10 for 89.9 % white at 2000 lx; each stop of ND opens the iris by one.
fn worked_t(white: Luminance, nd_stops: f64) -> f64 {
    let lux = white.cd_per_m2() * std::f64::consts::PI / 0.899;
    10.0 * (lux / 2000.0).sqrt() * (-0.5 * nd_stops).exp2()
}

fn worked_off(t: f64) -> f64 {
    (2.0 * (LENS.0 / t).log2()).max(2.0 * (t / LENS.1).log2()).max(0.0)
}

/// The minutes in which the lens is wide open even without ND must not choose the filter: of
/// all others the fewest are lost, a picture a stop off being lost whole.
#[test]
fn the_dark_does_not_choose_the_filter_of_the_minutes_with_light() {
    let venue = parse(COURT, "court.toml").unwrap();
    let (_, brief) = briefed(&venue);
    let camera = &brief.cameras[0];
    let all: Vec<(Luminance, f64)> =
        camera.exposures.iter().flatten().flat_map(|e| e.in_cover()).collect();
    let reachable =
        |white: Luminance| ND.iter().any(|nd| worked_off(worked_t(white, *nd)) <= MARKS_STOPS);
    let lit: Vec<_> = all.iter().filter(|(white, _)| reachable(*white)).collect();
    assert!(lit.len() > 60 && all.len() > lit.len() + 30, "{} of {}", lit.len(), all.len());
    let lost = |nd: f64| -> f64 {
        lit.iter().map(|(white, counts)| counts * worked_off(worked_t(*white, nd)).min(1.0)).sum()
    };
    let chosen = camera.settings[0].nd_stops;
    let best = ND.into_iter().min_by(|a, b| lost(*a).total_cmp(&lost(*b))).unwrap();
    assert_eq!(chosen, best, "lost: {:?}", ND.map(lost));
    assert!(chosen > 0.0, "low sun asks for ND");
    // as it was chosen before, all minutes by how far they are off: the dark wants none
    let off = |nd: f64| -> f64 {
        all.iter().map(|(white, counts)| counts * worked_off(worked_t(*white, nd))).sum()
    };
    assert!(off(0.0) < off(chosen), "the fixture is one that tells the two apart");
}

/// T-numbers in a text.
fn named(text: &str) -> Vec<f64> {
    let mut found = Vec::new();
    let mut before = ' ';
    for (place, letter) in text.char_indices() {
        if letter == 'T' && !before.is_alphanumeric() {
            let digits = text[place + 1..].split(|c: char| !c.is_ascii_digit() && c != '.');
            found
                .extend(digits.take(1).filter_map(|t| t.trim_end_matches('.').parse::<f64>().ok()));
        }
        before = letter;
    }
    found
}

fn run(job: &str, venue: &Path, into: &Path) -> String {
    let run = Command::cargo_bin("quarterstop").unwrap();
    let mut run = run;
    let run = run.arg(job).arg(venue).arg("--into").arg(into).args(["--step", "2"]).assert();
    String::from_utf8(run.success().get_output().stdout.clone()).unwrap()
}

/// One filter is on the wheel, for a court in the afternoon sun and into the dark: no text and
/// no page names an iris that the lens has not, both ends are named, and the table keeps what
/// the light asks for.
#[test]
fn no_text_names_an_iris_that_the_lens_has_not() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("court.toml");
    let text = COURT.replace("nd_stops = [0.0, 2.0, 4.0, 6.0]", "nd_stops = [0.0]");
    fs::write(&file, text).unwrap();
    let into = folder.path().join("brief");
    let told = run("brief", &file, &into);
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
    let page = fs::read_to_string(into.join("brief.html")).unwrap();
    for text in [&told, &page] {
        let irises = named(text);
        assert!(irises.len() >= 4, "{irises:?}");
        assert!(irises.iter().all(|t| (LENS.0..=LENS.1).contains(t)), "{irises:?}");
        assert!(text.contains("closed all the way until 1"), "{text}");
        assert!(text.contains("stops too bright") && text.contains("wide open from 1"), "{text}");
    }
    let board = fs::read_to_string(into.join("board.html")).unwrap();
    assert!(board.contains("\"t_lens\":[[2.0,16.0],"));
    let mut table = csv::Reader::from_path(into.join("settings.csv")).unwrap();
    let column = table.headers().unwrap().iter().position(|name| name == "sun_t").unwrap();
    let asked = table.records().filter_map(|row| row.unwrap()[column].parse::<f64>().ok());
    let most = asked.fold(0.0, f64::max);
    assert!(most > 25.0, "T{most}");
    // and by how much it is too bright, from what the light asks for
    let words = format!("up to {:.1} stops too bright", 2.0 * (most / LENS.1).log2());
    assert!(told.contains(&words), "{words}: {told}");
}

/// With ND in, a lens that is wide open at dusk says that less is to be had.
#[test]
fn a_lens_that_is_wide_open_behind_nd_asks_for_less() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("court.toml");
    fs::write(&file, COURT).unwrap();
    let told = run("brief", &file, &folder.path().join("brief"));
    assert!(told.contains("shade: wide open from 18:") && told.contains(": less ND"), "{told}");
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
}

/// In the dark all lenses are wide open, whatever they ask for: pictures are then as far apart
/// as the light on the faces, the filters and the lenses' widest irises make them, by the same
/// equation.
#[test]
fn pictures_of_lenses_that_are_wide_open_differ_by_what_the_lenses_have() {
    let venue = parse(&format!("{COURT}{SECOND}"), "court.toml").unwrap();
    let (plan, brief) = briefed(&venue);
    let pairs = matched_pairs(&venue, &plan, &brief);
    let pair = &pairs.pairs[0];
    let (mut both, mut lost) = (0, 0);
    for (index, gap) in pair.gaps.iter().enumerate() {
        let Some(gap) = gap else { continue };
        let nd = |camera: usize| brief.cameras[camera].settings[0].nd_stops;
        let wanted = |camera: usize| {
            worked_t(brief.cameras[camera].exposures[index].unwrap().one.white, nd(camera))
        };
        let (first, second) = (wanted(0), wanted(1));
        let set = (first.clamp(2.0, 16.0), second.clamp(2.8, 16.0));
        // at one T-number for all the picture is the light behind the filter; a stop wider is
        // a stop brighter
        let by_hand = gap.light.stops() - (nd(0) - nd(1)) + 2.0 * (set.1 / set.0).log2();
        assert!((gap.picture.stops() - by_hand).abs() < 1e-6, "{gap:?} {by_hand}");
        if first < 1.0 && second < 1.4 {
            let dark = |end: Option<LensEnd>| match end {
                Some(LensEnd::WideOpen(stops)) => stops.stops(),
                other => panic!("{other:?}"),
            };
            assert!((dark(gap.ends[0]) - 2.0 * (2.0 / first).log2()).abs() < 1e-6);
            assert!((dark(gap.ends[1]) - 2.0 * (2.8 / second).log2()).abs() < 1e-6);
            // 500 to 1 is 9 stops from white down to the darkest tone
            let deepest = dark(gap.ends[0]).max(dark(gap.ends[1]));
            assert_eq!(gap.is_lost, deepest > 500.0_f64.log2(), "{gap:?}");
            lost += u32::from(gap.is_lost);
            both += 1;
        }
    }
    assert!(both > 20 && lost > 10 && lost < both, "{both} {lost}");
    // what nobody sees is not the hardest cut
    assert!(!pair.worst().unwrap().1.is_lost);
    let open = |camera: usize| {
        let is_open = |end: &LensEnd| matches!(end, LensEnd::WideOpen(_));
        pairs.at_ends.iter().any(|one| one.camera == camera && is_open(&one.end))
    };
    assert!(open(0) && open(1), "{:?}", pairs.at_ends);
}
