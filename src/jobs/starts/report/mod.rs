//! Start times of a season, told.
//!
//! In: [`StartsReport`]. Out: text for a terminal, `starts.csv` (a row a start), `season.csv` (a
//! row a fixture), JSON, one HTML page to send on, a calendar feed.

mod advice;
pub mod calendar;
pub mod data;
mod entry;
pub mod page;
mod season;
mod starts_report;
pub mod summary;
pub mod table;

pub use season::{UnderRules, no_season};
pub use starts_report::StartsReport;

use entry::{Entry, range_of};
