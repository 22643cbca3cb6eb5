//! A day of a station of NOAA's Surface Radiation network.
//!
//! First line: the station's name. Second: latitude, longitude (west of Greenwich, without a
//! sign), height. Then a line a minute: year, day of the year, month, day, hour, minute,
//! hour as a fraction, zenith angle, then values with a quality flag behind each, 0 is good:
//! downward, upward, direct normal, diffuse ... (the network's README).

use chrono::NaiveDate;

use super::{Fault, Read, StationMinute, StationPlace, number};

const PLACE: &str = "a SURFRAD file: a name, then latitude, longitude and height, then minutes; or \
                     a BSRN file, which begins with *U0001 or *C0001";
const MINUTE: &str = "year, day of the year, month, day, hour, minute and the values behind them";
const DIRECT: (f64, f64) = (-20.0, 1500.0);

pub(super) fn parse(text: &str) -> Read {
    let mut lines = text.lines().enumerate();
    let second = lines.nth(1).map(|(_, line)| line).unwrap_or_default();
    let place = place(second).ok_or_else(|| fault(2, second, PLACE))?;
    let mut minutes = Vec::new();
    for (index, line) in lines.filter(|(_, line)| !line.trim().is_empty()) {
        minutes.push(minute(line).ok_or_else(|| fault(index + 1, line, MINUTE))?);
    }
    Ok((place, minutes))
}

fn place(line: &str) -> Option<StationPlace> {
    let cells: Vec<&str> = line.split_whitespace().collect();
    Some(StationPlace {
        latitude_deg: number(cells.first()?, -90.0, 90.0)?,
        longitude_deg: -number(cells.get(1)?, 0.0, 180.0)?,
        height_m: number(cells.get(2)?, -450.0, 6000.0)?,
    })
}

fn minute(line: &str) -> Option<StationMinute> {
    let cells: Vec<&str> = line.split_whitespace().collect();
    let whole = |i: usize, low: f64, high: f64| Some(number(cells.get(i)?, low, high)? as u32);
    let year = whole(0, 0.0, 2200.0)?;
    // files before 2000 write two digits
    let year = if year < 100 { 1900 + year } else { year };
    let date = NaiveDate::from_ymd_opt(year as i32, whole(2, 1.0, 12.0)?, whole(3, 1.0, 31.0)?)?;
    let at = date.and_hms_opt(whole(4, 0.0, 23.0)?, whole(5, 0.0, 59.0)?, 0)?.and_utc();
    let good = cells.get(13)? == &"0";
    let direct_normal = number(cells.get(12)?, DIRECT.0, DIRECT.1).filter(|_| good);
    Some(StationMinute { at, direct_normal })
}

fn fault(line: usize, found: &str, allowed: &'static str) -> Fault {
    Fault { line, found: format!("\"{found}\""), allowed }
}
