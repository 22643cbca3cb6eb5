//! The `[horizon]` of a venue file.
//!
//! In: a skyline with a comment on where it comes from. Out: a table as text, or
//! the text of a venue with that table in place of the one it had.

use toml_edit::{DocumentMut, Item, Table};

use super::{HorizonError, Skyline};
use crate::import::write::{comment, rows};
use crate::venue;

/// A venue with another skyline.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WithSkyline {
    pub text: String,
    /// Whether the venue had a skyline before.
    pub replaced: bool,
}

/// The table alone.
pub fn alone(skyline: &Skyline, about: &[String]) -> String {
    let mut document = DocumentMut::new();
    let mut table = table(skyline);
    table.decor_mut().set_prefix(comment(about));
    document["horizon"] = Item::Table(table);
    document.to_string()
}

/// Puts a skyline into the text of a venue; all else stays as it was.
///
/// # Errors
/// [`HorizonError`] when the text is no venue with this skyline.
pub fn onto(text: &str, skyline: &Skyline, about: &[String]) -> Result<WithSkyline, HorizonError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut document: DocumentMut =
        text.parse().map_err(|e: toml_edit::TomlError| HorizonError::Edit(e.to_string()))?;
    let mut table = table(skyline);
    let before = document.get("horizon").and_then(Item::as_table);
    let replaced = document.contains_key("horizon");
    let prefix = match before {
        Some(before) => {
            table.set_position(before.position());
            before.decor().prefix().and_then(|p| p.as_str()).unwrap_or("\n").to_owned()
        }
        None => {
            // comments at the end of the file stay above what is added
            let end = document.trailing().as_str().unwrap_or_default().to_owned();
            document.set_trailing("");
            format!("{end}\n")
        }
    };
    table.decor_mut().set_prefix(prefix + &comment(about));
    if before_is_elsewhere(&document) {
        document.remove("horizon");
    }
    document["horizon"] = Item::Table(table);
    let text = document.to_string();
    venue::check_text(&text, "the new venue file")?;
    Ok(WithSkyline { text, replaced })
}

/// A skyline in one line at the top of the file cannot become a table there: the
/// keys after it would be its own.
fn before_is_elsewhere(document: &DocumentMut) -> bool {
    document.get("horizon").is_some_and(|item| !item.is_table())
}

fn table(skyline: &Skyline) -> Table {
    let mut table = Table::new();
    table["profile"] = Item::Value(rows(skyline));
    table
}
