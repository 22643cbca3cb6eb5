//! What the entries of the day say about the model.
//!
//! In: the plan of the day, iris readings of matched cameras, readings of a light meter,
//! edges that were seen to pass marks. Out: [`Learned`]: how many stops light in sun and in
//! shade is off the model under the sky that is there, each with its standard error, and by
//! how much edges were early. Nothing is applied here: the lead accepts an estimate by an
//! entry of its own, and takes it back like any other.
//!
//! An iris at an end of its lens teaches nothing: the light may be any less than a lens wide open
//! is set for, any more than one that is closed all the way is.
//!
//! A camera's readings are averaged first, since a lens that is a quarter of a stop off is so
//! in all of them. Cameras and meter are then weighted by their errors, and the error of the
//! mean grows where they agree less than those say (the ratio of Birge, Phys. Rev. 40, 207,
//! 1932; cited from memory).

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::camera::{LensRange, TOLERANCE_STOPS, stops_between_t};
use crate::jobs::crew::{CameraBrief, CueKind, mark_words};

use super::ahead::DayPlan;
use super::correct::Correction;
use super::event::{LightOn, SkyNow};
use super::state::DayState;

/// Standard error of the iris of one matched camera as a light meter, stops: the quarter
/// stop that a crew matches to (common practice, no source).
const IRIS_ERROR_STOPS: f64 = 0.25;
/// Standard error of a reading of a hand-held light meter laid level, stops (common
/// practice, no source).
const METER_ERROR_STOPS: f64 = 0.15;
/// An edge that passes a mark belongs to a cue at most so far away.
const MAX_EDGE_MISS: TimeDelta = TimeDelta::minutes(30);

/// How far the light is off the model, stops; positive where it is brighter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    pub stops: f64,
    /// Standard error.
    pub error: f64,
    pub readings: usize,
}

/// An edge that was seen, beside the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeMiss {
    pub mark: String,
    pub at: DateTime<Tz>,
    /// `None` where no edge was planned near that time.
    pub planned: Option<DateTime<Tz>>,
}

/// A reading of an iris beside the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IrisMiss {
    pub camera: usize,
    pub at: DateTime<Tz>,
    pub light: LightOn,
    pub t_number: f64,
    /// With the correction that was in force.
    pub planned: f64,
    /// How much brighter than the plan it was, stops.
    pub stops: f64,
    /// How much brighter than the model without any correction.
    pub over_model: f64,
    pub sky: SkyNow,
    /// The lens, for what was planned of it.
    pub lens: LensRange,
    pub says: IrisSays,
}

/// What the reading of an iris says of the light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum IrisSays {
    /// The light is what the iris is set for.
    AsMuch,
    /// The lens opens no farther: the light may be any less.
    AsMuchOrLess,
    /// It closes no farther: the light may be any more.
    AsMuchOrMore,
}

impl IrisSays {
    fn of(lens: LensRange, t_number: f64) -> Self {
        if stops_between_t(lens.widest_t, t_number) <= TOLERANCE_STOPS {
            Self::AsMuchOrLess
        } else if stops_between_t(t_number, lens.narrowest_t) <= TOLERANCE_STOPS {
            Self::AsMuchOrMore
        } else {
            Self::AsMuch
        }
    }
}

/// What was learned.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    /// The sky that the light is off under.
    pub sky: SkyNow,
    pub sun: Option<Estimate>,
    pub shade: Option<Estimate>,
    pub edges: Vec<EdgeMiss>,
}

impl Learned {
    /// What the entries say under the sky of now.
    pub fn of(made: &DayPlan, state: &DayState, now: DateTime<Tz>) -> Self {
        let sky = state.sky_at(now);
        let iris = iris_misses(made, state);
        let meter = meter_misses(made, state);
        let estimate = |light: LightOn| {
            // a lens at the end of its range only bounds the light
            let told = iris.iter().filter(|m| m.says == IrisSays::AsMuch);
            let ours = told.filter(|m| m.light == light && m.sky == sky);
            let mut groups: Vec<(f64, f64)> = Vec::new();
            let mut readings = 0;
            for camera in 0..state.cameras.len() {
                let own: Vec<f64> =
                    ours.clone().filter(|m| m.camera == camera).map(|m| m.over_model).collect();
                readings += own.len();
                groups.extend(mean(&own).map(|stops| (stops, IRIS_ERROR_STOPS)));
            }
            for (_, _, stops) in meter.iter().filter(|m| m.0 == sky && m.1 == light) {
                readings += 1;
                groups.push((*stops, METER_ERROR_STOPS));
            }
            weighted(&groups).map(|(stops, error)| Estimate { stops, error, readings })
        };
        Self {
            sky,
            sun: estimate(LightOn::Sun),
            shade: estimate(LightOn::Shade),
            edges: edge_misses(made, state),
        }
    }

