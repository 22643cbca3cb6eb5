//! Changes to a venue file: numbers, any other value, whole tables.
//!
//! In: a sound [`Draft`](crate::venue::Draft) and a [`Change`]. Out: the new text, with comments
//! and order kept, and what was done in words. Whether the ground is still possible is for its
//! reader to say.

mod change;
mod tables;
mod values;

pub use change::{AddedTable, Change, Changed, NewNumber, NewValue, address_of};
pub use tables::text_of_new;
