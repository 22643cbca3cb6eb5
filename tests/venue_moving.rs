//! What moves, comes and goes and grows: what stands when, the shadow that it throws, and
//! messages about files that say it wrong.

use chrono::{DateTime, NaiveDate, NaiveDateTime, TimeDelta, TimeZone};
use chrono_tz::Tz;

use crate::support;
use quarterstop::base::units::Stops;
use quarterstop::engine::season::{Season, Wanted, Weather};
use quarterstop::engine::{Prepared, Settings};
use quarterstop::geometry::OverlayScratch;
use quarterstop::jobs::starts::Profile;
use quarterstop::jobs::states::{StateSettings, compare};
use quarterstop::light::{Air, Sky};
use quarterstop::solar;
use quarterstop::venue::{Venue, parse};

const GROUND: &str = r#"title = "Ground"
[place]
latitude_deg = 52.0
longitude_deg = 0.0
height_m = 50.0
zone = "Europe/London"
[field]
sport = "football"
bearing_deg = 0.0
[fixture]
date = "2027-10-09"
start = "15:00"
"#;

/// A plate 20 m up, all over the field and far beyond it, that is drawn aside.
const PLATE: &str = r#"
[[panel]]
name = "Plate"
corners = [[-300.0, -300.0, 20.0], [300.0, -300.0, 20.0], [300.0, 300.0, 20.0], [-300.0, 300.0, 20.0]]
[[moving]]
name = "Roof"
[[moving.state]]
name = "open"
[[moving.state.part]]
what = "Plate"
gone = true
[[moving.state]]
name = "half"
[[moving.state.part]]
what = "Plate"
transmittance = 0.5
[[moving.state]]
name = "shut"
"#;

fn venue(more: &str) -> Venue {
    parse(&format!("{GROUND}{PLATE}{more}"), "ground.toml").unwrap()
}

fn refused(more: &str) -> String {
    parse(&format!("{GROUND}{PLATE}{more}"), "ground.toml").unwrap_err().to_string()
}

fn at(date: &str, time: &str) -> NaiveDateTime {
    format!("{date}T{time}:00").parse().unwrap()
}

fn instant(time: &str) -> DateTime<Tz> {
    Tz::Europe__London.from_local_datetime(&at("2027-10-09", time)).unwrap()
}

fn state(venue: &Venue, when: NaiveDateTime) -> &str {
    let moving = &venue.changes.moving[0];
    &moving.states[moving.state_at(when)].name
}

#[test]
fn the_last_move_of_the_day_holds_and_a_day_of_its_own_goes_before_every_day() {
    let moves = r#"
[[move]]
what = "Roof"
to = "half"
at = "12:00"
[[move]]
what = "Roof"
to = "shut"
at = "18:00"
[[move]]
what = "Roof"
to = "shut"
at = "15:30"
on = "2027-10-09"
"#;
    let venue = venue(moves);
    // by hand: every day open, half from noon, shut from six; that Saturday shut from half past
    for (date, time, wanted) in [
        ("2027-10-08", "11:59", "open"),
        ("2027-10-08", "12:00", "half"),
        ("2027-10-08", "18:00", "shut"),
        ("2027-10-09", "12:30", "open"),
        ("2027-10-09", "15:30", "shut"),
        ("2027-10-10", "00:00", "open"),
    ] {
        assert_eq!(state(&venue, at(date, time)), wanted, "{date} {time}");
    }
}

