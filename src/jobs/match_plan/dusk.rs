//! From daylight to floodlights.
//!
//! In: a [`MatchPlan`]. Out: a [`Dusk`]: for each instant around sunset or sunrise and each
//! camera the daylight and the floodlights on the turf and on a subject, lx, when one
//! passes the other, and when the white balance of all cameras should move.
//!
//! What counts for a camera is what it shows: each class of light by its share of the
//! picture. So nothing here steps when a shadow edge leaves the cover or the sun sets.

use std::ops::Range;

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::camera::Split;
use crate::engine::model::{Instant, MatchPlan};
use crate::light::{ColourTemperature, Tristimulus, twilight};
use crate::output::words;

use super::facts::SplitTarget;

/// A white balance is moved when the light is this far from it, mired: half of the steps of
/// about 50 mired in which cameras and filters are usually marked, and some five times what
/// can just be seen side by side (common practice, no source).
pub const BALANCE_STEP_MIRED: f64 = 25.0;

/// Floodlights under this share of the daylight in the open are no dusk: by day they only
/// help (no source).
const MATTER_SHARE: f64 = 0.1;

/// Light on one target of a camera, its picture's mean, lx on the target's plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mix {
    pub daylight: Tristimulus,
    pub floodlights: Tristimulus,
}

impl Mix {
    fn of(split: &Split) -> Option<Self> {
        let shaded = split.shaded?.light;
        let part = |side: Option<crate::camera::Side>, share: f64| {
            side.map_or(Tristimulus::ZERO, |side| (side.light - shaded) * share)
        };
        let shares = &split.shares;
        let all = shaded + part(split.sunlit, shares.sun) + part(split.dimmed, shares.dimmed);
        let floodlights = split.flood;
        Some(Self { daylight: all - floodlights, floodlights })
    }

    /// Both together.
    pub fn all(&self) -> Tristimulus {
        self.daylight + self.floodlights
    }

    /// How many stops the floodlights are over daylight; `None` where one of them is dark.
    pub fn floodlights_over_daylight(&self) -> Option<f64> {
        let (floodlight, daylight) = (self.floodlights.lux(), self.daylight.lux());
        (floodlight > 0.0 && daylight > 0.0).then(|| (floodlight / daylight).log2())
    }

    /// How far the floodlights have moved the colour away from that of daylight, mired;
    /// negative toward blue. `None` where one has no colour temperature.
    pub fn moved_mired(&self) -> Option<f64> {
        let mired = |light| ColourTemperature::of(light).map(ColourTemperature::mired);
        Some(mired(self.all())? - mired(self.daylight)?)
    }
}

/// Floodlights and daylight are equal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Takeover {
    pub at: DateTime<Tz>,
    pub leader: Leader,
}

/// Which light is stronger from then on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leader {
    Floodlights,
    Daylight,
}

/// One camera around sunset or sunrise; `None` where it sees nothing of the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct CameraDusk {
    /// By instant of [`Dusk::instants`].
    pub turf: Vec<Option<Mix>>,
    pub subject: Vec<Option<Mix>>,
}

impl CameraDusk {
    /// The mixes of a target.
    pub fn mixes(&self, target: SplitTarget) -> &[Option<Mix>] {
        match target {
            SplitTarget::Turf => &self.turf,
            SplitTarget::Subject => &self.subject,
        }
    }
}

/// To another white balance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BalanceMove {
    pub at: DateTime<Tz>,
    /// Of the light then, mean of all subjects.
    pub to_mired: f64,
    /// From the balance before; positive toward red light.
    pub by_mired: f64,
}

impl BalanceMove {
    /// Colour temperature to balance to.
    pub fn to_kelvin(&self) -> f64 {
        1e6 / self.to_mired
    }
}

/// Sunset or sunrise of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Dusk {
    /// Instants of the plan.
    pub instants: Range<usize>,
    /// Their times.
    pub times: Vec<DateTime<Tz>>,
    /// In the order of [`crate::venue::Venue::cameras`].
    pub cameras: Vec<CameraDusk>,
    /// Balance at the first of these instants, mired; `None` without a colour temperature.
    pub first_balance_mired: Option<f64>,
    pub balance: Vec<BalanceMove>,
}

impl Dusk {
    /// Of a plan; `None` where the sun stays up and floodlights matter nowhere, or where it
    /// is night all the time.
    pub fn of(plan: &MatchPlan) -> Option<Self> {
        let counts = |i: &Instant| {
            floodlights_matter(i) || i.sun.true_elevation.degrees() < twilight::MAX_DEG
        };
        let lit_by_day = |i: &Instant| i.sun.true_elevation.degrees() > twilight::NIGHT_DEG;
        let first = plan.instants.iter().position(counts)?;
        let last = plan.instants.iter().rposition(counts)?;
        let instants = first..last + 1;
        let of_dusk = plan.instants.get(instants.clone())?;
        if !of_dusk.iter().any(lit_by_day) {
            return None;
        }
        let cameras = (0..plan.covers.len()).map(|camera| CameraDusk::of(of_dusk, camera));
        let cameras: Vec<CameraDusk> = cameras.collect();
        let times: Vec<DateTime<Tz>> = of_dusk.iter().map(|i| i.at).collect();
        let mired = subjects_mired(&cameras, times.len());
        let balance = moves(&times, &mired);
        let first_balance_mired = mired.iter().flatten().next().copied();
        Some(Self { instants, times, cameras, first_balance_mired, balance })
    }

