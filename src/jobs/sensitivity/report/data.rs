//! Sensitivity as JSON: `quarterstop.sensitivity/1`.
//!
//! In: [`SensitivityReport`]. Out: one object, units in the keys, absent values `null`. The structs
//! are the format; [`schema`] derives its JSON Schema from them. Keys may be added
//! under the same number; a change of meaning gets the next one.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::jobs::sensitivity::Effect;
use crate::output::words::local_time;

use super::SensitivityReport;
use super::words::event_name;

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.sensitivity/1";

/// What each number of the venue file does to the times.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop sensitivity")]
pub struct SensitivityFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    pub venue: String,
    pub events: Vec<EventOut>,
    /// What moves most first.
    pub numbers: Vec<NumberOut>,
    /// Addresses of numbers that move nothing.
    pub still: Vec<String>,
    /// Addresses of numbers that cannot be changed alone.
    pub stuck: Vec<String>,
}

/// Something that happens.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EventOut {
    pub what: String,
    /// RFC 3339.
    pub time: String,
}

/// A number of the file.
#[derive(Debug, Serialize, JsonSchema)]
pub struct NumberOut {
    /// Address as TOML's dotted key.
    pub what: String,
    /// Unit of `value` and `off_by`: "m" or "deg", empty for plain numbers.
    pub unit: &'static str,
    pub value: f64,
    /// What it may be off by.
    pub off_by: f64,
    /// How it was come by; `null` where the file does not say.
    pub known: Option<&'static str>,
    /// In the order of `events`, minutes per unit, later is positive; `null` where the
    /// event may not come at all.
    pub moves_min_per_unit: Vec<Option<f64>>,
    /// The largest move when off by `off_by`.
    pub most_min: f64,
}

/// The JSON Schema of the format.
pub fn schema() -> serde_json::Value {
    let generator = SchemaSettings::draft2020_12().into_generator();
    generator.into_root_schema_for::<SensitivityFile>().to_value()
}

/// The whole file.
///
/// # Errors
/// Where the writer refuses, which nothing should cause.
pub fn write(report: &SensitivityReport<'_>) -> Result<Vec<u8>, serde_json::Error> {
    let found = report.found;
    let words = |list: &[crate::venue::Address]| list.iter().map(ToString::to_string).collect();
    let file = SensitivityFile {
        format: FORMAT,
        venue: report.venue.title.clone(),
        events: found
            .events
            .iter()
            .map(|e| EventOut { what: event_name(report.venue, e), time: local_time(e.at) })
            .collect(),
        numbers: found.effects.iter().map(number).collect(),
        still: words(&found.still),
        stuck: words(&found.stuck),
    };
    let mut bytes = serde_json::to_vec(&file)?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn number(effect: &Effect) -> NumberOut {
    let dimension = &effect.dimension;
    NumberOut {
        what: dimension.address.to_string(),
        unit: dimension.unit.symbol(),
        value: dimension.value,
        off_by: effect.off_by,
        known: effect.surveyed.as_ref().map(|s| s.how.word()),
        moves_min_per_unit: effect.moves.clone(),
        most_min: effect.most_min(),
    }
}
