//! A fit, told: text for the planner, JSON for other programs.
//!
//! In: a [`Fit`]. Out: text of at most 80 columns, one object of JSON, its schema.

pub(crate) mod text;

use schemars::generate::SchemaSettings;

use crate::output::json::JsonError;

use super::Fit;

pub use text::{look_at, text, written};

/// The whole file. Numbers are unrounded, in the unit beside them; absent values
/// are `null`.
///
/// # Errors
/// [`JsonError`] where the writer refuses, which no fit should cause.
pub fn json(fit: &Fit) -> Result<Vec<u8>, JsonError> {
    let mut bytes = serde_json::to_vec_pretty(fit)?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// JSON Schema (draft 2020-12) of [`json`].
pub fn schema() -> serde_json::Value {
    SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Fit>().to_value()
}
