//! Every column of the table of a year, for programs that read it.

use serde_json::{Value, json};

use crate::output::table::ColumnDoc;

use super::columns::{CellKind, YearColumn, listed};
use super::manifest::FORMAT;

/// Columns with type, unit and meaning, in the form of the open standard Table Schema
/// (Data Package, "Table Schema"); `unit` is beside it. `ZONE` and `CAMERA` stand for
/// the names of the venue's own, in small letters with underscores.
pub fn schema() -> Value {
    let columns = listed(&["ZONE"], &["CAMERA"]);
    let fields = columns.into_iter().map(|column| {
        let (kind, form) = match column.what.kind() {
            CellKind::Instant => ("datetime", "INT64, timestamp in ms, UTC"),
            CellKind::Date => ("date", "INT32, date"),
            CellKind::Whole => ("integer", "INT32"),
            CellKind::Real => ("number", "DOUBLE, may be absent"),
            CellKind::Word => ("string", "BYTE_ARRAY, UTF-8, may be absent"),
        };
        json!({
            "name": column.name,
            "type": kind,
            "parquet": form,
            "unit": column.what.unit(),
            "description": column.what.meaning(),
        })
    });
    json!({
        "title": "Table of a year at a venue",
        "description": format!(
            "Columns of instants/venue=NAME/month=YYYY-MM/days-*.parquet and of year.csv, format \
             {FORMAT}: one row an instant, sorted by time_utc within each file; venue and month \
             are folders."
        ),
        "primaryKey": "time_utc",
        "fields": fields.collect::<Vec<Value>>(),
    })
}

/// What the documentation of `year.csv` says of its columns.
pub fn column_docs() -> Vec<ColumnDoc> {
    let doc = |column: YearColumn| {
        let (kind, form) = match column.what.kind() {
            CellKind::Instant => ("string", "RFC 3339"),
            CellKind::Date => ("string", "date"),
            CellKind::Word => ("string", "word"),
            CellKind::Whole | CellKind::Real => ("number", "number"),
        };
        let unit = column.what.unit().unwrap_or(form);
        let meaning = column.what.meaning().to_owned();
        ColumnDoc { name: column.name, unit, meaning, kind }
    };
    listed(&["<zone>"], &["<camera>"]).into_iter().map(doc).collect()
}
