//! The CSV of a light map: one row for each place of the field.
//!
//! In: a [`LightMap`]. Out: RFC 4180 text (UTF-8, comma, CRLF, one header row).

use crate::jobs::match_plan::LightMap;
use crate::output::csv::CsvError;
use crate::output::words::{fixed, kelvin};

/// Name, unit and meaning of each column.
pub const COLUMNS: [(&str, &str, &str); 5] = [
    ("along_m", "m", "from the centre of play toward the field's bearing"),
    ("across_m", "m", "from the centre of play to the left of the bearing"),
    ("turf_lx", "lx", "all light on the turf, soft edges and floodlights counted"),
    ("stops", "stop", "over the light at the point of reference"),
    ("colour_temperature_k", "K", "correlated colour temperature; empty far from any black body"),
];

/// The whole file.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which no map should cause.
pub fn write(map: &LightMap) -> Result<Vec<u8>, CsvError> {
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(COLUMNS.map(|c| c.0))?;
    for (node, light) in map.light.iter().enumerate() {
        let Some(light) = light else { continue };
        let at = map.grid.node(node);
        let maybe = |value: Option<f64>, decimals: usize| {
            value.map_or_else(String::new, |v| fixed(v, decimals))
        };
        writer.write_record([
            fixed(at.along_m, 2),
            fixed(at.across_m, 2),
            fixed(light.lux(), 1),
            maybe(map.stops(node).map(|s| s.stops()), 3),
            maybe(kelvin(*light), 0),
        ])?;
    }
    writer.into_inner().map_err(|e| CsvError::from(csv::Error::from(e.into_error())))
}
