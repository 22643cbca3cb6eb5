//! The plan of the day, made anew from its state.
//!
//! In: a venue, a [`DayState`]. Out: a [`DayPlan`] from before kickoff to after the end,
//! on whole minutes: instants that have passed in the light that was there, those ahead in
//! the light that is there now. Light and shadows of an instant are worked out once for the
//! same sky; a kickoff that slips costs no more than the minutes that nobody had asked for.

use std::collections::HashMap;

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use crate::base::units::Stops;
use crate::camera::Rig;
use crate::engine::{
    Conditions, DEFAULT_HOLD_STOPS, Instant, MatchPlan, Milestone, PlanError, Prepared, Programme,
    Settings, Shade, programme, times,
};
use crate::jobs::crew::{
    Brief, BriefError, BriefSettings, HeldNd, KnownEdges, PlacedRig, Settled, brief_again,
};
use crate::light::AirByDate;
use crate::venue::Venue;

use super::correct::Correction;
use super::event::SkyNow;
use super::places::StandIn;
use super::state::{DayState, PRESENT};
use super::times::milestones;

/// From one instant to the next.
const STEP: TimeDelta = TimeDelta::minutes(1);
/// Instants that are kept: a long day under several skies.
const MAX_KEPT: usize = 4000;

/// Why the day cannot be planned.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DayError {
    #[error(transparent)]
    Plan(#[from] PlanError),
    #[error(transparent)]
    Brief(#[from] BriefError),
}

/// The plan that goes with a state of the day.
#[derive(Debug, Clone)]
pub struct DayPlan {
    /// Number of the last entry that it knows.
    pub after_entry: u64,
    /// The time it was made at: what passes counts to a minute after it.
    pub made_at: DateTime<Tz>,
    pub plan: MatchPlan,
    pub brief: Brief,
    asked: Asked,
}

/// All that a plan follows from, beside the venue file.
#[derive(Debug, Clone, PartialEq)]
struct Asked {
    settings: Settings,
    under: Vec<(DateTime<Tz>, Conditions, Correction)>,
    settled: Settled,
    lenses: Vec<Option<f64>>,
}

impl DayPlan {
    /// Camera by camera, its operator: for later plans of the day to keep.
    pub fn operators(&self) -> Vec<Option<usize>> {
        (0..self.brief.cameras.len()).map(|c| self.brief.desk.operator_of(c)).collect()
    }

    /// Whether both are one plan: what was entered in between asks for nothing else.
    pub fn is_as(&self, other: &Self) -> bool {
        self.asked == other.asked
    }

    /// The instant that stands for a time: the next whole minute, which knows all that was
    /// entered before.
    pub fn index_at(&self, at: DateTime<Tz>) -> usize {
        let last = self.plan.instants.len().saturating_sub(1);
        self.plan.instants.partition_point(|i| i.at < at).min(last)
    }

    /// Whether a minute has come that this plan does not know the sky of: one that passes is
    /// not planned ahead.
    pub fn is_behind(&self, state: &DayState, now: DateTime<Tz>) -> bool {
        state.sky_at(now).passes() && now >= self.made_at + PRESENT
    }

    /// Sky and floodlights that an instant is planned in.
    pub fn conditions_at(&self, index: usize) -> Option<Conditions> {
        self.asked.under.get(index).map(|(_, conditions, _)| *conditions)
    }

    /// ND in stops that each camera has at a time, by index.
    pub fn nd_at(&self, at: DateTime<Tz>) -> Vec<Option<f64>> {
        let index = self.index_at(at);
        let nd = |c: &crate::jobs::crew::CameraBrief| {
            c.setting_at(&self.brief.spans, index).map(|setting| setting.nd_stops)
        };
        self.brief.cameras.iter().map(nd).collect()
    }
}

/// A minute that was asked for.
struct KnownMinute {
    /// In any light.
    shade: Shade,
    /// Before they were put together, by the light they are in.
    lit: Vec<(Conditions, Instant)>,
}

impl KnownMinute {
    fn under(&self, conditions: &Conditions) -> Option<&Instant> {
        self.lit.iter().find(|(of, _)| of == conditions).map(|(_, instant)| instant)
    }
}

/// Makes the plans of a day at a venue.
pub struct Planner<'v> {
    venue: &'v Venue,
    programme: Programme,
    start: DateTime<Tz>,
    prepared: Prepared<'v>,
    /// What is known of each minute, by its second.
    known: HashMap<i64, KnownMinute>,
    edges: KnownEdges,
    /// Who has which camera, from the first plan on.
    operators: Vec<Option<usize>>,
}

