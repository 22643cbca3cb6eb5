//! Any key of the text with a new value.
//!
//! In: addresses such as `stand[0].roof.gap_m` with values of JSON, in the unit of their key.
//! Out: the new text; lengths and angles have decimals, and what stood around a value stays.

use serde_json::Value as Json;
use toml_edit::{Array, DocumentMut, Item, Table, TableLike, Value};

use super::change::{Changed, NewValue, joined, value_words};
use super::tables::is_repeated;
use crate::serve::order;
use crate::serve::problem::{ProblemOut, Refused};
use crate::venue::Draft;
use crate::venue::draft::{Step, item_at};

/// The steps of `stand[0].roof.gap_m`.
pub(super) fn steps(address: &str) -> Result<Vec<Step>, Refused> {
    let refused = || {
        let text = format!("`{address}` is no address: write it such as stand[0].name");
        Refused::Input(vec![ProblemOut::at(address, text)])
    };
    let mut all = Vec::new();
    for part in address.split('.') {
        let mut pieces = part.split('[');
        let key = pieces.next().unwrap_or_default().trim();
        if key.is_empty() || !key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_') {
            return Err(refused());
        }
        all.push(Step::Key(key.to_owned()));
        for piece in pieces {
            let index = piece.strip_suffix(']').and_then(|digits| digits.parse().ok());
            all.push(Step::Index(index.ok_or_else(refused)?));
        }
    }
    Ok(all)
}

pub(super) fn document(draft: &Draft) -> Result<DocumentMut, Refused> {
    let fault = |e: toml_edit::TomlError| Refused::Internal(format!("a sound text is none: {e}"));
    draft.text().parse().map_err(fault)
}

/// The table that steps lead to.
pub(super) fn table_at<'d>(
    document: &'d mut DocumentMut,
    way: &[Step],
) -> Option<&'d mut dyn TableLike> {
    item_at(document, way)?.as_table_like_mut()
}

pub(super) fn set_values(draft: &Draft, values: &[NewValue]) -> Result<Changed, Refused> {
    let mut document = document(draft)?;
    let mut words = Vec::new();
    for new in values {
        let way = draft.in_text(&steps(&new.address)?);
        set_value(&mut document, &way, new)?;
        words.push(value_words(draft, new));
    }
    Ok(Changed { text: document.to_string(), what: joined(&words) })
}

fn set_value(document: &mut DocumentMut, way: &[Step], new: &NewValue) -> Result<(), Refused> {
    let refused = || {
        let text = format!("`{}` names nothing that can be set in this file", new.address);
        Refused::Input(vec![ProblemOut::at(new.address.clone(), text)])
    };
    let (last, parents) = way.split_last().ok_or_else(refused)?;
    // a table of its own, such as [floodlights], is made with its first key
    if let (Some((Step::Key(table), way)), Step::Key(_)) = (parents.split_last(), last)
        && is_repeated(table) == Some(false)
        && !new.value.is_null()
        && let Some(parent) = table_at(document, way).filter(|parent| parent.get(table).is_none())
    {
        parent.insert(table, Item::Table(Table::new()));
    }
    let parent = item_at(document, parents).ok_or_else(refused)?;
    match last {
        Step::Key(key) => {
            let table = parent.as_table_like_mut().ok_or_else(refused)?;
            if new.value.is_null() {
                table.remove(key);
                return Ok(());
            }
            let value = value_of(key, &new.value, &new.address)?;
            match table.get_mut(key).and_then(Item::as_value_mut) {
                Some(old) => put(old, value),
                None => drop(table.insert(key, Item::Value(value))),
            }
        }
        Step::Index(i) => {
            let array = parent.as_array_mut().ok_or_else(refused)?;
            if new.value.is_null() {
                let there = *i < array.len();
                return there.then(|| drop(array.remove(*i))).ok_or_else(refused);
            }
            let key = way.iter().rev().find_map(|step| match step {
                Step::Key(key) => Some(key.as_str()),
                Step::Index(_) => None,
            });
            let value = value_of(key.unwrap_or_default(), &new.value, &new.address)?;
            let length = array.len();
            match array.get_mut(*i) {
                Some(old) => put(old, value),
                None if *i == length => array.push(value),
                None => return Err(refused()),
            }
        }
    }
    Ok(())
}

/// A new value where the old one stood, with the space and comments around it. A number
/// stays a number with decimals.
fn put(old: &mut Value, new: Value) {
    let new = match (&*old, new) {
        (Value::Float(_), Value::Integer(whole)) => Value::from(*whole.value() as f64),
        (_, new) => new,
    };
    let around = old.decor().clone();
    *old = new;
    *old.decor_mut() = around;
}

/// A value of JSON as TOML. Lengths and angles have decimals, as people write them.
pub(super) fn value_of(key: &str, value: &Json, address: &str) -> Result<Value, Refused> {
    let refused = |what: &str| {
        let text = format!("{address}: {what} cannot be written in a venue file");
        Refused::Input(vec![ProblemOut::at(address, text)])
    };
    Ok(match value {
        Json::Null => return Err(refused("nothing")),
        Json::Bool(yes) => Value::from(*yes),
        Json::String(text) => Value::from(text.as_str()),
        Json::Number(number) => {
            let decimals = key.ends_with("_m") || key.ends_with("_deg");
            match number.as_i64().filter(|_| !decimals) {
                Some(whole) => Value::from(whole),
                None => Value::from(number.as_f64().ok_or_else(|| refused("this number"))?),
            }
        }
        Json::Array(items) => {
            let decimals = |value: &Json| value.as_f64().map(Value::from);
            let each = |value: &Json| match decimals(value) {
                Some(number) => Ok(number),
                None => value_of(key, value, address),
            };
            let all = items.iter().map(each).collect::<Result<Array, _>>()?;
            Value::Array(all)
        }
        Json::Object(map) => {
            let mut table = toml_edit::InlineTable::new();
            let mut keys: Vec<_> = map.iter().filter(|(_, value)| !value.is_null()).collect();
            keys.sort_by_key(|(key, _)| order::place(key));
            for (key, value) in keys {
                table.insert(key, value_of(key, value, address)?);
            }
            Value::InlineTable(table)
        }
    })
}
