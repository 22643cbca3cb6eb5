//! Outlines on the ellipsoid as footprints in field axes.
//!
//! In: rings of longitude and latitude. Out: polygons in field axes (x along, y
//! across, metres), anticlockwise, on whole centimetres, and, since a footprint
//! of a venue file has no holes, cut into pieces without any.

use geo::orient::Direction;
use geo::{
    Area, BooleanOps, BoundingRect, Buffer, Coord, CoordsIter, Distance, Euclidean, LineString,
    MultiPolygon, Orient, Point, Polygon, Rect, Validation,
};

use crate::base::frame::FieldFrame;
use crate::base::plane::P2;
use crate::import::geodesy::{GeodesyError, Geographic, LocalPlane};

/// Corners are written in whole centimetres; maps are a hundred times coarser.
const GRID_PER_M: f64 = 100.0;
/// Holes and pieces under this are closed or dropped, m2: a flue, a rounding.
const MIN_AREA_M2: f64 = 0.02;
/// The reader of venue files takes this many corners.
const MAX_CORNERS: usize = 1_000;
/// More holes than this are taken for a mistake.
const MAX_HOLES: usize = 60;
/// A footprint that reaches onto the field of play is cut back to this far from
/// it, metres, so that rounding cannot bring it back.
const CLEAR_OF_FIELD_M: f64 = 0.02;

/// Where field axes lie on the ellipsoid.
#[derive(Debug)]
pub struct Axes {
    plane: LocalPlane,
    frame: FieldFrame,
}

impl Axes {
    /// Field axes with their origin at a place.
    ///
    /// # Errors
    /// [`GeodesyError`] when there is no such place.
    pub fn new(centre: Geographic, frame: FieldFrame) -> Result<Self, GeodesyError> {
        Ok(Self { plane: LocalPlane::new(centre)?, frame })
    }

    /// How the field lies in the local frame.
    pub fn frame(&self) -> FieldFrame {
        self.frame
    }

    /// A place in field axes, metres along and across, on whole centimetres.
    ///
    /// # Errors
    /// [`GeodesyError`] when the conversion fails.
    pub fn point(&self, at: Geographic) -> Result<P2, GeodesyError> {
        let p = self.frame.to_field(self.plane.to_local(at, 0.0)?);
        Ok([centimetres(p.along_m), centimetres(p.across_m)])
    }

    /// A line in field axes, without points on top of each other.
    ///
    /// # Errors
    /// [`GeodesyError`] when the conversion fails.
    pub fn line(&self, points: &[Geographic]) -> Result<Vec<P2>, GeodesyError> {
        let mut line =
            points.iter().map(|p| self.point(*p)).collect::<Result<Vec<P2>, GeodesyError>>()?;
        line.dedup();
        Ok(line)
    }

    /// A polygon in field axes, as the file draws it.
    ///
    /// # Errors
    /// [`GeodesyError`] when the conversion fails.
    pub fn polygon(
        &self,
        outer: &[Geographic],
        holes: &[Vec<Geographic>],
    ) -> Result<Polygon<f64>, GeodesyError> {
        let holes: Result<Vec<_>, GeodesyError> =
            holes.iter().map(|hole| self.line(hole).map(|hole| corner_ring(&hole))).collect();
        Ok(Polygon::new(corner_ring(&self.line(outer)?), holes?))
    }
}

/// Rounded to the centimetre, never minus nought.
pub fn centimetres(m: f64) -> f64 {
    (m * GRID_PER_M).round() / GRID_PER_M + 0.0
}

/// Corners as a closed ring.
pub fn corner_ring(points: &[P2]) -> LineString<f64> {
    let mut ring = LineString(points.iter().map(|p| Coord { x: p[0], y: p[1] }).collect());
    ring.close();
    ring
}

/// A ring of a polygon, not closed.
pub fn corners(ring: &LineString<f64>) -> Vec<P2> {
    let mut corners: Vec<P2> =
        ring.coords().map(|c| [centimetres(c.x), centimetres(c.y)]).collect();
    corners.dedup();
    if corners.len() > 1 && corners.first() == corners.last() {
        corners.pop();
    }
    corners
}

/// Metres from the centre of play to the nearest point of a polygon.
pub fn distance(polygon: &Polygon<f64>) -> f64 {
    Euclidean.distance(&Point::new(0.0, 0.0), polygon)
}

/// Metres from the centre of play to the nearest point of a line.
pub fn line_distance(line: &[P2]) -> f64 {
    let line = LineString::from(line.iter().map(|p| (p[0], p[1])).collect::<Vec<_>>());
    Euclidean.distance(&Point::new(0.0, 0.0), &line)
}

