//! What the file says of its own numbers.

use super::extras::{DAY, day_of};
use crate::venue::draft::Address;
use crate::venue::file::VenueFile;
use crate::venue::problem::Problems;
use crate::venue::surveyed::Surveyed;

/// Whether each address names something is checked by the reader, which has the
/// whole file.
pub(super) fn surveyed(file: &VenueFile, problems: &mut Problems) -> Vec<Surveyed> {
    let mut all: Vec<Surveyed> = Vec::new();
    for (i, table) in file.surveyed.iter().enumerate() {
        let key = |field: &str| format!("surveyed[{i}].{field}");
        let what = match table.what.parse::<Address>() {
            Ok(what) => Some(what),
            Err(fault) => {
                problems.add(key("what"), format!("\"{}\"", table.what), fault.to_string());
                None
            }
        };
        if let Some(what) = &what
            && all.iter().any(|earlier| earlier.what == *what)
        {
            problems.add(key("what"), format!("`{what}` a second time"), "each number once");
        }
        if table.plus_minus <= 0.0 {
            problems.add(
                key("plus_minus"),
                format!("{}", table.plus_minus),
                "a standard error of more than 0, in the unit of the key",
            );
        }
        let on = table.on.as_deref().map(day_of);
        if let Some(None) = on {
            let found = table.on.as_deref().unwrap_or_default();
            problems.add(key("on"), format!("\"{found}\""), DAY);
        }
        let Some(what) = what else { continue };
        all.push(Surveyed {
            what,
            plus_minus: table.plus_minus,
            how: table.how,
            on: on.flatten(),
            note: table.note.clone(),
        });
    }
    all
}
