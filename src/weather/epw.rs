//! Reads an EPW file: a year of hourly weather.
//!
//! In: text as "EnergyPlus Weather File (EPW) Data Dictionary" in the EnergyPlus
//! documentation, "Auxiliary Programs", describes it: eight header lines, then one row
//! an hour. Out: place and [`HourRow`]s, radiation in W/m2, missing values `None`.
//!
//! Hours count from 1 and are named by their ends, in local standard time throughout the
//! year: hour 1 is 00:00 to 01:00. Daylight saving, if the header states any, does not
//! touch the rows.

use std::path::Path;

use chrono::{Datelike, Days, NaiveDate};

use crate::base::read::{bytes_of, clean};
use crate::weather::WeatherError;

/// Megabytes of a file; a year has two.
const MAX_MB: u64 = 16;
/// Problems that are shown.
const MAX_SHOWN: usize = 10;
const HEADER_LINES: usize = 8;
/// Hours of a year of 365 days; 29 February is left out.
pub const HOURS: usize = 8760;
/// Values from here on mean that there is none, by the dictionary's "Missing" column.
const NO_RADIATION: f64 = 9999.0;
const NO_COVER: f64 = 99.0;
/// More than the sun sends outside of the air at its nearest, 1412 W/m2, and some.
const MAX_RADIATION: f64 = 2000.0;

/// A year of weather at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct EpwYear {
    /// As messages call it.
    pub file: String,
    pub city: String,
    /// Degrees, north positive.
    pub latitude_deg: f64,
    /// Degrees, east positive.
    pub longitude_deg: f64,
    /// Local standard time over UTC, hours.
    pub zone_h: f64,
    /// Above sea level, metres.
    pub height_m: f64,
    /// First and last year that hours are stated to be from; `None` where they state none.
    pub years: Option<(i32, i32)>,
    /// [`HOURS`] of them, from 00:00 to 01:00 on 1 January on.
    pub hours: Vec<HourRow>,
}

/// One hour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HourRow {
    /// 1 to 12, 1 to 31.
    pub month: u32,
    pub day: u32,
    /// 1 to 24; the hour ends then.
    pub hour: u32,
    /// Mean irradiance over the hour, W/m2: on the horizontal, facing the sun, and from
    /// the sky on the horizontal.
    pub global: Option<f64>,
    pub direct_normal: Option<f64>,
    pub diffuse: Option<f64>,
    /// Total sky cover, tenths.
    pub cover_tenths: Option<f64>,
}

/// Reads a file.
///
/// # Errors
/// [`WeatherError`] with all mistakes together, each at its line and field.
pub fn read(path: &Path) -> Result<EpwYear, WeatherError> {
    let bytes = bytes_of(path, MAX_MB)?;
    // names of places come in all encodings; numbers are ASCII in each
    parse(&String::from_utf8_lossy(&bytes), &path.display().to_string())
}

/// Reads text; `file` is what messages call it.
///
/// # Errors
/// As [`read`].
pub fn parse(text: &str, file: &str) -> Result<EpwYear, WeatherError> {
    let mut sheet = Sheet::default();
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut place = None;
    let mut hours = Vec::with_capacity(HOURS);
    let mut due = Due::default();
    let mut lines = Lines { text, at: 0, line: 1 };
    let mut years: Option<(i32, i32)> = None;
    for (index, record) in reader.records().enumerate() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let line = lines.at(error.position());
                sheet.add(line, 1, "row that is no CSV", "values with commas between");
                break;
            }
        };
        let line = lines.at(record.position());
        let row = Row { line, record: &record };
        match index {
            0 => place = located(&row, &mut sheet),
            _ if index + 1 == HEADER_LINES => periods(&row, &mut sheet),
            _ if index < HEADER_LINES => {}
            _ => {
                // a typical year has hours of many; what is no year is no reason to refuse
                if let Ok(year @ 1900..=2200) = row.text(1).parse() {
                    years = Some(years.map_or((year, year), |(a, b)| (a.min(year), b.max(year))));
                }
                hours.extend(hour(&row, &mut due, &mut sheet));
            }
        }
        if sheet.count >= MAX_SHOWN || due.hours > HOURS + 24 {
            break;
        }
    }
    if sheet.count == 0 && due.hours < HOURS {
        let ends = text.lines().count();
        sheet.add(ends, 1, &format!("end after {} hours", due.hours), "a whole year, 8760 rows");
    }
    match (place, sheet.count) {
        (Some(place), 0) => Ok(EpwYear { file: file.to_owned(), years, hours, ..place }),
        (_, count) => Err(WeatherError::Mistakes {
            file: file.to_owned(),
            problems: sheet.problems,
            count: count.max(1),
        }),
    }
}

/// Mistakes, as they are found.
#[derive(Default)]
struct Sheet {
    problems: Vec<String>,
    count: usize,
}

impl Sheet {
    /// Fields count from 1.
    fn add(&mut self, line: usize, field: usize, found: &str, allowed: &str) {
        self.count += 1;
        self.problems.push(format!(
            "line {line}, field {field}: found {}; allowed: {allowed}",
            clean(found)
        ));
    }
}

/// Counts lines; the CSV reader's own count is one short where lines end in CR LF.
struct Lines<'a> {
    text: &'a str,
    at: usize,
    line: usize,
}

