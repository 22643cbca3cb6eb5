//! Cameras between grounds, as the state and the plan of one ground have them.

use chrono::{DateTime, TimeZone};
use chrono_tz::Tz;

use crate::day_support::{entries, moment};
use quarterstop::engine;
use quarterstop::jobs::day::{DayState, EntryObjection, Event, Planner, milestones};
use quarterstop::venue::{StatedExposure, Venue};

const CAMERA: &str = "3 corner ahead";

fn venue() -> Venue {
    quarterstop::venue::read(std::path::Path::new("venues/football-demo.toml")).unwrap()
}

fn clock(h: u32, m: u32) -> DateTime<Tz> {
    Tz::Europe__London.with_ymd_and_hms(2027, 10, 16, h, m, 0).unwrap()
}

fn goes(from_moment: Option<usize>, expected: Option<DateTime<Tz>>) -> Event {
    Event::CameraGoesOver {
        camera: CAMERA.to_owned(),
        to_ground: "other".to_owned(),
        to_place: "1".to_owned(),
        moved: "a".to_owned(),
        from_moment,
        to_moment: None,
        expected: expected.map(|at| at.fixed_offset()),
    }
}

fn comes(from_moment: Option<usize>, t_number: f64) -> Event {
    let exposure =
        StatedExposure { t_number_at_2000_lx: Some(t_number), ..StatedExposure::default() };
    Event::CameraComesOver {
        camera: CAMERA.to_owned(),
        from_ground: "other".to_owned(),
        from_camera: "9".to_owned(),
        moved: "b".to_owned(),
        exposure: Box::new(exposure),
        from_moment,
        expected: None,
    }
}

fn home() -> Event {
    let (from_ground, from_place) = ("other".to_owned(), "1".to_owned());
    let (moved, ends) = ("c".to_owned(), "a".to_owned());
    Event::CameraGoesHome { camera: CAMERA.to_owned(), from_ground, from_place, moved, ends }
}

fn leaves() -> Event {
    let (moved, ends) = ("d".to_owned(), "b".to_owned());
    Event::CameraLeaves { camera: CAMERA.to_owned(), to_ground: "other".to_owned(), moved, ends }
}

fn out() -> Event {
    Event::CameraOut { camera: CAMERA.to_owned() }
}

/// When nobody is at the place of the camera: from, until.
fn empty(all: &[(DateTime<Tz>, Event)]) -> Vec<(String, Option<String>)> {
    let venue = venue();
    let programme = engine::programme(&venue);
    let state = DayState::replay(&venue, &programme, &entries(all));
    assert_eq!(state.objections, []);
    let stones = milestones(&programme, clock(15, 0), &state);
    let index = venue.cameras.iter().position(|camera| camera.name == CAMERA).unwrap();
    let text = |at: DateTime<Tz>| at.format("%H:%M").to_string();
    let of = |a: &quarterstop::jobs::crew::Absence| (text(a.from), a.until.map(text));
    let absences = state.absences(&stones);
    absences.iter().filter(|a| a.camera == index).map(of).collect()
}

fn span(from: &str, until: Option<&str>) -> (String, Option<String>) {
    (from.to_owned(), until.map(str::to_owned))
}

#[test]
fn a_place_is_empty_from_when_its_camera_goes_until_it_is_home() {
    assert_eq!(empty(&[(clock(15, 10), goes(None, None))]), [span("15:10", None)]);
    let both = [(clock(15, 10), goes(None, None)), (clock(15, 40), home())];
    assert_eq!(empty(&both), [span("15:10", Some("15:40"))]);
    // at half-time, which follows the kickoff: 45 minutes after it (IFAB Laws, Law 7)
    let late = [(clock(14, 50), goes(Some(1), None)), (clock(15, 10), moment(0))];
    assert_eq!(empty(&late), [span("15:55", None)]);
    // when the other ground's play decides, at what was heard of it last
    let heard =
        Event::MoveExpected { moved: "a".to_owned(), expected: clock(16, 20).fixed_offset() };
    let there = [(clock(14, 50), goes(None, Some(clock(16, 0)))), (clock(15, 5), heard)];
    assert_eq!(empty(&there), [span("16:20", None)]);
    // called off before it went
    let off = [(clock(14, 50), goes(Some(1), None)), (clock(15, 20), home())];
    assert_eq!(empty(&off), []);
    // a spare in its place
    let spare = Event::CameraSwapped {
        camera: CAMERA.to_owned(),
        stand_in: "spare".to_owned(),
        t_number_at_2000_lx: None,
        from_moment: None,
    };
    let served = [(clock(15, 10), goes(None, None)), (clock(15, 20), spare)];
    assert_eq!(empty(&served), [span("15:10", Some("15:20"))]);
}

