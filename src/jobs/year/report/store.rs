//! The folder of a year: blocks of days, each whole or absent.
//!
//! In: a folder, what the rows are worked out from, tables of days. Out: columnar files,
//! one for each block, and a manifest. A run that was interrupted goes on with the days
//! that no file holds; runs of several shards may share a folder or be copied together.
//! Files of another venue file, weather, step or span of dates are refused, and so is a
//! day that two files hold.

use std::collections::BTreeMap;
use std::hash::Hasher;
use std::path::{Path, PathBuf};
use std::{fs, io};

use bytes::Bytes;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use twox_hash::XxHash64;

use crate::base::bounded;
use crate::base::bounded::Bounded;
use crate::base::files::{FileName, FileSet, FilesError, Shown};
use crate::base::meaning::meaning;
use crate::base::target::Inputs;
use crate::engine::season::Weather;
use crate::venue::Venue;

use super::columns::{Column, columns};
use super::parquet;
use super::parquet::{ColumnarError, Notes};
use super::table::Table;

/// Number of this form of the columns; changes when a meaning changes.
pub const FORMAT: u32 = 3;
/// Bytes of a block; one of 30 days at each minute with a hundred columns has a tenth.
const MAX_BYTES: u64 = 512 * 1024 * 1024;
/// Beginning and end of the names of blocks.
const BLOCK: &str = "days-";
const COLUMNAR: &str = "parquet";
const MANIFEST: &str = "year.json";
/// Keys of a file's notes.
const INPUTS_NOTE: &str = "inputs";
const DATES_NOTE: &str = "dates";
const DATE: &str = "%Y-%m-%d";

/// What the rows of a year are asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// First and last day.
    pub first: NaiveDate,
    pub last: NaiveDate,
    pub step_min: u32,
    pub weather: Weather,
}

/// A part of the days: day `k`, counted from 0 at the first one asked for, belongs to
/// shard `k mod of + 1`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Shard {
    /// 1 to `of`.
    pub number: u32,
    pub of: u32,
}

impl Shard {
    /// All days.
    pub const WHOLE: Self = Self { number: 1, of: 1 };

    /// Whether the shard has a day, counted from 0.
    pub fn has(self, day: usize) -> bool {
        day as u64 % u64::from(self.of.max(1)) + 1 == u64::from(self.number)
    }
}

/// What a folder holds, for people and for later runs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Manifest {
    pub format: u32,
    pub program: String,
    pub venue: String,
    /// Hash (XXH64) of what the venue file says, comments left out, of the files that it names, and of all that the
    /// command asks for.
    pub inputs: String,
    pub time_zone: String,
    pub first_date: String,
    pub last_date: String,
    pub step_min: u32,
    pub sky: String,
    /// The air assumed, in words.
    #[serde(default)]
    pub air: String,
    pub shards: String,
    pub columns: Vec<String>,
}

/// Why a folder cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    #[error(transparent)]
    Files(#[from] FilesError),
    #[error(
        "cannot read {path}: {source}\n  check its permissions, or choose another folder with --into"
    )]
    Read { path: Shown, source: io::Error },
    #[error(
        "{path} was made from another venue file or model of it, other options or another version\n  \
         choose another folder with --into, or empty this one"
    )]
    OtherInputs { path: Shown },
    #[error(
        "{path} was not written by quarterstop: {what}\n  move it away, and its days are worked out again"
    )]
    Foreign { path: Shown, what: String },
    #[error("{date} is in {one} and in {two}\n  remove one of them")]
    Twice { date: NaiveDate, one: Shown, two: Shown },
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
    columns: Vec<Column>,
    manifest: Manifest,
    /// Days and the files that hold them.
    held: BTreeMap<NaiveDate, PathBuf>,
}

/// What tells one content of a file from another (XXH64).
pub fn fingerprint(bytes: &[u8]) -> u64 {
    XxHash64::oneshot(0, bytes)
}

