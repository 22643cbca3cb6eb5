//! Reads a forecast.
//!
//! In: CSV (RFC 4180: UTF-8, commas, one header row), columns in any order; the place and
//! zone of the venue. Out: a [`Forecast`], values in the units of [`ForecastQuantity`], or all
//! mistakes together, each with its line.
//!
//! | column | meaning |
//! | --- | --- |
//! | `time` | with an offset (RFC 3339), or |
//! | `time_utc`, `time_local` | the same without one; local is the venue's zone |
//! | `member` | name of a member or model; one where the column is missing |
//! | `latitude_deg`, `longitude_deg` | of the place it is for |
//! | the others | [`super::COLUMNS`], each with its unit; empty where there is no value |

use std::collections::BTreeMap;
use std::path::Path;

use chrono::{DateTime, NaiveDateTime, TimeDelta, TimeZone, Utc};

use crate::base::read::{clean, text_file};
use crate::solar;
use crate::venue::Place;

use super::ForecastError;
use super::column::{ForecastColumn, ForecastQuantity, Named, named, names};

/// Megabytes of a file.
pub const MAX_MB: u64 = 16;
/// Rows, and members.
const MAX_ROWS: usize = 200_000;
const MAX_MEMBERS: usize = 200;
/// Problems that are shown.
const MAX_SHOWN: usize = 10;
/// A forecast for a place farther off is another place's, km (as for other weather).
const SAME_PLACE_KM: f64 = 50.0;
/// Direct or global irradiance over this with the sun down from an hour before to an hour
/// after is that of another zone, day or place, W/m2.
const NIGHT_W_M2: f64 = 10.0;

/// One time of one member.
#[derive(Debug, Clone, PartialEq)]
pub struct ForecastHour {
    pub at: DateTime<Utc>,
    pub values: BTreeMap<ForecastQuantity, f64>,
}

/// One member or model.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    pub name: String,
    /// In order of time.
    pub hours: Vec<ForecastHour>,
}

/// A forecast.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// As messages call it.
    pub file: String,
    /// In the order of their names.
    pub members: Vec<Member>,
    /// Columns that were not read.
    pub left_out: Vec<String>,
    /// Whether it says which place it is for.
    pub states_place: bool,
}

/// Reads a file.
///
/// # Errors
/// [`ForecastError`].
pub fn read(path: &Path, place: &Place) -> Result<Forecast, ForecastError> {
    parse(&text(path)?, &path.display().to_string(), place)
}

/// The text of a file, of at most [`MAX_MB`].
///
/// # Errors
/// [`ForecastError::Read`].
pub fn text(path: &Path) -> Result<String, ForecastError> {
    Ok(text_file(path, MAX_MB)?)
}

/// Reads text; `file` is what messages call it.
///
/// # Errors
/// As [`read`].
pub fn parse(text: &str, file: &str, place: &Place) -> Result<Forecast, ForecastError> {
    let mut sheet = Sheet::default();
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader =
        csv::ReaderBuilder::new().has_headers(true).flexible(true).from_reader(text.as_bytes());
    let header = reader.headers().cloned().unwrap_or_default();
    let layout = Layout::of(&header, &mut sheet);
    let mut members: BTreeMap<String, BTreeMap<DateTime<Utc>, Row>> = BTreeMap::new();
    let mut elsewhere_km: Option<f64> = None;
    for (index, record) in reader.records().enumerate() {
        if sheet.count >= MAX_SHOWN || layout.is_none() {
            break;
        }
        let (Some(layout), Ok(record)) = (&layout, record) else {
            sheet.add(index + 2, "row that is no CSV", "values with commas between");
            break;
        };
        if index >= MAX_ROWS {
            sheet.add(index + 2, &format!("more than {MAX_ROWS} rows"), "fewer hours or members");
            break;
        }
        let line = record.position().map_or(index + 2, |p| p.line() as usize);
        if record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        if let Some(km) = layout.km_from(&record, place) {
            elsewhere_km = Some(elsewhere_km.map_or(km, |before: f64| before.max(km)));
        }
        let Some(at) = layout.time(&record, line, place, &mut sheet) else { continue };
        let member = clean(layout.member.and_then(|i| record.get(i)).unwrap_or_default());
        let values = layout.values(&record, line, &mut sheet);
        night(&values, at, line, place, &mut sheet);
        let rows = members.entry(member).or_default();
        if let Some(before) = rows.insert(at, Row { line, values }) {
            let found = format!("the same time as line {}", before.line);
            let allowed = "each time once a member; where clocks go back, times with an offset";
            sheet.add(line, &found, allowed);
        }
        if members.len() > MAX_MEMBERS {
            sheet.add(line, &format!("more than {MAX_MEMBERS} members"), "fewer of them");
        }
    }
    if let Some(km) = elsewhere_km.filter(|km| *km > SAME_PLACE_KM) {
        let file = file.to_owned();
        return Err(ForecastError::ElsewhereThan { file, km, most: SAME_PLACE_KM });
    }
    if let Some(layout) = &layout {
        layout.units(&members, &mut sheet);
    }
    if sheet.count == 0 && members.is_empty() {
        sheet.add(2, "no hour", "a row an hour");
    }
    if sheet.count > 0 {
        let Sheet { problems, count } = sheet;
        return Err(ForecastError::Mistakes { file: file.to_owned(), problems, count });
    }
    let hours = |rows: BTreeMap<DateTime<Utc>, Row>| {
        rows.into_iter().map(|(at, row)| ForecastHour { at, values: row.values }).collect()
    };
    let member = |(name, rows)| Member { name, hours: hours(rows) };
    Ok(Forecast {
        file: file.to_owned(),
        members: members.into_iter().map(member).collect(),
        states_place: layout.as_ref().is_some_and(|l| l.place.is_some()),
        left_out: layout.map(|l| l.left_out).unwrap_or_default(),
    })
}

