//! Stage 7, `report`: data and text.
//!
//! In: a venue and a [`crate::plan::MatchPlan`]. Out: CSV, JSON, the printed
//! summary, and files that appear whole or not at all.
//!
//! Everything but [`files`] is pure: the same venue and plan give the same text,
//! whatever the clock, the folder or the language of the machine.

pub mod air;
pub mod ball;
pub mod brief;
pub mod changed;
pub mod check;
pub mod clouds;
pub mod csv;
pub mod day;
pub mod dusk;
pub mod files;
pub mod fit;
pub mod forecast;
pub mod front;
pub mod ics;
pub mod inventory;
pub mod json;
pub mod look_up;
pub mod map_csv;
pub mod meshes;
pub mod odds;
mod paper;
pub mod places;
pub mod positions;
pub mod sensitivity;
pub mod slug;
pub mod starts;
pub mod station;
pub mod summary;
pub(crate) mod words;
pub mod year;

pub use json::schema;
