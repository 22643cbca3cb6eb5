//! The plan of the day against plans that are made for what happened.

use chrono::{DateTime, TimeDelta, TimeZone};
use chrono_tz::Tz;

use crate::day_support::{entries, moment};
use quarterstop::base::units::Stops;
use quarterstop::engine;
use quarterstop::engine::{DEFAULT_HOLD_STOPS, MatchPlan, Prepared, Settings};
use quarterstop::jobs::brief::report::{BriefReport, board};
use quarterstop::jobs::crew::{Brief, BriefSettings, Cue, CueKind, Settled, brief};
use quarterstop::jobs::day::{DayPlan, DayState, EntryObjection, Event, LogEntry, Planner, SkyNow};
use quarterstop::light::{AirByDate, FloodlightState, Sky};
use quarterstop::venue::Venue;

fn demo() -> Venue {
    quarterstop::venue::read(std::path::Path::new("venues/football-demo.toml")).unwrap()
}

fn clock(h: u32, m: u32) -> DateTime<Tz> {
    Tz::Europe__London.with_ymd_and_hms(2027, 10, 16, h, m, 0).unwrap()
}

fn state(venue: &Venue, all: &[(DateTime<Tz>, Event)]) -> DayState {
    DayState::replay(venue, &engine::programme(venue), &entries(all))
}

/// A plan made for a start, as `match` and `brief` make it, with people at their cameras.
fn made_for(
    venue: &Venue,
    start: DateTime<Tz>,
    operator_of: Vec<Option<usize>>,
) -> (MatchPlan, Brief) {
    let programme = engine::programme(venue);
    let (from, until) = programme.window_from(start);
    let settings = Settings {
        from,
        until,
        step: TimeDelta::minutes(1),
        sky: Sky::Clear,
        air: AirByDate::of_venue(venue).on(from.date_naive()),
        hold: Stops::from_stops(DEFAULT_HOLD_STOPS),
        milestones: programme.milestones_from(start),
    };
    let prepared = Prepared::new(venue, settings.from.date_naive());
    let plan = prepared.run(&settings, |_, _| {}).unwrap();
    let settled = Settled { operator_of, ..Settled::default() };
    let settings = BriefSettings { settled, ..BriefSettings::default() };
    let brief = brief(&prepared, &plan, &settings).unwrap();
    (plan, brief)
}

fn by_the_sun(cue: &Cue) -> bool {
    matches!(cue.kind, CueKind::Mark | CueKind::Zone | CueKind::Coverage | CueKind::Lens)
}

/// The times of cues after a late kickoff are those of a plan made for that kickoff, all of
/// them, to the second; those of the sun stay where they were.
#[test]
fn a_late_kickoff_gives_the_plan_that_is_made_for_it() {
    let venue = demo();
    let mut planner = Planner::new(&venue, clock(15, 0));
    let on_time = planner.plan(&state(&venue, &[]), clock(14, 40)).unwrap();
    let (_, planned) = made_for(&venue, clock(15, 0), Vec::new());
    assert_eq!(on_time.brief.cues, planned.cues);
    let late = state(&venue, &[(clock(15, 15), moment(0))]);
    let followed = planner.plan(&late, clock(15, 16)).unwrap();
    let (made_plan, made) = made_for(&venue, clock(15, 15), on_time.operators());
    assert_eq!(followed.plan.milestones, made_plan.milestones);
    assert!(followed.brief.cues.len() > 20);
    assert_eq!(followed.brief.cues, made.cues);
    for (a, b) in followed.brief.cameras.iter().zip(&made.cameras) {
        assert_eq!((&a.settings, &a.exposures), (&b.settings, &b.exposures));
    }
    let mut stayed = 0;
    for cue in on_time.brief.cues.iter().filter(|cue| by_the_sun(cue) && cue.at > clock(15, 16)) {
        let same = |other: &&Cue| {
            (other.kind, &other.subject) == (cue.kind, &cue.subject)
                && (other.at - cue.at).num_seconds().abs() <= 1
        };
        assert!(followed.brief.cues.iter().any(|c| same(&c)), "{} {}", cue.at, cue.what);
        stayed += 1;
    }
    assert!(stayed > 10, "{stayed}");
}

