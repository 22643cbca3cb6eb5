//! A forecast over a match: which skies are possible, and what to prepare for.
//!
//! In: a forecast, a plan, a brief. Out: a [`DayOutlook`], tables and texts.

pub mod command;
pub(crate) mod day;
pub mod report;

pub use day::{DayOutlook, Expect, Minute, Ready, Stretch, UnderSky, skies};
