//! Why data could not be put into JSON.

/// Why the object could not be put into bytes.
#[derive(Debug, thiserror::Error)]
#[error("the JSON could not be put together: {0}")]
pub struct JsonError(#[from] serde_json::Error);
