//! The data set of starts: one Parquet file for each venue and month.
//!
//! In: rows of a [`VenueMonth`]. Out: `starts/venue=NAME/month=YYYY-MM/part.parquet`, whole or
//! absent, with a hash of what its rows were worked out from. Folders are named the way that
//! Hive does, so that engines read `venue` and `month` from them and skip what a query does
//! not ask for. Rows of a file are in order of `start_utc`.

use std::path::Path;
use std::sync::Arc;

use bytes::Bytes;
use chrono::NaiveDate;
use parquet::basic::{LogicalType, Repetition, TimeUnit, Type as Physical};
use parquet::data_type::{ByteArray, ByteArrayType, DataType, DoubleType, Int32Type, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::record::{Field, RowAccessor};
use parquet::schema::types::Type;

use crate::base::bounded;
use crate::base::bounded::Bounded;
use crate::base::files::{FileName, FileSet, FilesError, ShownPath};
use crate::base::guard::guarded;
use crate::base::target::Inputs;
use crate::output::partition::{date_of, epoch_days, properties};

use super::part::VenueMonth;

/// Folder of the data set and the file of a part.
pub const STARTS: &str = "starts";
pub const FILE: &str = "part.parquet";
/// Number of the form; changes when a meaning changes.
pub const FORMAT: u32 = 3;
/// Words of the light, from good to none.
pub const LIGHT_WORDS: [&str; 4] = ["good", "fair", "hard", "dark"];
/// Bytes of a part; one of a start a minute has a tenth.
const MAX_BYTES: u64 = 64 * 1024 * 1024;
/// Rows of a part: a start every minute of 31 days.
const MAX_ROWS: i64 = 31 * 24 * 60;
const INPUTS_NOTE: &str = "inputs";
/// Place of the column that rows are sorted by.
const SORTED_BY: i32 = 1;

/// Name, unit and meaning of each column; `venue` and `month` are folders.
pub const COLUMNS: [(&str, &str, &str); 16] = [
    ("venue", "text", "folder: what the venue file is called, as letters and digits"),
    ("month", "YYYY-MM", "folder: month of the date"),
    ("date", "date", "day on the venue's clocks"),
    ("start_utc", "timestamp, ms", "start of play; rows of a file are in this order"),
    ("start_min", "min", "start of play, minutes of the day on the venue's clocks"),
    ("mixed_min", "min", "of play with sun and shade on the field"),
    ("worst_split_stops", "stop", "widest split in shot; 0 without one"),
    ("main_lens_min", "min", "of play with the sun in the main camera's lens"),
    ("choose_min", "min", "of play in which a camera has to expose for sun or for shade"),
    ("dusk_min", "min", "of play at low sun or twilight under floodlights"),
    ("dark_min", "min", "of play with the sun down and no floodlights lit"),
    ("cost", "number", "weighed sum of these, the lower the better"),
    (
        "light",
        "word",
        "good, fair or hard light, or dark: some play with the sun down and no floodlights lit",
    ),
    (
        "good_share",
        "0 to 1",
        "share of the days of the weather files around the date on which the light is good; may \
         be absent, as the two below, where no weather was given",
    ),
    ("sun_share", "0 to 1", "of play with direct sun to be expected"),
    ("expected_cost", "number", "cost to be expected with the weather"),
];
/// Columns from here on, counted in the file, may be absent.
const FIRST_OPTIONAL: usize = 11;

/// A start.
#[derive(Debug, Clone, PartialEq)]
pub struct LeagueRow {
    pub date: NaiveDate,
    /// Since 1970, UTC.
    pub start_ms: i64,
    /// Of the day, on the venue's clocks.
    pub start_min: i32,
    /// In the order of the columns.
    pub parts: [f64; 6],
    pub cost: f64,
    /// One of [`LIGHT_WORDS`].
    pub light: &'static str,
    /// `None` without weather; all others are for a clear sky.
    pub weather: Option<UnderWeather>,
}

/// What is to be expected of a start with the weather of the place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnderWeather {
    /// Share of days in good light, 0 to 1.
    pub good: f64,
    /// Share of play with direct sun, 0 to 1.
    pub sun: f64,
    pub cost: f64,
}

impl UnderWeather {
    /// In the order of the columns.
    pub(super) fn values(self) -> [f64; 3] {
        [self.good, self.sun, self.cost]
    }
}

