//! The ground around the field of play: how much of it is planned.
//!
//! In: the field's table, its outline, zones and what stands around. Out: polygons in
//! field axes (metres) and at last, in the local frame, the playing area and the
//! surrounds of a [`Field`]: what the file states or what is usual for the sport, all
//! zones, without what stands on the ground.

use geo::algorithm::buffer::{BufferStyle, LineJoin};
use geo::{
    Area, BooleanOps, BoundingRect, Buffer, Contains, ConvexHull, Coord, Distance, Euclidean,
    Intersects, LineString, MapCoords, MultiPoint, MultiPolygon, Point as GeoPoint, Polygon, Rect,
};
use glam::DVec3;

use crate::base::frame::{FieldFrame, FieldPoint};
use crate::base::union::union_of;
use crate::venue::file::FieldTable;
use crate::venue::model::{Field, Zone};
use crate::venue::occluder::{Body, Occluder, Part, Shape};
use crate::venue::outlines::{Beyond, Outline, Point, surrounds};
use crate::venue::problem::Problems;
use crate::venue::relief::Relief;

use super::field::Around;
use super::ring::sound;

/// Without a word in the file zones may lie so far beyond the playing area, metres; what
/// is farther is a slip of a sign or a unit.
const ZONES_WITHIN_M: f64 = 60.0;
/// A body whose foot is over this stands clear of the ground under it: people pass,
/// metres.
const CLEAR_M: f64 = 2.5;
/// What takes less of the ground than this, a mast or a chair, is not cut out, m2.
const CUT_FROM_M2: f64 = 4.0;
/// Areas that touch share less than this, m2.
const ROUNDING_M2: f64 = 1e-3;
/// Corners that turning between the frames moves off a rim, metres.
const ROUNDING_M: f64 = 1e-6;
/// Corners sharper than this are cut square when an outline is grown, radians.
const SHARPEST: f64 = 0.5;

/// The ground that is planned before zones are added, and the limit of zones; field axes.
pub(super) fn planned(
    table: &FieldTable,
    outline: &Outline,
    around: Around,
    problems: &mut Problems,
) -> Option<(Polygon<f64>, Polygon<f64>)> {
    let playing = in_axes(&outline.playing_area);
    if around == Around::Left {
        return Some((playing.clone(), playing));
    }
    if let Some(corners) = &table.surrounds {
        if table.surrounds_m.is_some() {
            problems.add("field.surrounds", "surrounds beside surrounds_m", "one of the two");
        }
        let stated = in_axes(&sound(corners, "field.surrounds", problems)?);
        let outside = in_axes(&outline.boundary).difference(&stated).unsigned_area();
        if outside > 1.0 {
            problems.add(
                "field.surrounds",
                format!("surrounds without {outside:.1} m2 of the field of play"),
                "corners around all of the field of play",
            );
            return None;
        }
        let whole = largest(stated.union(&playing)).unwrap_or(stated);
        return Some((whole.clone(), whole));
    }
    match table.surrounds_m {
        Some(depth_m) => {
            let whole = grown(&playing, Beyond::all_around(depth_m));
            Some((whole.clone(), whole))
        }
        None => Some((
            grown(&playing, surrounds(table.sport)),
            grown(&playing, Beyond::all_around(ZONES_WITHIN_M)),
        )),
    }
}

/// A field with the ground around it: zones added, without what stands on it.
pub(super) fn finish(
    field: Field,
    planned: &Polygon<f64>,
    zones: &[Zone],
    (occluders, relief): (&[Occluder], Option<&Relief>),
) -> Field {
    let whole = to_local(field.frame, &with_zones(planned, &field, zones));
    let standing = standing(&field, &whole, occluders, relief);
    if standing.0.is_empty() {
        return Field { surrounds: whole, ..field };
    }
    // what nothing stands on stays as it is, corner by corner
    let free = |area: &Polygon<f64>| {
        let taken = area.intersection(&standing).unsigned_area() > ROUNDING_M2;
        let left = taken.then(|| largest(area.difference(&standing))).flatten();
        left.unwrap_or_else(|| area.clone())
    };
    let (playing_area, surrounds) = (free(&field.playing_area), free(&whole));
    Field { playing_area, surrounds, ..field }
}

