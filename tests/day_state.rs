//! The state of the day: moments in real time, undo, clocks that change.

use chrono::{DateTime, NaiveDate, TimeDelta, TimeZone};
use chrono_tz::Tz;

use crate::day_support::{entries, moment};
use quarterstop::engine;
use quarterstop::engine::Programme;
use quarterstop::jobs::day::{
    DayState, EntryObjection, Event, LogEntry, PlayNow, SkyNow, at_local, milestones, play_now,
};
use quarterstop::light::Sky;
use quarterstop::solar::{ClockError, Repeated};
use quarterstop::venue::Venue;

fn venue() -> Venue {
    quarterstop::venue::read(std::path::Path::new("venues/football-demo.toml")).unwrap()
}

fn clock(h: u32, m: u32, s: u32) -> DateTime<Tz> {
    Tz::Europe__London.with_ymd_and_hms(2027, 10, 16, h, m, s).unwrap()
}

fn replay(all: &[(DateTime<Tz>, Event)]) -> (Venue, Programme, DayState) {
    let venue = venue();
    let programme = engine::programme(&venue);
    let state = DayState::replay(&venue, &programme, &entries(all));
    (venue, programme, state)
}

fn times(all: &[(DateTime<Tz>, Event)]) -> Vec<String> {
    let (_, programme, state) = replay(all);
    let stones = milestones(&programme, clock(15, 0, 0), &state);
    stones.iter().map(|m| m.at.format("%H:%M:%S").to_string()).collect()
}

/// Two halves of 45 minutes and an interval of 15 (IFAB Laws of the Game, Law 7) from the
/// times that are known.
#[test]
fn moments_follow_the_last_one_that_is_known() {
    assert_eq!(times(&[]), ["15:00:00", "15:45:00", "16:00:00", "16:45:00"]);
    let late = (clock(15, 15, 20), moment(0));
    assert_eq!(
        times(std::slice::from_ref(&late)),
        ["15:15:20", "16:00:20", "16:15:20", "17:00:20"]
    );
    let half_time = (clock(16, 3, 0), moment(1));
    let both = [late.clone(), half_time];
    assert_eq!(times(&both), ["15:15:20", "16:03:00", "16:18:00", "17:03:00"]);
    // nobody entered half-time: it was not after the second half began
    let second = [late.clone(), (clock(15, 58, 0), moment(2))];
    assert_eq!(times(&second), ["15:15:20", "15:58:00", "15:58:00", "16:43:00"]);
    // six minutes for an injury are played at the end of the half (Law 7)
    let stopped =
        [late, (clock(15, 30, 0), Event::PlayStopped), (clock(15, 36, 0), Event::PlayGoesOn)];
    assert_eq!(times(&stopped), ["15:15:20", "16:06:20", "16:21:20", "17:06:20"]);
}

#[test]
fn play_runs_between_the_real_times() {
    let all = [
        (clock(15, 15, 0), moment(0)),
        (clock(15, 30, 0), Event::PlayStopped),
        (clock(15, 36, 0), Event::PlayGoesOn),
    ];
    let (_, programme, state) = replay(&all);
    let stones = milestones(&programme, clock(15, 0, 0), &state);
    let now = |h, m| play_now(&stones, &state, clock(h, m, 0));
    assert_eq!(now(15, 10), PlayNow::Before);
    assert_eq!(now(15, 16), PlayNow::Runs);
    assert_eq!(now(15, 33), PlayNow::Stopped);
    assert_eq!(now(15, 36), PlayNow::Runs);
    assert_eq!(now(16, 10), PlayNow::Break);
    assert_eq!(now(16, 22), PlayNow::Runs);
    assert_eq!(now(17, 20), PlayNow::Over);
}

#[test]
fn taking_an_entry_back_leaves_the_day_as_if_it_had_never_come() {
    let kickoff = (clock(15, 15, 0), moment(0));
    let cloud = (clock(15, 20, 0), Event::Sky { sky: SkyNow::Overcast });
    let undo = |entry| (clock(15, 21, 0), Event::Undo { entry });
    let (_, _, without) = replay(std::slice::from_ref(&kickoff));
    let (_, _, undone) = replay(&[kickoff.clone(), cloud.clone(), undo(2)]);
    assert_eq!(undone.skies, without.skies);
    assert_eq!(undone.taken_back, [2]);
    // the undo taken back brings the cloud again
    let (_, _, again) = replay(&[kickoff.clone(), cloud.clone(), undo(2), undo(3)]);
    assert_eq!(again.skies, [(clock(15, 20, 0), SkyNow::Overcast)]);
    assert_eq!(again.taken_back, [3]);
    // taking back the first leaves the second
    let (_, _, other) = replay(&[kickoff, cloud, undo(1)]);
    assert_eq!((other.moments[0], other.sky()), (None, SkyNow::Overcast));
}