/// Undo, replay and any order of planning lead to one plan.
#[test]
fn the_plan_hangs_on_the_entries_and_not_on_plans_before_it() {
    let venue = demo();
    let now = clock(15, 50);
    let story = [
        (clock(15, 15), moment(0)),
        (clock(15, 20), Event::Sky { sky: SkyNow::Thin }),
        (clock(15, 40), Event::CameraOut { camera: "3 corner ahead".to_owned() }),
        (clock(15, 45), Event::Floodlights { lit: true }),
        (clock(15, 46), Event::Undo { entry: 2 }),
    ];
    let mut step_by_step = Planner::new(&venue, clock(15, 0));
    let mut last: Option<DayPlan> = None;
    for end in 0..=story.len() {
        let state = state(&venue, &story[..end]);
        last = Some(step_by_step.plan(&state, now).unwrap());
    }
    let last = last.unwrap();
    let mut at_once = Planner::new(&venue, clock(15, 0));
    at_once.plan(&state(&venue, &[]), now).unwrap();
    let at_once = at_once.plan(&state(&venue, &story), now).unwrap();
    assert_eq!(last.brief.cues, at_once.brief.cues);
    let floodlight =
        |plan: &DayPlan| plan.plan.instants.iter().map(|i| i.floodlight).collect::<Vec<_>>();
    assert_eq!(floodlight(&last), floodlight(&at_once));
    // lamps are lit from when a hand lit them, whatever the daylight
    for instant in &last.plan.instants {
        let lit = instant.floodlight == FloodlightState::Lit;
        assert!(lit || instant.at < clock(15, 45), "{}", instant.at);
    }
    let at = |h, m| last.plan.instants.iter().find(|i| i.at == clock(h, m)).unwrap();
    assert_eq!(
        (at(15, 44).floodlight, at(15, 45).floodlight),
        (FloodlightState::Off, FloodlightState::Lit)
    );
}

/// A plan that knows the edges of plans before it, and minutes in another light, is the one
/// that knows nothing, all cues and all figures.
#[test]
fn what_is_known_changes_no_plan() {
    let venue = demo();
    let two = "2 main tight".to_owned();
    let story = [
        (clock(15, 0), moment(0)),
        (clock(15, 5), Event::Sky { sky: SkyNow::Overcast }),
        (clock(15, 10), Event::CameraOut { camera: two.clone() }),
        (clock(15, 12), Event::Sky { sky: SkyNow::Clear }),
        (clock(15, 20), Event::CameraBack { camera: two, nd_stops: None }),
        (clock(15, 30), Event::Floodlights { lit: true }),
    ];
    let mut knowing = Planner::new(&venue, clock(15, 0));
    for end in 0..=story.len() {
        let state = state(&venue, &story[..end]);
        let known = knowing.plan(&state, clock(15, 31)).unwrap();
        let mut fresh = Planner::new(&venue, clock(15, 0));
        fresh.keep_operators(known.operators());
        let fresh = fresh.plan(&state, clock(15, 31)).unwrap();
        assert_eq!(known.brief.cues, fresh.brief.cues, "after {end}");
        for (a, b) in known.plan.instants.iter().zip(&fresh.plan.instants) {
            assert_eq!((a.at, &a.cameras, &a.faces), (b.at, &b.cameras, &b.faces));
        }
    }
}

/// Another lens looks at its own camera anew, and the plan is that of a ground with it.
#[test]
fn another_lens_gives_the_plan_of_a_ground_with_that_lens() {
    let venue = demo();
    let none = state(&venue, &[]);
    let mut planner = Planner::new(&venue, clock(15, 0));
    let before = planner.plan(&none, clock(14, 50)).unwrap();
    let mut changed = venue.clone();
    changed.cameras[1].horizontal_fov_deg *= 0.4;
    let mut after = Planner::after(&changed, &mut planner);
    let after = after.plan(&none, clock(14, 50)).unwrap();
    let mut fresh = Planner::new(&changed, clock(15, 0));
    fresh.keep_operators(before.operators());
    let fresh = fresh.plan(&none, clock(14, 50)).unwrap();
    assert_eq!(after.brief.cues, fresh.brief.cues);
    for (a, b) in after.plan.instants.iter().zip(&fresh.plan.instants) {
        assert_eq!((a.at, &a.cameras), (b.at, &b.cameras));
    }
    let own = |plan: &DayPlan| -> Vec<_> {
        plan.plan.instants.iter().map(|i| i.cameras[1].shaded_share).collect()
    };
    assert_ne!(own(&before), own(&after));
}

