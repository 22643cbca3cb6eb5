//! Forecasts of others: what is read, what is asked about, what is refused.

use crate::support;

use chrono::{TimeDelta, TimeZone, Utc};
use quarterstop::light::{Air, AirByDate};
use quarterstop::weather::SkyCover;
use quarterstop::weather::forecast::{
    Forecast, ForecastError, ForecastQuantity, MemberAgreement, parse,
};

/// Invented hours at the place of the tests, 52 north, London's clocks.
fn read(text: &str) -> Result<Forecast, ForecastError> {
    parse(text, "hours.csv", &support::place())
}

fn refused(text: &str) -> String {
    read(text).unwrap_err().to_string()
}

fn sky(forecast: &Forecast, hour: u32, minute: u32) -> quarterstop::weather::forecast::ForecastSky {
    let at = Utc.with_ymd_and_hms(2027, 6, 5, hour, minute, 0).unwrap();
    forecast.at(&support::place(), &AirByDate::from(Air::default()), at)
}

#[test]
fn columns_come_in_any_order_and_unit() {
    let text = "wind_kn,cloud_cover_total_oktas,Time,rain_mm\n\
                10,4,2027-06-05T14:00+01:00,0\n\
                12,6,2027-06-05 15:00+01:00,0.4\n";
    let forecast = read(text).unwrap();
    assert_eq!(forecast.left_out, ["rain_mm"]);
    let hours = &forecast.members[0].hours;
    assert_eq!(hours[0].at, Utc.with_ymd_and_hms(2027, 6, 5, 13, 0, 0).unwrap());
    assert_eq!(hours[1].values[&ForecastQuantity::CoverTotal], 0.75);
    // half way between
    let sky = sky(&forecast, 13, 30);
    assert!((sky.states.unwrap().sun() - 0.375).abs() < 1e-9);
    assert_eq!(sky.telling, MemberAgreement::OneMember);
    // 11 knots at 10 m are 5.66 m/s, and 1.93 times that at the height of clouds
    assert!((sky.wind_m_s.unwrap() - 5.659 * 1.93).abs() < 0.01);
}

#[test]
fn local_times_follow_the_venues_clocks() {
    let local = "time_local,cover_total_percent\n2027-06-05 14:00,50\n2027-06-05 15:00,50\n";
    let utc = "time_utc,cover_total_percent\n2027-06-05T13:00,50\n2027-06-05T14:00:00,50\n";
    assert_eq!(read(local).unwrap().members, read(utc).unwrap().members);
    // a day of 25 hours: 01:30 comes twice, so local times do not say which
    let twice = "time_local,cover_total_percent\n2027-10-31 01:30,50\n";
    assert!(refused(twice).contains("which comes twice in Europe/London"));
    // with offsets it has two of them
    let offsets =
        "time,cover_total_percent\n2027-10-31T01:30+01:00,50\n2027-10-31T01:30+00:00,60\n";
    assert_eq!(read(offsets).unwrap().members[0].hours.len(), 2);
    // a day of 23 hours
    let skipped = "time_local,cover_total_percent\n2027-03-28 01:30,50\n";
    assert!(refused(skipped).contains("which Europe/London skips"));
}

#[test]
fn what_is_not_known_is_asked_about() {
    for (text, said) in [
        ("time_utc,cover_total\n", "cover_total_percent, cover_total_oktas"),
        ("time_utc,cover_total_percent,wind\n", "wind_m_s, wind_km_h, wind_kn, wind_mph"),
        ("cover_total_percent\n50\n", "no column of times"),
        ("time,time_utc,cover_total_percent\n", "several columns of times"),
        ("time,cover_total_percent\n2027-06-05T14:00,50\n", "whose zone is not known"),
        ("time_utc,cover_total_percent\nnoon,50\n", "2027-10-16T15:00+01:00"),
        ("time_utc,rain_mm\n2027-06-05T14:00,1\n", "no column about the sky"),
        ("time_utc,cover_low_percent,cover_low_oktas\n", "each quantity once, in one unit"),
        ("time_utc,cover_total_percent\n", "no hour"),
        ("time_utc,cover_total_percent\n2027-06-05T14:00,half\n", "a number, or nothing"),
    ] {
        let message = refused(text);
        assert!(message.contains(said), "{text:?}: {message}");
    }
}

