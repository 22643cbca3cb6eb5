//! Weather files read, and odds of sun from them.

use chrono::{DateTime, Datelike, NaiveDate, NaiveTime, TimeZone, Timelike, Utc};
use chrono_tz::Europe::London;
use quarterstop::solar;
use quarterstop::weather::{Odds, SkyCover, WeatherError, epw, read};

use crate::support;
use crate::weather_support;

use weather_support::{text, year};

const PVGIS: &str = "tests/data/pvgis-tmy-45.0N-8.0E-2005-2023.epw";

/// Every value that pvlib's `read_epw` gives for the measured file (version and call in
/// the first line of the table; the table is made by tests/reference/make_weather_values.py).
#[test]
fn values_of_a_public_file_are_those_of_another_reader() {
    let found = epw::read(PVGIS.as_ref()).unwrap();
    let table = std::fs::read_to_string("tests/data/epw_pvlib.csv").unwrap();
    let table = table.split_once('\n').unwrap().1;
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let mut sunny = 0;
    let mut rows = 0;
    for record in reader.records() {
        let record = record.unwrap();
        let number = |i: usize| record[i].parse::<f64>().unwrap();
        let hour = &found.hours[number(0) as usize];
        let begins = DateTime::parse_from_rfc3339(&record[1]).unwrap();
        assert_eq!(
            (hour.month, hour.day, hour.hour),
            (begins.month(), begins.day(), begins.hour() + 1)
        );
        let told = [hour.global, hour.direct_normal, hour.diffuse].map(|v| v.unwrap());
        // hundredths in the file; a negative zero is nothing
        for (own, other) in told.into_iter().zip([number(2), number(3), number(4)]) {
            assert!((own - other.max(0.0)).abs() < 1e-9, "{record:?}");
        }
        assert_eq!((hour.cover_tenths, number(5)), (None, 99.0));
        assert_eq!((found.latitude_deg, found.longitude_deg), (number(6), number(7)));
        assert_eq!((found.zone_h, found.height_m), (number(8), number(9)));
        assert_eq!(f64::from(begins.offset().local_minus_utc()), 3600.0 * found.zone_h);
        sunny += usize::from(told[1] > 120.0);
        rows += 1;
    }
    assert!(rows == 91 && sunny > 15, "{rows} rows, {sunny} with sunshine");
}

/// The file's own comment says that its radiation is that of 0.8239 h before the end of
/// each hour of UTC, while its header states a zone of UTC+1: 40 minutes after the middle
/// of the hours that its zone makes of them. Global radiation is diffuse and direct by the
/// sine of the elevation (ISO 9488), which finds the same without the comment.
#[test]
fn hours_that_do_not_fit_the_sun_are_found_by_the_radiation_itself() {
    let odds = read(PVGIS.as_ref()).unwrap();
    let stated_min = 60.0 * (1.0 - 0.8239 + 0.5);
    assert!((odds.shifts_min[0] as f64 - stated_min).abs() <= 5.0, "{:?}", odds.shifts_min);
}

/// The same with hours that are in order: global made from diffuse, direct and the sun.
#[test]
fn hours_that_fit_the_sun_stay_where_they_are() {
    for late_min in [0, 60, -60] {
        let mut made = year(|_, _| (500.0, 0.0));
        let place = support::place();
        for (i, hour) in made.hours.iter_mut().enumerate() {
            let first = Utc.with_ymd_and_hms(2001, 1, 1, 0, 0, 0).unwrap();
            let at = first + chrono::TimeDelta::minutes(60 * i as i64 + 30 + late_min);
            let sine = solar::position(&place, at).true_elevation.radians().sin();
            if sine <= 0.05 {
                hour.direct_normal = Some(0.0);
            }
            hour.diffuse = Some(80.0);
            hour.global = Some(80.0 + hour.direct_normal.unwrap() * sine.max(0.0));
        }
        assert_eq!(Odds::of(&[made]).unwrap().shifts_min, [late_min]);
    }
}

/// By hand: sun on odd days, a full sky on even ones, so half of the hours either way.
#[test]
fn two_kinds_of_day_have_even_odds() {
    let odds = Odds::of(&[year(|day, _| if day % 2 == 1 { (900.0, 0.0) } else { (0.0, 10.0) })]);
    let odds = odds.unwrap();
    let table = odds.table();
    let june_at_noon = table[5][12].as_ref().unwrap();
    assert_eq!((june_at_noon.hours, june_at_noon.sunshine), (30, 0.5));
    assert_eq!(june_at_noon.states.share(SkyCover::Clear), 0.5);
    assert_eq!(june_at_noon.states.share(SkyCover::Overcast), 0.5);
    assert_eq!(june_at_noon.direct_share.percentile(10.0), Some(0.0));
    assert_eq!(june_at_noon.direct_share.percentile(90.0).map(|s| s > 0.9), Some(true));
    // the sun is down
    assert!(table[0][2].is_none());
    // 31 days around 16 June (day 167): from an even day to an even one, 16 to 15
    let at = Utc.with_ymd_and_hms(2027, 6, 16, 13, 0, 0).unwrap();
    assert!((odds.likely(at).sun() - 15.0 / 31.0).abs() < 1e-12);
    assert_eq!(odds.days().len(), 31);
}

