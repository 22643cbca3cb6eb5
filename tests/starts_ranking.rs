//! Starts of fixtures ranked: what is counted, under a clear sky and with odds of sun.

use std::cell::RefCell;
use std::collections::HashMap;
use std::convert::Infallible;

use chrono::{NaiveDate, NaiveTime};
use weather_support::year;

use crate::weather_support;
use quarterstop::camera::{LensState, Rig, Verdict, exposure, lens_view};
use quarterstop::engine::Prepared;
use quarterstop::geometry::OverlayScratch;
use quarterstop::jobs::starts::*;
use quarterstop::light::{AirByDate, FloodlightState, Sky};
use quarterstop::solar::SunState;
use quarterstop::venue;
use quarterstop::venue::Venue;
use quarterstop::weather::Odds;

/// Keeps everything in memory; `load` can be told to fail after some blocks.
#[derive(Default)]
struct Memory {
    blocks: RefCell<HashMap<String, Vec<u8>>>,
    saves: RefCell<Vec<String>>,
}

impl Kept for Memory {
    type Error = Infallible;

    fn load(&self, name: &str) -> Option<Vec<u8>> {
        self.blocks.borrow().get(name).cloned()
    }

    fn save(&self, name: &str, bytes: &[u8]) -> Result<(), Infallible> {
        self.saves.borrow_mut().push(name.to_owned());
        self.blocks.borrow_mut().insert(name.to_owned(), bytes.to_vec());
        Ok(())
    }
}

fn football() -> Venue {
    venue::read("venues/football-demo.toml".as_ref()).unwrap()
}

fn time(text: &str) -> NaiveTime {
    NaiveTime::parse_from_str(text, "%H:%M").unwrap()
}

fn date(text: &str) -> NaiveDate {
    NaiveDate::parse_from_str(text, "%Y-%m-%d").unwrap()
}

fn fixture(on: &str, earliest: &str, latest: &str) -> Fixture {
    Fixture {
        name: String::new(),
        venue: 0,
        date: date(on),
        earliest: time(earliest),
        latest: time(latest),
        start: Freedom::Free,
        planned: time(earliest),
        duration_min: None,
    }
}

fn ranked(venue: &Venue, fixtures: &[Fixture], every_min: u32, odds: Option<&Odds>) -> Vec<Ranked> {
    let run = StartsRun {
        venues: std::slice::from_ref(venue),
        fixtures,
        every_min,
        step_min: 5,
        profile: &Profile::default(),
        odds: vec![odds],
        forecasts: vec![None],
    };
    run.ranked(&Memory::default(), |_, _| {}).unwrap()
}

/// The parts of a start as the full computation of the main job counts them.
fn by_the_main_job(venue: &Venue, on: &str, start: &str) -> CostParts {
    let zone = venue.place.zone;
    let prepared = Prepared::new(venue, date(on));
    let air = AirByDate::of_venue(venue).on(date(on));
    let mut bench = OverlayScratch::default();
    let at = date(on).and_time(time(start)).and_local_timezone(zone).unwrap();
    let mut parts = CostParts::default();
    // two halves of 45 minutes with 15 between (IFAB Laws of the Game, Law 7)
    for minute in (0..45).step_by(5).chain((60..105).step_by(5)) {
        let at = at + chrono::TimeDelta::minutes(minute);
        let now = prepared.instant(at, Sky::Clear, &air, &mut bench);
        if now.floodlight == FloodlightState::Lit && now.sun.true_elevation.degrees().abs() <= 6.0 {
            parts.add(CostPart::Dusk, 5.0);
        }
        if now.sun_state != SunState::Up {
            continue;
        }
        if (0.005..=0.995).contains(&now.turf.field.shaded) {
            parts.add(CostPart::Mixed, 5.0);
        }
        let chooses = now.cameras.iter().zip(&venue.cameras).any(|(view, post)| {
            exposure(view, &Rig::of(&post.exposure), &venue.subject)
                .is_some_and(|e| e.verdict == Verdict::Choose)
        });
        parts.add(CostPart::Choose, if chooses { 5.0 } else { 0.0 });
        let main = &venue.cameras[0];
        let obstacles = quarterstop::geometry::Obstacle::all_of(venue, date(on));
        let toward = now.sun.toward();
        let reaches = quarterstop::geometry::transmission_toward(&obstacles, main.at, toward);
        if matches!(
            lens_view(main, toward, reaches).state,
            LensState::InFrame | LensState::OnElement
        ) {
            parts.add(CostPart::MainLens, 5.0);
        }
        for view in &now.cameras {
            for state in [view.turf.state, view.subject.state] {
                let stops = state.in_shot().map_or(0.0, |s| s.stops().abs());
                parts.set(CostPart::WorstSplit, parts.get(CostPart::WorstSplit).max(stops));
            }
        }
    }
    parts
}

