//! A match: when the shade is where, and how many stops both sides are apart.
//!
//! In: a venue and a [`crate::engine::MatchPlan`]. Out: what stands out of it (`facts`,
//! `play`, `dusk`), light on the ground (`light_map`), pictures, tables and the summary.

#[cfg(feature = "cli")]
pub mod command;
pub mod dusk;
pub mod facts;
mod light_map;
#[cfg(feature = "cli")]
pub mod options;
pub mod picture;
#[cfg(feature = "cli")]
pub mod pictured;
#[cfg(feature = "cli")]
pub mod planning;
pub mod play;
#[cfg(feature = "cli")]
pub(crate) mod reading;
pub mod report;

pub use light_map::{EdgeProfile, LightMap, MapGrid, ProfilePoint, ReferencePoint};
