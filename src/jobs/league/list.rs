//! The list of grounds.
//!
//! In: a CSV file with a header: `venue` and, where wanted, `weather`. Out: [`ListedGround`]s,
//! or all mistakes together, each with its line and column.
//!
//! | column | |
//! | --- | --- |
//! | `venue` | path of a venue file, counted from the folder of the list |
//! | `weather` | path of a weather file (EPW), or of a folder of such files for one place; empty: none of its own |

use std::path::{Path, PathBuf};

use crate::base::sheet::{ListError, ListForm, ListProblems, ListRow, rows, text_of};

const FORM: ListForm =
    ListForm { name: "list of grounds", row: "ground", columns: &["venue", "weather"], needed: 1 };

/// A row of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListedGround {
    pub venue: PathBuf,
    pub weather: Option<PathBuf>,
}

/// Reads a list.
///
/// # Errors
/// [`ListError`] with all mistakes.
pub fn read_grounds(path: &Path) -> Result<Vec<ListedGround>, ListError> {
    let folder = path.parent().unwrap_or(Path::new(""));
    parse_grounds(&text_of(path)?, &path.display().to_string(), folder)
}

/// Reads the text of a list; `file` is what messages call it, `folder` where paths start.
///
/// ```
/// use std::path::Path;
/// use quarterstop::jobs::league::parse_grounds;
/// let list = "venue,weather\nmill.toml,oakham.epw\nhill.toml,\n";
/// let grounds = parse_grounds(list, "grounds.csv", Path::new("")).unwrap();
/// assert_eq!(grounds[0].weather.as_deref(), Some(Path::new("oakham.epw")));
/// assert_eq!(grounds[1].weather, None);
/// let twice = parse_grounds("venue\nmill.toml\nmill.toml\n", "grounds.csv", Path::new(""));
/// assert!(twice.unwrap_err().to_string().contains("line 3, column venue"));
/// ```
///
/// # Errors
/// As [`read_grounds`].
pub fn parse_grounds(
    text: &str,
    file: &str,
    folder: &Path,
) -> Result<Vec<ListedGround>, ListError> {
    let mut known: Vec<PathBuf> = Vec::new();
    rows(&FORM, text, file, |row, problems| {
        let ground = ground(row, folder, problems)?;
        if known.contains(&ground.venue) {
            row.refuse("venue", "each ground once", problems);
        }
        known.push(ground.venue.clone());
        Some(ground)
    })
}

fn ground(row: &ListRow<'_>, folder: &Path, problems: &mut ListProblems) -> Option<ListedGround> {
    let venue = row.path("venue", "a venue file", folder, problems);
    let weather = match row.text("weather") {
        "" => Some(None),
        _ => row.path("weather", "a weather file or a folder of them", folder, problems).map(Some),
    };
    Some(ListedGround { venue: venue?, weather: weather? })
}
