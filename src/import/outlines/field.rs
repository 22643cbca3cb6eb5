//! The field of play that a file draws.
//!
//! In: features that say `leisure=pitch`. Out: its centre on the ellipsoid, the
//! bearing of its long axis and its sides, by the rectangle of least area around
//! it (crate `geo`).

use geo::{Area, Coord, LineString, MinimumRotatedRect, Polygon};
use glam::DVec3;

use super::error::OutlineError;
use super::kind::{FeatureKind, kind, sport};
use super::source::{Feature, OutlineShape};
use crate::import::geodesy::{GeodesyError, Geographic, LocalPlane};
use crate::venue::Sport;

/// Sides that a field of play may have, metres.
const MIN_WIDTH_M: f64 = 1.0;
const MAX_LENGTH_M: f64 = 2_000.0;
/// Unfit fields that a message names.
const MAX_UNFIT: usize = 5;

/// A field of play as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// Place of its feature in the file.
    pub feature: usize,
    /// What it is called.
    pub called: String,
    pub sport: Option<Sport>,
    pub centre: Geographic,
    /// Of the long axis, degrees from true north, 0 to 180.
    pub bearing_deg: f64,
    /// Sides of the rectangle of least area, the longer first, metres.
    pub length_m: f64,
    pub width_m: f64,
    /// Area of the polygon over that of the rectangle.
    pub filled: f64,
    /// Its own corners.
    pub corners: Vec<Geographic>,
}

/// All fields of play in a file.
///
/// # Errors
/// [`GeodesyError`] when a conversion fails.
pub fn all(features: &[Feature]) -> Result<Vec<Drawn>, GeodesyError> {
    let mut fields = Vec::new();
    for (i, feature) in features.iter().enumerate() {
        if kind(feature) != FeatureKind::Pitch {
            continue;
        }
        for shape in &feature.shapes {
            let (OutlineShape::Polygon { outer: corners, .. } | OutlineShape::Line(corners)) =
                shape
            else {
                continue;
            };
            fields.extend(drawn(i, feature, corners)?);
        }
    }
    Ok(fields)
}

/// The field of play that is asked for, by name or id, or the only one.
///
/// # Errors
/// [`OutlineError`] when there is none, or several.
pub fn choose<'a>(
    fields: &'a [Drawn],
    features: &[Feature],
    asked: Option<&str>,
    wanted: Option<Sport>,
) -> Result<&'a Drawn, OutlineError> {
    if fields.is_empty() {
        return Err(missing(features));
    }
    let list = |fields: &[&Drawn]| fields.iter().map(|f| words(f)).collect::<Vec<_>>();
    let named = |field: &&Drawn| {
        let feature = &features[field.feature];
        asked.is_none_or(|asked| {
            feature.id == asked
                || feature.name.as_ref().is_some_and(|n| n.eq_ignore_ascii_case(asked.trim()))
        })
    };
    let mut found: Vec<&Drawn> = fields.iter().filter(named).collect();
    if let (true, Some(sport)) = (found.len() > 1, wanted) {
        found.retain(|field| field.sport == Some(sport));
    }
    match (found.as_slice(), asked) {
        ([one], _) => Ok(one),
        ([], Some(asked)) => Err(OutlineError::NoSuchField {
            asked: asked.to_owned(),
            known: list(&fields.iter().collect::<Vec<_>>()),
        }),
        ([], None) => Err(OutlineError::SeveralFields {
            asked: None,
            known: list(&fields.iter().collect::<Vec<_>>()),
        }),
        (several, asked) => Err(OutlineError::SeveralFields {
            asked: asked.map(str::to_owned),
            known: list(several),
        }),
    }
}

