//! A match: when the shade is where, and how many stops both sides are apart.
//!
//! In: a venue and a [`crate::engine::MatchPlan`]. Out: what stands out of it (`facts`,
//! `play`, `dusk`), light on the ground (`light_map`), pictures, tables and the summary.

pub mod command;
pub mod dusk;
pub mod facts;
mod light_map;
pub mod options;
pub mod picture;
pub mod pictured;
pub mod planning;
pub mod play;
pub(crate) mod reading;
pub mod report;

pub use light_map::{EdgeProfile, Grid, LightMap, ProfilePoint, Reference};
