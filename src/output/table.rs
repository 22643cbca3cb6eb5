//! Tables: one list of columns makes the rows of a CSV, its documentation and its schema.
//!
//! In: [`Column`]s of a job and its rows. Out: RFC 4180 text (UTF-8, comma, CRLF, one header
//! row), a Markdown table, the metadata of the table (W3C, "Metadata Vocabulary for Tabular
//! Data", 2015). Each name says its unit where it has one; what is absent is an empty cell.

use serde_json::{Map, Value as Json, json};

use crate::output::csv::{self, CsvError};
use crate::output::words::fixed;

/// A column of a table whose rows are made of `T`.
///
/// What stands for names of the venue, as `<camera>`, makes a family of columns: a job makes
/// its list once for the names of a venue, and once for the placeholders.
pub struct Column<'a, T> {
    /// As in the header.
    pub name: String,
    /// Unit, or the form of a text.
    pub unit: &'static str,
    /// What it says.
    pub meaning: String,
    value: Value<'a, T>,
}

type NumberOf<'a, T> = Box<dyn Fn(&T) -> Option<f64> + 'a>;

enum Value<'a, T> {
    Text(Box<dyn Fn(&T) -> String + 'a>),
    /// With so many decimals, or as few as say it exactly.
    Number(Option<usize>, NumberOf<'a, T>),
}

/// A text, empty where there is none.
pub fn text<'a, T>(
    name: impl Into<String>,
    unit: &'static str,
    meaning: impl Into<String>,
    of: impl Fn(&T) -> String + 'a,
) -> Column<'a, T> {
    let value = Value::Text(Box::new(of));
    Column { name: name.into(), unit, meaning: meaning.into(), value }
}

/// A number with so many decimals, empty where there is none or it is not finite.
pub fn number<'a, T>(
    name: impl Into<String>,
    (unit, decimals): (&'static str, usize),
    meaning: impl Into<String>,
    of: impl Fn(&T) -> Option<f64> + 'a,
) -> Column<'a, T> {
    let value = Value::Number(Some(decimals), Box::new(of));
    Column { name: name.into(), unit, meaning: meaning.into(), value }
}

/// A number as somebody stated it, with as many decimals as it has.
pub fn stated<'a, T>(
    name: impl Into<String>,
    unit: &'static str,
    meaning: impl Into<String>,
    of: impl Fn(&T) -> Option<f64> + 'a,
) -> Column<'a, T> {
    let value = Value::Number(None, Box::new(of));
    Column { name: name.into(), unit, meaning: meaning.into(), value }
}

/// "yes" or "no".
pub fn yes_or_no<'a, T>(
    name: impl Into<String>,
    meaning: impl Into<String>,
    of: impl Fn(&T) -> bool + 'a,
) -> Column<'a, T> {
    text(name, "yes or no", meaning, move |row| if of(row) { "yes" } else { "no" }.to_owned())
}

impl<T> Column<'_, T> {
    /// The cell of a row.
    pub fn cell(&self, row: &T) -> String {
        match &self.value {
            Value::Text(of) => of(row),
            Value::Number(decimals, of) => match (of(row).filter(|n| n.is_finite()), decimals) {
                (None, _) => String::new(),
                (Some(number), Some(decimals)) => fixed(number, *decimals),
                (Some(number), None) => format!("{number}"),
            },
        }
    }

    /// What the documentation says of it.
    pub fn doc(&self) -> ColumnDoc {
        let Self { name, unit, meaning, value } = self;
        let kind = match value {
            Value::Text(_) => "string",
            Value::Number(..) => "number",
        };
        ColumnDoc { name: name.clone(), unit, meaning: meaning.clone(), kind }
    }
}

impl<'a, T: 'a> Column<'a, T> {
    /// The column of a table whose rows hold a `T` each, or none: then the cell is empty.
    pub fn within<U: 'a>(self, part: impl Fn(&U) -> Option<&T> + Copy + 'a) -> Column<'a, U> {
        let value = match self.value {
            Value::Text(of) => {
                Value::Text(Box::new(move |row: &U| part(row).map_or_else(String::new, &of))
                    as Box<dyn Fn(&U) -> String + 'a>)
            }
            Value::Number(decimals, of) => {
                Value::Number(decimals, Box::new(move |row: &U| part(row).and_then(&of)))
            }
        };
        Column { name: self.name, unit: self.unit, meaning: self.meaning, value }
    }

    /// The column as one of a family: with what stands before its name and after its meaning.
    pub fn called(self, prefix: &str, meaning: &str) -> Self {
        let name = format!("{prefix}{}", self.name);
        let meaning = format!("{}{meaning}", self.meaning);
        Self { name, meaning, ..self }
    }
}

