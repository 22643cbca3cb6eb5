//! Which numbers of a venue file are lengths and angles of the ground.
//!
//! In: the file as JSON, the schema of the file. Out: one [`CatalogEntry`] a number:
//! how it is named, where it stands, its unit, its limits and what holds where
//! the file says nothing. Keys, limits and defaults are those of the schema, so
//! a new key of a table is found here without a line of code.

use serde_json::Value;

use super::address::Address;
use crate::venue::model::Sport;
use crate::venue::outlines;
use crate::venue::shape;

/// Tables that say where things stand. The skyline is no part of the ground,
/// lenses and aims are no measures of it.
const TABLES: [&str; 10] =
    ["place", "field", "stand", "bowl", "solid", "tree", "panel", "mesh", "gantry", "camera"];
/// Arrays of points, metres.
const POINTS: [&str; 6] = ["at", "centre", "footprint", "corners", "from", "to"];

/// Unit of a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, schemars::JsonSchema)]
pub enum Unit {
    #[serde(rename = "m")]
    Metre,
    #[serde(rename = "deg")]
    Degree,
    #[serde(rename = "s")]
    Second,
    /// A plain number.
    #[serde(rename = "1")]
    One,
}

impl Unit {
    /// As it stands after a number; empty for plain numbers.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Metre => "m",
            Self::Degree => "deg",
            Self::Second => "s",
            Self::One => "",
        }
    }
}

/// One step from a table to what is in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Step {
    Key(String),
    Index(usize),
}

/// A number that is, or may be, in a venue file.
#[derive(Debug, Clone)]
pub(super) struct CatalogEntry {
    pub address: Address,
    pub steps: Vec<Step>,
    pub unit: Unit,
    /// Least and most that the file may say.
    pub limits: (f64, f64),
    /// What holds where the file says nothing; the number itself is then absent.
    pub usual: Option<f64>,
}

impl CatalogEntry {
    /// The key path as the reader of the file writes it, `stand[0].roof.gap_m`.
    pub fn key_path(&self) -> String {
        key_path(&self.steps)
    }

    /// The number in a file, where it is stated.
    pub fn stated(&self, root: &Value) -> Option<f64> {
        let step = |value, step: &Step| match step {
            Step::Key(key) => Value::get(value, key),
            Step::Index(i) => Value::get(value, i),
        };
        self.steps.iter().try_fold(root, step)?.as_f64()
    }
}

/// Steps as the reader of the file writes them, `stand[0].roof.gap_m`.
pub(super) fn key_path(steps: &[Step]) -> String {
    let mut path = String::new();
    for step in steps {
        match step {
            Step::Index(i) => path.push_str(&format!("[{i}]")),
            Step::Key(key) if path.is_empty() => path.push_str(key),
            Step::Key(key) => path.push_str(&format!(".{key}")),
        }
    }
    path
}

/// All entries of a file, in the order of the tables above.
pub(super) fn entries(root: &Value) -> Vec<CatalogEntry> {
    let schema = shape::schema();
    let mut walk = Walk { schema: &schema, sport: sport(root), found: Vec::new() };
    for name in TABLES {
        let Some(table) = root.get(name) else { continue };
        let Some(inner) = walk.property(&schema, name) else { continue };
        let (at, steps) = (Address::from_parts([name]), vec![Step::Key(name.into())]);
        match (table, walk.items(inner)) {
            (Value::Array(tables), Some(of)) => {
                for (i, table) in tables.iter().enumerate() {
                    let Some(name) = table.get("name").and_then(Value::as_str) else { continue };
                    let steps = [steps.clone(), vec![Step::Index(i)]].concat();
                    walk.table(table, of, &at.join(name.trim()), &steps);
                }
            }
            _ => walk.table(table, inner, &at, &steps),
        }
    }
    walk.found
}

fn sport(root: &Value) -> Option<Sport> {
    serde_json::from_value(root.get("field")?.get("sport")?.clone()).ok()
}

struct Walk<'s> {
    schema: &'s Value,
    sport: Option<Sport>,
    found: Vec<CatalogEntry>,
}

