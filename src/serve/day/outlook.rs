//! What the forecast means for the day: likelihoods and settings for either light, by minute.
//!
//! In: the plan of the day, a forecast. Out: the JSON of [`board::outlook`] for the instants of
//! that plan. The match under each sky that is possible is worked out a stretch at a time, so
//! that the plan of an entry never waits for all of it, and kept, so that a kickoff that slips
//! costs its new minutes only.

use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError};

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::camera::CameraView;
use crate::engine::{PlanError, Prepared, Settings};
use crate::jobs::brief::report::{BriefReport, board};
use crate::jobs::day::DayPlan;
use crate::jobs::forecast::{DayOutlook, UnderSky, skies};
use crate::light::AirByDate;
use crate::serve::forecast::HeldForecast;
use crate::serve::problem::Refused;
use crate::weather::SkyCover;

use super::match_day::MatchDay;
use super::planning::{PlanInput, Planning};

/// Minutes that are worked out in one go.
const STRETCH_MIN: i64 = 15;

/// What the forecast means for the plan that screens have.
#[derive(Default)]
pub(super) struct KeptOutlook {
    /// The plan and the number of the forecast that it is of.
    of: Option<(Arc<DayPlan>, u64)>,
    text: Option<Arc<str>>,
}

impl KeptOutlook {
    fn found(&self, plan: &Arc<DayPlan>, number: u64) -> Option<Arc<str>> {
        let (of, known) = self.of.as_ref()?;
        self.text.clone().filter(|_| Arc::ptr_eq(of, plan) && *known == number)
    }
}

/// What the cameras see at each minute under the skies that are possible.
#[derive(Default)]
pub(super) struct Ahead {
    /// Revision of the ground, lenses, skies.
    of: Option<(u64, Vec<Option<f64>>, Vec<SkyCover>)>,
    /// By the second, then by sky, then by camera.
    views: BTreeMap<i64, Vec<Vec<CameraView>>>,
}

impl Ahead {
    /// Works out the first minutes of a plan that are not there; whether that was all.
    fn go_on(&mut self, prepared: &Prepared<'_>, plan: &DayPlan) -> Result<bool, PlanError> {
        let Some((_, _, states)) = &self.of else { return Ok(true) };
        let missing: Vec<DateTime<Tz>> = (plan.plan.instants.iter().map(|i| i.at))
            .filter(|at| !self.views.contains_key(&at.timestamp()))
            .collect();
        let Some(from) = missing.first().copied() else { return Ok(true) };
        let near = |at: &&DateTime<Tz>| **at - from <= TimeDelta::minutes(STRETCH_MIN);
        let until = missing.iter().take_while(near).last().copied().unwrap_or(from);
        let settings = Settings {
            from,
            until,
            step: TimeDelta::minutes(1),
            sky: plan.plan.sky,
            air: plan.plan.air,
            hold: plan.plan.hold,
            milestones: Vec::new(),
        };
        let skies: Vec<_> = states.iter().map(|state| state.sky()).collect();
        let mut by_sky: Vec<_> = prepared.views_under(&settings, &skies)?;
        let count = by_sky.first().map_or(0, Vec::len);
        for index in (0..count).rev() {
            let at = from + TimeDelta::minutes(index as i64);
            let views = by_sky.iter_mut().filter_map(Vec::pop).collect();
            self.views.insert(at.timestamp(), views);
        }
        Ok(missing.last() == Some(&until))
    }

    /// The views of a plan, sky by sky.
    fn under(&self, plan: &DayPlan) -> Vec<UnderSky> {
        let Some((_, _, states)) = &self.of else { return Vec::new() };
        let times = || plan.plan.instants.iter().map(|i| i.at.timestamp());
        let of = |(number, state): (usize, &SkyCover)| {
            let views = times().map(|at| {
                let by_sky = self.views.get(&at);
                by_sky.and_then(|by_sky| by_sky.get(number)).cloned().unwrap_or_default()
            });
            UnderSky { state: *state, views: views.collect() }
        };
        states.iter().enumerate().map(of).collect()
    }
}

impl MatchDay {
    /// Goes on with what a forecast means for the present plan; its JSON where that is whole.
    ///
    /// # Errors
    /// [`Refused`] where there is no plan yet.
    pub(in crate::serve) fn look_ahead(
        &self,
        held: &HeldForecast,
    ) -> Result<Option<Arc<str>>, Refused> {
        let mut planning = self.planning.lock().unwrap_or_else(PoisonError::into_inner);
        let (wanted, plan) = {
            let open = self.lock();
            let day = open.as_ref().ok_or(Refused::Busy("the day is not open yet"))?;
            let plan = day.plan.clone().ok_or(Refused::Busy("the plan is not made yet"))?;
            if let Some(text) = day.outlook.found(&plan, held.number) {
                return Ok(Some(text));
            }
            (day.wanted(&self.clock), plan)
        };
        let Some(day) = look_ahead(&mut planning, &wanted, (held, &plan))? else {
            return Ok(None);
        };
        drop(planning);
        let told = BriefReport {
            venue: &wanted.venue,
            plan: &plan.plan,
            brief: &plan.brief,
            forecast: None,
            hidden: &[],
        };
        let text = board::outlook(&told, &day).map_err(|e| Refused::Internal(e.to_string()))?;
        let text: Arc<str> = text.into();
        if let Some(day) = self.lock().as_mut().filter(|day| day.revision == wanted.revision) {
            day.outlook =
                KeptOutlook { of: Some((plan, held.number)), text: Some(Arc::clone(&text)) };
        }
        Ok(Some(text))
    }
}

fn look_ahead(
    planning: &mut Planning,
    wanted: &PlanInput,
    (held, plan): (&HeldForecast, &DayPlan),
) -> Result<Option<DayOutlook>, Refused> {
    let venue = &wanted.venue;
    let airs = AirByDate::from(plan.plan.air);
    let window = plan.plan.instants.first().zip(plan.plan.instants.last());
    let window = window.map(|(first, last)| (first.at.to_utc(), last.at.to_utc()));
    let window = window.ok_or(Refused::Busy("the plan is not made yet"))?;
    let states = skies(&held.forecast, &venue.place, &airs, window);
    planning.planner(wanted);
    let Planning { ready: Some(ready), ahead, .. } = planning else {
        return Err(Refused::Internal("no planner was made".to_owned()));
    };
    let of = (wanted.revision, ready.lenses.clone(), states);
    if ahead.of.as_ref() != Some(&of) {
        *ahead = Ahead { of: Some(of), views: BTreeMap::new() };
    }
    let whole = ahead.go_on(ready.planner.borrow_dependent().prepared(), plan);
    if !whole.map_err(|e| Refused::input(e.to_string()))? {
        return Ok(None);
    }
    let under = ahead.under(plan);
    Ok(Some(DayOutlook::new(&held.forecast, venue, &airs, &under, (&plan.plan, &plan.brief))))
}
