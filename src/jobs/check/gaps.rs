//! Gaps between stands where the sun slips through.
//!
//! In: what stands at a venue, a date. Out: for each pair of neighbours with a gap
//! between them, the marks of the field that the sun reaches through it, when on the
//! date, and when in its year.
//!
//! A gap is a stretch of the skyline, seen from a mark, that lies at least
//! [`DEEPER_DEG`] under what stands on both sides, two different things of the venue.
//! Masts and the like are too narrow to be a side and are looked past.

use chrono::{DateTime, Datelike, Days, NaiveDate, NaiveTime, TimeDelta, Utc};
use chrono_tz::Tz;
use glam::DVec3;
use rayon::prelude::*;

use crate::base::units::{Azimuth, Elevation};
use crate::engine::surroundings::{SeenInDirection, Surroundings};
use crate::engine::{DEFAULT_EYE_M, stretches};
use crate::solar;
use crate::solar::SunState;
use crate::venue::Occluder;

use super::rims::{SkylineRim, rims};

/// Between azimuths of the skyline, degrees: as wide as the sun.
const STEP_DEG: f64 = 0.5;
/// Both sides of a gap stand higher than its floor by so much, degrees.
pub(super) const DEEPER_DEG: f64 = 2.0;
/// What is narrower is no side of a gap, degrees.
const NARROW_DEG: f64 = 2.5;
/// Across the ground, a side of a gap measures more than this, metres.
const SLIM_M: f64 = 5.0;
/// Heights of the sides count so far from the gap, degrees.
const NEAR_DEG: f64 = 15.0;
/// What is wider is no gap but a side without a stand, degrees.
const MAX_WIDTH_DEG: f64 = 45.0;
/// Lower things that may stand in a gap, such as land, a wall, land.
const MAX_RUNS: usize = 3;
/// The year is looked at in steps of so many minutes, the date in steps of seconds.
const YEAR_STEP_MIN: i64 = 4;
const DATE_STEP_S: i64 = 30;
/// Days without sun through a gap that do not end a span of the year: steps may miss a
/// short passage.
const DAYS_BETWEEN: i64 = 7;

/// A gap between two neighbours.
#[derive(Debug, Clone, PartialEq)]
pub struct SkylineGap {
    /// Left and right side, for someone who looks out: indices into
    /// [`crate::venue::Venue::occluders`].
    pub things: [usize; 2],
    /// Marks that the sun reaches through it, in the order of the field's marks.
    pub from: Vec<GapFrom>,
}

/// A gap as one mark sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct GapFrom {
    pub mark: String,
    /// Left and right end.
    pub azimuths: [Azimuth; 2],
    /// The highest of its floor, and the lower of its two sides.
    pub floor: Elevation,
    pub rim: Elevation,
    /// When the sun slips through on the date.
    pub on_date: Vec<(DateTime<Tz>, DateTime<Tz>)>,
    /// When it does in the year of the date.
    pub in_year: Vec<YearSpan>,
}

/// Days of a year, and the hours of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct YearSpan {
    pub first: NaiveDate,
    pub last: NaiveDate,
    /// Earliest and latest time of day on the venue's clock, to some minutes.
    pub earliest: NaiveTime,
    pub latest: NaiveTime,
}

/// The sun at a time of the year.
struct YearSun {
    at: DateTime<Tz>,
    azimuth: Azimuth,
    elevation: Elevation,
}

/// A stretch of columns that one thing, or the land, is the skyline of.
#[derive(Clone, Copy)]
struct SkylineRun {
    thing: Option<usize>,
    /// First column, counted on past north, and number of columns.
    first: usize,
    count: usize,
}

/// A gap in a skyline.
#[derive(Clone, Copy)]
struct Notch {
    things: [usize; 2],
    first: usize,
    count: usize,
    floor_deg: f64,
    rim_deg: f64,
}

pub(super) fn gaps(surroundings: &Surroundings<'_>, date: NaiveDate) -> Vec<SkylineGap> {
    let venue = surroundings.venue();
    let marks = venue.field.marks.iter().map(|m| (m.name.clone(), DVec3::new(m.at.x, m.at.y, 0.0)));
    let mut marks: Vec<(String, DVec3)> = marks.collect();
    if !marks.iter().any(|(_, at)| at.length() < 0.5) {
        marks.insert(0, ("centre of play".to_owned(), DVec3::ZERO));
    }
    if venue.occluders.len() < 2 {
        return Vec::new();
    }
    let year = year(surroundings, date.year());
    let slim: Vec<bool> = venue.occluders.iter().map(is_slim).collect();
    let seen: Vec<Vec<([usize; 2], GapFrom)>> = marks
        .into_par_iter()
        .map(|(name, at)| {
            from_mark(surroundings, date, (&year, &slim), name, at.with_z(DEFAULT_EYE_M))
        })
        .collect();
    let mut gaps: Vec<SkylineGap> = Vec::new();
    for (things, from) in seen.into_iter().flatten() {
        match gaps.iter_mut().find(|gap| gap.things == things) {
            Some(gap) => gap.from.push(from),
            None => gaps.push(SkylineGap { things, from: vec![from] }),
        }
    }
    gaps
}