/// A polygon that can be built: turned the right way, small holes closed.
///
/// # Errors
/// Why it cannot, in words.
pub fn sound(polygon: Polygon<f64>) -> Result<Polygon<f64>, String> {
    let (outer, mut holes) = polygon.into_inner();
    holes.retain(|hole| ring_area(hole) >= MIN_AREA_M2);
    let polygon = Polygon::new(outer, holes);
    let count = polygon.coords_count();
    if count > MAX_CORNERS {
        return Err(format!("an outline of {count} corners; at most {MAX_CORNERS}"));
    }
    if polygon.interiors().len() > MAX_HOLES {
        return Err(format!("an outline with {} holes", polygon.interiors().len()));
    }
    if let Err(why) = polygon.check_validation() {
        return Err(format!("its outline cannot be used: {why}"));
    }
    match polygon.unsigned_area() >= MIN_AREA_M2 {
        true => Ok(polygon.orient(Direction::Default)),
        false => Err("an outline without area".into()),
    }
}

fn ring_area(ring: &LineString<f64>) -> f64 {
    Polygon::new(ring.clone(), Vec::new()).unsigned_area()
}

/// A polygon as pieces without holes: cut straight through the middle of each
/// hole. Pieces share the line of the cut to the centimetre, so no light
/// falls between them.
///
/// ```
/// use geo::{Area, polygon};
/// use quarterstop::import::outlines::footprint::without_holes;
/// let court = polygon!(
///     exterior: [(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 0., y: 9.)],
///     interiors: [[(x: 3., y: 3.), (x: 3., y: 6.), (x: 6., y: 6.), (x: 6., y: 3.)]],
/// );
/// let pieces = without_holes(&court);
/// assert_eq!(pieces.len(), 2);
/// assert_eq!(pieces.iter().map(|p| p.unsigned_area()).sum::<f64>(), 72.0);
/// ```
pub fn without_holes(polygon: &Polygon<f64>) -> Vec<Polygon<f64>> {
    let mut todo = vec![polygon.clone()];
    let mut done = Vec::new();
    while let Some(piece) = todo.pop() {
        let bounds = piece.bounding_rect();
        let hole = piece.interiors().first().and_then(BoundingRect::bounding_rect);
        let (Some(bounds), Some(hole)) = (bounds, hole) else {
            done.push(piece);
            continue;
        };
        let margin = Coord { x: 1.0, y: 1.0 };
        let (low, high) = (bounds.min() - margin, bounds.max() + margin);
        // across the longer way, which is many centimetres: the cut parts the hole
        let (to, from) = if hole.width() >= hole.height() {
            let x = centimetres(hole.center().x);
            (Coord { x, y: high.y }, Coord { x, y: low.y })
        } else {
            let y = centimetres(hole.center().y);
            (Coord { x: high.x, y }, Coord { x: low.x, y })
        };
        let halves = [Rect::new(low, to), Rect::new(from, high)];
        for half in halves {
            todo.extend(on_grid(piece.intersection(&half.to_polygon())));
        }
    }
    done.reverse();
    done
}

/// What is left of a polygon beside the field of play; `Err` where too much of
/// it is on the field. The second value is the area cut off, m2.
///
/// # Errors
/// How much of it is on the field, in words.
pub fn beside_field(
    polygon: &Polygon<f64>,
    field: &Polygon<f64>,
) -> Result<(Vec<Polygon<f64>>, f64), String> {
    // more than this share on the field is no crooked drawing
    const MAX_SHARE: f64 = 0.2;
    let on_field = polygon.intersection(field).unsigned_area();
    if on_field < 1e-7 {
        return Ok((vec![polygon.clone()], 0.0));
    }
    let share = on_field / polygon.unsigned_area();
    if share > MAX_SHARE {
        return Err(format!("{:.0} % of it on the field of play", 100.0 * share));
    }
    Ok((on_grid(polygon.difference(&field.buffer(CLEAR_OF_FIELD_M))), on_field))
}

fn on_grid(pieces: MultiPolygon<f64>) -> Vec<Polygon<f64>> {
    let rounded = |piece: Polygon<f64>| {
        let holes = piece.interiors().iter().map(|h| corner_ring(&corners(h)));
        let holes = holes.filter(|h| ring_area(h) >= MIN_AREA_M2).collect();
        Polygon::new(corner_ring(&corners(piece.exterior())), holes)
    };
    let pieces = pieces.into_iter().map(rounded);
    pieces.filter(|p| p.unsigned_area() >= MIN_AREA_M2).collect()
}
