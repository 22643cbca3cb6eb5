//! A ball and its ride, as text, table and data.
//!
//! In: a venue, a [`crate::jobs::ball::BallPlan`], how the ball was struck in words. Out:
//! lines of the printed summary, one row a look as CSV, everything as JSON of the format
//! `quarterstop.ball/2`.

mod data;
pub mod hours;
mod table;
pub(crate) mod text;

pub use data::{BallFile, FORMAT, schema, write};
pub use table::{columns, csv};
pub use text::text;

use crate::venue::Venue;

use super::{Backdrop, SunOrShade};

/// The word for a background: "turf_in_sun", "turf_in_shade", "ground_in_sun",
/// "ground_in_shade", "thing_in_sun", "thing_in_shade", "through", "land" or "sky".
fn word(backdrop: Backdrop) -> &'static str {
    match backdrop {
        Backdrop::Turf(SunOrShade::Sun) => "turf_in_sun",
        Backdrop::Turf(SunOrShade::Shade) => "turf_in_shade",
        Backdrop::Ground(SunOrShade::Sun) => "ground_in_sun",
        Backdrop::Ground(SunOrShade::Shade) => "ground_in_shade",
        Backdrop::Thing { lit: SunOrShade::Sun, .. } => "thing_in_sun",
        Backdrop::Thing { lit: SunOrShade::Shade, .. } => "thing_in_shade",
        Backdrop::Through { .. } => "through",
        Backdrop::Land => "land",
        Backdrop::Sky => "sky",
    }
}

/// The thing of a background, by the name of the venue file.
fn thing(venue: &Venue, backdrop: Backdrop) -> Option<&str> {
    match backdrop {
        Backdrop::Thing { by, .. } | Backdrop::Through { by } => name(venue, by),
        _ => None,
    }
}

fn name(venue: &Venue, thing: usize) -> Option<&str> {
    venue.occluders.get(thing).map(|o| o.name.as_str())
}
