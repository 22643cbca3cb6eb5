//! The crew's brief on paper, on a tablet, in a calendar and as data.
//!
//! In: a venue, its [`MatchPlan`] and the [`Brief`] made from it. Out: pages as HTML
//! that need no network, an iCalendar, CSV and JSON. All times are in the venue's zone
//! but those of the calendar, which are UTC.

pub mod board;
mod board_data;
pub mod calendar;
pub mod data;
pub(crate) mod desk_words;
pub(crate) mod faces;
mod heights;
mod outputs;
pub mod page;
#[cfg(feature = "pdf")]
pub mod pdf;
pub mod summary;
pub mod tables;
pub(crate) mod words;

use crate::engine::MatchPlan;
use crate::jobs::forecast::DayOutlook;
use crate::venue::Venue;

use crate::jobs::crew::Brief;

/// All that a report of the brief reads.
#[derive(Clone, Copy)]
pub struct BriefReport<'a> {
    pub venue: &'a Venue,
    pub plan: &'a MatchPlan,
    pub brief: &'a Brief,
    /// What the forecast of the day makes of it, of the same instants; `None` without one.
    pub forecast: Option<&'a DayOutlook>,
    /// Cameras, by index, from which most of their cover is hidden, each with a sentence.
    pub hidden: &'a [(usize, String)],
}

impl BriefReport<'_> {
    /// What keeps a camera from seeing most of its cover.
    fn hidden(&self, camera: usize) -> impl Iterator<Item = &str> {
        let its = self.hidden.iter().filter(move |(of, _)| *of == camera);
        its.map(|(_, words)| words.as_str())
    }
}

/// Why a report of the brief cannot be written; a fault of the program, whatever the
/// venue holds.
#[derive(Debug, thiserror::Error)]
pub enum BriefReportError {
    #[error("the page could not be put together: {0}; this is a fault of the program")]
    Page(#[from] minijinja::Error),
    #[error("the PDF could not be put together: {what}; this is a fault of the program")]
    Pdf { what: String },
    #[error("the data could not be written: {0}; this is a fault of the program")]
    Json(#[from] serde_json::Error),
    #[error("the table could not be written: {0}; this is a fault of the program")]
    Table(#[from] crate::output::csv::CsvError),
}
