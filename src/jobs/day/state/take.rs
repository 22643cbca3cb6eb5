//! What each entry does to the state of the day.
//!
//! In: an entry, its time. Out: the state after it, or why the entry means nothing here.
//! T-numbers, ND and corrections in stops, light in lx.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use crate::engine::Programme;
use crate::jobs::day::event::{Event, LogEntry};
use crate::jobs::day::places::StandIn;
use crate::venue::{CameraPost, Venue};

use super::{
    DayState, EdgeSeen, EntryObjection, IrisReading, KnownTime, LightReading, Pause, T_NUMBERS,
};

/// Stops of ND that filter wheels hold.
const ND_STOPS: std::ops::RangeInclusive<f64> = 0.0..=10.0;

/// How far the light of a day may be off the model, stops.
const CORRECTION_STOPS: std::ops::RangeInclusive<f64> = -3.0..=3.0;

/// Light on the ground, lx: from civil dusk to more than the sun ever sends.
const LIGHT_LX: std::ops::RangeInclusive<f64> = 0.1..=200_000.0;

impl DayState {
    /// Makes one entry count.
    pub(super) fn take(
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
            Event::Nd { .. }
            | Event::Iris { .. }
            | Event::CameraOut { .. }
            | Event::CameraBack { .. }
            | Event::CameraSwapped { .. }
            | Event::LensChanged { .. } => self.take_camera(venue, programme, &entry.what, at)?,
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

    /// What happens to a camera of this ground.
    fn take_camera(
        &mut self,
        venue: &Venue,
        programme: &Programme,
        what: &Event,
        at: DateTime<Tz>,
    ) -> Result<(), EntryObjection> {
        match what {
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
            _ => {}
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

pub(in crate::jobs::day) fn insert<T>(
    list: &mut Vec<(DateTime<Tz>, T)>,
    at: DateTime<Tz>,
    value: T,
) {
    let place = list.partition_point(|(before, _)| *before <= at);
    list.insert(place, (at, value));
}

pub(in crate::jobs::day) fn index_of(venue: &Venue, camera: &str) -> Result<usize, EntryObjection> {
    let named = |post: &CameraPost| post.name == camera;
    let index = venue.cameras.iter().position(named);
    index.ok_or_else(|| EntryObjection::NoCamera(camera.to_owned()))
}

pub(in crate::jobs::day) fn within(
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