/// What is only read leaves the plan as it is; what is settled makes another.
#[test]
fn readings_ask_for_no_other_plan() {
    let venue = demo();
    let name = || venue.cameras[1].name.clone();
    let story = [
        (clock(15, 0), moment(0)),
        (clock(15, 5), Event::Iris { camera: name(), t_number: 4.0, light: None }),
        (clock(15, 6), Event::Nd { camera: name(), nd_stops: 2.0 }),
        (clock(15, 7), Event::Undo { entry: 3 }),
    ];
    let mut planner = Planner::new(&venue, clock(15, 0));
    let now = clock(15, 8);
    // who has which camera is settled with the first
    planner.plan(&state(&venue, &[]), now).unwrap();
    let first = planner.plan(&state(&venue, &story[..1]), now).unwrap();
    let after = |planner: &mut Planner<'_>, count: usize| {
        planner.plan_after(Some(&first), &state(&venue, &story[..count]), now).unwrap()
    };
    let [read, settled, undone] = [2, 3, 4].map(|count| after(&mut planner, count));
    assert!(read.is_as(&first) && undone.is_as(&first) && !settled.is_as(&first));
    assert_eq!([read.after_entry, undone.after_entry], [2, 4]);
    let made = planner.plan(&state(&venue, &story[..2]), now).unwrap();
    assert_eq!(made.brief.cues, read.brief.cues);
    assert_ne!(settled.nd_at(now), first.nd_at(now));
}

/// A camera that is out asks for nothing; operators keep the cameras that they had; what
/// stands in for it is told what to set.
#[test]
fn a_camera_that_dies_leaves_the_others_as_they_were() {
    let venue = demo();
    let now = clock(15, 41);
    let dead = 2;
    let out = Event::CameraOut { camera: venue.cameras[dead].name.clone() };
    let mut planner = Planner::new(&venue, clock(15, 0));
    let before = planner.plan(&state(&venue, &[]), now).unwrap();
    let after = planner.plan(&state(&venue, &[(clock(15, 40), out.clone())]), now).unwrap();
    assert_eq!(before.operators(), after.operators());
    let ahead = |p: &DayPlan| {
        let mut cues = p.brief.cues.iter().filter(|cue| cue.at >= clock(15, 40));
        cues.any(|cue| cue.cameras.contains(&dead))
    };
    assert!(ahead(&before) && !ahead(&after));
    // what is past is kept as it was
    let exposures = |p: &DayPlan| p.brief.cameras[dead].exposures.clone();
    let died = after.plan.instants.iter().position(|i| i.at == clock(15, 40)).unwrap();
    assert!(exposures(&before)[died..].iter().any(Option::is_some));
    assert_eq!(exposures(&before)[..died - 3], exposures(&after)[..died - 3]);
    assert!(exposures(&after)[died..].iter().all(Option::is_none));
    let matched = |p: &DayPlan| {
        let mut pairs = p.brief.matching.pairs.iter().filter(|x| x.cameras.1 == dead);
        pairs.any(|pair| pair.stops[died..].iter().any(Option::is_some))
    };
    assert!(matched(&before) && !matched(&after));
    for camera in (0..venue.cameras.len()).filter(|c| *c != dead) {
        let of = |plan: &DayPlan| plan.brief.cameras[camera].exposures.clone();
        assert_eq!(of(&before), of(&after));
    }
    // a spare of two stops more sensitivity closes by two stops, or has more ND
    let swapped = Event::CameraSwapped {
        camera: venue.cameras[dead].name.clone(),
        stand_in: "spare".to_owned(),
        t_number_at_2000_lx: Some(22.0),
        from_moment: None,
    };
    let story = [(clock(15, 40), out), (clock(15, 43), swapped)];
    let spare = planner.plan(&state(&venue, &story), now).unwrap();
    let log = |plan: &DayPlan| {
        // after the three minutes without any
        let index = plan.plan.instants.iter().position(|i| i.at == clock(15, 50)).unwrap();
        let camera = &plan.brief.cameras[dead];
        let exposure = camera.exposures[index].unwrap();
        let setting = camera.setting_at(&plan.brief.spans, index).unwrap();
        let t = camera.t_at(&plan.brief.spans, index, exposure.one.white).unwrap();
        2.0 * t.log2() + setting.nd_stops
    };
    assert!((log(&spare) - log(&before) - 2.0).abs() < 1e-9);
}

