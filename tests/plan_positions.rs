//! Places compared: against the main job, against sun and geometry worked by hand, and
//! against each other.

use std::path::Path;

use chrono::{TimeDelta, TimeZone};
use chrono_tz::Tz;

use quarterstop::base::units::Stops;
use quarterstop::camera::SplitState;
use quarterstop::engine::{Milestone, Settings, programme, run};
use quarterstop::jobs::match_plan::facts;
use quarterstop::jobs::positions::{
    PenaltyPart, PlayTime, PositionSettings, PositionWeights, Positions, PositionsError,
    ScoredPosition, SetSearch, positions,
};
use quarterstop::light::{Air, Sky};
use quarterstop::venue::{Play, Venue, parse, read};

/// Splits of cameras that share faces differ by less from those of the main job: a
/// fifth of the quarter of a stop that cameras are matched to.
const SHARED_STOPS: f64 = 0.05;

fn play(zone: Tz, day: (i32, u32, u32), hour: u32, minutes: i64) -> PlayTime {
    let start = zone.with_ymd_and_hms(day.0, day.1, day.2, hour, 0, 0).unwrap();
    let end = start + TimeDelta::minutes(minutes);
    let moment = |name: &str, at, play| Milestone { name: name.into(), at, play };
    PlayTime {
        milestones: vec![moment("start", start, Play::Starts), moment("end", end, Play::Stops)],
        within: (start, end),
    }
}

fn settings(matches: Vec<PlayTime>) -> PositionSettings {
    PositionSettings {
        matches,
        step: TimeDelta::minutes(5),
        sky: Sky::Clear,
        air: Air::default().into(),
        over: vec![Stops::from_stops(2.0), Stops::from_stops(3.0)],
        weights: PositionWeights::default(),
        set: None,
        apart_m: 0.0,
    }
}

fn compared(venue: &Venue, settings: &PositionSettings) -> Positions {
    positions(venue, settings, |_, _| {}).unwrap_or_else(|e| panic!("{e}"))
}

fn demo() -> Venue {
    read(Path::new("venues/football-demo.toml")).unwrap()
}

/// The cameras of the demo as the main job sees them, minute for minute, and as they are
/// seen among hundreds.
#[test]
fn cameras_that_are_there_come_out_as_in_the_main_job() {
    let mut venue = demo();
    let zone = venue.place.zone;
    venue.candidates.truncate(1);
    let start = zone.with_ymd_and_hms(2027, 10, 16, 15, 0, 0).unwrap();
    let milestones = programme(&venue).milestones_from(start);
    let until = milestones[1].at;
    let asked = PlayTime { milestones: milestones.clone(), within: (start, until) };
    let found = compared(&venue, &settings(vec![asked]));
    assert_eq!(found.play_min, 45.0);
    let plan = Settings {
        from: start,
        until: until - TimeDelta::minutes(5),
        step: TimeDelta::minutes(5),
        sky: Sky::Clear,
        air: Air::default(),
        hold: Stops::from_stops(2.0),
        milestones,
    };
    let plan = run(&venue, &plan, |_, _| {}).unwrap();
    for (camera, post) in venue.cameras.iter().enumerate() {
        let site = &found.sites[camera];
        let targets = [facts::SplitTarget::Turf, facts::SplitTarget::Subject];
        let splits = |instant: &quarterstop::engine::Instant| {
            let of = |t: facts::SplitTarget| match t.split(&instant.cameras[camera]).state {
                SplitState::InShot(stops) => Some(stops.stops().abs()),
                _ => None,
            };
            targets.into_iter().filter_map(of).reduce(f64::max)
        };
        let wanted = plan.instants.iter().filter_map(splits).reduce(f64::max);
        let near = |a: f64, b: f64| (a - b).abs() < SHARED_STOPS;
        match (site.widest.map(|w| w.stops()), wanted) {
            (Some(found), Some(wanted)) => {
                assert!(near(found, wanted), "{}: {found} {wanted}", post.name);
            }
            (found, wanted) => assert_eq!(found.is_some(), wanted.is_some(), "{}", post.name),
        }
        // minutes over a limit, but for those that lie within the tolerance of it
        for (over, minutes) in [2.0, 3.0].into_iter().zip(&site.over_min) {
            let count = |limit: f64| {
                plan.instants.iter().filter_map(splits).filter(|s| *s > limit).count() as f64
            };
            let (least, most) =
                (5.0 * count(over + SHARED_STOPS), 5.0 * count(over - SHARED_STOPS));
            assert!((least..=most).contains(minutes), "{}: {minutes} {least} {most}", post.name);
        }
    }
}