/// Whether a thing is a mast or the like.
fn is_slim(occluder: &Occluder) -> bool {
    let points = || occluder.bodies.iter().flat_map(|body| body.shape.points());
    let extent = |of: fn(&DVec3) -> f64| {
        let ends = points().map(of).fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
        ends.1 - ends.0
    };
    extent(|p| p.x).hypot(extent(|p| p.y)) < SLIM_M
}

/// The sun over a year, while it is up.
fn year(surroundings: &Surroundings<'_>, year: i32) -> Vec<YearSun> {
    let venue = surroundings.venue();
    let Some(first) = NaiveDate::from_ymd_opt(year, 1, 1) else { return Vec::new() };
    let start = solar::first_instant(venue.place.zone, first);
    let days = if first.leap_year() { 366 } else { 365 };
    let sun = |minute: i64| {
        let at = start + TimeDelta::minutes(minute);
        let sun = solar::position(&venue.place, at);
        let up = solar::state(&sun, &venue.horizon) == SunState::Up;
        let (azimuth, elevation) = (sun.azimuth, sun.apparent_elevation);
        up.then(|| YearSun { at: at.with_timezone(&venue.place.zone), azimuth, elevation })
    };
    let steps = days * 24 * 60 / YEAR_STEP_MIN;
    (0..steps).into_par_iter().filter_map(|i| sun(i * YEAR_STEP_MIN)).collect()
}

/// The gaps that a mark gets sun through.
fn from_mark(
    surroundings: &Surroundings<'_>,
    date: NaiveDate,
    (year, slim): (&[YearSun], &[bool]),
    mark: String,
    at: DVec3,
) -> Vec<([usize; 2], GapFrom)> {
    let skyline = rims(surroundings, date, at, STEP_DEG);
    let column = |azimuth: Azimuth| (azimuth.degrees() / STEP_DEG) as usize % skyline.len();
    let through = |notch: Notch| {
        let hits = year.iter().filter(|sun| {
            let column = column(sun.azimuth);
            notch.holds(column, skyline.len())
                && sun.elevation.degrees() < notch.rim_deg
                && skyline.get(column).is_some_and(|p| sun.elevation.degrees() > p.elevation_deg)
        });
        let in_year = spans(hits.map(|sun| sun.at));
        if in_year.is_empty() {
            return None;
        }
        let [left, right] = [notch.first, notch.first + notch.count].map(|c| c as f64 * STEP_DEG);
        let from = GapFrom {
            mark: mark.clone(),
            azimuths: [left, right].map(Azimuth::from_degrees),
            floor: Elevation::from_degrees(notch.floor_deg),
            rim: Elevation::from_degrees(notch.rim_deg),
            on_date: on_date(surroundings, date, at, |azimuth, elevation| {
                notch.holds(column(azimuth), skyline.len()) && elevation.degrees() < notch.rim_deg
            }),
            in_year,
        };
        Some((notch, from))
    };
    let found: Vec<(Notch, GapFrom)> =
        notches(&skyline, slim).into_iter().filter_map(through).collect();
    // of one gap within another the inner one has the nearer sides
    let inner =
        |notch: &Notch| !found.iter().any(|(other, _)| notch.contains(other, skyline.len()));
    let inner: Vec<bool> = found.iter().map(|(notch, _)| inner(notch)).collect();
    let kept = found.into_iter().zip(inner).filter(|(_, inner)| *inner);
    kept.map(|((notch, from), _)| (notch.things, from)).collect()
}

impl Notch {
    /// Whether another gap lies within this one.
    fn contains(&self, other: &Self, columns: usize) -> bool {
        let after = (other.first + columns - self.first) % columns;
        self.things != other.things && after + other.count <= self.count
    }

    /// A column to each side is counted in: the edge is somewhere between two.
    fn holds(&self, column: usize, columns: usize) -> bool {
        (column + 2 * columns + 1 - self.first) % columns < self.count + 2
    }
}

