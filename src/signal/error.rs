//! What can go wrong with pictures of signals.

/// Why a picture cannot be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SignalError {
    /// The pixels do not fill the frame.
    #[error("a picture of {width} x {height} pixels was given {pixels}; give one of each")]
    Pixels { width: u32, height: u32, pixels: usize },
    /// The encoder refused.
    #[error("the picture cannot be written as PNG: {0}")]
    Png(String),
}

impl From<png::EncodingError> for SignalError {
    fn from(error: png::EncodingError) -> Self {
        Self::Png(error.to_string())
    }
}
