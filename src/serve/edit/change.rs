//! The kinds of changes, and those of numbers and of the whole text.
//!
//! In: a sound [`Draft`] and a [`Change`], numbers in the unit of their key. Out: the new text,
//! with comments and order kept, and what was done in words.

use serde::Deserialize;
use serde_json::Value as Json;

use super::tables::{add, remove};
use super::values::{set_values, steps};
use crate::jobs::sensitivity::{effect_name, unit_words};
use crate::serve::problem::{ProblemOut, Refused};
use crate::venue::draft::{NoAddress, Step};
use crate::venue::{Address, Draft};

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
pub struct AddedTable {
    pub table: String,
    pub values: serde_json::Map<String, Json>,
}

/// One step of the history.
#[derive(Debug, Clone)]
pub enum Change {
    Numbers(Vec<NewNumber>),
    Values(Vec<NewValue>),
    Add(AddedTable),
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
pub(super) fn joined(words: &[String]) -> String {
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

/// "camera[0].name: \"Main\" to \"Main wide\"".
pub(super) fn value_words(draft: &Draft, new: &NewValue) -> String {
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
