//! The field of play, the playing area around it, and zones.

use std::sync::Arc;

use geo::{Area, BooleanOps, Euclidean, Length, MultiPolygon, Polygon};

use crate::base::frame::FieldFrame;
use crate::base::units::Azimuth;
use crate::venue::file::{FieldTable, North, TechnicalAreas, ZoneTable};
use crate::venue::model::{Field, Mark, Sport, StatedDeclination, Zone};
use crate::venue::outlines::{
    Beyond, Outline, Point, SIDES, Sizes, football, outline_with, rugby_union, sizes,
};
use crate::venue::problem::Problems;
use crate::venue::relief::Relief;

use super::areas;
use super::ring::{coord, line, polygon, sound};

/// A zone may stick out by this much: the width of a line, metres.
const ZONE_TOLERANCE_M: f64 = 0.12;

/// A corner of a field of play farther from its centre is a slip of unit, metres. So far
/// out the tangent plane is 0.3 m over the ground and the sun stands alike to 0.02 degree.
const MAX_COORDINATE_M: f64 = 2_000.0;

/// Things may overlap the field by this much: rounding, m2.
pub(super) const TOUCH_M2: f64 = 1e-6;

/// The field, and what the tables of the file need of it in field axes.
pub(super) struct BuiltField {
    pub field: Field,
    pub frame: FieldFrame,
    /// Extent of the boundary along and across.
    pub min: Point,
    pub max: Point,
    outline: Outline,
    /// The ground that is planned, before zones are added and what stands is cut out,
    /// and how far out zones may lie; field axes.
    pub planned: Polygon<f64>,
    pub zones_within: Polygon<f64>,
    /// Where it is not flat.
    pub relief: Option<Arc<Relief>>,
    /// Things that say where they stand count their heights from the ground there.
    pub counts_from_ground: bool,
    /// From true north to the north that bearings count from, degrees.
    north_deg: f64,
}

impl BuiltField {
    /// Area that a ring in field axes shares with the field of play, m2; `None`
    /// when they touch at most, or where nothing has to keep off it.
    pub fn overlap_m2(&self, ring: &[Point]) -> Option<f64> {
        if self.is_open_to_things() {
            return None;
        }
        let area = polygon(self.frame, ring).intersection(&self.field.outline).unsigned_area();
        (area > TOUCH_M2).then_some(area)
    }

    /// That of the shared part of a site, in whose axes nothing is played; fields are held
    /// against what stands there one by one.
    pub fn of_site(frame: FieldFrame) -> Self {
        let nothing = || Polygon::new(geo::LineString(Vec::new()), Vec::new());
        let field = Field {
            sport: Sport::Free,
            frame,
            outline: nothing(),
            playing_area: nothing(),
            surrounds: nothing(),
            markings: Vec::new(),
            marks: Vec::new(),
            surface: Default::default(),
            surface_reflectance: 0.0,
            surrounds_surface: Default::default(),
            surrounds_reflectance: 0.0,
            declination: None,
        };
        let outline = Outline {
            boundary: Vec::new(),
            playing_area: Vec::new(),
            markings: Vec::new(),
            zones: Vec::new(),
            marks: Vec::new(),
        };
        let (planned, zones_within) = (nothing(), nothing());
        Self {
            field,
            frame,
            min: [0.0; 2],
            max: [0.0; 2],
            outline,
            planned,
            zones_within,
            relief: None,
            counts_from_ground: false,
            north_deg: 0.0,
        }
    }

    /// What the heights of a thing at a place count from, metres over the plane of the field.
    pub fn base_m(&self, place: Point) -> f64 {
        if self.counts_from_ground { self.height_m(place) } else { 0.0 }
    }

    /// Height of the ground at a place, metres over the plane of the field.
    pub fn height_m(&self, place: Point) -> f64 {
        let at = coord(self.frame, place);
        self.relief.as_ref().map_or(0.0, |relief| relief.height_m(at.x, at.y))
    }

    /// The lowest of a height and the ground under corners, metres over the plane of the field.
    pub fn deepest_m(&self, ring: &[Point], height_m: f64) -> f64 {
        match self.relief {
            Some(_) => ring.iter().map(|p| self.height_m(*p)).fold(height_m, f64::min),
            None => height_m,
        }
    }

    /// A bearing of the file.
    pub fn bearing_of(&self, degrees: f64) -> Azimuth {
        Azimuth::from_degrees(degrees + self.north_deg)
    }

    /// Whether things may stand on the field of play: of golf it is all that is mown.
    fn is_open_to_things(&self) -> bool {
        self.field.sport == Sport::Golf
    }

    /// Zones that the sport brings.
    pub fn own_zones(&self) -> &[(String, Vec<Point>)] {
        &self.outline.zones
    }
}

