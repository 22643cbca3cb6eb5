//! Cameras that move between the grounds of a day.
//!
//! In: what the lead of the day asks. Out: a line in the logs of both grounds, which have an
//! id in common. The log of the ground that a camera is of leads, and the other follows it:
//! [`settle`](crate::serve::grounds::Grounds::settle) writes what a log lacks, after an entry
//! was taken back, after a moment of play has moved, after a crash between the two lines.

mod grounds;
mod lines;

pub(in crate::serve) use grounds::enter;
