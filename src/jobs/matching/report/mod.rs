//! Matched pairs as a table, as data and in a terminal.
//!
//! In: a venue, its plan and its [`MatchedPairs`]. Out: text and bytes. What is trimmed is the
//! second camera of a pair.

pub mod data;
pub mod summary;
pub mod table;

use crate::engine::MatchPlan;
use crate::venue::Venue;

use super::{MatchedPair, MatchedPairs};

/// What is reported.
#[derive(Clone, Copy)]
pub struct MatchingReport<'a> {
    pub venue: &'a Venue,
    pub plan: &'a MatchPlan,
    pub pairs: &'a MatchedPairs,
}

impl MatchingReport<'_> {
    /// Name of a camera.
    pub fn camera(&self, index: usize) -> &str {
        self.venue.cameras.get(index).map_or("", |camera| camera.name.as_str())
    }

    /// "1 main wide / 3 near end".
    pub fn names(&self, pair: &MatchedPair) -> String {
        format!("{} / {}", self.camera(pair.cameras.0), self.camera(pair.cameras.1))
    }

    /// Name of a mark.
    pub fn place(&self, mark: usize) -> &str {
        self.venue.field.marks.get(mark).map_or("", |mark| mark.name.as_str())
    }
}
