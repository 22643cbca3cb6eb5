//! Wall times through clock changes, against the published rules of each zone
//! (IANA tz database; EU Directive 2000/84/EC: last Sundays of March and October
//! at 01:00 UTC; US Energy Policy Act of 2005: second Sunday of March, first of
//! November at 02:00; Lord Howe Island moves by half an hour).

use chrono::{NaiveDate, NaiveTime};
use chrono_tz::Tz;
use quarterstop::solar::{ClockError, Repeated, resolve};

fn at(
    zone: Tz,
    date: (i32, u32, u32),
    time: (u32, u32),
    repeated: Option<Repeated>,
) -> Result<String, ClockError> {
    let date = NaiveDate::from_ymd_opt(date.0, date.1, date.2).unwrap();
    let time = NaiveTime::from_hms_opt(time.0, time.1, 0).unwrap();
    resolve(zone, date, time, repeated).map(|t| t.to_utc().format("%d %H:%M").to_string())
}

#[test]
fn skipped_times_are_refused_with_their_neighbours() {
    for (zone, date, time, neighbours) in [
        (Tz::Europe__London, (2027, 3, 28), (1, 30), "00:59 and 02:00"),
        (Tz::America__New_York, (2027, 3, 14), (2, 0), "01:59 and 03:00"),
        (Tz::Australia__Sydney, (2027, 10, 3), (2, 15), "01:59 and 03:00"),
        (Tz::Australia__Lord_Howe, (2027, 10, 3), (2, 10), "01:59 and 02:30"),
    ] {
        let error = at(zone, date, time, Some(Repeated::Earlier)).unwrap_err();
        assert!(matches!(error, ClockError::Skipped { .. }), "{error}");
        assert!(error.to_string().contains(neighbours), "{error}");
        assert!(error.to_string().contains(zone.name()), "{error}");
    }
}

#[test]
fn repeated_times_are_asked_about() {
    for (zone, date, time, earlier, later) in [
        (Tz::Europe__London, (2027, 10, 31), (1, 30), "31 00:30", "31 01:30"),
        (Tz::America__New_York, (2027, 11, 7), (1, 30), "07 05:30", "07 06:30"),
        (Tz::Australia__Lord_Howe, (2027, 4, 4), (1, 40), "03 14:40", "03 15:10"),
    ] {
        let error = at(zone, date, time, None).unwrap_err();
        assert!(matches!(error, ClockError::Twice { .. }), "{error}");
        assert!(error.to_string().contains("--repeated"), "{error}");
        assert_eq!(at(zone, date, time, Some(Repeated::Earlier)).unwrap(), earlier);
        assert_eq!(at(zone, date, time, Some(Repeated::Later)).unwrap(), later);
    }
}

#[test]
fn a_zone_without_changes_takes_every_time() {
    for month in 1..=12 {
        for hour in 0..24 {
            assert!(at(Tz::Asia__Tokyo, (2027, month, 28), (hour, 30), None).is_ok());
        }
    }
}
