//! A year at a venue: a table of instants, as columnar files and as CSV.
//!
//! In: rows of a [`crate::engine::season::Season`]. Out: a folder of blocks of days ([`Store`]),
//! each a columnar file that other programs read, from which the CSV, the values of
//! pictures ([`Grids`]) and sums ([`Facts`]) come, a month at a time.

mod cell;
pub mod columns;
mod facts;
pub(crate) mod grid;
mod manifest;
mod parquet;
pub(crate) mod schema;
mod store;
mod table;
mod thrift;

pub use cell::{CellKind, YearCell};
pub use columns::{CameraFigure, ColumnContent, ShareFigure, WORDS, YearColumn, columns};
pub use facts::Facts;
pub use grid::{Grids, YearFigure};
pub use manifest::{FORMAT, Manifest, Shard, YearRequest, fingerprint};
pub use parquet::{ColumnarError, MAX_ROWS, Notes, notes, read, write};
pub use schema::{column_docs, schema};
pub use store::{INSTANTS, Store, StoreError};
pub use table::{CsvRows, YearTable};
