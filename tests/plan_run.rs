//! The plan over time: what must hold at every instant of any match.

use chrono::{NaiveDate, TimeDelta, TimeZone};
use chrono_tz::Tz;
use glam::DVec3;

use crate::support;
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::camera::SplitState;
use quarterstop::engine::{PlanError, Prepared, Settings, run, times};
use quarterstop::geometry::OverlayScratch;
use quarterstop::light::{Air, Sky};
use quarterstop::solar::SunState;
use quarterstop::venue::{CameraPost, Draft, Venue, Zone};

fn ground() -> Venue {
    let mut venue = support::bowl(32, 0.4);
    let half = |name: &str, a: f64, b: f64| Zone {
        name: name.into(),
        outline: support::polygon(
            venue.field.frame,
            &[[a, -34.0], [b, -34.0], [b, 34.0], [a, 34.0]],
        ),
    };
    venue.zones = vec![half("behind", -52.5, 0.0), half("ahead", 0.0, 52.5)];
    let camera = |name: &str, at: DVec3, fov: f64| CameraPost {
        name: name.into(),
        at,
        aims: vec![DVec3::ZERO],
        horizontal_fov_deg: fov,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    };
    venue.cameras = vec![
        camera("wide", DVec3::new(60.0, -30.0, 20.0), 50.0),
        camera("tight", DVec3::new(60.0, -30.0, 20.0), 4.0),
        camera("reverse", DVec3::new(-60.0, 30.0, 15.0), 40.0),
    ];
    venue
}

fn afternoon(sky: Sky) -> Settings {
    let from = Tz::Europe__London.with_ymd_and_hms(2027, 4, 17, 15, 0, 0).unwrap();
    Settings {
        from,
        until: from + TimeDelta::hours(6),
        step: TimeDelta::minutes(5),
        sky,
        air: Air::default(),
        hold: quarterstop::base::units::Stops::from_stops(2.0),
        milestones: Vec::new(),
    }
}

#[test]
fn shares_luminances_and_splits_are_sound_at_every_instant() {
    let venue = ground();
    let plan = run(&venue, &afternoon(Sky::Clear), |_, _| {}).unwrap();
    assert_eq!(plan.instants.len(), 73);
    let mut seen_in_shot = 0;
    for instant in &plan.instants {
        for plane in [&instant.turf, &instant.face] {
            for share in plane.zones.iter().chain([&plane.field]) {
                assert!((0.0..=1.0).contains(&share.opaque), "{share:?}");
                assert!(share.opaque <= share.shaded + 1e-12 && share.shaded <= 1.0, "{share:?}");
                let all_shade = 1.0 - share.shaded;
                assert!(share.mean_transmission >= all_shade - 1e-9, "{share:?}");
                assert!(share.mean_transmission <= 1.0 - share.opaque + 1e-9, "{share:?}");
            }
            let mean = plane.zones.iter().map(|z| z.shaded).sum::<f64>() / 2.0;
            assert!((mean - plane.field.shaded).abs() < 1e-6, "halves add up to the field");
        }
        // what stands above a face casts a smaller shadow at face height
        if instant.sun_state == SunState::Up {
            assert!(instant.face.field.shaded <= instant.turf.field.shaded + 1e-9);
        }
        for view in &instant.cameras {
            for split in [view.turf, view.subject] {
                if let SplitState::InShot(stops) = split.state {
                    seen_in_shot += 1;
                    // both sides are the same places: never darker in the brighter light
                    assert!((0.0..10.0).contains(&stops.stops()), "{} {split:?}", instant.at);
                    let sides = split.sides().unwrap();
                    let [bright, dark] = [sides.0, sides.1].map(|side| side.luminance.cd_per_m2());
                    assert!(((bright / dark).log2() - stops.stops()).abs() < 1e-12);
                    let shares = split.shares;
                    let sum = shares.sun + shares.dimmed + shares.shade;
                    assert!((sum - 1.0).abs() < 1e-9, "{shares:?}");
                }
            }
        }
        if instant.sun_state != SunState::Up {
            assert_eq!(instant.turf.field.shaded, 1.0);
            assert!(instant.cameras.iter().all(|c| c.turf.state == SplitState::NoEdge));
        }
    }
    assert!(seen_in_shot > 30, "{seen_in_shot}");
    assert!(
        plan.instants.iter().any(|i| i.sun_state == SunState::Down),
        "the sun sets in the window"
    );
}

#[test]
fn an_overcast_sky_has_no_edge_but_keeps_the_geometry() {
    let venue = ground();
    let clear = run(&venue, &afternoon(Sky::Clear), |_, _| {}).unwrap();
    let grey = run(&venue, &afternoon(Sky::Overcast), |_, _| {}).unwrap();
    for (a, b) in clear.instants.iter().zip(&grey.instants) {
        assert_eq!(a.turf.field, b.turf.field);
        assert!(b.cameras.iter().all(|c| c.turf.state == SplitState::NoEdge));
        assert_eq!(b.daylight.direct_normal.lux(), 0.0);
    }
}

