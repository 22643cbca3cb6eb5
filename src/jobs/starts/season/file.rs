//! The file of rules: what a season must keep to, and what is wished for.
//!
//! In: TOML, and the titles, fixtures and teams that it may name. Out: [`Rules`], or all
//! mistakes together, each with its line and key. Times are the venues' clocks.

mod reader;
mod tables;

use std::path::Path;

use crate::venue::Problems;
use crate::venue::{FileKind, TomlText, VenueError, schema_of, text_of};

use super::rules::Rules;

use reader::Reader;
pub use tables::*;

/// JSON Schema (draft 2020-12) of the file.
pub fn rules_schema() -> serde_json::Value {
    schema_of::<RulesFile>()
}

/// What a file may name.
#[derive(Debug, Clone, Copy)]
pub struct KnownNames<'a> {
    /// Titles of venues.
    pub venues: &'a [&'a str],
    pub fixtures: &'a [&'a str],
    pub teams: &'a [&'a str],
}

/// Reads a file of rules.
///
/// # Errors
/// [`VenueError`], which lists all problems.
pub fn read_rules(path: &Path, known: &KnownNames<'_>) -> Result<Rules, VenueError> {
    let (text, name) = text_of(FileKind::Rules, path)?;
    parse_rules(&text, &name, known)
}

/// Reads the text of such a file; `name` is what messages call it.
///
/// ```
/// use quarterstop::jobs::starts::season::{KnownNames, parse_rules};
/// let known = KnownNames { venues: &["Mill Lane"], fixtures: &[], teams: &[] };
/// let text = "[[hours]]\nvenues = [\"Mill Lane\"]\nlast_end = \"22:30\"\n";
/// assert_eq!(parse_rules(text, "rules.toml", &known).unwrap().list.len(), 1);
/// let text = "[[hours]]\nvenues = [\"Mil Lane\"]\nlast_end = \"25:30\"\n";
/// let error = parse_rules(text, "rules.toml", &known).unwrap_err().to_string();
/// assert!(error.starts_with("2 mistakes in the season rules"), "{error}");
/// ```
///
/// # Errors
/// As [`read_rules`].
pub fn parse_rules(text: &str, name: &str, known: &KnownNames<'_>) -> Result<Rules, VenueError> {
    let (file, sheet) = TomlText::read::<RulesFile>(FileKind::Rules, text, name)?;
    let mut reader = Reader { known, sheet: &sheet, problems: Problems::default() };
    let rules = reader.rules(&file, name);
    let problems = reader.problems.into_list();
    if problems.is_empty() { Ok(rules) } else { Err(sheet.error(problems)) }
}
