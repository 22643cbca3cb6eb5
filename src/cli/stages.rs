//! The one place where the command calls the stages.
//!
//! In: what the options mean. Out: results of `venue`, `solar`, `plan` and
//! `render`, their errors as [`Failure`].

use std::path::Path;

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta};
use chrono_tz::Tz;

use crate::base::target::Inputs;
use crate::camera::CameraView;
use crate::light::{Air, Sky};
use crate::plan::ball::{BallPlan, BallSettings, Comparison};
use crate::plan::brief::{Brief, BriefSettings};
use crate::plan::look_up::LookUp;
use crate::plan::positions::{PositionSettings, Positions};
use crate::plan::sensitivity::Sensitivity;
use crate::plan::{self, LightMap, MatchPlan, Milestone, Prepared, Programme, Reference};
use crate::render::{self, EyeView, Picture};
use crate::report::check;
use crate::solar::{self, Repeated, Sun, SunDay};
use crate::units::Stops;
use crate::venue::{self, Draft, Moment, Place, Venue};

use super::failure::Failure;
use super::options::RepeatedChoice;
use super::planning::warn;
use super::window::{UsualWindow, Window};

/// What a plan is made for.
#[derive(Debug, Clone)]
pub(super) struct Settings {
    pub window: Window,
    pub step_minutes: u32,
    pub sky: Sky,
    pub air: Air,
    pub hold: Stops,
    pub milestones: Vec<Milestone>,
}

/// Reads a venue file to plan it, and warns of what would spoil every plan.
pub(super) fn read_venue(path: &Path) -> Result<Venue, Failure> {
    let venue = read_unwarned(path)?;
    venue.plannable(&path.display().to_string()).map_err(|e| Failure::Venue(Box::new(e)))?;
    warn_of_slips(&venue, path);
    Ok(venue)
}

/// Warns of what would spoil every plan of a venue that was read from `path`.
pub(super) fn warn_of_slips(venue: &Venue, path: &Path) {
    warn_of_new_slips(venue, path, None);
}

/// The same without what was so `before`.
pub(super) fn warn_of_new_slips(venue: &Venue, path: &Path, before: Option<&Venue>) {
    let before = before.map(plan::check::slips).unwrap_or_default();
    let mut slips = plan::check::slips(venue);
    slips.retain(|slip| !before.contains(slip));
    for line in check::warnings(venue, &slips, &path.display().to_string()) {
        warn(Some(line));
    }
}

/// Reads a venue file, for a command that says itself what looks suspicious.
pub(super) fn read_unwarned(path: &Path) -> Result<Venue, Failure> {
    venue::read(path).map_err(|e| Failure::Venue(Box::new(e)))
}

/// The files that a run on a venue reads, which it must not write over.
pub(super) fn inputs(path: &Path, venue: &Venue) -> Inputs {
    Inputs::of([path]).and(venue::mesh::files_of(path, &venue.meshes))
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

/// The moments asked for, else those of the venue or its sport.
pub(super) fn programme(venue: &Venue, asked: &[Moment]) -> Programme {
    match asked {
        [] => plan::programme(venue),
        stated => Programme::of(stated.to_vec()),
    }
}

/// The window that goes with a programme.
pub(super) fn usual_window(programme: &Programme) -> UsualWindow {
    let minutes = |m: u32| TimeDelta::minutes(m.into());
    UsualWindow {
        before_start: minutes(programme.lead_in_min),
        after_start: minutes(programme.length_min() + programme.tail_min),
    }
}

pub(super) fn prepare(venue: &Venue, date: NaiveDate) -> Prepared<'_> {
    Prepared::new(venue, date)
}

/// The point that light maps count from.
pub(super) fn reference(
    venue: &Venue,
    prepared: &Prepared<'_>,
    asked: Option<&str>,
) -> Result<Reference, Failure> {
    prepared.reference(asked).ok_or_else(|| Failure::NoSuchMark {
        asked: asked.unwrap_or_default().to_owned(),
        known: venue.field.marks.iter().map(|mark| mark.name.clone()).collect(),
    })
}

pub(super) fn plan(
    prepared: &Prepared<'_>,
    settings: Settings,
    progress: impl Fn(usize, usize) + Sync,
) -> Result<MatchPlan, Failure> {
    prepared.run(&of_plan(settings), progress).map_err(|e| Failure::Plan(Box::new(e)))
}

/// What the cameras see under several skies, see [`Prepared::views_under`].
pub(super) fn views_under(
    prepared: &Prepared<'_>,
    settings: Settings,
    skies: &[Sky],
) -> Result<Vec<Vec<Vec<CameraView>>>, Failure> {
    prepared.views_under(&of_plan(settings), skies).map_err(|e| Failure::Plan(Box::new(e)))
}

fn of_plan(settings: Settings) -> plan::Settings {
    plan::Settings {
        from: settings.window.from,
        until: settings.window.until,
        step: TimeDelta::minutes(settings.step_minutes.into()),
        sky: settings.sky,
        air: settings.air,
        hold: settings.hold,
        milestones: settings.milestones,
    }
}

