//! When something geometric happens, and how sure that is.
//!
//! In: a [`Prepared`] venue, times, a question that a shadow answers with yes or no.
//! Out: the times at which the answer changes, to a second, each with what roofs and a
//! bearing that are off by the [`GroundErrors`] of the venue would do to it, in seconds.
//!
//! Two exact tricks make the variants cheap: everything that stands a metre higher
//! throws the shadow that the same things throw on a plane a metre lower, and a ground
//! turned by a degree sees the sun turned by a degree the other way.

use std::sync::Arc;

use chrono::{DateTime, Datelike, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;
use glam::{DQuat, DVec3};

use crate::engine::Prepared;
use crate::geometry::{Caster, OverlayScratch, Shadow, TURF_HEIGHT_M};
use crate::light::Z_90;
use crate::solar;
use crate::solar::SunState;
use crate::venue::{ByStanding, OccluderKind, Surveyed, Venue};

/// How far off a roof and a bearing may be where the venue file says nothing: what a
/// tape on a drawing and a compass give (common practice, no source).
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

    /// The way to the sun as a ground that is off has it.
    pub fn sun(self, toward: DVec3) -> DVec3 {
        // clockwise from above is against the right-hand rule, and the sun goes the
        // other way
        DQuat::from_rotation_z(self.turned_deg.to_radians()) * toward
    }
}

/// How far roofs and the bearing of a venue may be off on eight grounds of ten.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct GroundErrors {
    pub roof_m: f64,
    pub bearing_deg: f64,
}

impl GroundErrors {
    /// As `[[surveyed]]` of the venue file has them, a standard error there being 1.28
    /// times as much here; else the usual ones. Roofs count as surveyed when every stand
    /// has a surveyed height, and then with the largest error.
    pub fn of(venue: &Venue) -> Self {
        let is = |s: &&Surveyed, first: &str, last: &str| {
            let parts = s.what.parts();
            parts.first().is_some_and(|p| p == first)
                && parts.last().is_some_and(|p| p.contains(last))
        };
        let bearing = venue.surveyed.iter().find(|s| is(s, "field", "bearing_deg"));
        let stands = venue.occluders.iter().filter(|o| o.kind == OccluderKind::Stand);
        let of_stand = |name: &str| {
            let of = |s: &&Surveyed| {
                is(s, "stand", "height_m") && s.what.parts().get(1).is_some_and(|p| p == name)
            };
            venue.surveyed.iter().filter(of).map(|s| s.plus_minus).reduce(f64::max)
        };
        let heights: Option<Vec<f64>> = stands.map(|stand| of_stand(&stand.name)).collect();
        let roof = heights.and_then(|all| all.into_iter().reduce(f64::max));
        Self {
            roof_m: roof.map_or(ROOF_OFF_M, |m| m * Z_90),
            bearing_deg: bearing.map_or(BEARING_OFF_DEG, |s| s.plus_minus * Z_90),
        }
    }

    /// Roofs up and down, bearing right and left.
    fn each(self) -> [[Off; 2]; 2] {
        let higher = |higher_m| Off { higher_m, turned_deg: 0.0 };
        let turned = |turned_deg| Off { higher_m: 0.0, turned_deg };
        [
            [higher(self.roof_m), higher(-self.roof_m)],
            [turned(self.bearing_deg), turned(-self.bearing_deg)],
        ]
    }
}

/// Casters on all of the ground: as measured, roofs higher, roofs lower.
#[derive(Debug)]
struct Level {
    level: Caster,
    higher: Caster,
    lower: Caster,
}

impl Level {
    /// Of a venue as it stands, with the leaves of a date.
    fn new(venue: &Venue, date: NaiveDate, errors: GroundErrors) -> Self {
        let at = |height| Caster::over_ground(venue, date, height);
        Self {
            level: at(TURF_HEIGHT_M),
            higher: at(TURF_HEIGHT_M - errors.roof_m),
            lower: at(TURF_HEIGHT_M + errors.roof_m),
        }
    }
}

/// Every standing of a day.
#[derive(Debug)]
pub(super) struct StandingLevels {
    errors: GroundErrors,
    all: ByStanding<Level>,
}

impl StandingLevels {
    /// Of a venue on a date.
    pub fn new(prepared: &Prepared<'_>, date: NaiveDate) -> Self {
        let errors = GroundErrors::of(prepared.venue);
        let all = ByStanding::new(prepared.venue, date, |venue| Level::new(venue, date, errors));
        Self { errors, all }
    }
}

/// Casts shadows on all of the ground at any time.
pub(super) struct Casts<'a> {
    prepared: &'a Prepared<'a>,
    pub errors: GroundErrors,
    levels: Arc<StandingLevels>,
}

/// A change of an answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct AnswerChange {
    pub at: DateTime<Tz>,
    /// The answer from then on.
    pub to: bool,
    /// Root of the sum of squares of both influences, s; `None` where a variant has no
    /// such change within an hour.
    pub uncertain_s: Option<f64>,
}

impl<'a> Casts<'a> {
    pub fn new(prepared: &'a Prepared<'a>, levels: Arc<StandingLevels>) -> Self {
        Self { prepared, errors: levels.errors, levels }
    }

    /// The shadow on the ground.
    pub fn shadow(&self, at: DateTime<Tz>, off: Off, bench: &mut OverlayScratch) -> Shadow {
        let level = self.levels.all.at(self.prepared.venue, at);
        let caster = match off.higher_m {
            h if h > 0.0 => &level.higher,
            h if h < 0.0 => &level.lower,
            _ => &level.level,
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
    pub fn level(&self, at: DateTime<Tz>) -> &Caster {
        &self.levels.all.at(self.prepared.venue, at).level
    }
}

/// Between which times an answer that is known at each of `times` changes, and to what.
pub(super) fn flips(
    times: &[DateTime<Tz>],
    known: &[bool],
) -> Vec<(DateTime<Tz>, DateTime<Tz>, bool)> {
    let steps = times.windows(2).zip(known.windows(2));
    steps
        .filter(|(_, known)| known[0] != known[1])
        .map(|(times, known)| (times[0], times[1], known[1]))
        .collect()
}

/// The change of an answer to `to` between two times, the first without it; `answer` gives
/// it at any time and for a ground that is off.
pub(super) fn crossing(
    (before, after, to): (DateTime<Tz>, DateTime<Tz>, bool),
    errors: GroundErrors,
    mut answer: impl FnMut(DateTime<Tz>, Off) -> bool,
) -> AnswerChange {
    let at = bisect(before, after, to, |t| answer(t, Off::NONE));
    let mut variant = |off: Off| moved(at, to, |t| answer(t, off));
    let mut influence = |pair: [Off; 2]| {
        let [one, other] = pair.map(&mut variant);
        Some(0.5 * (seconds(one? - at).abs() + seconds(other? - at).abs()))
    };
    let [roof, bearing] = errors.each().map(&mut influence);
    AnswerChange { at, to, uncertain_s: roof.zip(bearing).map(|(r, b)| r.hypot(b)) }
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