/// Adds zones that lie farther out, and the ground on the way to them; field axes.
fn with_zones(planned: &Polygon<f64>, field: &Field, zones: &[Zone]) -> Polygon<f64> {
    let in_field = |area: &Polygon<f64>| to_field(field.frame, area);
    let Some(near) = in_field(&field.playing_area).bounding_rect() else { return planned.clone() };
    let clamped = |c: &Coord<f64>| Coord {
        x: c.x.clamp(near.min().x, near.max().x),
        y: c.y.clamp(near.min().y, near.max().y),
    };
    zones.iter().fold(planned.clone(), |whole, zone| {
        let zone = in_field(&zone.outline);
        let corners = &zone.exterior().0;
        if corners.iter().all(|c| Euclidean.distance(&whole, &GeoPoint(*c)) < ROUNDING_M) {
            return whole;
        }
        let way: MultiPoint<f64> =
            corners.iter().flat_map(|c| [GeoPoint(*c), GeoPoint(clamped(c))]).collect();
        largest(whole.union(&way.convex_hull())).unwrap_or(whole)
    })
}

/// What of the ground outside the field of play something stands on.
fn standing(
    field: &Field,
    whole: &Polygon<f64>,
    occluders: &[Occluder],
    relief: Option<&Relief>,
) -> MultiPolygon<f64> {
    let Some(bounds) = whole.bounding_rect() else { return MultiPolygon(Vec::new()) };
    let feet: Vec<Polygon<f64>> = occluders
        .iter()
        .flat_map(|occluder| &occluder.bodies)
        .filter_map(|body| foot(body, &bounds, relief))
        .filter(|foot| !whole.contains(foot) || foot.unsigned_area() >= CUT_FROM_M2)
        .collect();
    if feet.is_empty() {
        return MultiPolygon(Vec::new());
    }
    // in field axes: what people write in round numbers there lies on common lines, which a
    // turn would make cross each other at angles of nothing
    let feet: Vec<Polygon<f64>> = feet.iter().map(|foot| to_field(field.frame, foot)).collect();
    let joined = union_of(&feet).0;
    let joined = joined.iter().map(|polygon| to_local(field.frame, polygon));
    MultiPolygon(joined.collect()).difference(&field.outline)
}

/// Where a body stands on the ground, if it does so within bounds.
fn foot(body: &Body, bounds: &Rect<f64>, relief: Option<&Relief>) -> Option<Polygon<f64>> {
    let stands = matches!(body.part, Part::Deck | Part::BackWall | Part::EndWall | Part::Solid);
    let Shape::Convex { vertices, .. } = &body.shape else { return None };
    let over = |v: &DVec3| v.z - relief.map_or(0.0, |relief| relief.height_m(v.x, v.y));
    let lowest = vertices.iter().map(over).fold(f64::INFINITY, f64::min);
    if !stands || lowest > CLEAR_M {
        return None;
    }
    let points: MultiPoint<f64> = vertices.iter().map(|v| GeoPoint::new(v.x, v.y)).collect();
    points.bounding_rect()?.intersects(bounds).then(|| points.convex_hull())
}

/// A polygon grown outward; a box by its own depths at ends and sides, any other outline
/// by the greater of both.
fn grown(outline: &Polygon<f64>, by: Beyond) -> Polygon<f64> {
    let depth = by.ends_m.max(by.sides_m);
    let Some(bounds) = outline.bounding_rect() else { return outline.clone() };
    if (bounds.to_polygon().unsigned_area() - outline.unsigned_area()).abs() < 1e-9 {
        let by = Coord { x: by.ends_m, y: by.sides_m };
        return Rect::new(bounds.min() - by, bounds.max() + by).to_polygon();
    }
    if depth <= 0.0 {
        return outline.clone();
    }
    let style = BufferStyle::new(depth).line_join(LineJoin::Miter(SHARPEST));
    largest(outline.buffer_with_style(style)).unwrap_or_else(|| outline.clone())
}

/// The largest of several polygons.
fn largest(polygons: MultiPolygon<f64>) -> Option<Polygon<f64>> {
    polygons.0.into_iter().max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))
}

/// A ring in field axes as a polygon in the same axes.
pub(super) fn in_axes(ring: &[Point]) -> Polygon<f64> {
    let closed = ring.iter().chain(ring.first());
    Polygon::new(LineString(closed.map(|p| Coord { x: p[0], y: p[1] }).collect()), Vec::new())
}

/// A polygon of the local frame as one in field axes.
fn to_field(frame: FieldFrame, polygon: &Polygon<f64>) -> Polygon<f64> {
    polygon.map_coords(|c| {
        let p = frame.to_field(DVec3::new(c.x, c.y, 0.0));
        Coord { x: p.along_m, y: p.across_m }
    })
}

/// A polygon in field axes as one of the local frame.
pub(super) fn to_local(frame: FieldFrame, polygon: &Polygon<f64>) -> Polygon<f64> {
    polygon.map_coords(|c| {
        let p: DVec3 = frame.to_local(FieldPoint::on_ground(c.x, c.y));
        Coord { x: p.x, y: p.y }
    })
}
