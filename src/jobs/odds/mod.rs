//! How likely sun is, hour by hour, from weather files or stations.

#[cfg(feature = "cli")]
pub mod command;
pub mod report;
