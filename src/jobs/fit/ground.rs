//! The ground under a try: unknowns put in their places.
//!
//! In: what was seen, the venue file, numbers for the unknowns. Out: a [`TrialGround`]:
//! the venue with these numbers, the watch, the compass and the poles; and the
//! sun at any reading of the watch.

use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use chrono::{DateTime, TimeDelta, Timelike, Utc};
use glam::DVec3;

use crate::base::frame::FieldPoint;
use crate::solar;
use crate::venue::{Address, Draft, DraftError, Unit, VariantError, Variants, Venue};

use super::seen::{FieldSpot, Observations, Quantity, Reference, Unknown, Way, When};
use super::solve::Parameter;

/// Makes grounds.
pub(super) struct TrialGrounds<'s> {
    seen: &'s Observations,
    variants: Variants,
    suns: Arc<Suns>,
}

/// Places of the sun that were asked for, by latitude, longitude, height, air and instant:
/// a search asks for the same few thousand times.
type Suns = Mutex<HashMap<([u64; 5], DateTime<Utc>), DVec3>>;
/// More of them are not kept.
const MAX_SUNS: usize = 100_000;

/// One try.
pub(super) struct TrialGround<'s> {
    pub seen: &'s Observations,
    pub venue: Venue,
    suns: Arc<Suns>,
    /// How far the watch is ahead, s.
    pub watch_s: f64,
    /// How much the compass reads too high, degrees.
    pub compass_deg: f64,
    /// Heights of the poles, metres.
    pub poles_m: Vec<f64>,
    /// Numbers of the venue file that are unknown.
    pub dimensions: Vec<(Address, f64)>,
}

impl<'s> TrialGrounds<'s> {
    pub fn new(draft: &Draft, seen: &'s Observations) -> Result<Self, DraftError> {
        let addresses: Vec<Address> = seen.unknowns.iter().filter_map(address).cloned().collect();
        Ok(Self { seen, variants: draft.variants(&addresses)?, suns: Arc::default() })
    }

    /// The same grounds with no other things than those named: less to build.
    pub fn with_only(&self, things: &[&str]) -> Self {
        let suns = Arc::clone(&self.suns);
        Self { seen: self.seen, variants: self.variants.with_only(things), suns }
    }

    /// The ground with these numbers, one for each unknown.
    pub fn with(&self, numbers: &[f64]) -> Result<TrialGround<'s>, VariantError> {
        let mut ground = TrialGround {
            seen: self.seen,
            suns: Arc::clone(&self.suns),
            watch_s: 0.0,
            compass_deg: 0.0,
            poles_m: self.seen.poles.iter().map(|p| p.height_m).collect(),
            dimensions: Vec::new(),
            venue: {
                let unknowns = self.seen.unknowns.iter().zip(numbers);
                let of_file = unknowns.filter(|(u, _)| address(u).is_some());
                self.variants.venue(&of_file.map(|(_, v)| *v).collect::<Vec<_>>())?
            },
        };
        for (unknown, &value) in self.seen.unknowns.iter().zip(numbers) {
            match &unknown.quantity {
                Quantity::Dimension(address) => ground.dimensions.push((address.clone(), value)),
                Quantity::Watch => ground.watch_s = value,
                Quantity::Compass => ground.compass_deg = value,
                Quantity::Pole(i) => ground.poles_m[*i] = value,
            }
        }
        Ok(ground)
    }
}

fn address(unknown: &Unknown) -> Option<&Address> {
    match &unknown.quantity {
        Quantity::Dimension(address) => Some(address),
        _ => None,
    }
}

/// How an unknown is searched for. What counts as equal steps of different units:
/// a metre of height, a degree of bearing, a minute of the watch.
pub(super) fn parameter(unknown: &Unknown) -> Parameter {
    let scale = scale(unknown.unit);
    Parameter { start: unknown.start, scale, step: 1e-4 * scale, limits: unknown.limits }
}

/// What counts as one step of a unit.
pub(super) fn scale(unit: Unit) -> f64 {
    match unit {
        Unit::Metre | Unit::Degree | Unit::One => 1.0,
        Unit::Second => 60.0,
    }
}

impl TrialGround<'_> {
    /// Unit vector toward the sun when the watch shows a time, `shift_s` later.
    pub fn toward_sun(&self, when: When, shift_s: f64) -> DVec3 {
        self.sun_at(when.at.with_timezone(&Utc), shift_s - self.watch_s)
    }

    /// The venue as it stands when the watch shows a time.
    pub fn standing(&self, when: When) -> Cow<'_, Venue> {
        self.venue.at(when.at)
    }

    /// A place of the field in the local frame.
    pub fn local(&self, spot: FieldSpot, up_m: f64) -> DVec3 {
        let [along_m, across_m] = spot;
        self.venue.field.frame.to_local(FieldPoint { along_m, across_m, up_m })
    }

    /// A direction as degrees clockwise from true north.
    pub fn true_degrees(&self, way: Way) -> f64 {
        match way.from {
            Reference::True => way.degrees,
            Reference::Field => way.degrees + self.venue.field.frame.bearing().degrees(),
            // readers have made sure that there is a declination
            Reference::Magnetic => {
                way.degrees + self.seen.declination_deg.unwrap_or(0.0) - self.compass_deg
            }
        }
    }

    /// The sun's direction between whole minutes, where positions are exact to the second
    /// at best: the parabola through three of them (error under 1e-8).
    fn sun_at(&self, at: DateTime<Utc>, shift_s: f64) -> DVec3 {
        const STEP_S: f64 = 60.0;
        let part_s = f64::from(at.timestamp_subsec_micros()) * 1e-6;
        let at = at.with_nanosecond(0).unwrap_or(at);
        let shift_s = shift_s + part_s;
        let steps = (shift_s / STEP_S).round();
        let u = shift_s / STEP_S - steps;
        let position = |k: f64| {
            let shift = TimeDelta::milliseconds(((steps + k) * STEP_S * 1e3) as i64);
            self.sun(at + shift)
        };
        let (before, here, after) = (position(-1.0), position(0.0), position(1.0));
        let sum =
            before * (0.5 * u * (u - 1.0)) + here * (1.0 - u * u) + after * (0.5 * u * (u + 1.0));
        sum.normalize()
    }

    /// The sun's direction at an instant.
    fn sun(&self, at: DateTime<Utc>) -> DVec3 {
        let place = &self.venue.place;
        let numbers = [
            place.latitude_deg,
            place.longitude_deg,
            place.height_m,
            place.pressure_hpa,
            place.temperature_c,
        ];
        let key = (numbers.map(f64::to_bits), at);
        let known = self.suns.lock().ok().and_then(|suns| suns.get(&key).copied());
        known.unwrap_or_else(|| {
            let toward = solar::position(place, at).toward();
            if let Ok(mut suns) = self.suns.lock()
                && suns.len() < MAX_SUNS
            {
                suns.insert(key, toward);
            }
            toward
        })
    }
}