    /// What is to be accepted; `None` where nothing was learned about light. A side without
    /// readings keeps what was accepted before.
    pub fn correction(&self, before: Correction) -> Option<Correction> {
        let hundredths = |stops: f64| (stops * 100.0).round() / 100.0;
        if self.sun.is_none() && self.shade.is_none() {
            return None;
        }
        Some(Correction {
            sun_stops: self.sun.map_or(before.sun_stops, |e| hundredths(e.stops)),
            shade_stops: self.shade.map_or(before.shade_stops, |e| hundredths(e.stops)),
        })
    }
}

/// The instant to compare a reading with: the next, or the one before where the sky has
/// changed in between; `None` where neither has the sky of the reading.
fn index_at(made: &DayPlan, state: &DayState, at: DateTime<Tz>) -> Option<usize> {
    let next = made.index_at(at);
    let sky = state.sky_at(at);
    let has = |index: &usize| {
        made.plan.instants.get(*index).is_some_and(|instant| state.sky_at(instant.at) == sky)
    };
    [next, next.saturating_sub(1)].into_iter().find(has)
}

/// T-number of a camera in one light.
fn planned_t(made: &DayPlan, camera: &CameraBrief, index: usize, light: LightOn) -> Option<f64> {
    let exposure = camera.exposures.get(index).copied().flatten()?;
    let white = match light {
        LightOn::Sun => exposure.sun?,
        LightOn::Shade => exposure.shade,
    };
    camera.t_at(&made.brief.spans, index, white)
}

/// All readings of irises that say which light they are for, in order of cameras and time.
pub fn iris_misses(made: &DayPlan, state: &DayState) -> Vec<IrisMiss> {
    let cameras = made.brief.cameras.iter();
    let each = cameras.filter_map(|camera| Some((camera, state.cameras.get(camera.camera)?)));
    each.flat_map(|(camera, day)| {
        day.iris.iter().filter_map(move |reading| {
            let light = reading.light?;
            let index = index_at(made, state, reading.at)?;
            let planned = planned_t(made, camera, index, light)?;
            let stops = 2.0 * (reading.t_number / planned).log2();
            let sky = state.sky_at(reading.at);
            let before = state.correction(reading.at, sky);
            let lens = camera.rig_at(index).lens();
            Some(IrisMiss {
                camera: camera.camera,
                at: reading.at,
                light,
                t_number: reading.t_number,
                planned,
                stops,
                over_model: stops + of_side(before, light),
                sky,
                lens,
                says: IrisSays::of(lens, reading.t_number),
            })
        })
    })
    .collect()
}

/// Sky, side, stops over the model.
fn meter_misses(made: &DayPlan, state: &DayState) -> Vec<(SkyNow, LightOn, f64)> {
    let mut all = Vec::new();
    for reading in &state.readings {
        let index = index_at(made, state, reading.at);
        let Some(instant) = index.and_then(|i| made.plan.instants.get(i)) else { continue };
        let sky = state.sky_at(reading.at);
        let before = state.correction(reading.at, sky);
        let sun = instant.field_light.in_sun.map(|light| light.lux());
        let shade = Some(instant.field_light.in_shade.lux());
        let sides =
            [(LightOn::Sun, reading.sun_lx, sun), (LightOn::Shade, reading.shade_lx, shade)];
        for (light, read, planned) in sides {
            if let Some((read, planned)) = read.zip(planned).filter(|(_, planned)| *planned > 0.0) {
                all.push((sky, light, (read / planned).log2() + of_side(before, light)));
            }
        }
    }
    all
}

fn of_side(correction: Correction, light: LightOn) -> f64 {
    match light {
        LightOn::Sun => correction.sun_stops,
        LightOn::Shade => correction.shade_stops,
    }
}

/// Edges that were seen, each with the nearest cue of that mark.
fn edge_misses(made: &DayPlan, state: &DayState) -> Vec<EdgeMiss> {
    let each = state.edges.iter().map(|seen| {
        let words = mark_words(&seen.mark);
        let cues = made.brief.cues.iter();
        let of_mark = cues.filter(|cue| cue.kind == CueKind::Mark && words.contains(&cue.subject));
        let near = of_mark.map(|cue| cue.at).filter(|at| (*at - seen.at).abs() <= MAX_EDGE_MISS);
        let planned = near.min_by_key(|at| (*at - seen.at).abs());
        EdgeMiss { mark: seen.mark.clone(), at: seen.at, planned }
    });
    each.collect()
}

fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// The weighted mean of values with their standard errors, and its own.
fn weighted(groups: &[(f64, f64)]) -> Option<(f64, f64)> {
    let weight = |error: f64| error.powi(-2);
    let total: f64 = groups.iter().map(|(_, error)| weight(*error)).sum();
    if total <= 0.0 {
        return None;
    }
    let value = groups.iter().map(|(v, error)| v * weight(*error)).sum::<f64>() / total;
    let chi_squared: f64 =
        groups.iter().map(|(v, error)| (v - value).powi(2) * weight(*error)).sum();
    let freedom = groups.len().saturating_sub(1).max(1) as f64;
    let birge = (chi_squared / freedom).sqrt().max(1.0);
    Some((value, birge / total.sqrt()))
}
