//! A figure over the dates and the times of day of a year.
//!
//! In: a venue, a [`YearGrid`], words for the heading, and the match window. Out: a picture
//! 2000 pixels wide: dates to the right, the wall clock downward, one colour for each
//! class of the figure.
//!
//! Time is the wall clock's. The hour that clocks skip stays empty; the hour that comes
//! twice is drawn twice side by side, the first pass on the left. Both are marked over
//! the chart.

mod chart;
mod classes;
mod words;

use chrono::DateTime;
use chrono_tz::Tz;

use crate::output::canvas;
use crate::output::draw::Picture;
use crate::output::draw::sketch::Sketch;
use crate::output::error::RenderError;
use crate::venue::Venue;

use super::YearGrid;
use chart::YearChart;

/// Width of a page, pixels.
const PAGE: u32 = 2000;

/// Words over the picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct YearWords {
    /// What is shown: "share of the field in shade".
    pub figure: String,
    /// For which sky and steps.
    pub basis: String,
}

/// The match window that is laid over every day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YearWindow {
    /// Start and end of play on the day of the fixture.
    pub start: DateTime<Tz>,
    pub end: DateTime<Tz>,
}

/// Draws a figure of a year.
///
/// # Errors
/// [`RenderError::NoInstants`] for an empty grid; the drawing library's own failures.
pub fn year(
    venue: &Venue,
    grid: &YearGrid,
    words: &YearWords,
    window: Option<YearWindow>,
) -> Result<Picture, RenderError> {
    let chart = YearChart::of(grid).ok_or(RenderError::NoInstants)?;
    let mut sketch = Sketch::default();
    words::heading(&mut sketch, venue, words, grid);
    chart::cells(&mut sketch, &chart, grid);
    chart::lines(&mut sketch, &chart, grid);
    if let Some(window) = window {
        chart::window(&mut sketch, &chart, grid, window);
    }
    chart::axes(&mut sketch, &chart, grid);
    let bottom = words::legend(&mut sketch, &chart, grid, window);
    let title = format!("{}: {}", venue.title, words.figure);
    let size = (PAGE, bottom.ceil() as u32);
    canvas::draw(size, &title, &words::description(grid, words), &sketch)
}
