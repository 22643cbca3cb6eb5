//! What all commands have in common.
//!
//! In: words of the command line, errors of the stages and jobs. Out: values, progress on
//! stderr, text on stdout, a [`Failure`] with its exit code. Knows no job.

pub(crate) mod failure;
pub(crate) mod interrupt;
pub(crate) mod point;
pub(crate) mod print;
pub(crate) mod progress;
pub(crate) mod sky;
pub mod window;
pub(crate) mod words;

pub use failure::{Failure, WindowError};
pub use sky::{AirNumber, AirWord, SkyChoice};
