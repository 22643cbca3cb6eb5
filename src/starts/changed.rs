//! What changed for a fixture: between two venue files, or between two dates.
//!
//! In: two [`Occasion`]s. Out: the [`Difference`]s that matter and nothing else. Times
//! are minutes after the start, so that two dates compare; cameras and marks are the same
//! where their names are.

use chrono::{DateTime, Datelike, TimeDelta};
use chrono_tz::Tz;

use super::glimpse::{WANTED, widest};
use crate::camera::{LensState, Rig, Verdict, exposure};
use crate::light::{Sky, TimeOfYear, air_of_venue};
use crate::plan::sensitivity::{Event, Question, events};
use crate::season::{Row, Season, Weather};
use crate::venue::Venue;

/// Times that move by no more than this are the same, minutes.
pub const MOVED_MIN: f64 = 1.0;
/// Widest splits that differ by no more than this are the same, stops: what cameras are
/// matched to (common practice, no source).
pub const SPLIT_STOPS: f64 = 0.25;
/// Sums of minutes with the sun in a lens, or with a verdict, that differ by no more than
/// this are the same: a minute at either end.
pub const SUM_MIN: f64 = 2.0;

/// A fixture at a venue as it was, or as it is.
#[derive(Debug, Clone, Copy)]
pub struct Occasion<'a> {
    pub venue: &'a Venue,
    pub start: DateTime<Tz>,
    /// First and last instant that is looked at.
    pub within: (DateTime<Tz>, DateTime<Tz>),
}

/// What is measured.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Measure {
    /// When sun or shade reaches a mark: minutes after the start. `to_sun` says which;
    /// `nth` counts from 0 where it happens several times.
    Mark { name: String, to_sun: bool, nth: usize },
    /// When the sun falls on, or leaves, the lens of a camera: minutes after the start.
    Lens { camera: String, falls: bool, nth: usize },
    /// Widest split in shot, on turf or subject, stops.
    WidestSplit { camera: String },
    /// Minutes with the sun in frame or on the front element.
    SunInLens { camera: String },
    /// Minutes of a verdict while sun and shade are in its cover.
    Verdict { camera: String, verdict: Verdict },
    /// Minutes with sun and shade on the field.
    Mixed,
    /// A camera that only one of the files has; the number is 1.
    Camera { name: String },
}

/// A difference that matters.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    pub measure: Measure,
    /// `None` where it does not come at all.
    pub old: Option<f64>,
    pub new: Option<f64>,
}

/// Everything that matters, in the order of [`Measure`], by the old file's order.
///
/// Splits and minutes are those of the season's engine at every minute under a clear sky;
/// times are found by rays to a tenth of a second.
pub fn changed(old: &Occasion<'_>, new: &Occasion<'_>) -> Vec<Difference> {
    let (before, after) = (measured(old), measured(new));
    let mut pairs: Vec<Difference> = Vec::new();
    for (measure, value) in &before {
        let now = after.iter().find(|(m, _)| m == measure).map(|(_, v)| *v);
        pairs.push(Difference { measure: measure.clone(), old: Some(*value), new: now });
    }
    for (measure, value) in &after {
        if !before.iter().any(|(m, _)| m == measure) {
            pairs.push(Difference { measure: measure.clone(), old: None, new: Some(*value) });
        }
    }
    pairs.retain(matters);
    pairs.sort_by_key(|difference| rank(&difference.measure));
    pairs
}

fn rank(measure: &Measure) -> usize {
    match measure {
        Measure::Camera { .. } => 0,
        Measure::Mark { .. } => 1,
        Measure::Mixed => 2,
        Measure::WidestSplit { .. } => 3,
        Measure::Verdict { .. } => 4,
        Measure::Lens { .. } => 5,
        Measure::SunInLens { .. } => 6,
    }
}

