//! What a feature is, by its properties.
//!
//! In: properties of a feature. Out: a [`FeatureKind`], which decides what may be built
//! of it. Keys and values are those of open map data (the wiki of
//! OpenStreetMap, Map features).

use super::source::Feature;
use crate::venue::Sport;

/// What a feature is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FeatureKind {
    Building,
    /// A piece of a building with heights of its own.
    Part,
    /// A roof without walls.
    OpenRoof,
    /// Tanks, silos, towers with an outline, and outlines with nothing but a height.
    Structure,
    Wall,
    Hedge,
    /// Lets light through, nobody knows how much.
    Fence,
    Tree,
    TreeRow,
    Wood,
    /// A thin upright thing.
    Mast,
    Pitch,
    Other,
}

/// Upright things of little width, by key and value.
const MASTS: [(&str, &[&str]); 3] = [
    ("man_made", &["mast", "tower", "chimney", "flagpole", "antenna", "communications_tower"]),
    ("power", &["tower", "pole", "portal"]),
    ("highway", &["street_lamp"]),
];
const STRUCTURES: [(&str, &[&str]); 3] = [
    ("man_made", &["silo", "storage_tank", "gasometer", "water_tower", "reservoir_covered"]),
    ("leisure", &["bleachers"]),
    ("advertising", &["billboard", "screen", "board", "column"]),
];

fn one_of(feature: &Feature, table: &[(&str, &[&str])]) -> bool {
    table.iter().any(|(key, values)| feature.tag(key).is_some_and(|v| values.contains(&v)))
}

/// What a feature is.
pub fn kind(feature: &Feature) -> FeatureKind {
    let is = |key: &str, value: &str| feature.tag(key) == Some(value);
    let has = |key: &str| feature.tag(key).is_some_and(|v| v != "no");
    if is("leisure", "pitch") {
        return FeatureKind::Pitch;
    }
    match feature.tag("natural") {
        Some("tree") => return FeatureKind::Tree,
        Some("tree_row") => return FeatureKind::TreeRow,
        Some("wood" | "scrub") => return FeatureKind::Wood,
        _ => {}
    }
    if is("landuse", "forest") || is("landuse", "orchard") {
        return FeatureKind::Wood;
    }
    if is("building", "roof") || is("building:part", "roof") {
        return FeatureKind::OpenRoof;
    }
    if has("building:part") {
        return FeatureKind::Part;
    }
    if has("building") {
        return FeatureKind::Building;
    }
    match feature.tag("barrier") {
        Some("wall" | "city_wall" | "retaining_wall") => return FeatureKind::Wall,
        Some("hedge") => return FeatureKind::Hedge,
        Some("fence" | "guard_rail" | "handrail" | "wire_fence" | "net") => {
            return FeatureKind::Fence;
        }
        _ => {}
    }
    if one_of(feature, &MASTS) {
        return FeatureKind::Mast;
    }
    if one_of(feature, &STRUCTURES) {
        return FeatureKind::Structure;
    }
    FeatureKind::Other
}

/// A word to call features of a kind that have no name.
pub fn word(feature: &Feature, kind: FeatureKind) -> String {
    let value = |key: &str, usual: &str| {
        let plain = |c: char| c.is_ascii_lowercase() || c == '_';
        match feature.tag(key).filter(|v| v.chars().all(plain) && v.len() <= 30 && *v != "yes") {
            Some(value) => value.replace('_', " "),
            None => usual.to_owned(),
        }
    };
    match kind {
        FeatureKind::Building => value("building", "building"),
        FeatureKind::Part => "building part".into(),
        FeatureKind::OpenRoof => "roof".into(),
        FeatureKind::Structure => {
            value("man_made", &value("leisure", &value("advertising", "structure")))
        }
        FeatureKind::Wall | FeatureKind::Hedge | FeatureKind::Fence => value("barrier", "wall"),
        FeatureKind::Tree | FeatureKind::TreeRow => "tree".into(),
        FeatureKind::Wood => "wood".into(),
        FeatureKind::Mast => value("man_made", &value("power", &value("highway", "mast"))),
        FeatureKind::Pitch => "field of play".into(),
        FeatureKind::Other => "outline".into(),
    }
}

/// The sport that a field of play says it is for; `Free` for one without markings
/// of its own here, `None` where it says nothing.
pub fn sport(feature: &Feature) -> Option<Sport> {
    let said = feature.tag("sport")?;
    let known = said.split(';').find_map(|word| match word.trim() {
        "soccer" => Some(Sport::Football),
        "rugby_union" => Some(Sport::RugbyUnion),
        "tennis" => Some(Sport::Tennis),
        "field_hockey" => Some(Sport::Hockey),
        "cricket" => Some(Sport::Cricket),
        _ => None,
    });
    Some(known.unwrap_or(Sport::Free))
}

/// A direction as a bearing in degrees: a number or a point of the compass.
///
/// # Errors
/// What cannot be read, in words.
pub fn bearing(feature: &Feature, key: &str) -> Result<Option<f64>, String> {
    const POINTS: [&str; 16] = [
        "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW",
        "NW", "NNW",
    ];
    let Some(text) = feature.tag(key) else { return Ok(None) };
    let upper = text.to_uppercase();
    if let Some(point) = POINTS.iter().position(|p| *p == upper) {
        return Ok(Some(22.5 * point as f64));
    }
    match text.trim_end_matches('\u{b0}').parse::<f64>() {
        Ok(degrees) if degrees.abs() <= 360.0 => Ok(Some(degrees.rem_euclid(360.0))),
        _ => Err(format!("{key} = \"{text}\" is no direction")),
    }
}
