//! Cameras that go over to other grounds of the same day, and those that come from there.
//!
//! In: entries of who leads the day; each has a line in the logs of both grounds, with the
//! same id. Out: who is away and who visits, from when to when. Each log has all that its own
//! ground needs: where the other ground's play decides when, the time is written down here
//! whenever it changes there. Cameras by index.

use chrono::{DateTime, FixedOffset, Utc};
use chrono_tz::Tz;

use crate::engine::{Milestone, Programme};
use crate::venue::{StatedExposure, Venue};

use super::event::{Event, LogEntry};
use super::state::{DayState, EntryObjection, index_of, insert};

/// When a camera goes over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GoesAt {
    Time(DateTime<Tz>),
    /// A moment of play of this ground, by its number.
    Moment(usize),
    /// A moment of play of the other ground, expected then.
    Elsewhere(DateTime<Tz>),
}

impl GoesAt {
    /// The time, with the milestones of the day.
    pub fn time(self, stones: &[Milestone]) -> Option<DateTime<Tz>> {
        match self {
            Self::Time(at) | Self::Elsewhere(at) => Some(at),
            Self::Moment(moment) => stones.get(moment).map(|stone| stone.at),
        }
    }
}

/// A camera of this ground that goes over to another.
#[derive(Debug, Clone, PartialEq)]
pub struct Away {
    pub camera: usize,
    /// The same in the log of the other ground.
    pub moved: String,
    pub ground: String,
    pub place: String,
    pub from: GoesAt,
    /// Since when it is home again.
    pub home: Option<DateTime<Tz>>,
}

/// A camera of another ground at a place of this one.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    pub place: usize,
    pub moved: String,
    pub ground: String,
    pub camera: String,
    pub exposure: Box<StatedExposure>,
    pub from: GoesAt,
    pub until: Option<DateTime<Tz>>,
}

impl Event {
    /// The id that lines of two grounds have in common, and whether the other line follows
    /// this one; `None` for what is of one ground alone.
    pub fn between_grounds(&self) -> Option<(&str, bool)> {
        match self {
            Self::CameraGoesOver { moved, .. } | Self::CameraGoesHome { moved, .. } => {
                Some((moved.as_str(), true))
            }
            Self::CameraComesOver { moved, .. } | Self::CameraLeaves { moved, .. } => {
                Some((moved.as_str(), false))
            }
            _ => None,
        }
    }

    /// Whether only the server writes it, or who leads all grounds.
    pub fn is_of_the_day(&self) -> bool {
        self.between_grounds().is_some() || matches!(self, Self::MoveExpected { .. })
    }
}

impl DayState {
    /// Where a camera has gone, or will go.
    pub fn away(&self, camera: usize) -> Option<&Away> {
        self.away.iter().find(|away| away.camera == camera && away.home.is_none())
    }

    /// What has come to a place from another ground, or will come.
    pub fn visit(&self, place: usize) -> Option<&Visit> {
        self.visits.iter().find(|visit| visit.place == place && visit.until.is_none())
    }

    /// Takes an entry about cameras between grounds.
    pub(super) fn take_between(
        &mut self,
        venue: &Venue,
        programme: &Programme,
        entry: &LogEntry,
    ) -> Result<(), EntryObjection> {
        let here =
            |at: &DateTime<FixedOffset>| at.with_timezone(&Utc).with_timezone(&venue.place.zone);
        let at = here(&entry.at);
        match &entry.what {
            Event::CameraGoesOver {
                camera,
                to_ground,
                to_place,
                moved,
                from_moment,
                expected,
                ..
            } => {
                let camera = self.free(venue, camera)?;
                let from =
                    self.goes_at(programme, at, *from_moment, expected.as_ref().map(here))?;
                let (moved, ground, place) = (moved.clone(), to_ground.clone(), to_place.clone());
                self.away.push(Away { camera, moved, ground, place, from, home: None });
            }
            Event::CameraGoesHome { camera, ends, .. } => {
                let index = index_of(venue, camera)?;
                let is_it = |away: &&mut Away| away.moved == *ends && away.home.is_none();
                let away = self.away.iter_mut().find(is_it);
                away.ok_or_else(|| EntryObjection::NotAway(camera.clone()))?.home = Some(at);
                let place = &mut self.cameras[index];
                place.out = None;
                if place.stand_in.take().is_some() {
                    insert(&mut place.placed, at, None);
                }
                self.note_empty(at);
            }
            Event::CameraComesOver {
                camera,
                from_ground,
                from_camera,
                moved,
                exposure,
                from_moment,
                expected,
            } => {
                let place = index_of(venue, camera)?;
                let from =
                    self.goes_at(programme, at, *from_moment, expected.as_ref().map(here))?;
                if let Some(visit) = self.visit(place) {
                    let (place, visitor) = (camera.clone(), visit.camera.clone());
                    return Err(EntryObjection::HasVisitor { place, visitor });
                }
                let is_empty = self.is_out(place) || self.away(place).is_some();
                match (from, is_empty) {
                    (GoesAt::Moment(_) | GoesAt::Elsewhere(_), false) => {
                        return Err(EntryObjection::NotEmpty(camera.clone()));
                    }
                    // what stood in for it makes room
                    (GoesAt::Time(_), false) if self.cameras[place].stand_in.take().is_some() => {
                        self.note_empty(at);
                    }
                    _ => {}
                }
                self.visits.push(Visit {
                    place,
                    moved: moved.clone(),
                    ground: from_ground.clone(),
                    camera: from_camera.clone(),
                    exposure: exposure.clone(),
                    from,
                    until: None,
                });
            }
            Event::CameraLeaves { camera, ends, .. } => {
                let place = index_of(venue, camera)?;
                let is_it = |visit: &&mut Visit| visit.moved == *ends && visit.until.is_none();
                // something else may have taken the place since
                if let Some(visit) = self.visits.iter_mut().find(is_it) {
                    visit.until = Some(at);
                    if self.is_out(place) {
                        insert(&mut self.cameras[place].empty, at, true);
                    }
                }
            }
            Event::MoveExpected { moved, expected } => {
                let away = self.away.iter_mut().filter(|a| a.moved == *moved).map(|a| &mut a.from);
                let visits = self.visits.iter_mut().filter(|v| v.moved == *moved);
                for from in away.chain(visits.map(|v| &mut v.from)) {
                    if let GoesAt::Elsewhere(at) = from {
                        *at = here(expected);
                    }
                }
            }
            _ => {}
        }
        Ok(())
    }

