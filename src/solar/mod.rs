//! Stage 2, `solar`: where the sun is.
//!
//! In: a [`crate::venue::Place`] and an instant. Out: azimuth (clockwise from
//! true north) and elevation, with and without refraction, in degrees; times of
//! rise, set, noon and any crossing, in the venue's zone, to one second.

mod day;
mod position;

pub use day::SunDay;
pub use position::*;
