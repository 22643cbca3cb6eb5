//! The commands that import data of others into a venue file, see [`crate::import`].

pub mod horizon;
pub mod mesh;
pub mod outlines;
mod words;
