//! What the crew needs before the match, on paper, on a tablet and in a calendar.
//!
//! In: a [`crate::jobs::crew::Brief`] and, where there is one, what a forecast makes of the
//! day. Out: pages, pictures through the cameras, calendars and tables.

#[cfg(feature = "cli")]
pub mod command;
#[cfg(feature = "cli")]
pub mod options;
pub mod report;
#[cfg(feature = "cli")]
mod through;