#[test]
fn a_place_is_served_from_when_a_camera_of_another_ground_comes_until_it_leaves() {
    let died = (clock(15, 10), out());
    let came = [died.clone(), (clock(15, 20), comes(None, 9.0))];
    assert_eq!(empty(&came), [span("15:10", Some("15:20"))]);
    let left = [died.clone(), (clock(15, 20), comes(None, 9.0)), (clock(15, 50), leaves())];
    assert_eq!(empty(&left), [span("15:10", Some("15:20")), span("15:50", None)]);
    let second_half = [died, (clock(15, 20), comes(Some(2), 9.0))];
    assert_eq!(empty(&second_half), [span("15:10", Some("16:00"))]);
    // where one works, the place is never empty, before, meanwhile and after
    let working = [(clock(15, 20), comes(None, 9.0)), (clock(15, 50), leaves())];
    assert_eq!(empty(&working), []);
    // what came dies as well
    let both = [(clock(15, 20), comes(None, 9.0)), (clock(15, 30), out())];
    assert_eq!(empty(&both), [span("15:30", None)]);
}

#[test]
fn a_camera_is_at_one_ground_only() {
    let venue = venue();
    let programme = engine::programme(&venue);
    let refused = |all: &[(DateTime<Tz>, Event)]| {
        let all = entries(all);
        let (next, before) = all.split_last().unwrap();
        DayState::allows(&venue, &programme, before, next).unwrap_err()
    };
    let away = (clock(15, 10), goes(None, None));
    let at_other = EntryObjection::Away { camera: CAMERA.to_owned(), ground: "other".to_owned() };
    let later = |what: Event| (clock(15, 20), what);
    assert_eq!(refused(&[away.clone(), later(goes(None, None))]), at_other);
    assert_eq!(refused(&[away.clone(), later(out())]), at_other);
    let swap = Event::CameraSwapped {
        camera: "1 main wide".to_owned(),
        stand_in: CAMERA.to_owned(),
        t_number_at_2000_lx: None,
        from_moment: None,
    };
    assert_eq!(refused(&[away, later(swap)]), EntryObjection::InUse(CAMERA.to_owned()));
    let dead = (clock(15, 10), out());
    assert_eq!(refused(&[dead, later(goes(None, None))]), EntryObjection::InUse(CAMERA.to_owned()));
    assert_eq!(refused(&[later(home())]), EntryObjection::NotAway(CAMERA.to_owned()));
    // it works until then
    assert_eq!(refused(&[later(comes(Some(2), 9.0))]), EntryObjection::NotEmpty(CAMERA.to_owned()));
    let came = (clock(15, 10), comes(None, 9.0));
    assert!(matches!(refused(&[came, later(comes(None, 9.0))]), EntryObjection::HasVisitor { .. }));
}

#[test]
fn a_visitor_is_planned_with_its_own_exposure() {
    let venue = venue();
    let programme = engine::programme(&venue);
    let index = venue.cameras.iter().position(|camera| camera.name == CAMERA).unwrap();
    let all = [(clock(14, 45), comes(None, 9.0)), (clock(14, 48), leaves())];
    let sensitivity = |all: &[(DateTime<Tz>, Event)]| {
        let state = DayState::replay(&venue, &programme, &entries(all));
        let made = Planner::new(&venue, clock(15, 0)).plan(&state, clock(14, 50)).unwrap();
        made.brief.cameras[index].rig.t_number_at_2000_lx
    };
    let own = sensitivity(&[]);
    assert_ne!(own, 9.0);
    assert_eq!(sensitivity(&all[..1]), 9.0);
    assert_eq!(sensitivity(&all), own);
    // what was there before keeps its own
    let state = DayState::replay(&venue, &programme, &entries(&all[..1]));
    let made = Planner::new(&venue, clock(15, 0)).plan(&state, clock(14, 50)).unwrap();
    assert_eq!(made.brief.cameras[index].rig_at(0).t_number_at_2000_lx, own);
}
