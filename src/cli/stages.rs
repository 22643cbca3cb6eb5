//! The one place where the command calls the stages.
//!
//! In: what the options mean. Out: results of `venue`, `solar`, `plan` and
//! `render`, their errors as [`Failure`].

use std::path::Path;

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta};
use chrono_tz::Tz;

use crate::light::Sky;
use crate::plan::{MatchPlan, Milestone, SunDay};
use crate::solar::Sun;
use crate::venue::{Place, Sport, Venue};

use super::failure::Failure;
use super::options::RepeatedChoice;
use super::window::{UsualWindow, Window};

/// What a plan is made for.
#[expect(dead_code, reason = "read by the plan stage, which is not linked yet")]
#[derive(Debug, Clone)]
pub(super) struct Settings {
    pub window: Window,
    pub step_minutes: u32,
    pub sky: Sky,
    pub milestones: Vec<Milestone>,
}

/// What usually happens when, in a sport.
#[derive(Debug, Clone)]
pub(super) struct Programme {
    /// Names, and how long after the start.
    pub milestones: Vec<(String, TimeDelta)>,
    pub usual: UsualWindow,
}

impl Programme {
    /// The milestones of a match that starts at `start`.
    pub fn milestones_from(&self, start: DateTime<Tz>) -> Vec<Milestone> {
        let at = |after: TimeDelta| start.checked_add_signed(after);
        let milestones = self.milestones.iter();
        milestones
            .filter_map(|(name, after)| {
                Some(Milestone {
                    name: name.clone(),
                    at: at(*after)?,
                })
            })
            .collect()
    }
}

/// A finished picture.
pub(super) struct Picture {
    pub svg: String,
    pub png: Vec<u8>,
}

const ABSENT: &str = "this build has no stages behind the command yet";

pub(super) fn read_venue(_path: &Path) -> Result<Venue, Failure> {
    Err(Failure::Venue(ABSENT.into()))
}

pub(super) fn venue_schema() -> serde_json::Value {
    serde_json::Value::Null
}

pub(super) fn sun_day(_place: &Place, _date: NaiveDate) -> Result<SunDay, Failure> {
    Err(Failure::Plan(ABSENT.into()))
}

pub(super) fn sun_at(_place: &Place, _at: DateTime<Tz>) -> Result<Sun, Failure> {
    Err(Failure::Plan(ABSENT.into()))
}

pub(super) fn resolve(
    _zone: Tz,
    _date: NaiveDate,
    _time: NaiveTime,
    _repeated: Option<RepeatedChoice>,
) -> Result<DateTime<Tz>, Failure> {
    Err(Failure::Clock(ABSENT.into()))
}

pub(super) fn programme(_sport: Sport) -> Programme {
    Programme {
        milestones: Vec::new(),
        usual: UsualWindow {
            before_start: TimeDelta::zero(),
            after_start: TimeDelta::zero(),
        },
    }
}

pub(super) fn plan(
    _venue: &Venue,
    _settings: Settings,
    _progress: impl Fn(usize, usize) + Sync,
) -> Result<MatchPlan, Failure> {
    Err(Failure::Plan(ABSENT.into()))
}

pub(super) fn timeline(_venue: &Venue, _plan: &MatchPlan) -> Result<Picture, Failure> {
    Err(Failure::Picture(ABSENT.into()))
}

pub(super) fn field(_venue: &Venue, _plan: &MatchPlan, _index: usize) -> Result<Picture, Failure> {
    Err(Failure::Picture(ABSENT.into()))
}
