//! Which number of the venue file matters most to the times.
//!
//! In: a venue file open for changes, a window of time. Out: [`Sensitivity`]: for every
//! length and angle of the ground, how far each [`AnswerEvent`] moves, in minutes per metre or
//! per degree, and how far it moves when the number is off by what it may be off.
//!
//! Each number is changed a little up and a little down, the file is read again as any
//! file is, and the events are found anew: whatever follows from the number (a corner
//! that joins, a gantry's cameras) follows here.

#[cfg(feature = "cli")]
pub mod command;
pub mod events;
#[cfg(feature = "cli")]
pub mod options;
pub mod picture;
pub mod report;
mod words;

pub use events::{AnswerEvent, Question, events};
pub use words::{effect_name, known_words, unit_words};

use chrono::DateTime;
use chrono_tz::Tz;
use rayon::prelude::*;

use crate::venue::{Address, Dimension, Draft, How, Surveyed, Unit, Venue, VenueError};

/// Numbers are changed by so much, in their unit.
const CHANGE: f64 = 0.2;
/// How far off a number may be that nobody has measured: a metre, a degree.
pub const UNMEASURED_OFF: f64 = 1.0;
/// Farther off than this an event is another event, minutes.
const ANOTHER_EVENT_MIN: f64 = 60.0;
/// What moves less than this, minutes per unit, does not move: twice the tenth of a
/// second to which events are found, over both changes.
const STILL_MIN: f64 = 0.02;

/// What every number does to the times.
#[derive(Debug, Clone)]
pub struct Sensitivity {
    /// As the file stands.
    pub events: Vec<AnswerEvent>,
    /// Numbers that move something, by what they may be off: the most first.
    pub effects: Vec<Effect>,
    /// Numbers that move nothing.
    pub still: Vec<Address>,
    /// Numbers that cannot be changed alone, since the ground would be impossible.
    pub stuck: Vec<Address>,
}

/// What one number does.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    pub dimension: Dimension,
    /// What the file says of where it comes from.
    pub surveyed: Option<Surveyed>,
    /// How far it may be off, in its unit: the standard error stated, else
    /// [`UNMEASURED_OFF`].
    pub off_by: f64,
    /// For each of [`Sensitivity::events`], minutes per unit, later is positive; `None`
    /// where it may not come at all.
    pub moves: Vec<Option<f64>>,
    /// The event that moves most.
    pub most: usize,
}

impl Effect {
    /// Largest move, minutes per unit, later is positive.
    pub fn most_min_per_unit(&self) -> f64 {
        self.moves.get(self.most).copied().flatten().unwrap_or(0.0)
    }

    /// Largest move when the number is off by what it may be off, minutes either way.
    pub fn most_min(&self) -> f64 {
        self.most_min_per_unit().abs() * self.off_by
    }

    /// Events that move at all or may not come.
    pub fn touched(&self) -> usize {
        self.moves.iter().filter(|m| m.is_none_or(|m| m.abs() > STILL_MIN)).count()
    }

    /// Events that may not come at all.
    pub fn may_not_come(&self) -> usize {
        self.moves.iter().filter(|m| m.is_none()).count()
    }

    /// Whether anybody has measured it.
    pub fn is_measured(&self) -> bool {
        self.surveyed.as_ref().is_some_and(|s| s.how != How::Guess)
    }
}

/// Why there is nothing to tell.
#[derive(Debug, thiserror::Error)]
pub enum SensitivityError {
    #[error(transparent)]
    Venue(#[from] VenueError),
    #[error(
        "no mark of the field and no lens changes between sun and shade from {} to {}; take \
         another date or a wider window",
        from.format("%Y-%m-%d %H:%M"),
        until.format("%H:%M")
    )]
    NothingMoves { from: DateTime<Tz>, until: DateTime<Tz> },
}

