//! Stage 6, `plan`: the stages before, over time.
//!
//! In: a venue, a window of time, a sky. Out: a [`MatchPlan`]: everything of
//! every instant, ready to draw and to write. Times are in the venue's zone.

pub mod ball;
pub mod brief;
pub mod check;
pub mod desk;
pub mod dusk;
pub mod facts;
mod light_map;
pub mod look_up;
mod model;
pub mod play;
pub mod positions;
mod prepared;
mod programme;
mod range;
mod run;
pub mod sensitivity;
mod settings;
mod surroundings;

pub use light_map::{EdgeProfile, Grid, LightMap, ProfilePoint, Reference};
pub use model::*;
pub use prepared::Prepared;
pub use programme::{Programme, programme, usual};
pub use run::run;
pub use settings::{Conditions, PlanError, Settings, USUAL_HOLD_STOPS, times};
pub use surroundings::{Encounter, Owner, Run, Seen, SkylinePoint, Surroundings};
