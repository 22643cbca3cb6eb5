//! Changes to a venue file: numbers, any other value, whole tables.
//!
//! In: a sound [`Draft`] and a [`Change`]. Out: the new text, with comments and order kept,
//! and what was done in words. Whether the ground is still possible is for its reader to say.

use serde::Deserialize;
use serde_json::Value as Json;
use toml_edit::{Array, ArrayOfTables, DocumentMut, Entry, Item, Table, TableLike, Value};

use crate::jobs::sensitivity::{effect_name, unit_words};
use crate::serve::order;
use crate::serve::problem::{ProblemOut, Refused};
use crate::venue::draft::{NoAddress, Step, item_at};
use crate::venue::{Address, Draft, schema};

/// Characters of a value that the list of changes shows.
const MAX_SHOWN: usize = 40;

/// A number with a new value, in the unit of its key.
#[derive(Debug, Clone, Deserialize)]
pub struct NewNumber {
    pub address: String,
    pub value: f64,
}

/// Any key with a new value; none takes it away.
#[derive(Debug, Clone, Deserialize)]
pub struct NewValue {
    pub address: String,
    pub value: Json,
}

/// A table to add, with its keys.
#[derive(Debug, Clone, Deserialize)]
pub struct NewTable {
    pub table: String,
    pub values: serde_json::Map<String, Json>,
}

/// One step of the history.
#[derive(Debug, Clone)]
pub enum Change {
    Numbers(Vec<NewNumber>),
    Values(Vec<NewValue>),
    Add(NewTable),
    Remove(String),
    Text(String),
    /// The whole text with data of others in it.
    Brought {
        text: String,
        what: String,
    },
}

/// A text and what made it.
#[derive(Debug, Clone)]
pub struct Changed {
    pub text: String,
    pub what: String,
}

impl Change {
    /// Makes the change.
    ///
    /// # Errors
    /// [`Refused::Input`] for an address that names nothing, or a value that fits nowhere.
    pub fn of(self, draft: &Draft) -> Result<Changed, Refused> {
        match self {
            Self::Numbers(numbers) => set_numbers(draft, &numbers),
            Self::Values(values) => set_values(draft, &values),
            Self::Add(table) => add(draft, &table),
            Self::Remove(address) => remove(draft, &address),
            Self::Text(text) => {
                let what = text_words(&draft.text(), &text);
                Ok(Changed { text, what })
            }
            Self::Brought { text, what } => Ok(Changed { text, what }),
        }
    }
}

/// The address of a number, named either way.
pub fn address_of(draft: &Draft, said: &str) -> Result<Address, Refused> {
    if let Some(address) = draft.address_at(said) {
        return Ok(address.clone());
    }
    let refused = |e: NoAddress| Refused::Input(vec![ProblemOut::at(said, e.to_string())]);
    said.parse().map_err(refused)
}

fn set_numbers(draft: &Draft, numbers: &[NewNumber]) -> Result<Changed, Refused> {
    let mut new = draft.clone();
    let mut words = Vec::new();
    for number in numbers {
        let address = address_of(draft, &number.address)?;
        let before = new.value(&address)?;
        let unit = unit_words(new.unit(&address)?);
        new.set(&address, number.value)?;
        if before != number.value {
            let name = effect_name(&address);
            words.push(format!("{name} {before}{unit} to {}{unit}", number.value));
        }
    }
    Ok(Changed { text: new.text(), what: joined(&words) })
}

/// Changes of one step, the first of them whole.
fn joined(words: &[String]) -> String {
    match words {
        [] => "nothing changed".to_owned(),
        [one] => one.clone(),
        [first, second] => format!("{first}; {second}"),
        [first, rest @ ..] => format!("{first}; and {} more", rest.len()),
    }
}

fn text_words(old: &str, new: &str) -> String {
    let lines = |text: &str| text.lines().map(str::to_owned).collect::<Vec<_>>();
    let (old, new) = (lines(old), lines(new));
    let head = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let (old, new) = (&old[head..], &new[head..]);
    let tail = old.iter().rev().zip(new.iter().rev()).take_while(|(a, b)| a == b).count();
    let lines = (old.len() - tail).max(new.len() - tail);
    match lines {
        0 => "the text as it was".to_owned(),
        1 => format!("text, line {}", head + 1),
        _ => format!("text, lines {} to {}", head + 1, head + lines),
    }
}

/// The steps of `stand[0].roof.gap_m`.
fn steps(address: &str) -> Result<Vec<Step>, Refused> {
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

fn document(draft: &Draft) -> Result<DocumentMut, Refused> {
    let fault = |e: toml_edit::TomlError| Refused::Internal(format!("a sound text is none: {e}"));
    draft.text().parse().map_err(fault)
}

/// The table that steps lead to.
fn table_at<'d>(document: &'d mut DocumentMut, way: &[Step]) -> Option<&'d mut dyn TableLike> {
    item_at(document, way)?.as_table_like_mut()
}

fn set_values(draft: &Draft, values: &[NewValue]) -> Result<Changed, Refused> {
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
fn value_of(key: &str, value: &Json, address: &str) -> Result<Value, Refused> {
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

/// "camera[0].name: \"Main\" to \"Main wide\"".
fn value_words(draft: &Draft, new: &NewValue) -> String {
    let pointer: String = match steps(&new.address) {
        Ok(way) => way
            .iter()
            .map(|step| match step {
                Step::Key(key) => format!("/{key}"),
                Step::Index(i) => format!("/{i}"),
            })
            .collect(),
        Err(_) => String::new(),
    };
    let short = |value: &Json| {
        let text = value.to_string();
        match text.chars().count() > MAX_SHOWN {
            true => text.chars().take(MAX_SHOWN).chain(['…']).collect(),
            false => text,
        }
    };
    match (draft.values().pointer(&pointer), new.value.is_null()) {
        (Some(old), false) => format!("{}: {} to {}", new.address, short(old), short(&new.value)),
        (None, false) => format!("{}: {}", new.address, short(&new.value)),
        (_, true) => format!("{}: left out", new.address),
    }
}

/// Whether a table of the file is stated once or may be repeated; `None` for one that no
/// venue file has.
fn is_repeated(table: &str) -> Option<bool> {
    let schema = schema();
    let property = schema.get("properties")?.get(table)?;
    Some(property.get("type").and_then(Json::as_str) == Some("array"))
}

fn add(draft: &Draft, new: &NewTable) -> Result<Changed, Refused> {
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

fn remove(draft: &Draft, address: &str) -> Result<Changed, Refused> {
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
pub fn text_of_new(new: &super::files::NewGround) -> Result<String, Refused> {
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
