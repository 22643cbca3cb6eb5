//! The folder of a year: blocks of days, each whole or absent.
//!
//! In: a folder, what the rows are worked out from, tables of days. Out: a data set of
//! columnar files, `instants/venue=NAME/month=YYYY-MM/days-*.parquet`, one for each block,
//! and a manifest. A block holds days of one month; its rows are in order of time. A run
//! that was interrupted goes on with the days that no file holds; runs of several shards may
//! share a folder or be copied together.
//! Files of another venue file, weather, step or span of dates are refused, and so is a
//! day that two files hold.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::{fs, io};

use bytes::Bytes;
use chrono::{Datelike, NaiveDate};

use crate::base::bounded;
use crate::base::bounded::Bounded;
use crate::base::files::{FileName, FileSet, FilesError, ShownPath};
use crate::base::target::Inputs;
use crate::output::partition;
use crate::venue::Venue;

use super::columns::{YearColumn, columns};
use super::manifest::{DATE, Manifest, Shard};
use super::parquet;
use super::parquet::{ColumnarError, Notes};
use super::table::YearTable;

/// Cells of a block, which is what memory holds at once: a month of 20 cameras at five
/// minutes has half as many. A table with more has files of fewer days.
const BLOCK_CELLS: usize = 5_000_000;
/// Bytes of a block; one of 30 days at each minute with a hundred columns has a tenth.
const MAX_BYTES: u64 = 512 * 1024 * 1024;
/// Folder of the data set.
pub const INSTANTS: &str = "instants";
/// Beginning and end of the names of blocks.
const BLOCK: &str = "days-";
const COLUMNAR: &str = "parquet";
const MANIFEST: &str = "year.json";
/// Keys of a file's notes.
const INPUTS_NOTE: &str = "inputs";
const DATES_NOTE: &str = "dates";

/// Why a folder cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    #[error(transparent)]
    Files(#[from] FilesError),
    #[error(
        "cannot read {path}: {source}\n  check its permissions, or choose another folder with --into"
    )]
    Read { path: ShownPath, source: io::Error },
    #[error(
        "{path} was made from another venue file or model of it, other options or another version\n  \
         choose another folder with --into, or empty this one"
    )]
    OtherInputs { path: ShownPath },
    #[error(
        "{path} was not written by quarterstop: {what}\n  move it away, and its days are worked out again"
    )]
    Foreign { path: ShownPath, what: String },
    #[error("{date} is in {one} and in {two}\n  remove one of them")]
    Twice { date: NaiveDate, one: ShownPath, two: ShownPath },
    #[error("days could not be put into a columnar file: {0}")]
    Columnar(#[from] ColumnarError),
}

impl StoreError {
    /// Whether the user can mend it by other options or another folder.
    pub fn is_usage(&self) -> bool {
        match self {
            Self::Files(error) => error.is_usage(),
            Self::OtherInputs { .. } | Self::Foreign { .. } | Self::Twice { .. } => true,
            Self::Read { .. } | Self::Columnar(_) => false,
        }
    }
}

/// A folder with what it holds already.
#[derive(Debug)]
pub struct Store {
    folder: PathBuf,
    /// What folders call the venue.
    name: String,
    columns: Vec<YearColumn>,
    manifest: Manifest,
    /// Days and the files that hold them.
    held: BTreeMap<NaiveDate, PathBuf>,
}

impl Store {
    /// Opens a folder, makes it where it is missing, and looks at what it holds.
    ///
    /// # Errors
    /// [`StoreError`]; nothing in the folder is changed then.
    pub fn open(
        folder: &Path,
        (venue, name): (&Venue, &str),
        manifest: Manifest,
    ) -> Result<Self, StoreError> {
        let mut store = Self {
            folder: folder.to_owned(),
            name: name.to_owned(),
            columns: columns(venue),
            manifest,
            held: BTreeMap::new(),
        };
        let path = folder.join(MANIFEST);
        match bytes(&path) {
            Ok(bytes) => {
                let found: Manifest =
                    serde_json::from_slice(&bytes).map_err(|e| foreign(&path, e))?;
                if found.inputs != store.manifest.inputs {
                    return Err(StoreError::OtherInputs { path: ShownPath::of(&path) });
                }
            }
            Err(StoreError::Read { source, .. })
                if matches!(
                    source.kind(),
                    io::ErrorKind::NotFound | io::ErrorKind::NotADirectory
                ) => {}
            Err(error) => return Err(error),
        }
        store.look()?;
        if !path.exists() {
            let mut set = FileSet::open(folder, &Inputs::none())?;
            let text = serde_json::to_vec_pretty(&store.manifest).map_err(|e| foreign(&path, e))?;
            set.stage(FileName::new("year", "json"), &text)?;
            set.commit()?;
        }
        Ok(store)
    }

