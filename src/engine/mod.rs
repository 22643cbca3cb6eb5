//! The stages before, over time.
//!
//! In: a venue, a window of time, a sky. Out: a [`MatchPlan`]: everything of
//! every instant, ready to draw and to write. Times are in the venue's zone.

mod casters;
mod hidden;
mod instant;
pub(crate) mod lit_venue;
pub(crate) mod model;
pub(crate) mod prepared;
pub mod programme;
mod range;
pub mod run;
pub mod season;
mod settings;
mod shade;
pub(crate) mod spot;
pub(crate) mod stretches;
pub(crate) mod surroundings;
pub mod view;

pub use spot::{
    DEFAULT_EYE_M, MAX_COORDINATE_M, Spot, SpotError, SpotKind, find, known_names, point,
};
pub(crate) use stretches::stretches;

pub use hidden::Hidden;
pub use model::*;
pub use prepared::Prepared;
pub use programme::{Programme, programme, usual};
pub use run::run;
pub use settings::{Conditions, DEFAULT_HOLD_STOPS, PlanError, Settings, times};
pub use shade::Shade;
pub use surroundings::{
    ElevationSpan, NamedHit, Owner, SeenInDirection, SkylinePoint, Surroundings,
};
