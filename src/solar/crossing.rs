//! When something about the sun crosses zero.
//!
//! In: a function of time, an interval, a step to scan with. Out: the times of
//! all its sign changes, to half a second.
//!
//! The scan finds brackets; between two samples of the same sign a nearer
//! approach to zero is looked for as well, so that a short touch (a sun that
//! only just rises) is not stepped over. Each bracket is halved until it is
//! short enough: slower than cleverer methods, and it cannot fail.

use chrono::{DateTime, TimeDelta, Utc};

/// Crossings are found to within this, seconds.
pub const TIME_TOLERANCE_S: f64 = 0.5;

/// Times in `from..=until` at which `f` changes its sign, in order, with the
/// direction: `true` upward. `step` must be positive; what happens twice within
/// one step without a turning point between is not seen.
///
/// ```
/// use chrono::{TimeDelta, TimeZone, Utc};
/// let start = Utc.with_ymd_and_hms(2027, 1, 1, 0, 0, 0).unwrap();
/// let minutes = |t: chrono::DateTime<Utc>| (t - start).num_milliseconds() as f64 / 6e4;
/// let found = quarterstop::solar::crossings(
///     |t| minutes(t) - 100.5, start, start + TimeDelta::hours(4), TimeDelta::minutes(10));
/// assert_eq!(found.len(), 1);
/// assert!((minutes(found[0].0) - 100.5).abs() < 0.01);
/// assert!(found[0].1);
/// ```
pub fn crossings(
    f: impl Fn(DateTime<Utc>) -> f64,
    from: DateTime<Utc>,
    until: DateTime<Utc>,
    step: TimeDelta,
) -> Vec<(DateTime<Utc>, bool)> {
    if until <= from || step <= TimeDelta::zero() {
        return Vec::new();
    }
    let count = ((until - from).num_milliseconds() / step.num_milliseconds().max(1)) as i32;
    let mut samples: Vec<(DateTime<Utc>, f64)> =
        (0..=count).map(|i| from + step * i).chain([until]).map(|t| (t, f(t))).collect();
    samples.dedup_by_key(|(t, _)| *t);
    let mut extra: Vec<(DateTime<Utc>, f64)> = samples
        .windows(3)
        .filter(|w| near_touch(w[0].1, w[1].1, w[2].1))
        .map(|w| closest(&f, w[0].0, w[2].0, w[1].1.signum()))
        .collect();
    samples.append(&mut extra);
    samples.sort_by_key(|(t, _)| *t);
    samples
        .windows(2)
        .filter(|w| (w[0].1 < 0.0) != (w[1].1 < 0.0))
        .map(|w| (halve(&f, w[0].0, w[1].0, w[0].1 < 0.0), w[0].1 < 0.0))
        .collect()
}

/// Three samples of one sign whose middle lies nearest to zero.
fn near_touch(a: f64, b: f64, c: f64) -> bool {
    (a < 0.0) == (b < 0.0) && (b < 0.0) == (c < 0.0) && b.abs() <= a.abs() && b.abs() <= c.abs()
}

/// The turning point nearest to zero between two times (ternary search).
fn closest(
    f: &impl Fn(DateTime<Utc>) -> f64,
    mut from: DateTime<Utc>,
    mut until: DateTime<Utc>,
    sign: f64,
) -> (DateTime<Utc>, f64) {
    while (until - from).num_milliseconds() > 500 {
        let third = (until - from) / 3;
        let (left, right) = (from + third, until - third);
        if sign * f(left) < sign * f(right) { until = right } else { from = left }
    }
    (from, f(from))
}

fn halve(
    f: &impl Fn(DateTime<Utc>) -> f64,
    mut from: DateTime<Utc>,
    mut until: DateTime<Utc>,
    negative_first: bool,
) -> DateTime<Utc> {
    while (until - from).num_milliseconds() as f64 > 2000.0 * TIME_TOLERANCE_S {
        let middle = from + (until - from) / 2;
        if (f(middle) < 0.0) == negative_first { from = middle } else { until = middle }
    }
    from + (until - from) / 2
}
