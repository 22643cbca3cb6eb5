//! Tables of operators; exposure and subject are [`StatedExposure`] and
//! [`Subject`] themselves.
//!
//! [`StatedExposure`]: crate::venue::StatedExposure
//! [`Subject`]: crate::venue::Subject

use schemars::JsonSchema;
use serde::Deserialize;

/// Someone who rides irises.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OperatorTable {
    pub name: String,
    /// Names of cameras that are theirs in any case.
    #[serde(default)]
    pub cameras: Vec<String>,
}
