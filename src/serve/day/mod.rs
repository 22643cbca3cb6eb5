//! Match day on the live page: what the crew enters, for all screens.
//!
//! In: the ground, entries of screens. Out: the log beside the venue file, the state and
//! the plan as JSON, an event for all screens when either changes. An entry counts when it
//! is down on the disc; then every screen is notified, and then the plan is made anew.

pub mod clock;
mod data;
mod match_day;
pub(in crate::serve) mod moves;
mod open_day;
mod outlook;
pub mod pass;
mod planning;
pub mod routes;
pub mod share;

pub use match_day::MatchDay;
pub(super) use open_day::OpenDay;