impl<'v> Planner<'v> {
    /// For a match planned to start at `start`. The venue is the one of
    /// [`venue_with_lenses`] where lenses were changed.
    pub fn new(venue: &'v Venue, start: DateTime<Tz>) -> Self {
        Self {
            venue,
            programme: programme(venue),
            start,
            prepared: Prepared::new(venue, start.date_naive()),
            known: HashMap::new(),
            edges: KnownEdges::default(),
            operators: Vec::new(),
        }
    }

    /// The same out of a planner of the same ground with other lenses on some cameras: only
    /// those are looked at anew. The planner before is left with nothing known.
    pub fn after(venue: &'v Venue, before: &mut Planner<'_>) -> Self {
        let start = before.start;
        let prepared = Prepared::after(venue, start.date_naive(), &before.prepared);
        let (seconds, minutes): (Vec<i64>, Vec<KnownMinute>) =
            std::mem::take(&mut before.known).into_iter().unzip();
        let shades: Vec<Shade> = minutes.into_iter().map(|minute| minute.shade).collect();
        let shades = prepared.shades_after(&before.prepared, &shades);
        let minute = |shade| KnownMinute { shade, lit: Vec::new() };
        let changed = |camera: usize| {
            let [old, new] = [before.venue, venue].map(|venue| venue.cameras.get(camera));
            old.zip(new).is_none_or(|(old, new)| !old.sees_as(new))
        };
        Self {
            venue,
            programme: before.programme.clone(),
            start,
            prepared,
            known: seconds.into_iter().zip(shades.into_iter().map(minute)).collect(),
            edges: std::mem::take(&mut before.edges).without_cameras(changed),
            operators: before.operators.clone(),
        }
    }

    /// The ground that plans are made with.
    pub fn prepared(&self) -> &Prepared<'v> {
        &self.prepared
    }

    /// Lets operators keep the cameras that they had in an earlier planner's plans.
    pub fn keep_operators(&mut self, operators: Vec<Option<usize>>) {
        self.operators = operators;
    }

    /// The plan for a state, at the time `now`.
    ///
    /// # Errors
    /// [`DayError`] for a venue without cameras, or a day longer than a plan.
    pub fn plan(&mut self, state: &DayState, now: DateTime<Tz>) -> Result<DayPlan, DayError> {
        self.plan_after(None, state, now)
    }

    /// The same after a plan of this venue, which stays where nothing else is asked for: an
    /// iris that is read, or an edge that is seen, is no reason for another.
    ///
    /// # Errors
    /// As [`Planner::plan`].
    pub fn plan_after(
        &mut self,
        before: Option<&DayPlan>,
        state: &DayState,
        now: DateTime<Tz>,
    ) -> Result<DayPlan, DayError> {
        let asked = self.asked(state, now)?;
        if let Some(before) = before.filter(|before| before.asked == asked) {
            return Ok(DayPlan { after_entry: state.last_entry, made_at: now, ..before.clone() });
        }
        let settings = &asked.settings;
        let instants = self.instants(&asked.under, settings);
        let corrected = instants.into_iter().zip(&asked.under);
        let instants = corrected.map(|(instant, (_, _, light))| light.apply(instant)).collect();
        let plan = self.prepared.plan_of(settings, instants);
        let briefed = BriefSettings { settled: asked.settled.clone(), ..BriefSettings::default() };
        let brief = brief_again(&self.prepared, &plan, &briefed, &self.edges)?;
        let after_entry = state.last_entry;
        let mut made = DayPlan { after_entry, made_at: now, plan, brief, asked };
        if self.operators.is_empty() {
            self.operators = made.operators();
            // as if they had been asked for: the next plan has them, and is the same
            made.asked.settled.operator_of.clone_from(&self.operators);
        }
        Ok(made)
    }

    /// What a state asks for.
    fn asked(&self, state: &DayState, now: DateTime<Tz>) -> Result<Asked, DayError> {
        let settings = self.settings(state);
        let times = times(&settings)?;
        let under = |at: DateTime<Tz>| {
            let light = state.correction(at, state.planned_sky(at, now));
            (at, state.conditions(at, now), light)
        };
        let under = times.into_iter().map(under).collect();
        let settled = self.settled(state, &settings.milestones);
        let lenses = state.cameras.iter().map(|camera| camera.horizontal_fov_deg).collect();
        Ok(Asked { settings, under, settled, lenses })
    }

    /// Window, moments and the sky that is planned by.
    fn settings(&self, state: &DayState) -> Settings {
        let programme = &self.programme;
        let milestones = milestones(programme, self.start, state);
        let first = milestones.first().map_or(self.start, |m| m.at);
        let last = milestones.last().map_or(self.start, |m| m.at);
        let lead_in = TimeDelta::minutes(programme.lead_in_min.into());
        let tail = TimeDelta::minutes(programme.tail_min.into());
        let from = whole_minute(first - lead_in);
        let lasting = state.skies.iter().rev().map(|(_, sky)| *sky).find(|sky| !sky.passes());
        Settings {
            from,
            until: (last + tail).max(from),
            step: STEP,
            sky: lasting.unwrap_or(SkyNow::Clear).sky(),
            air: AirByDate::of_venue(self.venue).on(from.date_naive()),
            hold: Stops::from_stops(DEFAULT_HOLD_STOPS),
            milestones,
        }
    }

    /// Instants as they are known, and the others worked out.
    fn instants(
        &mut self,
        wanted: &[(DateTime<Tz>, Conditions, Correction)],
        settings: &Settings,
    ) -> Vec<Instant> {
        let kept = self.known.values().map(|minute| minute.lit.len()).sum::<usize>();
        if kept > MAX_KEPT {
            self.known.clear();
        }
        let unknown = wanted.iter().map(|(at, _, _)| *at);
        let unknown: Vec<DateTime<Tz>> =
            unknown.filter(|at| !self.known.contains_key(&at.timestamp())).collect();
        for shade in self.prepared.shades(&unknown) {
            let second = shade.at().timestamp();
            self.known.insert(second, KnownMinute { shade, lit: Vec::new() });
        }
        let missing = wanted.iter().filter_map(|(at, under, _)| {
            let minute = self.known.get(&at.timestamp())?;
            minute.under(under).is_none().then_some((&minute.shade, *under))
        });
        let missing: Vec<(&Shade, Conditions)> = missing.collect();
        let made = self.prepared.instants(&missing, &settings.air);
        let conditions: Vec<Conditions> = missing.into_iter().map(|(_, under)| under).collect();
        for (instant, under) in made.into_iter().zip(conditions) {
            if let Some(minute) = self.known.get_mut(&instant.at.timestamp()) {
                minute.lit.push((under, instant));
            }
        }
        let known = |(at, under, _): &(DateTime<Tz>, Conditions, Correction)| {
            self.known.get(&at.timestamp())?.under(under).cloned()
        };
        wanted.iter().filter_map(known).collect()
    }

    /// What hands have settled.
    fn settled(&self, state: &DayState, stones: &[Milestone]) -> Settled {
        let cameras = || state.cameras.iter().enumerate();
        let nd = cameras().flat_map(|(camera, day)| {
            day.nd.iter().map(move |(at, stops)| HeldNd { camera, at: *at, stops: *stops })
        });
        let rigs = state.placed(stones).into_iter().map(|(camera, from, stand_in)| {
            let rig = stand_in.and_then(|stand_in| stand_in_rig(self.venue, camera, &stand_in));
            PlacedRig { camera, from, rig }
        });
        Settled {
            out: state.absences(stones),
            rigs: rigs.collect(),
            nd: nd.collect(),
            operator_of: self.operators.clone(),
        }
    }
}