/// The quick rows of a season against the main job, which the outside checks hold. The
/// engine's splits may differ by what its own documentation states, so a verdict may
/// fall the other way at its edge: one instant of 5 minutes.
#[test]
fn parts_are_those_of_the_main_job() {
    let venue = football();
    let ranked = ranked(&venue, &[fixture("2027-05-03", "12:00", "19:00")], 210, None);
    assert_eq!(ranked[0].starts.len(), 3);
    let mut some = CostParts::default();
    for (costed, start) in ranked[0].starts.iter().zip(["12:00", "15:30", "19:00"]) {
        let full = by_the_main_job(&venue, "2027-05-03", start);
        for part in CostPart::ALL {
            let (quick, full) = (costed.clear.get(part), full.get(part));
            let allowed = match part {
                CostPart::WorstSplit => 0.1,
                CostPart::Choose => 5.0,
                _ => 0.0,
            };
            assert!((quick - full).abs() <= allowed, "{start} {part:?}: {quick} and {full}");
            some.add(part, full);
        }
        assert!(costed.odds.is_none());
        assert_eq!(costed.clear_cost, Profile::default().cost(&costed.clear));
    }
    assert!(some.get(CostPart::Mixed) > 0.0 && some.get(CostPart::WorstSplit) > 0.5, "{some:?}");
}

/// By hand, two states: sun on the odd days of a year and a full sky on the even ones.
/// Around 16 June lie 15 odd days and 16 even ones: costs are 15/31 of those under a clear
/// sky (without lamps), tenths are those of a day without an edge and of a clear one.
#[test]
fn two_kinds_of_day_give_their_share_of_the_cost() {
    let venue = Venue { floodlights: None, ..football() };
    let made = year(|day, _| if day % 2 == 1 { (1000.0, 0.0) } else { (0.0, 10.0) });
    let odds = Odds::of(&[made]).unwrap();
    let ranked = ranked(&venue, &[fixture("2027-06-16", "15:00", "18:00")], 60, Some(&odds));
    let share = 15.0 / 31.0;
    for start in &ranked[0].starts {
        let odds = start.odds.unwrap();
        assert!(start.clear_cost > 1.0);
        assert!((odds.cost.expected - share * start.clear_cost).abs() < 1e-9);
        assert!((odds.sun - share).abs() < 1e-9);
        let split = start.clear.get(CostPart::WorstSplit);
        assert!((odds.split.expected - share * split).abs() < 1e-9);
        assert_eq!((odds.split.p10, odds.split.p90), (0.0, split));
        assert_eq!((odds.cost.p10, odds.cost.p90), (0.0, start.clear_cost));
        assert_eq!(start.cost(), odds.cost.expected);
        for part in CostPart::ALL {
            assert!((start.part(part) - share * start.clear.get(part)).abs() < 1e-9, "{part:?}");
        }
    }
}

/// No occluder, no edge: nothing but dusk can cost anything.
#[test]
fn a_ground_with_nothing_around_it_costs_nothing() {
    let venue = Venue { occluders: Vec::new(), floodlights: None, ..football() };
    let ranked = ranked(&venue, &[fixture("2027-01-20", "10:00", "17:00")], 60, None);
    for start in &ranked[0].starts {
        let but_lens = [CostPart::Mixed, CostPart::WorstSplit, CostPart::Choose, CostPart::Dusk];
        assert!(but_lens.iter().all(|part| start.clear.get(*part) == 0.0), "{start:?}");
        assert_eq!(start.worst, None);
    }
}

