//! Why a picture cannot be drawn.

/// Why a picture cannot be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RenderError {
    /// Nothing to show.
    #[error("the plan holds no instants, so there is nothing to draw; plan a longer window")]
    NoInstants,
    /// An instant that the plan does not have.
    #[error("the plan has {count} instants, so there is none of index {index} to draw")]
    NoSuchInstant { index: usize, count: usize },
    /// A drawing or encoding library failed.
    #[error("the picture could not be drawn: {what}; this is a fault of the program")]
    Drawing { what: String },
}

impl RenderError {
    pub(crate) fn drawing(cause: impl std::fmt::Display) -> Self {
        Self::Drawing { what: cause.to_string() }
    }
}
