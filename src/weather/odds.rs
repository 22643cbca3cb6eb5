//! Odds of sun at a place.
//!
//! In: one or more years of weather ([`EpwYear`]) for one place. Out: [`Odds`]: tables by
//! month and hour of local standard time, and for any instant the [`States`] that the
//! days around it had, each such day as likely as the others.
//!
//! A day of the file keeps its hours together, so that what follows an overcast hour is
//! what followed it there. Hours are kept in UTC: a match under daylight saving meets the
//! hours that its sun belongs to.

use std::path::{Path, PathBuf};

use chrono::{DateTime, Datelike, NaiveDate, TimeDelta, Timelike, Utc};
use geo::{Distance, Haversine, Point};
use rayon::prelude::*;

use crate::light::{AirByDate, clear};
use crate::solar;
use crate::venue::Place;
use crate::weather::epw::{EpwYear, HOURS, HourRow};
use crate::weather::shift::shift_min;
use crate::weather::spread::Spread;
use crate::weather::state::{SUNSHINE_W_M2, States, TELLING_W_M2};
use crate::weather::{WeatherError, epw, state};

/// Days before and after a date whose weather counts for it.
pub const DAYS_AROUND: i64 = 15;
/// Files of a folder.
const MAX_FILES: usize = 60;
/// Files further apart than this are for different places, km.
const SAME_PLACE_KM: f64 = 50.0;
const MINUTES_OF_YEAR: i64 = HOURS as i64 * 60;

/// Where weather files are for.
#[derive(Debug, Clone, PartialEq)]
pub struct WeatherPlace {
    pub city: String,
    /// Degrees, north and east positive.
    pub latitude_deg: f64,
    pub longitude_deg: f64,
    /// Local standard time over UTC, hours.
    pub zone_h: f64,
}

/// A day of the files that stands for the date of a match.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WeatherDay {
    year: usize,
    /// Days after the date.
    after: i64,
}

/// What an hour had.
#[derive(Debug, Clone, Copy)]
struct HourRecord {
    month: u32,
    hour: u32,
    sunshine: bool,
    direct_share: f64,
    states: States,
}

/// One file, hour by hour.
#[derive(Debug, Clone)]
struct Year {
    /// Minute of the year, UTC, at which its first hour begins.
    begins_min: i64,
    /// `None` for hours that do not tell the sky.
    told: Vec<Option<HourRecord>>,
    /// Of each hour, its own or those of the nearest that tells.
    states: Vec<States>,
}

/// A month and an hour.
#[derive(Debug, Clone, PartialEq)]
pub struct OddsCell {
    /// Hours of the files that tell the sky.
    pub hours: usize,
    /// Share of these with sunshine: mean direct irradiance over
    /// [`SUNSHINE_W_M2`](state::SUNSHINE_W_M2).
    pub sunshine: f64,
    pub states: States,
    /// Direct light as a share of the clear sky's.
    pub direct_share: Spread,
}

/// How likely each sky is.
#[derive(Debug, Clone)]
pub struct Odds {
    pub place: WeatherPlace,
    /// Names of the files.
    pub files: Vec<String>,
    /// First and last year that hours of the files are stated to be from.
    pub hours_of: Option<(i32, i32)>,
    /// Minutes by which each file's hours are taken later than they say, since its
    /// radiation then fits the sun.
    pub shifts_min: Vec<i64>,
    years: Vec<Year>,
}

/// Reads a file, or all files of a folder ([`files`]).
///
/// # Errors
/// [`WeatherError`].
pub fn read(path: &Path) -> Result<Odds, WeatherError> {
    let paths = files(path)?;
    let years: Result<Vec<EpwYear>, _> = paths.par_iter().map(|p| epw::read(p)).collect();
    Odds::of(&years?)
}

/// The file, or all files of a folder whose names end in `.epw`, in order of their names.
///
/// # Errors
/// [`WeatherError`] for a folder without any, or with too many.
pub fn files(path: &Path) -> Result<Vec<PathBuf>, WeatherError> {
    if path.is_dir() { in_folder(path) } else { Ok(vec![path.to_owned()]) }
}

