//! The field of play and its zones.

use geo::{Area, BooleanOps, Euclidean, Length, MultiPolygon};

use super::ring::{coord, line, polygon, sound};
use crate::frame::FieldFrame;
use crate::units::Azimuth;
use crate::venue::file::{FieldTable, North, ZoneTable};
use crate::venue::model::{Field, Mark, Sport, Zone};
use crate::venue::outlines::{Outline, Point, Sizes, outline, sizes};
use crate::venue::problem::Problems;

/// A zone may stick out by this much: the width of a line, metres.
const ZONE_TOLERANCE_M: f64 = 0.12;

/// A corner of a field of play farther from its centre is a slip of unit, metres. So far
/// out the tangent plane is 0.3 m over the ground and the sun stands alike to 0.02 degree.
const FARTHEST_M: f64 = 2_000.0;

/// Things may overlap the field by this much: rounding, m2.
const TOUCH_M2: f64 = 1e-6;

/// The field, and what the tables of the file need of it in field axes.
pub(super) struct Ground {
    pub field: Field,
    pub frame: FieldFrame,
    /// Extent of the boundary along and across.
    pub min: Point,
    pub max: Point,
    outline: Outline,
}

impl Ground {
    /// Area that a ring in field axes shares with the field of play, m2; `None`
    /// when they touch at most.
    pub fn overlap_m2(&self, ring: &[Point]) -> Option<f64> {
        let area = polygon(self.frame, ring).intersection(&self.field.outline).unsigned_area();
        (area > TOUCH_M2).then_some(area)
    }

    /// Zones that the sport brings.
    pub fn own_zones(&self) -> &[(String, Vec<Point>)] {
        &self.outline.zones
    }
}

/// Builds the field of play.
pub(super) fn ground(table: &FieldTable, problems: &mut Problems) -> Option<Ground> {
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
            outline(sport, length?, width?)?
        }
        None => free(table, problems)?,
    };
    let bound = |f: fn(f64, f64) -> f64, i: usize| {
        outline.boundary.iter().map(|p| p[i]).reduce(f).unwrap_or(0.0)
    };
    Some(Ground {
        field: Field {
            sport,
            frame,
            outline: polygon(frame, &outline.boundary),
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
        },
        frame,
        min: [bound(f64::min, 0), bound(f64::min, 1)],
        max: [bound(f64::max, 0), bound(f64::max, 1)],
        outline,
    })
}

fn true_bearing(table: &FieldTable, problems: &mut Problems) -> Option<Azimuth> {
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
    if let Some([x, y]) = corners.iter().find(|p| p[0].hypot(p[1]) > FARTHEST_M) {
        problems.add(
            "field.corners",
            format!("a corner at [{x}, {y}]"),
            format!("corners within {FARTHEST_M} m of the centre of play"),
        );
        return None;
    }
    let boundary = sound(corners, "field.corners", problems)?;
    let drawn = boundary.iter().chain(boundary.first()).copied().collect();
    Some(Outline { boundary, markings: vec![drawn], zones: Vec::new(), marks: Vec::new() })
}

/// The sport's own zones and those of the file.
pub(super) fn zones(tables: &[ZoneTable], ground: &Ground, problems: &mut Problems) -> Vec<Zone> {
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
        let outside =
            MultiPolygon(vec![outline.clone()]).difference(&ground.field.outline).unsigned_area();
        if outside > ZONE_TOLERANCE_M * Euclidean.length(outline.exterior()) {
            problems.add(
                key,
                format!("a zone with {outside:.1} m2 outside the field of play"),
                "corners on the field of play",
            );
            continue;
        }
        zones.push(Zone { name: name.to_owned(), outline });
    }
    zones
}