impl Manifest {
    /// Of a venue, the text of its file, the [`fingerprint`]s of the files that it names,
    /// and what is asked.
    pub fn new(venue: &Venue, file: &str, models: &[u64], ask: &Ask) -> Self {
        let program = concat!("quarterstop ", env!("CARGO_PKG_VERSION")).to_owned();
        let mut hash = XxHash64::with_seed(0);
        hash.write(&meaning(file.as_bytes()));
        for model in models {
            hash.write(format!("\0model {model:016x}").as_bytes());
        }
        hash.write(format!("\0{FORMAT} {program} {ask:?}").as_bytes());
        Self {
            format: FORMAT,
            inputs: format!("{:016x}", hash.finish()),
            program,
            venue: venue.title.clone(),
            time_zone: venue.place.zone.name().to_owned(),
            first_date: ask.first.format(DATE).to_string(),
            last_date: ask.last.format(DATE).to_string(),
            step_min: ask.step_min,
            sky: ask.weather.sky.to_string(),
            air: ask.weather.air.statement(),
            shards: "day k, from 0 at first_date, belongs to shard (k mod n) + 1 of n".to_owned(),
            columns: columns(venue).into_iter().map(|column| column.name).collect(),
        }
    }
}

impl Store {
    /// Opens a folder, makes it where it is missing, and looks at what it holds.
    ///
    /// # Errors
    /// [`StoreError`]; nothing in the folder is changed then.
    pub fn open(folder: &Path, venue: &Venue, manifest: Manifest) -> Result<Self, StoreError> {
        let mut store = Self {
            folder: folder.to_owned(),
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
                    return Err(StoreError::OtherInputs { path: Shown::of(&path) });
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

    /// An empty table of the right columns.
    pub fn table(&self) -> Table {
        Table::new(self.columns.clone())
    }

    /// Puts a block of days, none of them held yet, into a file of their own.
    ///
    /// # Errors
    /// [`StoreError`]; the block is absent then.
    pub fn keep(
        &mut self,
        dates: &[NaiveDate],
        table: &Table,
        shard: Shard,
    ) -> Result<(), StoreError> {
        let Some(first) = dates.first() else { return Ok(()) };
        // no other file begins with a day that no file holds
        let mut stem = format!("{BLOCK}{}", first.format(DATE));
        if shard != Shard::WHOLE {
            stem += &format!("-shard-{}-of-{}", shard.number, shard.of);
        }
        let name = FileName::new(&stem, COLUMNAR);
        let path = self.folder.join(name.as_str());
        let texts: Vec<String> = dates.iter().map(|date| date.format(DATE).to_string()).collect();
        let mut notes = Notes::new();
        notes.insert(INPUTS_NOTE.to_owned(), self.manifest.inputs.clone());
        notes.insert(DATES_NOTE.to_owned(), texts.join(" "));
        notes.insert("venue".to_owned(), self.manifest.venue.clone());
        notes.insert("sky".to_owned(), self.manifest.sky.clone());
        notes.insert("air".to_owned(), self.manifest.air.clone());
        let mut set = FileSet::open(&self.folder, &Inputs::none())?;
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
        mut take: impl FnMut(Table) -> Result<(), E>,
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
    pub fn columns(&self) -> &[Column] {
        &self.columns
    }

    /// Finds out which days the blocks hold.
    fn look(&mut self) -> Result<(), StoreError> {
        let entries = match fs::read_dir(&self.folder) {
            Ok(entries) => entries,
            Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(()),
            // a file in place of the folder is told by whoever opens it for writing
            Err(e) if e.kind() == io::ErrorKind::NotADirectory => return Ok(()),
            Err(source) => return Err(StoreError::Read { path: Shown::of(&self.folder), source }),
        };
        let mut paths: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
        paths.sort_unstable();
        for path in paths.into_iter().filter(|path| is_block(path)) {
            let notes = parquet::notes(bytes(&path)?).map_err(|e| foreign(&path, e))?;
            if notes.get(INPUTS_NOTE) != Some(&self.manifest.inputs) {
                return Err(StoreError::OtherInputs { path: Shown::of(&path) });
            }
            for text in notes.get(DATES_NOTE).into_iter().flat_map(|d| d.split_whitespace()) {
                let date = NaiveDate::parse_from_str(text, DATE).map_err(|e| foreign(&path, e))?;
                if let Some(other) = self.held.insert(date, path.clone()) {
                    let (one, two) = (Shown::of(&other), Shown::of(&path));
                    return Err(StoreError::Twice { date, one, two });
                }
            }
        }
        Ok(())
    }
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
        Err(source) => Err(StoreError::Read { path: Shown::of(path), source }),
    }
}

fn foreign(path: &Path, what: impl std::fmt::Display) -> StoreError {
    StoreError::Foreign { path: Shown::of(path), what: what.to_string() }
}
