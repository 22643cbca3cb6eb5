//! From times of day to a window of instants.
//!
//! In: a day and times as people say them, the sport's usual programme, and the
//! venue's clock. Out: start, first and last instant, at most 24 hours apart.

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta};
use chrono_tz::Tz;

use crate::command::failure::{Failure, WindowError};

/// Longest window.
const MAX_LENGTH: TimeDelta = TimeDelta::hours(24);

/// Times as the options state them.
#[derive(Debug, Clone, Copy)]
pub struct AskedWindow {
    pub date: NaiveDate,
    pub start: NaiveTime,
    /// On `date`; the usual window's beginning where open.
    pub from: Option<NaiveTime>,
    /// On the day of the beginning, or the next where it is earlier than that;
    /// the usual window's end where open.
    pub until: Option<NaiveTime>,
}

/// The window of a sport where the options leave it open.
#[derive(Debug, Clone, Copy)]
pub struct DefaultWindow {
    /// How long before the start it begins.
    pub before_start: TimeDelta,
    /// How long after the start it ends.
    pub after_start: TimeDelta,
}

/// What will be planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Window {
    pub start: DateTime<Tz>,
    pub from: DateTime<Tz>,
    pub until: DateTime<Tz>,
}

impl Window {
    /// Whether `at` lies in the window, ends included.
    pub fn contains(&self, at: DateTime<Tz>) -> bool {
        self.from <= at && at <= self.until
    }
}

/// The window that `asked` means. `resolve` turns a reading of the venue's
/// clock into an instant; it refuses readings that do not exist.
///
/// # Errors
/// [`WindowError`] for an empty, reversed or too long window, and whatever
/// `resolve` refuses.
pub fn window(
    asked: AskedWindow,
    usual: DefaultWindow,
    resolve: impl Fn(NaiveDate, NaiveTime) -> Result<DateTime<Tz>, Failure>,
) -> Result<Window, Failure> {
    let out_of_range = WindowError::NoSuchDay { date: asked.date };
    let start = resolve(asked.date, asked.start)?;
    let from = match asked.from {
        Some(from) => resolve(asked.date, from)?,
        None => start.checked_sub_signed(usual.before_start).ok_or(out_of_range.clone())?,
    };
    let until = match asked.until {
        Some(until) => {
            let begins = from.naive_local();
            if until == begins.time() {
                return Err(WindowError::Empty { at: until }.into());
            }
            let day = match until < begins.time() {
                true => begins.date().succ_opt().ok_or(out_of_range)?,
                false => begins.date(),
            };
            resolve(day, until)?
        }
        None => start.checked_add_signed(usual.after_start).ok_or(out_of_range)?,
    };
    let length = until - from;
    if length <= TimeDelta::zero() {
        return Err(WindowError::Reversed { from, until }.into());
    }
    if length > MAX_LENGTH {
        return Err(WindowError::TooLong { from, until }.into());
    }
    Ok(Window { start, from, until })
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeZone;
    use chrono_tz::Europe::Lisbon;

    const DEFAULT: DefaultWindow = DefaultWindow {
        before_start: TimeDelta::minutes(30),
        after_start: TimeDelta::minutes(120),
    };

    fn day() -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 4, 11).unwrap()
    }

    fn time(hour: u32, minute: u32) -> NaiveTime {
        NaiveTime::from_hms_opt(hour, minute, 0).unwrap()
    }

    fn clock(date: NaiveDate, time: NaiveTime) -> Result<DateTime<Tz>, Failure> {
        let found = Lisbon.from_local_datetime(&date.and_time(time));
        found.earliest().ok_or_else(|| Failure::Input("no such time".into()))
    }

    fn of(
        start: NaiveTime,
        from: Option<NaiveTime>,
        until: Option<NaiveTime>,
    ) -> Result<(String, String), String> {
        let date = day();
        let asked = AskedWindow { date, start, from, until };
        let text = |t: DateTime<Tz>| t.format("%d %H:%M").to_string();
        window(asked, DEFAULT, clock)
            .map(|w| (text(w.from), text(w.until)))
            .map_err(|e| e.to_string())
    }

    fn ok(from: &str, until: &str) -> Result<(String, String), String> {
        Ok((from.to_owned(), until.to_owned()))
    }

    #[test]
    fn the_usual_window_is_counted_from_the_start() {
        assert_eq!(of(time(15, 0), None, None), ok("11 14:30", "11 17:00"));
        assert_eq!(of(time(0, 10), None, None), ok("10 23:40", "11 02:10"));
    }

    #[test]
    fn an_end_earlier_than_the_beginning_is_on_the_next_day() {
        let found = of(time(22, 0), Some(time(21, 0)), Some(time(0, 30)));
        assert_eq!(found, ok("11 21:00", "12 00:30"));
        let found = of(time(15, 0), None, Some(time(14, 29)));
        assert_eq!(found, ok("11 14:30", "12 14:29"));
    }

    #[test]
    fn empty_reversed_and_too_long_windows_are_refused() {
        let empty = of(time(15, 0), Some(time(16, 0)), Some(time(16, 0)));
        assert!(empty.unwrap_err().contains("empty"));
        // the usual end, 17:00, is before the beginning
        let reversed = of(time(15, 0), Some(time(18, 0)), None).unwrap_err();
        assert!(reversed.contains("from 2026-04-11 18:00 until 2026-04-11 17:00"));
        let long = of(time(23, 30), Some(time(0, 0)), None).unwrap_err();
        assert!(long.contains("longer than 24 hours"));
    }

    /// In Portugal clocks went from 01:59 back to 01:00 on 25 October 2026, by
    /// Directive 2000/84/EC, Article 3 (last Sunday of October, 01:00 UTC).
    #[test]
    fn a_day_of_25_hours_does_not_stretch_the_limit() {
        let date = NaiveDate::from_ymd_opt(2026, 10, 24).unwrap();
        let asked = |until| AskedWindow {
            date,
            start: time(23, 0),
            from: Some(time(12, 0)),
            until: Some(until),
        };
        // 11:30 on the next day is 24.5 hours later
        let long = window(asked(time(11, 30)), DEFAULT, clock).unwrap_err();
        assert!(long.to_string().contains("longer than 24 hours"));
        assert!(window(asked(time(11, 0)), DEFAULT, clock).is_ok());
    }

    #[test]
    fn days_at_the_ends_of_the_calendar_do_not_panic() {
        for date in [NaiveDate::MIN, NaiveDate::MAX] {
            for until in [None, Some(time(0, 1))] {
                let asked = AskedWindow { date, start: time(23, 59), from: None, until };
                let _ = window(asked, DEFAULT, clock);
            }
        }
    }
}
