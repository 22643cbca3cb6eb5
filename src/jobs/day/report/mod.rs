//! What a day has taught, in words, and the page after the match.
//!
//! In: the state of the day, its plan, what was learned. Out: plain sentences for screens,
//! one HTML file for the next visit.

pub(crate) mod page;
pub mod words;

pub use page::{AfterTold, page};
