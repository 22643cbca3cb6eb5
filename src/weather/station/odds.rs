//! Changes by month and hour.
//!
//! In: [`Minutes`] of one station. Out: [`StationOdds`].

use std::collections::BTreeMap;

use chrono::{DateTime, Datelike, TimeDelta, Timelike, Utc};

use super::{Minutes, StationMinute, StationPlace};
use crate::solar;
use crate::venue::Place;
use crate::weather::odds::{km, pressure_hpa};
use crate::weather::state::SUNSHINE_W_M2;
use crate::weather::{Spread, WeatherError};

/// Lower suns are left out, degrees.
const MIN_SUN_DEG: f64 = 10.0;
/// An hour counts with so many minutes that follow each other.
const WHOLE_HOUR_MIN: usize = 55;
/// Files farther apart are of different stations, km.
const SAME_PLACE_KM: f64 = 50.0;

/// A month and an hour over all years.
#[derive(Debug, Clone, PartialEq)]
pub struct HourCell {
    pub hours: usize,
    /// Share of sunny minutes, mean.
    pub sun: f64,
    /// Changes between sunny and shaded minutes.
    pub changes: Spread,
    /// Share of hours with at least two changes.
    pub changing: f64,
}

/// How often sun and shade change at a station.
#[derive(Debug, Clone, PartialEq)]
pub struct StationOdds {
    pub place: StationPlace,
    pub files: Vec<String>,
    /// Local standard time over UTC that hours are told in, whole hours by the longitude.
    pub zone_h: i32,
    /// First and last year.
    pub years: (i32, i32),
    /// By month (1 to 12) and hour (1 to 24, named by its end), where there are hours.
    pub cells: BTreeMap<(u32, u32), HourCell>,
}

impl StationOdds {
    /// From files of one station, in any order; a minute that comes twice counts once.
    ///
    /// # Errors
    /// [`WeatherError`] without files, for different places, or where no hour tells.
    pub fn of(files: &[Minutes]) -> Result<Self, WeatherError> {
        let Some(first) = files.first() else {
            return Err(WeatherError::NoFiles { folder: String::new() });
        };
        let at = |p: &StationPlace| (p.latitude_deg, p.longitude_deg);
        for other in files {
            let km = km(at(&first.place), at(&other.place));
            if km > SAME_PLACE_KM {
                let (file, first) = (other.file.clone(), first.file.clone());
                return Err(WeatherError::Apart { file, first, km });
            }
        }
        let zone_h = (first.place.longitude_deg / 15.0).round() as i32;
        let mut minutes: BTreeMap<DateTime<Utc>, bool> = BTreeMap::new();
        for minute in files.iter().flat_map(|f| &f.minutes) {
            if let Some(sunny) = sunny(&first.place, minute) {
                minutes.insert(minute.at, sunny);
            }
        }
        let ends = minutes.keys().next().zip(minutes.keys().next_back());
        let Some(years) = ends.map(|(a, b)| (a.year(), b.year())) else {
            return Err(WeatherError::NoMinutes { file: first.file.clone() });
        };
        Ok(Self {
            place: first.place,
            files: files.iter().map(|f| f.file.clone()).collect(),
            zone_h,
            years,
            cells: cells(&minutes, zone_h),
        })
    }
}

impl StationOdds {
    /// How far the station is from a place, km.
    pub fn km_from(&self, place: &Place) -> f64 {
        let here = (self.place.latitude_deg, self.place.longitude_deg);
        km(here, (place.latitude_deg, place.longitude_deg))
    }
}

/// Whether a minute is sunny; `None` where it does not tell.
fn sunny(place: &StationPlace, minute: &StationMinute) -> Option<bool> {
    let direct = minute.direct_normal?;
    let place = Place {
        latitude_deg: place.latitude_deg,
        longitude_deg: place.longitude_deg,
        height_m: place.height_m,
        zone: chrono_tz::UTC,
        pressure_hpa: pressure_hpa(place.height_m),
        temperature_c: 15.0,
    };
    let sun = solar::position(&place, minute.at);
    (sun.apparent_elevation.degrees() >= MIN_SUN_DEG).then_some(direct > SUNSHINE_W_M2)
}

fn cells(minutes: &BTreeMap<DateTime<Utc>, bool>, zone_h: i32) -> BTreeMap<(u32, u32), HourCell> {
    let mut hours: BTreeMap<DateTime<Utc>, Vec<(DateTime<Utc>, bool)>> = BTreeMap::new();
    for (at, sunny) in minutes {
        let begins = *at - TimeDelta::minutes(i64::from(at.minute()));
        hours.entry(begins).or_default().push((*at, *sunny));
    }
    let mut all: BTreeMap<(u32, u32), Vec<(f64, f64)>> = BTreeMap::new();
    for (begins, hour) in hours {
        let next = |pair: &&[(DateTime<Utc>, bool)]| pair[1].0 - pair[0].0 == TimeDelta::minutes(1);
        let pairs: Vec<_> = hour.windows(2).filter(next).collect();
        if pairs.len() + 1 < WHOLE_HOUR_MIN {
            continue;
        }
        let changes = pairs.iter().filter(|p| p[0].1 != p[1].1).count() as f64;
        let sun = hour.iter().filter(|m| m.1).count() as f64 / hour.len() as f64;
        let local = begins + TimeDelta::hours(i64::from(zone_h));
        all.entry((local.month(), local.hour() + 1)).or_default().push((sun, changes));
    }
    let cell = |hours: Vec<(f64, f64)>| {
        let count = hours.len() as f64;
        HourCell {
            hours: hours.len(),
            sun: hours.iter().map(|h| h.0).sum::<f64>() / count,
            changing: hours.iter().filter(|h| h.1 >= 2.0).count() as f64 / count,
            changes: Spread::of(hours.iter().map(|h| (h.1, 1.0))),
        }
    };
    all.into_iter().map(|(key, hours)| (key, cell(hours))).collect()
}
