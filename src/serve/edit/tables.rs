//! Whole tables of the text: added, taken out, and those of a new ground.
//!
//! In: the name of a table with its keys, an address such as `stand[0]`, or what a new ground
//! is to be; lengths in metres, angles in degrees, as the keys say. Out: the new text.

use serde_json::Value as Json;
use toml_edit::{Array, ArrayOfTables, DocumentMut, Entry, Item, Table, Value};

use super::change::{AddedTable, Changed};
use super::values::{document, steps, table_at, value_of};
use crate::serve::files::NewGround;
use crate::serve::order;
use crate::serve::problem::{ProblemOut, Refused};
use crate::venue::draft::{Step, item_at};
use crate::venue::{Draft, schema};

/// Whether a table of the file is stated once or may be repeated; `None` for one that no
/// venue file has.
pub(super) fn is_repeated(table: &str) -> Option<bool> {
    let schema = schema();
    let property = schema.get("properties")?.get(table)?;
    Some(property.get("type").and_then(Json::as_str) == Some("array"))
}

pub(super) fn add(draft: &Draft, new: &AddedTable) -> Result<Changed, Refused> {
    let refused = |text: String| Refused::Input(vec![ProblemOut::at(new.table.clone(), text)]);
    let unknown = || refused(format!("`{}` is no table of a venue file", new.table));
    let repeated = is_repeated(&new.table).ok_or_else(unknown)?;
    let mut document = document(draft)?;
    let mut table = table_of(&new.values, &new.table)?;
    // an empty line above it
    table.decor_mut().set_prefix("\n");
    let home = draft.in_text(&[Step::Key(new.table.clone())]);
    let (last, way) = home.split_last().ok_or_else(unknown)?;
    let parent = table_at(&mut document, way).ok_or_else(unknown)?;
    let Step::Key(key) = last else { return Err(refused("the field is there already".into())) };
    if repeated {
        let tables = Item::ArrayOfTables(ArrayOfTables::new());
        let item = match parent.entry(key) {
            Entry::Occupied(there) => there.into_mut(),
            Entry::Vacant(none) => none.insert(tables),
        };
        match item {
            Item::ArrayOfTables(tables) => tables.push(table),
            Item::Value(Value::Array(array)) => array.push(table.into_inline_table()),
            _ => return Err(unknown()),
        }
    } else if parent.contains_key(key) {
        return Err(refused(format!("the file has a table `{}` already", new.table)));
    } else {
        parent.insert(key, Item::Table(table));
    }
    let name = new.values.get("name").and_then(Json::as_str);
    let name = name.map_or_else(String::new, |name| format!(" \"{name}\""));
    Ok(Changed { text: document.to_string(), what: format!("{}{name} added", new.table) })
}

fn table_of(values: &serde_json::Map<String, Json>, address: &str) -> Result<Table, Refused> {
    let mut table = Table::new();
    let mut keys: Vec<(&String, &Json)> =
        values.iter().filter(|(_, value)| !value.is_null()).collect();
    // as the README has them; tables within it last, as TOML wants them
    keys.sort_by_key(|(key, value)| (value.is_object(), order::place(key)));
    for (key, value) in keys {
        let address = format!("{address}.{key}");
        match value {
            Json::Object(inner) => drop(table.insert(key, Item::Table(table_of(inner, &address)?))),
            other => drop(table.insert(key, Item::Value(value_of(key, other, &address)?))),
        }
    }
    Ok(table)
}

pub(super) fn remove(draft: &Draft, address: &str) -> Result<Changed, Refused> {
    let refused = || {
        let text = format!("`{address}` names no table of this file");
        Refused::Input(vec![ProblemOut::at(address, text)])
    };
    let own = steps(address)?;
    let named = draft.values().pointer(&match own.as_slice() {
        [Step::Key(table), Step::Index(i)] => format!("/{table}/{i}/name"),
        _ => String::new(),
    });
    let named = named.and_then(Json::as_str).map_or(address, |name| name).to_owned();
    let way = draft.in_text(&own);
    let mut document = document(draft)?;
    let (last, parents) = way.split_last().ok_or_else(refused)?;
    let parent = item_at(&mut document, parents).ok_or_else(refused)?;
    match (last, parent) {
        (Step::Key(key), parent) => {
            let table = parent.as_table_like_mut().ok_or_else(refused)?;
            table.remove(key).ok_or_else(refused)?;
        }
        (Step::Index(i), Item::ArrayOfTables(tables)) if *i < tables.len() => {
            tables.remove(*i);
        }
        (Step::Index(i), Item::Value(Value::Array(array))) if *i < array.len() => {
            array.remove(*i);
        }
        _ => return Err(refused()),
    }
    // the last of its kind leaves no empty list behind
    let is_empty = |item: &Item| {
        item.as_array_of_tables().is_some_and(ArrayOfTables::is_empty)
            || item.as_array().is_some_and(Array::is_empty)
    };
    if let Some((Step::Key(table), way)) = parents.split_last()
        && let Some(parent) = table_at(&mut document, way)
        && parent.get(table).is_some_and(is_empty)
    {
        parent.remove(table);
    }
    let kind = address.split('[').next().unwrap_or(address);
    let what = if named == address { named } else { format!("{kind} \"{named}\"") };
    Ok(Changed { text: document.to_string(), what: format!("{what} taken out") })
}

/// The text of a new ground.
///
/// # Errors
/// [`Refused::Input`] for a value that no venue file can hold.
pub fn text_of_new(new: &NewGround) -> Result<String, Refused> {
    let mut document = DocumentMut::new();
    document.insert("title", toml_edit::value(new.title.as_str()));
    let mut place = Table::new();
    place.insert("latitude_deg", toml_edit::value(new.latitude_deg));
    place.insert("longitude_deg", toml_edit::value(new.longitude_deg));
    place.insert("height_m", toml_edit::value(new.height_m.unwrap_or(0.0)));
    place.insert("zone", toml_edit::value(new.zone.as_str()));
    document.insert("place", Item::Table(place));
    let mut field = new.field.clone();
    field.insert("sport".into(), new.sport.as_str().into());
    field.insert("bearing_deg".into(), new.bearing_deg.into());
    document.insert("field", Item::Table(table_of(&field, "field")?));
    let mut fixture = Table::new();
    for (key, value) in [("date", &new.date), ("start", &new.start)] {
        if let Some(value) = value {
            fixture.insert(key, toml_edit::value(value.as_str()));
        }
    }
    if !fixture.is_empty() {
        document.insert("fixture", Item::Table(fixture));
    }
    Ok(document.to_string())
}
