//! The venue file that is open: its text, its history, and the file on the disc.
//!
//! In: changes from pages, and what other programs write. Out: a new revision of the ground
//! each time, and a file that is written whole before a change is answered. What is on the
//! disc is never written over unseen: a text that this session does not know is taken as a
//! change where it reads and nothing here waits to be written, else it is a conflict, which
//! a person decides.

mod on_disk;
mod open_venue;
mod revisions;
mod standing;

pub use on_disk::{check, read_text};
pub use revisions::Workspace;
pub use standing::{Broken, Cause, Current, FileConflict, FileStanding, no_ground};
