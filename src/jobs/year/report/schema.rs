//! Every column of the table of a year, for programs that read it.

use serde_json::{Value, json};

use super::columns::{Kind, listed};
use super::store::FORMAT;

/// Columns with type, unit and meaning, in the form of the open standard Table Schema
/// (Data Package, "Table Schema"); `unit` is beside it. `ZONE` and `CAMERA` stand for
/// the names of the venue's own, in small letters with underscores.
pub fn schema() -> Value {
    let columns = listed(&["ZONE"], &["CAMERA"]);
    let fields = columns.into_iter().map(|column| {
        let (kind, form) = match column.what.kind() {
            Kind::Instant => ("datetime", "INT64, timestamp in ms, UTC"),
            Kind::Date => ("date", "INT32, date"),
            Kind::Whole => ("integer", "INT32"),
            Kind::Real => ("number", "DOUBLE, may be absent"),
            Kind::Word => ("string", "BYTE_ARRAY, UTF-8, may be absent"),
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
            "Columns of the blocks of days and of year.csv, format {FORMAT}. One row an instant."
        ),
        "primaryKey": "time_utc",
        "fields": fields.collect::<Vec<Value>>(),
    })
}
