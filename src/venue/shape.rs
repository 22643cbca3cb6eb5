//! Holds a file to the schema of [`super::file`], in words for people.
//!
//! In: the file as JSON. Out: problems: unknown and missing keys, wrong types,
//! numbers out of range, unknown words, arrays of a wrong length.

use std::any::TypeId;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use jsonschema::error::ValidationErrorKind as Kind;
use jsonschema::{ValidationError, Validator};
use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use serde_json::Value;

use super::build::nearest;
use super::file::{SiteFile, VenueFile};
use super::problem::{Problems, counted};

/// JSON Schema (draft 2020-12) of the venue file.
pub fn schema() -> Value {
    schema_of::<VenueFile>()
}

/// JSON Schema (draft 2020-12) of the file of a site.
pub fn site_schema() -> Value {
    schema_of::<SiteFile>()
}

/// JSON Schema (draft 2020-12) of any file in TOML that people write.
pub(crate) fn schema_of<T: schemars::JsonSchema>() -> Value {
    let settings = SchemaSettings::draft2020_12().with_transform(RecursiveTransform(without_null));
    let mut schema = settings.into_generator().into_root_schema_for::<T>().to_value();
    without_formats(&mut schema);
    schema
}

/// TOML has no null: an optional key is simply absent.
fn without_null(schema: &mut schemars::Schema) {
    let Some(object) = schema.as_object_mut() else { return };
    if object.get("default").is_some_and(Value::is_null) {
        object.remove("default");
    }
    if let Some(Value::Array(types)) = object.get_mut("type") {
        types.retain(|t| t != "null");
        if let [only] = types.as_slice() {
            let only = only.clone();
            object.insert("type".into(), only);
        }
    }
    if let Some(Value::Array(mut options)) = object.remove("anyOf") {
        options.retain(|o| o.get("type").is_none_or(|t| t != "null"));
        match options.pop() {
            Some(Value::Object(only)) if options.is_empty() => object.extend(only),
            Some(last) => {
                options.push(last);
                object.insert("anyOf".into(), Value::Array(options));
            }
            None => {}
        }
    }
}

/// "double" and "uint32" are no formats of the standard.
fn without_formats(value: &mut Value) {
    match value {
        Value::Object(map) => {
            if map.get("format").is_some_and(Value::is_string) {
                map.remove("format");
            }
            map.values_mut().for_each(without_formats);
        }
        Value::Array(items) => items.iter_mut().for_each(without_formats),
        _ => {}
    }
}

/// The schema of a kind of file, ready to hold files to it.
pub(super) struct FileSchema {
    pub schema: Value,
    /// Or what is wrong with the schema.
    validator: Result<Validator, String>,
}

/// Those that were asked for: jobs that move what a file says read it hundreds of times, and to
/// make a schema takes longer than all else about a file.
static SHAPES: Mutex<BTreeMap<TypeId, Arc<FileSchema>>> = Mutex::new(BTreeMap::new());

impl FileSchema {
    pub fn of<T: schemars::JsonSchema + 'static>() -> Arc<Self> {
        let mut shapes = SHAPES.lock().unwrap_or_else(PoisonError::into_inner);
        let made = || {
            let schema = schema_of::<T>();
            let validator = jsonschema::validator_for(&schema).map_err(|fault| fault.to_string());
            Arc::new(Self { schema, validator })
        };
        Arc::clone(shapes.entry(TypeId::of::<T>()).or_insert_with(made))
    }

    /// Notes everything about a file that the schema does not allow.
    pub fn check(&self, value: &Value, problems: &mut Problems) {
        match &self.validator {
            Ok(validator) => {
                let errors = validator.iter_errors(value);
                errors.for_each(|error| note(&error, &self.schema, problems));
            }
            Err(fault) => {
                let found = format!("a fault of the program: {fault}");
                problems.add("", found, "a schema that is sound");
            }
        }
    }
}

