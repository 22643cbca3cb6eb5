//! The names of places, marks and cameras of a venue, as other commands take them.

#[cfg(feature = "cli")]
pub mod command;
pub mod report;