/// Hour 1 is 00:00 to 01:00 of standard time (EnergyPlus, "Auxiliary Programs", data
/// dictionary): only hour 14 has sun here, 13:00 to 14:00 UTC, and in summer 14:00 to
/// 15:00 on the clocks of London (BST, Summer Time Order 2002).
#[test]
fn hours_are_named_by_their_ends_in_standard_time() {
    let odds = Odds::of(&[year(|_, hour| if hour == 14 { (900.0, 0.0) } else { (0.0, 10.0) })]);
    let odds = odds.unwrap();
    let sun_at = |month, hour, minute| {
        let date = NaiveDate::from_ymd_opt(2027, month, 10).unwrap();
        let time = NaiveTime::from_hms_opt(hour, minute, 0).unwrap();
        let at = London.from_local_datetime(&date.and_time(time)).unwrap();
        odds.likely(at.with_timezone(&Utc)).sun()
    };
    for (month, minutes) in
        [(7, [(13, 59), (14, 0), (14, 59), (15, 0)]), (2, [(12, 59), (13, 0), (13, 59), (14, 0)])]
    {
        let found = minutes.map(|(hour, minute)| sun_at(month, hour, minute));
        assert_eq!(found, [0.0, 1.0, 1.0, 0.0], "month {month}");
    }
}

#[test]
fn a_file_written_by_rule_reads_back() {
    let made = year(|day, hour| (f64::from(day % 7) * 100.0, f64::from(hour % 11)));
    let mut read = epw::parse(&text(&made), "made.epw").unwrap();
    read.file = made.file.clone();
    assert_eq!(read, made);
    // 29 February is left out
    let leap = text(&made).replace("\r\n2001,3,1,1,", "\r\n2001,2,29,1,0\r\n2001,3,1,1,");
    assert_eq!(epw::parse(&leap, "made.epw").unwrap().hours, made.hours);
}

#[test]
fn mistakes_are_told_together_with_line_and_field() {
    let made = text(&year(|_, _| (500.0, 3.0)));
    let broken = made
        .replacen(",52,", ",north,", 1)
        .replacen(",500,", ",bright,", 1)
        .replacen(",500,", ",NaN,", 1);
    let error = epw::parse(&broken, "made.epw").unwrap_err().to_string();
    for told in [
        "3 mistakes",
        "line 1, field 7: found \"north\"",
        "line 9, field 15: found \"bright\"",
        "line 10, field 15",
    ] {
        assert!(error.contains(told), "{told} not in {error}");
    }
    let lines: Vec<&str> = made.lines().collect();
    let told = |lines: &[&str]| epw::parse(&lines.join("\n"), "made.epw").unwrap_err().to_string();
    assert!(told(&lines[..100]).contains("after 92 hours"));
    let without: Vec<&str> =
        lines.iter().enumerate().filter(|(i, _)| *i != 20).map(|(_, l)| *l).collect();
    assert!(told(&without).contains(
        "line 21, field 2: found month 1, day 1, hour 14; allowed: month 1, day 1, hour 13"
    ));
    let twice: Vec<&str> = lines.iter().chain(&lines[8..]).copied().collect();
    assert!(told(&twice).contains("one year"));
    assert!(epw::parse("", "made.epw").unwrap_err().to_string().contains("made.epw"));
    assert!(epw::parse("title = 7", "x.toml").unwrap_err().to_string().contains("LOCATION"));
    let no_radiation = year(|_, _| (0.0, 3.0));
    let hours = no_radiation.hours.iter().map(|h| epw::HourRow { direct_normal: None, ..*h });
    let silent = epw::EpwYear { hours: hours.collect(), ..no_radiation };
    assert!(matches!(Odds::of(&[silent]), Err(WeatherError::Silent { .. })));
}

#[test]
fn a_folder_is_read_in_order_and_must_be_for_one_place() {
    let folder = tempfile::TempDir::new().unwrap();
    assert!(matches!(read(folder.path()), Err(WeatherError::NoFiles { .. })));
    let sunny = year(|_, _| (900.0, 0.0));
    std::fs::write(folder.path().join("b.epw"), text(&sunny)).unwrap();
    std::fs::write(folder.path().join("a.EPW"), text(&year(|_, _| (0.0, 10.0)))).unwrap();
    let odds = read(folder.path()).unwrap();
    assert!(odds.files[0].ends_with("a.EPW") && odds.files.len() == 2);
    let at = Utc.with_ymd_and_hms(2027, 6, 16, 13, 0, 0).unwrap();
    assert_eq!((odds.days().len(), odds.likely(at).sun()), (62, 0.5));
    let away = epw::EpwYear { latitude_deg: 53.0, ..sunny };
    std::fs::write(folder.path().join("c.epw"), text(&away)).unwrap();
    // a degree of latitude is 111 km
    assert!(
        matches!(read(folder.path()), Err(WeatherError::Apart { km, .. }) if (110.0..112.5).contains(&km))
    );
}
