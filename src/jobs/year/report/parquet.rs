//! The table of a year as a columnar file that other programs read (Apache Parquet).
//!
//! In: a [`YearTable`] and notes. Out: bytes, and the way back. One row group, no
//! compression; numbers keep every bit. Names of columns say their units; the notes
//! say what the rows were worked out from. One note is a hash of all pages, so that damage
//! is found in the time of reading the bytes once; files of versions that wrote none are
//! read as well, after a look at how long that can take (`thrift`).

use std::collections::BTreeMap;
use std::sync::Arc;

use bytes::Bytes;
use parquet::basic::{Encoding, LogicalType, Repetition, TimeUnit, Type as Physical};
use parquet::column::page::{Page, PageReader};
use parquet::column::reader::{ColumnReader, ColumnReaderImpl};
use parquet::data_type::{ByteArray, ByteArrayType, DataType, DoubleType, Int32Type, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::metadata::{ColumnChunkMetaData, KeyValue};
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::file::writer::{SerializedColumnWriter, SerializedFileWriter};
use parquet::schema::types::Type;

use crate::base::guard::guarded;
use crate::base::read::clean;
use crate::output::partition::properties;

use super::columns::{CellKind, WORDS, YearCell, YearColumn};
use super::manifest::fingerprint;
use super::table::YearTable;
use super::thrift::{footer_is_bounded, pages_are_bounded};

/// Rows of a file that is read: a leap year of minutes, and an hour that comes twice. A
/// few bytes can stand for any number of equal values.
pub const MAX_ROWS: usize = 366 * 24 * 60 + 60;

/// Place of the column that rows are sorted by: the instant.
const SORTED_BY: i32 = 0;

/// The note with the hash of all pages: how many bytes from the beginning of the file, and
/// their [`fingerprint`].
const PAGES_NOTE: &str = "pages_xxh64";

/// Notes of a file: keys and text.
pub type Notes = BTreeMap<String, String>;

/// Why a columnar file cannot be written or read.
#[derive(Debug, thiserror::Error)]
pub enum ColumnarError {
    // the library repeats names of columns as the file has them
    #[error("{}", clean(&.0.to_string()))]
    Format(#[from] ParquetError),
    #[error("it holds other columns than this venue and version have")]
    OtherColumns,
    #[error("what it says about itself does not hold: it was changed or damaged")]
    Changed,
    #[error("it states {rows} rows; at most {MAX_ROWS} are read")]
    TooMany { rows: i64 },
    #[error("column {column} holds a value that it cannot hold")]
    Value { column: String },
}

/// The file of a table.
///
/// # Errors
/// [`ColumnarError::Format`] where the library refuses, which no table should cause.
pub fn write(table: &YearTable, notes: &Notes) -> Result<Vec<u8>, ColumnarError> {
    let fields = table.columns.iter().map(field).collect::<Result<_, _>>()?;
    let schema = Type::group_type_builder("year").with_fields(fields).build()?;
    let notes = notes.iter().map(|(key, text)| KeyValue::new(key.clone(), text.clone()));
    let properties = Arc::new(properties(notes.collect(), SORTED_BY));
    let mut bytes = Vec::new();
    let mut writer = SerializedFileWriter::new(&mut bytes, Arc::new(schema), properties)?;
    let mut group = writer.next_row_group()?;
    for (column, cells) in table.columns.iter().zip(&table.cells) {
        let Some(mut to) = group.next_column()? else { return Err(ColumnarError::OtherColumns) };
        put(column.what.kind(), cells, &mut to)?;
        to.close()?;
    }
    group.close()?;
    writer.flush().map_err(ParquetError::from)?;
    let pages = writer.inner();
    let hash = format!("{} {:016x}", pages.len(), fingerprint(pages));
    writer.append_key_value_metadata(KeyValue::new(PAGES_NOTE.to_owned(), hash));
    writer.close()?;
    Ok(bytes)
}

/// The notes of a file.
///
/// # Errors
/// [`ColumnarError::Format`] or [`ColumnarError::Changed`] for bytes that are no such file.
pub fn notes(bytes: Bytes) -> Result<Notes, ColumnarError> {
    guarded(|| notes_of(bytes)).unwrap_or(Err(ColumnarError::Changed))
}

fn notes_of(bytes: Bytes) -> Result<Notes, ColumnarError> {
    footer_is_bounded(&bytes)?;
    Ok(all_notes(&SerializedFileReader::new(bytes)?))
}

fn all_notes(reader: &SerializedFileReader<Bytes>) -> Notes {
    let notes = reader.metadata().file_metadata().key_value_metadata();
    let pairs = notes.into_iter().flatten();
    pairs.filter_map(|pair| Some((pair.key.clone(), pair.value.clone()?))).collect()
}

/// Whether the pages are those that were written: by their hash, where the file has one.
/// Else the library may read them as long as their bytes take.
fn pages_are_sound(
    bytes: &[u8],
    reader: &SerializedFileReader<Bytes>,
) -> Result<(), ColumnarError> {
    let groups = reader.metadata().row_groups().iter();
    let mut columns = groups.flat_map(|group| group.columns()).map(ColumnChunkMetaData::byte_range);
    let Some(stated) = all_notes(reader).remove(PAGES_NOTE) else {
        // ranges lie within the file, which was asked before
        return columns.try_for_each(|(from, long)| {
            let (from, long) = (from as usize, long as usize);
            let pages = from.checked_add(long).and_then(|until| bytes.get(from..until));
            pages_are_bounded(pages.ok_or(ColumnarError::Changed)?)
        });
    };
    let hashed = stated.split_once(' ').and_then(|(length, hash)| {
        Some((bytes.get(..length.parse().ok()?)?, u64::from_str_radix(hash, 16).ok()?))
    });
    let (pages, hash) = hashed.ok_or(ColumnarError::Changed)?;
    let within = columns.all(|(from, long)| from.saturating_add(long) <= pages.len() as u64);
    if within && fingerprint(pages) == hash { Ok(()) } else { Err(ColumnarError::Changed) }
}

/// The table of a file.
///
/// # Errors
/// [`ColumnarError`] for bytes that are no such file or hold other columns.
pub fn read(bytes: Bytes, columns: &[YearColumn]) -> Result<YearTable, ColumnarError> {
    guarded(|| table_of(bytes, columns)).unwrap_or(Err(ColumnarError::Changed))
}

fn table_of(bytes: Bytes, columns: &[YearColumn]) -> Result<YearTable, ColumnarError> {
    footer_is_bounded(&bytes)?;
    let size = bytes.len();
    let reader = SerializedFileReader::new(bytes.clone())?;
    let schema = reader.metadata().file_metadata().schema_descr_ptr();
    let names = schema.columns().iter().map(|column| column.name());
    if !names.eq(columns.iter().map(|column| column.name.as_str())) {
        return Err(ColumnarError::OtherColumns);
    }
    let groups = reader.metadata().row_groups();
    let stated = groups.iter().fold(0_i64, |sum, group| sum.saturating_add(group.num_rows()));
    let sound = groups.iter().all(|group| group.num_rows() >= 0);
    if !sound || usize::try_from(stated).map_or(true, |rows| rows > MAX_ROWS) {
        return Err(ColumnarError::TooMany { rows: stated });
    }
    if !groups.iter().flat_map(|group| group.columns()).all(|chunk| lies_within(chunk, size)) {
        return Err(ColumnarError::Changed);
    }
    pages_are_sound(&bytes, &reader)?;
    let mut table = YearTable::new(columns.to_vec());
    for group in 0..reader.num_row_groups() {
        let group = reader.get_row_group(group)?;
        let rows = usize::try_from(group.metadata().num_rows()).unwrap_or(0);
        for (place, (column, cells)) in columns.iter().zip(&mut table.cells).enumerate() {
            let wrong = || ColumnarError::Value { column: column.name.clone() };
            let before = cells.len();
            if !pages_hold(group.get_column_page_reader(place)?, rows)? {
                return Err(ColumnarError::Changed);
            }
            match (column.what.kind(), group.get_column_reader(place)?) {
                (CellKind::Instant, ColumnReader::Int64ColumnReader(from)) => {
                    take(from, rows, cells, |value| Some(YearCell::Whole(*value)))?;
                }
                (CellKind::Date | CellKind::Whole, ColumnReader::Int32ColumnReader(from)) => {
                    take(from, rows, cells, |value| Some(YearCell::Whole(i64::from(*value))))?;
                }
                (CellKind::Real, ColumnReader::DoubleColumnReader(from)) => {
                    take(from, rows, cells, |value| Some(YearCell::Real(*value)))?;
                }
                (CellKind::Word, ColumnReader::ByteArrayColumnReader(from)) => {
                    let word = |value: &ByteArray| {
                        let known = WORDS.iter().find(|word| word.as_bytes() == value.data());
                        known.map(|word| YearCell::Word(word))
                    };
                    take(from, rows, cells, word)?;
                }
                _ => return Err(wrong()),
            }
            if cells.len() - before != rows {
                return Err(wrong());
            }
        }
    }
    Ok(table)
}

/// Whether a column lies where it says, in a file of `size` bytes that are not compressed.
fn lies_within(chunk: &ColumnChunkMetaData, size: usize) -> bool {
    let at = |offset: i64| usize::try_from(offset).ok().filter(|offset| *offset <= size);
    let (pages, dictionary) = (at(chunk.data_page_offset()), chunk.dictionary_page_offset());
    let begins = match dictionary.map(at) {
        None => pages,
        // a dictionary comes first
        Some(first) => first.zip(pages).filter(|(first, pages)| first <= pages).map(|(f, _)| f),
    };
    let ends = begins.zip(at(chunk.compressed_size())).and_then(|(b, long)| b.checked_add(long));
    ends.is_some_and(|ends| ends <= size) && at(chunk.uncompressed_size()).is_some()
}

/// Whether the pages of a column hold as many values as they say, in the encodings that
/// [`write`] uses: what is stated beside a dictionary is made room for unseen.
fn pages_hold(mut pages: Box<dyn PageReader>, rows: usize) -> Result<bool, ParquetError> {
    while let Some(page) = pages.get_next_page()? {
        let values = page.num_values() as usize;
        let most = match &page {
            // plain values of four bytes and more, none empty
            Page::DictionaryPage { buf, .. } => buf.len() / 4,
            Page::DataPage { .. } | Page::DataPageV2 { .. } => rows,
        };
        let known = matches!(
            page.encoding(),
            Encoding::PLAIN | Encoding::PLAIN_DICTIONARY | Encoding::RLE_DICTIONARY
        );
        if !known || values > most {
            return Ok(false);
        }
    }
    Ok(true)
}

fn field(column: &YearColumn) -> Result<Arc<Type>, ParquetError> {
    let (physical, logical, repetition) = match column.what.kind() {
        CellKind::Instant => {
            let kind = LogicalType::timestamp(true, TimeUnit::MILLIS);
            (Physical::INT64, Some(kind), Repetition::REQUIRED)
        }
        CellKind::Date => (Physical::INT32, Some(LogicalType::Date), Repetition::REQUIRED),
        CellKind::Whole => (Physical::INT32, None, Repetition::REQUIRED),
        CellKind::Real => (Physical::DOUBLE, None, Repetition::OPTIONAL),
        CellKind::Word => (Physical::BYTE_ARRAY, Some(LogicalType::String), Repetition::OPTIONAL),
    };
    let field = Type::primitive_type_builder(&column.name, physical)
        .with_logical_type(logical)
        .with_repetition(repetition);
    Ok(Arc::new(field.build()?))
}

fn put(
    kind: CellKind,
    cells: &[YearCell],
    to: &mut SerializedColumnWriter<'_>,
) -> Result<(), ColumnarError> {
    let present: Vec<i16> = cells.iter().map(|cell| i16::from(*cell != YearCell::Empty)).collect();
    let whole = cells.iter().filter_map(|cell| match cell {
        YearCell::Whole(value) => Some(*value),
        _ => None,
    });
    match kind {
        CellKind::Instant => {
            let values: Vec<i64> = whole.collect();
            to.typed::<Int64Type>().write_batch(&values, None, None)?;
        }
        CellKind::Date | CellKind::Whole => {
            let values: Vec<i32> = whole.filter_map(|value| i32::try_from(value).ok()).collect();
            to.typed::<Int32Type>().write_batch(&values, None, None)?;
        }
        CellKind::Real => {
            let values: Vec<f64> = cells.iter().filter_map(|cell| cell.number()).collect();
            to.typed::<DoubleType>().write_batch(&values, Some(&present), None)?;
        }
        CellKind::Word => {
            let words = cells.iter().filter_map(|cell| cell.word());
            let values: Vec<ByteArray> = words.map(ByteArray::from).collect();
            to.typed::<ByteArrayType>().write_batch(&values, Some(&present), None)?;
        }
    }
    Ok(())
}

/// Reads a column whole; absent values are empty cells.
fn take<T: DataType>(
    mut from: ColumnReaderImpl<T>,
    rows: usize,
    cells: &mut Vec<YearCell>,
    cell: impl Fn(&T::T) -> Option<YearCell>,
) -> Result<(), ParquetError> {
    let (mut present, mut values) = (Vec::new(), Vec::new());
    while present.len().max(values.len()) < rows {
        let left = rows - present.len().max(values.len());
        let (read, ..) = from.read_records(left, Some(&mut present), None, &mut values)?;
        if read == 0 {
            break;
        }
    }
    let mut values = values.iter();
    if present.is_empty() {
        cells.extend(values.filter_map(cell));
        return Ok(());
    }
    for level in present {
        match level {
            0 => cells.push(YearCell::Empty),
            _ => cells.extend(values.next().and_then(&cell)),
        }
    }
    Ok(())
}
