//! The union of many polygons that may lie upon each other.
//!
//! In: polygons, metres. Out: what they cover together, outer rings anticlockwise.
//!
//! Few are joined at once, by crate `geo`. Many are put on one integer grid and joined
//! neighbours first, so that what lies inside is gone before others cross it: an overlay
//! of everything at once grows with the square of what lies in one place. Equal corners
//! stay equal on the grid, so things that touch leave no slit between them.

use geo::{BoundingRect, Coord, LineString, MultiPolygon, Polygon, unary_union};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::{IntOverlayOptions, Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::solver::{Precision, Solver};
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::i_shape::int::shape::{IntContour, IntShapes};

use crate::base::plane::{P2, signed_area};

/// More than these are joined neighbours first.
const MANY: usize = 100;
/// Polygons, and then unions, that are joined at once.
const AT_ONCE: usize = 12;
const FAN: usize = 4;
/// Bits of half of the extent.
const HALF_EXTENT_BITS: i32 = 28;
/// Rings that are smaller are rounding, m2.
const SPECK_M2: f64 = 1e-4;

/// Joins polygons.
pub(crate) fn union_of(polygons: &[Polygon<f64>]) -> MultiPolygon<f64> {
    let bounds = polygons.iter().filter_map(BoundingRect::bounding_rect).reduce(|a, b| {
        let low = Coord { x: a.min().x.min(b.min().x), y: a.min().y.min(b.min().y) };
        geo::Rect::new(low, Coord { x: a.max().x.max(b.max().x), y: a.max().y.max(b.max().y) })
    });
    match bounds {
        Some(bounds) if polygons.len() > MANY => UnionGrid::over(&bounds).join(polygons),
        _ => unary_union(polygons),
    }
}

struct UnionGrid {
    centre: Coord<f64>,
    per_metre: f64,
}

impl UnionGrid {
    fn over(bounds: &geo::Rect<f64>) -> Self {
        let half = (0.5 * bounds.width().max(bounds.height())).max(1e-3);
        // a power of two, so that scaling does not round
        let exponent = HALF_EXTENT_BITS - half.log2().ceil() as i32;
        Self { centre: bounds.center(), per_metre: f64::from(exponent).exp2() }
    }

    fn join(&self, polygons: &[Polygon<f64>]) -> MultiPolygon<f64> {
        let mut order: Vec<(u64, &Polygon<f64>)> =
            polygons.iter().map(|polygon| (self.place(polygon), polygon)).collect();
        order.sort_by_key(|(place, _)| *place);
        let solver = Solver { precision: Precision::HIGH, ..Solver::default() };
        let mut overlay = Overlay::new_custom(256, IntOverlayOptions::default(), solver);
        let mut unions: Vec<IntShapes> = Vec::with_capacity(order.len() / AT_ONCE + 1);
        for few in order.chunks(AT_ONCE) {
            overlay.clear();
            for (_, polygon) in few {
                let turned = signed_area(&corners(polygon.exterior())) < 0.0;
                let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
                for ring in rings {
                    let mut ring = self.snapped(ring);
                    if turned {
                        ring.reverse();
                    }
                    overlay.add_contour(&ring, ShapeType::Subject);
                }
            }
            unions.push(overlay.overlay(OverlayRule::Subject, FillRule::NonZero));
        }
        while unions.len() > 1 {
            let next = unions.chunks(FAN).map(|few| {
                overlay.clear();
                few.iter().flatten().flatten().for_each(|ring| {
                    overlay.add_contour(ring, ShapeType::Subject);
                });
                overlay.overlay(OverlayRule::Subject, FillRule::NonZero)
            });
            unions = next.collect();
        }
        let shapes = unions.pop().unwrap_or_default();
        let polygon = |shape: &Vec<IntContour>| {
            let mut rings = shape
                .iter()
                .map(|ring| self.ring(ring))
                .filter(|ring| signed_area(&corners(ring)).abs() > SPECK_M2);
            Some(Polygon::new(rings.next()?, rings.collect()))
        };
        MultiPolygon(shapes.iter().filter_map(polygon).collect())
    }

    fn snap(&self, c: Coord<f64>) -> IntPoint {
        let at = |value: f64, centre: f64| ((value - centre) * self.per_metre).round() as i32;
        IntPoint::new(at(c.x, self.centre.x), at(c.y, self.centre.y))
    }

    fn snapped(&self, ring: &LineString<f64>) -> Vec<IntPoint> {
        ring.0.iter().skip(1).map(|c| self.snap(*c)).collect()
    }

    fn ring(&self, ring: &IntContour) -> LineString<f64> {
        let coord = |p: &IntPoint| Coord {
            x: f64::from(p.x) / self.per_metre + self.centre.x,
            y: f64::from(p.y) / self.per_metre + self.centre.y,
        };
        ring.iter().chain(ring.first()).map(coord).collect()
    }

    /// Where a polygon is on a walk from cell to cell.
    fn place(&self, polygon: &Polygon<f64>) -> u64 {
        let Some(bounds) = polygon.bounding_rect() else { return 0 };
        let middle = self.snap(bounds.center());
        let cell = |v: i32| (i64::from(v) - i64::from(i32::MIN)) as u64 >> 20;
        let (x, y) = (cell(middle.x), cell(middle.y));
        (0..12).map(|bit| ((x >> bit & 1) << (2 * bit)) | ((y >> bit & 1) << (2 * bit + 1))).sum()
    }
}

/// Corners of a closed ring, each once.
fn corners(ring: &LineString<f64>) -> Vec<P2> {
    ring.0.iter().skip(1).map(|c| [c.x, c.y]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::Area;

    fn square(x: f64, y: f64, side: f64) -> Polygon<f64> {
        let rect = geo::Rect::new(Coord { x, y }, Coord { x: x + side, y: y + side });
        rect.to_polygon()
    }

    /// A court of 40 x 40 m inside of a ring of squares that touch: area in closed form, and
    /// the court stays one hole.
    #[test]
    fn things_that_touch_leave_no_slit() {
        let all = (0..60).flat_map(|i| (0..60).map(move |j| (i, j)));
        let ring = all.filter(|(i, j)| !(10..50).contains(i) || !(10..50).contains(j));
        let squares: Vec<_> =
            ring.map(|(i, j)| square(f64::from(i) + 0.1, f64::from(j) - 0.3, 1.0)).collect();
        assert!(squares.len() > MANY);
        let joined = union_of(&squares);
        assert_eq!((joined.0.len(), joined.0[0].interiors().len()), (1, 1));
        assert!((joined.unsigned_area() - (3600.0 - 1600.0)).abs() < 1e-3);
    }

    #[test]
    fn many_in_one_place_are_what_one_overlay_makes_of_them() {
        let squares: Vec<_> = (0..150)
            .map(|i| square(f64::from(i * 37 % 101) * 0.04, f64::from(i * 53 % 97) * 0.04, 5.0))
            .collect();
        let (ours, whole) = (union_of(&squares), unary_union(&squares));
        assert!((ours.unsigned_area() - whole.unsigned_area()).abs() < 1e-4);
    }
}