impl Lines<'_> {
    /// Line of a record, from 1. Records come in order.
    fn at(&mut self, position: Option<&csv::Position>) -> usize {
        let bytes = self.text.as_bytes();
        let mut begins = position.map_or(self.at, |p| p.byte() as usize).min(bytes.len());
        while bytes.get(begins).is_some_and(|b| matches!(b, b'\r' | b'\n')) {
            begins += 1;
        }
        let passed = bytes.get(self.at..begins).unwrap_or_default();
        self.line += passed.iter().filter(|b| **b == b'\n').count();
        self.at = self.at.max(begins);
        self.line
    }
}

struct Row<'a> {
    line: usize,
    record: &'a csv::StringRecord,
}

impl Row<'_> {
    /// Fields count from 1, as in the dictionary.
    fn text(&self, field: usize) -> &str {
        self.record.get(field - 1).unwrap_or_default().trim()
    }

    fn number(&self, field: usize, range: (f64, f64), what: &str, sheet: &mut Sheet) -> f64 {
        match self.text(field).parse::<f64>() {
            Ok(number) if (range.0..=range.1).contains(&number) => number,
            _ => {
                let found = format!("\"{}\"", self.text(field));
                sheet.add(self.line, field, &found, &format!("{what}, {} to {}", range.0, range.1));
                0.0
            }
        }
    }

    /// A value that may be missing: left out, or `none` and beyond.
    fn measured(
        &self,
        field: usize,
        none: f64,
        most: f64,
        what: &str,
        sheet: &mut Sheet,
    ) -> Option<f64> {
        let text = self.text(field);
        if text.is_empty() || text.parse::<f64>().is_ok_and(|v| v >= none) {
            return None;
        }
        // files have a hundredth under zero where night is calculated
        Some(self.number(field, (-1.0, most), what, sheet).max(0.0))
    }
}

/// The header's first line: LOCATION, city, province, country, source, WMO number,
/// latitude, longitude, time zone, height.
fn located(row: &Row<'_>, sheet: &mut Sheet) -> Option<EpwYear> {
    if !row.text(1).eq_ignore_ascii_case("location") {
        sheet.add(row.line, 1, &format!("\"{}\"", row.text(1)), "LOCATION, as an EPW file begins");
        return None;
    }
    Some(EpwYear {
        file: String::new(),
        city: clean(row.text(2)),
        latitude_deg: row.number(7, (-90.0, 90.0), "latitude in degrees", sheet),
        longitude_deg: row.number(8, (-180.0, 180.0), "longitude in degrees", sheet),
        zone_h: row.number(9, (-12.0, 14.0), "hours over UTC", sheet),
        height_m: row.number(10, (-1000.0, 9999.9), "metres above the sea", sheet),
        years: None,
        hours: Vec::new(),
    })
}

/// The header's last line: DATA PERIODS, their number, rows an hour.
fn periods(row: &Row<'_>, sheet: &mut Sheet) {
    if !row.text(1).eq_ignore_ascii_case("data periods") {
        let found = format!("\"{}\"", row.text(1));
        sheet.add(row.line, 1, &found, "DATA PERIODS, the eighth and last line of the header");
    } else if row.text(3) != "1" {
        sheet.add(row.line, 3, &format!("\"{}\"", row.text(3)), "1 row an hour");
    }
}

/// Which hour of the year has to come next.
#[derive(Default)]
struct Due {
    hours: usize,
}

impl Due {
    /// Month, day and hour, in a year without 29 February.
    fn next(&self) -> Option<(u32, u32, u32)> {
        let first = NaiveDate::from_ymd_opt(2001, 1, 1)?;
        let date = first.checked_add_days(Days::new((self.hours / 24) as u64))?;
        Some((date.month(), date.day(), (self.hours % 24) as u32 + 1))
    }
}

fn hour(row: &Row<'_>, due: &mut Due, sheet: &mut Sheet) -> Option<HourRow> {
    let whole = |field: usize| row.text(field).parse::<f64>().ok().map(|v| v as u32);
    let found = (whole(2)?, whole(3)?, whole(4)?);
    if (found.0, found.1) == (2, 29) {
        return None;
    }
    let expected = due.next()?;
    due.hours += 1;
    if found != expected || due.hours > HOURS {
        let text = format!("month {}, day {}, hour {}", found.0, found.1, found.2);
        let allowed = match due.hours > HOURS {
            true => "one year".to_owned(),
            false => format!(
                "month {}, day {}, hour {}: hours of a year in order, from 1 to 24",
                expected.0, expected.1, expected.2
            ),
        };
        sheet.add(row.line, 2, &text, &allowed);
        due.hours = due.hours.max(HOURS + 48);
        return None;
    }
    let mut radiation =
        |field, what| row.measured(field, NO_RADIATION, MAX_RADIATION, what, &mut *sheet);
    Some(HourRow {
        month: found.0,
        day: found.1,
        hour: found.2,
        global: radiation(14, "W/m2 on the horizontal"),
        direct_normal: radiation(15, "W/m2 facing the sun"),
        diffuse: radiation(16, "W/m2 from the sky"),
        cover_tenths: row.measured(23, NO_COVER, 10.0, "tenths of sky cover", sheet),
    })
}