fn in_folder(folder: &Path) -> Result<Vec<PathBuf>, WeatherError> {
    let shown = || folder.display().to_string();
    let unreadable =
        |cause| crate::base::read::ReadError::Unreadable { path: folder.to_owned(), cause };
    let mut paths = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(unreadable)? {
        let path = entry.map_err(unreadable)?.path();
        if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("epw")) && path.is_file() {
            paths.push(path);
        }
    }
    // a folder has no order of its own
    paths.sort();
    match paths.len() {
        0 => Err(WeatherError::NoFiles { folder: shown() }),
        n if n > MAX_FILES => {
            Err(WeatherError::TooMany { folder: shown(), count: n, most: MAX_FILES })
        }
        _ => Ok(paths),
    }
}

impl Odds {
    /// From years of one place, the first of which names it.
    ///
    /// # Errors
    /// [`WeatherError`] where places differ or a year never tells the sky.
    pub fn of(years: &[EpwYear]) -> Result<Self, WeatherError> {
        let Some(first) = years.first() else {
            return Err(WeatherError::NoFiles { folder: String::new() });
        };
        for year in years {
            let km = km(
                (first.latitude_deg, first.longitude_deg),
                (year.latitude_deg, year.longitude_deg),
            );
            if km > SAME_PLACE_KM {
                return Err(WeatherError::Apart {
                    file: year.file.clone(),
                    first: first.file.clone(),
                    km,
                });
            }
        }
        let read: Result<Vec<(i64, Year)>, _> = years.par_iter().map(told).collect();
        let (shifts_min, told) = read?.into_iter().unzip();
        Ok(Self {
            place: WeatherPlace {
                city: first.city.clone(),
                latitude_deg: first.latitude_deg,
                longitude_deg: first.longitude_deg,
                zone_h: first.zone_h,
            },
            files: years.iter().map(|y| y.file.clone()).collect(),
            hours_of: years
                .iter()
                .filter_map(|y| y.years)
                .reduce(|(a, b), (c, d)| (a.min(c), b.max(d))),
            shifts_min,
            years: told,
        })
    }

    /// How far the files' place is from another, km.
    pub fn km_from(&self, place: &Place) -> f64 {
        km(
            (self.place.latitude_deg, self.place.longitude_deg),
            (place.latitude_deg, place.longitude_deg),
        )
    }

    /// By month, then by hour of local standard time (the first is 00:00 to 01:00);
    /// `None` where no hour tells the sky.
    pub fn table(&self) -> Vec<Vec<Option<OddsCell>>> {
        let all = || self.years.iter().flat_map(|year| &year.told).flatten();
        let cell = |month: u32, hour: u32| {
            let here: Vec<&HourRecord> =
                all().filter(|told| (told.month, told.hour) == (month, hour)).collect();
            let sunny = here.iter().filter(|told| told.sunshine).count();
            Some(OddsCell {
                hours: here.len(),
                sunshine: sunny as f64 / here.len().max(1) as f64,
                states: States::mean(here.iter().map(|told| &told.states))?,
                direct_share: Spread::of(here.iter().map(|told| (told.direct_share, 1.0))),
            })
        };
        (1..=12).map(|month| (1..=24).map(|hour| cell(month, hour)).collect()).collect()
    }

    /// The days that stand for a date: of each file those within [`DAYS_AROUND`].
    pub fn days(&self) -> Vec<WeatherDay> {
        let around =
            |year| (-DAYS_AROUND..=DAYS_AROUND).map(move |after| WeatherDay { year, after });
        (0..self.years.len()).flat_map(around).collect()
    }

    /// The sky at an instant, on a day of the files that stands for its date.
    pub fn states(&self, at: DateTime<Utc>, day: WeatherDay) -> States {
        let found = self.years.get(day.year).and_then(|year| {
            let minute = minute_of_year(at) + day.after * 24 * 60 - year.begins_min;
            year.states.get((minute.rem_euclid(MINUTES_OF_YEAR) / 60) as usize)
        });
        found.copied().unwrap_or_default()
    }

    /// The sky at an instant over all days that stand for its date.
    pub fn likely(&self, at: DateTime<Utc>) -> States {
        let all: Vec<States> = self.days().into_iter().map(|day| self.states(at, day)).collect();
        States::mean(all.iter()).unwrap_or_default()
    }
}

/// Distance over ground, km, on a sphere.
pub(crate) fn km(a: (f64, f64), b: (f64, f64)) -> f64 {
    Haversine.distance(Point::new(a.1, a.0), Point::new(b.1, b.0)) / 1000.0
}

