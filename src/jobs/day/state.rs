//! The state of the day, from all that was entered.
//!
//! In: entries in order. Out: [`DayState`]. It is worked out from nothing each time, so
//! that taking back an entry is leaving it out.

mod take;

use std::collections::HashSet;

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::engine::{Conditions, Programme};
use crate::venue::Venue;

use super::between::{Away, Visit};
use super::correct::Correction;
use super::event::{Event, LightOn, LogEntry, SkyNow};
use super::places::{CameraMove, StandIn};

pub(super) use take::{index_of, insert, within};

/// T-numbers that an iris can show.
pub(super) const T_NUMBERS: std::ops::RangeInclusive<f64> = 0.7..=45.0;
/// What passes is taken to last so long from now: plans have an instant each minute, and the
/// next one is what screens show as now.
pub(super) const PRESENT: TimeDelta = TimeDelta::minutes(1);

/// A time that is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct KnownTime {
    pub at: DateTime<Tz>,
    /// Whether it is only announced.
    pub expected: bool,
}

/// A stop of play where no break is due.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pause {
    pub from: DateTime<Tz>,
    /// `None` while it lasts.
    pub until: Option<DateTime<Tz>>,
}

/// Where an iris was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IrisReading {
    pub at: DateTime<Tz>,
    pub t_number: f64,
    pub light: Option<LightOn>,
}

/// A camera on the day.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CameraDay {
    /// Since when it is out.
    pub out: Option<DateTime<Tz>>,
    pub stand_in: Option<StandIn>,
    /// What is at its place since when, in order of time; `None` is the camera itself.
    pub placed: Vec<(DateTime<Tz>, Option<StandIn>)>,
    /// Since when its place is empty, or served again, in order of time.
    pub empty: Vec<(DateTime<Tz>, bool)>,
    /// The lens that is on it, where it was changed.
    pub horizontal_fov_deg: Option<f64>,
    /// ND that was said to be in, stops, in order.
    pub nd: Vec<(DateTime<Tz>, f64)>,
    /// In order.
    pub iris: Vec<IrisReading>,
}

/// An edge that was seen to pass a mark.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeSeen {
    pub at: DateTime<Tz>,
    pub mark: String,
    pub entry: u64,
}

/// What a light meter showed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LightReading {
    pub at: DateTime<Tz>,
    pub sun_lx: Option<f64>,
    pub shade_lx: Option<f64>,
    pub entry: u64,
}

/// Why an entry means nothing here.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum EntryObjection {
    #[error("there is no camera \"{0}\" in the venue file")]
    NoCamera(String),
    #[error("there is no mark \"{0}\" on the field")]
    NoMark(String),
    #[error("the match has {count} moments, no number {found}")]
    NoMoment { found: usize, count: usize },
    #[error("{what} found {found}; allowed: {least} to {most}")]
    Range { what: &'static str, found: f64, least: f64, most: f64 },
    #[error("{later} was at {at}; {earlier} cannot be after that")]
    Order { earlier: String, later: String, at: String },
    #[error("the venue file states no floodlights; add [floodlights]")]
    NoFloodlights,
    #[error("play is not stopped")]
    NotStopped,
    #[error("play is stopped already")]
    StoppedAlready,
    #[error("camera \"{0}\" is in use")]
    InUse(String),
    #[error("camera \"{0}\" works until then; enter it as out first")]
    NotEmpty(String),
    #[error("camera \"{camera}\" goes to {ground}; who leads the day brings it home first")]
    Away { camera: String, ground: String },
    #[error("camera \"{0}\" is at no other ground")]
    NotAway(String),
    #[error("camera \"{visitor}\" of another ground comes to \"{place}\" already")]
    HasVisitor { place: String, visitor: String },
    #[error("{0} has been; let the camera take over now")]
    HasBeen(String),
    #[error("there is no entry {0} to take back")]
    NoEntry(u64),
    #[error("a reading needs a number in sun, in shade, or both")]
    NoReading,
}

