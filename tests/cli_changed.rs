//! `quarterstop changed`: differences that matter, and only these.

use std::fs;

use assert_cmd::Command;
use chrono::{TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;
use predicates::prelude::*;
use solar_positioning::{Location, RefractionCorrection, SolarPositions};
use tempfile::TempDir;

use quarterstop::jobs::changed::report::columns;
use quarterstop::jobs::changed::{ComparedMatch, Measure, changed};
use quarterstop::venue;
use quarterstop::venue::Venue;

const FOOTBALL: &str = "venues/football-demo.toml";

/// A wall 3 km long, 40 m west of the middle of a field that points north.
fn wall(top_m: f64) -> Venue {
    venue::parse(&wall_text(top_m, "Etc/UTC"), "wall.toml").unwrap_or_else(|e| panic!("{e}"))
}

fn wall_text(top_m: f64, zone: &str) -> String {
    format!(
        "title = \"Wall\"\n[place]\nlatitude_deg = 50.0\nlongitude_deg = 0.0\nheight_m = 0.0\n\
         zone = \"{zone}\"\n[field]\nsport = \"football\"\nbearing_deg = 0.0\n[[solid]]\n\
         name = \"wall\"\nfootprint = [[-1500.0, 41.0], [1500.0, 41.0], [1500.0, 40.0], \
         [-1500.0, 40.0]]\ntop_m = {top_m:.2}\n"
    )
}

fn occasion(venue: &Venue) -> ComparedMatch<'_> {
    let at = |hour| Tz::UTC.with_ymd_and_hms(2027, 6, 21, hour, 0, 0).unwrap();
    ComparedMatch { venue, start: at(14), within: (at(14), at(18)) }
}

/// The tangent of the sun's elevation times the distance to the wall's nearer top edge
/// along its azimuth: the height whose shadow just reaches the middle (geometry). The sun
/// is that of crate `solar-positioning`, a full SPA (NREL/TP-560-34302), with its own
/// refraction.
fn height_that_reaches_the_middle(after_min: f64) -> f64 {
    let start = Utc.with_ymd_and_hms(2027, 6, 21, 14, 0, 0).unwrap();
    let at = start + TimeDelta::milliseconds((60_000.0 * after_min) as i64);
    let refraction = Some(RefractionCorrection::new(1013.25, 15.0).unwrap());
    let here = Location { latitude: 50.0, longitude: 0.0 };
    // terrestrial minus universal time, 70 s: about what is expected for the year
    let sun = SolarPositions::new().at(&at, here, 0.0, 70.0, refraction).unwrap();
    let along = -sun.azimuth().to_radians().sin();
    40.0 * sun.elevation_angle().to_radians().tan() / along
}

#[test]
fn a_higher_wall_shades_a_mark_when_the_sun_says_so() {
    let (low, high) = (wall(20.0), wall(23.0));
    let found = changed(&occasion(&low), &occasion(&high));
    let centre = found.iter().find(|d| {
        matches!(&d.measure, Measure::Mark { name, to_sun: false, .. } if name.starts_with("centre"))
    });
    let centre = centre.unwrap_or_else(|| panic!("{found:?}"));
    let (old, new) = (centre.old.unwrap(), centre.new.unwrap());
    assert!(new < old - 5.0, "{old} {new}");
    // half the sun's disc either way is 0.1 m of the wall; the event is that of its centre
    for (after_min, top_m) in [(old, 20.0), (new, 23.0)] {
        let height = height_that_reaches_the_middle(after_min);
        assert!((height - top_m).abs() < 0.03, "{top_m} m: {height}");
    }
    // no camera, so nothing of cameras
    assert!(found.iter().all(|d| matches!(d.measure, Measure::Mark { .. } | Measure::Mixed)));
}

#[test]
fn a_wall_that_is_a_finger_higher_changes_nothing_that_matters() {
    let (low, high) = (wall(20.0), wall(20.02));
    assert_eq!(changed(&occasion(&low), &occasion(&high)), []);
}