/// Every prefix of every order: replay of a log that ends anywhere gives the same state as
/// taking the entries one by one.
#[test]
fn the_state_hangs_on_the_entries_alone() {
    let camera = || "3 corner ahead".to_owned();
    let all = [
        (clock(15, 15, 0), moment(0)),
        (clock(15, 20, 0), Event::Sky { sky: SkyNow::CloudOverSun }),
        (clock(15, 22, 0), Event::Iris { camera: camera(), t_number: 5.6, light: None }),
        (clock(15, 40, 0), Event::CameraOut { camera: camera() }),
        (clock(15, 41, 0), Event::Undo { entry: 4 }),
        (clock(16, 0, 0), Event::Floodlights { lit: true }),
        (clock(15, 30, 0), Event::Sky { sky: SkyNow::Broken }),
    ];
    for end in 0..=all.len() {
        let (venue, programme, state) = replay(&all[..end]);
        let list = entries(&all[..end]);
        assert_eq!(DayState::replay(&venue, &programme, &list), state, "{end}");
        assert!(state.objections.is_empty(), "{:?}", state.objections);
    }
    let (_, _, state) = replay(&all);
    // entered late, it stands where it happened
    assert_eq!(state.skies[1].0, clock(15, 30, 0));
    assert!(!state.is_out(2));
    // before a cloud, under it, and ahead, where it will have passed
    let now = clock(15, 25, 0);
    let sky = |h, m| state.conditions(clock(h, m, 0), now).sky;
    assert_eq!(sky(15, 19), Sky::Clear);
    assert_eq!(sky(15, 21), Sky::Cumulus);
    assert_eq!(sky(15, 26), Sky::Clear);
}

#[test]
fn what_cannot_be_is_refused_with_the_reason() {
    let venue = venue();
    let programme = engine::programme(&venue);
    let before = entries(&[(clock(15, 15, 0), moment(0)), (clock(16, 1, 0), moment(1))]);
    let objection = |at, what: Event| {
        let next = LogEntry { entry: 3, ..entries(&[(at, what)]).remove(0) };
        DayState::allows(&venue, &programme, &before, &next).unwrap_err()
    };
    let at = clock(16, 10, 0);
    let camera = || "9 nowhere".to_owned();
    assert_eq!(
        objection(at, Event::CameraOut { camera: camera() }),
        EntryObjection::NoCamera(camera())
    );
    assert_eq!(
        objection(at, Event::EdgePasses { mark: "the bar".to_owned() }),
        EntryObjection::NoMark("the bar".to_owned())
    );
    assert!(matches!(objection(at, moment(7)), EntryObjection::NoMoment { found: 7, count: 4 }));
    assert!(matches!(objection(clock(15, 50, 0), moment(2)), EntryObjection::Order { .. }));
    assert_eq!(objection(at, Event::PlayGoesOn), EntryObjection::NotStopped);
    assert_eq!(objection(at, Event::Undo { entry: 12 }), EntryObjection::NoEntry(12));
    let iris =
        Event::Iris { camera: venue.cameras[0].name.clone(), t_number: f64::NAN, light: None };
    assert!(matches!(objection(at, iris), EntryObjection::Range { .. }));
    let name = |i: usize| venue.cameras[i].name.clone();
    let swap = |camera: usize, stand_in: usize| Event::CameraSwapped {
        camera: name(camera),
        stand_in: name(stand_in),
        t_number_at_2000_lx: None,
        from_moment: None,
    };
    let mut list = before.clone();
    list.extend(entries(&[(at, swap(2, 3))]).into_iter().map(|e| LogEntry { entry: 3, ..e }));
    let state = DayState::replay(&venue, &programme, &list);
    assert!(!state.is_out(2) && state.is_out(3));
    let next = LogEntry { entry: 4, ..entries(&[(at, swap(1, 3))]).remove(0) };
    let found = DayState::allows(&venue, &programme, &list, &next);
    assert_eq!(found, Err(EntryObjection::InUse(name(3))));
}

/// On the night of 31 October 2027 clocks of London go back from 02:00 BST to 01:00 GMT
/// (Summer Time Act 1972, as amended: the last Sunday of October at 01:00 GMT).
#[test]
fn a_clock_that_is_set_back_during_play_moves_nothing() {
    let zone = Tz::Europe__London;
    let date = NaiveDate::from_ymd_opt(2027, 10, 31).unwrap();
    let twice = at_local(zone, date, "01:30", None).unwrap_err();
    assert!(matches!(
        twice,
        quarterstop::jobs::day::LocalTimeError::Clock(ClockError::Twice { .. })
    ));
    let first = at_local(zone, date, "01:30:00", Some(Repeated::Earlier)).unwrap();
    let second = at_local(zone, date, "01:30", Some(Repeated::Later)).unwrap();
    assert_eq!(second - first, TimeDelta::hours(1));
    assert!(at_local(zone, date, "25:00", None).is_err());
    let venue = venue();
    let programme = engine::programme(&venue);
    let of = |at: DateTime<Tz>| {
        let text = serde_json::to_string(&entries(&[(at, moment(0))])[0]).unwrap();
        let read: LogEntry = serde_json::from_str(&text).unwrap();
        let state = DayState::replay(&venue, &programme, &[read]);
        milestones(&programme, at, &state)
    };
    for kickoff in [first, second] {
        let stones = of(kickoff);
        assert_eq!(stones[0].at, kickoff);
        assert_eq!(stones[3].at - kickoff, TimeDelta::minutes(105));
    }
    // 45 minutes after the first 01:30 clocks show 01:15
    assert_eq!(of(first)[1].at.format("%H:%M %Z").to_string(), "01:15 GMT");
}
