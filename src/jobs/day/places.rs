//! Who works at which place: cameras that are out, that stand in for others, that come over.
//!
//! In: entries about cameras, the milestones of the day. Out: who is where, and from when to
//! when nobody is ([`Absence`]). Cameras by index.

use chrono::DateTime;
use chrono_tz::Tz;

use crate::engine::{Milestone, Programme};
use crate::jobs::crew::Absence;
use crate::venue::{StatedExposure, Venue};

use super::state::{CameraDay, DayState, EntryObjection, T_NUMBERS, index_of, insert, within};

/// What stands in for a camera.
#[derive(Debug, Clone, PartialEq)]
pub enum StandIn {
    /// Another camera of the file, by index.
    Camera(usize),
    /// A spare that the file does not know.
    Spare { name: String, t_number_at_2000_lx: Option<f64> },
    /// A camera of another ground of the day.
    Visitor(Box<StatedExposure>),
}

/// A camera that comes over to another place at a moment of play.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CameraMove {
    /// The place.
    pub camera: usize,
    /// The camera, which leaves its own.
    pub comes: usize,
    /// By its number in the course of play.
    pub moment: usize,
    /// Since when it is over: the place has its own camera, or another.
    pub until: Option<DateTime<Tz>>,
}

impl CameraMove {
    /// Whether it is to come, or has come and lasts.
    pub fn is_on(&self) -> bool {
        self.until.is_none()
    }
}

impl DayState {
    /// Whether a camera is out, or stands in for another, with nothing in its own place.
    pub fn is_out(&self, camera: usize) -> bool {
        self.cameras.get(camera).is_some_and(|c| c.out.is_some() && c.stand_in.is_none())
            || self.stands_in_for(camera).is_some()
    }

    /// The place that a camera has taken over.
    pub fn stands_in_for(&self, camera: usize) -> Option<usize> {
        let taken = |c: &CameraDay| c.stand_in == Some(StandIn::Camera(camera));
        self.cameras.iter().position(taken)
    }

    /// When nobody works at a place, with the milestones of the day.
    pub fn absences(&self, stones: &[Milestone]) -> Vec<Absence> {
        let mut changes: Vec<Vec<(DateTime<Tz>, bool)>> =
            self.cameras.iter().map(|camera| camera.empty.clone()).collect();
        for one in &self.moves {
            let Some(at) = stones.get(one.moment).map(|stone| stone.at) else { continue };
            // one that is out itself does not come
            if is_empty_at(&self.cameras[one.comes].empty, at) {
                continue;
            }
            insert(&mut changes[one.camera], at, false);
            insert(&mut changes[one.comes], at, true);
            if let Some(until) = one.until {
                insert(&mut changes[one.comes], until, false);
            }
        }
        self.between(&mut changes, stones);
        let of = |(camera, changes): (usize, Vec<(DateTime<Tz>, bool)>)| {
            let mut all: Vec<Absence> = Vec::new();
            for (at, is_empty) in changes {
                let open = all.last_mut().filter(|last| last.until.is_none());
                match (open, is_empty) {
                    (Some(open), false) => open.until = Some(at),
                    (None, true) => all.push(Absence { camera, from: at, until: None }),
                    _ => {}
                }
            }
            all
        };
        changes.into_iter().enumerate().flat_map(of).collect()
    }

    /// What is at the place of a camera since when, with the milestones of the day: camera,
    /// time, and what has come; `None` is the camera itself.
    pub fn placed(&self, stones: &[Milestone]) -> Vec<(usize, DateTime<Tz>, Option<StandIn>)> {
        let cameras = self.cameras.iter().enumerate();
        let swaps = cameras.flat_map(|(camera, day)| {
            day.placed.iter().map(move |(at, stand_in)| (camera, *at, stand_in.clone()))
        });
        let moves = self.moves.iter().filter_map(|one| Some((one, stones.get(one.moment)?.at)));
        let moves = moves.flat_map(|(one, at)| {
            let comes = (one.camera, at, Some(StandIn::Camera(one.comes)));
            std::iter::once(comes).chain(one.until.map(|until| (one.camera, until, None)))
        });
        let visits = self.visits.iter().filter_map(|visit| Some((visit, visit.from.time(stones)?)));
        let lasting = visits.filter(|(visit, at)| visit.until.is_none_or(|until| *at < until));
        let visits = lasting.flat_map(|(visit, at)| {
            let stand_in = StandIn::Visitor(visit.exposure.clone());
            let leaves = visit.until.map(|until| (visit.place, until, None));
            std::iter::once((visit.place, at, Some(stand_in))).chain(leaves)
        });
        // what takes a place is later than what leaves it at the same time
        let mut all: Vec<_> = visits.chain(moves).chain(swaps).collect();
        all.sort_by_key(|(_, at, _)| *at);
        all
    }