/// All gaps of a skyline; `slim` says which things are no side of a gap.
fn notches(skyline: &[SkylineRim], slim: &[bool]) -> Vec<Notch> {
    let levels = looked_past(skyline, slim);
    let runs = joined(levels.iter().map(|level| level.0));
    let (count, columns) = (runs.len(), levels.len());
    let height = |column: usize| levels[column % columns].1;
    let run = |i: usize| runs[i % count];
    let near = (NEAR_DEG / STEP_DEG) as usize;
    let mut found: Vec<Notch> = Vec::new();
    for left in 0..count {
        let Some(left_thing) = run(left).thing else { continue };
        // the nearest right side makes the gap
        let notch = (1..=MAX_RUNS.min(count.saturating_sub(2))).find_map(|inside| {
            let right = run(left + inside + 1);
            let right_thing = right.thing.filter(|thing| *thing != left_thing)?;
            let open = run(left + 1).first;
            let wide = (1..=inside).map(|i| run(left + i).count).sum::<usize>();
            let floor_deg = (open..open + wide).map(height).fold(f64::MIN, f64::max);
            // ends of stands are slanted: columns of each side, outward from the gap
            let before: Vec<usize> =
                (1..=run(left).count.min(near)).map(|i| open + columns - i).collect();
            let after: Vec<usize> = (0..right.count.min(near)).map(|i| open + wide + i).collect();
            let highest = |side: &[usize]| side.iter().map(|c| height(*c)).fold(f64::MIN, f64::max);
            let rim_deg = highest(&before).min(highest(&after));
            let lower = |side: &[usize]| side.iter().take_while(|c| height(**c) < rim_deg).count();
            let (slant, other) = (lower(&before), lower(&after));
            let deep = rim_deg - floor_deg >= DEEPER_DEG;
            (deep && wide as f64 * STEP_DEG <= MAX_WIDTH_DEG).then_some(Notch {
                things: [left_thing, right_thing],
                first: (open + columns - slant) % columns,
                count: slant + wide + other,
                floor_deg,
                rim_deg,
            })
        });
        found.extend(notch);
    }
    found
}

/// Thing and height (degrees) of each column, without what is too narrow to be a side of
/// a gap: there the lower of its neighbours goes on.
fn looked_past(skyline: &[SkylineRim], slim: &[bool]) -> Vec<(Option<usize>, f64)> {
    let columns = skyline.len();
    let narrow = (NARROW_DEG / STEP_DEG) as usize;
    let mut levels: Vec<(Option<usize>, f64)> =
        skyline.iter().map(|p| (p.thing, p.elevation_deg)).collect();
    let runs = joined(levels.iter().map(|level| level.0));
    if runs.len() < 3 {
        return levels;
    }
    for run in runs {
        let Some(thing) = run.thing else { continue };
        let pole = slim.get(thing) == Some(&true);
        let beside = [run.first + columns - 1, run.first + run.count].map(|c| levels[c % columns]);
        let lower = if beside[0].1 <= beside[1].1 { beside[0] } else { beside[1] };
        let own = run.first..run.first + run.count;
        let out = own.clone().all(|c| levels[c % columns].1 > lower.1);
        if out && (pole || run.count <= narrow) {
            for column in own {
                levels[column % columns] = lower;
            }
        }
    }
    levels
}

/// Columns joined where they show the same thing, the first with the last as well; the
/// first run begins where something changes.
fn joined(things: impl IntoIterator<Item = Option<usize>>) -> Vec<SkylineRun> {
    let mut runs: Vec<SkylineRun> = Vec::new();
    for (column, thing) in things.into_iter().enumerate() {
        match runs.last_mut() {
            Some(run) if run.thing == thing => run.count += 1,
            _ => runs.push(SkylineRun { thing, first: column, count: 1 }),
        }
    }
    if runs.len() > 1 && runs.first().map(|r| r.thing) == runs.last().map(|r| r.thing) {
        let first = runs.remove(0);
        if let Some(last) = runs.last_mut() {
            last.count += first.count;
        }
    }
    runs
}

/// When the sun is in a part of the sky on a date and reaches a place.
fn on_date(
    surroundings: &Surroundings<'_>,
    date: NaiveDate,
    at: DVec3,
    inside: impl Fn(Azimuth, Elevation) -> bool,
) -> Vec<(DateTime<Tz>, DateTime<Tz>)> {
    let venue = surroundings.venue();
    let zone = venue.place.zone;
    let from = solar::first_instant(zone, date);
    let next = date.checked_add_days(Days::new(1));
    let until = next.map_or(from + TimeDelta::days(1), |d| solar::first_instant(zone, d));
    let through = |time: DateTime<Utc>| {
        let sun = solar::position(&venue.place, time);
        let (azimuth, elevation) = (sun.azimuth, sun.apparent_elevation);
        solar::state(&sun, &venue.horizon) == SunState::Up
            && inside(azimuth, elevation)
            && surroundings.seen(at, azimuth, elevation) == SeenInDirection::Sky
    };
    let all = stretches(from, until, TimeDelta::seconds(DATE_STEP_S), through);
    let local = |t: DateTime<Utc>| t.with_timezone(&zone);
    all.into_iter().filter(|(_, _, in_gap)| *in_gap).map(|(a, b, _)| (local(a), local(b))).collect()
}

/// Times in order, as spans of days with the hours of each.
fn spans(times: impl Iterator<Item = DateTime<Tz>>) -> Vec<YearSpan> {
    let mut spans: Vec<YearSpan> = Vec::new();
    for at in times {
        let (day, time) = (at.date_naive(), at.time());
        match spans.last_mut() {
            Some(span) if (day - span.last).num_days() <= DAYS_BETWEEN => {
                span.last = day;
                span.earliest = span.earliest.min(time);
                span.latest = span.latest.max(time);
            }
            _ => spans.push(YearSpan { first: day, last: day, earliest: time, latest: time }),
        }
    }
    spans
}
