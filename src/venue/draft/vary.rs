//! Many venues that differ in a few numbers.
//!
//! In: a sound file as JSON and the places of the numbers. Out: a [`Venue`] for
//! any values of them, without cameras, gantries, zones and crew, which throw no
//! shadow and would only be checked again. A search asks for thousands of these;
//! what comes out in the end is read again as text.

use serde_json::{Number, Value};

use super::catalog::{Entry, Step};
use crate::venue::build::build;
use crate::venue::file::VenueFile;
use crate::venue::model::Venue;
use crate::venue::problem::{Problem, Problems};

/// Tables that throw no shadow.
const WITHOUT_SHADOW: [&str; 8] =
    ["camera", "gantry", "zone", "operator", "moment", "floodlights", "fixture", "surveyed"];

/// Venues that differ in a few numbers.
#[derive(Debug, Clone)]
pub struct Variants {
    values: Value,
    places: Vec<Entry>,
}

/// Why there is no such venue.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum VariantError {
    #[error("`{address}` cannot be {value}: the file may say {low} to {high}")]
    OutOfRange { address: String, value: f64, low: f64, high: f64 },
    #[error("no such ground can be: {}", told(.0))]
    Impossible(Vec<Problem>),
}

fn told(problems: &[Problem]) -> String {
    let one = |p: &Problem| format!("{}: found {}, allowed: {}", p.key, p.found, p.allowed);
    problems.iter().map(one).collect::<Vec<_>>().join("; ")
}

impl Variants {
    pub(super) fn new(values: &Value, places: Vec<Entry>) -> Self {
        let mut values = values.clone();
        if let Some(root) = values.as_object_mut() {
            root.retain(|key, _| !WITHOUT_SHADOW.contains(&key.as_str()));
        }
        Self { values, places }
    }

    /// The venue with these numbers, one for each address and in its unit.
    ///
    /// # Errors
    /// [`VariantError`] where a number is out of its limits or the ground cannot
    /// be built.
    pub fn venue(&self, numbers: &[f64]) -> Result<Venue, VariantError> {
        let mut values = self.values.clone();
        for (entry, &value) in self.places.iter().zip(numbers) {
            let (low, high) = entry.limits;
            if !(low..=high).contains(&value) || !value.is_finite() {
                let address = entry.address.to_string();
                return Err(VariantError::OutOfRange { address, value, low, high });
            }
            put(&mut values, &entry.steps, value);
        }
        let mut problems = Problems::default();
        let file: Option<VenueFile> = match serde_json::from_value(values) {
            Ok(file) => Some(file),
            Err(fault) => {
                problems.add("", fault.to_string(), "a venue");
                None
            }
        };
        let venue = file.and_then(|file| build(&file, &mut problems));
        venue.ok_or_else(|| VariantError::Impossible(problems.into_list()))
    }
}

/// Puts a number in its place; a missing key is added to its table.
pub(super) fn put(root: &mut Value, steps: &[Step], number: f64) {
    let (Some((last, way)), Some(number)) = (steps.split_last(), Number::from_f64(number)) else {
        return;
    };
    let mut at = root;
    for step in way {
        let next = match step {
            Step::Key(key) => at.get_mut(key.as_str()),
            Step::Index(i) => at.get_mut(*i),
        };
        let Some(next) = next else { return };
        at = next;
    }
    match (last, at) {
        (Step::Key(key), Value::Object(map)) => drop(map.insert(key.clone(), number.into())),
        (Step::Index(i), Value::Array(items)) => {
            if let Some(item) = items.get_mut(*i) {
                *item = number.into();
            }
        }
        _ => {}
    }
}
