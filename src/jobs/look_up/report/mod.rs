//! Looking up from a place, as text, table and data.
//!
//! In: a venue and a [`LookUp`]. Out: lines of the printed summary, the skyline as CSV,
//! everything as JSON of the format `quarterstop.look-up/1`.

mod data;
mod skyline;
pub(crate) mod text;

pub use data::{FORMAT, LookUpFile, schema, write};
pub use skyline::{columns, csv};
pub use text::text;

use crate::engine::SpotKind;
use crate::venue::{Moving, Venue};

use super::{LookUp, NOON, Sunlight};

/// How the ground stands, which is the same on all days: "On all days as on 9 October at
/// 14:45: Roof open (shut from 15:50 on: --state "Roof=shut")."; `None` where nothing changes.
pub(super) fn standing(venue: &Venue, look: &LookUp) -> Option<String> {
    let changes = &venue.changes;
    let date = look.date().filter(|_| !changes.is_empty())?.date;
    let start = look.window.map(|(start, _)| start.with_timezone(&venue.place.zone).naive_local());
    let when = start.unwrap_or(date.and_time(NOON));
    let words = |moving: &Moving| {
        let name = |state: usize| moving.states.get(state).map_or("", |s| s.name.as_str());
        let now = moving.state_at(when);
        let later = moving.moves.iter().map(|m| when.date().and_time(m.at)).filter(|at| *at > when);
        let other = later.map(|at| (at, moving.state_at(at))).find(|(_, state)| *state != now);
        let other = other.map_or_else(String::new, |(at, state)| {
            let (thing, to) = (&moving.name, name(state));
            format!(" ({to} from {} on: --state \"{thing}={to}\")", at.format("%H:%M"))
        });
        format!("{} {}{other}", moving.name, name(now))
    };
    let moving: Vec<String> = changes.moving.iter().map(words).collect();
    let moving = if moving.is_empty() { String::new() } else { format!(": {}", moving.join("; ")) };
    Some(format!("On all days as on {}{moving}.", when.format("%-d %B at %H:%M")))
}

/// The word for a state.
fn state_word(sunlight: Sunlight) -> &'static str {
    match sunlight {
        Sunlight::Down => "down",
        Sunlight::BehindLand => "behind_land",
        Sunlight::Hidden { .. } => "hidden",
        Sunlight::Dimmed { .. } => "dimmed",
        Sunlight::Lit => "lit",
    }
}

/// What is between the sun and the place.
fn thing(venue: &Venue, sunlight: Sunlight) -> Option<&str> {
    match sunlight {
        Sunlight::Hidden { by } | Sunlight::Dimmed { by } => name(venue, by),
        Sunlight::BehindLand => Some("land"),
        Sunlight::Down | Sunlight::Lit => None,
    }
}

fn name(venue: &Venue, thing: usize) -> Option<&str> {
    venue.occluders.get(thing).map(|o| o.name.as_str())
}

/// "camera", "mark" or "point".
fn kind_word(look: &LookUp) -> &'static str {
    match look.spot.kind {
        SpotKind::Camera(_) => "camera",
        SpotKind::Mark => "mark",
        SpotKind::Point => "point",
    }
}
