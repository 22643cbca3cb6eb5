//! What the commands that plan have in common: from options to settings.
//!
//! In: [`PlanOptions`]. Out: the venue read, [`Settings`], the folder for the files, and
//! what to warn of.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use chrono::{DateTime, NaiveDate, NaiveTime};
use chrono_tz::Tz;

use crate::plan::{MatchPlan, Programme};
use crate::report::slug::slug;
use crate::solar::{SunDay, SunState};
use crate::units::Stops;
use crate::venue::{FloodlightUse, Venue};

use super::failure::Failure;
use super::options::{PlanOptions, WhenOptions};
use super::sky;
use super::stages::{self, Settings};
use super::window::{Asked, Window, window};

/// Minutes from one instant to the next.
const USUAL_STEP_MIN: u32 = 1;

/// A venue and what to plan for it.
pub(super) struct Ready {
    pub venue: Venue,
    pub date: NaiveDate,
    pub settings: Settings,
}

/// A venue and a match.
pub(super) struct Occasion {
    pub venue: Venue,
    pub date: NaiveDate,
    pub window: Window,
    pub programme: Programme,
}

/// Reads the venue and finds the window of the match.
///
/// # Errors
/// [`Failure`] for whatever the options or the file get wrong.
pub(super) fn occasion(options: &WhenOptions) -> Result<Occasion, Failure> {
    let venue = stages::read_venue(&options.venue)?;
    let programme = stages::programme(&venue, &options.moment);
    let date = options.date.or(venue.fixture.map(|f| f.date));
    let date = date.ok_or(Failure::NoFixture { what: "date" })?;
    let window = window_on(options, &venue, date, &programme)?;
    Ok(Occasion { venue, date, window, programme })
}

/// Reads the venue and makes the settings; `hold_stops` is what floodlight is asked to
/// hold splits under.
///
/// # Errors
/// [`Failure`] for whatever the options or the file get wrong.
pub(super) fn ready(options: &PlanOptions, hold_stops: f64) -> Result<Ready, Failure> {
    let Occasion { venue, date, window, programme } = occasion(&options.when)?;
    let settings = Settings {
        step_minutes: options.step.unwrap_or(USUAL_STEP_MIN),
        sky: sky::sky(options.sky, options.direct_share)?,
        air: sky::air(&venue, &options.air)?.on(date),
        hold: Stops::from_stops(hold_stops),
        milestones: programme.milestones_from(window.start),
        window,
    };
    Ok(Ready { venue, date, settings })
}

/// A warning on stderr.
pub(super) fn warn(warning: Option<String>) {
    if let Some(warning) = warning {
        // eprintln! would panic where stderr is closed
        let _ = writeln!(io::stderr(), "warning: {warning}");
    }
}

/// The window of a match on a day.
///
/// # Errors
/// [`Failure`] where the start is open, or a time does not exist or comes twice.
pub(super) fn window_on(
    options: &WhenOptions,
    venue: &Venue,
    date: NaiveDate,
    programme: &Programme,
) -> Result<Window, Failure> {
    let start = options.start.or(venue.fixture.map(|f| f.start));
    let asked = Asked {
        date,
        start: start.ok_or(Failure::NoFixture { what: "start" })?,
        from: options.from,
        until: options.until,
    };
    let resolve = |date: NaiveDate, time: NaiveTime| {
        stages::resolve(venue.place.zone, date, time, options.repeated)
    };
    window(asked, stages::usual_window(programme), resolve)
}

/// A day without sunrise is refused, unless floodlights may be lit.
///
/// # Errors
/// [`Failure::NoSunrise`].
pub(super) fn refuse_polar_night(venue: &Venue, date: NaiveDate) -> Result<(), Failure> {
    if venue.floodlights.as_ref().is_some_and(|f| f.when != FloodlightUse::Never) {
        return Ok(());
    }
    match stages::sun_day(&venue.place, date)? {
        SunDay::PolarNight { noon } => {
            let sun = stages::sun_at(&venue.place, noon)?;
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
pub(super) fn sunless(plan: &MatchPlan) -> Option<String> {
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
pub(super) fn folder(options: &WhenOptions, window: &Window, what: &str) -> PathBuf {
    if let Some(folder) = &options.into {
        return folder.clone();
    }
    let stem = options.venue.file_stem().map(|s| s.to_string_lossy());
    let stem = slug(stem.as_deref().unwrap_or_default(), "venue");
    let start = window.start.format("%Y-%m-%d-%H%M");
    Path::new("output").join(format!("{stem}-{start}{what}"))
}