/// Why a part cannot be kept or read.
#[derive(Debug, thiserror::Error)]
pub enum PartError {
    #[error(transparent)]
    Files(#[from] FilesError),
    #[error("a part could not be written: {0}")]
    Format(#[from] ParquetError),
    #[error(
        "{path} was made from another venue file, other options or another version\n  choose \
         another folder with --into, or empty this one"
    )]
    OtherInputs { path: ShownPath },
    #[error(
        "{path} was not written by quarterstop, or is damaged\n  move it away, and it is worked out again"
    )]
    Foreign { path: ShownPath },
}

impl PartError {
    /// Whether the user can mend it by other options or another folder.
    pub fn is_usage(&self) -> bool {
        match self {
            Self::Files(error) => error.is_usage(),
            Self::OtherInputs { .. } | Self::Foreign { .. } => true,
            Self::Format(_) => false,
        }
    }
}

/// Keeps a part, whole or not at all.
///
/// # Errors
/// [`PartError`].
pub fn keep(
    folder: &Path,
    part: &VenueMonth,
    inputs: &str,
    rows: &[LeagueRow],
) -> Result<(), PartError> {
    let within = folder.join(part.file());
    let within = within.parent().unwrap_or(folder);
    let bytes = encoded(rows, inputs)?;
    let mut set = FileSet::open(within, &Inputs::none())?;
    set.stage(FileName::new("part", "parquet"), &bytes)?;
    set.commit()?;
    Ok(())
}

/// Whether a part is there.
pub fn is_kept(folder: &Path, part: &VenueMonth) -> bool {
    folder.join(part.file()).is_file()
}

/// The rows of a part.
///
/// # Errors
/// [`PartError::OtherInputs`] where it was made from something else, [`PartError::Foreign`]
/// where it is no such file.
pub fn read(folder: &Path, part: &VenueMonth, inputs: &str) -> Result<Vec<LeagueRow>, PartError> {
    let path = folder.join(part.file());
    let foreign = || PartError::Foreign { path: ShownPath::of(&path) };
    let Ok(Bounded::Whole(bytes)) = bounded::read(&path, MAX_BYTES) else { return Err(foreign()) };
    let found = guarded(|| decoded(Bytes::from(bytes))).flatten().ok_or_else(foreign)?;
    match found {
        (of, rows) if of == inputs => Ok(rows),
        _ => Err(PartError::OtherInputs { path: ShownPath::of(&path) }),
    }
}

fn schema() -> Result<Type, ParquetError> {
    let fields = COLUMNS.iter().skip(2).enumerate().map(|(place, (name, unit, _))| {
        let (physical, logical) = match *unit {
            "date" => (Physical::INT32, Some(LogicalType::Date)),
            "timestamp, ms" => {
                (Physical::INT64, Some(LogicalType::timestamp(true, TimeUnit::MILLIS)))
            }
            "word" => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
            _ if *name == "start_min" => (Physical::INT32, None),
            _ => (Physical::DOUBLE, None),
        };
        let field = Type::primitive_type_builder(name, physical)
            .with_logical_type(logical)
            .with_repetition(match place {
                0..FIRST_OPTIONAL => Repetition::REQUIRED,
                _ => Repetition::OPTIONAL,
            });
        Ok(Arc::new(field.build()?))
    });
    let fields = fields.collect::<Result<Vec<_>, ParquetError>>()?;
    Type::group_type_builder("starts").with_fields(fields).build()
}

/// The file of some rows.
///
/// # Errors
/// [`ParquetError`] where the library refuses, which no row should cause.
pub fn encoded(rows: &[LeagueRow], inputs: &str) -> Result<Vec<u8>, ParquetError> {
    let notes = vec![KeyValue::new(INPUTS_NOTE.to_owned(), inputs.to_owned())];
    let properties = Arc::new(properties(notes, SORTED_BY));
    let mut bytes = Vec::new();
    let mut writer = SerializedFileWriter::new(&mut bytes, Arc::new(schema()?), properties)?;
    let mut group = writer.next_row_group()?;
    put::<Int32Type>(&mut group, rows.iter().map(|row| epoch_days(row.date)))?;
    put::<Int64Type>(&mut group, rows.iter().map(|row| row.start_ms))?;
    put::<Int32Type>(&mut group, rows.iter().map(|row| row.start_min))?;
    for part in 0..6 {
        put::<DoubleType>(&mut group, rows.iter().filter_map(|row| row.parts.get(part).copied()))?;
    }
    put::<DoubleType>(&mut group, rows.iter().map(|row| row.cost))?;
    put::<ByteArrayType>(&mut group, rows.iter().map(|row| ByteArray::from(row.light)))?;
    let there: Vec<i16> = rows.iter().map(|row| i16::from(row.weather.is_some())).collect();
    for place in 0..3 {
        let values = rows.iter().filter_map(|row| row.weather?.values().get(place).copied());
        let values: Vec<f64> = values.collect();
        if let Some(mut column) = group.next_column()? {
            column.typed::<DoubleType>().write_batch(&values, Some(&there), None)?;
            column.close()?;
        }
    }
    group.close()?;
    writer.close()?;
    Ok(bytes)
}