/// An edge that does not move is not reported as moved when the match is; the crew meets
/// it earlier in the match.
#[test]
fn a_later_start_moves_no_edge_but_the_minutes_of_the_match() {
    // looks at 8 m around the centre spot, where the wall's shadow comes late in the day
    let camera = "[[camera]]\nname = \"tight\"\nat = [0.0, -60.0, 12.0]\n\
                  looks_at = [\"centre spot\"]\nhorizontal_fov_deg = 8.0\n";
    let venue = venue::parse(&(wall_text(20.0, "Etc/UTC") + camera), "wall.toml").unwrap();
    let of = |minute| {
        let start = Tz::UTC.with_ymd_and_hms(2027, 6, 21, 15, minute, 0).unwrap();
        let within = (start - TimeDelta::minutes(30), start + TimeDelta::minutes(180));
        ComparedMatch { venue: &venue, start, within }
    };
    let found = changed(&of(0), &of(15));
    assert!(found.iter().all(|d| !d.measure.is_of_the_sun()), "{found:?}");
    let first = found
        .iter()
        .find(|d| matches!(d.measure, Measure::EdgeInShot { first: true, .. }))
        .unwrap_or_else(|| panic!("{found:?}"));
    assert_eq!(first.new.unwrap() - first.old.unwrap(), -15.0);
    // by the other test of the wall its shadow reaches the middle within the second hour
    assert!((0.0..150.0).contains(&first.old.unwrap()), "{first:?}");
}

/// From one day to the next, by the clock, whatever the offset from UTC: summer time
/// ended on 31 October 2027 (SI 2002/262), so an edge comes an hour earlier on the clock,
/// beside the minutes that two days of the sun make.
#[test]
fn times_of_the_sun_are_those_of_the_clock_on_the_wall() {
    let venue = venue::parse(&wall_text(20.0, "Europe/London"), "wall.toml").unwrap();
    let of = |month: u32, day: u32| {
        let at = |hour| Tz::Europe__London.with_ymd_and_hms(2027, month, day, hour, 0, 0).unwrap();
        ComparedMatch { venue: &venue, start: at(13), within: (at(11), at(17)) }
    };
    let found = changed(&of(10, 30), &of(11, 1));
    let centre = found.iter().find(|d| {
        matches!(&d.measure, Measure::Mark { name, to_sun: false, .. } if name.starts_with("centre"))
    });
    let centre = centre.unwrap_or_else(|| panic!("{found:?}"));
    let by = centre.new.unwrap() - centre.old.unwrap();
    assert!((by + 60.0).abs() < 6.0, "{by}");
}

#[test]
fn the_same_file_on_the_same_day_has_not_changed() {
    Command::cargo_bin("quarterstop")
        .unwrap()
        .args(["changed", FOOTBALL, FOOTBALL])
        .assert()
        .success()
        .stdout(predicate::str::contains("Nothing that matters."))
        .stderr("");
}

#[test]
fn a_roof_and_a_camera_that_changed_are_told_with_the_splits_they_move() {
    let folder = TempDir::new().unwrap();
    let text = fs::read_to_string(FOOTBALL).unwrap();
    let name = "1 main wide";
    assert!(text.contains(name));
    let long = "1 main of the gantry over the tunnel, north side";
    let new = folder.path().join("new.toml");
    fs::write(&new, text.replace(name, long)).unwrap();
    let table = folder.path().join("changed.csv");
    let run = Command::cargo_bin("quarterstop")
        .unwrap()
        .args(["changed", FOOTBALL])
        .arg(&new)
        .args(["--new-date", "2027-09-20", "--csv"])
        .arg(&table)
        .assert()
        .success()
        .stdout(predicate::str::contains("only in the old"))
        .stdout(predicate::str::contains("only in the new"))
        .stdout(predicate::str::contains("Cautions"));
    let told = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    assert!(told.lines().all(|line| line.chars().count() <= 80), "{told}");
    // a label that is longer than its column stands above its figures, whole
    assert!(told.contains(&format!("camera {long}\n")) && !told.contains('\u{2026}'), "{told}");
    let mut reader = csv::Reader::from_path(&table).unwrap();
    let header: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    assert_eq!(header, crate::support::names_of(columns()));
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.unwrap()).collect();
    assert!(rows.len() > 4);
    for row in &rows {
        if let (Ok(old), Ok(new), Ok(by)) =
            (row[2].parse::<f64>(), row[3].parse::<f64>(), row[4].parse::<f64>())
        {
            assert!((new - old - by).abs() <= 0.02, "{row:?}");
            let least = match &row[1] {
                "stop" => 0.25,
                "min in all" => 2.0,
                _ => 1.0,
            };
            // as it is rounded in the table
            assert!(by.abs() > least - 0.01, "{row:?}");
        }
    }
}