fn note(error: &ValidationError<'_>, schema: &Value, problems: &mut Problems) {
    let pointer = error.instance_path().to_string();
    let path = key_path(&pointer);
    let unit = unit_of(&path);
    let here = subschema(schema, &pointer);
    match error.kind() {
        Kind::AdditionalProperties { unexpected } | Kind::UnevaluatedProperties { unexpected } => {
            let known: Vec<&str> = keys_of(here).collect();
            for key in unexpected {
                let help = nearest(key, known.iter().copied()).map_or_else(
                    || format!("known keys are: {}", known.join(", ")),
                    |near| format!("did you mean `{near}`?"),
                );
                problems.add_unknown(&pointer, key, joined(&path, key), help);
            }
        }
        Kind::Required { property } => {
            let key = property.as_str().unwrap_or_default();
            let wanted = here.and_then(|s| s.get("properties")).and_then(|p| p.get(key));
            let wanted =
                wanted.map_or_else(String::new, |s| described(resolved(schema, s), unit_of(key)));
            problems.add(joined(&path, key), "nothing", wanted);
        }
        Kind::Type { .. } => {
            if !brackets(&path, here, error.instance(), problems) {
                let allowed =
                    here.map_or_else(|| "another type".to_owned(), |s| described(s, unit));
                problems.add(path, said(error.instance(), ""), allowed);
            }
        }
        Kind::Minimum { .. } | Kind::Maximum { .. } => {
            let allowed = here.map_or_else(String::new, |s| described(s, unit));
            problems.add(path, said(error.instance(), unit), allowed);
        }
        Kind::Enum { .. } | Kind::OneOfNotValid { .. } => {
            let words = here.map(words_of).unwrap_or_default();
            let help = error.instance().as_str().and_then(|w| nearest(w, words.iter().copied()));
            problems.add_with_help(
                path,
                said(error.instance(), ""),
                one_of(&words),
                help.map_or_else(String::new, |w| format!("did you mean \"{w}\"?")),
            );
        }
        Kind::MinItems { limit } | Kind::MaxItems { limit } => {
            let count = error.instance().as_array().map_or(0, Vec::len);
            let items = error.instance().as_array().into_iter().flatten();
            // every number of [12,5, 7,5] comes apart at its comma
            let help = match items.clone().all(Value::is_i64) && count as u64 == 2 * limit {
                true => "a number has a decimal point: 12.5, not 12,5",
                false => "",
            };
            let limit = usize::try_from(*limit).unwrap_or(usize::MAX);
            problems.add_with_help(path, counted(count, "value"), counted(limit, "value"), help);
        }
        _ => problems.add(path, said(error.instance(), ""), error.to_string()),
    }
}

/// Notes `[stand]` for `[[stand]]` and the other way round; whether it is that.
fn brackets(path: &str, here: Option<&Value>, found: &Value, problems: &mut Problems) -> bool {
    let wanted = here.and_then(|s| s.get("type")).and_then(Value::as_str);
    match (wanted, found) {
        (Some("array"), Value::Object(_)) => problems.add_with_help(
            path,
            format!("`[{path}]`, one pair of brackets"),
            format!("`[[{path}]]`, two pairs"),
            format!("there can be several: each begins with [[{path}]]"),
        ),
        (Some("object"), Value::Array(items)) if items.iter().all(Value::is_object) => problems
            .add_with_help(
                path,
                format!("`[[{path}]]`, two pairs of brackets"),
                format!("`[{path}]`, one pair"),
                "there is only one of it in a file",
            ),
        _ => return false,
    }
    true
}

/// Tables that a file may have several of, such as `stand`.
pub(super) fn repeated_tables(schema: &Value) -> Vec<&str> {
    let properties = schema.get("properties").and_then(Value::as_object);
    let is_repeated = |of: &&Value| {
        let items = of.get("items").map(|items| resolved(schema, items));
        items.and_then(|i| i.get("type")).is_some_and(|t| t == "object")
    };
    let tables = properties.into_iter().flatten().filter(|(_, of)| is_repeated(of));
    tables.map(|(name, _)| name.as_str()).collect()
}

