//! Stage 1, `venue`: read and check the venue file.
//!
//! In: a TOML file in the ground's own axes. Out: a [`Venue`] that is valid as
//! a whole, every point in the local frame (metres, x east, y north, z up),
//! every bearing true. Nothing downstream checks it again.

pub mod file;
mod model;
mod problem;

pub use model::*;
pub use problem::{Problem, Problems};