/// A column, or a family of columns, as the documentation lists it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColumnDoc {
    /// The name; `<zone>`, `<camera>` and the like stand for the names of a venue.
    pub name: String,
    /// Unit or form of the value.
    pub unit: &'static str,
    /// What it says.
    pub meaning: String,
    /// "number" or "string".
    pub kind: &'static str,
}

/// What the documentation says of the columns.
pub fn docs<T>(columns: &[Column<'_, T>]) -> Vec<ColumnDoc> {
    columns.iter().map(Column::doc).collect()
}

/// The whole file.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which no rows should cause.
pub fn csv<T>(
    columns: &[Column<'_, T>],
    rows: impl IntoIterator<Item = T>,
) -> Result<Vec<u8>, CsvError> {
    let header = columns.iter().map(|c| c.name.as_str());
    let row = |row: T| columns.iter().map(|c| c.cell(&row)).collect();
    csv::table(header, rows.into_iter().map(row))
}

/// As a Markdown table.
pub fn markdown(docs: &[ColumnDoc]) -> String {
    let mut text = String::from("| column | unit | meaning |\n| --- | --- | --- |\n");
    for ColumnDoc { name, unit, meaning, .. } in docs {
        text += &format!("| `{name}` | {unit} | {} |\n", meaning.replace('|', "\\|"));
    }
    text
}

/// The metadata of a table in the W3C's vocabulary; `file` is its usual name.
pub fn metadata(file: &str, docs: &[ColumnDoc]) -> Json {
    let columns: Vec<Json> = docs
        .iter()
        .map(|ColumnDoc { name, unit, meaning, kind }| {
            let mut column = Map::new();
            // a family's name is a pattern, which the vocabulary keeps for titles
            if !name.contains('<') {
                column.insert("name".to_owned(), json!(name));
            }
            column.insert("titles".to_owned(), json!(name));
            column.insert("datatype".to_owned(), json!(kind));
            column.insert("dc:description".to_owned(), json!(format!("{meaning} ({unit})")));
            Json::Object(column)
        })
        .collect();
    json!({
        "@context": ["http://www.w3.org/ns/csvw", { "@language": "en" }],
        "url": file,
        "dialect": { "encoding": "utf-8", "delimiter": ",", "header": true, "lineTerminators": ["\r\n"] },
        "tableSchema": { "columns": columns },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Row {
        name: &'static str,
        stops: Option<f64>,
    }

    fn columns() -> Vec<Column<'static, Row>> {
        vec![
            text("camera", "text", "name", |r: &Row| r.name.to_owned()),
            number("split_stops", ("stop", 2), "in shot", |r: &Row| r.stops),
            stated("off_by", "stop", "as stated", |r: &Row| r.stops),
            yes_or_no("lit", "whether it is", |r: &Row| r.stops.is_some()),
        ]
    }

    #[test]
    fn rows_and_documentation_come_from_one_list() {
        let rows = [
            Row { name: "Gantry, left", stops: Some(-2.346) },
            Row { name: "=Pit", stops: Some(f64::NAN) },
        ];
        let bytes = csv(&columns(), rows).unwrap();
        assert_eq!(
            String::from_utf8(bytes).unwrap(),
            "camera,split_stops,off_by,lit\r\n\"Gantry, left\",-2.35,-2.346,yes\r\n'=Pit,,,yes\r\n"
        );
        let list = markdown(&docs(&columns()));
        assert!(list.contains("| `split_stops` | stop | in shot |"), "{list}");
        let meta = metadata("a.csv", &docs(&columns()));
        assert_eq!(meta["tableSchema"]["columns"][1]["datatype"], "number");
        assert_eq!(meta["tableSchema"]["columns"][0]["name"], "camera");
    }

    #[test]
    fn a_part_that_is_missing_leaves_its_cells_empty() {
        let column = number("m", ("m", 1), "width", |r: &f64| Some(*r));
        let within = column.called("edge_", ", of the edge").within(|r: &Option<f64>| r.as_ref());
        assert_eq!((within.cell(&Some(0.25)), within.cell(&None)), ("0.2".into(), String::new()));
        assert_eq!(within.doc().name, "edge_m");
        assert_eq!(within.doc().meaning, "width, of the edge");
    }
}