/// The rig of what stands in for a camera.
fn stand_in_rig(venue: &Venue, camera: usize, stand_in: &StandIn) -> Option<Rig> {
    match stand_in {
        StandIn::Visitor(exposure) => Some(Rig::of(exposure).shaded_on(venue.production.as_ref())),
        StandIn::Camera(other) => {
            Some(Rig::of(&venue.cameras.get(*other)?.exposure).shaded_on(venue.production.as_ref()))
        }
        StandIn::Spare { t_number_at_2000_lx, .. } => {
            let mut rig =
                Rig::of(&venue.cameras.get(camera)?.exposure).shaded_on(venue.production.as_ref());
            rig.t_number_at_2000_lx = (*t_number_at_2000_lx).unwrap_or(rig.t_number_at_2000_lx);
            Some(rig)
        }
    }
}

/// The venue with the lenses that are on its cameras now; `None` where none was changed.
pub fn venue_with_lenses(venue: &Venue, state: &DayState) -> Option<Venue> {
    let changed = |day: &super::CameraDay| day.horizontal_fov_deg.is_some();
    if !state.cameras.iter().any(changed) {
        return None;
    }
    let mut venue = venue.clone();
    for (post, day) in venue.cameras.iter_mut().zip(&state.cameras) {
        post.horizontal_fov_deg = day.horizontal_fov_deg.unwrap_or(post.horizontal_fov_deg);
    }
    Some(venue)
}

/// The whole minute at or before a time; every zone of today is whole minutes off UTC.
fn whole_minute(at: DateTime<Tz>) -> DateTime<Tz> {
    at - TimeDelta::seconds(at.timestamp().rem_euclid(60))
        - TimeDelta::nanoseconds(i64::from(at.timestamp_subsec_nanos()))
}
