//! What plans of the live page show of a ground.
//!
//! In: a venue and the values of its file. Out: JSON: outlines, lines, things that throw
//! shadows, cameras with their covers, contours; points in field axes, metres; azimuths in
//! degrees.

use chrono::NaiveDate;
use geo::{
    BoundingRect, ConvexHull, Coord, LineString, MultiLineString, MultiPoint, Point, Rect, Simplify,
};
use glam::DVec3;
use serde::Serialize;
use serde_json::{Value, json};

use crate::base::frame::FieldFrame;
use crate::camera::cover_ground;
use crate::geometry::Terrain;
use crate::output::draw::clip;
use crate::output::draw::contours::Contours;
use crate::output::draw::sketch::PxBox;
use crate::venue::{Body, CameraPost, Occluder, OccluderKind, Part, Relief, Shape, Venue};

/// Outlines of covers lose corners that lie this near to the line between their
/// neighbours, metres.
const SMOOTH_M: f64 = 0.05;
/// Contours end so far outside of all that stands, metres.
const AROUND_M: f64 = 60.0;
/// A day in leaf, for what asks for no date.
const ANY_DATE: Option<NaiveDate> = NaiveDate::from_ymd_opt(2027, 6, 21);

/// A point on the ground in field axes, to a tenth of a millimetre.
pub fn flat(frame: FieldFrame, c: Coord<f64>) -> [f64; 2] {
    let p = frame.to_field(DVec3::new(c.x, c.y, 0.0));
    [p.along_m, p.across_m].map(rounded)
}

fn point(frame: FieldFrame, p: DVec3) -> [f64; 3] {
    let p = frame.to_field(p);
    [p.along_m, p.across_m, p.up_m].map(rounded)
}

fn rounded(value: f64) -> f64 {
    (value * 1e4).round() / 1e4 + 0.0
}

/// Corners of a ring, not closed.
pub fn ring(frame: FieldFrame, ring: &LineString<f64>) -> Vec<[f64; 2]> {
    let open = ring.0.len().saturating_sub(1);
    ring.0.iter().take(open).map(|c| flat(frame, *c)).collect()
}

/// All that a plan of the ground shows.
pub fn drawn(venue: &Venue, values: &Value) -> Value {
    let (field, frame) = (&venue.field, venue.field.frame);
    let line = |line: &LineString<f64>| -> Vec<[f64; 2]> {
        line.0.iter().map(|c| flat(frame, *c)).collect()
    };
    let marks = field.marks.iter().map(|m| json!({ "name": m.name, "at": flat(frame, m.at) }));
    let zone = |z: &crate::venue::Zone| json!({ "name": z.name, "outline": ring(frame, z.outline.exterior()) });
    json!({
        "north_deg": (360.0 - frame.bearing().degrees()) % 360.0,
        "bearing_deg": frame.bearing().degrees(),
        "outline": ring(frame, field.outline.exterior()),
        "playing_area": ring(frame, field.playing_area.exterior()),
        "surrounds": ring(frame, field.surrounds.exterior()),
        "lines": field.markings.iter().map(line).collect::<Vec<_>>(),
        "marks": marks.collect::<Vec<_>>(),
        "zones": venue.zones.iter().map(zone).collect::<Vec<_>>(),
        "beside": venue.beside.iter().map(zone).collect::<Vec<_>>(),
        "contours": venue.relief.as_deref().map(|relief| contours(venue, relief)),
        "stands": things(venue, values),
        "cameras": cameras(venue, values),
    })
}

/// Lines of equal height of ground that is not flat, as far as anything stands on it.
fn contours(venue: &Venue, relief: &Relief) -> Value {
    let surrounds = venue.field.surrounds.exterior().0.iter().copied();
    let bodies = venue.occluders.iter().flat_map(|occluder| &occluder.bodies);
    let bodies = bodies.flat_map(|body| body.shape.points()).map(|p| Coord { x: p.x, y: p.y });
    let cameras = venue.cameras.iter().map(|post| Coord { x: post.at.x, y: post.at.y });
    let all: MultiPoint<f64> =
        surrounds.chain(bodies).chain(cameras).map(Point).collect::<Vec<_>>().into();
    let Some(bounds) = all.bounding_rect() else { return Value::Null };
    let margin = Coord { x: AROUND_M, y: AROUND_M };
    let within = Rect::new(bounds.min() - margin, bounds.max() + margin);
    let contours = Contours::of(relief, within);
    let [low, high] = [within.min(), within.max()];
    // the ground is known far beyond
    let bounds = PxBox { left: low.x, right: high.x, top: low.y, bottom: high.y };
    let line = |(up_m, pieces): &(f64, MultiLineString<f64>)| {
        let piece = |piece: &LineString<f64>| -> Vec<Vec<[f64; 2]>> {
            let corners: Vec<[f64; 2]> = piece.0.iter().map(|c| [c.x, c.y]).collect();
            let at = |[x, y]: [f64; 2]| flat(venue.field.frame, Coord { x, y });
            let inside = clip::line_in(&corners, &bounds).into_iter();
            inside.map(|corners| corners.into_iter().map(at).collect()).collect()
        };
        json!({
            "up_m": rounded(*up_m),
            "pieces": pieces.0.iter().flat_map(piece).collect::<Vec<_>>(),
        })
    };
    json!({
        "words": contours.words(),
        "step_m": contours.step_m,
        "lines": contours.lines.iter().map(line).collect::<Vec<_>>(),
    })
}

