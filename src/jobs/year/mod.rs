//! A year of shares and splits at one venue.
//!
//! In: rows of [`crate::engine::season`]. Out: a table that is kept in parts and can be
//! continued, and a picture.

#[cfg(feature = "cli")]
pub mod command;
mod grid;
#[cfg(feature = "cli")]
pub mod options;
pub mod picture;
pub mod report;

pub use grid::{GridCell, GridDay, GridReading, YearGrid};
