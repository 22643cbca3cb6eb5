//! Stage 7, `render`: pictures.
//!
//! In: a venue and a [`crate::plan::MatchPlan`]. Out: SVG text and PNG bytes.
//! Pure: no clock, no files, no system fonts.

mod ball;
mod canvas;
mod eye;
mod field;
mod ground_plan;
mod look_up;
mod sensitivity;
mod starts;
mod timeline;
mod year;

pub use crate::output::draw::Picture;
pub(crate) use crate::output::draw::{clip, palette, sketch, text};
pub use ball::{ball, ball_hours};
pub use eye::{EyeView, MOST_IN_STRIP, eye_frame, eye_strip, eye_view};
pub use field::{field, light_map, positions};
pub use ground_plan::ground_plan;
pub use look_up::look_up;
pub use sensitivity::sensitivity;
pub use starts::{Costs as StartCosts, starts};
pub use timeline::{light_timeline, timeline};
pub use year::{YearWindow, YearWords, year};

/// Why a picture cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RenderError {
    /// Nothing to show.
    #[error("the plan holds no instants, so there is nothing to draw; plan a longer window")]
    NoInstants,
    /// An instant that the plan does not have.
    #[error("the plan has {count} instants, so there is none of index {index} to draw")]
    NoSuchInstant { index: usize, count: usize },
    /// A camera that the venue does not have.
    #[error("there is no camera of index {index} to look through; cameras of the venue: {count}")]
    NoSuchCamera { index: usize, count: usize },
    /// A strip of pictures needs one view for each instant, all of one camera.
    #[error(
        "a strip takes 1 to {most} instants and one view of the same camera for each, not {instants} instants and {views} views",
        most = eye::MOST_IN_STRIP
    )]
    Strip { instants: usize, views: usize },
    /// A drawing or encoding library failed.
    #[error("the picture could not be drawn: {what}; this is a fault of the program")]
    Drawing { what: String },
}

impl RenderError {
    pub(crate) fn drawing(cause: impl std::fmt::Display) -> Self {
        Self::Drawing { what: cause.to_string() }
    }
}
