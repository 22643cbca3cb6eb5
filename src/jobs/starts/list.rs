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

use crate::base::read::{ReadError, bytes_of, clean};
use crate::venue::{DAY, day_of};

/// Megabytes of a list.
const MAX_MB: u64 = 8;
/// Rows of a list.
const MAX_ROWS: usize = 20_000;
/// Problems that are shown.
const MAX_SHOWN: usize = 20;
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

/// Why a list cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum ListError {
    #[error(transparent)]
    Read(#[from] ReadError),
    #[error(
        "{} in the list of fixtures `{file}`\n{}", counted(*count), problems.join("\n")
    )]
    Mistakes { file: String, problems: Vec<String>, count: usize },
}

fn counted(count: usize) -> String {
    if count == 1 { "1 mistake".to_owned() } else { format!("{count} mistakes") }
}

/// Reads a list.
///
/// # Errors
/// [`ListError`] with all mistakes.
pub fn read_list(path: &Path) -> Result<Vec<ListedFixture>, ListError> {
    let bytes = bytes_of(path, MAX_MB)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let file = path.display().to_string();
    let text =
        String::from_utf8(bytes).map_err(|_| ReadError::Encoding { path: path.to_owned() })?;
    parse_list(&text, &file, folder)
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
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut sheet = Sheet::default();
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut columns = None;
    let mut fixtures = Vec::new();
    for (index, record) in reader.records().enumerate() {
        let Ok(record) = record else {
            sheet.problems.push(format!("  row {}: found no CSV", index + 1));
            break;
        };
        let line = line_of(text, record.position());
        match &columns {
            None => match Columns::of(&record, line, &mut sheet) {
                Some(found) => columns = Some(found),
                None => break,
            },
            Some(columns) if record.iter().any(|cell| !cell.trim().is_empty()) => {
                fixtures.extend(fixture(
                    &Row { line, record: &record, columns },
                    folder,
                    &mut sheet,
                ));
            }
            Some(_) => {}
        }
        if index > MAX_ROWS {
            sheet.problems.push(format!("  more than {MAX_ROWS} rows; make several lists"));
            break;
        }
    }
    if fixtures.is_empty() && sheet.problems.is_empty() {
        sheet.problems.push("  no fixture in it; write a row under the header".to_owned());
    }
    let count = sheet.problems.len();
    if count == 0 {
        return Ok(fixtures);
    }
    let mut problems = sheet.problems;
    problems.truncate(MAX_SHOWN);
    if count > MAX_SHOWN {
        problems.push(format!("  and {} more, not shown", count - MAX_SHOWN));
    }
    Err(ListError::Mistakes { file: file.to_owned(), problems, count })
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

#[derive(Default)]
struct Sheet {
    problems: Vec<String>,
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
/// Columns from here on may be left out.
const NEEDED: usize = 6;

/// Where each of [`COLUMNS`] stands.
struct Columns([Option<usize>; COLUMNS.len()]);

impl Columns {
    fn of(header: &csv::StringRecord, line: usize, sheet: &mut Sheet) -> Option<Self> {
        let before = sheet.problems.len();
        if let Some(found) = other_separator(header) {
            sheet.problems.push(format!(
                "  line {line}: found {found} between columns; allowed: commas\n    save the list as \
                 CSV with commas between columns"
            ));
            return None;
        }
        let mut places = [None; COLUMNS.len()];
        for (place, cell) in header.iter().enumerate() {
            let known = COLUMNS.iter().position(|name| name.eq_ignore_ascii_case(cell.trim()));
            match known.and_then(|column| places.get_mut(column)) {
                Some(found @ None) => *found = Some(place),
                Some(Some(_)) => sheet
                    .problems
                    .push(format!("  line {line}: found the column \"{}\" twice", clean(cell))),
                None => sheet.problems.push(format!(
                    "  line {line}: found a column \"{}\"; allowed: {}",
                    clean(cell),
                    COLUMNS.join(", ")
                )),
            }
        }
        for (name, _) in COLUMNS.iter().zip(places).take(NEEDED).filter(|(_, p)| p.is_none()) {
            sheet.problems.push(format!("  line {line}: found no column \"{name}\""));
        }
        (sheet.problems.len() == before).then_some(Self(places))
    }
}

struct Row<'a> {
    line: usize,
    record: &'a csv::StringRecord,
    columns: &'a Columns,
}

impl Row<'_> {
    fn text(&self, column: &str) -> &str {
        let place = COLUMNS.iter().position(|name| *name == column);
        let place = place.and_then(|p| self.columns.0.get(p).copied().flatten());
        place.and_then(|place| self.record.get(place)).unwrap_or_default().trim()
    }

    fn refuse(&self, column: &str, allowed: &str, sheet: &mut Sheet) {
        sheet.problems.push(format!(
            "  line {}, column {column}: found \"{}\"; allowed: {allowed}",
            self.line,
            clean(self.text(column))
        ));
    }

    /// A cell by `read`, or a problem.
    fn cell<T>(
        &self,
        column: &str,
        allowed: &str,
        sheet: &mut Sheet,
        read: impl FnOnce(&str) -> Option<T>,
    ) -> Option<T> {
        let found = read(self.text(column));
        if found.is_none() {
            self.refuse(column, allowed, sheet);
        }
        found
    }

    fn name(&self, column: &str, sheet: &mut Sheet) -> Option<String> {
        self.cell(column, "up to 80 characters", sheet, |text| {
            (text.chars().count() <= MAX_NAME).then(|| clean(text))
        })
    }

    fn time(&self, column: &str, sheet: &mut Sheet) -> Option<NaiveTime> {
        self.cell(column, "HH:MM, from 00:00 to 23:59", sheet, clock)
    }
}

fn clock(text: &str) -> Option<NaiveTime> {
    NaiveTime::parse_from_str(text, "%H:%M").ok()
}

fn fixture(row: &Row<'_>, folder: &Path, sheet: &mut Sheet) -> Option<ListedFixture> {
    let date = row.cell("date", DAY, sheet, day_of);
    let venue = row.cell("venue", "the path of a venue file, on one line", sheet, |text| {
        // messages show the path: it must not drive a terminal
        let plain = !text.is_empty() && !text.chars().any(char::is_control);
        plain.then(|| folder.join(text))
    });
    let start = row.cell("start", "fixed or free", sheet, |text| match text {
        "fixed" => Some(Freedom::Fixed),
        "free" => Some(Freedom::Free),
        _ => None,
    });
    let earliest = row.time("earliest", sheet);
    let fixed = start == Some(Freedom::Fixed);
    let latest = match row.text("latest") {
        "" if fixed => earliest,
        _ => row.time("latest", sheet),
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
        _ => row.time("planned", sheet).map(Some),
    };
    if let (true, Some(earliest), Some(Some(planned))) = (fixed, earliest, planned)
        && planned != earliest
    {
        row.refuse("planned", "for a fixed start empty, or the same as the earliest", sheet);
    }
    let name = row.name("fixture", sheet);
    let teams = row.name("teams", sheet);
    let (crew, truck) = (row.name("crew", sheet), row.name("truck", sheet));
    let stated = |name: String| (!name.is_empty()).then_some(name);
    let parted = |teams: String| {
        let teams = teams.split(';').map(|team| team.trim().to_owned());
        teams.filter(|team| !team.is_empty()).collect()
    };
    Some(ListedFixture {
        line: row.line,
        name: name?,
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
