//! Moments at which something changes between sun and shade.
//!
//! In: a venue, a window of time. Out: [`AnswerEvent`]s: sun or shadow reaches a mark of the
//! field, or the lens of a camera that looks toward the sun, to a tenth of a second.

use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;
use glam::DVec3;

use crate::base::units::Transmittance;
use crate::camera::{LensState, lens_view};
use crate::geometry::{Obstacle, Obstacles, transmission_toward};
use crate::solar;
use crate::solar::SunState;
use crate::venue::{ByStanding, Venue};

/// Between two looks.
const LOOK_EVERY_S: i64 = 60;
/// Changes are found to this.
const FOUND_TO_MS: i64 = 100;
/// A place is in the sun when half of the direct light arrives.
const IN_SUN: f64 = 0.5;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Question {
    /// Whether a mark of the field is in the sun, by its index.
    MarkInSun(usize),
    /// Whether the sun falls on the front element of a camera, by its index.
    SunOnLens(usize),
}

/// A change of an answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AnswerEvent {
    pub question: Question,
    /// The answer from then on.
    pub to: bool,
    pub at: DateTime<Tz>,
}

/// A venue ready to answer.
struct ReadyVenue<'v> {
    venue: &'v Venue,
    stands: ByStanding<Obstacles>,
}

impl ReadyVenue<'_> {
    /// The way to the sun; `None` where it is down or behind the skyline.
    fn sun(&self, at: DateTime<Tz>) -> Option<DVec3> {
        let sun = solar::position(&self.venue.place, at.with_timezone(&Utc));
        (solar::state(&sun, &self.venue.horizon) == SunState::Up).then(|| sun.toward())
    }

    fn reaches(&self, now: DateTime<Tz>, at: DVec3, toward: DVec3) -> Transmittance {
        transmission_toward(self.stands.at(self.venue, now), at, toward)
    }

    fn answer(&self, question: Question, (now, sun): (DateTime<Tz>, Option<DVec3>)) -> bool {
        let Some(toward) = sun else { return false };
        match question {
            Question::MarkInSun(mark) => self.venue.field.marks.get(mark).is_some_and(|mark| {
                let at =
                    DVec3::new(mark.at.x, mark.at.y, self.venue.ground_m(mark.at.x, mark.at.y));
                self.reaches(now, at, toward).share() >= IN_SUN
            }),
            Question::SunOnLens(camera) => self.venue.cameras.get(camera).is_some_and(|post| {
                let state = lens_view(post, toward, self.reaches(now, post.at, toward)).state;
                matches!(state, LensState::InFrame | LensState::OnElement)
            }),
        }
    }

    /// The moment between two looks at which an answer changes.
    fn change(
        &self,
        question: Question,
        (mut before, mut after): (DateTime<Tz>, DateTime<Tz>),
        was: bool,
    ) -> DateTime<Tz> {
        while after - before > TimeDelta::milliseconds(FOUND_TO_MS) {
            let middle = before + (after - before) / 2;
            match self.answer(question, (middle, self.sun(middle))) == was {
                true => before = middle,
                false => after = middle,
            }
        }
        after
    }
}

/// Every change in a window, by question and in order of time. What comes and goes
/// within a minute may be missed.
pub fn events(venue: &Venue, from: DateTime<Tz>, until: DateTime<Tz>) -> Vec<AnswerEvent> {
    let date = from.date_naive();
    let stands = ByStanding::new(venue, date, |venue| Obstacle::all_of(venue, date));
    let ground = ReadyVenue { venue, stands };
    let count = (until - from).num_seconds() / LOOK_EVERY_S;
    let looks = (0..=count).map(|i| from + TimeDelta::seconds(i * LOOK_EVERY_S));
    let looks: Vec<(DateTime<Tz>, Option<DVec3>)> = looks.map(|at| (at, ground.sun(at))).collect();
    let marks = (0..venue.field.marks.len()).map(Question::MarkInSun);
    let lenses = (0..venue.cameras.len()).map(Question::SunOnLens);
    let mut events = Vec::new();
    for question in marks.chain(lenses) {
        let mut was: Option<(DateTime<Tz>, bool)> = None;
        for &(at, sun) in &looks {
            let now = ground.answer(question, (at, sun));
            if let Some((before, answer)) = was.filter(|(_, answer)| *answer != now) {
                let at = ground.change(question, (before, at), answer);
                events.push(AnswerEvent { question, to: now, at });
            }
            was = Some((at, now));
        }
    }
    events
}
