//! Stage 6, `plan`: the stages before, over time.
//!
//! In: a venue, a list of instants, a sky. Out: a [`MatchPlan`]: everything of
//! every instant, ready to draw and to write.

mod model;

pub use model::*;
