//! Published tables, as they stand in their sources.

pub mod atmosphere;
pub mod observer;
