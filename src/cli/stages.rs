//! The one place where the command calls the stages.
//!
//! In: what the options mean. Out: results of `venue`, `solar`, `plan` and
//! `render`, their errors as [`Failure`].

use std::path::Path;

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta};
use chrono_tz::Tz;

use crate::light::{Air, Sky};
use crate::plan::{self, MatchPlan, Milestone};
use crate::render::{self, Picture};
use crate::solar::{self, Repeated, Sun, SunDay};
use crate::venue::{self, Place, Sport, Venue};

use super::failure::Failure;
use super::options::RepeatedChoice;
use super::window::{UsualWindow, Window};

/// What a plan is made for.
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
            .filter_map(|(name, after)| Some(Milestone { name: name.clone(), at: at(*after)? }))
            .collect()
    }
}

pub(super) fn read_venue(path: &Path) -> Result<Venue, Failure> {
    venue::read(path).map_err(|e| Failure::Venue(Box::new(e)))
}

pub(super) fn venue_schema() -> serde_json::Value {
    venue::schema()
}

pub(super) fn sun_day(place: &Place, date: NaiveDate) -> Result<SunDay, Failure> {
    Ok(solar::day(place, date))
}

pub(super) fn sun_at(place: &Place, at: DateTime<Tz>) -> Result<Sun, Failure> {
    Ok(solar::position(place, at))
}

pub(super) fn resolve(
    zone: Tz,
    date: NaiveDate,
    time: NaiveTime,
    repeated: Option<RepeatedChoice>,
) -> Result<DateTime<Tz>, Failure> {
    let repeated = repeated.map(|choice| match choice {
        RepeatedChoice::Earlier => Repeated::Earlier,
        RepeatedChoice::Later => Repeated::Later,
    });
    solar::resolve(zone, date, time, repeated).map_err(|e| Failure::Clock(Box::new(e)))
}

pub(super) fn programme(sport: Sport) -> Programme {
    let programme = plan::programme(sport);
    let minutes = |m| TimeDelta::minutes(i64::from(m));
    let milestones: Vec<(String, TimeDelta)> = programme
        .milestones
        .iter()
        .map(|(name, after)| ((*name).to_owned(), minutes(*after)))
        .collect();
    let end = milestones.iter().map(|(_, after)| *after).max();
    Programme {
        usual: UsualWindow {
            before_start: minutes(programme.lead_in_min),
            after_start: end.unwrap_or_default() + minutes(programme.tail_min),
        },
        milestones,
    }
}

pub(super) fn plan(
    venue: &Venue,
    settings: Settings,
    progress: impl Fn(usize, usize) + Sync,
) -> Result<MatchPlan, Failure> {
    let settings = plan::Settings {
        from: settings.window.from,
        until: settings.window.until,
        step: TimeDelta::minutes(settings.step_minutes.into()),
        sky: settings.sky,
        air: Air::default(),
        milestones: settings.milestones,
    };
    plan::run(venue, &settings, progress).map_err(|e| Failure::Plan(Box::new(e)))
}

pub(super) fn timeline(venue: &Venue, plan: &MatchPlan) -> Result<Picture, Failure> {
    render::timeline(venue, plan).map_err(|e| Failure::Picture(Box::new(e)))
}

pub(super) fn field(venue: &Venue, plan: &MatchPlan, index: usize) -> Result<Picture, Failure> {
    render::field(venue, plan, index).map_err(|e| Failure::Picture(Box::new(e)))
}