/// A row while it is read.
struct Row {
    line: usize,
    values: BTreeMap<ForecastQuantity, f64>,
}

/// Mistakes, as they are found.
#[derive(Default)]
struct Sheet {
    problems: Vec<String>,
    count: usize,
}

impl Sheet {
    fn add(&mut self, line: usize, found: &str, allowed: &str) {
        self.count += 1;
        if self.problems.len() < MAX_SHOWN {
            self.problems.push(format!("line {line}: found {}; allowed: {allowed}", clean(found)));
        }
    }
}

/// How times are written.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Clock {
    WithOffset,
    Utc,
    Local,
}

/// Where everything stands in a row.
struct Layout {
    time: (usize, Clock),
    member: Option<usize>,
    place: Option<(usize, usize)>,
    values: Vec<(usize, String, ForecastColumn)>,
    left_out: Vec<String>,
}

impl Layout {
    fn of(header: &csv::StringRecord, sheet: &mut Sheet) -> Option<Self> {
        let names_of: Vec<String> =
            header.iter().map(|n| n.trim().to_ascii_lowercase().replace([' ', '-'], "_")).collect();
        let at = |name: &str| names_of.iter().position(|n| n == name);
        let clocks =
            [("time", Clock::WithOffset), ("time_utc", Clock::Utc), ("time_local", Clock::Local)];
        let times: Vec<(usize, Clock)> =
            clocks.into_iter().filter_map(|(name, clock)| Some((at(name)?, clock))).collect();
        let mut values: Vec<(usize, String, ForecastColumn)> = Vec::new();
        let mut left_out = Vec::new();
        let own = ["time", "time_utc", "time_local", "member", "latitude_deg", "longitude_deg"];
        for (index, name) in names_of.iter().enumerate() {
            if own.contains(&name.as_str()) {
                continue;
            }
            match named(name) {
                Named::Value(column) => {
                    if let Some((_, other, _)) =
                        values.iter().find(|(_, _, c)| c.quantity == column.quantity)
                    {
                        let found = format!("columns {other} and {name}");
                        sheet.add(1, &found, "each quantity once, in one unit");
                    }
                    values.push((index, name.clone(), column));
                }
                Named::NoUnit(stem, units) => {
                    let found = format!("column {name}, whose unit is not known");
                    sheet.add(1, &found, &names(stem, units));
                }
                Named::Unknown => left_out.push(clean(name)),
            }
        }
        let says = |q: &[ForecastQuantity]| values.iter().any(|(_, _, c)| q.contains(&c.quantity));
        let sky = [
            ForecastQuantity::CoverTotal,
            ForecastQuantity::CoverLow,
            ForecastQuantity::DirectNormal,
            ForecastQuantity::DirectHorizontal,
        ];
        if sheet.count == 0 && !says(&sky) {
            let found = "no column about the sky";
            let allowed = "cover_total_percent, cover_low_percent or direct_normal_w_m2, for one";
            sheet.add(1, found, allowed);
        }
        match times.as_slice() {
            [time] => Some(Self {
                time: *time,
                member: at("member"),
                place: at("latitude_deg").zip(at("longitude_deg")),
                values,
                left_out,
            }),
            [] => {
                sheet.add(1, "no column of times", "time (with an offset), time_utc or time_local");
                None
            }
            _ => {
                sheet.add(1, "several columns of times", "one of time, time_utc and time_local");
                None
            }
        }
    }

