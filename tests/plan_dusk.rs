//! From daylight to floodlights on the football demo, an evening in October.

use std::path::Path;

use chrono::{TimeDelta, TimeZone};

use quarterstop::base::units::Stops;
use quarterstop::engine::{MatchPlan, Settings};
use quarterstop::jobs::match_plan::dusk::{Dusk, Leader};
use quarterstop::jobs::match_plan::facts::SplitTarget;
use quarterstop::light::{Air, ColourTemperature, Sky};
use quarterstop::venue::Venue;
use quarterstop::{engine, venue};

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/venues/football-demo.toml");
/// Of the demo: floodlights of 5600 K, 2000 lx on the turf, on under 8000 lx of daylight.
const LAMP_MIRED: f64 = 1e6 / 5600.0;
/// A minute of October at 52 north lowers the sun by 0.14 degree, which takes 0.27 stop of
/// twilight at its steepest; the low sun's last light on faces goes as fast.
const STOPS_A_MINUTE: f64 = 0.4;

/// From 17:00, the sun at 10 degrees, to 18:50, six degrees under the horizon.
fn evening(venue: &Venue, sky: Sky) -> MatchPlan {
    let at =
        |hour, minute| venue.place.zone.with_ymd_and_hms(2027, 10, 16, hour, minute, 0).unwrap();
    let settings = Settings {
        from: at(17, 0),
        until: at(18, 50),
        step: TimeDelta::minutes(1),
        sky,
        air: Air::default(),
        hold: Stops::from_stops(2.0),
        milestones: Vec::new(),
    };
    engine::run(venue, &settings, |_, _| {}).unwrap()
}

#[test]
fn daylight_gives_way_to_floodlights_without_a_step() {
    let venue = venue::read(Path::new(DEMO)).unwrap();
    let plan = evening(&venue, Sky::Clear);
    let dusk = Dusk::of(&plan).unwrap();
    assert_eq!(dusk.cameras.len(), venue.cameras.len());
    for (index, camera) in dusk.cameras.iter().enumerate() {
        let name = &venue.cameras[index].name;
        for target in [SplitTarget::Turf, SplitTarget::Subject] {
            let mixes: Vec<_> = camera.mixes(target).iter().map(|m| m.unwrap()).collect();
            for (pair, times) in mixes.windows(2).zip(dusk.times.windows(2)) {
                let fell = (pair[0].daylight.lux() / pair[1].daylight.lux()).log2();
                assert!(fell.abs() < STOPS_A_MINUTE, "{name} {target:?} {}: {fell}", times[1]);
            }
            let takeovers = dusk.takeovers(index, target);
            println!("{name} {target:?}: {:?}", takeovers.iter().map(|t| t.at).collect::<Vec<_>>());
            assert_eq!(takeovers.len(), 1, "{name} {target:?}");
            assert_eq!(takeovers[0].leader, Leader::Floodlights);
            let last = mixes.last().unwrap();
            let mired = ColourTemperature::of(last.all()).unwrap().mired();
            assert!((mired - LAMP_MIRED).abs() < 3.0, "{name} {target:?}: {mired}");
            assert!(last.floodlights_over_daylight().unwrap() > 5.0);
        }
    }
    // the balance ends at that of the lamps, and never moves by less than its step
    assert!(dusk.balance.iter().all(|m| m.by_mired.abs() >= 25.0));
    let held = dusk.balance.last().map(|m| m.to_mired).or(dusk.first_balance_mired).unwrap();
    assert!((held - LAMP_MIRED).abs() < 26.0, "{held}");
    for m in &dusk.balance {
        println!("{} {:.0} K {:+.0}", m.at, m.to_kelvin(), m.by_mired);
    }
}

#[test]
fn a_bright_afternoon_and_a_night_have_no_dusk() {
    let mut venue = venue::read(Path::new(DEMO)).unwrap();
    venue.floodlights = None;
    let at = |hour| venue.place.zone.with_ymd_and_hms(2027, 10, 16, hour, 0, 0).unwrap();
    let settings = |from| Settings {
        from,
        until: from + TimeDelta::minutes(30),
        step: TimeDelta::minutes(10),
        sky: Sky::Clear,
        air: Air::default(),
        hold: Stops::from_stops(2.0),
        milestones: Vec::new(),
    };
    for hour in [13, 22] {
        let plan = engine::run(&venue, &settings(at(hour)), |_, _| {}).unwrap();
        assert_eq!(Dusk::of(&plan), None, "{hour}");
    }
}
