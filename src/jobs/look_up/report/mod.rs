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
use crate::venue::Venue;

use super::{LookUp, Sunlight};

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
