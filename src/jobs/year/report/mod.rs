//! A year at a venue: a table of instants, as columnar files and as CSV.
//!
//! In: rows of a [`crate::engine::season::Season`]. Out: a folder of blocks of days ([`Store`]),
//! each a columnar file that other programs read, from which the CSV and the values of
//! pictures ([`grid`]) come.

pub mod columns;
pub(crate) mod grid;
mod parquet;
pub(crate) mod schema;
mod store;
mod table;
mod thrift;

pub use columns::{Cell, Column, Kind, Seen, Share, WORDS, What, columns};
pub use grid::{Figure, grid};
pub use parquet::{ColumnarError, MAX_ROWS, Notes, notes, read, write};
pub use schema::schema;
pub use store::{Ask, FORMAT, Manifest, Shard, Store, StoreError, fingerprint};
pub use table::{CsvRows, Table};