/// Summer time begins in Britain on 28 March 2027 at 01:00 UTC (Summer Time Act 1972 as
/// amended by SI 2002/262): 01:30 is no time of that day.
#[test]
fn starts_that_clocks_skip_are_left_out() {
    let venue = football();
    assert_eq!(venue.place.zone, chrono_tz::Europe::London);
    let day = fixture("2027-03-28", "00:30", "02:30");
    let ranked = ranked(&venue, std::slice::from_ref(&day), 30, None);
    let times: Vec<String> =
        ranked[0].starts.iter().map(|s| s.at.format("%H:%M").to_string()).collect();
    assert_eq!(times, ["00:30", "01:00", "01:30"]);
    let only = fixture("2027-03-28", "01:10", "01:40");
    let venues = [venue];
    let run = StartsRun {
        venues: &venues,
        fixtures: &[only],
        every_min: 30,
        step_min: 5,
        profile: &Profile::default(),
        odds: vec![None],
        forecasts: vec![None],
    };
    assert!(run.check().unwrap_err().to_string().contains("no start from 01:10 to 01:40"));
}

/// It ends on 31 October 2027 at 01:00 UTC: 01:00 to 01:59 come twice, and which one is
/// meant is not guessed.
#[test]
fn starts_that_clocks_repeat_are_left_out() {
    let venue = football();
    let day = fixture("2027-10-31", "00:30", "02:30");
    let ranked = ranked(&venue, std::slice::from_ref(&day), 30, None);
    let times: Vec<String> =
        ranked[0].starts.iter().map(|s| s.at.format("%d %H:%M").to_string()).collect();
    // 00:30 is 23:30 UTC of the day before
    assert_eq!(times, ["30 23:30", "31 02:00", "31 02:30"]);
}

/// A run that finds some blocks done gives the same as one that does all, does only the
/// others, and takes no block that is not whole.
#[test]
fn an_interrupted_run_goes_on_without_losing_or_doubling() {
    let venues = [football(), venue::read("venues/tennis-demo.toml".as_ref()).unwrap()];
    let mut fixtures = Vec::new();
    for i in 0..40 {
        let on = date("2027-04-01") + chrono::Days::new(3 * (i / 2));
        let venue = i as usize % 2;
        fixtures.push(Fixture { venue, date: on, ..fixture("2027-04-01", "15:00", "16:00") });
    }
    let profile = Profile::default();
    let run = StartsRun {
        venues: &venues,
        fixtures: &fixtures,
        every_min: 60,
        step_min: 30,
        profile: &profile,
        odds: vec![None, None],
        forecasts: vec![None, None],
    };
    let whole = Memory::default();
    let first = run.ranked(&whole, |_, _| {}).unwrap();
    assert!(first.iter().map(|r| r.fixture).eq(0..40));
    assert_eq!(whole.saves.borrow().len(), 4);
    let again = Memory::default();
    {
        let (blocks, mut some) = (whole.blocks.borrow(), again.blocks.borrow_mut());
        let names: Vec<&String> = blocks.keys().collect();
        some.insert(names[0].clone(), blocks[names[0]].clone());
        // torn, and another block's
        some.insert(names[1].clone(), blocks[names[1]][..40].to_vec());
        some.insert(names[2].clone(), blocks[names[0]].clone());
    }
    let told = RefCell::new(Vec::new());
    let second = run.ranked(&again, |done, all| told.borrow_mut().push((done, all))).unwrap();
    assert_eq!(first, second);
    assert_eq!(again.saves.borrow().len(), 3);
    assert_eq!(told.borrow().last(), Some(&(40, 40)));
}

/// A start so many minutes after noon.
fn costed(minute: i64, cost: f64) -> Costed {
    let day = date("2027-05-03");
    Costed {
        at: day.and_time(time("12:00")).and_utc() + chrono::TimeDelta::minutes(minute),
        ends: day.and_time(time("16:00")).and_utc(),
        clear: CostParts::default(),
        clear_cost: cost,
        worst: None,
        odds: None,
    }
}

