//! Marks, zones and areas by name: what `looks_at`, `--from` and other names may say.
//!
//! In: a venue, or a sport at its usual size. Out: a table for people, CSV, JSON of the
//! format `quarterstop.places/1`. Places are in field axes, metres from the centre of
//! play.

use geo::{Area, BoundingRect, Centroid, MapCoords, Polygon};
use glam::DVec3;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::base::frame::FieldFrame;
use crate::output::csv::CsvError;
use crate::output::json::JsonError;
use crate::output::table::{self as column, Column, ColumnDoc, docs, number};
use crate::output::text::{WIDTH, fit, wrapped};
use crate::output::words::fixed;
use crate::venue::outlines::{Outline, Point};
use crate::venue::{Sport, Venue, outlines};

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.places/1";

/// Width of a name in the table.
const NAME: usize = 30;

/// All named places.
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[schemars(title = "quarterstop places")]
pub struct Places {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    /// Title of the venue, or the sport.
    pub of: String,
    /// Where the sport's own places are written down.
    pub law: &'static str,
    pub places: Vec<NamedPlace>,
}

/// A mark, a zone or an area.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(rename = "Place")]
pub struct NamedPlace {
    pub kind: Kind,
    pub name: String,
    /// Of a mark its place, else its middle; toward the field's bearing.
    pub along_m: f64,
    /// To the left of someone who looks along the bearing.
    pub across_m: f64,
    /// Null for marks.
    pub area_m2: Option<f64>,
    /// Least and most along; null for marks.
    pub along_range_m: Option<[f64; 2]>,
    /// Least and most across; null for marks.
    pub across_range_m: Option<[f64; 2]>,
}

/// What a place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// The field of play, the playing area, the surrounds.
    Area,
    /// A named polygon.
    Zone,
    /// A named point.
    Mark,
}

impl Kind {
    fn word(self) -> &'static str {
        match self {
            Self::Area => "area",
            Self::Zone => "zone",
            Self::Mark => "mark",
        }
    }
}

/// Names of the areas, as they stand in tables of a match.
const AREAS: [&str; 3] = ["field of play", "playing area", "surrounds"];

/// Places of a venue, its own zones counted.
pub fn of_venue(venue: &Venue) -> Places {
    let (field, frame) = (&venue.field, venue.field.frame);
    let areas = [&field.outline, &field.playing_area, &field.surrounds];
    let areas = AREAS.into_iter().zip(areas);
    let areas = areas.filter_map(|(name, area)| region(Kind::Area, name, &in_axes(frame, area)));
    let zones = venue.zones.iter();
    let zones = zones.filter_map(|z| region(Kind::Zone, &z.name, &in_axes(frame, &z.outline)));
    let marks = field.marks.iter().map(|m| {
        let at = frame.to_field(DVec3::new(m.at.x, m.at.y, 0.0));
        mark(&m.name, [at.along_m, at.across_m])
    });
    let places = areas.chain(zones).chain(marks).collect();
    Places { format: FORMAT, of: venue.title.clone(), law: law(field.sport), places }
}

/// Places that a sport brings at its usual size, technical areas on both sides; none where
/// each field has its own.
pub fn of_sport(sport: Sport) -> Places {
    let usual = outlines::sizes(sport).map(|sizes| sizes.usual);
    let outline = usual.and_then(|(length_m, width_m)| {
        let mut outline = outlines::outline(sport, length_m, width_m)?;
        outline.zones.extend(outlines::side_zones(sport, width_m));
        Some(outline)
    });
    let places = outline.as_ref().map(of_outline).unwrap_or_default();
    let of = sport.word().replace('_', " ");
    Places { format: FORMAT, of, law: law(sport), places }
}

fn of_outline(outline: &Outline) -> Vec<NamedPlace> {
    let areas = AREAS.into_iter().zip([&outline.boundary, &outline.playing_area]);
    let areas = areas.filter_map(|(name, ring)| region(Kind::Area, name, &polygon(ring)));
    let zones = outline.zones.iter();
    let zones = zones.filter_map(|(name, ring)| region(Kind::Zone, name, &polygon(ring)));
    let marks = outline.marks.iter().map(|(name, at)| mark(name, *at));
    areas.chain(zones).chain(marks).collect()
}

fn law(sport: Sport) -> &'static str {
    outlines::sizes(sport).map_or("its own field: zones and marks are the file's", |s| s.law)
}

fn mark(name: &str, [along_m, across_m]: Point) -> NamedPlace {
    NamedPlace {
        kind: Kind::Mark,
        name: name.to_owned(),
        along_m: millimetres(along_m),
        across_m: millimetres(across_m),
        area_m2: None,
        along_range_m: None,
        across_range_m: None,
    }
}

