//! Civil days of a season: clock changes by law, and sums of daylight over a year.

use std::convert::Infallible;

use chrono::{Datelike, Days, NaiveDate, NaiveDateTime, TimeDelta, Timelike, Weekday};
use chrono_tz::Tz;
use season_support::{clear, date, support};

use crate::season_support;
use quarterstop::engine::season::{Season, Wanted, dates, instants_of};
use quarterstop::solar::SunDay;

/// The nth Sunday of a month; the last one for 5.
fn sunday(year: i32, month: u32, nth: u32) -> NaiveDate {
    if nth < 5 {
        let first = date(year, month, 1);
        let ahead = (7 - first.weekday().num_days_from_sunday()) % 7;
        return first + Days::new(u64::from(ahead + 7 * (nth - 1)));
    }
    let next = if month == 12 { date(year + 1, 1, 1) } else { date(year, month + 1, 1) };
    let last = next - Days::new(1);
    assert_eq!(Weekday::Sun.num_days_from_sunday(), 0);
    last - Days::new(u64::from(last.weekday().num_days_from_sunday()))
}

/// A clock change: the day, the hour that is skipped or repeated, and how many minutes.
struct Change {
    date: NaiveDate,
    from: (u32, u32),
    minutes: i64,
    forward: bool,
}

/// Changes of a year by the law of the place.
fn by_law(zone: Tz, year: i32) -> Vec<Change> {
    let change = |date, from, minutes, forward| Change { date, from, minutes, forward };
    match zone {
        // Directive 2000/84/EC, articles 2 and 3: last Sundays of March and October, 1:00
        // UTC; the United Kingdom keeps the same days (Summer Time Act 1972, as amended by
        // the Summer Time Order 2002)
        Tz::Europe__Paris => vec![
            change(sunday(year, 3, 5), (2, 0), 60, true),
            change(sunday(year, 10, 5), (2, 0), 60, false),
        ],
        Tz::Europe__London => vec![
            change(sunday(year, 3, 5), (1, 0), 60, true),
            change(sunday(year, 10, 5), (1, 0), 60, false),
        ],
        // Energy Policy Act of 2005 (Pub. L. 109-58), section 110; 15 U.S.C. 260a: second
        // Sunday of March to first Sunday of November, 2:00 local
        Tz::America__New_York | Tz::America__Denver => vec![
            change(sunday(year, 3, 2), (2, 0), 60, true),
            change(sunday(year, 11, 1), (1, 0), 60, false),
        ],
        // Standard Time Act 1987 (New South Wales), as amended in 2007: first Sunday of
        // October to first Sunday of April, 2:00 standard time
        Tz::Australia__Sydney => vec![
            change(sunday(year, 4, 1), (2, 0), 60, false),
            change(sunday(year, 10, 1), (2, 0), 60, true),
        ],
        // tz database, file australasia, rule LH: half an hour at 2:00
        Tz::Australia__Lord_Howe => vec![
            change(sunday(year, 4, 1), (1, 30), 30, false),
            change(sunday(year, 10, 1), (2, 0), 30, true),
        ],
        // no summer time: Queensland (referendum of 1992), Arizona (state law of 1968),
        // Japan, and Brazil since Decreto 9.772 of 2019
        Tz::Australia__Brisbane
        | Tz::America__Phoenix
        | Tz::Asia__Tokyo
        | Tz::America__Sao_Paulo => Vec::new(),
        other => panic!("no law known for {other}"),
    }
}

const ZONES: [Tz; 10] = [
    Tz::Europe__Paris,
    Tz::Europe__London,
    Tz::America__New_York,
    Tz::America__Denver,
    Tz::Australia__Sydney,
    Tz::Australia__Lord_Howe,
    Tz::Australia__Brisbane,
    Tz::America__Phoenix,
    Tz::Asia__Tokyo,
    Tz::America__Sao_Paulo,
];

#[test]
fn days_are_as_long_as_the_law_makes_them() {
    let step = TimeDelta::minutes(5);
    for zone in ZONES {
        for year in [2026, 2027, 2028, 2031] {
            let changes = by_law(zone, year);
            for day in dates(date(year, 1, 1), date(year, 12, 31)) {
                let found = instants_of(zone, day, step);
                let change = changes.iter().find(|change| change.date == day);
                let longer = change.map_or(0, |c| if c.forward { -c.minutes } else { c.minutes });
                assert_eq!(found.len() as i64, (24 * 60 + longer) / 5, "{zone} {day}");
                assert!(found.iter().all(|at| at.date_naive() == day), "{zone} {day}");
                assert!(found.windows(2).all(|w| w[1] - w[0] == step), "{zone} {day}");
            }
        }
    }
}

