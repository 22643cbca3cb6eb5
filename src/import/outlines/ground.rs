//! The venue that outlines go to: one that is there, or a new one around a field
//! of play.
//!
//! In: a venue file as text, or what a new one needs. Out: the text to add to,
//! and the field axes that all outlines are put in. Place and bearing are used as
//! they are written, digits and all, so that reading the file gives the same axes.

use std::collections::HashSet;

use geo::{Coord, LineString, Polygon};
use glam::DVec3;
use toml_edit::{DocumentMut, Item, Table, value};

use crate::base::frame::FieldFrame;
use crate::base::plane::P2;
use crate::base::read::clean;
use crate::base::units::Azimuth;
use crate::import::geodesy::{Geographic, LocalPlane};
use crate::import::write::{comment, number, rows};
use crate::venue::outlines::{outline, sizes};
use crate::venue::{Sport, Venue};

use super::error::OutlineError;
use super::field;
use super::field::Drawn;
use super::footprint::{Axes, centimetres, corners as cm_corners};
use super::height::stated;
use super::source::Feature;
use super::there::There;

/// Where outlines go.
#[derive(Debug)]
pub enum Goal<'a> {
    /// A venue that is there: its text and what was read from it.
    Onto { text: &'a str, venue: &'a Venue },
    /// A new one.
    New(NewVenue),
}

/// What a new venue needs besides a field of play.
#[derive(Debug, Clone)]
pub struct NewVenue {
    pub title: Option<String>,
    /// IANA time zone.
    pub zone: String,
    /// Above sea level, metres; that of the field of play in the file when absent.
    pub height_m: Option<f64>,
    /// That of the field of play in the file when absent.
    pub sport: Option<Sport>,
    pub length_m: Option<f64>,
    pub width_m: Option<f64>,
    pub field: FieldChoice,
}

/// Where the field of play of a new venue lies.
#[derive(Debug, Clone)]
pub enum FieldChoice {
    /// As the file draws it; by name or id where there are several.
    Drawn {
        named: Option<String>,
    },
    Stated {
        centre: Geographic,
        bearing_deg: f64,
    },
}

/// A venue to add to.
#[derive(Debug)]
pub struct ImportTarget {
    pub document: DocumentMut,
    pub axes: Axes,
    /// The field of play in field axes.
    pub field: Polygon<f64>,
    /// The turf above sea level, metres, where somebody stated it.
    pub turf_m: Option<f64>,
    pub southern: bool,
    /// Names that are taken.
    pub names: HashSet<String>,
    pub is_new: bool,
    /// What stands there already.
    pub there: There,
    /// The feature that is the field of play.
    pub own: Option<usize>,
    /// What to tell about the field of play.
    pub told: Vec<String>,
}

/// Prepares the venue.
///
/// # Errors
/// [`OutlineError`] when the field of play or something else is missing.
pub fn ground(goal: Goal<'_>, features: &[Feature]) -> Result<ImportTarget, OutlineError> {
    let fields = field::all(features)?;
    match goal {
        Goal::Onto { text, venue } => onto(text, venue, &fields),
        Goal::New(new) => fresh(new, &fields, features),
    }
}

fn onto(text: &str, venue: &Venue, fields: &[Drawn]) -> Result<ImportTarget, OutlineError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let document: DocumentMut =
        text.parse().map_err(|e: toml_edit::TomlError| OutlineError::Edit(e.to_string()))?;
    let place = &venue.place;
    let centre = Geographic::new(place.latitude_deg, place.longitude_deg)?;
    let frame = venue.field.frame;
    let ring = venue.field.outline.exterior().coords().map(|c| {
        let p = frame.to_field(DVec3::new(c.x, c.y, 0.0));
        Coord { x: p.along_m, y: p.across_m }
    });
    Ok(ImportTarget {
        document,
        axes: Axes::new(centre, frame)?,
        field: Polygon::new(LineString(ring.collect()), Vec::new()),
        turf_m: Some(place.height_m),
        southern: place.latitude_deg < 0.0,
        names: venue.occluders.iter().map(|o| o.name.clone()).collect(),
        is_new: false,
        there: There::of(venue),
        own: None,
        told: compared(centre, frame, fields)?,
    })
}

