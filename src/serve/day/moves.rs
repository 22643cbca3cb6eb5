//! Cameras that move between the grounds of a day.
//!
//! In: what the lead of the day asks. Out: a line in the logs of both grounds, which have an
//! id in common. The log of the ground that a camera is of leads, and the other follows it:
//! [`Grounds::settle`] writes what a log lacks, after an entry was taken back, after a moment
//! of play has moved, after a crash between the two lines.

use std::sync::{Arc, PoisonError};

use axum::extract::{Extension, State};
use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use serde::Deserialize;
use serde_json::json;

use crate::engine::Milestone;
use crate::jobs::day::{Event, GoesAt, LogEntry, Person, milestones};
use crate::serve::events::Event as Report;
use crate::serve::grounds::{Grounds, OneGround};
use crate::serve::problem::Refused;
use crate::serve::routes::{Answer, Sent, answer};
use crate::serve::{Live, Work};

use super::Open;
use super::clock::Clock;

/// Random bytes of an id: a day has a few dozen.
const ID_BYTES: usize = 6;

/// What the lead of the day asks. Grounds by their addresses.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::serve) struct NewMove {
    from: String,
    camera: String,
    /// Home, where it is left out.
    to: Option<Target>,
    /// Now, where it is left out.
    moment: Option<AtMoment>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Target {
    ground: String,
    place: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct AtMoment {
    /// One of the two.
    ground: String,
    /// By its number in the course of play there.
    moment: usize,
}

/// A line of the log that another ground's log follows.
struct Leading {
    moved: String,
    /// The name of the other ground.
    other: String,
    /// What its log is to say.
    line: Event,
    at: DateTime<FixedOffset>,
    by: Person,
    taken_back: bool,
    /// When the camera goes, where this ground's play decides.
    decides: Option<DateTime<Tz>>,
}

impl Grounds {
    fn at_address(&self, address: &str) -> Result<&OneGround, Refused> {
        let found = self.all().iter().find(|one| one.address == address);
        found.ok_or_else(|| Refused::NotFound("there is no such ground in this day".to_owned()))
    }

    /// Enters a move: into the log of the camera's own ground, where the other allows it.
    ///
    /// # Errors
    /// [`Refused`] where either ground does not; nothing is written then.
    fn enter_move(&self, sent: &NewMove, by: &Person) -> Result<(), Refused> {
        let _one = self.moving.lock().unwrap_or_else(PoisonError::into_inner);
        let from = self.at_address(&sent.from)?;
        let line = match &sent.to {
            Some(target) => self.goes_over(sent, target)?,
            None => from.live.with_day(|day, _| day.goes_home(&sent.camera))?,
        };
        let followed = from.live.with_day(|day, _| Ok(day.followed(&from.name, &line)))?;
        let (other, follows) = followed
            .ok_or_else(|| Refused::input(format!("there is no camera \"{}\"", sent.camera)))?;
        let gone = || Refused::NotFound(format!("there is no ground \"{other}\" in this day"));
        let other = self.named(&other).ok_or_else(gone)?;
        other.live.with_day(|day, live| day.allows(&follows, &live.day.clock))?;
        from.live.with_day(|day, live| day.enter_now(line, &live.day.clock, by))
    }

    fn goes_over(&self, sent: &NewMove, target: &Target) -> Result<Event, Refused> {
        let to = self.at_address(&target.ground)?;
        if target.ground == sent.from {
            let text = "within a ground, enter it on the camera whose place is taken over";
            return Err(Refused::input(text));
        }
        let (mut from_moment, mut to_moment, mut expected) = (None, None, None);
        if let Some(AtMoment { ground, moment }) = &sent.moment {
            if *ground == sent.from {
                from_moment = Some(*moment);
            } else if *ground == target.ground {
                let stone = to.live.with_day(|day, _| Ok(day.stones().get(*moment).cloned()))?;
                let none = || Refused::input("that ground's match has no such moment");
                expected = Some(stone.ok_or_else(none)?.at.fixed_offset());
                to_moment = Some(*moment);
            } else {
                return Err(Refused::input("send a moment of one of the two grounds"));
            }
        }
        Ok(Event::CameraGoesOver {
            camera: sent.camera.clone(),
            to_ground: to.name.clone(),
            to_place: target.place.clone(),
            moved: new_id()?,
            from_moment,
            to_moment,
            expected,
        })
    }

    /// Takes back a move, or brings back one that was taken back, in both grounds.
    ///
    /// # Errors
    /// [`Refused`] where it cannot be written.
    pub(in crate::serve) fn take_back(&self, moved: &str, by: &Person) -> Result<(), Refused> {
        let _one = self.moving.lock().unwrap_or_else(PoisonError::into_inner);
        // the line that leads; one whose partner is gone stands by itself
        for leads in [true, false] {
            for one in self.all() {
                let flipped = one.live.with_day(|day, live| {
                    let number = day.line_of(moved, leads).map(|entry| entry.entry);
                    let Some(number) = number else { return Ok(false) };
                    day.flip(number, &live.day.clock, by)?;
                    Ok(true)
                });
                match flipped {
                    Ok(true) => return Ok(()),
                    Ok(false) => {}
                    // a file with mistakes has no day
                    Err(Refused::NotFound(_)) => {}
                    Err(refused) => return Err(refused),
                }
            }
        }
        Err(Refused::NotFound("this move is in no log of the day".to_owned()))
    }

    /// Writes into logs what they lack of what others lead; grounds with new entries, each
    /// with the number of its last.
    pub(in crate::serve) fn settle(&self) -> Vec<(Arc<Live>, u64)> {
        let _one = self.moving.lock().unwrap_or_else(PoisonError::into_inner);
        let mut changed: Vec<(Arc<Live>, u64)> = Vec::new();
        let mut note = |one: &OneGround, entry: Option<u64>| {
            changed.extend(entry.map(|entry| (Arc::clone(&one.live), entry)));
        };
        for one in self.all() {
            // a ground with mistakes has no day, and is settled when they are mended
            let lines = one.live.with_day(|day, _| Ok(day.leading(&one.name)));
            for line in lines.unwrap_or_default() {
                let Some(other) = self.named(&line.other) else { continue };
                let followed = other.live.with_day(|day, live| {
                    let before = day.state.last_entry;
                    let decides = day.follow(&line, &live.day.clock)?;
                    let last = day.state.last_entry;
                    Ok(((last != before).then_some(last), decides))
                });
                // what cannot be written is tried again
                let Ok((entry, decides)) = followed else { continue };
                note(other, entry);
                let Some(at) = decides else { continue };
                let told = one
                    .live
                    .with_day(|day, live| day.expects(&line.moved, at, &live.day.clock, &line.by));
                note(one, told.ok().flatten());
            }
        }
        changed
    }

    /// Settles, and announces what that changes in other grounds than one.
    pub(in crate::serve) fn announce_others(&self, name: &str) {
        let mut changed = self.settle();
        changed.retain(|(live, _)| live.name != name);
        self.announce(changed);
    }

    /// Tells all screens of grounds with new entries, and plans them anew. On a runtime.
    pub(in crate::serve) fn announce(&self, changed: Vec<(Arc<Live>, u64)>) {
        for (live, entry) in changed {
            live.events.send(Report::Day { entry, planned: false });
            tokio::spawn(live.plan_the_day(entry));
        }
    }
}

fn new_id() -> Result<String, Refused> {
    let mut bytes = [0; ID_BYTES];
    getrandom::fill(&mut bytes).map_err(|e| Refused::Internal(e.to_string()))?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

impl Open {
    fn stones(&self) -> Vec<Milestone> {
        milestones(&self.programme, self.start, &self.state)
    }

    /// The end of a camera's stay at another ground, now.
    fn goes_home(&self, camera: &str) -> Result<Event, Refused> {
        let index = self.venue.cameras.iter().position(|post| post.name == camera);
        let away = index.and_then(|index| self.state.away(index));
        let none = || Refused::input(format!("camera \"{camera}\" is at no other ground"));
        let away = away.ok_or_else(none)?;
        Ok(Event::CameraGoesHome {
            camera: camera.to_owned(),
            from_ground: away.ground.clone(),
            from_place: away.place.clone(),
            moved: new_id()?,
            ends: away.moved.clone(),
        })
    }

    /// The ground that follows a line of this one, and what its log is to say.
    fn followed(&self, own: &str, line: &Event) -> Option<(String, Event)> {
        match line.clone() {
            Event::CameraGoesOver {
                camera,
                to_ground,
                to_place,
                moved,
                from_moment,
                to_moment,
                ..
            } => {
                let post = self.venue.cameras.iter().find(|post| post.name == camera)?;
                let stones = self.stones();
                let expected = from_moment.and_then(|moment| stones.get(moment));
                let comes = Event::CameraComesOver {
                    camera: to_place,
                    from_ground: own.to_owned(),
                    from_camera: camera,
                    moved,
                    exposure: Box::new(post.exposure.clone()),
                    from_moment: to_moment,
                    expected: expected.map(|stone| stone.at.fixed_offset()),
                };
                Some((to_ground, comes))
            }
            Event::CameraGoesHome { from_ground, from_place, moved, ends, .. } => {
                let to_ground = own.to_owned();
                Some((
                    from_ground,
                    Event::CameraLeaves { camera: from_place, to_ground, moved, ends },
                ))
            }
            _ => None,
        }
    }

    /// All lines that others follow. One that means nothing here counts as taken back.
    fn leading(&self, own: &str) -> Vec<Leading> {
        let counts = |entry: &LogEntry| {
            let objected = self.state.objections.iter().any(|(of, _)| *of == entry.entry);
            !objected && !self.state.taken_back.contains(&entry.entry)
        };
        let leads =
            |entry: &&LogEntry| entry.what.between_grounds().is_some_and(|(_, leads)| leads);
        let line = |entry: &LogEntry| {
            let (moved, _) = entry.what.between_grounds()?;
            let (other, line) = self.followed(own, &entry.what)?;
            let decides = match &entry.what {
                Event::CameraGoesOver { from_moment: Some(moment), .. } => {
                    self.stones().get(*moment).map(|stone| stone.at)
                }
                _ => None,
            };
            Some(Leading {
                moved: moved.to_owned(),
                other,
                line,
                at: entry.at,
                by: entry.by.clone(),
                taken_back: !counts(entry),
                decides,
            })
        };
        self.entries.iter().filter(leads).filter_map(line).collect()
    }

    /// The line of a move in this log.
    fn line_of(&self, moved: &str, leads: bool) -> Option<&LogEntry> {
        self.entries.iter().find(|entry| entry.what.between_grounds() == Some((moved, leads)))
    }

    /// Writes what this log lacks of a line that leads; when the camera comes, where this
    /// ground's play decides.
    fn follow(&mut self, line: &Leading, clock: &Clock) -> Result<Option<DateTime<Tz>>, Refused> {
        let known = self.line_of(&line.moved, false).map(|entry| entry.entry);
        match known {
            None if line.taken_back => return Ok(None),
            None => {
                let now = self.now(clock);
                let at = line.at.with_timezone(&now.timezone());
                self.enter(line.line.clone(), at, now, &line.by)?;
            }
            Some(number) if self.state.taken_back.contains(&number) != line.taken_back => {
                self.flip(number, clock, &line.by)?;
            }
            Some(_) => {}
        }
        if line.taken_back {
            return Ok(None);
        }
        if let Some(at) = line.decides {
            self.expects(&line.moved, at, clock, &line.by)?;
        }
        let visit = self.state.visits.iter().find(|visit| visit.moved == line.moved);
        let decides = visit.filter(|visit| matches!(visit.from, GoesAt::Moment(_)));
        Ok(decides.and_then(|visit| visit.from.time(&self.stones())))
    }

    /// Writes down when a moment of the other ground is expected, where that has changed;
    /// the number of the entry.
    fn expects(
        &mut self,
        moved: &str,
        at: DateTime<Tz>,
        clock: &Clock,
        by: &Person,
    ) -> Result<Option<u64>, Refused> {
        let away = self.state.away.iter().filter(|a| a.moved == moved).map(|a| a.from);
        let visits = self.state.visits.iter().filter(|v| v.moved == moved).map(|v| v.from);
        let is_off = |from: GoesAt| matches!(from, GoesAt::Elsewhere(known) if known != at);
        if !away.chain(visits).any(is_off) {
            return Ok(None);
        }
        let (moved, expected) = (moved.to_owned(), at.fixed_offset());
        self.enter_now(Event::MoveExpected { moved, expected }, clock, by)?;
        Ok(Some(self.state.last_entry))
    }

    fn enter_now(&mut self, what: Event, clock: &Clock, by: &Person) -> Result<(), Refused> {
        let now = self.now(clock);
        self.enter(what, now, now, by).map(|_| ())
    }

    /// Whether an event may be entered now.
    fn allows(&self, what: &Event, clock: &Clock) -> Result<(), Refused> {
        self.allowed(&self.entry(what.clone(), self.now(clock), self.now(clock), &Person::lead()))
    }

    /// Takes an entry back, or brings it back where it was taken back.
    fn flip(&mut self, number: u64, clock: &Clock, by: &Person) -> Result<(), Refused> {
        let is_back = |entry: u64| self.state.taken_back.contains(&entry);
        let undoes = |entry: &&LogEntry| {
            matches!(entry.what, Event::Undo { entry: of } if of == number) && !is_back(entry.entry)
        };
        let entries: Vec<u64> = match is_back(number) {
            false => vec![number],
            true => self.entries.iter().filter(undoes).map(|entry| entry.entry).collect(),
        };
        entries.into_iter().try_for_each(|entry| self.enter_now(Event::Undo { entry }, clock, by))
    }

    /// The move that an event takes back, or brings back.
    ///
    /// # Errors
    /// [`Refused`] for a line that follows another ground by itself.
    pub(super) fn undoes_move(&self, what: &Event) -> Result<Option<&str>, Refused> {
        let Event::Undo { entry: of } = what else { return Ok(None) };
        let mut of = *of;
        while let Some(entry) = self.entries.iter().find(|entry| entry.entry == of) {
            match &entry.what {
                // an entry takes back an earlier one, so this ends
                Event::Undo { entry: earlier } if *earlier < of => of = *earlier,
                Event::MoveExpected { .. } => {
                    return Err(Refused::input(
                        "this time follows the play of the other ground; take back the move itself",
                    ));
                }
                what => return Ok(what.between_grounds().map(|(moved, _)| moved)),
            }
        }
        Ok(None)
    }
}

/// A camera goes to another ground, or home.
pub(in crate::serve) async fn enter(
    State(grounds): State<Arc<Grounds>>,
    Extension(person): Extension<Person>,
    Sent(sent): Sent<NewMove>,
) -> Answer {
    let live = Arc::clone(&grounds.at_address(&sent.from)?.live);
    let asked = Arc::clone(&grounds);
    let entered = live.work(Work::Quick, move |live, _| {
        asked.enter_move(&sent, &person)?;
        asked.announce_others(&live.name);
        live.with_day(|day, _| Ok(day.state.last_entry))
    });
    let last = entered.await?;
    grounds.announce(vec![(live, last)]);
    answer(&json!({ "entry": last }))
}
