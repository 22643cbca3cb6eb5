//! Text of a venue file: adding tables, and putting the file in place.
//!
//! In: a venue file as text, tables to add with their comments. Out: text in
//! which all that was there before stands as it stood (crate `toml_edit`), and a
//! file that appears whole or not at all.

use std::io;
use std::path::{Path, PathBuf};

use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Table, Value};

use crate::base::target::{Existing, Inputs, Target, TargetError};

/// Columns of comments and printed lists.
const WIDTH: usize = 80;

/// A table to add to a venue file.
#[derive(Debug, Clone)]
pub struct NewTable {
    /// `solid`, `tree`, `panel`.
    pub kind: &'static str,
    /// What stands above it, without `#`; one line each.
    pub comment: Vec<String>,
    pub table: Table,
}

/// A kind of tables that the file states as an array in one line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no array of tables")]
pub struct NoTables(pub &'static str);

/// A number as a venue file states it: never minus nought.
pub fn number(value: f64) -> Value {
    Value::from(value + 0.0)
}

/// `[1.0, 2.0]`.
pub fn numbers(values: &[f64]) -> Value {
    values.iter().map(|v| number(*v)).collect::<Array>().into()
}

/// `[[1.0, 2.0], [3.0, 4.0]]`, one row a line where there are many.
pub fn rows<const N: usize>(rows: &[[f64; N]]) -> Value {
    // rows that fit a line of text
    const MAX_ON_A_LINE: usize = 4;
    let mut array: Array = rows.iter().map(|row| numbers(row)).collect();
    if rows.len() > MAX_ON_A_LINE {
        for (i, value) in array.iter_mut().enumerate() {
            let apart = if i % MAX_ON_A_LINE == 0 { "\n    " } else { " " };
            value.decor_mut().set_prefix(apart);
        }
        array.set_trailing("\n");
        array.set_trailing_comma(true);
    }
    array.into()
}

/// Adds tables behind everything else. `heading` is a comment above the first,
/// without `#`.
///
/// # Errors
/// [`NoTables`] where the file states tables of a kind in another way.
pub fn append(
    document: &mut DocumentMut,
    heading: &[String],
    tables: &[NewTable],
) -> Result<(), NoTables> {
    let positions = last_position(document.as_table()) + 1..;
    // comments at the end of the file stay where they are: above what is added
    let mut above = document.trailing().as_str().unwrap_or_default().to_owned();
    document.set_trailing("");
    if !above.is_empty() && !above.ends_with('\n') {
        above.push('\n');
    }
    if !heading.is_empty() {
        above += "\n";
        above += &comment(heading);
    }
    for (position, new) in positions.zip(tables) {
        let mut table = new.table.clone();
        table.set_position(Some(position));
        table.decor_mut().set_prefix(format!("{above}\n{}", comment(&new.comment)));
        above.clear();
        let item = document.entry(new.kind).or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
        item.as_array_of_tables_mut().ok_or(NoTables(new.kind))?.push(table);
    }
    if !above.is_empty() {
        document.set_trailing(above);
    }
    Ok(())
}

fn last_position(table: &Table) -> isize {
    let own = table.position().unwrap_or(0);
    let inner = table.iter().map(|(_, item)| match item {
        Item::Table(table) => last_position(table),
        Item::ArrayOfTables(tables) => tables.iter().map(last_position).max().unwrap_or(0),
        _ => 0,
    });
    inner.fold(own, isize::max)
}

/// Lines as TOML comments.
pub fn comment(lines: &[String]) -> String {
    let line = |line: &String| match line.is_empty() {
        true => "#\n".to_owned(),
        false => format!("# {line}\n"),
    };
    lines.iter().map(line).collect()
}

/// Words in lines of at most 78 characters, the second and later ones indented.
pub fn wrapped(indent: &str, text: &str) -> Vec<String> {
    let mut lines = vec![indent.to_owned()];
    let mut empty = true;
    for word in text.split_whitespace() {
        let Some(last) = lines.last_mut() else { break };
        let room = WIDTH - 2;
        if !empty && last.chars().count() + 1 + word.chars().count() > room {
            lines.push(format!("{indent}  {word}"));
            continue;
        }
        if !empty {
            last.push(' ');
        }
        last.push_str(word);
        empty = false;
    }
    lines
}

/// Why a file could not be written.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    /// Something at the place that is not written over.
    #[error(transparent)]
    Target(#[from] TargetError),
    #[error("cannot write `{}`: {source}; nothing was written\n  check the folder and its permissions", path.display())]
    Write { path: PathBuf, source: io::Error },
}

impl SaveError {
    /// Whether another name or option would do.
    pub fn is_usage(&self) -> bool {
        matches!(self, Self::Target(_))
    }
}

/// Writes a text beside its place and renames it, over none of the files that the run reads.
///
/// # Errors
/// [`SaveError`]; what was there before is untouched then.
pub fn save(path: &Path, text: &str, inputs: &Inputs, existing: Existing) -> Result<(), SaveError> {
    save_bytes(path, text.as_bytes(), inputs, existing)
}

/// The same for bytes.
///
/// # Errors
/// [`SaveError`]; what was there before is untouched then.
pub fn save_bytes(
    path: &Path,
    bytes: &[u8],
    inputs: &Inputs,
    existing: Existing,
) -> Result<(), SaveError> {
    let target = Target::at(path, inputs, existing)?;
    target.write(bytes).map_err(|source| match source.kind() {
        io::ErrorKind::AlreadyExists => TargetError::Exists { path: path.to_owned() }.into(),
        _ => SaveError::Write { path: path.to_owned(), source },
    })
}
