//! What all outputs share, whatever job they belong to.
//!
//! In: marks, words and numbers of a job. Out: finished documents. Pure: no clock, no
//! files, no system fonts.

pub(crate) mod draw;
