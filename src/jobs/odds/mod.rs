//! How likely sun is, hour by hour, from weather files or stations.

pub mod command;
pub mod report;
