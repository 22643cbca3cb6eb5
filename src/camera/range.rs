//! Between which numbers a split and a setting lie on eight clear days of ten.
//!
//! In: what a camera sees in the air assumed, in cleaner and in hazier air, and how far
//! the rest ([`OtherSpread`]) moves the light of an open field. Out: the [`SplitRange`] of each
//! target, and of these the [`ExposureRange`].
//!
//! All ranges are from the 10th to the 90th percentile. What the aerosol does and the
//! rest are independent of each other and combined as the root of the sum of squares
//! (JCGM 100:2008, GUM, 5.1.2), each side of the number by itself.

use crate::base::units::{Luminance, Stops};
use crate::camera::rig::Rig;
use crate::camera::setting::{Verdict, exposure};
use crate::camera::split::{CameraView, Side, Split, SplitState};
use crate::light::{Air, AirRange, Z_90};
use crate::venue::Subject;

/// From the 10th to the 90th percentile, in the unit of what it belongs to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    pub low: f64,
    pub high: f64,
}

impl Interval {
    /// Around a number, from what it is at both ends of one influence and from how far
    /// another one moves it either way.
    pub fn around(middle: f64, ends: [f64; 2], rest: f64) -> Self {
        let [a, b] = ends;
        Self {
            low: middle - (middle - a.min(b)).max(0.0).hypot(rest),
            high: middle + (a.max(b) - middle).max(0.0).hypot(rest),
        }
    }
}

impl Interval {
    /// Of the size of what it belongs to, whatever its sign: 0.5 to 2.1 of -2.1 to -0.5.
    pub fn either_way(self) -> Self {
        match self {
            Self { low, high } if low >= 0.0 => Self { low, high },
            Self { low, high } if high <= 0.0 => Self { low: -high, high: -low },
            Self { low, high } => Self { low: 0.0, high: high.max(-low) },
        }
    }
}

/// How far water and the model itself move the light of an open field either way, from
/// the median to the 90th percentile, stops.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OtherSpread {
    pub sunlit: f64,
    pub shaded: f64,
    pub split: f64,
}

/// Standard uncertainty of the sky's light of the spectral model, in the same air: 10 %.
/// Bird and Riordan (J. Climate Appl. Meteor. 25, 1986) find it within about 10 % of
/// rigorous models (from memory); on the measured day of `tests/light_spectrum.rs` it is
/// 10 % low.
const SKY_MODEL: f64 = 0.10;

impl OtherSpread {
    /// From the light of an open field in each air: direct and of the sky, both on the
    /// horizontal, in any unit of light or of power.
    pub fn of(air: &AirRange, light: impl Fn(&Air) -> [f64; 2]) -> Self {
        Self::between(light(&air.assumed), [light(&air.dry), light(&air.wet)])
    }

    /// The same from the light that is known already: in the air assumed, in drier and in
    /// wetter air.
    pub fn between(assumed: [f64; 2], water: [[f64; 2]; 2]) -> Self {
        let levels = |[direct, sky]: [f64; 2], brighter: f64| {
            let shade = sky * brighter;
            [direct + shade, shade].map(|level| level.max(f64::MIN_POSITIVE).log2())
        };
        let factor = (1.0 + SKY_MODEL).powf(Z_90);
        let water = water.map(|light| levels(light, 1.0));
        let model = [1.0 / factor, factor].map(|brighter| levels(assumed, brighter));
        let moves = |of: fn([f64; 2]) -> f64| {
            let half = |[low, high]: [[f64; 2]; 2]| 0.5 * (of(high) - of(low));
            half(water).hypot(half(model))
        };
        Self { sunlit: moves(|l| l[0]), shaded: moves(|l| l[1]), split: moves(|l| l[0] - l[1]) }
    }
}

/// Ranges of one kind of target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SplitRange {
    /// Of the split, stops; `None` without an edge anywhere.
    pub stops: Option<Interval>,
    /// Of the luminances of both sides, cd/m2.
    pub sunlit: Option<Interval>,
    pub shaded: Option<Interval>,
    /// Of the swing under a cloud, stops.
    pub swing: Option<Interval>,
}