/// How the nearest field of play of the file lies against that of the venue: a
/// place that is written with too few digits puts everything beside it.
fn compared(
    centre: Geographic,
    frame: FieldFrame,
    fields: &[Drawn],
) -> Result<Vec<String>, OutlineError> {
    let plane = LocalPlane::new(centre)?;
    let mut off = Vec::new();
    for field in fields {
        let at = plane.to_local(field.centre, 0.0)?;
        off.push((at.truncate().length(), at, field));
    }
    let Some((distance, at, field)) = off.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)) else {
        return Ok(Vec::new());
    };
    let turn = (field.bearing_deg - frame.bearing().degrees() + 90.0).rem_euclid(180.0) - 90.0;
    // no "-0.0"
    let turn = (10.0 * turn).round() / 10.0 + 0.0;
    let mut told = vec![format!(
        "the nearest field of play in the file, {}, lies {:.1} m {} and {:.1} m {} of the \
         venue's, turned by {turn:+.1} degrees",
        field.called,
        at.x.abs(),
        if at.x < 0.0 { "west" } else { "east" },
        at.y.abs(),
        if at.y < 0.0 { "south" } else { "north" },
    )];
    if distance > 3.0 || turn.abs() > 1.5 {
        told.push(
            "if they are the same field, mend latitude_deg, longitude_deg and bearing_deg of \
             the venue first and bring the outlines in again"
                .into(),
        );
    }
    Ok(told)
}

fn fresh(
    new: NewVenue,
    fields: &[Drawn],
    features: &[Feature],
) -> Result<ImportTarget, OutlineError> {
    let drawn = match &new.field {
        FieldChoice::Drawn { named } => {
            Some(field::choose(fields, features, named.as_deref(), new.sport)?)
        }
        FieldChoice::Stated { .. } => None,
    };
    let (centre, bearing_deg) = match (&new.field, drawn) {
        (FieldChoice::Stated { centre, bearing_deg }, _) => (*centre, *bearing_deg),
        (_, Some(drawn)) => (drawn.centre, drawn.bearing_deg),
        (_, None) => return Err(field::missing(features)),
    };
    // 1e-7 degree is a centimetre, a hundredth of a degree a centimetre at 57 m
    let round = |value: f64, digits: i32| (value * 10f64.powi(digits)).round() / 10f64.powi(digits);
    let longitude = (centre.longitude_deg + 180.0).rem_euclid(360.0) - 180.0;
    let centre = Geographic::new(round(centre.latitude_deg, 7), round(longitude, 7))?;
    let bearing_deg = round(bearing_deg, 2);
    let axes = Axes::new(centre, FieldFrame::new(Azimuth::from_degrees(bearing_deg)))?;
    let ele = match drawn {
        Some(drawn) => stated(&features[drawn.feature], "ele").unwrap_or(None),
        None => None,
    };
    let turf_m = new.height_m.or(ele);
    let mut told = Vec::new();
    let shape = shape(&new, drawn, &axes, &mut told)?;
    let title = new.title.clone().or_else(|| drawn.and_then(|d| features[d.feature].name.clone()));
    let written = Written {
        title: clean(&title.unwrap_or_else(|| "Unnamed ground".into())),
        centre,
        bearing_deg,
        height_m: turf_m.ok_or(OutlineError::NoHeight)?,
        zone: &new.zone,
    };
    if let Some(drawn) = drawn {
        told.insert(0, format!(
            "field of play from {}: {:.1} x {:.1} m, long axis toward {bearing_deg} degrees true",
            drawn.called, drawn.length_m, drawn.width_m
        ));
    }
    Ok(ImportTarget {
        document: document(&written, &shape),
        axes,
        field: ring(&shape.boundary),
        turf_m,
        southern: centre.latitude_deg < 0.0,
        names: HashSet::new(),
        is_new: true,
        there: There::default(),
        own: drawn.map(|d| d.feature),
        told,
    })
}

/// Sport and size of a new field.
struct NewField {
    sport: Sport,
    length_m: Option<f64>,
    width_m: Option<f64>,
    corners: Option<Vec<P2>>,
    boundary: Vec<P2>,
}

