//! The sun's place, rise and set against a published worked example, a full
//! implementation of the SPA, and the almanac.

use chrono::{DateTime, Datelike, FixedOffset, NaiveDate, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;
use quarterstop::solar::{self, SunDay};
use quarterstop::venue::Place;
use solar_positioning::{Horizon, Location, RefractionCorrection, SolarEvents, SolarPositions};

/// The crate `spa` uses a short algorithm. Measured against the full SPA it
/// stays within 0.01 degree, a fiftieth of the sun's disc.
const POSITION_TOLERANCE_DEG: f64 = 0.01;

/// Terrestrial minus universal time, seconds: about what is expected for these
/// years.
const DELTA_T_S: f64 = 70.0;

fn place(latitude_deg: f64, longitude_deg: f64, zone: Tz) -> Place {
    Place {
        latitude_deg,
        longitude_deg,
        height_m: 0.0,
        zone,
        pressure_hpa: 1013.25,
        temperature_c: 15.0,
    }
}

/// Source: Reda and Andreas, Solar Position Algorithm for Solar Radiation
/// Applications, NREL/TP-560-34302 (revised 2008), worked example of appendix A.5:
/// zenith 50.11162 and azimuth 194.34024 degrees.
#[test]
fn the_worked_example_of_the_spa_report() {
    let golden = Place {
        height_m: 1830.14,
        pressure_hpa: 820.0,
        temperature_c: 11.0,
        ..place(39.742476, -105.1786, Tz::America__Denver)
    };
    let at = FixedOffset::west_opt(7 * 3600)
        .unwrap()
        .with_ymd_and_hms(2003, 10, 17, 12, 30, 30)
        .unwrap();
    let sun = solar::position(&golden, at);
    assert!((90.0 - sun.apparent_elevation.degrees() - 50.11162).abs() < POSITION_TOLERANCE_DEG);
    assert!((sun.azimuth.degrees() - 194.34024).abs() < POSITION_TOLERANCE_DEG);
}

/// Source: crate solar-positioning 0.7, a full SPA checked by its authors
/// against the reference code.
#[test]
fn positions_agree_with_a_full_spa() {
    let spa = SolarPositions::new();
    let mut worst = (0.0_f64, String::new());
    let mut count = 0;
    for latitude in (-60..=70).step_by(10) {
        for (i, year) in (2026..=2040).step_by(2).enumerate() {
            for part in 0..3_u32 {
                let longitude = f64::from((i as u32 * 3 + part) * 53 % 360) - 180.0;
                let at = Utc
                    .with_ymd_and_hms(
                        year,
                        1 + (i as u32 * 5 + part * 4) % 12,
                        3 + 9 * part,
                        7 * part + i as u32,
                        12,
                        40,
                    )
                    .unwrap();
                let ours = solar::position(&place(f64::from(latitude), longitude, Tz::UTC), at);
                let location = Location { latitude: f64::from(latitude), longitude };
                let theirs = spa.at(&at, location, 0.0, DELTA_T_S, None).unwrap();
                let error_el = ours.true_elevation.degrees() - theirs.elevation_angle();
                let turn =
                    (ours.azimuth.degrees() - theirs.azimuth() + 180.0).rem_euclid(360.0) - 180.0;
                // azimuth counts by what it moves on the sky
                let error_az = turn * theirs.elevation_angle().to_radians().cos();
                let error = error_el.abs().max(error_az.abs());
                if error > worst.0 {
                    worst = (error, format!("{latitude} {longitude} {at}"));
                }
                count += 1;
            }
        }
    }
    println!("{count} positions, worst {:.4} degree at {}", worst.0, worst.1);
    assert!(count >= 200);
    assert!(worst.0 < POSITION_TOLERANCE_DEG, "{worst:?}");
}

/// Refraction of the same library (its default formula, the SPA's), every degree.
#[test]
fn refraction_agrees_with_the_spa_formula() {
    let refraction = RefractionCorrection::new(820.0, 11.0).unwrap();
    let site = Place { pressure_hpa: 820.0, temperature_c: 11.0, ..place(40.0, -105.0, Tz::UTC) };
    let start = Utc.with_ymd_and_hms(2027, 6, 1, 12, 0, 0).unwrap();
    for minutes in (0..14 * 60).step_by(20) {
        let at = start + TimeDelta::minutes(minutes);
        let location = Location { latitude: 40.0, longitude: -105.0 };
        let bent =
            SolarPositions::new().at(&at, location, 0.0, DELTA_T_S, Some(refraction)).unwrap();
        let ours = solar::position(&site, at);
        if ours.true_elevation.degrees() > -0.8 {
            let error = ours.apparent_elevation.degrees() - bent.elevation_angle();
            assert!(error.abs() < POSITION_TOLERANCE_DEG, "{at}: {error}");
        }
    }
}

/// Rise, set and noon against the same library. A position error of 0.01 degree
/// divided by the speed of the elevation, plus a second for rounding.
#[test]
fn rise_and_set_agree_with_a_full_spa() {
    let mut checked = 0;
    let mut worst = 0.0_f64;
    for (latitude, longitude, zone) in [
        (52.2, 0.1, Tz::Europe__London),
        (-37.8, 145.0, Tz::Australia__Melbourne),
        (40.7, -74.0, Tz::America__New_York),
        (1.3, 103.8, Tz::Asia__Singapore),
        (64.1, -21.9, Tz::Atlantic__Reykjavik),
        (-33.9, 18.4, Tz::Africa__Johannesburg),
        (61.2, -149.9, Tz::America__Anchorage),
    ] {
        let site = place(latitude, longitude, zone);
        for month in 1..=12 {
            let date = NaiveDate::from_ymd_opt(2026 + month as i32, month, 15).unwrap();
            let location = Location { latitude, longitude };
            let theirs = SolarEvents::new()
                .for_date(date, &zone, location, DELTA_T_S, Horizon::SunriseSunset)
                .unwrap();
            let SunDay::RisesAndSets { rise, noon, set } = solar::day(&site, date) else {
                panic!("{zone} {date}: no rise and set");
            };
            let nearest = |events: &[DateTime<Tz>], to: DateTime<Tz>| {
                *events.iter().min_by_key(|t| (**t - to).num_milliseconds().abs()).unwrap()
            };
            let (sunrise, transit) =
                (nearest(&theirs.rises, rise), nearest(&theirs.transits, noon));
            // in a northern summer the sun sets after midnight: in the next day's list
            let next = date + chrono::Days::new(1);
            let after = SolarEvents::new()
                .for_date(next, &zone, location, DELTA_T_S, Horizon::SunriseSunset)
                .unwrap();
            let sets: Vec<_> = theirs.sets.iter().chain(&after.sets).copied().collect();
            let sunset = nearest(&sets, set);
            let slack = |at: DateTime<Tz>| {
                let height = |t| solar::position(&site, t).true_elevation.degrees();
                let per_second = (height(at + TimeDelta::seconds(30))
                    - height(at - TimeDelta::seconds(30)))
                    / 60.0;
                POSITION_TOLERANCE_DEG / per_second.abs() + 1.0
            };
            let differ =
                |a: DateTime<Tz>, b: DateTime<Tz>| (a - b).num_milliseconds().abs() as f64 / 1e3;
            assert!(
                differ(rise, sunrise) <= slack(rise),
                "{zone} {date}: {rise} against {sunrise}"
            );
            assert!(differ(set, sunset) <= slack(set), "{zone} {date}: {set} against {sunset}");
            // the meridian is crossed at about 15 degrees an hour: 0.01 degree is 2.4 s,
            // more where the sun stands high and azimuth runs fast
            assert!(differ(noon, transit) <= 10.0, "{zone} {date}: {noon} against {transit}");
            worst = worst.max(differ(rise, sunrise)).max(differ(set, sunset));
            checked += 1;
        }
    }
    println!("{checked} days, worst {worst:.1} s");
    assert_eq!(checked, 84);
}

#[test]
fn polar_days_and_nights_are_told_apart() {
    let north = place(78.2, 15.6, Tz::Arctic__Longyearbyen);
    let on = |m, d| solar::day(&north, NaiveDate::from_ymd_opt(2027, m, d).unwrap());
    assert!(matches!(on(6, 21), SunDay::PolarDay { .. }));
    assert!(matches!(on(12, 21), SunDay::PolarNight { .. }));
    assert!(matches!(on(3, 21), SunDay::RisesAndSets { .. }));
    // a year: night, days, an eve of the long day, long day, its end, days, night
    let first = NaiveDate::from_ymd_opt(2027, 1, 1).unwrap();
    let mut course: Vec<&str> = first
        .iter_days()
        .take(365)
        .map(|date| match solar::day(&north, date) {
            SunDay::PolarNight { .. } => "night",
            SunDay::RisesAndSets { .. } => "days",
            SunDay::OnlyRises { .. } => "eve",
            SunDay::PolarDay { .. } => "day",
            SunDay::OnlySets { .. } => "end",
        })
        .collect();
    assert_eq!(course.iter().filter(|c| **c == "eve").count(), 1);
    assert_eq!(course.iter().filter(|c| **c == "end").count(), 1);
    course.dedup();
    assert_eq!(course, ["night", "days", "eve", "day", "end", "days", "night"]);
    // at the poles themselves nothing breaks
    for latitude in [-90.0, 90.0] {
        for longitude in [-180.0, 0.0, 180.0] {
            let day = solar::day(
                &place(latitude, longitude, Tz::UTC),
                NaiveDate::from_ymd_opt(2027, 6, 21).unwrap(),
            );
            assert_eq!(matches!(day, SunDay::PolarDay { .. }), latitude > 0.0);
            assert_eq!(matches!(day, SunDay::PolarNight { .. }), latitude < 0.0);
        }
    }
}

#[test]
fn noon_is_found_where_the_sun_passes_north_of_the_zenith() {
    let site = place(5.0, 100.0, Tz::Asia__Kuala_Lumpur);
    let day = solar::day(&site, NaiveDate::from_ymd_opt(2027, 6, 21).unwrap());
    let sun = solar::position(&site, day.noon());
    assert!(sun.azimuth.degrees() < 1.0 || sun.azimuth.degrees() > 359.0);
    assert!((sun.true_elevation.degrees() - (90.0 - (23.44 - 5.0))).abs() < 0.1);
    assert_eq!(day.noon().date_naive().day(), 21);
}
