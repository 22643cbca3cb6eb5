//! Moves as the lead of the day asks for them, written into the logs of two grounds.
//!
//! In: a camera, the ground that it goes to and a moment of play. Out: a line in the log of the
//! camera's own ground, and in other logs what they lack of it.

use std::sync::{Arc, PoisonError};

use axum::extract::{Extension, State};
use serde::Deserialize;
use serde_json::json;

use super::lines::new_id;
use crate::jobs::day::{Event, Person};
use crate::serve::events::PageEvent;
use crate::serve::grounds::{Grounds, OneGround};
use crate::serve::problem::Refused;
use crate::serve::routes::{Answer, Sent, answer};
use crate::serve::{Live, Work};

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
            live.events.send(PageEvent::Day { entry, planned: false });
            tokio::spawn(live.plan_the_day(entry));
        }
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
