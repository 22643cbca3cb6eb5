//! Lists that people keep as CSV: a header, a row each.
//!
//! In: text, and the [`ListForm`] that it should have. Out: what is made of each row, or all
//! mistakes together, each with its line and column.

use std::path::Path;

use crate::base::read::{ReadError, bytes_of, clean};

/// Megabytes of a list.
const MAX_MB: u64 = 8;
/// Rows of a list.
const MAX_ROWS: usize = 20_000;
/// Problems that are shown.
const MAX_SHOWN: usize = 20;

/// What a list looks like.
pub struct ListForm {
    /// "list of fixtures", and what a row is: "fixture".
    pub name: &'static str,
    pub row: &'static str,
    pub columns: &'static [&'static str],
    /// So many of the columns must be there, from the first on.
    pub needed: usize,
}

/// Why a list cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum ListError {
    #[error(transparent)]
    Read(#[from] ReadError),
    #[error("{} in the {what} `{file}`\n{}", counted(*count), problems.join("\n"))]
    Mistakes { what: &'static str, file: String, problems: Vec<String>, count: usize },
}

fn counted(count: usize) -> String {
    if count == 1 { "1 mistake".to_owned() } else { format!("{count} mistakes") }
}

/// The text of a list.
///
/// # Errors
/// [`ListError::Read`].
pub fn text_of(path: &Path) -> Result<String, ListError> {
    let bytes = bytes_of(path, MAX_MB)?;
    Ok(String::from_utf8(bytes).map_err(|_| ReadError::Encoding { path: path.to_owned() })?)
}

/// Makes something of each row that is not empty; `file` is what messages call the list.
///
/// # Errors
/// [`ListError::Mistakes`] with all that were refused; a list without a row is one.
pub fn rows<T>(
    form: &ListForm,
    text: &str,
    file: &str,
    mut each: impl FnMut(&ListRow<'_>, &mut ListProblems) -> Option<T>,
) -> Result<Vec<T>, ListError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut found = ListProblems::default();
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut columns = None;
    let mut made = Vec::new();
    for (index, record) in reader.records().enumerate() {
        let Ok(record) = record else {
            found.0.push(format!("  row {}: found no CSV", index + 1));
            break;
        };
        let line = line_of(text, record.position());
        match &columns {
            None => match places(form, &record, line, &mut found) {
                Some(places) => columns = Some(places),
                None => break,
            },
            Some(places) if record.iter().any(|cell| !cell.trim().is_empty()) => {
                made.extend(each(&ListRow { line, record: &record, form, places }, &mut found));
            }
            Some(_) => {}
        }
        if index > MAX_ROWS {
            found.0.push(format!("  more than {MAX_ROWS} rows; make several lists"));
            break;
        }
    }
    if made.is_empty() && found.0.is_empty() {
        found.0.push(format!("  no {} in it; write a row under the header", form.row));
    }
    let count = found.0.len();
    if count == 0 {
        return Ok(made);
    }
    let mut problems = found.0;
    problems.truncate(MAX_SHOWN);
    if count > MAX_SHOWN {
        problems.push(format!("  and {} more, not shown", count - MAX_SHOWN));
    }
    Err(ListError::Mistakes { what: form.name, file: file.to_owned(), problems, count })
}

/// What stands between columns of a header that is one cell, where that is no comma.
fn other_separator(header: &csv::StringRecord) -> Option<&'static str> {
    let [cell] = header.iter().collect::<Vec<_>>()[..] else { return None };
    let separators = [(';', "semicolons"), ('\t', "tabs"), ('|', "bars")];
    separators.into_iter().find(|(sign, _)| cell.contains(*sign)).map(|(_, words)| words)
}

/// The CSV reader's own count is one short where lines end in CR LF.
fn line_of(text: &str, position: Option<&csv::Position>) -> usize {
    let begins = position.map_or(0, |p| p.byte() as usize).min(text.len());
    let (before, rest) = text.as_bytes().split_at(begins);
    let ends = rest.iter().take_while(|b| matches!(b, b'\r' | b'\n'));
    let feeds = |bytes: &mut dyn Iterator<Item = &u8>| bytes.filter(|b| **b == b'\n').count();
    1 + feeds(&mut before.iter()) + feeds(&mut ends.into_iter())
}

/// What is wrong, as it is found.
#[derive(Default)]
pub struct ListProblems(Vec<String>);

/// Where each column of the form stands in a header.
fn places(
    form: &ListForm,
    header: &csv::StringRecord,
    line: usize,
    found: &mut ListProblems,
) -> Option<Vec<Option<usize>>> {
    let before = found.0.len();
    if let Some(separator) = other_separator(header) {
        found.0.push(format!(
            "  line {line}: found {separator} between columns; allowed: commas\n    save the list \
             as CSV with commas between columns"
        ));
        return None;
    }
    let mut places = vec![None; form.columns.len()];
    for (place, cell) in header.iter().enumerate() {
        let known = form.columns.iter().position(|name| name.eq_ignore_ascii_case(cell.trim()));
        match known.and_then(|column| places.get_mut(column)) {
            Some(free @ None) => *free = Some(place),
            Some(Some(_)) => {
                found.0.push(format!("  line {line}: found the column \"{}\" twice", clean(cell)));
            }
            None => found.0.push(format!(
                "  line {line}: found a column \"{}\"; allowed: {}",
                clean(cell),
                form.columns.join(", ")
            )),
        }
    }
    for (name, _) in form.columns.iter().zip(&places).take(form.needed).filter(|p| p.1.is_none()) {
        found.0.push(format!("  line {line}: found no column \"{name}\""));
    }
    (found.0.len() == before).then_some(places)
}

/// A row with cells by the names of the form's columns.
pub struct ListRow<'a> {
    pub line: usize,
    record: &'a csv::StringRecord,
    form: &'a ListForm,
    places: &'a [Option<usize>],
}

impl ListRow<'_> {
    /// A cell without spaces around it; empty where the list has no such column.
    pub fn text(&self, column: &str) -> &str {
        let place = self.form.columns.iter().position(|name| *name == column);
        let place = place.and_then(|p| self.places.get(p).copied().flatten());
        place.and_then(|place| self.record.get(place)).unwrap_or_default().trim()
    }

    /// Says that a cell holds what it may not.
    pub fn refuse(&self, column: &str, allowed: &str, found: &mut ListProblems) {
        found.0.push(format!(
            "  line {}, column {column}: found \"{}\"; allowed: {allowed}",
            self.line,
            clean(self.text(column))
        ));
    }

    /// A cell by `read`, or a problem.
    pub fn cell<T>(
        &self,
        column: &str,
        allowed: &str,
        found: &mut ListProblems,
        read: impl FnOnce(&str) -> Option<T>,
    ) -> Option<T> {
        let value = read(self.text(column));
        if value.is_none() {
            self.refuse(column, allowed, found);
        }
        value
    }

    /// A path that is counted from `folder`. Messages show it: it must not drive a terminal.
    pub fn path(
        &self,
        column: &str,
        what: &str,
        folder: &Path,
        found: &mut ListProblems,
    ) -> Option<std::path::PathBuf> {
        let allowed = format!("the path of {what}, on one line");
        self.cell(column, &allowed, found, |text| {
            let plain = !text.is_empty() && !text.chars().any(char::is_control);
            plain.then(|| folder.join(text))
        })
    }
}