    /// A camera that works in its own place, and at no other.
    fn free(&self, venue: &Venue, camera: &str) -> Result<usize, EntryObjection> {
        let index = index_of(venue, camera)?;
        if let Some(away) = self.away(index) {
            let (camera, ground) = (camera.to_owned(), away.ground.clone());
            return Err(EntryObjection::Away { camera, ground });
        }
        let here = &self.cameras[index];
        let is_used = here.out.is_some()
            || here.stand_in.is_some()
            || self.visit(index).is_some()
            || self.stands_in_for(index).is_some()
            || self.moves.iter().any(|one| one.is_on() && one.comes == index);
        match is_used {
            true => Err(EntryObjection::InUse(camera.to_owned())),
            false => Ok(index),
        }
    }

    fn goes_at(
        &self,
        programme: &Programme,
        at: DateTime<Tz>,
        moment: Option<usize>,
        elsewhere: Option<DateTime<Tz>>,
    ) -> Result<GoesAt, EntryObjection> {
        let Some(moment) = moment else {
            return Ok(elsewhere.map_or(GoesAt::Time(at), GoesAt::Elsewhere));
        };
        let count = self.moments.len();
        let name = programme.moments.get(moment).map(|m| m.name.clone());
        let name = name.ok_or(EntryObjection::NoMoment { found: moment, count })?;
        match self.moments.get(moment).copied().flatten().is_some_and(|known| !known.expected) {
            true => Err(EntryObjection::HasBeen(name)),
            false => Ok(GoesAt::Moment(moment)),
        }
    }

    /// Whether something has gone over by a time that has come.
    fn has_begun(&self, from: GoesAt, at: DateTime<Tz>) -> bool {
        match from {
            GoesAt::Time(from) | GoesAt::Elsewhere(from) => from <= at,
            GoesAt::Moment(moment) => {
                let known = self.moments.get(moment).copied().flatten();
                known.is_some_and(|known| !known.expected && known.at <= at)
            }
        }
    }

    /// Refuses an entry about a camera that works at another ground.
    pub(super) fn is_here(
        &self,
        venue: &Venue,
        camera: usize,
        at: DateTime<Tz>,
    ) -> Result<(), EntryObjection> {
        match self.away(camera).filter(|away| self.has_begun(away.from, at)) {
            Some(away) => Err(EntryObjection::Away {
                camera: venue.cameras[camera].name.clone(),
                ground: away.ground.clone(),
            }),
            None => Ok(()),
        }
    }

    /// Something else is at a place now.
    pub(super) fn end_visit(&mut self, place: usize, at: DateTime<Tz>) {
        let begun: Vec<bool> =
            self.visits.iter().map(|visit| self.has_begun(visit.from, at)).collect();
        let open = self.visits.iter_mut().zip(begun);
        for (visit, _) in open.filter(|(v, begun)| *begun && v.place == place && v.until.is_none())
        {
            visit.until = Some(at);
        }
    }

    /// Adds to the changes of each place what comes and goes between grounds.
    pub(super) fn between(&self, changes: &mut [Vec<(DateTime<Tz>, bool)>], stones: &[Milestone]) {
        for away in &self.away {
            let Some(from) = away.from.time(stones) else { continue };
            if away.home.is_some_and(|home| home <= from) {
                continue;
            }
            let (day, changes) = (&self.cameras[away.camera], &mut changes[away.camera]);
            insert(changes, from, true);
            if day.stand_in.is_some() {
                insert(changes, day.out.map_or(from, |out| out.max(from)), false);
            }
            if let Some(home) = away.home {
                insert(changes, home, false);
            }
        }
        for visit in &self.visits {
            let Some(from) = visit.from.time(stones) else { continue };
            if visit.until.is_none_or(|until| from < until) {
                insert(&mut changes[visit.place], from, false);
            }
        }
    }
}
