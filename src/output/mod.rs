//! What all outputs share, whatever job they belong to.
//!
//! In: marks, words and numbers of a job. Out: finished documents. Pure: no clock, no
//! files, no system fonts.

pub mod air;
pub(crate) mod canvas;
pub mod cautions;
pub mod csv;
pub mod draw;
pub mod error;
pub mod front;
pub mod ics;
pub mod json;
pub(crate) mod paper;
#[cfg(feature = "parquet")]
pub mod partition;
pub mod table;
pub mod text;
pub(crate) mod words;