#[test]
fn shifts_and_days_are_means_and_orders() {
    let ranked = |fixture, starts| Ranked { fixture, starts, equal_within: 0.5 };
    let plan = Fixture { planned: time("12:30"), ..fixture("2027-05-03", "12:00", "13:00") };
    let fixed = Fixture { start: Freedom::Fixed, planned: time("12:00"), ..plan.clone() };
    let fixtures = [plan.clone(), plan, fixed];
    let ranked = [
        ranked(0, vec![costed(0, 9.0), costed(30, 5.0), costed(60, 2.0)]),
        ranked(1, vec![costed(0, 1.0), costed(30, 3.0), costed(60, 4.0)]),
        ranked(2, vec![costed(0, 7.0)]),
    ];
    let zones = [chrono_tz::UTC];
    let shifts = shifts(&ranked, &fixtures, &zones);
    let told: Vec<_> =
        shifts.iter().map(|s| (s.by_min, s.fixtures, s.cost, s.saves, s.better, s.worse)).collect();
    assert_eq!(told, [(-30, 2, 5.0, -1.0, 1, 1), (0, 2, 4.0, 0.0, 0, 0), (30, 2, 3.0, 1.0, 1, 1)]);
    let order: Vec<_> =
        days(&ranked, &fixtures, &zones).iter().map(|d| (d.ranked, d.best, d.planned)).collect();
    assert_eq!(order, [(1, 1.0, 3.0), (0, 2.0, 5.0), (2, 7.0, 7.0)]);
    assert_eq!(ranked[0].order(&fixtures[0], chrono_tz::UTC), [2, 1, 0]);
}

/// By hand. Equal within 0.5: 5.0, 5.3 and 5.5 are, 5.6 is not. Of the equals the one
/// nearest to the planned start is named.
#[test]
fn ties_go_to_the_start_nearest_the_planned_one() {
    let zone = chrono_tz::UTC;
    let costs = [5.6, 5.3, 5.0, 7.0, 9.0, 5.5, 8.0];
    let starts = (0..7).map(|i| costed(15 * i, costs[i as usize])).collect();
    let ranked = Ranked { fixture: 0, starts, equal_within: 0.5 };
    let of =
        |planned| Fixture { planned: time(planned), ..fixture("2027-05-03", "12:00", "13:30") };
    let best = |planned| {
        let best = ranked.best(&of(planned), zone).unwrap();
        best.at.format("%H:%M").to_string()
    };
    assert_eq!(best("12:30"), "12:30");
    assert_eq!(best("12:15"), "12:15");
    assert_eq!(best("12:00"), "12:15");
    assert_eq!(best("13:30"), "13:15");
    assert_eq!(best("13:00"), "13:15");
    assert_eq!(best("12:45"), "12:30");
    let runs: Vec<_> = ranked
        .equally_good(&of("12:30"), zone)
        .into_iter()
        .map(|(a, b)| (a.format("%H:%M").to_string(), b.format("%H:%M").to_string()))
        .collect();
    let runs: Vec<(&str, &str)> = runs.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
    assert_eq!(runs, [("12:15", "12:30"), ("13:15", "13:15")]);
    // by the usual weights half a minute of choosing, or a tenth of a stop
    assert_eq!(Profile::default().equal_within(), 0.5);
}

/// A planned start outside of the range is worked out, and is no choice.
#[test]
fn a_planned_start_outside_is_compared_but_not_chosen() {
    let venue = football();
    let zone = venue.place.zone;
    let plan = Fixture { planned: time("18:00"), ..fixture("2027-05-03", "12:00", "13:00") };
    let ranked = &ranked(&venue, std::slice::from_ref(&plan), 30, None)[0];
    let clock = |s: &Costed| s.at.with_timezone(&zone).format("%H:%M").to_string();
    let all: Vec<String> = ranked.starts.iter().map(clock).collect();
    assert_eq!(all, ["12:00", "12:30", "13:00", "18:00"]);
    assert_eq!(clock(ranked.planned(&plan, zone).unwrap()), "18:00");
    let choices: Vec<String> = ranked.choices(&plan, zone).map(clock).collect();
    assert_eq!(choices, ["12:00", "12:30", "13:00"]);
    assert!(choices.contains(&clock(ranked.best(&plan, zone).unwrap())));
    let order = ranked.order(&plan, zone);
    assert_eq!((order.len(), order.contains(&3)), (3, false));
    // 01:30 is no time of the day on which summer time begins
    let lost = Fixture { planned: time("01:30"), ..fixture("2027-03-28", "12:00", "13:00") };
    let venues = [venue];
    let run = StartsRun {
        venues: &venues,
        fixtures: &[lost],
        every_min: 30,
        step_min: 5,
        profile: &Profile::default(),
        odds: vec![None],
        forecasts: vec![None],
    };
    assert!(run.check().unwrap_err().to_string().contains("found 01:30 planned"));
}