impl<'s> Walk<'s> {
    fn property(&self, of: &'s Value, key: &str) -> Option<&'s Value> {
        Some(shape::resolved(self.schema, of.get("properties")?.get(key)?))
    }

    fn items(&self, of: &'s Value) -> Option<&'s Value> {
        Some(shape::resolved(self.schema, of.get("items")?))
    }

    fn table(&mut self, table: &Value, of: &'s Value, at: &Address, steps: &[Step]) {
        let keys = of.get("properties").and_then(Value::as_object);
        for key in keys.into_iter().flat_map(|map| map.keys()) {
            let Some(inner) = self.property(of, key) else { continue };
            let steps = [steps, &[Step::Key(key.clone())]].concat();
            let at = at.join(key);
            let value = table.get(key);
            match (inner.get("type").and_then(Value::as_str), value) {
                (Some("number"), _) => self.number(key, value, inner, at, steps),
                (Some("array"), Some(points)) if POINTS.contains(&key.as_str()) => {
                    self.points(points, &at, &steps);
                }
                (Some("object"), Some(value)) => self.table(value, inner, &at, &steps),
                _ => {}
            }
        }
    }

    fn number(
        &mut self,
        key: &str,
        stated: Option<&Value>,
        of: &Value,
        at: Address,
        steps: Vec<Step>,
    ) {
        let unit = match key {
            // no measures of the ground
            _ if key.ends_with("_fov_deg") || key.starts_with("sway_") => return,
            _ if key.ends_with("_m") => Unit::Metre,
            _ if key.ends_with("_deg") => Unit::Degree,
            "roundness" => Unit::One,
            _ => return,
        };
        let usual = of.get("default").and_then(Value::as_f64).or_else(|| self.usual_size(&at));
        if stated.is_none() && usual.is_none() {
            return;
        }
        let limit = |key, otherwise| of.get(key).and_then(Value::as_f64).unwrap_or(otherwise);
        let limits = (limit("minimum", f64::NEG_INFINITY), limit("maximum", f64::INFINITY));
        self.found.push(CatalogEntry { address: at, steps, unit, limits, usual });
    }

    /// Size of the field where the sport has one.
    fn usual_size(&self, at: &Address) -> Option<f64> {
        let sizes = outlines::sizes(self.sport?)?;
        match at.parts() {
            [field, key] if field == "field" && key == "length_m" => Some(sizes.usual.0),
            [field, key] if field == "field" && key == "width_m" => Some(sizes.usual.1),
            _ => None,
        }
    }

    fn points(&mut self, value: &Value, at: &Address, steps: &[Step]) {
        match value {
            Value::Array(items) => {
                for (i, item) in items.iter().enumerate() {
                    let steps = [steps, &[Step::Index(i)]].concat();
                    self.points(item, &at.join(&i.to_string()), &steps);
                }
            }
            Value::Number(_) => self.found.push(CatalogEntry {
                address: at.clone(),
                steps: steps.to_vec(),
                unit: Unit::Metre,
                limits: (f64::NEG_INFINITY, f64::INFINITY),
                usual: None,
            }),
            _ => {}
        }
    }
}

/// The entry of an address.
pub(super) fn find<'e>(entries: &'e [CatalogEntry], address: &Address) -> Option<&'e CatalogEntry> {
    entries.iter().find(|entry| entry.address == *address)
}

/// Advice for an address that names nothing: what is near, else what there is.
pub(super) fn near(entries: &[CatalogEntry], address: &Address) -> String {
    let said = address.to_string().to_lowercase();
    let alike =
        |e: &CatalogEntry| strsim::jaro_winkler(&said, &e.address.to_string().to_lowercase());
    let mut scored: Vec<(f64, &CatalogEntry)> = entries.iter().map(|e| (alike(e), e)).collect();
    scored.sort_by(|a, b| b.0.total_cmp(&a.0));
    let near: Vec<String> = scored
        .iter()
        .take(3)
        .filter(|(score, _)| *score > 0.7)
        .map(|(_, entry)| format!("`{}`", entry.address))
        .collect();
    match near.as_slice() {
        [] => "an address is the table, its name and the key, such as field.bearing_deg".into(),
        near => format!("near to it are {}", near.join(", ")),
    }
}
