//! Where the sun is.
//!
//! In: a [`crate::venue::Place`] and an instant. Out: azimuth (clockwise from
//! true north) and elevation, with and without refraction, in degrees; times of
//! rise, set, noon and any crossing, in the venue's zone, to one second.

mod clock;
mod crossing;
pub mod day;
pub mod position;
mod refraction;
mod seasons;
mod skyline;

pub use clock::{ClockError, Repeated, resolve};
pub use crossing::{TIME_TOLERANCE_S, crossings};
pub use day::{RISE_ELEVATION_DEG, SunDay, day, first_instant};
pub use position::{SUN_DIAMETER_DEG, Sun, SunState, position};
pub use refraction::{refraction_deg, true_elevation_deg};
pub use seasons::{TurningPoint, declination_deg};
pub use skyline::{skyline_elevation, state};
