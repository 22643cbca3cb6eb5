//! Many venues that differ in a few numbers.
//!
//! In: a sound file as JSON and the places of the numbers. Out: a [`Venue`] for
//! any values of them, without cameras, gantries, zones, crew and the ground around the
//! field, which throw no shadow and would only be checked again. A search asks for
//! thousands of these; what comes out in the end is read again as text.

use std::path::{Path, PathBuf};

use serde_json::{Number, Value};

use super::catalog::{self, CatalogEntry, Step};
use crate::venue::build::{Around, Beside, MeshFiles, build_with};
use crate::venue::file::VenueFile;
use crate::venue::model::Venue;
use crate::venue::problem::{Problem, Problems};

/// Tables that throw no shadow.
const WITHOUT_SHADOW: [&str; 9] = [
    "camera",
    "candidate",
    "gantry",
    "zone",
    "operator",
    "moment",
    "floodlights",
    "fixture",
    "surveyed",
];

/// Tables of things that can be left out one by one.
const THINGS: [&str; 7] = ["stand", "bowl", "solid", "tree", "panel", "corner", "mesh"];

/// Venues that differ in a few numbers.
#[derive(Debug, Clone)]
pub struct Variants {
    values: Value,
    /// Where each number goes; nowhere where its thing is left out.
    places: Vec<Option<CatalogEntry>>,
    /// Where files that the venue names lie; they are read again for each venue.
    folder: Option<PathBuf>,
    /// What else stands on a site.
    beside: Beside,
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
    pub(super) fn new(
        values: &Value,
        places: Vec<CatalogEntry>,
        folder: Option<&Path>,
        beside: Beside,
    ) -> Self {
        let places = places.into_iter().map(Some).collect();
        let mut values = values.clone();
        if let Some(root) = values.as_object_mut() {
            root.retain(|key, _| !WITHOUT_SHADOW.contains(&key.as_str()));
        }
        Self { values, places, folder: folder.map(Path::to_owned), beside }
    }

    /// The same venues with no other things than those named; with an infill all
    /// stands stay. Numbers of things that are left out change nothing.
    pub fn with_only(&self, things: &[&str]) -> Self {
        let mut values = self.values.clone();
        let named = |table: &Value| {
            let name = table.get("name").and_then(Value::as_str);
            name.is_some_and(|name| things.contains(&name.trim()))
        };
        let infill = |table: &Value| {
            let joined = |i: usize| table.get("joins")?.get(i)?.as_str().map(str::trim);
            let name = joined(0).zip(joined(1)).map(|(a, b)| format!("{a} to {b}"));
            name.is_some_and(|name| things.contains(&name.as_str()))
        };
        let corners = values.get("corner").and_then(Value::as_array);
        let keep_stands = corners.is_some_and(|tables| tables.iter().any(infill));
        for kind in THINGS {
            let Some(Value::Array(tables)) = values.get_mut(kind) else { continue };
            match kind {
                "corner" => tables.retain(infill),
                "stand" if keep_stands => {}
                _ => tables.retain(named),
            }
        }
        keep_moving(&mut values);
        let entries = catalog::entries(&values);
        let moved = |place: &Option<CatalogEntry>| {
            catalog::find(&entries, &place.as_ref()?.address).cloned()
        };
        let places = self.places.iter().map(moved).collect();
        let mut beside = self.beside.clone();
        beside.retain(things);
        Self { places, values, folder: self.folder.clone(), beside }
    }

    /// The venue with these numbers, one for each address and in its unit.
    ///
    /// # Errors
    /// [`VariantError`] where a number is out of its limits or the ground cannot
    /// be built.
    pub fn venue(&self, numbers: &[f64]) -> Result<Venue, VariantError> {
        let mut values = self.values.clone();
        for (entry, &value) in self.places.iter().zip(numbers) {
            let Some(entry) = entry else { continue };
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
        let venue = file.and_then(|file| {
            let files = MeshFiles::in_folder(self.folder.as_deref());
            build_with(&file, files, around(&file), self.beside.clone(), &mut problems)
        });
        venue.ok_or_else(|| VariantError::Impossible(problems.into_list()))
    }
}

/// Of what moves only what is still there: a table that moves nothing is a mistake.
fn keep_moving(values: &mut Value) {
    fn text<'v>(table: &'v Value, key: &str) -> Option<&'v str> {
        table.get(key).and_then(Value::as_str).map(str::trim)
    }
    fn tables<'v>(of: &'v mut Value, key: &str) -> Option<&'v mut Vec<Value>> {
        of.get_mut(key).and_then(Value::as_array_mut)
    }
    let kinds =
        THINGS.iter().chain(&["grandstand"]).filter_map(|kind| values.get(kind)?.as_array());
    let things: Vec<String> =
        kinds.flatten().filter_map(|table| Some(text(table, "name")?.to_owned())).collect();
    let is_there = |part: &Value| text(part, "what").is_some_and(|w| things.iter().any(|t| t == w));
    if let Some(moving) = tables(values, "moving") {
        for table in moving.iter_mut() {
            let states = tables(table, "state").into_iter().flatten();
            states
                .filter_map(|state| tables(state, "part"))
                .for_each(|parts| parts.retain(is_there));
        }
        let moves_any = |state: &Value| {
            state.get("part").and_then(Value::as_array).is_some_and(|parts| !parts.is_empty())
        };
        moving.retain(|table| {
            let states = table.get("state").and_then(Value::as_array);
            states.is_some_and(|states| states.iter().any(moves_any))
        });
    }
    let moving: Vec<String> =
        values.get("moving").and_then(Value::as_array).map_or_else(Vec::new, |moving| {
            moving.iter().filter_map(|t| Some(text(t, "name")?.to_owned())).collect()
        });
    if let Some(moves) = tables(values, "move") {
        moves.retain(|table| text(table, "what").is_some_and(|w| moving.iter().any(|m| m == w)));
    }
}

/// The ground around the field matters to the trees of a hole only.
fn around(file: &VenueFile) -> Around {
    if file.hole.is_some() { Around::Planned } else { Around::Left }
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