fn put<T: DataType>(
    group: &mut SerializedRowGroupWriter<'_, &mut Vec<u8>>,
    values: impl Iterator<Item = T::T>,
) -> Result<(), ParquetError> {
    let values: Vec<T::T> = values.collect();
    if let Some(mut column) = group.next_column()? {
        column.typed::<T>().write_batch(&values, None, None)?;
        column.close()?;
    }
    Ok(())
}

/// What the rows were made from, and the rows.
fn decoded(bytes: Bytes) -> Option<(String, Vec<LeagueRow>)> {
    let reader = SerializedFileReader::new(bytes).ok()?;
    let file = reader.metadata().file_metadata();
    let names = file.schema_descr().columns().iter().map(|column| column.name().to_owned());
    if !names.eq(COLUMNS.iter().skip(2).map(|c| c.0)) || file.num_rows() > MAX_ROWS {
        return None;
    }
    let notes = file.key_value_metadata()?.iter();
    let inputs =
        notes.filter(|note| note.key == INPUTS_NOTE).find_map(|note| note.value.clone())?;
    let row = |row: parquet::record::Row| {
        let number = |place: usize| row.get_double(place).ok();
        let (_, Field::Date(day)) = row.get_column_iter().next()? else { return None };
        let Field::TimestampMillis(start_ms) = row.get_column_iter().nth(1)?.1 else { return None };
        let light = row.get_string(10).ok()?;
        let there = !matches!(row.get_column_iter().nth(FIRST_OPTIONAL)?.1, Field::Null);
        let weather = match there {
            false => None,
            true => Some(UnderWeather { good: number(11)?, sun: number(12)?, cost: number(13)? }),
        };
        Some(LeagueRow {
            date: date_of(*day)?,
            start_ms: *start_ms,
            start_min: row.get_int(2).ok()?,
            parts: [number(3)?, number(4)?, number(5)?, number(6)?, number(7)?, number(8)?],
            cost: number(9)?,
            light: LIGHT_WORDS.into_iter().find(|word| word == light)?,
            weather,
        })
    };
    let rows = reader.get_row_iter(None).ok()?;
    let rows = rows.take(MAX_ROWS as usize).map(|found| row(found.ok()?));
    Some((inputs, rows.collect::<Option<Vec<LeagueRow>>>()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(minute: i32) -> LeagueRow {
        LeagueRow {
            date: NaiveDate::from_ymd_opt(2027, 4, 10).unwrap(),
            start_ms: 1_807_000_000_000 + i64::from(minute) * 60_000,
            start_min: minute,
            parts: [1.5, 0.1 + 0.2, 0.0, f64::MIN_POSITIVE, 3.0, 7.0],
            cost: 7.25,
            light: "fair",
            weather: (minute > 750).then_some(UnderWeather { good: 0.1, sun: 0.7, cost: 0.3 }),
        }
    }

    #[test]
    fn rows_come_back_bit_for_bit() {
        let rows = vec![row(720), row(780)];
        let bytes = encoded(&rows, "abc").unwrap();
        assert_eq!(decoded(bytes.clone().into()), Some(("abc".to_owned(), rows.clone())));
        assert_eq!(bytes, encoded(&rows, "abc").unwrap());
    }

    #[test]
    fn damaged_bytes_are_no_part() {
        let bytes = encoded(&[row(720)], "abc").unwrap();
        for cut in [0, 4, bytes.len() / 2, bytes.len() - 1] {
            let part = Bytes::from(bytes[..cut].to_vec());
            assert_eq!(guarded(|| decoded(part)).flatten(), None, "{cut}");
        }
    }
}
