//! GeoJSON as it comes.
//!
//! In: text of a GeoJSON file (RFC 7946, WGS 84 degrees). Out: features, each
//! with a name to call it by, its properties as text and its shapes on the
//! ellipsoid. Nothing is judged here but what no later step could read.

use std::collections::BTreeMap;

use geojson::{Feature as JsonFeature, GeoJson, GeometryValue, JsonObject, Position};
use serde_json::Value;

use crate::base::read::clean;
use crate::import::geodesy::Geographic;
use crate::venue::counted;

use super::error::OutlineError;

/// Corners that are read at most, over all features.
const MAX_CORNERS: usize = 2_000_000;

/// One feature of the file.
#[derive(Debug, Clone)]
pub struct Feature {
    /// Its id in the file, or its place in it.
    pub id: String,
    /// Its `name`, if it has one.
    pub name: Option<String>,
    /// Properties that are text, numbers or truth values, as text.
    pub tags: BTreeMap<String, String>,
    /// Its shapes.
    pub shapes: Vec<OutlineShape>,
    /// Why shapes of it cannot be read.
    pub broken: Vec<String>,
}

/// A simple shape on the ellipsoid.
#[derive(Debug, Clone, PartialEq)]
pub enum OutlineShape {
    Point(Geographic),
    Line(Vec<Geographic>),
    /// The outer ring and the holes; closed or not.
    Polygon {
        outer: Vec<Geographic>,
        holes: Vec<Vec<Geographic>>,
    },
}

impl Feature {
    /// A property, without blanks around it; `None` where it is empty.
    pub fn tag(&self, key: &str) -> Option<&str> {
        self.tags.get(key).map(|text| text.trim()).filter(|text| !text.is_empty())
    }

    /// What messages call it: id, and name where it has one.
    pub fn called(&self) -> String {
        match &self.name {
            Some(name) => format!("{} \"{name}\"", self.id),
            None => self.id.clone(),
        }
    }
}

/// Reads all features of a GeoJSON text.
///
/// # Errors
/// [`OutlineError`] when it is no GeoJSON, states another coordinate system than
/// WGS 84 degrees, or is too large.
pub fn read(text: &str) -> Result<Vec<Feature>, OutlineError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let json: GeoJson = text.parse().map_err(|cause: geojson::Error| OutlineError::NoGeoJson {
        cause: clean(&cause.to_string()),
    })?;
    let (features, foreign) = match json {
        GeoJson::FeatureCollection(all) => (all.features, all.foreign_members),
        GeoJson::Feature(one) => {
            let foreign = one.foreign_members.clone();
            (vec![one], foreign)
        }
        GeoJson::Geometry(geometry) => (vec![JsonFeature::from(geometry)], None),
    };
    wgs84(foreign.as_ref())?;
    let mut corners = 0;
    let features: Vec<Feature> =
        features.into_iter().enumerate().map(|(i, f)| feature(i, f, &mut corners)).collect();
    if corners > MAX_CORNERS {
        return Err(OutlineError::TooMany { corners, limit: MAX_CORNERS });
    }
    match features.is_empty() {
        true => Err(OutlineError::Nothing),
        false => Ok(features),
    }
}

/// A `crs` member is from before RFC 7946; what it says may still differ from
/// WGS 84 degrees.
fn wgs84(foreign: Option<&JsonObject>) -> Result<(), OutlineError> {
    let Some(crs) = foreign.and_then(|f| f.get("crs")).filter(|crs| !crs.is_null()) else {
        return Ok(());
    };
    let named = crs.pointer("/properties/name").and_then(Value::as_str).unwrap_or_default();
    let same = ["CRS84", "EPSG::4326", "EPSG:4326"];
    match same.iter().any(|end| named.to_uppercase().ends_with(end)) {
        true => Ok(()),
        false => Err(OutlineError::OtherSystem { crs: clean(&crs.to_string()) }),
    }
}