/// What every length and angle does to the events of a window. `progress` is told how
/// many of how many numbers are done, from any thread.
///
/// # Errors
/// [`SensitivityError`] where the file is not sound or nothing happens in the window.
pub fn sensitivity(
    draft: &Draft,
    (from, until): (DateTime<Tz>, DateTime<Tz>),
    progress: impl Fn(usize, usize) + Sync,
) -> Result<Sensitivity, SensitivityError> {
    let venue = draft.venue()?;
    let base = events(&venue, from, until);
    if base.is_empty() {
        return Err(SensitivityError::NothingMoves { from, until });
    }
    // where the ground is on Earth is read off a map, and meant
    let dimensions: Vec<Dimension> = draft
        .dimensions()
        .into_iter()
        .filter(|d| d.address.parts().first().is_none_or(|table| table != "place"))
        .collect();
    let done = std::sync::atomic::AtomicUsize::new(0);
    let one = |dimension: &Dimension| {
        let moves = moves(draft, dimension, &base, (from, until));
        let before = done.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        progress(before + 1, dimensions.len());
        moves
    };
    let all: Vec<Option<Vec<Option<f64>>>> = dimensions.par_iter().map(one).collect();
    let mut found =
        Sensitivity { events: base, effects: Vec::new(), still: Vec::new(), stuck: Vec::new() };
    for (dimension, moves) in dimensions.into_iter().zip(all) {
        match moves {
            None => found.stuck.push(dimension.address),
            Some(moves) => match effect(&venue, dimension, moves) {
                Ok(effect) => found.effects.push(effect),
                Err(address) => found.still.push(address),
            },
        }
    }
    found.effects.sort_by(|a, b| {
        b.most_min().total_cmp(&a.most_min()).then(b.may_not_come().cmp(&a.may_not_come()))
    });
    Ok(found)
}

/// How far each event moves, minutes per unit; `None` where the number cannot be changed
/// either way.
fn moves(
    draft: &Draft,
    dimension: &Dimension,
    base: &[AnswerEvent],
    (from, until): (DateTime<Tz>, DateTime<Tz>),
) -> Option<Vec<Option<f64>>> {
    let changed = |by: f64| {
        let mut draft = draft.clone();
        draft.set(&dimension.address, dimension.value + by).ok()?;
        let venue = draft.venue().ok()?;
        let found = events(&venue, from, until);
        let moved = |event: &AnswerEvent| Some(nearest(event, &found)? / by);
        Some(base.iter().map(moved).collect::<Vec<Option<f64>>>())
    };
    let both: Vec<Vec<Option<f64>>> = [CHANGE, -CHANGE].into_iter().filter_map(changed).collect();
    let first = both.first()?;
    let mean = |event: usize| {
        let each: Option<Vec<f64>> = both.iter().map(|m| m.get(event).copied().flatten()).collect();
        each.map(|moves| moves.iter().sum::<f64>() / moves.len() as f64)
    };
    Some((0..first.len()).map(mean).collect())
}

/// How far the same event has moved, minutes.
fn nearest(event: &AnswerEvent, among: &[AnswerEvent]) -> Option<f64> {
    let same = among.iter().filter(|e| e.question == event.question && e.to == event.to);
    let moved = same.map(|e| (e.at - event.at).num_milliseconds() as f64 / 60_000.0);
    moved.min_by(|a, b| a.abs().total_cmp(&b.abs())).filter(|m| m.abs() < ANOTHER_EVENT_MIN)
}

fn effect(venue: &Venue, dimension: Dimension, moves: Vec<Option<f64>>) -> Result<Effect, Address> {
    let size = |m: &Option<f64>| m.map_or(0.0, f64::abs);
    let most = (0..moves.len()).max_by(|a, b| size(&moves[*a]).total_cmp(&size(&moves[*b])));
    let surveyed = venue.surveyed.iter().find(|s| s.what == dimension.address).cloned();
    let off_by = surveyed.as_ref().map_or(UNMEASURED_OFF, |s| s.plus_minus);
    let effect = Effect { off_by, surveyed, most: most.unwrap_or(0), moves, dimension };
    match effect.touched() {
        0 => Err(effect.dimension.address),
        _ => Ok(effect),
    }
}

/// Unit of a rate: "min/m".
pub fn rate_unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Metre => "min/m",
        Unit::Degree => "min/deg",
        Unit::Second => "min/s",
        Unit::One => "min",
    }
}
