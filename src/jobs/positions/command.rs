//! `quarterstop positions`: where a camera should stand.
//!
//! In: a venue file with candidates, and options. Out: a table, JSON, a picture, and a
//! summary on stdout.

use chrono::{Days, NaiveDate, TimeDelta};

use crate::base::files::{FileName, FileSet};
use crate::base::units::Stops;
use crate::command::failure::{Failure, WindowError};
use crate::command::print::{ink, print, warn};
use crate::command::progress::Progress;
use crate::command::sky;
use crate::jobs::match_plan::planning;
use crate::jobs::match_plan::planning::ReadyPlan;
use crate::output::draw::Picture;
use crate::venue::Venue;
use crate::{jobs, output};

use super::options::PositionsOptions;
use super::report::{PositionsReport, data, table};
use super::{PlayTime, PositionSettings, PositionWeights, Positions, SetSearch};

/// More matches than this are refused.
const MAX_MATCHES: usize = 1_000;
/// Minutes from one instant to the next.
const DEFAULT_STEP_MIN: u32 = 2;

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames
/// themselves fail.
pub(crate) fn run(options: &PositionsOptions) -> Result<(), Failure> {
    let ReadyPlan { venue, date, settings } = planning::ready(&options.plan, 2.0)?;
    let folder = planning::folder(&options.plan.when, &settings.window, "-positions");
    let matches = matches(options, &venue, date)?;
    let settings = PositionSettings {
        matches,
        step: TimeDelta::minutes(options.plan.step.unwrap_or(DEFAULT_STEP_MIN).into()),
        sky: sky::sky(options.plan.sky, options.plan.direct_share)?,
        air: sky::air(&venue, &options.plan.air)?,
        over: options.over.iter().copied().map(Stops::from_stops).collect(),
        weights: weights(options),
        set: set_size(options, &venue),
        apart_m: options.apart_m,
    };
    let mut set =
        FileSet::open(&folder, &jobs::check::command::inputs(&options.plan.when.venue, &venue))?;
    let progress = Progress::of("cameras at every place");
    let positions = positions(&venue, &settings, |done, all| progress.report(done, all))?;
    drop(progress);
    if positions.sun_min == 0.0 {
        warn(Some("no direct sun reaches the venue while play runs".to_owned()));
    }
    if positions.set == SetSearch::NoneApart {
        warn(Some(format!("no set of positions is {} m apart", settings.apart_m)));
    }
    let report = PositionsReport { venue: &venue, positions: &positions };
    let picture = positions_picture(&venue, &positions)?;
    set.stage(FileName::new("positions", "svg"), picture.svg.as_bytes())?;
    set.stage(FileName::new("positions", "png"), &picture.png().map_err(Failure::picture)?)?;
    set.stage(FileName::new("positions", "csv"), &table::csv(&report)?)?;
    set.stage(FileName::new("positions", "json"), &data::write(&report)?)?;
    let names = set.commit()?;
    let ink = ink();
    let text = super::report::summary::text(&report, ink);
    print(&format!("{text}\n{}", output::text::files(&folder, &names, ink)))
}

fn weights(options: &PositionsOptions) -> PositionWeights {
    let weigh = options.weigh.iter();
    weigh.fold(PositionWeights::default(), |weights, (part, weight)| weights.with(*part, *weight))
}

/// What was asked for; else one of each candidate, where there are several.
fn set_size(options: &PositionsOptions, venue: &Venue) -> Option<usize> {
    use crate::jobs::positions::{MAX_IN_SEARCH, MAX_IN_SET};
    let tables = venue.candidates.len();
    let places: usize = venue.candidates.iter().map(|c| c.posts.len()).sum();
    let usual = (2..=MAX_IN_SET).contains(&tables) && places <= MAX_IN_SEARCH;
    options.set.map(|n| n as usize).or(usual.then_some(tables))
}

/// The same course of play on every day asked for.
fn matches(
    options: &PositionsOptions,
    venue: &Venue,
    first: NaiveDate,
) -> Result<Vec<PlayTime>, Failure> {
    let programme = planning::programme(venue, &options.plan.when.moment);
    let mut dates = vec![first];
    if let Some(last) = options.last_date {
        let next = |day: &NaiveDate| *day + Days::new(options.every_days.into());
        dates = std::iter::successors(Some(first), |day| Some(next(day)))
            .take_while(|day| *day <= last)
            .take(MAX_MATCHES + 1)
            .collect();
    }
    dates.extend(&options.also_on);
    dates.sort_unstable();
    dates.dedup();
    if dates.len() > MAX_MATCHES {
        return Err(WindowError::TooManyMatches { most: MAX_MATCHES }.into());
    }
    let one = |date: NaiveDate| {
        let window = planning::window_on(&options.plan.when, venue, date, &programme)?;
        let milestones = programme.milestones_from(window.start);
        Ok(PlayTime { milestones, within: (window.from, window.until) })
    };
    dates.into_iter().map(one).collect()
}

pub(crate) fn positions(
    venue: &Venue,
    settings: &PositionSettings,
    progress: impl Fn(usize, usize) + Sync,
) -> Result<Positions, Failure> {
    super::positions(venue, settings, progress).map_err(Failure::input)
}

pub(crate) fn positions_picture(venue: &Venue, positions: &Positions) -> Result<Picture, Failure> {
    super::picture::positions(venue, positions).map_err(Failure::picture)
}