fn shape(
    new: &NewVenue,
    drawn: Option<&Drawn>,
    axes: &Axes,
    told: &mut Vec<String>,
) -> Result<NewField, OutlineError> {
    let sport = new.sport.or(drawn.and_then(|d| d.sport)).unwrap_or(Sport::Free);
    let bad = |why: String| OutlineError::BadField {
        field: drawn.map_or_else(|| "that is stated".to_owned(), |d| d.called.clone()),
        why,
    };
    let decimetres = |m: f64| (m * 10.0).round() / 10.0;
    let measured = |stated: Option<f64>, drawn: Option<f64>| stated.or(drawn.map(decimetres));
    let length = measured(new.length_m, drawn.map(|d| d.length_m));
    let width = measured(new.width_m, drawn.map(|d| d.width_m));
    let Some(laws) = sizes(sport) else {
        let corners = free_corners(length, width, new, drawn, axes).ok_or_else(|| {
            bad("a field of no particular sport needs --length-m and --width-m".into())
        })??;
        return Ok(NewField {
            sport,
            length_m: None,
            width_m: None,
            boundary: corners.clone(),
            corners: Some(corners),
        });
    };
    let (mut length_m, mut width_m) =
        (length.unwrap_or(laws.usual.0), width.unwrap_or(laws.usual.1));
    let within = |value: f64, (low, high): (f64, f64)| (low - 0.01..=high + 0.01).contains(&value);
    if !(within(length_m, laws.length) && within(width_m, laws.width)) {
        let fixed = laws.length.0 == laws.length.1 && laws.width.0 == laws.width.1;
        let range = |(low, high): (f64, f64)| {
            if low == high { format!("{low}") } else { format!("{low} to {high}") }
        };
        if !fixed || drawn.is_none() || new.length_m.is_some() || new.width_m.is_some() {
            return Err(bad(format!(
                "it is {length_m} x {width_m} m; {} asks for {} x {} m\n  \
                 state --length-m and --width-m, or --sport free to keep its outline",
                laws.law,
                range(laws.length),
                range(laws.width)
            )));
        }
        told.push(format!(
            "drawn {length_m} x {width_m} m, with its surround; the lines of the laws, {} x {} m, \
             are put in its middle: check them on site",
            laws.usual.0, laws.usual.1
        ));
        (length_m, width_m) = laws.usual;
    }
    if sport != Sport::Cricket && drawn.is_some_and(|d| d.filled < 0.97) {
        told.push(
            "what is drawn is no rectangle; the rectangle of least area around it is taken".into(),
        );
    }
    let boundary = outline(sport, length_m, width_m).map(|o| o.boundary).unwrap_or_default();
    Ok(NewField {
        sport,
        length_m: Some(length_m),
        width_m: Some(width_m),
        corners: None,
        boundary,
    })
}

/// Corners of a field without a sport: stated sides, or as it is drawn.
fn free_corners(
    length: Option<f64>,
    width: Option<f64>,
    new: &NewVenue,
    drawn: Option<&Drawn>,
    axes: &Axes,
) -> Option<Result<Vec<P2>, OutlineError>> {
    let stated = new.length_m.is_some() || new.width_m.is_some();
    if let (Some(drawn), false) = (drawn, stated) {
        let line = axes.polygon(&drawn.corners, &[]).map_err(OutlineError::from);
        return Some(line.map(|polygon| cm_corners(polygon.exterior())));
    }
    let (x, y) = (centimetres(length? / 2.0), centimetres(width? / 2.0));
    Some(Ok(vec![[-x, -y], [x, -y], [x, y], [-x, y]]))
}

fn ring(corners: &[P2]) -> Polygon<f64> {
    let ring = corners.iter().map(|p| Coord { x: p[0], y: p[1] }).collect();
    Polygon::new(LineString(ring), Vec::new())
}

struct Written<'a> {
    title: String,
    centre: Geographic,
    bearing_deg: f64,
    height_m: f64,
    zone: &'a str,
}

fn document(written: &Written<'_>, shape: &NewField) -> DocumentMut {
    let mut document = DocumentMut::new();
    document["title"] = value(written.title.as_str());
    let mut place = Table::new();
    place["latitude_deg"] = Item::Value(number(written.centre.latitude_deg));
    place["longitude_deg"] = Item::Value(number(written.centre.longitude_deg));
    place["height_m"] = Item::Value(number(written.height_m));
    place["zone"] = value(written.zone);
    place.decor_mut().set_prefix("\n");
    document["place"] = Item::Table(place);
    let mut field = Table::new();
    field["sport"] = value(shape.sport.word());
    if let (Some(length), Some(width)) = (shape.length_m, shape.width_m) {
        field["length_m"] = Item::Value(number(length));
        field["width_m"] = Item::Value(number(width));
    }
    if let Some(corners) = &shape.corners {
        field["corners"] = Item::Value(rows(corners));
    }
    field["bearing_deg"] = Item::Value(number(written.bearing_deg));
    let note = ["true, along the longer side; turn it half a turn if you like".to_owned()];
    if let Some(bearing) = field.get_mut("bearing_deg").and_then(Item::as_value_mut) {
        bearing.decor_mut().set_suffix(format!("  {}", comment(&note).trim_end()));
    }
    field.decor_mut().set_prefix("\n");
    document["field"] = Item::Table(field);
    document
}