fn feature(place: usize, json: JsonFeature, corners: &mut usize) -> Feature {
    let mut tags = BTreeMap::new();
    for (key, value) in json.properties.iter().flatten() {
        match value {
            // some exports keep the properties of the map in a table of their own
            Value::Object(inner) if key == "tags" => {
                for (key, value) in inner {
                    tags.extend(plain(value).map(|text| (key.clone(), text)));
                }
            }
            value => tags.extend(plain(value).map(|text| (key.clone(), text))),
        }
    }
    let id = match json.id {
        Some(geojson::feature::Id::String(text)) => clean(&text),
        Some(geojson::feature::Id::Number(number)) => number.to_string(),
        None => String::new(),
    };
    let kept = ["@id", "id", "osm_id", "osm_way_id", "fid"].iter().find_map(|key| tags.get(*key));
    let id = match (id.is_empty(), kept) {
        (false, _) => id,
        (true, Some(kept)) => kept.clone(),
        (true, None) => format!("feature {}", place + 1),
    };
    let name = tags.get("name").map(|n| n.trim().to_owned()).filter(|n| !n.is_empty());
    let mut feature = Feature { id, name, tags, shapes: Vec::new(), broken: Vec::new() };
    match json.geometry {
        Some(geometry) => shapes(geometry.value, &mut feature, corners),
        None => feature.broken.push("no geometry".into()),
    }
    feature
}

fn plain(value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(clean(text)),
        Value::Number(number) => Some(number.to_string()),
        Value::Bool(true) => Some("yes".into()),
        Value::Bool(false) => Some("no".into()),
        _ => None,
    }
}

/// Adds the shapes of a geometry; collections are taken apart.
fn shapes(value: GeometryValue, to: &mut Feature, corners: &mut usize) {
    use GeometryValue as G;
    match value {
        G::Point { coordinates } => point(&coordinates, to, corners),
        G::MultiPoint { coordinates } => {
            coordinates.iter().for_each(|at| point(at, to, corners));
        }
        G::LineString { coordinates } => line(&coordinates, to, corners),
        G::MultiLineString { coordinates } => {
            coordinates.iter().for_each(|l| line(l, to, corners));
        }
        G::Polygon { coordinates } => polygon(&coordinates, to, corners),
        G::MultiPolygon { coordinates } => {
            coordinates.iter().for_each(|p| polygon(p, to, corners));
        }
        G::GeometryCollection { geometries } => {
            geometries.into_iter().for_each(|g| shapes(g.value, to, corners));
        }
    }
}

fn point(at: &Position, to: &mut Feature, corners: &mut usize) {
    *corners += 1;
    match place(at) {
        Ok(at) => to.shapes.push(OutlineShape::Point(at)),
        Err(why) => to.broken.push(why),
    }
}

fn line(all: &[Position], to: &mut Feature, corners: &mut usize) {
    *corners += all.len();
    match ring(all) {
        Ok(line) if line.len() >= 2 => to.shapes.push(OutlineShape::Line(line)),
        Ok(line) => to.broken.push(format!("a line of {}", counted(line.len(), "point"))),
        Err(why) => to.broken.push(why),
    }
}

fn polygon(rings: &[Vec<Position>], to: &mut Feature, corners: &mut usize) {
    *corners += rings.iter().map(Vec::len).sum::<usize>();
    let rings: Result<Vec<_>, _> = rings.iter().map(|r| ring(r)).collect();
    match rings.map(|rings| rings.into_iter()) {
        Ok(mut rings) => match rings.next() {
            Some(outer) if outer.len() >= 3 => {
                to.shapes.push(OutlineShape::Polygon { outer, holes: rings.collect() });
            }
            Some(outer) => {
                to.broken.push(format!("a polygon of {}", counted(outer.len(), "point")))
            }
            None => to.broken.push("a polygon without a ring".into()),
        },
        Err(why) => to.broken.push(why),
    }
}

fn ring(positions: &[Position]) -> Result<Vec<Geographic>, String> {
    positions.iter().map(place).collect()
}

fn place(position: &Position) -> Result<Geographic, String> {
    let [longitude, latitude, ..] = position.as_slice() else {
        return Err("a position without longitude and latitude".into());
    };
    if latitude.abs() <= 90.0 && longitude.abs() <= 360.0 {
        return Geographic::new(*latitude, *longitude).map_err(|e| e.to_string());
    }
    Err(format!(
        "a position at [{longitude}, {latitude}], which is no longitude and latitude in degrees"
    ))
}