/// Whether the ground around the field of play is worked out, which takes longer than all
/// else.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Around {
    Planned,
    /// Neither it nor zones: for a venue of which nothing is asked but what throws shadows.
    Left,
}

/// Builds the field of play.
pub(super) fn ground(
    table: &FieldTable,
    around: Around,
    problems: &mut Problems,
) -> Option<BuiltField> {
    let frame = FieldFrame::new(true_bearing(table, problems)?);
    let sport = table.sport;
    let outline = match sizes(sport) {
        Some(sizes) => {
            if table.corners.is_some() {
                problems.add_with_help(
                    "field.corners",
                    "corners beside a sport with an outline of its own",
                    "length_m and width_m",
                    "for your own outline state sport = \"free\"",
                );
            }
            let length =
                size(table.length_m, sizes.usual.0, sizes.length, "length_m", &sizes, problems);
            let width =
                size(table.width_m, sizes.usual.1, sizes.width, "width_m", &sizes, problems);
            let playing = playing_area(table, &sizes, problems)?;
            let mut outline = outline_with(sport, (length?, width?), playing)?;
            outline.zones.extend(technical_areas(table, width?));
            outline
        }
        None => {
            playing_area_elsewhere(table, problems);
            free(table, problems)?
        }
    };
    let (planned, zones_within) = areas::planned(table, &outline, around, problems)?;
    let bound = |f: fn(f64, f64) -> f64, i: usize| {
        outline.boundary.iter().map(|p| p[i]).reduce(f).unwrap_or(0.0)
    };
    Some(BuiltField {
        field: Field {
            sport,
            frame,
            outline: polygon(frame, &outline.boundary),
            playing_area: polygon(frame, &outline.playing_area),
            surrounds: areas::to_local(frame, &planned),
            markings: outline.markings.iter().map(|m| line(frame, m)).collect(),
            marks: outline
                .marks
                .iter()
                .map(|(name, at)| Mark { name: name.clone(), at: coord(frame, *at) })
                .collect(),
            surface: table.surface,
            surface_reflectance: table
                .surface_reflectance
                .unwrap_or(table.surface.usual_reflectance()),
            surrounds_surface: table.surrounds_surface.unwrap_or(table.surface),
            surrounds_reflectance: surrounds_reflectance(table),
            declination: table
                .declination_deg
                .map(|degrees| StatedDeclination { degrees, used: table.north == North::Magnetic }),
        },
        frame,
        min: [bound(f64::min, 0), bound(f64::min, 1)],
        max: [bound(f64::max, 0), bound(f64::max, 1)],
        outline,
        planned,
        zones_within,
        relief: None,
        counts_from_ground: false,
        north_deg: match table.north {
            North::True => 0.0,
            North::Magnetic => table.declination_deg.unwrap_or(0.0),
        },
    })
}

/// As stated; else the usual one of a surface that is stated; else that of the field.
fn surrounds_reflectance(table: &FieldTable) -> f64 {
    let of_field = || table.surface_reflectance.unwrap_or(table.surface.usual_reflectance());
    let of_surface = || table.surrounds_surface.map(|surface| surface.usual_reflectance());
    table.surrounds_reflectance.or_else(of_surface).unwrap_or_else(of_field)
}

/// How far the playing area reaches beyond the field of play.
fn playing_area(table: &FieldTable, sizes: &Sizes, problems: &mut Problems) -> Option<Beyond> {
    playing_area_elsewhere(table, problems);
    let usual = sizes.playing_area;
    let ends_m = match table.sport {
        Sport::RugbyUnion => {
            let allowed = rugby_union::IN_GOAL_M;
            size(table.in_goal_m, usual.ends_m, allowed, "in_goal_m", sizes, problems)?
        }
        _ => table.run_off_ends_m.unwrap_or(usual.ends_m),
    };
    Some(Beyond { ends_m, sides_m: table.run_off_sides_m.unwrap_or(usual.sides_m) })
}

/// Notes keys that belong to other sports.
fn playing_area_elsewhere(table: &FieldTable, problems: &mut Problems) {
    let sport = table.sport;
    let run_offs = matches!(sport, Sport::Tennis | Sport::Hockey);
    let keys = [
        ("in_goal_m", table.in_goal_m.is_some(), sport == Sport::RugbyUnion, "rugby_union"),
        ("run_off_ends_m", table.run_off_ends_m.is_some(), run_offs, "tennis and hockey"),
        ("run_off_sides_m", table.run_off_sides_m.is_some(), run_offs, "tennis and hockey"),
        ("technical_areas", table.technical_areas.is_some(), sport == Sport::Football, "football"),
    ];
    for (key, _, _, whose) in keys.into_iter().filter(|(_, stated, fits, _)| *stated && !fits) {
        problems.add_with_help(
            format!("field.{key}"),
            format!("a key of another sport than {}", sport.word()),
            format!("only with {whose}"),
            "field.surrounds_m or field.surrounds say how far the ground reaches",
        );
    }
}

