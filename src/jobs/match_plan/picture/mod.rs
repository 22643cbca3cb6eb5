//! The pictures of a match: the field from above, and time lines.

pub mod field;
pub mod timeline;

pub use field::field;
pub use timeline::timeline;
