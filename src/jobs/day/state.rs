//! The state of the day, from all that was entered.
//!
//! In: entries in order. Out: [`DayState`]. It is worked out from nothing each time, so
//! that taking back an entry is leaving it out.

use std::collections::HashSet;

use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;

use crate::engine::{Conditions, Programme};
use crate::venue::{CameraPost, Venue};

use super::between::{Away, Visit};
use super::correct::Correction;
use super::event::{Event, LightOn, LogEntry, SkyNow};
use super::places::{CameraMove, StandIn};

/// T-numbers that an iris can show.
pub(super) const T_NUMBERS: std::ops::RangeInclusive<f64> = 0.7..=45.0;
/// Stops of ND that filter wheels hold.
const ND_STOPS: std::ops::RangeInclusive<f64> = 0.0..=10.0;
/// How far the light of a day may be off the model, stops.
const CORRECTION_STOPS: std::ops::RangeInclusive<f64> = -3.0..=3.0;
/// Light on the ground, lx: from civil dusk to more than the sun ever sends.
const LIGHT_LX: std::ops::RangeInclusive<f64> = 0.1..=200_000.0;

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

    /// Makes one entry count.
    fn take(
        &mut self,
        venue: &Venue,
        programme: &Programme,
        entry: &LogEntry,
    ) -> Result<(), EntryObjection> {
        let at = entry.at.with_timezone(&Utc).with_timezone(&venue.place.zone);
        match &entry.what {
            Event::Moment { moment, expected, nd_stops, .. } => {
                self.take_moment(programme, *moment, KnownTime { at, expected: *expected })?;
                for (camera, stops) in nd_stops {
                    // a camera that has gone since is no reason to lose the kickoff
                    if let Ok(index) = index_of(venue, camera) {
                        self.cameras[index].nd.push((at, *stops));
                    }
                }
            }
            Event::PlayStopped => {
                if self.pauses.last().is_some_and(|pause| pause.until.is_none()) {
                    return Err(EntryObjection::StoppedAlready);
                }
                self.pauses.push(Pause { from: at, until: None });
            }
            Event::PlayGoesOn => {
                let open = self.pauses.last_mut().filter(|p| p.until.is_none() && p.from <= at);
                open.ok_or(EntryObjection::NotStopped)?.until = Some(at);
            }
            Event::Sky { sky } => insert(&mut self.skies, at, *sky),
            Event::Floodlights { lit } => {
                if venue.floodlights.is_none() {
                    return Err(EntryObjection::NoFloodlights);
                }
                insert(&mut self.floodlights, at, *lit);
            }
            Event::Nd { camera, nd_stops } => {
                within("ND in stops:", *nd_stops, ND_STOPS)?;
                let index = index_of(venue, camera)?;
                insert(&mut self.cameras[index].nd, at, *nd_stops);
            }
            Event::Iris { camera, t_number, light } => {
                within("T-number:", *t_number, T_NUMBERS)?;
                let reading = IrisReading { at, t_number: *t_number, light: *light };
                let index = index_of(venue, camera)?;
                self.cameras[index].iris.push(reading);
            }
            Event::CameraOut { camera } => {
                let index = index_of(venue, camera)?;
                self.is_here(venue, index, at)?;
                self.end_visit(index, at);
                self.cameras[index].out.get_or_insert(at);
                // so is one that came over since
                insert(&mut self.cameras[index].empty, at, true);
                // what is out is what stood in for it
                let stood_in = self.cameras[index].stand_in.take();
                if stood_in.is_some() {
                    insert(&mut self.cameras[index].placed, at, None);
                }
                if let Some(StandIn::Camera(other)) = stood_in {
                    self.cameras[other].out.get_or_insert(at);
                }
                self.note_empty(at);
            }
            Event::CameraBack { camera, nd_stops } => {
                let index = index_of(venue, camera)?;
                self.is_here(venue, index, at)?;
                self.end_visit(index, at);
                self.cameras[index].out = None;
                let mut since = self.end_moves(index, at);
                let back = &mut self.cameras[index];
                if back.stand_in.take().is_some() {
                    since = back.placed.last().map(|(since, _)| *since);
                    insert(&mut back.placed, at, None);
                }
                // what stood in keeps what it had
                if let Some((since, stops)) = since.zip(*nd_stops) {
                    insert(&mut back.nd, since, stops);
                }
                self.note_empty(at);
            }
            Event::CameraSwapped { camera, stand_in, from_moment: Some(moment), .. } => {
                self.come_over(venue, programme, (camera, stand_in), *moment)?;
            }
            Event::CameraSwapped { camera, stand_in, t_number_at_2000_lx, from_moment: None } => {
                self.swap(venue, camera, stand_in, *t_number_at_2000_lx, at)?;
                self.note_empty(at);
            }
            Event::LensChanged { camera, horizontal_fov_deg } => {
                within("field of view in degrees:", *horizontal_fov_deg, 0.2..=170.0)?;
                let index = index_of(venue, camera)?;
                self.cameras[index].horizontal_fov_deg = Some(*horizontal_fov_deg);
            }
            Event::EdgePasses { mark } => {
                if !venue.field.marks.iter().any(|known| known.name == *mark) {
                    return Err(EntryObjection::NoMark(mark.clone()));
                }
                self.edges.push(EdgeSeen { at, mark: mark.clone(), entry: entry.entry });
            }
            Event::Light { sun_lx, shade_lx } => {
                if sun_lx.is_none() && shade_lx.is_none() {
                    return Err(EntryObjection::NoReading);
                }
                for lux in [sun_lx, shade_lx].into_iter().flatten() {
                    within("light in lx:", *lux, LIGHT_LX)?;
                }
                let (sun_lx, shade_lx) = (*sun_lx, *shade_lx);
                self.readings.push(LightReading { at, sun_lx, shade_lx, entry: entry.entry });
            }
            Event::LightCorrected { sky, light } => {
                for stops in [light.sun_stops, light.shade_stops] {
                    within("correction in stops:", stops, CORRECTION_STOPS)?;
                }
                insert(&mut self.corrections, at, (*sky, *light));
            }
            Event::CameraGoesOver { .. }
            | Event::CameraComesOver { .. }
            | Event::CameraGoesHome { .. }
            | Event::CameraLeaves { .. }
            | Event::MoveExpected { .. } => self.take_between(venue, programme, entry)?,
            Event::Undo { .. } => {}
        }
        Ok(())
    }

    /// The time of a moment of play, which must be after those before it and before those
    /// after it.
    fn take_moment(
        &mut self,
        programme: &Programme,
        number: usize,
        known: KnownTime,
    ) -> Result<(), EntryObjection> {
        let name = |i: usize| programme.moments.get(i).map_or_else(String::new, |m| m.name.clone());
        let clock = |at: DateTime<Tz>| at.format("%H:%M:%S").to_string();
        let count = self.moments.len();
        let of = |i: usize| self.moments.get(i).copied().flatten();
        if number >= count {
            return Err(EntryObjection::NoMoment { found: number, count });
        }
        if let Some((i, later)) =
            (number + 1..count).find_map(|i| Some((i, of(i)?))).filter(|(_, l)| l.at < known.at)
        {
            let (earlier, later, at) = (name(number), name(i), clock(later.at));
            return Err(EntryObjection::Order { earlier, later, at });
        }
        if let Some((i, _)) =
            (0..number).rev().find_map(|i| Some((i, of(i)?))).filter(|(_, e)| e.at > known.at)
        {
            let (earlier, later, at) = (name(i), name(number), clock(known.at));
            return Err(EntryObjection::Order { earlier, later, at });
        }
        self.moments[number] = Some(known);
        Ok(())
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

pub(super) fn insert<T>(list: &mut Vec<(DateTime<Tz>, T)>, at: DateTime<Tz>, value: T) {
    let place = list.partition_point(|(before, _)| *before <= at);
    list.insert(place, (at, value));
}

pub(super) fn index_of(venue: &Venue, camera: &str) -> Result<usize, EntryObjection> {
    let named = |post: &CameraPost| post.name == camera;
    let index = venue.cameras.iter().position(named);
    index.ok_or_else(|| EntryObjection::NoCamera(camera.to_owned()))
}

pub(super) fn within(
    what: &'static str,
    found: f64,
    allowed: std::ops::RangeInclusive<f64>,
) -> Result<(), EntryObjection> {
    let (least, most) = (*allowed.start(), *allowed.end());
    match allowed.contains(&found) {
        true => Ok(()),
        false => Err(EntryObjection::Range { what, found, least, most }),
    }
}
