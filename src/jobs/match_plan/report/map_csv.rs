//! The CSV of a light map: one row for each place of the field.
//!
//! In: a [`LightMap`]. Out: RFC 4180 text (UTF-8, comma, CRLF, one header row).

use crate::jobs::match_plan::LightMap;
use crate::light::Tristimulus;
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number};
use crate::output::words::kelvin;

/// A place of the map that has light.
struct Row<'a> {
    map: &'a LightMap,
    node: usize,
    light: Tristimulus,
}

fn of_row<'a>() -> Vec<Column<'a, Row<'a>>> {
    let at = |r: &Row<'a>| r.map.grid.node(r.node);
    vec![
        number(
            "along_m",
            ("m", 2),
            "from the centre of play toward the field's bearing",
            move |r: &Row<'a>| Some(at(r).along_m),
        ),
        number(
            "across_m",
            ("m", 2),
            "from the centre of play to the left of the bearing",
            move |r: &Row<'a>| Some(at(r).across_m),
        ),
        number(
            "turf_lx",
            ("lx", 1),
            "all light on the turf, soft edges and floodlights counted",
            |r: &Row<'a>| Some(r.light.lux()),
        ),
        number("stops", ("stop", 3), "over the light at the point of reference", |r: &Row<'a>| {
            r.map.stops(r.node).map(|s| s.stops())
        }),
        number(
            "colour_temperature_k",
            ("K", 0),
            "correlated colour temperature; empty far from any black body",
            |r: &Row<'a>| kelvin(r.light),
        ),
    ]
}

/// Its columns.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row())
}

/// The whole file.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which no map should cause.
pub fn write(map: &LightMap) -> Result<Vec<u8>, CsvError> {
    let lit = map.light.iter().enumerate();
    let rows = lit.filter_map(|(node, light)| Some(Row { map, node, light: (*light)? }));
    table::csv(&of_row(), rows)
}
