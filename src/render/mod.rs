//! Stage 7, `render`: pictures.
//!
//! In: a venue and a [`crate::plan::MatchPlan`]. Out: SVG text and PNG bytes.
//! Pure: no clock, no files, no system fonts.

mod canvas;
mod palette;
mod text;
mod timeline;

pub use timeline::timeline;

/// A finished picture in both formats, the same marks in each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// A whole SVG document.
    pub svg: String,
    /// A whole PNG file, 8 bit RGB.
    pub png: Vec<u8>,
}

/// Why a picture cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RenderError {
    /// Nothing to show.
    #[error("the plan holds no instants, so there is nothing to draw; plan a longer window")]
    NoInstants,
    /// A drawing or encoding library failed.
    #[error("the picture could not be drawn: {what}; this is a fault of the program")]
    Drawing { what: String },
}

impl RenderError {
    pub(crate) fn drawing(cause: impl std::fmt::Display) -> Self {
        Self::Drawing {
            what: cause.to_string(),
        }
    }
}
