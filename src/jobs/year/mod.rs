//! A year of shares and splits at one venue.
//!
//! In: rows of [`crate::engine::season`]. Out: a table that is kept in parts and can be
//! continued, and a picture.

pub mod command;
mod grid;
pub mod options;
pub mod picture;
pub mod report;

pub use grid::{Grid, GridCell, GridDay, Reading};