    /// The ND that was said to be in what is at the place of a camera now, stops.
    pub fn nd_in(&self, camera: usize, stones: &[Milestone], now: DateTime<Tz>) -> Option<f64> {
        let placed = self.placed(stones);
        let since = placed.iter().filter(|(of, at, _)| *of == camera && *at <= now);
        let since = since.map(|(_, at, _)| *at).max();
        let last = self.cameras.get(camera)?.nd.last()?;
        since.is_none_or(|since| since <= last.0).then_some(last.1)
    }

    /// Ends what has come over to a place, and says since when it was there; what was only to
    /// come does not.
    pub(super) fn end_moves(&mut self, place: usize, at: DateTime<Tz>) -> Option<DateTime<Tz>> {
        let ends = |one: &&CameraMove| one.camera == place && one.is_on();
        let ending = self.moves.iter().find(ends).copied()?;
        self.moves.retain(|one| *one != ending);
        let known = self.moments.get(ending.moment).copied().flatten();
        let come = known.filter(|known| !known.expected && known.at <= at)?;
        self.moves.push(CameraMove { until: Some(at), ..ending });
        Some(come.at)
    }

    /// Notes which places have become empty, or are served again.
    pub(super) fn note_empty(&mut self, at: DateTime<Tz>) {
        for camera in 0..self.cameras.len() {
            let is_empty = self.is_out(camera);
            let changes = &mut self.cameras[camera].empty;
            let was_empty = changes.last().is_some_and(|(_, last)| *last);
            if was_empty != is_empty {
                insert(changes, at, is_empty);
            }
        }
    }

    /// Lets a camera, or a spare, take a place now.
    pub(super) fn swap(
        &mut self,
        venue: &Venue,
        camera: &str,
        stand_in: &str,
        t_number_at_2000_lx: Option<f64>,
        at: DateTime<Tz>,
    ) -> Result<(), EntryObjection> {
        let index = index_of(venue, camera)?;
        if let Some(t) = t_number_at_2000_lx {
            within("T-number at 2000 lx:", t, T_NUMBERS)?;
        }
        let other = index_of(venue, stand_in).ok().filter(|other| *other != index);
        let stand_in = match other {
            Some(other) => {
                if self.is_taken(other, index) {
                    return Err(EntryObjection::InUse(stand_in.to_owned()));
                }
                StandIn::Camera(other)
            }
            None => StandIn::Spare { name: stand_in.to_owned(), t_number_at_2000_lx },
        };
        self.end_visit(index, at);
        let camera = &mut self.cameras[index];
        camera.out.get_or_insert(at);
        // which has another filter in
        insert(&mut camera.placed, at, Some(stand_in.clone()));
        camera.stand_in = Some(stand_in);
        self.end_moves(index, at);
        Ok(())
    }

    /// Whether a camera cannot go to a place: it is out, or at another, or will be.
    fn is_taken(&self, other: usize, place: usize) -> bool {
        self.cameras[other].stand_in.is_some()
            || self.cameras[other].out.is_some()
            || self.away(other).is_some()
            || self.stands_in_for(other).is_some_and(|at| at != place)
            || self.moves.iter().any(|one| one.is_on() && one.comes == other && one.camera != place)
    }

    /// Lets a camera come over to an empty place at a moment of play.
    pub(super) fn come_over(
        &mut self,
        venue: &Venue,
        programme: &Programme,
        (place, comes): (&str, &str),
        moment: usize,
    ) -> Result<(), EntryObjection> {
        let (camera, other) = (index_of(venue, place)?, index_of(venue, comes)?);
        let count = self.moments.len();
        let name = programme.moments.get(moment).map(|m| m.name.clone());
        let name = name.ok_or(EntryObjection::NoMoment { found: moment, count })?;
        if self.moments.get(moment).copied().flatten().is_some_and(|known| !known.expected) {
            return Err(EntryObjection::HasBeen(name));
        }
        if !self.is_out(camera) && self.away(camera).is_none() {
            return Err(EntryObjection::NotEmpty(place.to_owned()));
        }
        if camera == other || self.is_taken(other, camera) {
            return Err(EntryObjection::InUse(comes.to_owned()));
        }
        self.moves.retain(|one| one.camera != camera || !one.is_on());
        self.moves.push(CameraMove { camera, comes: other, moment, until: None });
        Ok(())
    }
}

fn is_empty_at(changes: &[(DateTime<Tz>, bool)], at: DateTime<Tz>) -> bool {
    changes.iter().rev().find(|(since, _)| *since <= at).is_some_and(|(_, is_empty)| *is_empty)
}
