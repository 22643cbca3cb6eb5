//! The list of fixtures.
//!
//! In: a CSV file with a header: `date`, `venue`, `earliest`, `latest`, `duration_min`,
//! `start`; where wanted `planned`, `fixture`, `teams`, `crew` and `truck`. Out: [`ListedFixture`]s, or all mistakes
//! together, each with its line and column.
//!
//! | column | |
//! | --- | --- |
//! | `date` | YYYY-MM-DD |
//! | `venue` | path of a venue file, counted from the folder of the list |
//! | `earliest`, `latest` | HH:MM on the venue's clocks; `latest` may be empty for a fixed start |
//! | `duration_min` | minutes from start to end; empty: the course of play of the venue file |
//! | `start` | `fixed` (at `earliest`) or `free` |
//! | `planned` | HH:MM, what a shift is counted from, also outside of earliest and latest; empty: the earliest |
//! | `fixture` | a name for reports |
//! | `teams` | with semicolons between; rules of rest are held to them |
//! | `crew`, `truck` | a name, the same for fixtures that share it |

use std::path::{Path, PathBuf};

use chrono::{NaiveDate, NaiveTime};

use crate::base::read::clean;
use crate::base::sheet::{ListError, ListForm, ListProblems, ListRow, rows, text_of};
use crate::venue::{DAY, day_of};

const MAX_NAME: usize = 80;

/// A row of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListedFixture {
    /// Line of the list.
    pub line: usize,
    /// Empty where the list states none.
    pub name: String,
    pub date: NaiveDate,
    pub venue: PathBuf,
    pub earliest: NaiveTime,
    /// The same as `earliest` for a fixed start.
    pub latest: NaiveTime,
    pub duration_min: Option<u32>,
    pub start: Freedom,
    pub planned: Option<NaiveTime>,
    pub teams: Vec<String>,
    pub crew: Option<String>,
    pub truck: Option<String>,
}

/// Whether a start may be moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Freedom {
    Fixed,
    Free,
}

/// Reads a list.
///
/// # Errors
/// [`ListError`] with all mistakes.
pub fn read_list(path: &Path) -> Result<Vec<ListedFixture>, ListError> {
    let folder = path.parent().unwrap_or(Path::new(""));
    parse_list(&text_of(path)?, &path.display().to_string(), folder)
}

/// Reads the text of a list; `file` is what messages call it, `folder` where paths of
/// venues start.
///
/// ```
/// use std::path::Path;
/// use quarterstop::jobs::starts::parse_list;
/// let head = "date,venue,earliest,latest,duration_min,start\n";
/// let list = format!("{head}2027-05-03,mill.toml,12:00,19:30,105,free\n");
/// assert_eq!(parse_list(&list, "list.csv", Path::new("")).unwrap().len(), 1);
/// let wrong = format!("{head}2027-02-30,mill.toml,12:00,11:00,,free\n");
/// let told = parse_list(&wrong, "list.csv", Path::new("")).unwrap_err().to_string();
/// assert!(told.contains("line 2, column date: found \"2027-02-30\""));
/// assert!(told.contains("line 2, column latest: found \"11:00\""));
/// ```
///
/// # Errors
/// As [`read_list`].
pub fn parse_list(text: &str, file: &str, folder: &Path) -> Result<Vec<ListedFixture>, ListError> {
    rows(&FORM, text, file, |row, sheet| fixture(row, folder, sheet))
}

const COLUMNS: [&str; 11] = [
    "date",
    "venue",
    "earliest",
    "latest",
    "duration_min",
    "start",
    "planned",
    "fixture",
    "teams",
    "crew",
    "truck",
];
/// The first six have to be there.
const FORM: ListForm =
    ListForm { name: "list of fixtures", row: "fixture", columns: &COLUMNS, needed: 6 };

/// A name of up to 80 characters, which may be empty.
fn name(row: &ListRow<'_>, column: &str, sheet: &mut ListProblems) -> Option<String> {
    row.cell(column, "up to 80 characters", sheet, |text| {
        (text.chars().count() <= MAX_NAME).then(|| clean(text))
    })
}

fn time(row: &ListRow<'_>, column: &str, sheet: &mut ListProblems) -> Option<NaiveTime> {
    row.cell(column, "HH:MM, from 00:00 to 23:59", sheet, clock)
}

fn clock(text: &str) -> Option<NaiveTime> {
    NaiveTime::parse_from_str(text, "%H:%M").ok()
}

fn fixture(row: &ListRow<'_>, folder: &Path, sheet: &mut ListProblems) -> Option<ListedFixture> {
    let date = row.cell("date", DAY, sheet, day_of);
    let venue = row.path("venue", "a venue file", folder, sheet);
    let start = row.cell("start", "fixed or free", sheet, |text| match text {
        "fixed" => Some(Freedom::Fixed),
        "free" => Some(Freedom::Free),
        _ => None,
    });
    let earliest = time(row, "earliest", sheet);
    let fixed = start == Some(Freedom::Fixed);
    let latest = match row.text("latest") {
        "" if fixed => earliest,
        _ => time(row, "latest", sheet),
    };
    match earliest.zip(latest) {
        Some((earliest, latest)) if latest < earliest => {
            row.refuse("latest", "not before the earliest start", sheet);
        }
        Some((earliest, latest)) if fixed && latest != earliest => {
            row.refuse("latest", "for a fixed start empty, or the same as the earliest", sheet);
        }
        _ => {}
    }
    let duration_min = match row.text("duration_min") {
        "" => Some(None),
        _ => row.cell("duration_min", "minutes, 5 to 720, or empty", sheet, |text| {
            text.parse().ok().filter(|m| (5..=720).contains(m)).map(Some)
        }),
    };
    let planned = match row.text("planned") {
        "" => Some(None),
        _ => time(row, "planned", sheet).map(Some),
    };
    if let (true, Some(earliest), Some(Some(planned))) = (fixed, earliest, planned)
        && planned != earliest
    {
        row.refuse("planned", "for a fixed start empty, or the same as the earliest", sheet);
    }
    let own = name(row, "fixture", sheet);
    let teams = name(row, "teams", sheet);
    let (crew, truck) = (name(row, "crew", sheet), name(row, "truck", sheet));
    let stated = |name: String| (!name.is_empty()).then_some(name);
    let parted = |teams: String| {
        let teams = teams.split(';').map(|team| team.trim().to_owned());
        teams.filter(|team| !team.is_empty()).collect()
    };
    Some(ListedFixture {
        line: row.line,
        name: own?,
        date: date?,
        venue: venue?,
        earliest: earliest?,
        latest: latest?,
        duration_min: duration_min?,
        start: start?,
        planned: planned?,
        teams: parted(teams?),
        crew: stated(crew?),
        truck: stated(truck?),
    })
}
