//! Weather files made by rule, for tests. Invented throughout.
#![allow(dead_code)]

use chrono::{Datelike, Days, NaiveDate};
use quarterstop::weather::epw::{EpwYear, HOURS, HourRow};

/// A year at 52 N, 0.5 W in zone UTC with the radiation `direct` says for (day of year
/// from 1, hour from 1): direct normal irradiance in W/m2 and tenths of cover.
pub fn year(direct: impl Fn(u32, u32) -> (f64, f64)) -> EpwYear {
    let first = NaiveDate::from_ymd_opt(2001, 1, 1).unwrap();
    let hours = (0..HOURS).map(|i| {
        let date = first + Days::new(i as u64 / 24);
        let hour = i as u32 % 24 + 1;
        let (dni, tenths) = direct(date.ordinal(), hour);
        HourRow {
            month: date.month(),
            day: date.day(),
            hour,
            global: None,
            direct_normal: Some(dni),
            diffuse: None,
            cover_tenths: Some(tenths),
        }
    });
    EpwYear {
        file: "made.epw".into(),
        city: "Nowhere".into(),
        latitude_deg: 52.0,
        longitude_deg: -0.5,
        zone_h: 0.0,
        height_m: 50.0,
        years: Some((2001, 2001)),
        hours: hours.collect(),
    }
}

/// The same as text of an EPW file.
pub fn text(year: &EpwYear) -> String {
    let mut text = format!(
        "LOCATION,{},-,-,made,000000,{},{},{},{}\r\nDESIGN CONDITIONS,0\r\n\
         TYPICAL/EXTREME PERIODS,0\r\nGROUND TEMPERATURES,0\r\n\
         HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\r\nCOMMENTS 1,made\r\nCOMMENTS 2,made\r\n\
         DATA PERIODS,1,1,Data,Monday,1/1,12/31\r\n",
        year.city, year.latitude_deg, year.longitude_deg, year.zone_h, year.height_m
    );
    let radiation = |value: Option<f64>| value.map_or("9999".to_owned(), |v| v.to_string());
    for hour in &year.hours {
        let mut fields = vec!["0".to_owned(); 35];
        for (field, value) in [
            (1, "2001".to_owned()),
            (2, hour.month.to_string()),
            (3, hour.day.to_string()),
            (4, hour.hour.to_string()),
            (14, radiation(hour.global)),
            (15, radiation(hour.direct_normal)),
            (16, radiation(hour.diffuse)),
            (23, hour.cover_tenths.map_or("99".to_owned(), |v| v.to_string())),
        ] {
            fields[field - 1] = value;
        }
        text += &fields.join(",");
        text += "\r\n";
    }
    text
}
