//! What every stage stands on: files that are whole or absent, and what
//! tells one content from another.

pub(crate) mod bounded;
pub mod files;
pub mod frame;
#[cfg(feature = "parquet")]
pub mod guard;
pub mod limits;
#[cfg(any(feature = "cli", feature = "parquet"))]
pub(crate) mod meaning;
#[cfg(feature = "serve")]
pub(crate) mod memory;
pub mod plane;
pub mod read;
pub mod sheet;
pub mod slug;
pub(crate) mod staging;
pub mod target;
pub(crate) mod union;
pub mod units;
