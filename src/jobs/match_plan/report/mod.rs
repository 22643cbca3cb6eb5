//! The tables, the JSON and the printed summary of a match.

pub mod csv;
pub mod dusk;
pub mod json;
pub mod map_csv;
pub mod summary;
