//! What to measure first, told: a table, JSON, a summary, and a list for the recce.
//!
//! In: a venue and its [`Sensitivity`]. Out: text and bytes.

pub mod data;
pub mod list;
pub mod summary;
pub mod table;
mod words;

pub use words::event_name;

use crate::venue::Venue;

use super::Sensitivity;

/// What is told.
#[derive(Debug, Clone, Copy)]
pub struct SensitivityReport<'a> {
    pub venue: &'a Venue,
    pub found: &'a Sensitivity,
}
