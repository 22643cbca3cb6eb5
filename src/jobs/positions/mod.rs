//! Compares places where a camera could stand, over one match or many.
//!
//! In: a venue with [`Candidate`](crate::venue::Candidate)s, matches, a sky. Out:
//! [`Positions`]: for every place and every camera that is there now, how much of play is
//! penalised and what the penalty is made of, which places no other beats in everything, and
//! the best set.
//!
//! All cameras share one set of faces ([`Shared`](crate::light::Sharing::Shared)), so that
//! hundreds cost what a few do.

#[cfg(feature = "cli")]
pub mod command;
mod compare;
#[cfg(feature = "cli")]
pub mod options;
pub mod picture;
pub mod report;
mod score;
mod set;
mod settings;
mod watch;
pub use compare::{MAX_WATCHED, Positions, PositionsError, ScoredPosition, SetSearch, positions};
pub use score::{PenaltyPart, PenaltyParts, PositionWeights, undominated};
pub use set::{BestSet, MAX_IN_SEARCH, MAX_IN_SET, SetError, SetRequest, best_set};
pub use settings::{PlayTime, PositionSettings};
