//! A year at a venue: a table of instants, as columnar files and as CSV.
//!
//! In: rows of a [`crate::season::Season`]. Out: a folder of blocks of days ([`Store`]),
//! each a columnar file that other programs read, from which the CSV and the values of
//! pictures ([`grid`]) come.

mod columns;
mod grid;
mod guard;
mod parquet;
mod schema;
mod store;
mod table;
mod thrift;

pub use columns::{Cell, Column, Kind, Seen, Share, WORDS, What, columns};
pub use grid::{Figure, grid};
pub use parquet::{ColumnarError, MOST_ROWS, Notes, notes, read, write};
pub use schema::schema;
pub use store::{Ask, FORMAT, Manifest, Shard, Store, StoreError, fingerprint};
pub use table::{CsvRows, Table};
