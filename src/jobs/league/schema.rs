//! Columns of the data set and of `league.csv`, for programs that read them.

use serde_json::{Value, json};

use super::store::{COLUMNS, FORMAT};
use super::tally::TALLY_COLUMNS;

/// In the form of the open standard Table Schema (Data Package, "Table Schema"); `unit` is
/// beside it.
pub fn schema() -> Value {
    let fields = |columns: &[(&str, &str, &str)]| -> Vec<Value> {
        let one = |(name, unit, meaning): &(&str, &str, &str)| json!({ "name": name, "type": kind(unit), "unit": unit, "description": meaning });
        columns.iter().map(one).collect()
    };
    json!({
        "title": "Starts of a league",
        "description": format!(
            "Columns of starts/venue=NAME/month=YYYY-MM/part.parquet, format {FORMAT}: one row a \
             start, sorted by start_utc; venue and month are folders."
        ),
        "primaryKey": ["venue", "start_utc"],
        "fields": fields(&COLUMNS),
        "league.csv": {
            "description": "One row for each venue, month of the year and start.",
            "primaryKey": ["venue", "month", "start"],
            "fields": fields(&TALLY_COLUMNS),
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
