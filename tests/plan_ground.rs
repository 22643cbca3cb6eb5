//! Shadow, covers and the brief on all of the ground, not the field of play alone.

use chrono::{DateTime, NaiveDate, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;
use geo::{Area, Contains, Coord, Point};
use glam::DVec3;

use quarterstop::base::frame::{FieldPoint, direction};
use quarterstop::base::units::{Azimuth, Elevation, Stops};
use quarterstop::camera::{ONE_SETTING_STOPS, OneSide, SidesInCover, Verdict, cover_ground};
use quarterstop::engine::season::{Season, Splits, Wanted, Weather};
use quarterstop::engine::{MatchPlan, Prepared, Settings};
use quarterstop::geometry::{
    Caster, Obstacle, OverlayScratch, TURF_HEIGHT_M, Terrain, transmission_toward,
};
use quarterstop::jobs::crew::{Brief, BriefSettings, brief};
use quarterstop::light::{Air, Sky};
use quarterstop::solar::SunState;
use quarterstop::venue::{CameraPost, Venue, parse};
use quarterstop::{engine, solar};

/// An invented rugby ground. The clubhouse stands 3 m behind the dead-ball line, to the
/// south: at noon of that day the sun stands 33 degrees high, and the shadow of 8 m of
/// clubhouse is 12.3 m long, which ends before the goal line, 13 m away. Near an equinox
/// its tip runs west to east, so it lies in the in-goal all through the match.
const MEADOW: &str = r#"
title = "Pell Meadow"
[place]
latitude_deg = 50.0
longitude_deg = 0.0
height_m = 20.0
zone = "Europe/London"
[field]
sport = "rugby_union"
bearing_deg = 0.0
in_goal_m = 10.0
[[zone]]
name = "presentation spot"
corners = [[-4.0, 36.0], [4.0, 36.0], [4.0, 39.0], [-4.0, 39.0]]
[[solid]]
name = "Clubhouse"
footprint = [[-75.0, -45.0], [-63.0, -45.0], [-63.0, 45.0], [-75.0, 45.0]]
top_m = 8.0
[[camera]]
name = "1 in-goal"
at = [-40.0, 48.0, 9.0]
looks_at = ["in-goal behind"]
horizontal_fov_deg = 40.0
[[camera]]
name = "2 halfway"
at = [0.0, 48.0, 9.0]
looks_at = ["centre spot"]
horizontal_fov_deg = 30.0
[fixture]
date = "2026-10-09"
start = "12:00"
"#;

fn meadow() -> Venue {
    parse(MEADOW, "meadow.toml").unwrap_or_else(|e| panic!("{e}"))
}

fn settings(venue: &Venue) -> Settings {
    let fixture = venue.fixture.unwrap();
    let start: DateTime<Tz> =
        solar::resolve(venue.place.zone, fixture.date, fixture.start, None).unwrap();
    let programme = engine::programme(venue);
    let (from, until) = programme.window_from(start);
    Settings {
        from,
        until,
        step: TimeDelta::minutes(5),
        sky: Sky::Clear,
        air: Air::default(),
        hold: Stops::from_stops(2.0),
        milestones: programme.milestones_from(start),
    }
}

fn briefed(venue: &Venue) -> (MatchPlan, Brief) {
    let settings = settings(venue);
    let prepared = Prepared::new(venue, settings.from.date_naive());
    let plan = prepared.run(&settings, |_, _| {}).unwrap();
    let brief = brief(&prepared, &plan, &BriefSettings::default()).unwrap();
    (plan, brief)
}

/// The story of an in-goal in the clubhouse's shadow: nothing of it lies on the field of
/// play, and the camera that shows the in-goal must not be told that all is one light.
#[test]
fn an_in_goal_in_the_clubhouses_shadow_is_in_the_brief() {
    let venue = meadow();
    let (plan, brief) = briefed(&venue);
    let zone = venue.zones.iter().position(|z| z.name == "in-goal behind").unwrap();
    for instant in &plan.instants {
        assert_eq!(instant.turf.field.shaded, 0.0, "{}", instant.at);
        let in_goal = instant.turf.zones[zone].shaded;
        assert!((0.8..1.0).contains(&in_goal), "{}: {in_goal}", instant.at);
        // that of one of two in-goals of 700 m2 each, of 8400 m2
        let wanted = in_goal * 700.0 / 8400.0;
        assert!((instant.turf.playing_area.shaded - wanted).abs() < 1e-9);
        assert!(instant.turf.surrounds.shaded > wanted * 8400.0 / (130.0 * 80.0));
        let [in_goal, halfway] = [&instant.cameras[0], &instant.cameras[1]];
        assert!(in_goal.shaded_share > 0.2, "{}: {}", instant.at, in_goal.shaded_share);
        assert!(in_goal.turf.state.in_shot().is_some(), "{}", instant.at);
        assert_eq!(halfway.shaded_share, 0.0);
    }
    let cover = &plan.covers[0];
    assert!(cover.field_m2 < cover.playing_area_m2 && cover.playing_area_m2 < cover.area_m2);
    let exposures = |camera: usize| brief.cameras[camera].exposures.iter().flatten();
    // one iris is no more than a compromise for the in-goal: more than a stop apart, and each
    // side off by more than cameras are matched to
    for exposure in exposures(0) {
        assert_eq!(exposure.sides, SidesInCover::Both);
        assert!(exposure.ride.unwrap().stops() > 1.0, "{exposure:?}");
        assert!(exposure.one.over.stops() > 0.5 * ONE_SETTING_STOPS, "{exposure:?}");
        assert!(exposure.verdict != Verdict::Ride, "both sides are in every frame");
    }
    for exposure in exposures(1) {
        assert_eq!(exposure.verdict, Verdict::Hold);
        assert_eq!(exposure.sides, SidesInCover::Only(OneSide::AllSunlit));
    }
}

/// The share of each zone against rays from a grid of places to the sun, which have no
/// code in common with the polygons.
#[test]
fn zones_off_the_field_are_shaded_as_rays_find_them() {
    // lower, so that the edge crosses the in-goal, and a hut beside the presentation spot
    let text = MEADOW.replace("top_m = 8.0", "top_m = 5.0");
    let mast = "[[solid]]\nname = \"Hut\"\n\
        footprint = [[-9.0, 37.0], [-7.0, 37.0], [-7.0, 39.5], [-9.0, 39.5]]\ntop_m = 3.0\n";
    let venue = parse(&format!("{text}{mast}"), "meadow.toml").unwrap_or_else(|e| panic!("{e}"));
    let date = venue.fixture.unwrap().date;
    let prepared = Prepared::new(&venue, date);
    let obstacles = Obstacle::all_of(&venue, date);
    let mut bench = OverlayScratch::default();
    for hour in [11, 13, 15, 16] {
        let at = Tz::Europe__London.with_ymd_and_hms(2026, 10, 9, hour, 0, 0).unwrap();
        let instant = prepared.instant(at, Sky::Clear, &Air::default(), &mut bench);
        assert_eq!(instant.sun_state, SunState::Up);
        for (zone, share) in venue.zones.iter().zip(&instant.turf.zones) {
            let (mut all, mut dark) = (0, 0);
            for p in grid(&venue, 0.5) {
                if !zone.outline.contains(&Point(p)) {
                    continue;
                }
                all += 1;
                let from = DVec3::new(p.x, p.y, 1e-6);
                let sun = instant.sun.toward();
                dark += usize::from(transmission_toward(&obstacles, from, sun).share() < 0.5);
            }
            let by_rays = dark as f64 / f64::from(all);
            // places half a metre apart: an edge passes between them
            assert!((share.shaded - by_rays).abs() < 0.06, "{}: {share:?} {by_rays}", zone.name);
        }
    }
}

fn grid(venue: &Venue, step: f64) -> Vec<Coord<f64>> {
    let steps = |half: f64| (-half / step) as i32..(half / step) as i32;
    let places = steps(64.0).flat_map(|i| steps(40.0).map(move |j| (i, j)));
    let at = |(i, j): (i32, i32)| {
        let (along, across) = ((f64::from(i) + 0.5) * step, (f64::from(j) + 0.5) * step);
        let p = venue.field.frame.to_local(FieldPoint::on_ground(along, across));
        Coord { x: p.x, y: p.y }
    };
    places.map(at).collect()
}

/// Areas and shares of a caster over the ground are those of one over the field, through
/// opaque and translucent roofs, for fields that are boxes and others.
#[test]
fn a_caster_over_the_ground_tells_the_same_of_the_field() {
    let date = NaiveDate::from_ymd_opt(2026, 10, 9).unwrap();
    // on the ground of the golf demo shade that is worked out facet by facet reaches about 30
    // cells of a grid beyond the facet, 60 micrometres, and each caster has a grid of its own:
    // along some hundred metres of such borders that is a millionth of the field
    for (name, rounding) in [("football", 1e-8), ("tennis", 1e-8), ("golf", 1e-6)] {
        let path = format!("venues/{name}-demo.toml");
        let venue = quarterstop::venue::read(std::path::Path::new(&path)).unwrap();
        let field = Caster::new(&venue, date, TURF_HEIGHT_M);
        let ground = Caster::over_ground(&venue, date, TURF_HEIGHT_M);
        let mut bench = OverlayScratch::default();
        for i in 0..120 {
            let azimuth = Azimuth::from_degrees(3.0 * f64::from(i));
            let sun = direction(azimuth, Elevation::from_degrees(3.0 + 0.5 * f64::from(i)));
            let (one, other) = (field.cast(sun, &mut bench), ground.cast(sun, &mut bench));
            let (a, b) = (one.field_share(), other.field_share());
            for (x, y) in [
                (a.opaque, b.opaque),
                (a.shaded, b.shaded),
                (a.mean_transmission, b.mean_transmission),
            ] {
                assert!((x - y).abs() < rounding, "{name}, sun {i}: {a:?} {b:?}");
            }
        }
        assert!((field.field_area_m2() - ground.field_area_m2()).abs() < 1e-3);
        let night = ground.darkness();
        assert_eq!(night.field_share().shaded, 1.0);
        assert!(night.opaque.unsigned_area() >= venue.field.surrounds.unsigned_area() - 1e-6);
    }
}

/// Straight down from height h over the goal line: a rectangle of 2 h tan(fov / 2) along
/// by 9/16 of it across, half of it on the field of play; 10 m of the other half are
/// in-goal, 5 m ground behind it.
#[test]
fn a_cover_says_how_much_of_it_is_field_and_playing_area() {
    let venue = meadow();
    let (height, fov) = (40.0, 50.0_f64);
    let width = 2.0 * height * (fov / 2.0).to_radians().tan();
    let post = CameraPost {
        name: "overhead".into(),
        at: DVec3::new(0.0, 50.0, height),
        aims: vec![DVec3::new(0.0, 50.0, 0.0)],
        horizontal_fov_deg: fov,
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    };
    let seen = cover_ground(&post, &venue.field, &venue.zones, &Terrain::LEVEL);
    // a frame whose up is undefined turns with the crane: either way round
    let (wide, high) = (width, width * 9.0 / 16.0);
    let by_hand = |across: f64, along: f64| {
        let strip = |depth: f64| across.min(70.0) * depth.min(along / 2.0);
        (strip(along / 2.0), strip(along / 2.0) + strip(10.0), strip(along / 2.0) + strip(15.0))
    };
    let near = |(field, playing, all): (f64, f64, f64)| {
        (seen.field_m2 - field).abs() < 1e-3
            && (seen.playing_area_m2 - playing).abs() < 1e-3
            && (seen.area_m2 - all).abs() < 1e-3
    };
    assert!(near(by_hand(wide, high)) || near(by_hand(high, wide)), "{seen:?}");
}

/// A year's rows are made of the same ground as a match.
#[test]
fn rows_of_a_year_see_the_same_ground() {
    let venue = meadow();
    let plan = engine::run(&venue, &settings(&venue), |_, _| {}).unwrap();
    let wanted = Wanted { splits: Splits::TurfAndSubject, ..Wanted::EVERYTHING };
    let weather = Weather { sky: Sky::Clear, air: Air::default().into() };
    let season = Season::new(&venue, weather, wanted);
    let times: Vec<DateTime<Tz>> = plan.instants.iter().map(|i| i.at).collect();
    for (row, instant) in season.rows(&times).iter().zip(&plan.instants) {
        assert_eq!(row.field, Some(instant.turf.field));
        for (one, other) in row.zones.iter().zip(&instant.turf.zones) {
            assert!((one.shaded - other.shaded).abs() < 1e-9);
        }
        let (row, view) = (row.cameras[0].view.unwrap(), &instant.cameras[0]);
        assert!((row.shaded_share - view.shaded_share).abs() < 1e-9);
    }
}

/// The sun is where the comment on the ground says.
#[test]
fn the_meadows_shadow_is_as_long_as_surveyors_say() {
    let venue = meadow();
    let noon = Tz::Europe__London.with_ymd_and_hms(2026, 10, 9, 12, 48, 0).unwrap();
    let sun = solar::position(&venue.place, noon.with_timezone(&Utc));
    let length = 8.0 / sun.apparent_elevation.radians().tan();
    assert!((12.0..12.7).contains(&length), "{length}");
}