/// What a schema asks for, in words.
fn described(schema: &Value, unit: &str) -> String {
    let limit = |key: &str| schema.get(key).and_then(Value::as_f64);
    let spaced = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    match (schema.get("type").and_then(Value::as_str), limit("minimum"), limit("maximum")) {
        (Some("number"), Some(low), Some(high)) => format!("a number from {low} to {high}{spaced}"),
        (Some("integer"), Some(low), Some(high)) => format!("a whole number from {low} to {high}"),
        (Some("number"), ..) => "a number".into(),
        (Some("integer"), ..) => "a whole number".into(),
        (Some("string") | None, ..) if !words_of(schema).is_empty() => one_of(&words_of(schema)),
        (Some("string"), ..) => "text in quotes".into(),
        (Some("array"), ..) => "an array, [...]".into(),
        (Some("object"), ..) => "a table".into(),
        _ => "a value".into(),
    }
}

/// Words that a schema allows: plain ones, and those with a description each.
fn words_of(schema: &Value) -> Vec<&str> {
    let array = |key: &str| schema.get(key).and_then(Value::as_array).into_iter().flatten();
    let described = array("oneOf").flat_map(|one| {
        let plain = one.get("enum").and_then(Value::as_array).into_iter().flatten();
        plain.chain(one.get("const")).filter_map(Value::as_str)
    });
    array("enum").filter_map(Value::as_str).chain(described).collect()
}

fn one_of(words: &[&str]) -> String {
    format!("one of \"{}\"", words.join("\", \""))
}

/// A value as the file says it, shortened.
fn said(value: &Value, unit: &str) -> String {
    match value {
        Value::Object(_) => "a table".into(),
        Value::Array(items) => format!("an array of {}", counted(items.len(), "value")),
        Value::Number(number) if !unit.is_empty() => format!("{number} {unit}"),
        other => {
            let text = other.to_string();
            if text.chars().count() > 60 {
                format!("{}...", text.chars().take(57).collect::<String>())
            } else {
                text
            }
        }
    }
}

/// Unit in the suffix of a key.
fn unit_of(path: &str) -> &'static str {
    let key = path.rsplit('.').next().unwrap_or_default();
    let key = key.split('[').next().unwrap_or_default();
    // `frames_per_s` is no number of seconds, `t_number_at_2000_lx` none of lux
    if key.contains("_per_") || key.contains("_at_") {
        return "";
    }
    const UNITS: [(&str, &str); 9] = [
        ("_s", "s"),
        ("_m", "m"),
        ("_deg", "degrees"),
        ("_mm", "mm"),
        ("_min", "minutes"),
        ("_hpa", "hPa"),
        ("_c", "degrees Celsius"),
        ("_lx", "lx"),
        ("_k", "K"),
    ];
    UNITS.iter().find(|(suffix, _)| key.ends_with(suffix)).map_or("", |(_, unit)| unit)
}

fn joined(path: &str, key: &str) -> String {
    if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") }
}

/// `/stand/2/roof` to `stand[2].roof`.
fn key_path(pointer: &str) -> String {
    let mut path = String::new();
    for part in pointer.split('/').filter(|p| !p.is_empty()) {
        let part = part.replace("~1", "/").replace("~0", "~");
        if part.bytes().all(|b| b.is_ascii_digit()) {
            path.push_str(&format!("[{part}]"));
        } else {
            path = joined(&path, &part);
        }
    }
    path
}

/// The schema that holds for a place in the file.
fn subschema<'s>(root: &'s Value, pointer: &str) -> Option<&'s Value> {
    let parts = pointer.split('/').filter(|p| !p.is_empty());
    parts.into_iter().try_fold(root, |schema, part| {
        let inner = schema.get("items").or_else(|| schema.get("properties")?.get(part))?;
        Some(resolved(root, inner))
    })
}

pub(super) fn resolved<'s>(root: &'s Value, schema: &'s Value) -> &'s Value {
    let target = schema.get("$ref").and_then(Value::as_str).and_then(|r| r.strip_prefix('#'));
    target.and_then(|pointer| root.pointer(pointer)).unwrap_or(schema)
}

fn keys_of(schema: Option<&Value>) -> impl Iterator<Item = &str> {
    let properties = schema.and_then(|s| s.get("properties")).and_then(Value::as_object);
    properties.into_iter().flat_map(|map| map.keys().map(String::as_str))
}
