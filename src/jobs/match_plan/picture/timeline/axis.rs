//! The time axis and the value scales.
//!
//! In: instants in the venue's zone, values in their units. Out: pixels, x to
//! the right, y down; places and texts of ticks.

use chrono::{DateTime, TimeDelta, Timelike};
use chrono_tz::Tz;

use crate::engine::Instant;

use super::scene::Rect;

/// Two labels of the time axis stand at least this far apart, pixels.
const TIME_LABELS_APART_PX: f64 = 120.0;
const DAY_S: i64 = 86_400;
/// Steps people read on a clock, then whole days, seconds.
const CLOCK_STEPS_S: [i64; 19] = [
    1,
    5,
    15,
    30,
    60,
    120,
    300,
    600,
    900,
    1800,
    3600,
    7200,
    3 * 3600,
    6 * 3600,
    12 * 3600,
    DAY_S,
    7 * DAY_S,
    28 * DAY_S,
    364 * DAY_S,
];

/// A labelled time.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tick {
    pub x: f64,
    pub at: DateTime<Tz>,
    pub text: String,
}

/// Time from left to right.
#[derive(Debug, Clone)]
pub(super) struct TimeAxis {
    start: DateTime<Tz>,
    seconds: f64,
    pub left: f64,
    pub right: f64,
}

impl TimeAxis {
    /// From the first to the last instant; a lone instant gets a minute.
    pub fn new(start: DateTime<Tz>, end: DateTime<Tz>, left: f64, right: f64) -> Self {
        let seconds = (end - start).as_seconds_f64();
        Self { start, seconds: if seconds > 0.0 { seconds } else { 60.0 }, left, right }
    }

    /// Where a time is; outside of the axis for times outside of the window.
    pub fn x(&self, at: DateTime<Tz>) -> f64 {
        self.left + (at - self.start).as_seconds_f64() / self.seconds * (self.right - self.left)
    }

    /// Whether a time lies in the window.
    pub fn holds(&self, at: DateTime<Tz>) -> bool {
        let x = self.x(at);
        self.left <= x && x <= self.right
    }

    /// Labelled times on round readings of the local clock.
    pub fn ticks(&self) -> Vec<Tick> {
        let most = ((self.right - self.left) / TIME_LABELS_APART_PX).max(1.0);
        let step = CLOCK_STEPS_S.into_iter().find(|&step| self.seconds / step as f64 <= most);
        // beyond decades: a round number of years
        let step = step.unwrap_or((self.seconds / most) as i64 / DAY_S * DAY_S + DAY_S);
        let end = self.start + TimeDelta::milliseconds((self.seconds * 1000.0) as i64);
        let mut ticks = Vec::new();
        let mut at = self.start;
        while at <= end {
            // the clock may have changed since the tick before: line up again
            let late = seconds_of_day(at) % step.min(DAY_S);
            if late == 0 {
                ticks.push(Tick { x: self.x(at), at, text: clock(at, step) });
                at += TimeDelta::seconds(step);
            } else {
                at += TimeDelta::seconds(step.min(DAY_S) - late);
            }
        }
        // a clock change can bring two closer than they may stand
        let mut last = f64::NEG_INFINITY;
        ticks.retain(|tick| {
            let apart = tick.x - last >= 0.8 * TIME_LABELS_APART_PX;
            if apart {
                last = tick.x;
            }
            apart
        });
        ticks
    }
}

fn seconds_of_day(at: DateTime<Tz>) -> i64 {
    i64::from(at.num_seconds_from_midnight())
}

fn clock(at: DateTime<Tz>, step_s: i64) -> String {
    let form = if step_s >= DAY_S || (step_s >= 6 * 3600 && seconds_of_day(at) == 0) {
        "%-d %b"
    } else if step_s < 60 {
        "%H:%M:%S"
    } else {
        "%H:%M"
    };
    at.format(form).to_string()
}

/// The stretch of the axis that an instant stands for: halfway to its
/// neighbours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct AxisSpan {
    pub left: f64,
    pub x: f64,
    pub right: f64,
}

