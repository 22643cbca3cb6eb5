//! The plan of the day against plans that are made for what happened.

use chrono::{DateTime, TimeDelta, TimeZone};
use chrono_tz::Tz;
use quarterstop::day::{DayPlan, DayState, Event, Planner, SkyNow};
use quarterstop::light::{AirByDate, Lamps, Sky};
use quarterstop::plan::brief::{Brief, BriefSettings, Cue, CueKind, Settled, brief};
use quarterstop::plan::{self, MatchPlan, Prepared, Settings, USUAL_HOLD_STOPS};
use quarterstop::units::Stops;
use quarterstop::venue::Venue;

use crate::day_support::{entries, moment};

fn demo() -> Venue {
    quarterstop::venue::read(std::path::Path::new("venues/football-demo.toml")).unwrap()
}

fn clock(h: u32, m: u32) -> DateTime<Tz> {
    Tz::Europe__London.with_ymd_and_hms(2027, 10, 16, h, m, 0).unwrap()
}

fn state(venue: &Venue, all: &[(DateTime<Tz>, Event)]) -> DayState {
    DayState::replay(venue, &plan::programme(venue), &entries(all))
}

/// A plan made for a start, as `match` and `brief` make it, with people at their cameras.
fn made_for(
    venue: &Venue,
    start: DateTime<Tz>,
    operator_of: Vec<Option<usize>>,
) -> (MatchPlan, Brief) {
    let programme = plan::programme(venue);
    let (from, until) = programme.window_from(start);
    let settings = Settings {
        from,
        until,
        step: TimeDelta::minutes(1),
        sky: Sky::Clear,
        air: AirByDate::of_venue(venue).on(from.date_naive()),
        hold: Stops::from_stops(USUAL_HOLD_STOPS),
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
    matches!(cue.kind, CueKind::Mark | CueKind::Zone | CueKind::Cover | CueKind::Lens)
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
    let lamps = |plan: &DayPlan| plan.plan.instants.iter().map(|i| i.lamps).collect::<Vec<_>>();
    assert_eq!(lamps(&last), lamps(&at_once));
    // lamps are lit from when a hand lit them, whatever the daylight
    for instant in &last.plan.instants {
        let lit = instant.lamps == Lamps::Lit;
        assert!(lit || instant.at < clock(15, 45), "{}", instant.at);
    }
    let at = |h, m| last.plan.instants.iter().find(|i| i.at == clock(h, m)).unwrap();
    assert_eq!((at(15, 44).lamps, at(15, 45).lamps), (Lamps::Off, Lamps::Lit));
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
    assert!(after.brief.cues.iter().all(|cue| !cue.cameras.contains(&dead)));
    assert!(before.brief.cues.iter().any(|cue| cue.cameras.contains(&dead)));
    assert!(after.brief.cameras[dead].exposures.iter().all(Option::is_none));
    let pairs = |p: &DayPlan| p.brief.matching.pairs.iter().any(|x| x.cameras.1 == dead);
    assert!(pairs(&before) && !pairs(&after));
    for camera in (0..venue.cameras.len()).filter(|c| *c != dead) {
        let of = |plan: &DayPlan| plan.brief.cameras[camera].exposures.clone();
        assert_eq!(of(&before), of(&after));
    }
    // a spare of two stops more sensitivity closes by two stops, or has more ND
    let swapped = Event::CameraSwapped {
        camera: venue.cameras[dead].name.clone(),
        stand_in: "spare".to_owned(),
        t_number_at_2000_lx: Some(22.0),
    };
    let story = [(clock(15, 40), out), (clock(15, 43), swapped)];
    let spare = planner.plan(&state(&venue, &story), now).unwrap();
    let log = |plan: &DayPlan| {
        let camera = &plan.brief.cameras[dead];
        let exposure = camera.exposures[60].unwrap();
        let setting = camera.setting_at(&plan.brief.spans, 60).unwrap();
        let t = camera.t_at(&plan.brief.spans, 60, exposure.one.white).unwrap();
        2.0 * t.log2() + setting.nd_stops
    };
    assert!((log(&spare) - log(&before) - 2.0).abs() < 1e-9);
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
