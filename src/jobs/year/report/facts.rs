//! A few sums over all rows of a year.

use super::columns::{ColumnContent, ShareFigure};
use super::table::YearTable;

/// Sums, table by table.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Facts {
    /// Instants, and those with the sun up.
    rows: usize,
    up: usize,
    /// Over those with the sun up.
    shaded: f64,
}

impl Facts {
    /// Adds the rows of a table.
    pub fn add(&mut self, table: &YearTable) {
        let states = table.of(ColumnContent::SunState).unwrap_or_default();
        let shaded = table.of(ColumnContent::Field(ShareFigure::Shaded)).unwrap_or_default();
        let up = states.iter().zip(shaded).filter(|(state, _)| state.word() == Some("up"));
        for (_, shaded) in up {
            self.up += 1;
            self.shaded += shaded.number().unwrap_or(0.0);
        }
        self.rows += table.len();
    }

    /// In a sentence.
    pub fn words(&self) -> String {
        let mean = 100.0 * self.shaded / self.up.max(1) as f64;
        format!(
            "{} instants, {} of them with the sun up; then {mean:.1} % of the field lies in \
             shade on average.",
            self.rows, self.up
        )
    }
}