/// A ground whose along is north, on the equator of time: UTC at longitude 0.
const OPEN: &str = r#"title = "Open"
[place]
latitude_deg = 45.0
longitude_deg = 0.0
height_m = 0.0
zone = "Etc/UTC"
[field]
sport = "football"
bearing_deg = 0.0
"#;

fn open(more: &str) -> Venue {
    parse(&format!("{OPEN}{more}"), "ground.toml").unwrap_or_else(|e| panic!("{e}"))
}

fn wish(name: &str, at: [f64; 3]) -> String {
    format!(
        "[[candidate]]\nname = \"{name}\"\nat = {at:?}\naim = [[0.0, 0.0]]\n\
         horizontal_fov_deg = 30.0\n"
    )
}

fn site<'a>(found: &'a Positions, name: &str) -> &'a ScoredPosition {
    found.sites.iter().find(|s| s.post.name == name).unwrap()
}

/// By hand: at 45 north on 21 June the sun at noon is in the south, 68.4 degrees high. A
/// camera north of its subject has it lit from behind, one in the south from the front.
/// Late in the day the sun stands low in the west-north-west: a low camera in the east
/// has it before its lens, and no occluder shades anyone.
#[test]
fn back_light_and_sun_in_the_lens_follow_from_where_the_sun_is() {
    let venue = open(
        &[
            wish("north", [60.0, 0.0, 5.0]),
            wish("south", [-60.0, 0.0, 5.0]),
            wish("west", [0.0, 45.0, 5.0]),
        ]
        .concat(),
    );
    let noon = compared(&venue, &settings(vec![play(Tz::UTC, (2027, 6, 21), 12, 10)]));
    for (name, back_lit) in [("north", 1.0), ("south", 0.0), ("west", 0.0)] {
        let parts = &site(&noon, name).parts;
        assert_eq!(parts.get(PenaltyPart::BackLit), back_lit, "{name}");
        assert_eq!(parts.get(PenaltyPart::OwnSun), 1.0);
        assert_eq!(
            (parts.get(PenaltyPart::SunInFrame), parts.get(PenaltyPart::Hidden)),
            (0.0, 0.0)
        );
    }
    // sunset is at 19:51; at 19:30 the sun is about 3 degrees high at azimuth 303
    let azimuth: f64 = 301.5;
    let (along, across) = (-60.0 * azimuth.to_radians().cos(), 60.0 * azimuth.to_radians().sin());
    let venue = open(
        &[wish("into it", [along, across, 1.0]), wish("away", [-along, -across, 1.0])].concat(),
    );
    let evening = compared(&venue, &settings(vec![play(Tz::UTC, (2027, 6, 21), 19, 30)]));
    assert_eq!(site(&evening, "into it").parts.get(PenaltyPart::SunInFrame), 1.0);
    assert_eq!(site(&evening, "away").parts.get(PenaltyPart::SunInFrame), 0.0);
    assert_eq!(site(&evening, "away").parts.get(PenaltyPart::SunOnLens), 0.0);
    let penalty = |name| site(&evening, name).penalty.unwrap();
    assert!(penalty("into it") > penalty("away") + 1.9);
}

/// Of two cameras at one place, one is the other: no difference, the same penalty. One
/// that sees no mark that others see has nothing to be matched by.
#[test]
fn a_place_where_a_camera_stands_already_is_that_camera() {
    let mut venue = demo();
    let camera = venue.cameras[2].clone();
    venue.candidates.truncate(1);
    venue.candidates[0].instead_of = None;
    venue.candidates[0].posts = vec![camera];
    let found = compared(&venue, &settings(vec![play(venue.place.zone, (2027, 10, 16), 15, 30)]));
    let (old, new) = (&found.sites[2], found.sites.last().unwrap());
    assert_eq!(found.fixed.len(), 5);
    assert_eq!((old.gaps[2], new.gaps[2]), (None, Some(0.0)));
    assert_eq!(old.over_min, new.over_min);
    for part in PenaltyPart::ALL.into_iter().filter(|p| *p != PenaltyPart::Mismatch) {
        assert_eq!(old.parts.get(part), new.parts.get(part), "{part:?}");
    }
    for (a, b) in old.gaps.iter().zip(&new.gaps).filter(|(a, _)| a.is_some()) {
        assert_eq!(a, b);
    }
}

