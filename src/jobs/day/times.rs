//! When the match goes on, and whether play runs.
//!
//! In: the nominal course of a match, its planned start, real times. Out: milestones: real
//! times where they are known, and what follows from them where they are not.

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta};
use chrono_tz::Tz;

use crate::engine::{Milestone, Programme};
use crate::solar::{ClockError, Repeated, resolve};
use crate::venue::Play;

use super::state::{DayState, Pause};

/// What play does at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlayNow {
    Before,
    Runs,
    /// Stopped where no break is due.
    Stopped,
    Break,
    Over,
}

/// The milestones of the day. A moment whose time is known or announced is at that time;
/// one that is not follows the one before it after the nominal minutes and after the stops
/// of play since.
///
/// An open stop of play moves nothing until it is known how long it took.
pub fn milestones(programme: &Programme, start: DateTime<Tz>, state: &DayState) -> Vec<Milestone> {
    let mut all: Vec<Milestone> = Vec::with_capacity(programme.moments.len());
    let mut after_min = 0;
    for (number, moment) in programme.moments.iter().enumerate() {
        let minutes = TimeDelta::minutes(i64::from(moment.after_min) - i64::from(after_min));
        let follows = match all.last() {
            Some(before) => lengthened(state, before.at, before.at + minutes),
            None => start + minutes,
        };
        let at = state.moments.get(number).copied().flatten().map_or(follows, |known| known.at);
        all.push(Milestone { name: moment.name.clone(), at, play: moment.play });
        after_min = moment.after_min;
    }
    // what nobody entered was before what somebody did
    for index in (1..all.len()).rev() {
        let known = state.moments.get(index).copied().flatten().is_some();
        let limit = all[index].at;
        if known || all[index - 1].at > limit {
            all[index - 1].at = all[index - 1].at.min(limit);
        }
    }
    all
}

/// The end of a period that began at `from`, after the stops of play in it.
fn lengthened(state: &DayState, from: DateTime<Tz>, mut until: DateTime<Tz>) -> DateTime<Tz> {
    for pause in state.pauses.iter().filter(|pause| pause.from >= from) {
        if let Some(end) = pause.until.filter(|_| pause.from < until) {
            until += end - pause.from;
        }
    }
    until
}

/// What play does at a time, by the milestones of the day.
pub fn play_now(milestones: &[Milestone], state: &DayState, at: DateTime<Tz>) -> PlayNow {
    let stops = milestones.iter().filter(|m| m.play != Play::GoesOn);
    let paused = |pause: &Pause| pause.from <= at && pause.until.is_none_or(|until| at < until);
    match stops.clone().take_while(|m| m.at <= at).last().map(|m| m.play) {
        None => PlayNow::Before,
        Some(Play::Stops) if stops.clone().all(|m| m.at <= at) => PlayNow::Over,
        Some(Play::Stops) => PlayNow::Break,
        Some(_) if state.pauses.iter().any(paused) => PlayNow::Stopped,
        Some(_) => PlayNow::Runs,
    }
}

/// Why a time that was typed is none.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LocalTimeError {
    #[error("found the time \"{0}\"; allowed: 15:04 or 15:04:20")]
    Form(String),
    #[error(transparent)]
    Clock(#[from] ClockError),
}

/// The instant of a time of day that somebody typed.
///
/// # Errors
/// [`LocalTimeError`] for what is no time, and for one that a clock change skips, or repeats
/// unless `repeated` says which.
pub fn at_local(
    zone: Tz,
    date: NaiveDate,
    text: &str,
    repeated: Option<Repeated>,
) -> Result<DateTime<Tz>, LocalTimeError> {
    let shown = || LocalTimeError::Form(text.chars().take(20).collect());
    let text = text.trim();
    let time = NaiveTime::parse_from_str(text, "%H:%M:%S")
        .or_else(|_| NaiveTime::parse_from_str(text, "%H:%M"))
        .map_err(|_| shown())?;
    Ok(resolve(zone, date, time, repeated)?)
}