    /// When floodlights and daylight pass each other for a camera's target.
    pub fn takeovers(&self, camera: usize, target: SplitTarget) -> Vec<Takeover> {
        let Some(camera) = self.cameras.get(camera) else { return Vec::new() };
        let mixes = camera.mixes(target);
        let steps = mixes.windows(2).zip(self.times.windows(2));
        steps
            .filter_map(|(mixes, times)| passed([mixes[0]?, mixes[1]?], [times[0], times[1]]))
            .collect()
    }
}

impl CameraDusk {
    fn of(instants: &[Instant], camera: usize) -> Self {
        let mixes = |target: SplitTarget| {
            let mix = |i: &Instant| i.cameras.get(camera).and_then(|v| Mix::of(target.split(v)));
            instants.iter().map(mix).collect()
        };
        Self { turf: mixes(SplitTarget::Turf), subject: mixes(SplitTarget::Subject) }
    }
}

/// Whether floodlights are part of the light of an instant.
fn floodlights_matter(instant: &Instant) -> bool {
    let daylight = instant.daylight.global_horizontal().lux();
    let flood = instant.cameras.iter().map(|view| view.turf.flood.lux()).fold(0.0, f64::max);
    flood > MATTER_SHARE * daylight
}

/// Whether floodlights and daylight pass each other between two instants: straight in stops,
/// or with the switch.
fn passed([before, after]: [Mix; 2], [from, to]: [DateTime<Tz>; 2]) -> Option<Takeover> {
    let lead = |mix: &Mix| mix.floodlights.lux() > mix.daylight.lux();
    let leader = match (lead(&before), lead(&after)) {
        (false, true) => Leader::Floodlights,
        (true, false) => Leader::Daylight,
        _ => return None,
    };
    let stops = [before, after].map(|mix| mix.floodlights_over_daylight());
    let at = match stops {
        [Some(a), Some(b)] => {
            let seconds = (to - from).num_seconds() as f64 * (a / (a - b)).clamp(0.0, 1.0);
            from + TimeDelta::seconds(seconds.round() as i64)
        }
        _ => to,
    };
    Some(Takeover { at, leader })
}

/// Colour of the light on all subjects together, mired: cameras that are cut to each other
/// share a balance.
fn subjects_mired(cameras: &[CameraDusk], count: usize) -> Vec<Option<f64>> {
    let at = |index: usize| {
        let mixes = cameras.iter().filter_map(|c| c.subject.get(index).copied().flatten());
        let all: Tristimulus = mixes.map(|mix| mix.all()).sum();
        words::colour(all).map(ColourTemperature::mired)
    };
    (0..count).map(at).collect()
}

/// A move wherever the light is [`BALANCE_STEP_MIRED`] away from the balance.
fn moves(times: &[DateTime<Tz>], mired: &[Option<f64>]) -> Vec<BalanceMove> {
    let mut held: Option<f64> = None;
    let mut moves = Vec::new();
    for (at, mired) in times.iter().zip(mired) {
        let Some(to_mired) = *mired else { continue };
        let by_mired = to_mired - *held.get_or_insert(to_mired);
        if by_mired.abs() >= BALANCE_STEP_MIRED {
            moves.push(BalanceMove { at: *at, to_mired, by_mired });
            held = Some(to_mired);
        }
    }
    moves
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Chromaticity;

    fn at(minute: u32) -> DateTime<Tz> {
        use chrono::TimeZone;
        Tz::UTC.with_ymd_and_hms(2027, 10, 16, 17, minute, 0).unwrap()
    }

    fn mix(daylight: f64, floodlights: f64) -> Mix {
        let light = |lux| Tristimulus::of(lux, Chromaticity::of_daylight(6500.0));
        Mix { daylight: light(daylight), floodlights: light(floodlights) }
    }

    #[test]
    fn floodlights_take_over_where_they_equal_daylight() {
        // a stop under to three stops over in 4 minutes: equal after one
        let pair = [mix(2800.0, 1400.0), mix(175.0, 1400.0)];
        let found = passed(pair, [at(0), at(4)]).unwrap();
        assert_eq!(found, Takeover { at: at(1), leader: Leader::Floodlights });
        let back = passed([pair[1], pair[0]], [at(0), at(4)]).unwrap();
        assert_eq!(back, Takeover { at: at(3), leader: Leader::Daylight });
        // switched on under daylight that is weaker already
        let on = passed([mix(900.0, 0.0), mix(850.0, 1400.0)], [at(0), at(4)]).unwrap();
        assert_eq!(on.at, at(4));
        assert_eq!(passed([mix(2800.0, 0.0), mix(2700.0, 1400.0)], [at(0), at(4)]), None);
    }

    #[test]
    fn the_balance_follows_in_steps_and_not_before() {
        let times: Vec<_> = (0..6).map(at).collect();
        let mired = [Some(150.0), Some(160.0), None, Some(176.0), Some(190.0), Some(149.0)];
        let found = moves(&times, &mired);
        let steps: Vec<_> = found.iter().map(|m| (m.at, m.to_mired, m.by_mired)).collect();
        assert_eq!(steps, [(at(3), 176.0, 26.0), (at(5), 149.0, -27.0)]);
        assert!((found[0].to_kelvin() - 5682.0).abs() < 1.0);
    }

    #[test]
    fn a_lamp_of_another_colour_pulls_the_mix() {
        let blue = Tristimulus::of(1400.0, Chromaticity::of_daylight(10_000.0));
        let warm = Tristimulus::of(1400.0, Chromaticity::of_black_body(3200.0));
        let mix = Mix { daylight: blue, floodlights: warm };
        assert_eq!(mix.floodlights_over_daylight(), Some(0.0));
        let moved = mix.moved_mired().unwrap();
        // between the two, 100 and 312.5 mired, and past the half: less blue light is in the
        // warm one
        assert!((70.0..130.0).contains(&moved), "{moved}");
    }
}
