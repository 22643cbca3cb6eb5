//! Positions compared, told: a table, JSON, a summary.
//!
//! In: a venue and its [`Positions`]. Out: text and bytes. `penalty` and its parts are
//! those of [`crate::jobs::positions::PositionWeights`].

pub mod data;
pub mod summary;
pub mod table;

use crate::base::frame::FieldPoint;
use crate::venue::Venue;

use super::{Positions, ScoredPosition, SetSearch};

/// What is told.
#[derive(Debug, Clone, Copy)]
pub struct PositionsReport<'a> {
    pub venue: &'a Venue,
    pub positions: &'a Positions,
}

impl PositionsReport<'_> {
    /// A place in field axes.
    fn place(&self, site: &ScoredPosition) -> FieldPoint {
        self.venue.field.frame.to_field(site.post.at)
    }

    /// The candidate that a place belongs to.
    fn candidate(&self, site: &ScoredPosition) -> Option<&str> {
        self.venue.candidates.get(site.candidate?).map(|c| c.name.as_str())
    }

    fn is_pick(&self, index: usize) -> bool {
        self.positions.picks.contains(&Some(index))
    }

    fn is_in_set(&self, index: usize) -> bool {
        matches!(&self.positions.set, SetSearch::Found(set) if set.places.contains(&index))
    }

    fn is_on_front(&self, index: usize) -> bool {
        self.positions.front.contains(&index)
    }

    /// Names of the cameras that everyone is matched to.
    fn fixed(&self) -> impl Iterator<Item = &str> {
        let name = |camera: &usize| self.venue.cameras.get(*camera).map(|c| c.name.as_str());
        self.positions.fixed.iter().filter_map(name)
    }
}
