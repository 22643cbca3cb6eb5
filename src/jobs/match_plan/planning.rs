//! What the commands that plan have in common: from options to settings.
//!
//! In: [`PlanOptions`]. Out: the venue read, `Settings`, the folder for the files, and
//! what to warn of.

use std::path::{Path, PathBuf};

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta};
use chrono_tz::Tz;

use crate::base::units::Stops;
use crate::camera::CameraView;
use crate::command::failure::Failure;
use crate::command::sky;
use crate::command::window::{AskedWindow, DefaultWindow, Window, window};
use crate::engine::{MatchPlan, Milestone, Prepared, Programme};
use crate::light::{Air, Sky};
use crate::solar::{Repeated, Sun, SunDay, SunState};
use crate::venue::{FloodlightUse, Moment, Place, Venue};
use crate::{engine, jobs, solar};

use super::options::{PlanOptions, RepeatedChoice, WhenOptions};

/// Minutes from one instant to the next.
const DEFAULT_STEP_MIN: u32 = 1;

/// A venue and what to plan for it.
pub(crate) struct ReadyPlan {
    pub venue: Venue,
    pub date: NaiveDate,
    pub settings: PlanningSettings,
}

/// A venue and a match.
pub(crate) struct VenueMatch {
    pub venue: Venue,
    pub date: NaiveDate,
    pub window: Window,
    pub programme: Programme,
}

/// Reads the venue and finds the window of the match.
///
/// # Errors
/// [`Failure`] for whatever the options or the file get wrong.
pub(crate) fn occasion(options: &WhenOptions) -> Result<VenueMatch, Failure> {
    let venue = jobs::check::command::read_venue(&options.venue, &options.field)?;
    let venue = options.held.hold(venue)?;
    let programme = programme(&venue, &options.moment);
    let date = options.date.or(venue.fixture.map(|f| f.date));
    let date = date.ok_or(Failure::NoFixture { what: "date" })?;
    let window = window_on(options, &venue, date, &programme)?;
    let venue = venue.at(window.start).into_owned();
    Ok(VenueMatch { venue, date, window, programme })
}

/// Reads the venue and makes the settings; `hold_stops` is what floodlight is asked to
/// hold splits under.
///
/// # Errors
/// [`Failure`] for whatever the options or the file get wrong.
pub(crate) fn ready(options: &PlanOptions, hold_stops: f64) -> Result<ReadyPlan, Failure> {
    let VenueMatch { venue, date, window, programme } = occasion(&options.when)?;
    let settings = PlanningSettings {
        step_minutes: options.step.unwrap_or(DEFAULT_STEP_MIN),
        sky: sky::sky(options.sky, options.direct_share)?,
        air: sky::air(&venue, &options.air)?.on(date),
        hold: Stops::from_stops(hold_stops),
        milestones: programme.milestones_from(window.start),
        window,
    };
    Ok(ReadyPlan { venue, date, settings })
}

/// The window of a match on a day.
///
/// # Errors
/// [`Failure`] where the start is open, or a time does not exist or comes twice.
pub(crate) fn window_on(
    options: &WhenOptions,
    venue: &Venue,
    date: NaiveDate,
    programme: &Programme,
) -> Result<Window, Failure> {
    let start = options.start.or(venue.fixture.map(|f| f.start));
    let asked = AskedWindow {
        date,
        start: start.ok_or(Failure::NoFixture { what: "start" })?,
        from: options.from,
        until: options.until,
    };
    let resolve =
        |date: NaiveDate, time: NaiveTime| resolve(venue.place.zone, date, time, options.repeated);
    window(asked, default_window(programme), resolve)
}

/// A day without sunrise is refused, unless floodlights may be lit.
///
/// # Errors
/// [`Failure::NoSunrise`].
pub(crate) fn refuse_polar_night(venue: &Venue, date: NaiveDate) -> Result<(), Failure> {
    if venue.floodlights.as_ref().is_some_and(|f| f.when != FloodlightUse::Never) {
        return Ok(());
    }
    match sun_day(&venue.place, date)? {
        SunDay::PolarNight { noon } => {
            let sun = sun_at(&venue.place, noon)?;
            Err(Failure::NoSunrise {
                venue: venue.title.clone(),
                date,
                noon,
                elevation_deg: sun.apparent_elevation.degrees(),
            })
        }
        _ => Ok(()),
    }
}

