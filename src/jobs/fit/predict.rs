//! What an observation should have read.
//!
//! In: a [`TrialGround`], an observation, the edge that it is about. Out: how far the
//! observation lies from it, in its own unit, with its standard error. Smooth in
//! every unknown: an edge is followed on its line however far, and only
//! [`super::link`] asks which edge it is.

use glam::DVec3;

use crate::geometry::{EdgeOf, LevelLine};
use crate::venue::Unit;

use super::ground::TrialGround;
use super::seen::{FieldSpot, Observation, ObservationKind, When};

/// For speeds, seconds on either side.
const AROUND_S: f64 = 5.0;
/// A slower edge (m/s) tells no time.
const SLOW_M_PER_S: f64 = 1e-7;

/// What was seen less what should have been, and how far that may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Misfit {
    /// In `unit`.
    pub off: f64,
    /// Standard error of place and time together, in `unit`.
    pub error: f64,
    pub unit: Unit,
}

/// The misfit of an observation; `None` where the ground has no such edge or the
/// geometry gives no answer.
pub(super) fn misfit(
    ground: &TrialGround<'_>,
    seen: &Observation,
    edge: Option<EdgeOf>,
) -> Option<Misfit> {
    let off = off(ground, seen, edge, 0.0)?;
    let speed = || {
        let later = crate::jobs::fit::predict::off(ground, seen, edge, AROUND_S)?;
        let earlier = crate::jobs::fit::predict::off(ground, seen, edge, -AROUND_S)?;
        Some((later - earlier) / (2.0 * AROUND_S))
    };
    let (error, when, unit) = own_error(&seen.kind);
    let error = match when {
        Some(when) => error.hypot(speed()? * when.plus_minus_s),
        None => error,
    };
    Some(Misfit { off, error, unit })
}

/// Standard error without that of the time, the time, the unit.
fn own_error(kind: &ObservationKind) -> (f64, Option<When>, Unit) {
    match kind {
        ObservationKind::Edge { plus_minus_m, when, .. }
        | ObservationKind::Passage { plus_minus_m, when, .. }
        | ObservationKind::PoleLength { plus_minus_m, when, .. } => {
            (*plus_minus_m, Some(*when), Unit::Metre)
        }
        ObservationKind::PoleWay { plus_minus_deg, when, .. } => {
            (*plus_minus_deg, Some(*when), Unit::Degree)
        }
        ObservationKind::Sight { plus_minus_deg, .. }
        | ObservationKind::Bearing { plus_minus_deg, .. } => (*plus_minus_deg, None, Unit::Degree),
        ObservationKind::Tape { plus_minus, unit, .. } => (*plus_minus, None, *unit),
    }
}

/// Seconds that the edge of a passage takes for a metre, for telling what is off
/// in time; `None` for anything else and for an edge that stands still.
pub(super) fn seconds_per_metre(
    ground: &TrialGround<'_>,
    seen: &Observation,
    edge: Option<EdgeOf>,
) -> Option<f64> {
    let ObservationKind::Passage { .. } = seen.kind else { return None };
    let later = off(ground, seen, edge, AROUND_S)?;
    let earlier = off(ground, seen, edge, -AROUND_S)?;
    let speed = (later - earlier) / (2.0 * AROUND_S);
    (speed.abs() > SLOW_M_PER_S).then(|| 1.0 / speed)
}

/// Seen less predicted, with the watch read `shift_s` later.
pub(super) fn off(
    ground: &TrialGround<'_>,
    seen: &Observation,
    edge: Option<EdgeOf>,
    shift_s: f64,
) -> Option<f64> {
    let ends = |when: When| edge?.ends(&ground.standing(when));
    match &seen.kind {
        ObservationKind::Edge { when, from, toward, height_m, met_at_m, .. } => {
            let line = line(ground, *from, *toward, *height_m)?;
            let (at, _) = line.shadow_of(ends(*when)?, ground.toward_sun(*when, shift_s))?;
            Some(met_at_m - at)
        }
        ObservationKind::Passage { when, at, height_m, .. } => {
            let place = ground.local(*at, *height_m);
            beside(ends(*when)?, place, ground.toward_sun(*when, shift_s))
        }
        ObservationKind::PoleLength { when, pole, length_m, .. } => {
            let sun = ground.toward_sun(*when, shift_s);
            let flat = sun.x.hypot(sun.y);
            (sun.z > 0.0).then(|| length_m - ground.poles_m[*pole] * flat / sun.z)
        }
        ObservationKind::PoleWay { when, way, .. } => {
            let sun = ground.toward_sun(*when, shift_s);
            let shadow = (-sun.x).atan2(-sun.y).to_degrees();
            Some(turn(ground.true_degrees(*way) - shadow))
        }
        ObservationKind::Sight { from, eye_m, toward, elevation_deg, .. } => {
            let eye = ground.local(*from, *eye_m);
            let toward = toward.map(|spot| ground.local(spot, *eye_m));
            let point = sighted(edge?.ends(&ground.venue)?, eye, toward)?;
            let run = (point - eye).with_z(0.0).length();
            Some(elevation_deg - (point.z - eye.z).atan2(run).to_degrees())
        }
        ObservationKind::Bearing { from, to, way, .. } => {
            let way_true = ground.local(*to, 0.0) - ground.local(*from, 0.0);
            let lies = way_true.x.atan2(way_true.y).to_degrees();
            Some(turn(ground.true_degrees(*way) - lies))
        }
        ObservationKind::Tape { what, reads, .. } => {
            let (_, value) = ground.dimensions.iter().find(|(known, _)| known == what)?;
            Some(reads - value)
        }
    }
}

/// The line of an edge observation in the local frame.
pub(super) fn line(
    ground: &TrialGround<'_>,
    from: FieldSpot,
    toward: FieldSpot,
    up_m: f64,
) -> Option<LevelLine> {
    LevelLine::toward(ground.local(from, up_m), ground.local(toward, up_m))
}

/// How far a place lies to the left of the shadow of an edge, seen along it, m.
pub(super) fn beside([a, b]: [DVec3; 2], place: DVec3, sun: DVec3) -> Option<f64> {
    if sun.z <= 0.0 {
        return None;
    }
    let thrown = |p: DVec3| (p - (p.z - place.z) / sun.z * sun).with_z(place.z);
    let (a, b) = (thrown(a), thrown(b));
    let way = (b - a).try_normalize()?;
    Some(way.cross(place - a).z)
}

/// The point of an edge's line that is sighted from `eye`: in the direction of a
/// place, or nearest.
fn sighted([a, b]: [DVec3; 2], eye: DVec3, toward: Option<DVec3>) -> Option<DVec3> {
    let way = (b - a).with_z(0.0);
    let share = match toward {
        Some(place) => {
            let normal = LevelLine::toward(eye, place)?.along.cross(DVec3::Z);
            let (from, to) = (normal.dot(a - eye), normal.dot(b - eye));
            if (from - to).abs() <= 1e-6 * a.distance(b) {
                return None;
            }
            from / (from - to)
        }
        None if way.length_squared() < 1e-12 => 0.5,
        None => (eye - a).dot(way) / way.length_squared(),
    };
    Some(a + share * (b - a))
}

/// Degrees, -180 to 180.
fn turn(degrees: f64) -> f64 {
    (degrees + 180.0).rem_euclid(360.0) - 180.0
}