/// Why a file gives no field of play: nothing says so, or what does cannot be one.
pub fn missing(features: &[Feature]) -> OutlineError {
    let pitches = features.iter().filter(|feature| kind(feature) == FeatureKind::Pitch);
    let mut unfit = pitches.map(|feature| format!("{}: {}", feature.called(), unfit(feature)));
    let shown: Vec<String> = unfit.by_ref().take(MAX_UNFIT).collect();
    match shown.is_empty() {
        true => OutlineError::NoField,
        false => OutlineError::UnfitFields { shown, more: unfit.count() },
    }
}

/// Why a feature that says `leisure=pitch` gives no field of play.
fn unfit(feature: &Feature) -> String {
    let corners = feature.shapes.iter().find_map(|shape| match shape {
        OutlineShape::Polygon { outer: corners, .. } | OutlineShape::Line(corners) => Some(corners),
        OutlineShape::Point(_) => None,
    });
    let sides = |corners: &Vec<Geographic>| rectangle(*corners.first()?, corners).ok()?;
    match (corners, corners.and_then(sides)) {
        (None, _) if !feature.broken.is_empty() => feature.broken.join(", "),
        (None, _) => "a point, not an outline".to_owned(),
        (Some(_), None) => "an outline without area".to_owned(),
        (Some(_), Some(found)) => {
            let size = format!("{:.1} x {:.1} m", found.length_m, found.width_m);
            format!("{size}, where {MIN_WIDTH_M} m of width to {MAX_LENGTH_M} m of length fit")
        }
    }
}

fn words(field: &Drawn) -> String {
    format!("{} ({:.0} x {:.0} m)", field.called, field.length_m, field.width_m)
}

/// `None` for a polygon without area, or one that is too small or too large.
fn drawn(
    place: usize,
    feature: &Feature,
    corners: &[Geographic],
) -> Result<Option<Drawn>, GeodesyError> {
    let Some(first) = corners.first() else { return Ok(None) };
    let Some(rough) = rectangle(*first, corners)? else { return Ok(None) };
    // once more from its own centre, so that north is north there
    let Some(fine) = rectangle(rough.centre, corners)? else { return Ok(None) };
    if fine.width_m < MIN_WIDTH_M || fine.length_m > MAX_LENGTH_M {
        return Ok(None);
    }
    Ok(Some(Drawn {
        feature: place,
        called: feature.called(),
        sport: sport(feature),
        centre: fine.centre,
        bearing_deg: fine.bearing_deg,
        length_m: fine.length_m,
        width_m: fine.width_m,
        filled: fine.filled,
        corners: corners.to_vec(),
    }))
}

struct Rectangle {
    centre: Geographic,
    bearing_deg: f64,
    length_m: f64,
    width_m: f64,
    filled: f64,
}

fn rectangle(
    origin: Geographic,
    corners: &[Geographic],
) -> Result<Option<Rectangle>, GeodesyError> {
    let plane = LocalPlane::new(origin)?;
    let local = corners.iter().map(|p| plane.to_local(*p, 0.0));
    let ring = local.map(|p| p.map(|p| Coord { x: p.x, y: p.y })).collect::<Result<Vec<_>, _>>()?;
    let polygon = Polygon::new(LineString(ring), Vec::new());
    let Some(rect) = polygon.minimum_rotated_rect() else { return Ok(None) };
    let [a, b, c, ..] = rect.exterior().0[..] else { return Ok(None) };
    let (first, second) = (b - a, c - b);
    let (first_m, second_m) = (first.x.hypot(first.y), second.x.hypot(second.y));
    let (long, length_m, width_m) = match first_m >= second_m {
        true => (first, first_m, second_m),
        false => (second, second_m, first_m),
    };
    let middle = (a + c) / 2.0;
    Ok(Some(Rectangle {
        centre: plane.to_geographic(DVec3::new(middle.x, middle.y, 0.0))?,
        bearing_deg: long.x.atan2(long.y).to_degrees().rem_euclid(180.0),
        length_m,
        width_m,
        filled: polygon.unsigned_area() / (length_m * width_m),
    }))
}