/// What stood at a place before a swap keeps its iris and its filter, and so does what stood in
/// once the camera is back.
#[test]
fn swaps_leave_the_minutes_before_them_alone() {
    let venue = demo();
    let mut planner = Planner::new(&venue, clock(15, 0));
    let camera = 2;
    let name = venue.cameras[camera].name.clone();
    let first = planner.plan(&state(&venue, &[]), clock(14, 50)).unwrap();
    let names = venue.cameras.iter().map(|c| c.name.clone());
    let nd_stops = names.zip(first.nd_at(clock(15, 0)).into_iter().map(Option::unwrap)).collect();
    let Event::Moment { moment, name: kickoff, expected, .. } = moment(0) else { unreachable!() };
    let swapped = Event::CameraSwapped {
        camera: name.clone(),
        stand_in: "spare".to_owned(),
        t_number_at_2000_lx: Some(22.0),
        from_moment: None,
    };
    let mut story = vec![
        (clock(15, 0), Event::Moment { moment, name: kickoff, expected, nd_stops }),
        (clock(15, 20), swapped),
    ];
    let mut at = |story: &[(DateTime<Tz>, Event)], minute| {
        planner.plan(&state(&venue, story), clock(15, minute)).unwrap()
    };
    let (own, spare) = (at(&story[..1], 10), at(&story, 21));
    // as the entry has it: what was in what stood in
    let nd_stops = spare.nd_at(clock(15, 35))[camera];
    story.push((clock(15, 35), Event::CameraBack { camera: name, nd_stops }));
    let back = at(&story, 36);
    let set = |plan: &DayPlan, minute: u32| {
        let index = plan.plan.instants.iter().position(|i| i.at == clock(15, minute)).unwrap();
        let brief = &plan.brief.cameras[camera];
        let white = brief.exposures[index].unwrap().one.white;
        let nd = brief.setting_at(&plan.brief.spans, index).unwrap().nd_stops;
        (nd, brief.t_at(&plan.brief.spans, index, white).unwrap())
    };
    let (own, spare, back) = (&own, &spare, &back);
    for minute in 5..20 {
        assert_eq!(set(own, minute), set(spare, minute), "15:{minute} with the spare");
        assert_eq!(set(own, minute), set(back, minute), "15:{minute} with the camera back");
    }
    for minute in 20..35 {
        assert_eq!(set(spare, minute), set(back, minute), "15:{minute}");
    }
    // the spare is two stops more sensitive; the camera is itself again after it
    let stops = |(nd, t): (f64, f64)| 2.0 * t.log2() + nd;
    assert!((stops(set(spare, 25)) - stops(set(own, 25)) - 2.0).abs() < 0.2);
    assert!((stops(set(back, 40)) - stops(set(own, 40))).abs() < 0.2);
}

/// A camera that went over at half-time was there, also once the place has its own again.
#[test]
fn a_camera_that_comes_back_does_not_undo_who_was_there() {
    let venue = demo();
    let (place, comes) = (2, 4);
    let name = |camera: usize| venue.cameras[camera].name.clone();
    let swap = Event::CameraSwapped {
        camera: name(place),
        stand_in: name(comes),
        t_number_at_2000_lx: None,
        from_moment: Some(2),
    };
    let mut story = vec![
        (clock(14, 0), Event::CameraOut { camera: name(place) }),
        (clock(14, 30), swap),
        (clock(15, 0), moment(0)),
        (clock(15, 45), moment(1)),
        (clock(16, 0), moment(2)),
    ];
    let mut planner = Planner::new(&venue, clock(15, 0));
    let before = planner.plan(&state(&venue, &story), clock(16, 10)).unwrap();
    let nd_stops = before.nd_at(clock(16, 20))[place];
    story.push((clock(16, 20), Event::CameraBack { camera: name(place), nd_stops }));
    let after = planner.plan(&state(&venue, &story), clock(16, 21)).unwrap();
    let index =
        |plan: &DayPlan, m| plan.plan.instants.iter().position(|i| i.at == clock(16, m)).unwrap();
    let seen = |plan: &DayPlan, camera: usize, m| {
        plan.brief.cameras[camera].exposures[index(plan, m)].map(|e| e.one.white)
    };
    for m in [5, 15] {
        assert!(seen(&after, comes, m).is_none() && seen(&after, place, m).is_some());
        assert_eq!(seen(&before, place, m), seen(&after, place, m));
        let t = |plan: &DayPlan| {
            let brief = &plan.brief.cameras[place];
            brief.t_at(&plan.brief.spans, index(plan, m), seen(plan, place, m).unwrap())
        };
        assert_eq!(t(&before), t(&after));
    }
    // each at its own place again
    assert!(seen(&after, comes, 30).is_some() && seen(&after, place, 30).is_some());
}

