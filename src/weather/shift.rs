//! Whether the hours of a file stand where the sun says.
//!
//! In: hours with all three kinds of radiation. Out: how many minutes later than the
//! middle of its hour a row is best taken, 0 where the file leaves no doubt.
//!
//! Global radiation is the diffuse and, by the sine of the sun's elevation, the direct
//! (ISO 9488, definition of global irradiance). So each row tells the sine at its moment;
//! some makers of files put a satellite's instant, or another zone's hour, in a row.

use chrono::{DateTime, TimeDelta, Utc};

use super::epw::{EpwYear, HourRow};
use crate::solar;
use crate::venue::Place;

/// Shifts that are tried, minutes either way, so many apart.
const MAX_SHIFT_MIN: i64 = 120;
const APART_MIN: i64 = 5;
/// A smaller shift is left alone: means over an hour are no better than that.
const MIN_MIN: i64 = 15;
/// Direct irradiance from which a row tells the sine, W/m2.
const STRONG_W_M2: f64 = 300.0;
/// Every so many-th strong row is looked at.
const EVERY: usize = 3;
/// Fewer rows than this tell nothing.
const MIN_ROWS: usize = 50;
/// At its best the sine has to fit to this, or the file's values do not belong together.
const FITS: f64 = 0.03;

/// Minutes; the file's hours are later by that than they say.
pub(super) fn shift_min(
    year: &EpwYear,
    place: &Place,
    middle: &dyn Fn(&HourRow) -> DateTime<Utc>,
) -> i64 {
    let told: Vec<(DateTime<Utc>, f64)> = year
        .hours
        .iter()
        .filter_map(|hour| {
            let direct = hour.direct_normal.filter(|d| *d >= STRONG_W_M2)?;
            Some((middle(hour), (hour.global? - hour.diffuse?) / direct))
        })
        .step_by(EVERY)
        .collect();
    if told.len() < MIN_ROWS {
        return 0;
    }
    let misfit = |minutes: i64| {
        let by = TimeDelta::minutes(minutes);
        let off = told.iter().map(|(at, sine)| {
            (solar::position(place, *at + by).true_elevation.radians().sin() - sine).abs()
        });
        off.sum::<f64>() / told.len() as f64
    };
    let tries = (-MAX_SHIFT_MIN..=MAX_SHIFT_MIN).step_by(APART_MIN as usize);
    let best = tries.map(|m| (m, misfit(m))).min_by(|a, b| a.1.total_cmp(&b.1));
    match best {
        Some((minutes, misfit)) if minutes.abs() >= MIN_MIN && misfit <= FITS => minutes,
        _ => 0,
    }
}
