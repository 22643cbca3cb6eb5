//! What changed for a fixture: between two venue files, or between two dates.
//!
//! In: two [`ComparedMatch`]s. Out: the [`Difference`]s that matter and nothing else. What the
//! sun does is compared by the clock on the wall, over the hours of both: a start that
//! moves does not move an edge. What the crew does is compared by the minute of the
//! match. Cameras and marks are the same where their names are.

#[cfg(feature = "cli")]
pub mod command;
pub mod report;

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::camera::{LensState, Rig, Verdict, exposure};
use crate::engine::season::{Season, SeasonRow, Weather};
use crate::jobs::sensitivity::{AnswerEvent, Question, events};
use crate::jobs::starts::glimpse::{WANTED, widest};
use crate::light::{AirByDate, Sky};
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
pub struct ComparedMatch<'a> {
    pub venue: &'a Venue,
    pub start: DateTime<Tz>,
    /// First and last instant that is looked at.
    pub within: (DateTime<Tz>, DateTime<Tz>),
}

/// What is measured.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Measure {
    /// When sun or shade reaches a mark, by the venue's clock: minutes after the clock
    /// shows the new start. `to_sun` says which; `nth` counts from 0 where it happens
    /// several times.
    Mark { name: String, to_sun: bool, nth: usize },
    /// When the sun falls on, or leaves, the lens of a camera, by the venue's clock, as
    /// for marks.
    Lens { camera: String, falls: bool, nth: usize },
    /// First or last minute of the match with sun and shade in the cover of a camera:
    /// minutes after the start of each.
    EdgeInShot { camera: String, first: bool },
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

impl Measure {
    /// Whether it is what the sun does, by the venue's clock; else it is what the crew
    /// does, by the minute of the match.
    pub fn is_of_the_sun(&self) -> bool {
        matches!(self, Self::Mark { .. } | Self::Lens { .. })
    }
}

/// Everything that matters: cameras, then what the sun does, then what the crew does; by
/// the old file's order.
///
/// Splits and minutes are those of the season's engine at every minute under a clear sky;
/// times are found by rays to a tenth of a second.
pub fn changed(old: &ComparedMatch<'_>, new: &ComparedMatch<'_>) -> Vec<Difference> {
    let later = later_on_the_clock(old.start, new.start);
    let (before, after) = (measured(old, later, later), measured(new, -later, TimeDelta::zero()));
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
        Measure::Lens { .. } => 2,
        Measure::Mixed => 3,
        Measure::WidestSplit { .. } => 4,
        Measure::EdgeInShot { .. } => 5,
        Measure::Verdict { .. } => 6,
        Measure::SunInLens { .. } => 7,
    }
}

fn matters(difference: &Difference) -> bool {
    let least = match difference.measure {
        Measure::Mark { .. } | Measure::Lens { .. } | Measure::EdgeInShot { .. } => Some(MOVED_MIN),
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

/// How much later the new start is on the clock on the wall, whatever the day: at most
/// half a day either way.
fn later_on_the_clock(old: DateTime<Tz>, new: DateTime<Tz>) -> TimeDelta {
    const DAY_S: i64 = 86_400;
    let seconds = (new.time() - old.time()).num_seconds();
    TimeDelta::seconds((seconds + DAY_S / 2).rem_euclid(DAY_S) - DAY_S / 2)
}

/// All measures of an occasion. The other one starts `other_later` on the clock, and the
/// new one `new_later`.
fn measured(
    occasion: &ComparedMatch<'_>,
    other_later: TimeDelta,
    new_later: TimeDelta,
) -> Vec<(Measure, f64)> {
    let ComparedMatch { venue, within: (from, until), .. } = *occasion;
    let mut all: Vec<(Measure, f64)> = Vec::new();
    // the hours of both
    let hours = (from.min(from + other_later), until.max(until + other_later));
    let starts = occasion.start.naive_local() + new_later;
    for event in events(venue, hours.0, hours.1) {
        let after_min = (event.at.naive_local() - starts).num_milliseconds() as f64 / 60_000.0;
        if let Some(measure) = of_event(venue, &event, &all) {
            all.push((measure, after_min));
        }
    }
    let weather = Weather { sky: Sky::Clear, air: AirByDate::of_venue(venue) };
    let season = Season::new(venue, weather, WANTED);
    let minutes = (until - from).num_minutes().max(0) as i32;
    let times: Vec<DateTime<Tz>> =
        (0..=minutes).map(|minute| from + TimeDelta::minutes(1) * minute).collect();
    let rows = season.rows(&times);
    let mixed = rows.iter().filter(|row| row.field_is_mixed() == Some(true)).count();
    all.push((Measure::Mixed, mixed as f64));
    let before_start = (occasion.start - from).num_minutes();
    for (index, post) in venue.cameras.iter().enumerate() {
        let counted = Counted { venue, index, name: &post.name, rows: &rows, before_start };
        counted.add(&mut all);
    }
    all
}

fn of_event(venue: &Venue, event: &AnswerEvent, before: &[(Measure, f64)]) -> Option<Measure> {
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

/// A camera over the minutes of its occasion.
struct Counted<'a> {
    venue: &'a Venue,
    index: usize,
    name: &'a str,
    /// A row a minute.
    rows: &'a [SeasonRow],
    /// Minutes from the first row to the start.
    before_start: i64,
}

impl Counted<'_> {
    fn add(&self, all: &mut Vec<(Measure, f64)>) {
        let Self { venue, index, rows, .. } = *self;
        let camera = || self.name.to_owned();
        let Some(post) = venue.cameras.get(index) else { return };
        let rig = Rig::of(&post.exposure).shaded_on(venue.production.as_ref());
        let views = || rows.iter().filter_map(|row| row.cameras.get(index)?.view.as_ref());
        all.push((Measure::Camera { name: camera() }, 1.0));
        if let Some(stops) = views().filter_map(widest).reduce(f64::max) {
            all.push((Measure::WidestSplit { camera: camera() }, stops));
        }
        let in_shot = |row: &SeasonRow| {
            let view = row.cameras.get(index).and_then(|c| c.view.as_ref());
            view.is_some_and(|view| view.turf.state.in_shot().is_some())
        };
        let minute = |place: usize| (place as i64 - self.before_start) as f64;
        for (first, place) in
            [(true, rows.iter().position(in_shot)), (false, rows.iter().rposition(in_shot))]
        {
            let measure = Measure::EdgeInShot { camera: camera(), first };
            all.extend(place.map(|place| (measure, minute(place))));
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
        let minutes =
            lens.filter(|l| matches!(l, LensState::InFrame | LensState::OnElement)).count();
        all.push((Measure::SunInLens { camera: camera() }, minutes as f64));
    }
}