    /// Days of a list that no file holds yet.
    pub fn missing(&self, dates: impl IntoIterator<Item = NaiveDate>) -> Vec<NaiveDate> {
        dates.into_iter().filter(|date| !self.held.contains_key(date)).collect()
    }

    /// Days by blocks that go into one file each: of one month, and no more than fit into
    /// memory at once, in tables of a row every `step_min`.
    pub fn blocks<'d>(&self, days: &'d [NaiveDate], step_min: u32) -> Vec<&'d [NaiveDate]> {
        let at_once = block_days(self.columns.len(), step_min);
        let months = days.chunk_by(|a, b| month_of(*a) == month_of(*b));
        months.flat_map(|month| month.chunks(at_once)).collect()
    }

    /// An empty table of the right columns.
    pub fn table(&self) -> YearTable {
        YearTable::new(self.columns.clone())
    }

    /// Puts a block of days of one month, none of them held yet, into a file of their own.
    ///
    /// # Errors
    /// [`StoreError`]; the block is absent then.
    pub fn keep(
        &mut self,
        dates: &[NaiveDate],
        table: &YearTable,
        shard: Shard,
    ) -> Result<(), StoreError> {
        let Some(first) = dates.first() else { return Ok(()) };
        // no other file begins with a day that no file holds
        let mut stem = format!("{BLOCK}{}", first.format(DATE));
        if shard != Shard::WHOLE {
            stem += &format!("-shard-{}-of-{}", shard.number, shard.of);
        }
        let name = FileName::new(&stem, COLUMNAR);
        let month = partition::name(&self.name, month_of(*first));
        let within = self.folder.join(INSTANTS).join(month);
        let path = within.join(name.as_str());
        let texts: Vec<String> = dates.iter().map(|date| date.format(DATE).to_string()).collect();
        let mut notes = Notes::new();
        notes.insert(INPUTS_NOTE.to_owned(), self.manifest.inputs.clone());
        notes.insert(DATES_NOTE.to_owned(), texts.join(" "));
        notes.insert("venue".to_owned(), self.manifest.venue.clone());
        notes.insert("sky".to_owned(), self.manifest.sky.clone());
        notes.insert("air".to_owned(), self.manifest.air.clone());
        let mut set = FileSet::open(&within, &Inputs::none())?;
        set.stage(name, &parquet::write(table, &notes)?)?;
        set.commit()?;
        self.held.extend(dates.iter().map(|date| (*date, path.clone())));
        Ok(())
    }

    /// All rows that the folder holds, handed over in order of time, a table of some days at
    /// once: a block, or all blocks whose days lie between each other's, as those of shards
    /// do. So memory holds a month of each shard, however long the span.
    ///
    /// # Errors
    /// [`StoreError`] for a file that cannot be read; what `take` returns.
    pub fn each<E: From<StoreError>>(
        &self,
        mut take: impl FnMut(YearTable) -> Result<(), E>,
    ) -> Result<(), E> {
        for blocks in self.in_turn() {
            let mut all = self.table();
            for path in blocks {
                let table = parquet::read(bytes(path)?, &self.columns);
                all.join(table.map_err(|e| foreign(path, e))?);
            }
            all.sort();
            take(all)?;
        }
        Ok(())
    }

    /// Blocks in order of time, those together whose days lie between each other's.
    fn in_turn(&self) -> Vec<Vec<&Path>> {
        let mut last_day: BTreeMap<&Path, NaiveDate> = BTreeMap::new();
        self.held.iter().for_each(|(date, path)| {
            last_day.insert(path, *date);
        });
        let mut turns: Vec<(NaiveDate, Vec<&Path>)> = Vec::new();
        for (date, path) in &self.held {
            let last = last_day.get(path.as_path()).copied().unwrap_or(*date);
            match turns.last_mut() {
                Some((until, paths)) if *date <= *until => {
                    *until = last.max(*until);
                    if !paths.contains(&path.as_path()) {
                        paths.push(path);
                    }
                }
                _ => turns.push((last, vec![path.as_path()])),
            }
        }
        turns.into_iter().map(|(_, paths)| paths).collect()
    }

    /// The columns of its tables.
    pub fn columns(&self) -> &[YearColumn] {
        &self.columns
    }

    /// Finds out which days the blocks hold.
    fn look(&mut self) -> Result<(), StoreError> {
        let own = self.folder.join(INSTANTS).join(partition::venue_folder(&self.name));
        let mut paths = Vec::new();
        for month in entries(&own)? {
            paths.extend(entries(&month)?.into_iter().filter(|path| is_block(path)));
        }
        for path in paths {
            let notes = parquet::notes(bytes(&path)?).map_err(|e| foreign(&path, e))?;
            if notes.get(INPUTS_NOTE) != Some(&self.manifest.inputs) {
                return Err(StoreError::OtherInputs { path: ShownPath::of(&path) });
            }
            for text in notes.get(DATES_NOTE).into_iter().flat_map(|d| d.split_whitespace()) {
                let date = NaiveDate::parse_from_str(text, DATE).map_err(|e| foreign(&path, e))?;
                if let Some(other) = self.held.insert(date, path.clone()) {
                    let (one, two) = (ShownPath::of(&other), ShownPath::of(&path));
                    return Err(StoreError::Twice { date, one, two });
                }
            }
        }
        Ok(())
    }
}