#[test]
fn numbers_that_cannot_be_are_refused_with_their_line() {
    for (text, said) in [
        (
            "time_utc,cover_total_percent\n2027-06-05T14:00,50\n2027-06-05T15:00,104\n",
            "line 3: found cover_total_percent \"104\"; allowed: 0 to 100 percent",
        ),
        ("time_utc,cover_low_oktas\n2027-06-05T14:00,9\n", "0 to 8 oktas"),
        ("time_utc,cover_total_percent\n2027-06-05T14:00,NaN\n", "0 to 100"),
        // shares under the name of per cent
        (
            "time_utc,cover_total_percent\n2027-06-05T14:00,0.4\n2027-06-05T15:00,1\n",
            "(1 for 100 percent) are called ..._share",
        ),
        // the sun is down at midnight of June at 52 north
        ("time_utc,direct_normal_w_m2\n2027-06-05T00:00,300\n", "300 W/m2 with the sun"),
        (
            "time_utc,cover_total_percent\n2027-06-05T14:00,50\n2027-06-05T14:00,60\n",
            "the same time as line 2",
        ),
    ] {
        let message = refused(text);
        assert!(message.contains(said), "{text:?}: {message}");
    }
}

#[test]
fn another_place_or_day_is_not_planned_on() {
    let elsewhere = "time_utc,latitude_deg,longitude_deg,cover_total_percent\n\
                     2027-06-05T14:00,48.0,11.0,50\n";
    let message = refused(elsewhere);
    assert!(message.contains("km from the venue"), "{message}");
    let near = elsewhere.replace("48.0,11.0", "52.1,-0.4");
    let forecast = read(&near).unwrap();
    let day = |day| Utc.with_ymd_and_hms(2027, 6, day, 14, 0, 0).unwrap();
    let two_hours = TimeDelta::hours(2);
    let place = support::place();
    forecast.covers(&place, day(5), day(5) + two_hours).unwrap();
    let other = forecast.covers(&place, day(6), day(6) + two_hours).unwrap_err().to_string();
    assert!(other.contains("2027-06-06 15:00 to 2027-06-06 17:00"), "{other}");
}

#[test]
fn gaps_are_told_and_nothing_is_said_in_them() {
    let text = "time_utc,member,cover_total_percent\n\
                2027-06-05T10:00,a,0\n2027-06-05T11:00,a,0\n2027-06-05T16:00,a,0\n\
                2027-06-05T10:00,b,100\n2027-06-05T13:00,b,100\n";
    let forecast = read(text).unwrap();
    // a says nothing between 11 and 16, b spans three hours and ends
    assert_eq!(
        sky(&forecast, 12, 0).states,
        Some(quarterstop::weather::States::only(SkyCover::Overcast))
    );
    assert_eq!(sky(&forecast, 14, 0).telling, MemberAgreement::Nothing);
    let at = |hour| Utc.with_ymd_and_hms(2027, 6, 5, hour, 0, 0).unwrap();
    let gaps = forecast.gaps(at(10), at(15));
    let told: Vec<_> = gaps.iter().map(|g| (g.member.as_str(), g.from, g.until)).collect();
    assert_eq!(told, [("a", at(11), at(15)), ("b", at(13), at(15))]);
}

#[test]
fn members_that_say_the_opposite_tell_nothing() {
    let row = |member: usize, cover: u32| format!("2027-06-05T14:00,m{member},{cover}\n");
    let text = |cover: fn(usize) -> u32| {
        let rows: String = (0..10).map(|m| row(m, cover(m))).collect();
        format!("time_utc,member,cover_total_percent\n{rows}")
    };
    let split = read(&text(|m| if m < 5 { 0 } else { 100 })).unwrap();
    let sky_of = |forecast: &Forecast| sky(forecast, 14, 0);
    assert_eq!(sky_of(&split).telling, MemberAgreement::Disagree);
    assert!((sky_of(&split).states.unwrap().sun() - 0.5).abs() < 1e-9);
    let near = read(&text(|m| 40 + 2 * m as u32)).unwrap();
    assert_eq!(sky_of(&near).telling, MemberAgreement::Agree);
    assert!(sky_of(&near).changing() > 0.99);
}

/// Mistakes of the header and of the rows below it are told together.
#[test]
fn mistakes_of_header_and_rows_are_told_together() {
    let text = "time_utc,cover_low,cover_total_percent\n2027-06-05T10:00,40,160\n";
    let said = read(text).unwrap_err().to_string();
    assert!(said.contains("cover_low, whose unit") && said.contains("\"160\""), "{said}");
}
