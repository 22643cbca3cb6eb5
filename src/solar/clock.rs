//! From a wall clock to an instant.
//!
//! In: a civil date and time in an IANA zone. Out: the instant, or why there is
//! none: a clock change may skip a time or let it occur twice, and neither is
//! guessed.

use chrono::{DateTime, MappedLocalTime, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, TimeZone};
use chrono_tz::Tz;

/// Which of two equal wall times is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Repeated {
    /// Before the clock is set back.
    Earlier,
    /// After it.
    Later,
}

/// Why a wall time names no single instant.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ClockError {
    /// The clock is set forward over the time.
    #[error(
        "{} on {} does not exist in {zone}: the clocks go forward then; \
         the nearest times are {} and {}",
        at.format("%H:%M"), at.format("%Y-%m-%d"), before.format("%H:%M"), after.format("%H:%M")
    )]
    Skipped { at: NaiveDateTime, zone: Tz, before: NaiveDateTime, after: NaiveDateTime },
    /// The clock is set back over the time.
    #[error(
        "{} on {} occurs twice in {zone}: the clocks go back then; it may be {} or {}; \
         say which with --repeated earlier or --repeated later",
        at.format("%H:%M"), at.format("%Y-%m-%d"), earlier.format("%H:%M %:z"), later.format("%H:%M %:z")
    )]
    Twice { at: NaiveDateTime, zone: Tz, earlier: DateTime<Tz>, later: DateTime<Tz> },
}

/// The instant of a wall time. `repeated` settles a time that occurs twice.
///
/// # Errors
/// [`ClockError`] for a skipped time, and for a repeated one unless settled.
///
/// ```
/// use chrono::{NaiveDate, NaiveTime};
/// use chrono_tz::Europe::Paris;
/// use quarterstop::solar::resolve;
/// let date = NaiveDate::from_ymd_opt(2027, 3, 28).unwrap();
/// let time = |h, m| NaiveTime::from_hms_opt(h, m, 0).unwrap();
/// assert!(resolve(Paris, date, time(15, 0), None).is_ok());
/// let skipped = resolve(Paris, date, time(2, 30), None).unwrap_err();
/// assert!(skipped.to_string().contains("01:59 and 03:00"));
/// ```
pub fn resolve(
    zone: Tz,
    date: NaiveDate,
    time: NaiveTime,
    repeated: Option<Repeated>,
) -> Result<DateTime<Tz>, ClockError> {
    let at = date.and_time(time);
    match zone.from_local_datetime(&at) {
        MappedLocalTime::Single(instant) => Ok(instant),
        MappedLocalTime::Ambiguous(earlier, later) => match repeated {
            Some(Repeated::Earlier) => Ok(earlier),
            Some(Repeated::Later) => Ok(later),
            None => Err(ClockError::Twice { at, zone, earlier, later }),
        },
        MappedLocalTime::None => {
            let exists = |t: &NaiveDateTime| zone.from_local_datetime(t).earliest().is_some();
            // a zone may skip up to a whole day (a move across the date line)
            let minutes = || (1..=26 * 60).map(TimeDelta::minutes);
            let whole = at - TimeDelta::seconds(i64::from(chrono::Timelike::second(&at)));
            Err(ClockError::Skipped {
                at,
                zone,
                before: minutes().map(|d| whole - d).find(exists).unwrap_or(at),
                after: minutes().map(|d| whole + d).find(exists).unwrap_or(at),
            })
        }
    }
}