fn technical_areas(table: &FieldTable, width_m: f64) -> Vec<(String, Vec<Point>)> {
    let wanted = |side: &str| match table.technical_areas {
        None => false,
        Some(TechnicalAreas::Both) => true,
        Some(TechnicalAreas::Left) => side == "left",
        Some(TechnicalAreas::Right) => side == "right",
    };
    let sides = SIDES.into_iter().filter(|(side, _)| wanted(side));
    sides.flat_map(|side| football::technical_areas(width_m, side)).collect()
}

pub(super) fn true_bearing(table: &FieldTable, problems: &mut Problems) -> Option<Azimuth> {
    match (table.north, table.declination_deg) {
        (North::True, _) => Some(Azimuth::from_degrees(table.bearing_deg)),
        (North::Magnetic, Some(declination)) => {
            Some(Azimuth::from_degrees(table.bearing_deg + declination))
        }
        (North::Magnetic, None) => {
            problems.add_with_help(
                "field.north",
                "magnetic north without a declination",
                "declination_deg beside it, east positive",
                "it is printed on maps and changes over the years",
            );
            None
        }
    }
}

fn size(
    stated: Option<f64>,
    usual: f64,
    (low, high): (f64, f64),
    key: &str,
    sizes: &Sizes,
    problems: &mut Problems,
) -> Option<f64> {
    let value = stated.unwrap_or(usual);
    // a centimetre for a tape
    if value >= low - 0.01 && value <= high + 0.01 {
        return Some(value);
    }
    let allowed = if low == high { format!("{low} m") } else { format!("{low} to {high} m") };
    problems.add_with_help(
        format!("field.{key}"),
        format!("{value} m"),
        format!("{allowed} ({})", sizes.law),
        "for any other outline state sport = \"free\" and its corners",
    );
    None
}

fn free(table: &FieldTable, problems: &mut Problems) -> Option<Outline> {
    let Some(corners) = &table.corners else {
        problems.add(
            "field.corners",
            match table.sport {
                Sport::Golf => "a hole of golf without corners",
                _ => "a free field without corners",
            },
            "corners = [[along, across], ...]",
        );
        return None;
    };
    if table.length_m.is_some() || table.width_m.is_some() {
        problems.add(
            "field.corners",
            "corners beside length_m or width_m",
            "one way to state the outline",
        );
    }
    if let Some([x, y]) = corners.iter().find(|p| p[0].hypot(p[1]) > MAX_COORDINATE_M) {
        problems.add(
            "field.corners",
            format!("a corner at [{x}, {y}]"),
            format!("corners within {MAX_COORDINATE_M} m of the centre of play"),
        );
        return None;
    }
    let boundary = sound(corners, "field.corners", problems)?;
    let drawn = boundary.iter().chain(boundary.first()).copied().collect();
    Some(Outline {
        playing_area: boundary.clone(),
        boundary,
        markings: vec![drawn],
        zones: Vec::new(),
        marks: Vec::new(),
    })
}

/// The sport's own zones and those of the file.
pub(super) fn zones(
    tables: &[ZoneTable],
    ground: &BuiltField,
    problems: &mut Problems,
) -> Vec<Zone> {
    let own = ground.own_zones().iter();
    let mut zones: Vec<Zone> = own
        .map(|(name, ring)| Zone { name: name.clone(), outline: polygon(ground.frame, ring) })
        .collect();
    for (i, table) in tables.iter().enumerate() {
        let key = format!("zone[{i}].corners");
        let name = table.name.trim();
        if ground.own_zones().iter().any(|(own, _)| own == name) {
            problems.add(
                format!("zone[{i}].name"),
                format!("\"{name}\", which the sport brings itself"),
                "another name",
            );
        }
        let Some(ring) = sound(&table.corners, &key, problems) else { continue };
        let outline = polygon(ground.frame, &ring);
        let in_axes = areas::in_axes(&ring);
        let outside =
            MultiPolygon(vec![in_axes.clone()]).difference(&ground.zones_within).unsigned_area();
        if outside > ZONE_TOLERANCE_M * Euclidean.length(in_axes.exterior()) {
            problems.add_with_help(
                key,
                format!("a zone with {outside:.1} m2 outside the ground that is planned"),
                "corners on the ground around the field",
                "field.surrounds_m or field.surrounds say how far the ground reaches",
            );
            continue;
        }
        zones.push(Zone { name: name.to_owned(), outline });
    }
    zones
}
