//! The table of a year, column by column, and its CSV.
//!
//! In: rows of a [`crate::engine::season::Season`]. Out: a [`YearTable`], and from tables, one
//! after the other, RFC 4180 text (UTF-8, comma, CRLF, one header row).

use std::io::Write;

use chrono::{DateTime, NaiveDate, Utc};

use crate::engine::season::SeasonRow;
use crate::output::csv::{CsvError, cells};
use crate::output::words::fixed;

use super::columns::{CellKind, ColumnContent, YearCell, YearColumn, date_of};

/// Columns of equal length.
#[derive(Debug, Clone, PartialEq)]
pub struct YearTable {
    pub columns: Vec<YearColumn>,
    /// By column, then by row.
    pub cells: Vec<Vec<YearCell>>,
}

impl YearTable {
    /// Without rows.
    pub fn new(columns: Vec<YearColumn>) -> Self {
        let cells = vec![Vec::new(); columns.len()];
        Self { columns, cells }
    }

    /// Adds rows.
    pub fn add(&mut self, rows: &[SeasonRow]) {
        for (column, cells) in self.columns.iter().zip(&mut self.cells) {
            cells.extend(rows.iter().map(|row| column.what.cell(row)));
        }
    }

    /// Adds the rows of a table of the same columns.
    pub fn join(&mut self, other: Self) {
        for (cells, more) in self.cells.iter_mut().zip(other.cells) {
            cells.extend(more);
        }
    }

    pub fn len(&self) -> usize {
        self.cells.first().map_or(0, Vec::len)
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Values of a column, in the order of the rows.
    pub fn of(&self, what: ColumnContent) -> Option<&[YearCell]> {
        let place = self.columns.iter().position(|column| column.what == what)?;
        self.cells.get(place).map(Vec::as_slice)
    }

    /// Puts the rows in order of time.
    pub fn sort(&mut self) {
        let Some(times) = self.of(ColumnContent::Utc) else { return };
        let time = |row: &usize| match times.get(*row) {
            Some(YearCell::Whole(time)) => *time,
            _ => i64::MIN,
        };
        let mut order: Vec<usize> = (0..times.len()).collect();
        if order.is_sorted_by_key(&time) {
            return;
        }
        order.sort_by_key(time);
        for cells in &mut self.cells {
            *cells = order.iter().filter_map(|row| cells.get(*row).copied()).collect();
        }
    }

    /// Civil dates of the rows, each once, in order.
    pub fn dates(&self) -> Vec<NaiveDate> {
        let cells = self.of(ColumnContent::LocalDate).unwrap_or_default();
        let mut days: Vec<i64> = cells
            .iter()
            .filter_map(|cell| match cell {
                YearCell::Whole(day) => Some(*day),
                _ => None,
            })
            .collect();
        days.sort_unstable();
        days.dedup();
        days.into_iter().filter_map(date_of).collect()
    }
}

/// The CSV, written a table at a time.
pub struct CsvRows<W: Write> {
    writer: csv::Writer<W>,
}

impl<W: Write> CsvRows<W> {
    /// Writes the row of names.
    ///
    /// # Errors
    /// [`CsvError`] where the writer refuses or the disc is full.
    pub fn new(columns: &[YearColumn], to: W) -> Result<Self, CsvError> {
        let mut writer =
            csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(to);
        writer.write_record(cells::row(columns.iter().map(|column| &column.name)))?;
        Ok(Self { writer })
    }

    /// Writes the rows of a table of the same columns.
    ///
    /// # Errors
    /// As for [`CsvRows::new`].
    pub fn add(&mut self, table: &YearTable) -> Result<(), CsvError> {
        for row in 0..table.len() {
            let columns = table.columns.iter().zip(&table.cells);
            self.writer.write_record(
                columns.map(|(column, cells)| text(column.what, cells.get(row).copied())),
            )?;
        }
        Ok(())
    }

    /// Writes what still waits.
    ///
    /// # Errors
    /// As for [`CsvRows::new`].
    pub fn finish(mut self) -> Result<(), CsvError> {
        self.writer.flush().map_err(|e| CsvError::from(csv::Error::from(e)))
    }
}

/// As the CSV has it: decimals follow from what a number is good for.
fn text(what: ColumnContent, cell: Option<YearCell>) -> String {
    match (what.kind(), cell.unwrap_or(YearCell::Empty)) {
        (_, YearCell::Empty) => String::new(),
        (_, YearCell::Word(word)) => word.to_owned(),
        (CellKind::Instant, YearCell::Whole(ms)) => DateTime::<Utc>::from_timestamp_millis(ms)
            .map_or_else(String::new, |at| at.format("%Y-%m-%dT%H:%M:%SZ").to_string()),
        (CellKind::Date, YearCell::Whole(day)) => {
            date_of(day).map_or_else(String::new, |date| date.format("%Y-%m-%d").to_string())
        }
        (_, YearCell::Whole(value)) => value.to_string(),
        (_, YearCell::Real(value)) => match what {
            ColumnContent::SunAzimuth | ColumnContent::SunElevation => fixed(value, 2),
            ColumnContent::Field(_) | ColumnContent::Zone(..) => fixed(value, 4),
            _ => fixed(value, 3),
        },
    }
}