/// Minutes since the year began, UTC; 29 February counts as the day before it.
fn minute_of_year(at: DateTime<Utc>) -> i64 {
    let day = match (at.month(), at.day()) {
        (2, 29) => 59,
        (month, day) => ordinal(month, day),
    };
    i64::from(day - 1) * 24 * 60 + i64::from(at.hour() * 60 + at.minute())
}

/// Day of a year of 365 days.
fn ordinal(month: u32, day: u32) -> u32 {
    NaiveDate::from_ymd_opt(2001, month, day).map_or(1, |date| date.ordinal())
}

/// What each hour had, and the shift of the file in minutes.
fn told(year: &EpwYear) -> Result<(i64, Year), WeatherError> {
    let place = Place {
        latitude_deg: year.latitude_deg,
        longitude_deg: year.longitude_deg,
        height_m: year.height_m,
        zone: chrono_tz::UTC,
        pressure_hpa: pressure_hpa(year.height_m),
        temperature_c: 15.0,
    };
    let zone_min = (year.zone_h * 60.0).round() as i64;
    let new_year = NaiveDate::from_ymd_opt(2001, 1, 1).unwrap_or_default();
    let new_year = new_year.and_time(chrono::NaiveTime::MIN).and_utc();
    let middle = |hour: &HourRow| {
        let days = i64::from(ordinal(hour.month, hour.day) - 1);
        let minutes = days * 24 * 60 + i64::from(hour.hour) * 60 - 30 - zone_min;
        new_year + TimeDelta::minutes(minutes)
    };
    let shift = shift_min(year, &place, &middle);
    let airs = AirByDate::typical(&place);
    let told: Vec<Option<HourRecord>> = year
        .hours
        .par_iter()
        .map(|hour| {
            let clear = clear_direct(&place, &airs, middle(hour) + TimeDelta::minutes(shift));
            Some(HourRecord {
                month: hour.month,
                hour: hour.hour,
                sunshine: hour.direct_normal? > SUNSHINE_W_M2,
                direct_share: state::direct_share(hour, clear)?,
                states: state::states(hour, clear)?,
            })
        })
        .collect();
    let states = filled(&told).ok_or_else(|| WeatherError::Silent { file: year.file.clone() })?;
    Ok((shift, Year { begins_min: shift - zone_min, told, states }))
}

/// Direct irradiance of a clear sky facing the sun, W/m2; 0 under the horizon and for
/// suns so low that it cannot matter.
pub(super) fn clear_direct(place: &Place, airs: &AirByDate, at: DateTime<Utc>) -> f64 {
    let elevation_deg = solar::position(place, at).apparent_elevation.degrees();
    // under half a degree of sun no clear sky reaches TELLING_W_M2
    if elevation_deg < 0.5 {
        return 0.0;
    }
    let air = airs.on(at.date_naive());
    let spectra = clear::spectra(elevation_deg, place.pressure_hpa, &air, at.ordinal());
    let direct = clear::irradiance_w_m2(&spectra.direct_normal);
    if direct < TELLING_W_M2 { 0.0 } else { direct }
}

/// The standard atmosphere (ISO 2533) at a height in metres.
pub(super) fn pressure_hpa(height_m: f64) -> f64 {
    1013.25 * (1.0 - 2.255_77e-5 * height_m).max(0.1).powf(5.255_88)
}

/// The states of each hour, of the nearest that tells where it does not tell itself, the
/// earlier of two as near; the year is a ring. `None` where none tells.
fn filled(told: &[Option<HourRecord>]) -> Option<Vec<States>> {
    let count = told.len();
    if told.iter().all(Option::is_none) {
        return None;
    }
    // distance to the last hour that told, and its states, going one way around
    let sweep = |order: &mut dyn Iterator<Item = usize>| {
        let mut found = vec![(usize::MAX, States::default()); count];
        let mut last: Option<(usize, States)> = None;
        for index in order {
            last = match &told[index] {
                Some(told) => Some((0, told.states)),
                None => last.map(|(distance, states)| (distance + 1, states)),
            };
            if let Some(near) = last {
                found[index] = near;
            }
        }
        found
    };
    let before = sweep(&mut (0..2 * count).map(|i| i % count));
    let after = sweep(&mut (0..2 * count).rev().map(|i| i % count));
    Some(before.iter().zip(&after).map(|(b, a)| if a.0 < b.0 { a.1 } else { b.1 }).collect())
}