/// The share of the field that each state leaves in the sun is known without a formula: all
/// of it, half of it everywhere, nothing. A plan, a row of a season and the prepared venue
/// have it from the minute of the move on.
#[test]
fn shadow_and_light_follow_a_move_to_the_minute_in_plans_and_seasons() {
    let moves = "[[move]]\nwhat = \"Roof\"\nto = \"half\"\nat = \"13:00\"\n\
                 [[move]]\nwhat = \"Roof\"\nto = \"shut\"\nat = \"14:00\"\n";
    let venue = venue(moves);
    let date = NaiveDate::from_ymd_opt(2027, 10, 9).unwrap();
    let prepared = Prepared::new(&venue, date);
    let weather = Weather { sky: Sky::Clear, air: Air::default().into() };
    let season = Season::new(&venue, weather, Wanted { field: true, ..Wanted::NOTHING });
    let mut bench = OverlayScratch::default();
    for (time, through) in
        [("12:59", 1.0), ("13:00", 0.5), ("13:59", 0.5), ("14:00", 0.0), ("15:00", 0.0)]
    {
        let now = prepared.instant(instant(time), Sky::Clear, &Air::default(), &mut bench);
        assert!((now.turf.field.mean_transmission - through).abs() < 1e-9, "{time}");
        let row = &season.rows(&[instant(time)])[0];
        let share = row.field.unwrap().mean_transmission;
        assert!((share - through).abs() < 1e-9, "{time}: {share}");
        assert!(now.field_light.in_sun.is_some());
    }
    // under the shut plate the sky is gone as well: what is left comes in from beyond its rim
    let open = prepared.instant(instant("12:59"), Sky::Clear, &Air::default(), &mut bench);
    let shut = prepared.instant(instant("14:00"), Sky::Clear, &Air::default(), &mut bench);
    let [open, shut] = [open, shut].map(|i| i.field_light.in_shade.lux());
    assert!(shut < 0.1 * open, "{shut} {open}");
}

#[test]
fn a_state_that_is_held_is_the_same_as_a_file_that_draws_it() {
    let date = NaiveDate::from_ymd_opt(2027, 10, 9).unwrap();
    let moved = venue("").held_by_name("Roof", "half").unwrap();
    let drawn = GROUND.to_owned()
        + "[[panel]]\nname = \"Plate\"\ntransmittance = 0.5\ncorners = [[-300.0, -300.0, 20.0], \
           [300.0, -300.0, 20.0], [300.0, 300.0, 20.0], [-300.0, 300.0, 20.0]]\n";
    let drawn = parse(&drawn, "ground.toml").unwrap();
    assert!(moved.stands_as(date, (&drawn, date)));
    assert!(!venue("").stands_as(date, (&drawn, date)));
}

/// A panel shifted by 10 m along throws its shadow 10 m farther along (a parallel light).
#[test]
fn a_shift_takes_its_shadow_along() {
    let board = r#"
[[panel]]
name = "Board"
corners = [[-8.0, -10.0, 15.0], [8.0, -10.0, 15.0], [8.0, 10.0, 15.0], [-8.0, 10.0, 15.0]]
[[moving]]
name = "Lift"
[[moving.state]]
name = "here"
[[moving.state]]
name = "there"
[[moving.state.part]]
what = "Board"
shift_m = [10.0, 0.0, 0.0]
"#;
    let venue = parse(&format!("{GROUND}{board}"), "ground.toml").unwrap();
    let date = NaiveDate::from_ymd_opt(2027, 6, 21).unwrap();
    let noon = Tz::Europe__London.with_ymd_and_hms(2027, 6, 21, 13, 0, 0).unwrap();
    let toward = solar::position(&venue.place, noon).toward();
    let middle = |state: &str| {
        use geo::Centroid;
        let held = venue.held_by_name("Lift", state).unwrap();
        let caster = quarterstop::geometry::Caster::new(&held, date, 0.0);
        let shadow = caster.cast(toward, &mut OverlayScratch::default());
        shadow.opaque.centroid().unwrap()
    };
    let (here, there) = (middle("here"), middle("there"));
    // the field's bearing is north, which is y
    assert!((there.y() - here.y() - 10.0).abs() < 1e-3 && (there.x() - here.x()).abs() < 1e-3);
}

#[test]
fn what_is_temporary_stands_on_its_days_only() {
    let crane = "[[solid]]\nname = \"Crane\"\ncentre = [0.0, 60.0]\nradius_m = 3.0\ntop_m = 60.0\n\
                 stands_from = \"2027-09-01\"\nstands_until = \"2027-10-31\"\n";
    let venue = parse(&format!("{GROUND}{crane}"), "ground.toml").unwrap();
    for (date, there) in
        [("2027-08-31", false), ("2027-09-01", true), ("2027-10-31", true), ("2027-11-01", false)]
    {
        let stands = venue.standing_at(at(date, "12:00"));
        assert_eq!(!stands.occluders[0].bodies.is_empty(), there, "{date}");
        assert_eq!(stands.occluders.len(), 1);
    }
}

