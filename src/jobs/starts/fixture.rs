//! A fixture and the starts it may have.
//!
//! In: a date, an earliest and a latest start on the venue's clocks. Out: instants, and
//! with them the runs of play. A time that clocks skip or show twice is no start: which one
//! would be meant is not guessed.

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;

use crate::engine;
use crate::venue::{Play, Venue};

use super::cost::PlayCourse;
use super::list::Freedom;

/// One fixture.
#[derive(Debug, Clone, PartialEq)]
pub struct Fixture {
    /// Empty where nobody gave one.
    pub name: String,
    /// Index of the venue.
    pub venue: usize,
    pub date: NaiveDate,
    /// On the venue's clocks; the same for a fixed start.
    pub earliest: NaiveTime,
    pub latest: NaiveTime,
    pub start: Freedom,
    /// What shifts are counted from.
    pub planned: NaiveTime,
    /// From start to end, as one run of play; the venue's course of play where open.
    pub duration_min: Option<u32>,
}

/// Why starts cannot be ranked.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StartsError {
    #[error(
        "{} {date} at {venue}: found no start from {} to {} that clocks show just once, since \
         they are changed on that day\n  give other times, or another day", name_or("the fixture of", name),
        earliest.format("%H:%M"), latest.format("%H:%M")
    )]
    NoStart { name: String, venue: String, date: NaiveDate, earliest: NaiveTime, latest: NaiveTime },
    #[error(
        "{} {date} at {venue}: found {} planned, which clocks do not show just once, since they \
         are changed on that day\n  plan another time, or another day", name_or("the fixture of", name),
        planned.format("%H:%M")
    )]
    NoPlannedStart { name: String, venue: String, date: NaiveDate, planned: NaiveTime },
    #[error("{count} starts in all, more than {most}; take a longer --every-min or fewer fixtures")]
    TooMany { count: usize, most: usize },
    #[error("no fixture to rank; give dates and times, or a list of fixtures")]
    Nothing,
    #[error("play never runs at {venue}: its moments of play start none")]
    NoPlay { venue: String },
}

fn name_or(words: &str, name: &str) -> String {
    if name.is_empty() { words.to_owned() } else { format!("{name},") }
}

impl Fixture {
    /// Wall-clock starts, `every_min` minutes apart from the earliest on, and what is
    /// planned.
    pub fn times(&self, every_min: u32) -> Vec<NaiveTime> {
        let every = TimeDelta::minutes(i64::from(every_min.max(1)));
        let minutes = (self.latest - self.earliest).num_minutes().max(0);
        let count = minutes / every.num_minutes() + 1;
        let mut times: Vec<NaiveTime> =
            (0..count as i32).map(|i| self.earliest + every * i).collect();
        // what is planned is always looked at, also outside of what may be chosen, so that
        // savings and shifts are counted from nothing else
        if !times.contains(&self.planned) {
            times.push(self.planned);
            times.sort_unstable();
        }
        times
    }

    /// Whether a start is one of those that may be chosen.
    pub fn may_start(&self, at: DateTime<Utc>, zone: Tz) -> bool {
        (self.earliest..=self.latest).contains(&at.with_timezone(&zone).time())
    }

    /// The instants of these starts.
    pub(super) fn starts(&self, zone: Tz, every_min: u32) -> Vec<DateTime<Utc>> {
        let at = |time: NaiveTime| zone.from_local_datetime(&self.date.and_time(time)).single();
        let times = self.times(every_min).into_iter().filter_map(at);
        times.map(|at| at.with_timezone(&Utc)).collect()
    }

    /// From the earliest of its starts to the end of play after the latest.
    pub fn span(&self, venue: &Venue, every_min: u32) -> Option<(DateTime<Utc>, DateTime<Utc>)> {
        let starts = self.starts(venue.place.zone, every_min);
        let (first, last) = (starts.first()?, starts.last()?);
        Some((*first, self.course(venue, *last).ends))
    }

    /// A start with its runs of play.
    pub(super) fn course(&self, venue: &Venue, at: DateTime<Utc>) -> PlayCourse {
        let after = |minutes: u32| at + TimeDelta::minutes(i64::from(minutes));
        if let Some(minutes) = self.duration_min {
            return PlayCourse { at, ends: after(minutes), runs: vec![(at, after(minutes))] };
        }
        let programme = engine::programme(venue);
        let mut runs = Vec::new();
        let mut open = None;
        for moment in &programme.moments {
            match (moment.play, open) {
                (Play::Starts, None) => open = Some(after(moment.after_min)),
                (Play::Stops, Some(from)) => {
                    runs.push((from, after(moment.after_min)));
                    open = None;
                }
                _ => {}
            }
        }
        PlayCourse { at, ends: after(programme.length_min()), runs }
    }
}
