//! The table of what a production makes.

use schemars::JsonSchema;
use serde::Deserialize;

use crate::venue::production::{Output, SdrFrom};

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ProductionTable {
    /// Signals that are made, each once.
    pub makes: Vec<Output>,
    /// The signal whose monitor irises are set by; the first of `makes` when absent.
    pub shades_on: Option<Output>,
    /// Where SDR comes from when HDR is made too: from HDR by `"method_c"` of Report ITU-R
    /// BT.2446 (when absent), by `"display_light"` or `"scene_light"` of Report ITU-R BT.2408,
    /// or from an output of its own of each `"camera"`.
    pub sdr_from: Option<SdrFrom>,
}
