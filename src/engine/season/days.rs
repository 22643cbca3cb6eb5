//! Civil days as lists of instants.
//!
//! In: a zone, dates, a step. Out: every instant of a civil day, from its first on, in
//! equal steps of time that really passes. A day on which clocks go forward is shorter
//! and has no instants in the hour that is left out; a day on which they go back has
//! that hour twice, told apart by the offset from UTC.

use chrono::{DateTime, Days, NaiveDate, TimeDelta};
use chrono_tz::Tz;

use crate::solar::{SunDay, first_instant};

use super::SeasonRow;

/// One civil day.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonDay {
    pub date: NaiveDate,
    /// Rise, noon and set.
    pub sun: SunDay,
    /// In order of time.
    pub rows: Vec<SeasonRow>,
}

/// Instants of a civil day, the first at its beginning. A step under one second counts
/// as one second.
///
/// ```
/// use chrono::{NaiveDate, TimeDelta};
/// use quarterstop::engine::season::instants_of;
/// let hours = |m, d| {
///     let date = NaiveDate::from_ymd_opt(2027, m, d).unwrap();
///     instants_of(chrono_tz::Europe::Paris, date, TimeDelta::hours(1)).len()
/// };
/// assert_eq!([hours(3, 27), hours(3, 28), hours(10, 31)], [24, 23, 25]);
/// ```
pub fn instants_of(zone: Tz, date: NaiveDate, step: TimeDelta) -> Vec<DateTime<Tz>> {
    let from = first_instant(zone, date);
    let next = date.checked_add_days(Days::new(1));
    let until = next.map_or(from + TimeDelta::days(1), |next| first_instant(zone, next));
    let step = step.max(TimeDelta::seconds(1));
    let all = std::iter::successors(Some(from), |at| at.checked_add_signed(step));
    all.take_while(|at| *at < until).map(|at| at.with_timezone(&zone)).collect()
}

/// Dates from a first to a last one, both included.
pub fn dates(first: NaiveDate, last: NaiveDate) -> impl Iterator<Item = NaiveDate> {
    first.iter_days().take_while(move |date| *date <= last)
}