/// The spans of all instants; together they fill the axis.
pub(super) fn spans(axis: &TimeAxis, instants: &[Instant]) -> Vec<AxisSpan> {
    let xs: Vec<f64> = instants.iter().map(|i| axis.x(i.at)).collect();
    let halfway = |a: Option<&f64>, b: Option<&f64>| Some(0.5 * (a? + b?));
    let of = |(i, &x): (usize, &f64)| AxisSpan {
        left: halfway(i.checked_sub(1).and_then(|p| xs.get(p)), Some(&x)).unwrap_or(axis.left),
        x,
        right: halfway(Some(&x), xs.get(i + 1)).unwrap_or(axis.right),
    };
    xs.iter().enumerate().map(of).collect()
}

/// Values from bottom to top.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ValueScale {
    pub min: f64,
    pub max: f64,
    /// Between labelled values.
    pub step: f64,
}

impl ValueScale {
    /// A scale over `min..=max` with round labels, at least `apart_px` apart on
    /// `height_px`.
    pub fn round(min: f64, max: f64, steps: &[f64], height_px: f64, apart_px: f64) -> Self {
        let most = (height_px / apart_px).max(1.0);
        let fits = |step: &f64| (max - min) / step <= most;
        let step = steps.iter().copied().find(fits).unwrap_or(max - min);
        Self { min, max, step }
    }

    /// Where a value is in a panel; values outside stay on its border.
    pub fn y(&self, value: f64, panel: &Rect) -> f64 {
        let share = ((value - self.min) / (self.max - self.min)).clamp(0.0, 1.0);
        panel.bottom - share * (panel.bottom - panel.top)
    }

    /// The labelled values.
    pub fn ticks(&self) -> Vec<f64> {
        let first = (self.min / self.step).ceil() as i64;
        let last = (self.max / self.step + 1e-9).floor() as i64;
        (first..=last).map(|k| k as f64 * self.step).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeZone;

    fn axis(hours: i64) -> TimeAxis {
        let start = Tz::Europe__London.with_ymd_and_hms(2027, 10, 30, 14, 7, 0).unwrap();
        TimeAxis::new(start, start + TimeDelta::hours(hours), 200.0, 1900.0)
    }

    #[test]
    fn ticks_stand_on_round_clock_times_and_apart() {
        for hours in [1, 2, 3, 7, 24, 100, 2000, 100_000] {
            let ticks = axis(hours).ticks();
            assert!(ticks.len() >= 2, "{hours} h: {ticks:?}");
            for pair in ticks.windows(2) {
                assert!(pair[1].x - pair[0].x >= 90.0, "{hours} h");
            }
            assert!(ticks.iter().all(|t| t.at.second() == 0));
        }
        let texts: Vec<String> = axis(2).ticks().into_iter().map(|t| t.text).collect();
        assert_eq!(texts[..3], ["14:10", "14:20", "14:30"]);
    }

    #[test]
    fn ticks_stay_round_over_a_clock_change() {
        // British Summer Time ends on 2027-10-31 at 02:00 (Summer Time Act 1972
        // as amended: the last Sunday in October, 1 h UTC)
        let ticks = axis(24).ticks();
        assert!(ticks.iter().any(|t| t.text == "00:00"));
        assert!(ticks.iter().any(|t| t.text == "12:00"));
        assert!(ticks.iter().all(|t| t.at.minute() == 0));
    }

    #[test]
    fn scales_label_round_values() {
        let scale = ValueScale::round(0.0, 5.0, &[1.0, 2.0, 5.0], 90.0, 34.0);
        assert_eq!(scale.ticks(), [0.0, 2.0, 4.0]);
        let panel = Rect { left: 0.0, top: 100.0, right: 10.0, bottom: 200.0 };
        assert_eq!(scale.y(2.5, &panel), 150.0);
        assert_eq!(scale.y(99.0, &panel), 100.0);
    }
}