#[test]
fn a_hill_on_the_skyline_takes_the_sun_before_it_sets() {
    let mut venue = ground();
    let settings = afternoon(Sky::Clear);
    let up = |venue: &Venue| {
        let plan = run(venue, &settings, |_, _| {}).unwrap();
        plan.instants.iter().filter(|i| i.sun_state == SunState::Up).count()
    };
    let open = up(&venue);
    venue.horizon.profile = vec![(Azimuth::from_degrees(270.0), Elevation::from_degrees(8.0))];
    let behind = up(&venue);
    // at 52 degrees north the spring sun sinks about 0.15 degree a minute: 8
    // degrees are nearly an hour, ten steps of five minutes
    assert!((9..=13).contains(&(open - behind)), "{open} {behind}");
}

#[test]
fn the_same_plan_comes_out_twice_and_progress_counts_up() {
    use std::sync::atomic::{AtomicUsize, Ordering};
    let venue = ground();
    let told = AtomicUsize::new(0);
    let a = run(&venue, &afternoon(Sky::Clear), |_, all| {
        assert_eq!(all, 73);
        told.fetch_add(1, Ordering::Relaxed);
    })
    .unwrap();
    assert_eq!(told.into_inner(), 73);
    let b = run(&venue, &afternoon(Sky::Clear), |_, _| {}).unwrap();
    for (x, y) in a.instants.iter().zip(&b.instants) {
        assert_eq!(x.at, y.at);
        assert_eq!(x.turf.field, y.turf.field);
        assert_eq!(x.cameras, y.cameras);
    }
}

#[test]
fn windows_that_lead_nowhere_are_refused() {
    let good = afternoon(Sky::Clear);
    let backward = Settings { until: good.from - TimeDelta::minutes(1), ..good.clone() };
    assert!(matches!(times(&backward), Err(PlanError::EmptyWindow { .. })));
    let still = Settings { step: TimeDelta::zero(), ..good.clone() };
    assert!(matches!(times(&still), Err(PlanError::Step { .. })));
    let endless = Settings {
        until: good.from + TimeDelta::days(400),
        step: TimeDelta::seconds(1),
        ..good.clone()
    };
    assert!(matches!(times(&endless), Err(PlanError::TooMany { .. })));
    // clocks go forward in the night: an hour of wall time is missing, none of elapsed
    let from = Tz::Europe__London.with_ymd_and_hms(2027, 3, 28, 0, 0, 0).unwrap();
    let night =
        Settings { from, until: from + TimeDelta::hours(3), step: TimeDelta::minutes(30), ..good };
    let wall: Vec<String> =
        times(&night).unwrap().iter().map(|t| t.format("%H:%M").to_string()).collect();
    assert_eq!(wall, ["00:00", "00:30", "02:00", "02:30", "03:00", "03:30", "04:00"]);
}

/// Whatever is changed, and whatever of it is taken over from before, an instant is that of a
/// venue prepared anew, to the last bit.
#[test]
fn a_venue_prepared_out_of_one_before_is_the_same() {
    let text = std::fs::read_to_string("venues/football-demo.toml").unwrap();
    let changed = |key: &str, value: f64| {
        let mut draft = Draft::parse(&text, "ground.toml").unwrap();
        let address = draft.address_at(key).unwrap().clone();
        draft.set(&address, value).unwrap();
        draft.venue().unwrap()
    };
    let first = Draft::parse(&text, "ground.toml").unwrap().venue().unwrap();
    let in_leaf = NaiveDate::from_ymd_opt(2027, 6, 5).unwrap();
    let bare = NaiveDate::from_ymd_opt(2027, 2, 20).unwrap();
    let before = Prepared::new(&first, in_leaf);
    let mut bench = OverlayScratch::default();
    for (venue, date) in [
        (changed("camera[4].at[2]", 9.0), in_leaf),
        (changed("stand[0].roof.front_height_m", 17.25), in_leaf),
        (first.clone(), bare),
    ] {
        let time = date.and_hms_opt(16, 10, 0).unwrap();
        let at = time.and_local_timezone(venue.place.zone).single().unwrap();
        let mut instant = |prepared: &Prepared| {
            format!("{:?}", prepared.instant(at, Sky::Clear, &Air::default(), &mut bench))
        };
        let anew = instant(&Prepared::new(&venue, date));
        let after = instant(&Prepared::after(&venue, date, &before));
        assert!(after == anew, "{date}");
        assert!(after != instant(&before), "nothing was changed");
    }
}
