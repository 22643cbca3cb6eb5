//! What every stage stands on: files that are whole or absent, and what
//! tells one content from another.

pub mod limits;
pub(crate) mod meaning;
#[cfg(feature = "serve")]
pub(crate) mod memory;
pub(crate) mod staging;
pub mod target;
pub(crate) mod union;
