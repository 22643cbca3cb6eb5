//! When something geometric happens, and how sure that is.
//!
//! In: a [`Prepared`] venue, times, a question that a shadow answers with yes or no.
//! Out: the times at which the answer changes, to a second, each with what roofs one
//! metre off and a bearing one degree off would do to it, in seconds.
//!
//! Two exact tricks make the variants cheap: everything that stands a metre higher
//! throws the shadow that the same things throw on a plane a metre lower, and a ground
//! turned by a degree sees the sun turned by a degree the other way.

use chrono::{DateTime, Datelike, TimeDelta, Utc};
use chrono_tz::Tz;
use glam::{DQuat, DVec3};

use super::super::run::Prepared;
use crate::geometry::{Caster, Shadow, TURF_HEIGHT_M, Workbench};
use crate::solar::{self, SunState};

/// How far off a roof and a bearing may be.
pub const ROOF_OFF_M: f64 = 1.0;
pub const BEARING_OFF_DEG: f64 = 1.0;
/// A change of a variant is looked for this far from the change itself, doubling the
/// step from the first.
const FIRST_STEP_S: i64 = 60;
const LAST_STEP_S: i64 = 3600;

/// The ground as measured, or off by something.
#[derive(Clone, Copy)]
pub(super) struct Off {
    /// Everything higher by so much, metres.
    pub higher_m: f64,
    /// The ground turned clockwise by so much, degrees.
    pub turned_deg: f64,
}

impl Off {
    pub const NONE: Self = Self { higher_m: 0.0, turned_deg: 0.0 };
    /// Roofs up and down, bearing right and left.
    const EACH: [[Self; 2]; 2] = [
        [
            Self { higher_m: ROOF_OFF_M, turned_deg: 0.0 },
            Self { higher_m: -ROOF_OFF_M, turned_deg: 0.0 },
        ],
        [
            Self { higher_m: 0.0, turned_deg: BEARING_OFF_DEG },
            Self { higher_m: 0.0, turned_deg: -BEARING_OFF_DEG },
        ],
    ];

    /// The way to the sun as a ground that is off has it.
    pub fn sun(self, toward: DVec3) -> DVec3 {
        // clockwise from above is against the right-hand rule, and the sun goes the
        // other way
        DQuat::from_rotation_z(self.turned_deg.to_radians()) * toward
    }
}

/// Casts shadows on the turf at any time.
pub(super) struct Casts<'a> {
    prepared: &'a Prepared<'a>,
    /// As measured, roofs higher, roofs lower.
    level: Caster,
    higher: Caster,
    lower: Caster,
}

/// A change of an answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Change {
    pub at: DateTime<Tz>,
    /// The answer from then on.
    pub to: bool,
    /// Root of the sum of squares of both influences, s; `None` where a variant has no
    /// such change within an hour.
    pub uncertain_s: Option<f64>,
}

impl<'a> Casts<'a> {
    pub fn new(prepared: &'a Prepared<'a>, day: DateTime<Tz>) -> Self {
        let date = day.date_naive();
        let at = |height| Caster::new(prepared.venue, date, height);
        Self {
            prepared,
            level: at(TURF_HEIGHT_M),
            higher: at(TURF_HEIGHT_M - ROOF_OFF_M),
            lower: at(TURF_HEIGHT_M + ROOF_OFF_M),
        }
    }

    /// The shadow on the turf.
    pub fn shadow(&self, at: DateTime<Tz>, off: Off, bench: &mut Workbench) -> Shadow {
        let caster = match off.higher_m {
            h if h > 0.0 => &self.higher,
            h if h < 0.0 => &self.lower,
            _ => &self.level,
        };
        match self.sun(at) {
            Some(toward) => caster.cast(off.sun(toward), bench),
            None => caster.darkness(),
        }
    }

    /// The way to the sun; `None` while it is down or behind the skyline.
    pub fn sun(&self, at: DateTime<Tz>) -> Option<DVec3> {
        let venue = self.prepared.venue;
        let sun = solar::position(&venue.place, at.with_timezone(&Utc));
        (solar::state(&sun, &venue.horizon) == SunState::Up).then(|| sun.toward())
    }

    /// The caster of the ground as measured.
    pub fn level(&self) -> &Caster {
        &self.level
    }
}

/// Changes of an answer that is known at each of `times`; `answer` gives it at any
/// time and for a ground that is off.
pub(super) fn changes(
    times: &[DateTime<Tz>],
    known: &[bool],
    mut answer: impl FnMut(DateTime<Tz>, Off) -> bool,
) -> Vec<Change> {
    let steps = times.windows(2).zip(known.windows(2));
    let flips: Vec<(DateTime<Tz>, DateTime<Tz>, bool)> = steps
        .filter(|(_, known)| known[0] != known[1])
        .map(|(times, known)| (times[0], times[1], known[1]))
        .collect();
    let mut change = |(before, after, to): (DateTime<Tz>, DateTime<Tz>, bool)| {
        let at = bisect(before, after, to, |t| answer(t, Off::NONE));
        let mut variant = |off: Off| moved(at, to, |t| answer(t, off));
        let mut influence = |pair: [Off; 2]| {
            let [one, other] = pair.map(&mut variant);
            Some(0.5 * (seconds(one? - at).abs() + seconds(other? - at).abs()))
        };
        let [roof, bearing] = Off::EACH.map(&mut influence);
        Change { at, to, uncertain_s: roof.zip(bearing).map(|(r, b)| r.hypot(b)) }
    };
    flips.into_iter().map(&mut change).collect()
}

fn seconds(delta: TimeDelta) -> f64 {
    delta.num_milliseconds() as f64 / 1000.0
}

/// The first second with the answer `to` between a time without and a time with it.
fn bisect(
    before: DateTime<Tz>,
    after: DateTime<Tz>,
    to: bool,
    mut answer: impl FnMut(DateTime<Tz>) -> bool,
) -> DateTime<Tz> {
    let (mut before, mut after) = (before, after);
    while after - before > TimeDelta::seconds(1) {
        let middle = before + (after - before) / 2;
        if answer(middle) == to { after = middle } else { before = middle }
    }
    after
}

/// The same change of a ground that is off, near `at`.
fn moved(
    at: DateTime<Tz>,
    to: bool,
    mut answer: impl FnMut(DateTime<Tz>) -> bool,
) -> Option<DateTime<Tz>> {
    let already = answer(at) == to;
    let way = if already { -1 } else { 1 };
    let (mut near, mut step) = (at, FIRST_STEP_S);
    while step <= LAST_STEP_S {
        let far = at + TimeDelta::seconds(way * step);
        if far.day() != at.day() {
            return None;
        }
        if (answer(far) == to) != already {
            let (before, after) = if already { (far, near) } else { (near, far) };
            return Some(bisect(before, after, to, answer));
        }
        near = far;
        step *= 2;
    }
    None
}
