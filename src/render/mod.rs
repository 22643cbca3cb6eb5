//! Stage 7, `render`: pictures.
//!
//! In: a venue and a [`crate::plan::MatchPlan`]. Out: SVG text and PNG bytes.
//! Pure: no clock, no files, no system fonts.

mod canvas;
mod field;
mod palette;
mod text;

use plotters::drawing::DrawingAreaErrorKind;

pub use field::field;

/// One picture in both formats.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    pub svg: String,
    pub png: Vec<u8>,
}

/// Why a picture cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RenderError {
    /// The plan has no such instant.
    #[error("the plan has {count} instants, none at index {index}; count from 0")]
    NoSuchInstant { index: usize, count: usize },
    /// The drawing library gave up.
    #[error("the picture cannot be drawn: {0}")]
    Drawing(String),
}

impl<E: std::error::Error + Send + Sync> From<DrawingAreaErrorKind<E>> for RenderError {
    fn from(error: DrawingAreaErrorKind<E>) -> Self {
        Self::Drawing(error.to_string())
    }
}
