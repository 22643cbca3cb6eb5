//! Changes to the text itself.
//!
//! In: a document that keeps comments and order, steps to a place in it, a
//! number. Out: the document changed there and nowhere else.

use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, Value};

use super::catalog::Step;
use crate::venue::error::{FileKind, VenueError};
use crate::venue::problem::Problem;
use crate::venue::read;
use crate::venue::surveyed::Surveyed;

/// Parses a text that keeps its comments.
pub(super) fn document(text: &str, name: &str) -> Result<DocumentMut, VenueError> {
    text.parse().map_err(|fault: toml_edit::TomlError| {
        let problem = Problem {
            name: None,
            key: "TOML".into(),
            found: fault.message().to_owned(),
            allowed: "TOML as toml.io describes it".into(),
            help: None,
        };
        let found = vec![(fault.span().unwrap_or(0..0), problem)];
        read::mistakes(FileKind::Venue, text, name, found)
    })
}

/// Puts a number in a place; whether that could be done. A key that is missing
/// in its table is added there.
pub(super) fn set(document: &mut DocumentMut, steps: &[Step], number: f64) -> bool {
    let Some((last, way)) = steps.split_last() else { return false };
    let Some(at) = item_at(document, way) else { return false };
    match last {
        Step::Key(key) => match at.as_table_like_mut() {
            Some(table) => {
                match table.get_mut(key).and_then(Item::as_value_mut) {
                    Some(value) => replace(value, number),
                    None => drop(table.insert(key, toml_edit::value(number))),
                }
                true
            }
            None => false,
        },
        Step::Index(i) => match at.get_mut(*i).and_then(Item::as_value_mut) {
            Some(value) => {
                replace(value, number);
                true
            }
            None => false,
        },
    }
}

/// The item that steps lead to.
pub(crate) fn item_at<'d>(document: &'d mut DocumentMut, way: &[Step]) -> Option<&'d mut Item> {
    way.iter().try_fold(document.as_item_mut(), |at, step| match step {
        Step::Key(key) => at.get_mut(key.as_str()),
        Step::Index(i) => at.get_mut(*i),
    })
}

/// A new number where the old one stood, with the space and comments around it.
fn replace(value: &mut Value, number: f64) {
    let around = value.decor().clone();
    *value = Value::from(number);
    *value.decor_mut() = around;
}

/// Writes an entry of `[[surveyed]]`, which stands at `home`, in place of one about the same
/// number.
pub(super) fn set_surveyed(document: &mut DocumentMut, home: &[Step], survey: &Surveyed) {
    let mut entry = Table::new();
    entry.insert("what", toml_edit::value(survey.what.to_string()));
    entry.insert("plus_minus", toml_edit::value(survey.plus_minus));
    entry.insert("how", toml_edit::value(survey.how.word()));
    if let Some(on) = survey.on {
        entry.insert("on", toml_edit::value(on.format("%Y-%m-%d").to_string()));
    }
    if let Some(note) = &survey.note {
        entry.insert("note", toml_edit::value(note.as_str()));
    }
    let Some((Step::Key(key), way)) = home.split_last() else { return };
    let Some(parent) = item_at(document, way).and_then(Item::as_table_like_mut) else { return };
    let item = parent.entry(key).or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
    if let Some(value) = item.as_value().and_then(Value::as_array) {
        // written as one array of inline tables: taken apart into tables
        let inline = value.iter().filter_map(Value::as_inline_table);
        *item = Item::ArrayOfTables(inline.map(|t| t.clone().into_table()).collect());
    }
    let Some(tables) = item.as_array_of_tables_mut() else { return };
    let about = |table: &Table| {
        let what = table.get("what").and_then(Item::as_str)?;
        what.parse().ok().map(|address: super::Address| address == survey.what)
    };
    let same = tables.iter().position(|table| about(table) == Some(true));
    match same.and_then(|i| tables.get_mut(i)) {
        Some(old) => {
            for (key, item) in entry.iter() {
                match (old.get_mut(key).and_then(Item::as_value_mut), item.as_value()) {
                    (Some(was), Some(is)) => {
                        let around = was.decor().clone();
                        *was = is.clone();
                        *was.decor_mut() = around;
                    }
                    _ => drop(old.insert(key, item.clone())),
                }
            }
            for key in ["on", "note"] {
                if !entry.contains_key(key) {
                    old.remove(key);
                }
            }
        }
        None => tables.push(entry),
    }
}