/// By hand: a crown of 8 m that grows half a metre a year is 10 m high after four years, and
/// wider in the same proportion; its trunk stays.
#[test]
fn a_tree_grows_from_the_year_it_was_measured() {
    let tree = "[[tree]]\nname = \"Lime\"\nat = [0.0, 60.0]\ntrunk_height_m = 3.0\n\
                crown_height_m = 8.0\ncrown_radius_m = 4.0\nin_leaf_transmittance = 0.1\n\
                grows_m_per_year = 0.5\nmeasured_in_year = 2027\n";
    let venue = parse(&format!("{GROUND}{tree}"), "ground.toml").unwrap();
    let size = |date: &str| {
        let stands = venue.standing_at(at(date, "12:00"));
        let points = stands.occluders[0].bodies[0].shape.points().to_vec();
        let of = |f: fn(&glam::DVec3) -> f64| {
            let values = points.iter().map(f);
            values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)))
        };
        let ((low, high), (west, east)) = (of(|p| p.z), of(|p| p.x));
        (low, high, east - west)
    };
    let (low, high, wide) = size("2027-06-01");
    assert!((low - 3.0).abs() < 1e-9 && (high - 11.0).abs() < 1e-9);
    let (later_low, later_high, later_wide) = size("2031-06-01");
    assert!((later_low - 3.0).abs() < 1e-9 && (later_high - 13.0).abs() < 1e-9);
    assert!((later_wide / wide - 10.0 / 8.0).abs() < 1e-9);
}

/// The plate lets half through, everywhere or not at all: no state has an edge in shot, so
/// all cost nothing and the one with the most light is best.
#[test]
fn of_states_that_cost_the_same_the_brightest_is_best_and_a_least_light_is_kept() {
    let camera = "[[camera]]\nname = \"1\"\nat = [-75.0, 0.0, 12.0]\n\
                  looks_at = [\"centre spot\"]\nhorizontal_fov_deg = 30.0\n";
    let venue = venue(camera);
    let programme = quarterstop::engine::programme(&venue);
    let start = instant("13:00");
    let (from, until) = programme.window_from(start);
    let settings = StateSettings {
        plan: Settings {
            from,
            until,
            step: TimeDelta::minutes(15),
            sky: Sky::Clear,
            air: Air::default(),
            hold: Stops::from_stops(2.0),
            milestones: programme.milestones_from(start),
        },
        profile: Profile::default(),
        what: Vec::new(),
        least_lx: None,
    };
    let found = compare(&venue, &settings, |_, _| {}).unwrap();
    let words: Vec<&str> = found.choices.iter().map(|c| c.words.as_str()).collect();
    assert_eq!(words, ["Roof open", "Roof half", "Roof shut"]);
    assert_eq!(found.runs.len(), 2);
    assert_eq!((found.best.as_slice(), found.best_throughout), (&[0, 0][..], 0));
    assert!(found.choices.iter().all(|c| c.whole.cost < 0.5), "{:?}", found.choices[0].whole);
    let least = found.choices.iter().map(|c| c.whole.least_lx).collect::<Vec<_>>();
    assert!(least[0] > least[1] && least[1] > least[2], "{least:?}");
    let bright = StateSettings { least_lx: Some(1.01 * least[1]), ..settings };
    let found = compare(&venue, &bright, |_, _| {}).unwrap();
    assert_eq!(found.too_dark, [false, true, true]);
}

