//! Minutes that a radiation station measured.
//!
//! In: station files as they are published: months of the Baseline Surface Radiation Network
//! (station-to-archive files) and days of NOAA's SURFRAD, one or many of one station. Out:
//! [`Minutes`], and from them [`StationOdds`]: by month and hour how often sun and shade
//! change, and how much of it is sun.
//!
//! Direct irradiance facing the sun over 120 W/m2 is sun (WMO-No. 8); minutes with the sun
//! under 10 degrees say little of clouds and are left out.

mod bsrn;
mod odds;
mod surfrad;

pub use odds::{HourCell, StationOdds};

use std::path::{Path, PathBuf};

use chrono::{DateTime, Utc};

use crate::base::read::{ReadError, clean, text_file};
use crate::weather::WeatherError;

/// Megabytes of a file: a month of a station with all its records has 30.
const MAX_MB: u64 = 64;
/// Files of one run: ten years of days.
const MAX_FILES: usize = 4000;

/// A station's place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationPlace {
    /// Degrees, north and east positive.
    pub latitude_deg: f64,
    pub longitude_deg: f64,
    /// Above the sea, m.
    pub height_m: f64,
}

/// One minute.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationMinute {
    pub at: DateTime<Utc>,
    /// Facing the sun, W/m2; `None` where it was not measured, or not well.
    pub direct_normal: Option<f64>,
}

/// A file.
#[derive(Debug, Clone, PartialEq)]
pub struct Minutes {
    /// As messages call it.
    pub file: String,
    pub place: StationPlace,
    pub minutes: Vec<StationMinute>,
}

/// Reads station files; folders stand for all files in them whose names end in `.dat`.
///
/// # Errors
/// [`WeatherError`]: what is wrong in the first file that cannot be read, too many files,
/// none, or files of different places.
pub fn read(paths: &[PathBuf]) -> Result<StationOdds, WeatherError> {
    let mut files = Vec::new();
    for path in paths {
        match path.is_dir() {
            true => files.extend(in_folder(path)?),
            false => files.push(path.clone()),
        }
    }
    if files.len() > MAX_FILES {
        let folder = paths.first().map_or_else(String::new, |p| p.display().to_string());
        return Err(WeatherError::TooMany { folder, count: files.len(), most: MAX_FILES });
    }
    let read: Result<Vec<Minutes>, _> = files.iter().map(|path| read_one(path)).collect();
    StationOdds::of(&read?)
}

fn in_folder(folder: &Path) -> Result<Vec<PathBuf>, WeatherError> {
    let unreadable = |cause| ReadError::Unreadable { path: folder.to_owned(), cause };
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(unreadable)? {
        let path = entry.map_err(unreadable)?.path();
        if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("dat")) && path.is_file() {
            files.push(path);
        }
    }
    // a folder has no order of its own
    files.sort();
    Ok(files)
}

fn read_one(path: &Path) -> Result<Minutes, WeatherError> {
    parse(&text_file(path, MAX_MB)?, &path.display().to_string())
}

/// Reads the text of a file; which kind it is, its first line tells.
///
/// # Errors
/// [`WeatherError::Mistakes`] with the line.
pub fn parse(text: &str, file: &str) -> Result<Minutes, WeatherError> {
    let read = match text.trim_start().starts_with('*') {
        true => bsrn::parse(text),
        false => surfrad::parse(text),
    };
    let (place, minutes) = read.map_err(|fault| WeatherError::Mistakes {
        file: file.to_owned(),
        problems: vec![format!(
            "line {}: found {}; allowed: {}",
            fault.line,
            clean(&fault.found),
            fault.allowed
        )],
        count: 1,
    })?;
    Ok(Minutes { file: file.to_owned(), place, minutes })
}

/// The first thing that is wrong in a file.
struct Fault {
    line: usize,
    found: String,
    allowed: &'static str,
}

type Read = Result<(StationPlace, Vec<StationMinute>), Fault>;

/// A number of a cell, within limits.
fn number(cell: &str, low: f64, high: f64) -> Option<f64> {
    cell.parse::<f64>().ok().filter(|v| (low..=high).contains(v))
}