pub(super) fn eye_view(
    venue: &Venue,
    plan: &MatchPlan,
    index: usize,
    view: &EyeView,
) -> Result<Picture, Failure> {
    render::eye_view(venue, plan, index, view).map_err(|e| Failure::Picture(Box::new(e)))
}

pub(super) fn eye_strip(
    venue: &Venue,
    plan: &MatchPlan,
    indices: &[usize],
    views: &[EyeView],
) -> Result<Picture, Failure> {
    render::eye_strip(venue, plan, indices, views).map_err(|e| Failure::Picture(Box::new(e)))
}

pub(super) fn brief(
    prepared: &Prepared<'_>,
    plan: &MatchPlan,
    settings: &BriefSettings,
) -> Result<Brief, Failure> {
    plan::brief::brief(prepared, plan, settings).map_err(|e| Failure::Brief(Box::new(e)))
}

pub(super) fn positions(
    venue: &Venue,
    settings: &PositionSettings,
    progress: impl Fn(usize, usize) + Sync,
) -> Result<Positions, Failure> {
    plan::positions::positions(venue, settings, progress)
        .map_err(|e| Failure::Positions(Box::new(e)))
}

pub(super) fn positions_picture(venue: &Venue, positions: &Positions) -> Result<Picture, Failure> {
    render::positions(venue, positions).map_err(|e| Failure::Picture(Box::new(e)))
}

/// What starts cost at one venue.
pub(super) fn starts_picture(costs: &render::StartCosts<'_>) -> Result<Picture, Failure> {
    render::starts(costs).map_err(|e| Failure::Picture(Box::new(e)))
}

pub(super) fn draft(path: &Path) -> Result<Draft, Failure> {
    Draft::read(path).map_err(|e| Failure::Venue(Box::new(e)))
}

pub(super) fn sensitivity(
    draft: &Draft,
    window: (DateTime<Tz>, DateTime<Tz>),
    progress: impl Fn(usize, usize) + Sync,
) -> Result<Sensitivity, Failure> {
    plan::sensitivity::sensitivity(draft, window, progress)
        .map_err(|e| Failure::Sensitivity(Box::new(e)))
}

pub(super) fn sensitivity_picture(venue: &Venue, found: &Sensitivity) -> Result<Picture, Failure> {
    render::sensitivity(venue, found).map_err(|e| Failure::Picture(Box::new(e)))
}

/// Light at the instants of `indices`.
pub(super) fn light_maps(
    prepared: &Prepared<'_>,
    plan: &MatchPlan,
    indices: &[usize],
    reference: &Reference,
) -> Vec<LightMap> {
    let times = indices.iter().filter_map(|i| plan.instants.get(*i)).map(|i| i.at);
    times.map(|at| prepared.light_map(at, plan.sky, &plan.air, reference.clone(), None)).collect()
}

pub(super) fn timeline(venue: &Venue, plan: &MatchPlan) -> Result<Picture, Failure> {
    render::timeline(venue, plan).map_err(|e| Failure::Picture(Box::new(e)))
}

pub(super) fn field(venue: &Venue, plan: &MatchPlan, index: usize) -> Result<Picture, Failure> {
    render::field(venue, plan, index).map_err(|e| Failure::Picture(Box::new(e)))
}

pub(super) fn light_timeline(venue: &Venue, plan: &MatchPlan) -> Result<Picture, Failure> {
    render::light_timeline(venue, plan).map_err(|e| Failure::Picture(Box::new(e)))
}

pub(super) fn look_up(venue: &Venue, look: &LookUp) -> Result<Picture, Failure> {
    render::look_up(venue, look).map_err(|e| Failure::Picture(Box::new(e)))
}

pub(super) fn ball(
    prepared: &Prepared<'_>,
    date: NaiveDate,
    settings: &BallSettings,
) -> Result<BallPlan, Failure> {
    BallPlan::new(prepared, date, settings).map_err(|e| Failure::Ball(Box::new(e)))
}

pub(super) fn times_with_sun(
    venue: &Venue,
    date: NaiveDate,
    every_min: u32,
    clock: (Option<NaiveTime>, Option<NaiveTime>),
) -> Vec<DateTime<Tz>> {
    plan::ball::times_with_sun(&venue.place, date, every_min, clock)
}

pub(super) fn ball_hours_picture(venue: &Venue, found: &Comparison) -> Result<Picture, Failure> {
    render::ball_hours(venue, found).map_err(|e| Failure::Picture(Box::new(e)))
}

pub(super) fn ball_picture(venue: &Venue, plan: &BallPlan) -> Result<Picture, Failure> {
    render::ball(venue, plan).map_err(|e| Failure::Picture(Box::new(e)))
}

pub(super) fn light_map(venue: &Venue, map: &LightMap) -> Result<Picture, Failure> {
    render::light_map(venue, map).map_err(|e| Failure::Picture(Box::new(e)))
}