/// What a folder holds, in order; nothing where there is none.
fn entries(folder: &Path) -> Result<Vec<PathBuf>, StoreError> {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        // a file in place of a folder is reported by whoever opens it for writing
        Err(e) if e.kind() == io::ErrorKind::NotADirectory => return Ok(Vec::new()),
        Err(source) => return Err(StoreError::Read { path: ShownPath::of(folder), source }),
    };
    let mut paths: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
    paths.sort_unstable();
    Ok(paths)
}

/// Year and month.
fn month_of(date: NaiveDate) -> (i32, u32) {
    (date.year(), date.month())
}

fn is_block(path: &Path) -> bool {
    let named = path.file_name().and_then(|name| name.to_str());
    named.is_some_and(|name| name.starts_with(BLOCK))
        && path.extension().is_some_and(|extension| extension == COLUMNAR)
}

fn bytes(path: &Path) -> Result<Bytes, StoreError> {
    match bounded::read(path, MAX_BYTES) {
        Ok(Bounded::Whole(bytes)) => Ok(Bytes::from(bytes)),
        Ok(Bounded::Larger { .. }) => {
            Err(foreign(path, format!("it has more than {MAX_BYTES} bytes")))
        }
        Ok(Bounded::Folder) => Err(foreign(path, "it is a folder")),
        Err(source) => Err(StoreError::Read { path: ShownPath::of(path), source }),
    }
}

/// Days of a block that has so many columns, and a row every so many minutes.
fn block_days(columns: usize, step_min: u32) -> usize {
    let of_day = columns * (24 * 60_usize).div_ceil(step_min.max(1) as usize);
    (BLOCK_CELLS / of_day.max(1)).max(1)
}

fn foreign(path: &Path, what: impl std::fmt::Display) -> StoreError {
    StoreError::Foreign { path: ShownPath::of(path), what: what.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_is_a_month_or_what_memory_takes() {
        assert!(block_days(150, 5) >= 31 && block_days(100, 1) >= 31);
        assert_eq!(block_days(500, 1), 6);
        assert_eq!(block_days(50_000, 1), 1);
    }
}
