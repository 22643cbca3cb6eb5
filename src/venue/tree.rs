//! The file as a tree that remembers where everything stands.
//!
//! In: TOML text. Out: the same as JSON (for the schema), and for each key path,
//! such as `stand[2].roof.front_height_m`, the bytes of its key and of its value.

use std::collections::HashMap;
use std::ops::Range;

use serde_json::{Map, Number, Value};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::problem::Problems;

/// No number in a venue file is anywhere near this; what is larger is a slip and
/// would only overflow later.
const MAX_VALUE: f64 = 1e9;

/// A file's contents and their places.
#[derive(Debug)]
pub(super) struct TomlTree {
    pub value: Value,
    keys: HashMap<String, Range<usize>>,
    values: HashMap<String, Range<usize>>,
}

impl TomlTree {
    /// Takes a parsed file. Numbers that are none (`nan`, `inf`, too large) are
    /// noted and left out.
    pub fn new(root: &Spanned<DeTable<'_>>, problems: &mut Problems) -> Self {
        let mut tree = Self { value: Value::Null, keys: HashMap::new(), values: HashMap::new() };
        tree.value = tree.table(root.get_ref(), "", problems);
        tree
    }

    fn table(&mut self, table: &DeTable<'_>, path: &str, problems: &mut Problems) -> Value {
        let mut map = Map::new();
        for (key, value) in table.iter() {
            let name = key.get_ref().to_string();
            let path = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
            self.keys.insert(path.clone(), key.span());
            if let Some(value) = self.value_at(value, &path, problems) {
                map.insert(name, value);
            }
        }
        Value::Object(map)
    }

    fn value_at(
        &mut self,
        value: &Spanned<DeValue<'_>>,
        path: &str,
        problems: &mut Problems,
    ) -> Option<Value> {
        self.values.insert(path.to_owned(), value.span());
        Some(match value.get_ref() {
            DeValue::String(text) => Value::String(text.to_string()),
            DeValue::Boolean(truth) => Value::Bool(*truth),
            // dates and times are text to the schema: "2027-03-20", "15:00:00"
            DeValue::Datetime(when) => Value::String(when.to_string()),
            DeValue::Integer(digits) => {
                match i64::from_str_radix(digits.as_str(), digits.radix()) {
                    Ok(whole) if (whole as f64).abs() <= MAX_VALUE => Value::Number(whole.into()),
                    _ => return too_large(digits.as_str(), path, problems),
                }
            }
            DeValue::Float(digits) => {
                let number: f64 = digits.as_str().parse().unwrap_or(f64::NAN);
                if !number.is_finite() && digits.as_str().contains(['n', 'N']) {
                    problems.add(path, digits.as_str(), "a number");
                    return None;
                }
                match Number::from_f64(number).filter(|_| number.abs() <= MAX_VALUE) {
                    Some(number) => Value::Number(number),
                    None => return too_large(digits.as_str(), path, problems),
                }
            }
            DeValue::Array(items) => {
                let items = items.iter().enumerate();
                let items = items
                    .filter_map(|(i, item)| self.value_at(item, &format!("{path}[{i}]"), problems));
                Value::Array(items.collect())
            }
            DeValue::Table(table) => self.table(table, path, problems),
        })
    }

    /// Where a value stands; `None` where the file does not state it.
    pub fn value_place(&self, path: &str) -> Option<Range<usize>> {
        self.values.get(path).cloned()
    }

    /// Where a problem with a value is shown: the value, or the nearest table
    /// around a key that is missing.
    pub fn place(&self, path: &str) -> Range<usize> {
        let mut path = path;
        loop {
            if let Some(span) = self.values.get(path).or_else(|| self.keys.get(path)) {
                return span.clone();
            }
            let Some(end) = path.rfind(['.', '[']) else { return 0..0 };
            path = &path[..end];
        }
    }

    /// Where a key itself stands.
    pub fn key_place(&self, path: &str) -> Range<usize> {
        self.keys.get(path).cloned().unwrap_or_else(|| self.place(path))
    }
}

fn too_large(digits: &str, path: &str, problems: &mut Problems) -> Option<Value> {
    problems.add(path, digits, format!("a number between -{MAX_VALUE:e} and {MAX_VALUE:e}"));
    None
}