/// A camera comes over to an empty place for the second half: it is asked for nothing there
/// before, and for nothing at its own place after; the moment moves with the match.
#[test]
fn a_shared_camera_comes_over_for_the_second_half() {
    let venue = demo();
    let (place, comes) = (2, 4);
    let name = |camera: usize| venue.cameras[camera].name.clone();
    let story = [
        (clock(14, 0), Event::CameraOut { camera: name(place) }),
        (
            clock(14, 30),
            Event::CameraSwapped {
                camera: name(place),
                stand_in: name(comes),
                t_number_at_2000_lx: None,
                from_moment: Some(2),
            },
        ),
        (clock(15, 15), moment(0)),
    ];
    let mut planner = Planner::new(&venue, clock(15, 0));
    let both = planner.plan(&state(&venue, &[]), clock(14, 0)).unwrap();
    let on_time = planner.plan(&state(&venue, &story[..2]), clock(14, 40)).unwrap();
    let late = planner.plan(&state(&venue, &story), clock(15, 16)).unwrap();
    for (plan, at) in [(&on_time, clock(16, 0)), (&late, clock(16, 15))] {
        let over = plan.plan.instants.iter().position(|i| i.at == at).unwrap();
        let of = |camera: usize| &plan.brief.cameras[camera].exposures;
        assert!(of(place)[..over].iter().all(Option::is_none));
        assert!(of(place)[over..].iter().any(Option::is_some));
        assert!(of(comes)[..over].iter().any(Option::is_some));
        assert!(of(comes)[over..].iter().all(Option::is_none));
        for cue in plan.brief.cues.iter().filter(|cue| cue.kind != CueKind::Setting) {
            assert!(!cue.cameras.contains(&place) || cue.at >= at, "{} {}", cue.at, cue.what);
            assert!(!cue.cameras.contains(&comes) || cue.at < at, "{} {}", cue.at, cue.what);
        }
        // never in shot together
        let pairs = &plan.brief.matching.pairs;
        assert!(pairs.iter().all(|pair| pair.cameras != (place, comes)));
        assert_eq!(plan.operators(), both.operators());
    }
    // what works cannot be taken over, and a camera goes to one place
    let programme = engine::programme(&venue);
    let refused = |before: &[(DateTime<Tz>, Event)], place: usize| {
        let swap = Event::CameraSwapped {
            camera: name(place),
            stand_in: name(comes),
            t_number_at_2000_lx: None,
            from_moment: Some(2),
        };
        let next = LogEntry { entry: 9, ..entries(&[(clock(14, 40), swap)]).remove(0) };
        DayState::allows(&venue, &programme, &entries(before), &next).unwrap_err()
    };
    assert_eq!(refused(&story[..2], 1), EntryObjection::NotEmpty(name(1)));
    let other_out = (clock(14, 1), Event::CameraOut { camera: name(1) });
    let before = [story[0].clone(), story[1].clone(), other_out];
    assert_eq!(refused(&before, 1), EntryObjection::InUse(name(comes)));
    // taken back, both are where they were
    let undone = [story[0].clone(), story[1].clone(), (clock(14, 41), Event::Undo { entry: 2 })];
    let undone = state(&venue, &undone);
    assert!(undone.moves.is_empty() && undone.is_out(place) && !undone.is_out(comes));
}

