//! A forecast over a match: which skies are possible, and what to prepare for.
//!
//! In: a forecast, a plan, a brief. Out: a [`DayOutlook`], tables and texts.

#[cfg(feature = "cli")]
pub mod command;
pub(crate) mod day;
pub mod report;

use chrono::{DateTime, Utc};

use crate::venue::Venue;
use crate::weather::forecast::{Forecast, ForecastError, parse};

pub use day::{
    DayOutlook, Either, Expect, ForecastMinute, ForecastStretch, ReadySetting, UnderSky, skies,
};

/// Reads the text of a forecast for a venue and a window; `file` is what messages call it.
///
/// # Errors
/// [`ForecastError`] for one that is unsound, of another place or another day.
pub fn checked(
    (text, file): (&str, &str),
    venue: &Venue,
    (from, until): (DateTime<Utc>, DateTime<Utc>),
) -> Result<Forecast, ForecastError> {
    let forecast = parse(text, file, &venue.place)?;
    forecast.covers(&venue.place, from, until)?;
    Ok(forecast)
}
