//! Lines about moves in the log of one ground.
//!
//! In: the log, lines that another ground leads. Out: lines that others follow, what this log
//! lacks of theirs, when moments that decide are expected.

use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;

use crate::engine::Milestone;
use crate::jobs::day::{Event, GoesAt, LogEntry, Person, milestones};
use crate::serve::day::OpenDay;
use crate::serve::day::clock::Clock;
use crate::serve::problem::Refused;

/// Random bytes of an id: a day has a few dozen.
const ID_BYTES: usize = 6;

/// A line of the log that another ground's log follows.
pub(super) struct Leading {
    pub(super) moved: String,
    /// The name of the other ground.
    pub(super) other: String,
    /// What its log is to say.
    pub(super) line: Event,
    pub(super) at: DateTime<FixedOffset>,
    pub(super) by: Person,
    pub(super) taken_back: bool,
    /// When the camera goes, where this ground's play decides.
    pub(super) decides: Option<DateTime<Tz>>,
}

pub(super) fn new_id() -> Result<String, Refused> {
    let mut bytes = [0; ID_BYTES];
    getrandom::fill(&mut bytes).map_err(|e| Refused::Internal(e.to_string()))?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

impl OpenDay {
    pub(super) fn stones(&self) -> Vec<Milestone> {
        milestones(&self.programme, self.start, &self.state)
    }

    /// The end of a camera's stay at another ground, now.
    pub(super) fn goes_home(&self, camera: &str) -> Result<Event, Refused> {
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
    pub(super) fn followed(&self, own: &str, line: &Event) -> Option<(String, Event)> {
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
    pub(super) fn leading(&self, own: &str) -> Vec<Leading> {
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
    pub(super) fn line_of(&self, moved: &str, leads: bool) -> Option<&LogEntry> {
        self.entries.iter().find(|entry| entry.what.between_grounds() == Some((moved, leads)))
    }

    /// Writes what this log lacks of a line that leads; when the camera comes, where this
    /// ground's play decides.
    pub(super) fn follow(
        &mut self,
        line: &Leading,
        clock: &Clock,
    ) -> Result<Option<DateTime<Tz>>, Refused> {
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
    pub(super) fn expects(
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

    pub(super) fn enter_now(
        &mut self,
        what: Event,
        clock: &Clock,
        by: &Person,
    ) -> Result<(), Refused> {
        let now = self.now(clock);
        self.enter(what, now, now, by).map(|_| ())
    }

    /// Whether an event may be entered now.
    pub(super) fn allows(&self, what: &Event, clock: &Clock) -> Result<(), Refused> {
        self.allowed(&self.entry(what.clone(), self.now(clock), self.now(clock), &Person::lead()))
    }

    /// Takes an entry back, or brings it back where it was taken back.
    pub(super) fn flip(&mut self, number: u64, clock: &Clock, by: &Person) -> Result<(), Refused> {
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
    pub(in crate::serve::day) fn undoes_move(&self, what: &Event) -> Result<Option<&str>, Refused> {
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