/// What to say where no direct sun reaches the venue in the whole window.
pub(crate) fn sunless(plan: &MatchPlan) -> Option<String> {
    let clock = |at: DateTime<Tz>| at.format("%H:%M").to_string();
    if plan.instants.iter().any(|i| i.sun_state == SunState::Up) {
        return None;
    }
    let why = match plan.instants.iter().all(|i| i.sun_state == SunState::Down) {
        true => "the sun is down",
        false => "the sun is down or behind the skyline",
    };
    let day = match plan.day {
        SunDay::RisesAndSets { rise, set, .. } => {
            format!("; it rises at {} and sets at {}", clock(rise), clock(set))
        }
        SunDay::OnlyRises { rise, .. } => format!("; it rises at {}", clock(rise)),
        SunDay::OnlySets { set, .. } => format!("; it sets at {}", clock(set)),
        SunDay::PolarDay { .. } | SunDay::PolarNight { .. } => String::new(),
    };
    Some(format!("{why} in the whole window{day}"))
}

/// The folder asked for, or one named after the venue file, day and start, and what it
/// holds.
pub(crate) fn folder(options: &WhenOptions, window: &Window, what: &str) -> PathBuf {
    if let Some(folder) = &options.into {
        return folder.clone();
    }
    let stem = options.field.stem(&options.venue);
    let start = window.start.format("%Y-%m-%d-%H%M");
    Path::new("output").join(format!("{stem}-{start}{what}"))
}

/// What a plan is made for.
#[derive(Debug, Clone)]
pub(crate) struct PlanningSettings {
    pub window: Window,
    pub step_minutes: u32,
    pub sky: Sky,
    pub air: Air,
    pub hold: Stops,
    pub milestones: Vec<Milestone>,
}

pub(crate) fn sun_day(place: &Place, date: NaiveDate) -> Result<SunDay, Failure> {
    Ok(solar::day(place, date))
}

pub(crate) fn sun_at(place: &Place, at: DateTime<Tz>) -> Result<Sun, Failure> {
    Ok(solar::position(place, at))
}

pub(crate) fn resolve(
    zone: Tz,
    date: NaiveDate,
    time: NaiveTime,
    repeated: Option<RepeatedChoice>,
) -> Result<DateTime<Tz>, Failure> {
    let repeated = repeated.map(|choice| match choice {
        RepeatedChoice::Earlier => Repeated::Earlier,
        RepeatedChoice::Later => Repeated::Later,
    });
    solar::resolve(zone, date, time, repeated).map_err(Failure::input)
}

/// The moments asked for, else those of the venue or its sport.
pub(crate) fn programme(venue: &Venue, asked: &[Moment]) -> Programme {
    match asked {
        [] => engine::programme(venue),
        stated => Programme::of(stated.to_vec()),
    }
}

/// The window that goes with a programme.
pub(crate) fn default_window(programme: &Programme) -> DefaultWindow {
    let minutes = |m: u32| TimeDelta::minutes(m.into());
    DefaultWindow {
        before_start: minutes(programme.lead_in_min),
        after_start: minutes(programme.length_min() + programme.tail_min),
    }
}

pub(crate) fn prepare(venue: &Venue, date: NaiveDate) -> Prepared<'_> {
    Prepared::new(venue, date)
}

pub(crate) fn plan(
    prepared: &Prepared<'_>,
    settings: PlanningSettings,
    progress: impl Fn(usize, usize) + Sync,
) -> Result<MatchPlan, Failure> {
    prepared.run(&of_plan(settings), progress).map_err(Failure::input)
}

/// What the cameras see under several skies, see [`Prepared::views_under`].
pub(crate) fn views_under(
    prepared: &Prepared<'_>,
    settings: PlanningSettings,
    skies: &[Sky],
) -> Result<Vec<Vec<Vec<CameraView>>>, Failure> {
    prepared.views_under(&of_plan(settings), skies).map_err(Failure::input)
}

pub(crate) fn of_plan(settings: PlanningSettings) -> engine::Settings {
    engine::Settings {
        from: settings.window.from,
        until: settings.window.until,
        step: TimeDelta::minutes(settings.step_minutes.into()),
        sky: settings.sky,
        air: settings.air,
        hold: settings.hold,
        milestones: settings.milestones,
    }
}