/// Everything that throws a shadow.
#[derive(Debug, Serialize)]
struct Thing {
    table: String,
    name: String,
    kind: &'static str,
    /// Of all but the roof.
    outline: Vec<[f64; 2]>,
    roof: Option<Vec<[f64; 2]>>,
    top_m: f64,
    /// Each piece by itself, the lowest first.
    parts: Vec<Piece>,
}

#[derive(Debug, Serialize)]
struct Piece {
    part: &'static str,
    outline: Vec<[f64; 2]>,
    top_m: f64,
    /// Share of the direct light that passes.
    passes: f64,
}

/// The table of a thing, `stand[0]`; of what a site has beside the field, which its own tables do
/// not state, `shared.stand[0]`.
fn table_of(values: &Value, table: String) -> String {
    let place = table.trim_end_matches(']').split_once('[');
    let stated = |(of, i): (&str, &str)| values.get(of)?.get(i.parse::<usize>().ok()?);
    if place.and_then(stated).is_some() { table } else { format!("shared.{table}") }
}

/// Things in the order of the file, each with the table that states it.
pub fn things(venue: &Venue, values: &Value) -> Value {
    let date = venue.fixture.map(|f| f.date).or(ANY_DATE).unwrap_or_default();
    let things = venue.occluders.iter().zip(tables(venue));
    // what is not there on that day has no outline
    let things = things.filter(|(occluder, _)| !occluder.bodies.is_empty());
    let all: Vec<Thing> = things
        .map(|(occluder, table)| thing(venue.field.frame, occluder, table_of(values, table), date))
        .collect();
    serde_json::to_value(all).unwrap_or_default()
}

/// Tables of the file that state the occluders, in their order.
fn tables(venue: &Venue) -> impl Iterator<Item = String> {
    let mut counts: Vec<(OccluderKind, usize)> = Vec::new();
    venue.occluders.iter().map(move |occluder| {
        let known = counts.iter().position(|(kind, _)| *kind == occluder.kind);
        let known = known.unwrap_or_else(|| {
            counts.push((occluder.kind, 0));
            counts.len() - 1
        });
        let (of, count) = &mut counts[known];
        *count += 1;
        format!("{}[{}]", of.word(), *count - 1)
    })
}

/// The index of the occluder that a table of the file states.
pub fn occluder_of(venue: &Venue, table: &str) -> Option<usize> {
    tables(venue).position(|of| of == table)
}

fn thing(frame: FieldFrame, occluder: &Occluder, table: String, date: NaiveDate) -> Thing {
    let kind = occluder.kind.word();
    let hull = |roof: bool| {
        let bodies = occluder.bodies.iter().filter(|b| (b.part == Part::Roof) == roof);
        let points: Vec<Point<f64>> =
            bodies.flat_map(|b| b.shape.points()).map(|p| Point::new(p.x, p.y)).collect();
        (points.len() > 2).then(|| ring(frame, MultiPoint(points).convex_hull().exterior()))
    };
    let mut parts: Vec<Piece> =
        occluder.bodies.iter().flat_map(|body| pieces(frame, body, date)).collect();
    parts.sort_by(|a, b| a.top_m.total_cmp(&b.top_m));
    Thing {
        table,
        name: occluder.name.clone(),
        kind,
        outline: hull(false).unwrap_or_default(),
        roof: hull(true),
        top_m: parts.last().map_or(0.0, |piece| piece.top_m),
        parts,
    }
}

fn pieces(frame: FieldFrame, body: &Body, date: NaiveDate) -> Vec<Piece> {
    let points = body.shape.points();
    let outlines = match &body.shape {
        Shape::Mesh(mesh) => mesh.plan_pieces().0.clone(),
        Shape::Convex { .. } | Shape::Sheet { .. } => {
            let flat = points.iter().map(|p| Point::new(p.x, p.y)).collect();
            vec![MultiPoint(flat).convex_hull()]
        }
    };
    let top_m = rounded(points.iter().map(|p| p.z).fold(0.0, f64::max));
    let piece = |outline: geo::Polygon<f64>| Piece {
        part: body.part.on_plan(),
        outline: ring(frame, outline.exterior()),
        top_m,
        passes: body.passes.on(date).share(),
    };
    outlines.into_iter().map(piece).filter(|piece| piece.outline.len() > 2).collect()
}

/// Cameras with what they cover.
pub fn cameras(venue: &Venue, values: &Value) -> Value {
    let table = |i: usize| table_of(values, format!("camera[{i}]"));
    let each = venue.cameras.iter().enumerate();
    Value::Array(each.map(|(i, post)| camera(venue, table(i), post)).collect())
}

fn camera(venue: &Venue, table: String, post: &CameraPost) -> Value {
    let frame = venue.field.frame;
    let terrain = Terrain::of(venue);
    let cover = cover_ground(post, &venue.field, &venue.zones, &terrain).region.simplify(SMOOTH_M);
    let rings: Vec<Vec<[f64; 2]>> = cover.0.iter().map(|p| ring(frame, p.exterior())).collect();
    let aims: Vec<[f64; 2]> =
        post.aims.iter().map(|a| flat(frame, Coord { x: a.x, y: a.y })).collect();
    json!({
        "table": table,
        "name": post.name,
        "at": point(frame, post.at),
        "aim": aims.first(),
        "aims": aims,
        "hfov_deg": post.horizontal_fov_deg,
        "frame": rings.iter().max_by_key(|ring| ring.len()),
        "cover": rings,
    })
}
