//! How far apart the cameras are for the same subject at the same place.
//!
//! In: a [`MatchPlan`] with the light on faces at the marks of the field. Out: a
//! [`Matching`]: the spread of all cameras at each instant, in stops and in mired, and
//! the pairs that are over a quarter of a stop apart.

use chrono::DateTime;
use chrono_tz::Tz;

use crate::base::units::Stops;
use crate::engine::model::{Instant, MatchPlan};
use crate::light::{ColourTemperature, Tristimulus};

use super::settled::Settled;

/// What cameras are matched to (common practice, no source).
pub const MATCHED_STOPS: f64 = 0.25;

/// Cameras against each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Matching {
    /// At each instant.
    pub spread: Vec<WidestGap>,
    /// Every pair with a place in common, the worst first.
    pub pairs: Vec<PairGap>,
}

/// Widest difference between cameras at one place; zero where no place is seen by two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WidestGap {
    pub stops: Stops,
    pub mired: f64,
    /// Index of the mark with the widest difference in stops.
    pub mark: Option<usize>,
}

/// Two cameras through the match.
#[derive(Debug, Clone, PartialEq)]
pub struct PairGap {
    /// Indices of the cameras, the lower first.
    pub cameras: (usize, usize),
    /// At each instant, the widest over the marks both cover: first over second, stops;
    /// `None` where they see no place in common, one is out, or it is dark.
    pub stops: Vec<Option<Stops>>,
    /// The widest of all: stops, when, and the mark's index.
    pub worst: (Stops, DateTime<Tz>, usize),
    /// Runs of instants over [`MATCHED_STOPS`]: first and last.
    pub apart: Vec<(DateTime<Tz>, DateTime<Tz>)>,
}

pub(super) fn matching(plan: &MatchPlan, settled: &Settled) -> Matching {
    let cameras = plan.covers.len();
    let spread = plan.instants.iter().map(|i| spread(&i.faces)).collect();
    let pairs = (0..cameras).flat_map(|a| (a + 1..cameras).map(move |b| (a, b)));
    let mut pairs: Vec<PairGap> = pairs.filter_map(|pair| pair_gap(plan, settled, pair)).collect();
    pairs.sort_by(|a, b| b.worst.0.stops().abs().total_cmp(&a.worst.0.stops().abs()));
    Matching { spread, pairs }
}

fn spread(faces: &[Vec<Option<Tristimulus>>]) -> WidestGap {
    let none = WidestGap { stops: Stops::from_stops(0.0), mired: 0.0, mark: None };
    let places = faces.iter().enumerate().filter_map(|(mark, faces)| {
        let seen: Vec<Tristimulus> =
            faces.iter().flatten().copied().filter(|l| l.lux() > 0.0).collect();
        let stops = width(seen.iter().map(|l| l.lux().log2()))?;
        let mired = width(seen.iter().filter_map(|l| Some(ColourTemperature::of(*l)?.mired())));
        (seen.len() > 1).then_some((mark, stops, mired.unwrap_or(0.0)))
    });
    places.fold(none, |widest, (mark, stops, mired)| {
        let wider = widest.mark.is_none() || stops > widest.stops.stops();
        WidestGap {
            stops: if wider { Stops::from_stops(stops) } else { widest.stops },
            mired: widest.mired.max(mired),
            mark: if wider { Some(mark) } else { widest.mark },
        }
    })
}

fn width(values: impl Iterator<Item = f64>) -> Option<f64> {
    let range = values.fold(None, |range: Option<(f64, f64)>, v| {
        Some(range.map_or((v, v), |(low, high)| (low.min(v), high.max(v))))
    });
    range.map(|(low, high)| high - low)
}

fn pair_gap(plan: &MatchPlan, settled: &Settled, (a, b): (usize, usize)) -> Option<PairGap> {
    let at = |instant: &Instant| {
        if settled.is_out(a, instant.at) || settled.is_out(b, instant.at) {
            return None;
        }
        let gaps = instant.faces.iter().enumerate().filter_map(|(mark, faces)| {
            let (first, second) = ((*faces.get(a)?)?.lux(), (*faces.get(b)?)?.lux());
            (first > 0.0 && second > 0.0).then(|| ((first / second).log2(), mark))
        });
        gaps.max_by(|x, y| x.0.abs().total_cmp(&y.0.abs()))
    };
    let gaps: Vec<Option<(f64, usize)>> = plan.instants.iter().map(at).collect();
    let told = gaps.iter().zip(&plan.instants);
    let told = told.filter_map(|(gap, instant)| gap.map(|(stops, mark)| (stops, instant.at, mark)));
    // the first of equals
    let worst = told.reduce(|w, x| if x.0.abs() > w.0.abs() { x } else { w })?;
    let over: Vec<bool> =
        gaps.iter().map(|g| g.is_some_and(|(stops, _)| stops.abs() > MATCHED_STOPS)).collect();
    Some(PairGap {
        cameras: (a, b),
        stops: gaps.iter().map(|g| g.map(|(stops, _)| Stops::from_stops(stops))).collect(),
        worst: (Stops::from_stops(worst.0), worst.1, worst.2),
        apart: runs(plan, &over),
    })
}

/// First and last times of runs of `true`.
fn runs(plan: &MatchPlan, over: &[bool]) -> Vec<(DateTime<Tz>, DateTime<Tz>)> {
    let mut runs: Vec<(DateTime<Tz>, DateTime<Tz>)> = Vec::new();
    let mut open = false;
    for (instant, &over) in plan.instants.iter().zip(over) {
        match (over, open, runs.last_mut()) {
            (true, true, Some(run)) => run.1 = instant.at,
            (true, ..) => runs.push((instant.at, instant.at)),
            (false, ..) => {}
        }
        open = over;
    }
    runs
}