fn matters(difference: &Difference) -> bool {
    let least = match difference.measure {
        Measure::Mark { .. } | Measure::Lens { .. } => Some(MOVED_MIN),
        Measure::WidestSplit { .. } => Some(SPLIT_STOPS),
        Measure::SunInLens { .. } | Measure::Verdict { .. } | Measure::Mixed => {
            // a sum that is not there is none
            let of = |value: Option<f64>| value.unwrap_or(0.0);
            return (of(difference.old) - of(difference.new)).abs() > SUM_MIN;
        }
        Measure::Camera { .. } => None,
    };
    match (difference.old, difference.new, least) {
        (Some(old), Some(new), Some(least)) => (old - new).abs() > least,
        (Some(_), Some(_), None) => false,
        _ => true,
    }
}

/// All measures of an occasion.
fn measured(occasion: &Occasion<'_>) -> Vec<(Measure, f64)> {
    let Occasion { venue, within: (from, until), .. } = *occasion;
    let mut all: Vec<(Measure, f64)> = Vec::new();
    for event in events(venue, from, until) {
        let after_min = (event.at - occasion.start).num_milliseconds() as f64 / 60_000.0;
        if let Some(measure) = of_event(venue, &event, &all) {
            all.push((measure, after_min));
        }
    }
    let air = air_of_venue(venue, TimeOfYear::of_month(from.month()));
    let weather = Weather { sky: Sky::Clear, air };
    let season = Season::new(venue, weather, WANTED);
    let minutes = (until - from).num_minutes().max(0) as i32;
    let times: Vec<DateTime<Tz>> =
        (0..=minutes).map(|minute| from + TimeDelta::minutes(1) * minute).collect();
    let rows = season.rows(&times);
    let mixed = rows.iter().filter(|row| row.field_is_mixed() == Some(true)).count();
    all.push((Measure::Mixed, mixed as f64));
    for (index, post) in venue.cameras.iter().enumerate() {
        of_camera(venue, index, &post.name, &rows, &mut all);
    }
    all
}

fn of_event(venue: &Venue, event: &Event, before: &[(Measure, f64)]) -> Option<Measure> {
    let measure = |nth: usize| {
        Some(match event.question {
            Question::MarkInSun(mark) => Measure::Mark {
                name: venue.field.marks.get(mark)?.name.clone(),
                to_sun: event.to,
                nth,
            },
            Question::SunOnLens(camera) => Measure::Lens {
                camera: venue.cameras.get(camera)?.name.clone(),
                falls: event.to,
                nth,
            },
        })
    };
    let known = |nth: &usize| measure(*nth).is_some_and(|m| before.iter().any(|(b, _)| *b == m));
    let nth = (0..).take_while(known).count();
    measure(nth)
}

fn of_camera(venue: &Venue, index: usize, name: &str, rows: &[Row], all: &mut Vec<(Measure, f64)>) {
    let camera = || name.to_owned();
    let Some(post) = venue.cameras.get(index) else { return };
    let rig = Rig::of(&post.exposure);
    let views = || rows.iter().filter_map(|row| row.cameras.get(index)?.view.as_ref());
    all.push((Measure::Camera { name: camera() }, 1.0));
    if let Some(stops) = views().filter_map(widest).reduce(f64::max) {
        all.push((Measure::WidestSplit { camera: camera() }, stops));
    }
    let verdicts: Vec<Verdict> = views()
        .filter(|view| view.turf.state.in_shot().is_some())
        .filter_map(|view| Some(exposure(view, &rig, &venue.subject)?.verdict))
        .collect();
    for verdict in [Verdict::Hold, Verdict::Ride, Verdict::Choose] {
        let minutes = verdicts.iter().filter(|v| **v == verdict).count();
        all.push((Measure::Verdict { camera: camera(), verdict }, minutes as f64));
    }
    let lens = rows.iter().filter_map(|row| row.cameras.get(index)?.lens);
    let minutes = lens.filter(|l| matches!(l, LensState::InFrame | LensState::OnElement)).count();
    all.push((Measure::SunInLens { camera: camera() }, minutes as f64));
}