/// A cloud counts from when it is entered, as long as it is there and no longer: what is
/// ahead is planned without it, and the plan is made again as minutes come.
#[test]
fn a_cloud_counts_now_and_not_ahead() {
    let venue = demo();
    let at = |m, s| clock(15, m) + TimeDelta::seconds(s);
    let cloud = (at(20, 10), Event::Sky { sky: SkyNow::CloudOverSun });
    let mut planner = Planner::new(&venue, clock(15, 0));
    let under = state(&venue, std::slice::from_ref(&cloud));
    let is_under = |plan: &DayPlan, at: DateTime<Tz>| {
        plan.plan.instants[plan.index_at(at)].field_light.in_sun.is_none()
    };
    let made = planner.plan(&under, at(20, 10)).unwrap();
    assert!(is_under(&made, at(20, 10)) && is_under(&made, at(20, 59)));
    assert!(!is_under(&made, at(20, 0)) && !is_under(&made, at(21, 30)));
    assert!(!made.is_behind(&under, at(20, 59)) && made.is_behind(&under, at(21, 10)));
    let later = planner.plan(&under, at(21, 10)).unwrap();
    assert!(is_under(&later, at(20, 59)) && is_under(&later, at(21, 59)));
    // it has passed, and stays where it was
    let clear = (at(22, 30), Event::Sky { sky: SkyNow::Clear });
    let passed = state(&venue, &[cloud, clear]);
    let after = planner.plan(&passed, at(22, 30)).unwrap();
    assert!(is_under(&after, at(21, 30)) && !is_under(&after, at(22, 31)));
    assert!(!after.is_behind(&passed, at(40, 0)));
}

/// ND cannot change while play runs: a sky that closes in leaves what is in.
#[test]
fn what_is_in_stays_in_until_the_break() {
    let venue = demo();
    let mut planner = Planner::new(&venue, clock(15, 0));
    let clear = planner.plan(&state(&venue, &[]), clock(14, 50)).unwrap();
    let in_now = clear.nd_at(clock(15, 0));
    let names = venue.cameras.iter().map(|c| c.name.clone());
    let nd_stops = names.zip(in_now.iter().map(|nd| nd.unwrap())).collect();
    let kickoff = Event::Moment { moment: 0, name: String::new(), expected: false, nd_stops };
    let grey = (clock(15, 2), Event::Sky { sky: SkyNow::Overcast });
    let free = planner.plan(&state(&venue, std::slice::from_ref(&grey)), clock(15, 3)).unwrap();
    assert_ne!(free.nd_at(clock(15, 30)), in_now, "the sky makes no difference here");
    let held = planner.plan(&state(&venue, &[(clock(15, 0), kickoff), grey]), clock(15, 3));
    let held = held.unwrap();
    assert_eq!(held.nd_at(clock(15, 30)), in_now);
    // and is changed at half-time, as a cue says
    let changes: Vec<&Cue> =
        held.brief.cues.iter().filter(|cue| cue.kind == CueKind::Setting).collect();
    assert!(!changes.is_empty());
    assert!(changes.iter().all(|c| c.at >= clock(15, 45) && c.at < clock(16, 0)), "{changes:?}");
    // one operator has two hands: one camera after the other
    for operator in 0..held.brief.desk.operators.len() {
        let mut at: Vec<DateTime<Tz>> =
            changes.iter().filter(|c| c.operators.contains(&operator)).map(|c| c.at).collect();
        at.dedup();
        assert_eq!(at.len(), changes.iter().filter(|c| c.operators.contains(&operator)).count());
    }
}

/// A camera of a slower lens comes over in the match: the board and the wall have the lens of the
/// minute, that of the place until the swap and the other from it on.
#[test]
fn the_board_knows_the_lens_of_each_minute() {
    let text = std::fs::read_to_string("venues/football-demo.toml").unwrap();
    let (place, comes) = (2, 4);
    let mut venue = quarterstop::venue::parse(&text, "demo.toml").unwrap();
    venue.cameras[place].exposure.widest_t = Some(1.7);
    venue.cameras[comes].exposure.widest_t = Some(2.8);
    let name = |camera: usize| venue.cameras[camera].name.clone();
    let swap = Event::CameraSwapped {
        camera: name(place),
        stand_in: name(comes),
        t_number_at_2000_lx: None,
        from_moment: None,
    };
    let story = [(clock(15, 20), Event::CameraOut { camera: name(place) }), (clock(15, 25), swap)];
    let made =
        Planner::new(&venue, clock(15, 0)).plan(&state(&venue, &story), clock(15, 30)).unwrap();
    let report = BriefReport {
        venue: &venue,
        plan: &made.plan,
        brief: &made.brief,
        forecast: None,
        hidden: &[],
    };
    let board: serde_json::Value = serde_json::from_str(&board::data(&report).unwrap()).unwrap();
    let widest = |m: u32| {
        let index = made.plan.instants.iter().position(|i| i.at == clock(15, m)).unwrap();
        board["cameras"][place]["t_lens"][index][0].as_f64().unwrap()
    };
    assert_eq!([widest(5), widest(15), widest(30), widest(45)], [1.7, 1.7, 2.8, 2.8]);
}
