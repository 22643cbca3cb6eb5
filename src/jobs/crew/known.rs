//! What shadows of one ground were found to do, for its next brief.
//!
//! In: questions about shadows alone, by [`QuestionSubject`], and times. Out: the answers, worked
//! out once. Sky and light change none of them, so a plan that is made again for the same
//! ground asks the same questions at the same whole minutes.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use chrono::{DateTime, NaiveDate};
use chrono_tz::Tz;

use crate::engine::Prepared;

use super::lead::EdgeMotion;
use super::uncertain::{AnswerChange, StandingLevels};

/// What is known of the edges of one ground. Empty at first; it belongs to one venue.
#[derive(Debug, Default)]
pub struct KnownEdges {
    levels: Mutex<Option<(NaiveDate, Arc<StandingLevels>)>>,
    subjects: Mutex<HashMap<QuestionSubject, Arc<Mutex<KnownEdge>>>>,
}

/// What a question is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum QuestionSubject {
    /// The ground, by the number of the question: those of a venue are always the same.
    Ground(usize),
    /// A camera, by index.
    Camera(usize, OfCamera),
}

/// What may be asked of a camera.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum OfCamera {
    /// Whether it shows both sides of an edge.
    BothSides,
    /// Whether the sun is in its frame.
    SunInFrame,
    /// Whether the sun is on its front element.
    SunOnElement,
    /// The time at which the shaded share of its cover is half way between two instants.
    CoverShare,
}

/// What is known of one subject, by seconds since 1970.
#[derive(Debug, Default)]
pub(super) struct KnownEdge {
    answers: HashMap<i64, bool>,
    found: HashMap<(i64, i64, bool), DatedChange>,
}

/// A change between two times.
#[derive(Debug, Clone)]
pub(super) struct DatedChange {
    pub change: AnswerChange,
    pub moving: Option<EdgeMotion>,
}

impl KnownEdge {
    /// The answer at a time.
    pub fn answer(&mut self, at: DateTime<Tz>, ask: impl FnOnce() -> bool) -> bool {
        *self.answers.entry(at.timestamp()).or_insert_with(ask)
    }

    /// The change between two times to an answer, as [`super::uncertain::crossing`] takes it:
    /// a camera that is out answers no, so both answers may come between the same times.
    pub fn change(
        &mut self,
        (before, after, to): (DateTime<Tz>, DateTime<Tz>, bool),
        find: impl FnOnce() -> DatedChange,
    ) -> DatedChange {
        let key = (before.timestamp(), after.timestamp(), to);
        self.found.entry(key).or_insert_with(find).clone()
    }
}

impl KnownEdges {
    /// What is known of a subject. To be held by one at a time.
    pub(super) fn of(&self, subject: QuestionSubject) -> Arc<Mutex<KnownEdge>> {
        Arc::clone(lock(&self.subjects).entry(subject).or_default())
    }

    /// The casters of a day.
    pub(super) fn levels(&self, prepared: &Prepared<'_>, date: NaiveDate) -> Arc<StandingLevels> {
        let mut levels = lock(&self.levels);
        match &*levels {
            Some((of, levels)) if *of == date => Arc::clone(levels),
            _ => {
                Arc::clone(&levels.insert((date, Arc::new(StandingLevels::new(prepared, date)))).1)
            }
        }
    }

    /// The same for the ground with other cameras in the place of some, by index.
    pub fn without_cameras(self, changed: impl Fn(usize) -> bool) -> Self {
        lock(&self.subjects).retain(|subject, _| match subject {
            QuestionSubject::Ground(_) => true,
            QuestionSubject::Camera(camera, _) => !changed(*camera),
        });
        self
    }
}

/// What a panic elsewhere left is as good as nothing known.
pub(super) fn lock<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}