impl SplitRange {
    /// Of a split that is known in cleaner and in hazier air.
    pub fn of(split: &Split, ends: [&Split; 2], rest: OtherSpread) -> Self {
        let each = |value: fn(&Split) -> Option<f64>, rest: f64| {
            let [clean, hazy] = ends.map(value);
            Some(Interval::around(value(split)?, [clean?, hazy?], rest))
        };
        let linear = |stops: Interval| Interval { low: stops.low.exp2(), high: stops.high.exp2() };
        Self {
            stops: each(|s| stops(s.state), rest.split),
            sunlit: each(|s| log_luminance(s.sunlit), rest.sunlit).map(linear),
            shaded: each(|s| log_luminance(s.shaded), rest.shaded).map(linear),
            swing: each(|s| s.swing.map(|swing| swing.stops.stops()), rest.split),
        }
    }
}

impl CameraView {
    /// The same with the ranges of its splits, seen in cleaner and in hazier air too.
    pub fn with_ranges(&self, ends: [&Self; 2], rest: OtherSpread) -> Self {
        let of = |kind: fn(&Self) -> &Split| {
            let split = kind(self);
            Split { range: Some(SplitRange::of(split, ends.map(kind), rest)), ..*split }
        };
        Self { turf: of(|view| &view.turf), subject: of(|view| &view.subject), ..*self }
    }
}

fn log_luminance(side: Option<Side>) -> Option<f64> {
    let cd_per_m2 = side?.luminance.cd_per_m2();
    (cd_per_m2 > 0.0).then(|| cd_per_m2.log2())
}

fn stops(state: SplitState) -> Option<f64> {
    match state {
        SplitState::InShot(stops) | SplitState::Latent(stops, _) => Some(stops.stops()),
        SplitState::NoEdge => None,
    }
}

/// What to set, in range.
#[derive(Debug, Clone, PartialEq)]
pub struct ExposureRange {
    /// Luminances to put at white, cd/m2.
    pub sun: Option<Interval>,
    pub shade: Interval,
    pub one: Interval,
    /// Verdicts of the narrowest and of the widest split, and of all between that were
    /// asked; the one that is stated first.
    pub verdicts: Vec<Verdict>,
}

/// Which end of their ranges the two sides are at.
#[derive(Clone, Copy)]
enum End {
    Low,
    High,
}

/// Ranges of what a camera sets; `None` where it sees nothing or nothing is known to
/// vary.
pub fn exposure_range(view: &CameraView, rig: &Rig, subject: &Subject) -> Option<ExposureRange> {
    let stated = exposure(view, rig, subject)?;
    let at = |sun: End, shade: End| exposure(&moved(view, sun, shade)?, rig, subject);
    let (dim, bright) = (at(End::Low, End::Low)?, at(End::High, End::High)?);
    let (narrow, wide) = (at(End::Low, End::High)?, at(End::High, End::Low)?);
    let between = |a: Luminance, b: Luminance| {
        let (a, b) = (a.cd_per_m2(), b.cd_per_m2());
        Interval { low: a.min(b), high: a.max(b) }
    };
    let mut verdicts = vec![stated.verdict];
    for verdict in [narrow.verdict, wide.verdict] {
        if !verdicts.contains(&verdict) {
            verdicts.push(verdict);
        }
    }
    Some(ExposureRange {
        sun: dim.sun.zip(bright.sun).map(|(a, b)| between(a, b)),
        shade: between(dim.shade, bright.shade),
        one: between(dim.one.white, bright.one.white),
        verdicts,
    })
}

/// A view with its sides at the ends of their ranges.
fn moved(view: &CameraView, sun: End, shade: End) -> Option<CameraView> {
    let of = |split: &Split| {
        let range = split.range?;
        let scaled = |side: Option<Side>, range: Option<Interval>, end: End| {
            side.zip(range).map(|(side, range)| {
                let wanted = match end {
                    End::Low => range.low,
                    End::High => range.high,
                };
                let factor = wanted / side.luminance.cd_per_m2();
                Side { light: side.light * factor, luminance: Luminance::from_cd_per_m2(wanted) }
            })
        };
        let sunlit = scaled(split.sunlit, range.sunlit, sun);
        let shaded = scaled(split.shaded, range.shaded, shade);
        let mut at_ends = Split { sunlit, shaded, ..*split };
        at_ends.dimmed = at_ends.dimmed.and(at_ends.mixed(split.shares.transmittance));
        let stops = at_ends.sides().and_then(|(b, d)| Stops::between(b.luminance, d.luminance));
        at_ends.state = match split.state {
            SplitState::InShot(before) => SplitState::InShot(stops.unwrap_or(before)),
            SplitState::Latent(before, side) => SplitState::Latent(stops.unwrap_or(before), side),
            SplitState::NoEdge => SplitState::NoEdge,
        };
        Some(at_ends)
    };
    Some(CameraView { turf: of(&view.turf)?, subject: of(&view.subject)?, ..*view })
}