/// In field axes; `None` where it has no area.
fn region(kind: Kind, name: &str, area: &Polygon<f64>) -> Option<NamedPlace> {
    let (middle, bounds) = (area.centroid()?, area.bounding_rect()?);
    Some(NamedPlace {
        kind,
        name: name.to_owned(),
        along_m: millimetres(middle.x()),
        across_m: millimetres(middle.y()),
        area_m2: Some((area.unsigned_area() * 100.0).round() / 100.0),
        along_range_m: Some([bounds.min().x, bounds.max().x].map(millimetres)),
        across_range_m: Some([bounds.min().y, bounds.max().y].map(millimetres)),
    })
}

/// What turning between frames adds is no part of a place; never -0.
fn millimetres(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0 + 0.0
}

fn polygon(ring: &[Point]) -> Polygon<f64> {
    Polygon::new(ring.iter().map(|p| (p[0], p[1])).collect(), Vec::new())
}

fn in_axes(frame: FieldFrame, area: &Polygon<f64>) -> Polygon<f64> {
    area.map_coords(|c| {
        let p = frame.to_field(DVec3::new(c.x, c.y, 0.0));
        geo::Coord { x: p.along_m, y: p.across_m }
    })
}

/// The table, at most 80 columns wide.
pub fn text(places: &Places) -> String {
    let mut text = format!("{}\n", fit(&places.of, WIDTH));
    if places.places.is_empty() {
        let none = "This sport brings no marks and zones of its own: state [[zone]] tables.";
        return text + &wrapped("  ", none);
    }
    text +=
        &format!("  {:<6}{:<NAME$}{:>12}{:>12}{:>12}\n", "", "", "along m", "across m", "area m2");
    for place in &places.places {
        let area = place.area_m2.map_or_else(String::new, |m2| fixed(m2, 1));
        let name = fit(&place.name, NAME - 1);
        let (along, across) = (fixed(place.along_m, 2), fixed(place.across_m, 2));
        let kind = place.kind.word();
        let line = format!("  {kind:<6}{name:<NAME$}{along:>12}{across:>12}{area:>12}");
        text += line.trim_end();
        text.push('\n');
    }
    let about = format!(
        "Middles of areas and zones; along the field's bearing and across to the left of it \
         from the centre of play. By {}.",
        places.law
    );
    text + &wrapped("  ", &about)
}

fn of_place<'a>() -> Vec<Column<'a, &'a NamedPlace>> {
    type Row<'a> = &'a NamedPlace;
    let mut list = vec![
        column::text("kind", "word", "area, zone or mark", |p: &Row<'a>| p.kind.word().to_owned()),
        column::text(
            "name",
            "text",
            "as `looks_at` and other keys and options take it",
            |p: &Row<'a>| p.name.clone(),
        ),
        number(
            "along_m",
            ("m", 3),
            "from the centre of play toward the bearing; of areas and zones the middle",
            |p: &Row<'a>| Some(p.along_m),
        ),
        number("across_m", ("m", 3), "to the left of that", |p: &Row<'a>| Some(p.across_m)),
        number("area_m2", ("m2", 3), "empty for marks", |p: &Row<'a>| p.area_m2),
    ];
    list.extend([
        end("along_from_m", "least along; empty for marks", |p| p.along_range_m, 0),
        end("along_to_m", "most along", |p| p.along_range_m, 1),
        end("across_from_m", "least across", |p| p.across_range_m, 0),
        end("across_to_m", "most across", |p| p.across_range_m, 1),
    ]);
    list
}

/// One end of how far a place reaches.
fn end<'a>(
    name: &'static str,
    meaning: &'static str,
    range: fn(&NamedPlace) -> Option<[f64; 2]>,
    which: usize,
) -> Column<'a, &'a NamedPlace> {
    number(name, ("m", 3), meaning, move |p: &&'a NamedPlace| {
        range(p).and_then(|ends| ends.get(which).copied())
    })
}

/// Columns of the CSV.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_place())
}

/// One row a place.
///
/// # Errors
/// [`CsvError`] where the writer refuses.
pub fn csv(places: &Places) -> Result<String, CsvError> {
    let bytes = column::csv(&of_place(), &places.places)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// The JSON.
///
/// # Errors
/// [`JsonError`] where the writer refuses.
pub fn json(places: &Places) -> Result<String, JsonError> {
    Ok(serde_json::to_string_pretty(places)? + "\n")
}

/// The schema of the JSON.
pub fn schema() -> serde_json::Value {
    SchemaSettings::draft2020_12()
        .for_serialize()
        .into_generator()
        .into_root_schema_for::<Places>()
        .to_value()
}