/// The day as it is.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct DayState {
    /// Number of the last entry; 0 before the first.
    pub last_entry: u64,
    /// Real or announced times, in the order of the moments of play.
    pub moments: Vec<Option<KnownTime>>,
    /// In order of time.
    pub pauses: Vec<Pause>,
    /// Since when the sky is as it is, in order of time.
    pub skies: Vec<(DateTime<Tz>, SkyNow)>,
    /// Since when floodlights are lit or off, in order of time.
    pub floodlights: Vec<(DateTime<Tz>, bool)>,
    /// In the order of [`Venue::cameras`].
    pub cameras: Vec<CameraDay>,
    /// Cameras that come over to another place.
    pub moves: Vec<CameraMove>,
    /// Cameras that go over to other grounds.
    pub away: Vec<Away>,
    /// Cameras of other grounds that come to places of this one.
    pub visits: Vec<Visit>,
    pub edges: Vec<EdgeSeen>,
    pub readings: Vec<LightReading>,
    /// Accepted corrections of the light, each for one sky, in order of time.
    pub corrections: Vec<(DateTime<Tz>, (SkyNow, Correction))>,
    /// Entries that were taken back, rising.
    pub taken_back: Vec<u64>,
    /// Entries that mean nothing here: of a file that has changed since.
    pub objections: Vec<(u64, EntryObjection)>,
}

impl DayState {
    /// Before anything has happened.
    pub fn new(venue: &Venue, programme: &Programme) -> Self {
        Self {
            moments: vec![None; programme.moments.len()],
            cameras: vec![CameraDay::default(); venue.cameras.len()],
            ..Self::default()
        }
    }

    /// After some entries, in their order. An entry that means nothing is left out and
    /// listed in [`DayState::objections`].
    pub fn replay(venue: &Venue, programme: &Programme, entries: &[LogEntry]) -> Self {
        let mut state = Self::new(venue, programme);
        let struck = struck(entries);
        for entry in entries {
            state.last_entry = state.last_entry.max(entry.entry);
            if struck.contains(&entry.entry) || matches!(entry.what, Event::Undo { .. }) {
                continue;
            }
            if let Err(objection) = state.take(venue, programme, entry) {
                state.objections.push((entry.entry, objection));
            }
        }
        state.taken_back = struck.into_iter().collect();
        state.taken_back.sort_unstable();
        state
    }

    /// Whether an entry may follow these.
    ///
    /// # Errors
    /// [`EntryObjection`] says why not.
    pub fn allows(
        venue: &Venue,
        programme: &Programme,
        entries: &[LogEntry],
        next: &LogEntry,
    ) -> Result<(), EntryObjection> {
        if let Event::Undo { entry } = next.what {
            let known = entries.iter().any(|known| known.entry == entry);
            return if known { Ok(()) } else { Err(EntryObjection::NoEntry(entry)) };
        }
        Self::replay(venue, programme, entries).take(venue, programme, next)
    }

    /// What sky and floodlights do at a time, for the light of that instant. A cloud that
    /// passes counts as long as it is there, and for less than a minute ahead of `now`.
    pub fn conditions(&self, at: DateTime<Tz>, now: DateTime<Tz>) -> Conditions {
        let lit = self.floodlights.iter().rev().find(|(since, _)| *since <= at.min(now));
        Conditions { sky: self.planned_sky(at, now).sky(), lit: lit.map(|(_, lit)| *lit) }
    }

    /// The sky that an instant is planned under.
    pub fn planned_sky(&self, at: DateTime<Tz>, now: DateTime<Tz>) -> SkyNow {
        let mut skies = self.skies.iter().rev().filter(|(since, _)| *since <= at.min(now));
        let sky = skies.find(|(_, sky)| at < now + PRESENT || !sky.passes());
        sky.map_or(SkyNow::Clear, |(_, sky)| *sky)
    }

    /// The sky at a time that has come.
    pub fn sky_at(&self, at: DateTime<Tz>) -> SkyNow {
        let mut before = self.skies.iter().rev().filter(|(since, _)| *since <= at);
        before.next().map_or(SkyNow::Clear, |(_, sky)| *sky)
    }

    /// How much the light at a time is corrected, under a sky.
    pub fn correction(&self, at: DateTime<Tz>, sky: SkyNow) -> Correction {
        let mut before = self.corrections.iter().rev().filter(|(since, _)| *since <= at);
        before.find(|(_, (of, _))| *of == sky).map_or_else(Correction::default, |(_, (_, c))| *c)
    }

    /// The sky now.
    pub fn sky(&self) -> SkyNow {
        self.skies.last().map_or(SkyNow::Clear, |(_, sky)| *sky)
    }
}

/// Entries that are taken back: an undo counts unless a later one takes it back.
fn struck(entries: &[LogEntry]) -> HashSet<u64> {
    let mut struck = HashSet::new();
    for entry in entries.iter().rev().filter(|entry| matches!(entry.what, Event::Undo { .. })) {
        if let (Event::Undo { entry: of }, false) = (&entry.what, struck.contains(&entry.entry)) {
            struck.insert(*of);
        }
    }
    struck
}