#[test]
fn skipped_hours_are_gaps_and_repeated_hours_come_twice() {
    let step = TimeDelta::minutes(5);
    for zone in ZONES {
        for change in by_law(zone, 2027) {
            let found = instants_of(zone, change.date, step);
            let (hour, minute) = change.from;
            let from: NaiveDateTime = change.date.and_hms_opt(hour, minute, 0).unwrap();
            let until = from + TimeDelta::minutes(change.minutes);
            let inside =
                found.iter().map(|at| at.naive_local()).filter(|t| (from..until).contains(t));
            let times: Vec<NaiveDateTime> = inside.collect();
            if change.forward {
                assert!(times.is_empty(), "{zone} {}", change.date);
                continue;
            }
            let each = change.minutes as usize / 5;
            assert_eq!(times.len(), 2 * each, "{zone} {}", change.date);
            assert_eq!(times[..each], times[each..], "{zone} {}", change.date);
        }
    }
}

#[test]
fn a_step_that_does_not_divide_the_day_starts_anew_each_midnight() {
    let found = instants_of(Tz::Asia__Tokyo, date(2027, 5, 1), TimeDelta::minutes(7));
    assert_eq!((found[0].hour(), found[0].minute(), found.len()), (0, 0, 206));
    // a step that does not lead forward counts as a second
    let still = instants_of(Tz::Asia__Tokyo, date(2027, 5, 1), TimeDelta::zero());
    assert_eq!(still.len(), 86_400);
}

/// Each rise and set of ours is found to a second, and the two algorithms for the sun's
/// place differ by up to 0.01 degree: a few seconds where it rises steeply, up to a
/// minute at 65 degrees, where it grazes the horizon.
const SUM_TOLERANCE_H: f64 = 365.0 * 8.0 / 3600.0;
/// Counting instants 5 min apart misses each rise and set by up to a step either way,
/// evenly: sqrt(730 / 12) steps is the standard deviation of the sum, here four times.
const COUNT_TOLERANCE_H: f64 = 4.0 * 7.8 * 5.0 / 60.0;

#[test]
fn daylight_over_a_year_is_that_of_another_sun() {
    let places = [
        (51.5, -0.1, Tz::Europe__London),
        (-33.9, 151.2, Tz::Australia__Sydney),
        (1.3, 103.8, Tz::Asia__Singapore),
        (40.7, -74.0, Tz::America__New_York),
        (61.5, 23.8, Tz::Europe__Helsinki),
    ];
    for (latitude_deg, longitude_deg, zone) in places {
        let mut venue = support::football();
        venue.place.latitude_deg = latitude_deg;
        venue.place.longitude_deg = longitude_deg;
        venue.place.zone = zone;
        let season = Season::new(&venue, clear(), Wanted::NOTHING);
        let (mut days_h, mut counted_h) = (0.0, 0.0);
        let all = dates(date(2027, 1, 1), date(2027, 12, 31));
        let done = season.days(all, TimeDelta::minutes(5), |day| {
            if let SunDay::RisesAndSets { rise, set, .. } = day.sun {
                days_h += (set - rise).num_seconds() as f64 / 3600.0;
            }
            let up = |elevation_deg: f64| elevation_deg > quarterstop::solar::RISE_ELEVATION_DEG;
            let risen = day.rows.iter().filter(|row| up(row.sun.true_elevation.degrees()));
            counted_h += risen.count() as f64 / 12.0;
            Ok::<(), Infallible>(())
        });
        let Ok(()) = done;
        let theirs_h = reference::daylight_h(latitude_deg, longitude_deg, zone);
        assert!((days_h - theirs_h).abs() < SUM_TOLERANCE_H, "{zone}: {days_h} {theirs_h}");
        assert!((counted_h - theirs_h).abs() < COUNT_TOLERANCE_H, "{zone}: {counted_h} {theirs_h}");
    }
}

/// Crate `solar-positioning`: the full SPA of Reda and Andreas (NREL/TP-560-34302).
mod reference {
    use super::*;
    use solar_positioning::{Horizon, Location, SolarEvents};

    /// Terrestrial minus universal time, seconds: about what is expected for 2027.
    const DELTA_T_S: f64 = 70.0;

    pub fn daylight_h(latitude_deg: f64, longitude_deg: f64, zone: Tz) -> f64 {
        let location = Location { latitude: latitude_deg, longitude: longitude_deg };
        let (mut rises, mut sets) = (Vec::new(), Vec::new());
        for day in dates(date(2027, 1, 1), date(2027, 12, 31)) {
            let found = SolarEvents::new()
                .for_date(day, &zone, location, DELTA_T_S, Horizon::SunriseSunset)
                .unwrap();
            rises.extend(found.rises.iter().map(|at| at.timestamp_millis()));
            sets.extend(found.sets.iter().map(|at| at.timestamp_millis()));
        }
        assert_eq!((rises.len(), sets.len()), (365, 365));
        (sets.iter().sum::<i64>() - rises.iter().sum::<i64>()) as f64 / 3.6e6
    }
}