#[test]
fn mistakes_are_named_with_line_key_what_was_found_and_what_is_allowed() {
    for (more, wanted) in [
        (
            "[[move]]\nwhat = \"Rof\"\nto = \"open\"\nat = \"12:00\"\n",
            ["move[0].what", "\"Rof\"", "did you mean \"Roof\"?"],
        ),
        (
            "[[move]]\nwhat = \"Roof\"\nto = \"ajar\"\nat = \"12:00\"\n",
            ["move[0].to", "\"ajar\"", "\"open\", \"half\", \"shut\""],
        ),
        (
            "[[move]]\nwhat = \"Roof\"\nto = \"open\"\nat = \"noon\"\n",
            ["move[0].at", "\"noon\"", "HH:MM"],
        ),
        (
            "[[move]]\nwhat = \"Roof\"\nto = \"open\"\nat = \"12:00\"\non = \"9 Oct\"\n",
            ["move[0].on", "\"9 Oct\"", "YYYY-MM-DD"],
        ),
        (
            "[[moving]]\nname = \"Other\"\nusual = \"ope\"\n[[moving.state]]\nname = \"open\"\n[[moving.state]]\nname = \"shut\"\n",
            ["moving[1].usual", "\"ope\"", "did you mean \"open\"?"],
        ),
        (
            "[[moving]]\nname = \"Other\"\n[[moving.state]]\nname = \"a\"\n",
            ["moving[1].state", "1 state", "at least two"],
        ),
        (
            "[[moving]]\nname = \"Other\"\n[[moving.state]]\nname = \"a\"\n[[moving.state]]\nname = \"a\"\n",
            ["moving[1].state[1].name", "\"a\" a second time", "another name"],
        ),
        (
            "[[moving]]\nname = \"Other\"\n[[moving.state]]\nname = \"a\"\n[[moving.state]]\nname = \"b\"\n[[moving.state.part]]\nwhat = \"Plate\"\ngone = true\n",
            ["part[0].what", "moves with \"Roof\" already", "no other"],
        ),
        (
            "[[moving]]\nname = \"Other\"\n[[moving.state]]\nname = \"a\"\n[[moving.state]]\nname = \"b\"\n[[moving.state.part]]\nwhat = \"Plat\"\ngone = true\n",
            ["part[0].what", "\"Plat\"", "did you mean \"Plate\"?"],
        ),
        (
            "[[panel]]\nname = \"Low\"\ncorners = [[60.0, -5.0, 0.0], [60.0, 5.0, 0.0], [60.0, 5.0, 2.0], [60.0, -5.0, 2.0]]\n[[moving]]\nname = \"Other\"\n[[moving.state]]\nname = \"a\"\n[[moving.state]]\nname = \"b\"\n[[moving.state.part]]\nwhat = \"Low\"\ncorners = [[0.0, 0.0, 1.0], [5.0, 0.0, 1.0], [5.0, 5.0, 1.0]]\n",
            ["part[0].what", "on the field of play", "outside"],
        ),
        (
            "[[solid]]\nname = \"S\"\ncentre = [0.0, 60.0]\nradius_m = 1.0\ntop_m = 9.0\n[[moving]]\nname = \"Other\"\n[[moving.state]]\nname = \"a\"\n[[moving.state]]\nname = \"b\"\n[[moving.state.part]]\nwhat = \"S\"\nonly = \"roof\"\ngone = true\n",
            ["part[0].only", "\"roof\" of a thing without one", "\"all\""],
        ),
        (
            "[[solid]]\nname = \"S\"\ncentre = [0.0, 60.0]\nradius_m = 1.0\ntop_m = 9.0\nstands_from = \"2027-10-01\"\nstands_until = \"2027-09-01\"\n",
            ["solid[0].stands_until", "2027-09-01", "2027-10-01"],
        ),
        (
            "[[tree]]\nname = \"T\"\nat = [0.0, 60.0]\ntrunk_height_m = 3.0\ncrown_height_m = 8.0\ncrown_radius_m = 4.0\nin_leaf_transmittance = 0.1\ngrows_m_per_year = 0.5\n",
            ["tree[0].measured_in_year", "nothing", "year"],
        ),
        (
            "[[solid]]\nname = \"S\"\ncentre = [0.0, 60.0]\nradius_m = 1.0\ntop_m = 9.0\nstand_from = \"2027-10-01\"\n",
            ["stand_from", "unknown key", "did you mean `stands_from`?"],
        ),
    ] {
        let error = refused(more);
        for part in wanted {
            assert!(error.contains(part), "{part}\n{error}");
        }
        assert!(error.contains("ground.toml"), "{error}");
    }
}

#[test]
fn a_state_that_is_not_there_is_refused_by_the_options_too() {
    let error = venue("").held_by_name("Roof", "ajar").unwrap_err().to_string();
    assert!(error.contains("\"open\", \"half\", \"shut\""), "{error}");
    let error = venue("").held_by_name("Screen", "up").unwrap_err().to_string();
    assert!(error.contains("choose one of: \"Roof\""), "{error}");
    let error = support::football().held_by_name("Roof", "up").unwrap_err().to_string();
    assert!(error.contains("[[moving]]"), "{error}");
}
