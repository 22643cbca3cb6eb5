//! Columns of the data set and of `league.csv`, for programs that read them.

use serde_json::{Value, json};

use super::store::{COLUMNS, FORMAT};
use super::tally::columns;

/// In the form of the open standard Table Schema (Data Package, "Table Schema"); `unit` is
/// beside it.
pub fn schema() -> Value {
    let field = |name: &str, unit: &str, meaning: &str| json!({ "name": name, "type": kind(unit), "unit": unit, "description": meaning });
    let rows: Vec<Value> =
        COLUMNS.iter().map(|(name, unit, meaning)| field(name, unit, meaning)).collect();
    let sums: Vec<Value> = columns().iter().map(|c| field(&c.name, c.unit, &c.meaning)).collect();
    json!({
        "title": "Starts of a league",
        "description": format!(
            "Columns of starts/venue=NAME/month=YYYY-MM/part.parquet, format {FORMAT}: one row a \
             start, sorted by start_utc; venue and month are folders."
        ),
        "primaryKey": ["venue", "start_utc"],
        "fields": rows,
        "league.csv": {
            "description": "One row for each venue, month of the year and start.",
            "primaryKey": ["venue", "month", "start"],
            "fields": sums,
        },
    })
}

fn kind(unit: &str) -> &'static str {
    match unit {
        "date" => "date",
        "timestamp, ms" => "datetime",
        "text" | "word" | "YYYY-MM" | "HH:MM" => "string",
        "1 to 12" => "integer",
        _ => "number",
    }
}