    fn time(
        &self,
        record: &csv::StringRecord,
        line: usize,
        place: &Place,
        sheet: &mut Sheet,
    ) -> Option<DateTime<Utc>> {
        let (index, clock) = self.time;
        let text = record.get(index).unwrap_or_default().trim();
        if let Ok(at) = DateTime::parse_from_rfc3339(&text.replacen(' ', "T", 1)) {
            return Some(at.to_utc());
        }
        let forms = ["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M:%S"];
        let with_offset = ["%Y-%m-%dT%H:%M%:z", "%Y-%m-%d %H:%M%:z"];
        if let Some(at) = with_offset.iter().find_map(|f| DateTime::parse_from_str(text, f).ok()) {
            return Some(at.to_utc());
        }
        let z = text.strip_suffix('Z');
        let bare = z.unwrap_or(text);
        let naive = forms.iter().find_map(|f| NaiveDateTime::parse_from_str(bare, f).ok());
        let quoted = format!("\"{text}\"");
        let Some(naive) = naive else {
            sheet.add(line, &quoted, "a time such as 2027-10-16T15:00+01:00");
            return None;
        };
        match clock {
            _ if z.is_some() => Some(naive.and_utc()),
            Clock::Utc => Some(naive.and_utc()),
            Clock::WithOffset => {
                let allowed = "a time with its offset (2027-10-16T15:00+01:00, ...Z), or a column \
                               time_utc or time_local";
                sheet.add(line, &format!("{quoted}, whose zone is not known"), allowed);
                None
            }
            Clock::Local => match place.zone.from_local_datetime(&naive) {
                chrono::LocalResult::Single(at) => Some(at.to_utc()),
                chrono::LocalResult::Ambiguous(..) => {
                    let found = format!("{quoted}, which comes twice in {}", place.zone.name());
                    sheet.add(line, &found, "times with an offset, in a column time");
                    None
                }
                chrono::LocalResult::None => {
                    let found = format!("{quoted}, which {} skips", place.zone.name());
                    sheet.add(line, &found, "times that the clocks show, or a column time_utc");
                    None
                }
            },
        }
    }

    fn values(
        &self,
        record: &csv::StringRecord,
        line: usize,
        sheet: &mut Sheet,
    ) -> BTreeMap<ForecastQuantity, f64> {
        let mut values = BTreeMap::new();
        for (index, name, column) in &self.values {
            let text = record.get(*index).unwrap_or_default().trim();
            if text.is_empty() {
                continue;
            }
            let read = text.parse::<f64>().map_err(|_| "a number, or nothing".to_owned());
            match read.and_then(|number| column.value(number)) {
                Ok(value) => {
                    values.insert(column.quantity, value);
                }
                Err(allowed) => sheet.add(line, &format!("{name} \"{text}\""), &allowed),
            }
        }
        values
    }

    fn km_from(&self, record: &csv::StringRecord, place: &Place) -> Option<f64> {
        let (latitude, longitude) = self.place?;
        let number = |i: usize| record.get(i)?.trim().parse::<f64>().ok().filter(|v| v.is_finite());
        let at = (number(latitude)?, number(longitude)?);
        Some(crate::weather::odds::km(at, (place.latitude_deg, place.longitude_deg)))
    }

    /// Covers of a member that are all so small that they look like another unit.
    fn units(&self, members: &BTreeMap<String, BTreeMap<DateTime<Utc>, Row>>, sheet: &mut Sheet) {
        let columns = self.values.iter();
        for ((_, name, column), (member, rows)) in
            columns.flat_map(|column| members.iter().map(move |member| (column, member)))
        {
            let numbers: Vec<f64> = rows
                .values()
                .filter_map(|row| row.values.get(&column.quantity))
                .map(|value| column.as_written(*value))
                .collect();
            let greatest = numbers.iter().copied().fold(0.0, f64::max);
            let fractions = numbers.iter().any(|n| n.fract() > 1e-9);
            if column.looks_like_shares(greatest, fractions) {
                let of = if member.is_empty() { "" } else { " of " };
                let found = format!("{name}{of}{member}, {greatest} at most, with fractions");
                let unit = column.unit;
                let allowed = format!(
                    "numbers in the unit of the name, whole where they are so small; shares \
                     ({greatest} for {:.0} {unit}) are called ..._share",
                    column.as_written(greatest)
                );
                let line = rows.values().map(|row| row.line).min().unwrap_or(1);
                sheet.add(line, &found, &allowed);
            }
        }
    }
}

/// Light where there can be none.
fn night(
    values: &BTreeMap<ForecastQuantity, f64>,
    at: DateTime<Utc>,
    line: usize,
    place: &Place,
    sheet: &mut Sheet,
) {
    let light = [
        ForecastQuantity::DirectNormal,
        ForecastQuantity::DirectHorizontal,
        ForecastQuantity::Global,
    ];
    let most = light.iter().filter_map(|q| values.get(q)).copied().fold(0.0, f64::max);
    if most <= NIGHT_W_M2 {
        return;
    }
    let around = [-60, -30, 0, 30, 60].map(|m| at + TimeDelta::minutes(m));
    let highest = around
        .map(|at| solar::position(place, at).apparent_elevation.degrees())
        .into_iter()
        .fold(-90.0, f64::max);
    if highest < 0.0 {
        let found =
            format!("{most:.0} W/m2 with the sun {:.0} degrees under the horizon", -highest);
        sheet.add(line, &found, "no light at night: check the zone of the times, day and place");
    }
}
