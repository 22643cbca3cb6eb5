//! Table of what was measured, and how well.

use schemars::JsonSchema;
use serde::Deserialize;

use crate::venue::surveyed::How;

/// Where one number of this file comes from.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SurveyedTable {
    /// Address of the number: table, name and key with dots between, such as
    /// `field.bearing_deg` or `stand."North Stand".roof.front_height_m`; corners
    /// and coordinates count from 0.
    pub what: String,
    /// Standard error, in the unit of the key, more than 0.
    #[schemars(range(min = 0, max = 1000))]
    pub plus_minus: f64,
    pub how: How,
    /// "YYYY-MM-DD"
    pub on: Option<String>,
    pub note: Option<String>,
}
