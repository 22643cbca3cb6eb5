//! A month of a station of the Baseline Surface Radiation Network.
//!
//! Station-to-archive file: records that begin with `*U` or `*C` and a number. Record 0001
//! has month and year, 0004 the place (latitude from the south pole, longitude from 180
//! degrees west), 0100 two lines a minute: day and minute of the day (UTC), then mean,
//! deviation, least and most of global and direct, then of diffuse. -999 is no value.
//! (G. Koenig-Langlo and others, BSRN technical plan for BSRN data management, WRMC
//! 24/2013; from memory, and held to a file of the network.)

use chrono::{NaiveDate, TimeDelta};

use super::{Fault, Read, StationMinute, StationPlace, number};

const FIRST: &str = "a station-to-archive file: *U0001 or *C0001, and a line with station, month, \
                     year and version";
const PLACE: &str = "record 0004 with latitude, longitude and height on its sixth line";
const MINUTE: &str = "day, minute of the day, and four numbers each of global and direct";
/// Direct irradiance in these limits was measured, W/m2.
const DIRECT: (f64, f64) = (-20.0, 1500.0);

pub(super) fn parse(text: &str) -> Read {
    let lines: Vec<&str> = text.lines().collect();
    let month = first_of_month(&lines)
        .ok_or_else(|| fault(1, lines.get(1).copied().unwrap_or_default(), FIRST))?;
    let start = record(&lines, "0004").ok_or_else(|| fault(1, "no record 0004", PLACE))?;
    let place = place(&lines, start).ok_or_else(|| {
        fault(start + 6, lines.get(start + 6).copied().unwrap_or_default(), PLACE)
    })?;
    let first = record(&lines, "0100").ok_or_else(|| fault(1, "no record 0100", MINUTE))?;
    let mut minutes = Vec::new();
    let rows = lines.iter().enumerate().skip(first + 1).step_by(2);
    for (index, line) in rows.take_while(|(_, line)| !line.starts_with('*')) {
        let cells: Vec<&str> = line.split_whitespace().collect();
        let wrong = || fault(index + 1, line, MINUTE);
        let [day, minute, _, _, _, _, direct, ..] = cells.as_slice() else { return Err(wrong()) };
        let day = number(day, 1.0, 31.0).ok_or_else(wrong)?;
        let minute = number(minute, 0.0, 1439.0).ok_or_else(wrong)?;
        let after = TimeDelta::minutes((day as i64 - 1) * 1440 + minute as i64);
        let direct_normal = number(direct, DIRECT.0, DIRECT.1);
        minutes.push(StationMinute {
            at: month.and_time(chrono::NaiveTime::MIN).and_utc() + after,
            direct_normal,
        });
    }
    Ok((place, minutes))
}

fn first_of_month(lines: &[&str]) -> Option<NaiveDate> {
    let cells: Vec<&str> = lines.get(record(lines, "0001")? + 1)?.split_whitespace().collect();
    let month = number(cells.get(1)?, 1.0, 12.0)?;
    let year = number(cells.get(2)?, 1950.0, 2200.0)?;
    NaiveDate::from_ymd_opt(year as i32, month as u32, 1)
}

/// Line at which a record begins.
fn record(lines: &[&str], name: &str) -> Option<usize> {
    lines.iter().position(|line| {
        line.trim().strip_prefix("*U").or_else(|| line.trim().strip_prefix("*C")) == Some(name)
    })
}

fn place(lines: &[&str], start: usize) -> Option<StationPlace> {
    let cells: Vec<&str> = lines.get(start + 6)?.split_whitespace().collect();
    Some(StationPlace {
        latitude_deg: number(cells.first()?, 0.0, 180.0)? - 90.0,
        longitude_deg: number(cells.get(1)?, 0.0, 360.0)? - 180.0,
        height_m: number(cells.get(2)?, -450.0, 6000.0)?,
    })
}

fn fault(line: usize, found: &str, allowed: &'static str) -> Fault {
    Fault { line, found: format!("\"{found}\""), allowed }
}