/// By hand: a screen before a low camera, as wide as half of its picture at the centre.
#[test]
fn what_stands_before_the_lens_hides_its_share_of_the_cover() {
    let screen = "[[panel]]\nname = \"screen\"\ncorners = [[-52.6, 0.0, 0.0], [-52.6, 30.0, 0.0], \
         [-52.6, 30.0, 40.0], [-52.6, 0.0, 40.0]]\n";
    let venue = open(&format!("{screen}{}", wish("low", [-60.0, 0.0, 4.0])));
    let found = compared(&venue, &settings(vec![play(Tz::UTC, (2027, 6, 21), 11, 10)]));
    let hidden = site(&found, "low").parts.get(PenaltyPart::Hidden);
    assert!((hidden - 0.5).abs() < 0.06, "{hidden}");
}

#[test]
fn a_set_of_one_is_the_lowest_penalty_and_more_matches_leave_shares_alone() {
    let mut venue = demo();
    venue.candidates[0].posts.truncate(12);
    venue.candidates[1].posts.truncate(6);
    venue.candidates.truncate(2);
    let one = play(venue.place.zone, (2027, 10, 16), 15, 30);
    let mut asked = settings(vec![one.clone()]);
    asked.set = Some(1);
    let found = compared(&venue, &asked);
    let least = found.picks.iter().flatten().copied();
    let penalty = |i: &usize| found.sites[*i].penalty.unwrap();
    let least = least.min_by(|a, b| penalty(a).total_cmp(&penalty(b))).unwrap();
    let SetSearch::Found(set) = &found.set else { panic!("{:?}", found.set) };
    assert_eq!(set.places, [least]);
    assert!((set.cost - penalty(&least)).abs() < 1e-9 && set.proven);
    // the same match twice
    let twice = compared(&venue, &settings(vec![one.clone(), one]));
    assert_eq!((twice.play_min, twice.matches), (60.0, 2));
    for (a, b) in found.sites.iter().zip(&twice.sites) {
        assert!((a.penalty.unwrap() - b.penalty.unwrap()).abs() < 1e-9);
        assert!((2.0 * a.over_min[0] - b.over_min[0]).abs() < 1e-9);
    }
    // the pair is at least as far apart as asked, and costs more where it must be farther
    let pair = |apart_m| {
        let mut asked = settings(vec![play(venue.place.zone, (2027, 10, 16), 15, 30)]);
        (asked.set, asked.apart_m) = (Some(2), apart_m);
        compared(&venue, &asked)
    };
    let (near, far) = (pair(0.0), pair(38.0));
    let (SetSearch::Found(near), SetSearch::Found(set)) = (&near.set, &far.set) else {
        panic!("{:?} {:?}", near.set, far.set)
    };
    let distance = far.sites[set.places[0]].post.at.distance(far.sites[set.places[1]].post.at);
    assert!(distance >= 38.0 && set.cost >= near.cost, "{distance}");
    assert_eq!(pair(900.0).set, SetSearch::NoneApart);
}

#[test]
fn what_cannot_be_compared_is_refused() {
    let play_time = play(Tz::UTC, (2027, 6, 21), 11, 60);
    let refused = |venue: &Venue, settings: &PositionSettings| {
        positions(venue, settings, |_, _| {}).unwrap_err()
    };
    let asked = settings(vec![play_time.clone()]);
    assert_eq!(refused(&open(""), &asked), PositionsError::NoCandidates);
    let venue = open(&wish("one", [60.0, 0.0, 5.0]));
    assert_eq!(refused(&venue, &settings(Vec::new())), PositionsError::NoPlay);
    let two = PositionSettings { set: Some(2), ..asked.clone() };
    assert!(refused(&venue, &two).to_string().contains("allow 1"));
    let fine = PositionSettings { step: TimeDelta::milliseconds(10), ..asked };
    assert!(matches!(refused(&venue, &fine), PositionsError::TooMany { .. }));
}

/// A camera that looks away from the field has no penalty, and is no pick.
#[test]
fn a_place_that_sees_nothing_is_no_pick() {
    let away = "[[candidate]]\nname = \"away\"\nat = [0.0, 60.0, 5.0]\naim = [[0.0, 200.0]]\n\
         horizontal_fov_deg = 30.0\n";
    let found = compared(&open(away), &settings(vec![play(Tz::UTC, (2027, 6, 21), 11, 10)]));
    assert_eq!((found.sites[0].penalty, found.picks[0]), (None, None));
    assert!(found.front.is_empty());
}
