//! Exact areas of overlap between a fixed region and a shadow.
//!
//! In: a region of the field (a zone, a camera's cover), local frame, metres;
//! per instant a [`Shadow`]. Out: areas (m2) and shares.
//!
//! The region is cut into convex parts once. A ring of the shadow is clipped to
//! a part half-plane by half-plane; edges doubled along a border enclose no
//! area, so signed areas of rings, holes counted negative, sum to the overlap.

use geo::{Area, Coord, MultiPolygon, Polygon, TriangulateEarcut};

use crate::base::plane::{P2, between, clip, cross, signed_area};
use crate::geometry::hull::Box2;
use crate::geometry::shadow::{ShadeShare, Shadow};

/// A region of the field, prepared for areas of overlap.
#[derive(Debug, Clone)]
pub struct Region {
    parts: Vec<ConvexPart>,
    area_m2: f64,
}

#[derive(Debug, Clone)]
struct ConvexPart {
    /// Anticlockwise, not closed.
    corners: Ring,
    bounds: Box2,
}

impl Region {
    /// Prepares a region; parts without area are left out.
    pub fn new(region: &MultiPolygon<f64>) -> Self {
        let parts: Vec<ConvexPart> = region.0.iter().flat_map(convex_parts).collect();
        Self { parts, area_m2: region.unsigned_area() }
    }

    /// Area of the region, m2.
    pub fn area_m2(&self) -> f64 {
        self.area_m2
    }

    /// Area that the region shares with polygons, m2.
    ///
    /// ```
    /// use geo::{polygon, MultiPolygon};
    /// use quarterstop::geometry::Region;
    /// let square = polygon![(x: 0., y: 0.), (x: 2., y: 0.), (x: 2., y: 2.), (x: 0., y: 2.)];
    /// let corner = polygon![(x: 1., y: 1.), (x: 3., y: 1.), (x: 3., y: 3.), (x: 1., y: 3.)];
    /// let overlap = Region::new(&MultiPolygon(vec![square])).overlap_m2(&corner.into());
    /// assert!((overlap - 1.0).abs() < 1e-12);
    /// ```
    pub fn overlap_m2(&self, polygons: &MultiPolygon<f64>) -> f64 {
        self.each_overlap(polygons, |_| {})
    }

    /// The same; hands out the rings, not closed, whose signed areas make it up: holes run
    /// the other way.
    pub(super) fn each_overlap(
        &self,
        polygons: &MultiPolygon<f64>,
        mut piece: impl FnMut(&[P2]),
    ) -> f64 {
        let mut buffers = (Vec::new(), Vec::new());
        let rings = polygons.0.iter().flat_map(|polygon| {
            let holes = polygon.interiors().iter().map(|hole| (hole, -1.0));
            std::iter::once((polygon.exterior(), 1.0)).chain(holes)
        });
        let area = |(ring, sign): (&geo::LineString<f64>, f64)| {
            sign * self.ring_overlap(&ring.0, &mut buffers, &mut piece).abs()
        };
        rings.map(area).sum()
    }

    /// The convex parts, anticlockwise, not closed.
    pub(super) fn parts(&self) -> impl Iterator<Item = &[P2]> {
        self.parts.iter().map(|part| part.corners.as_slice())
    }

    /// How much of the region a shadow takes.
    pub fn share(&self, shadow: &Shadow) -> ShadeShare {
        let dimmed = shadow.dimmed.iter().map(|d| (d.transmittance, self.overlap_m2(&d.region)));
        ShadeShare::from_areas(self.area_m2, self.overlap_m2(&shadow.opaque), dimmed)
    }

    fn ring_overlap(
        &self,
        ring: &[Coord<f64>],
        buffers: &mut (Ring, Ring),
        piece: &mut impl FnMut(&[P2]),
    ) -> f64 {
        let Some(bounds) = Box2::around(ring.iter().map(|c| [c.x, c.y])) else {
            return 0.0;
        };
        let (clipped, spare) = buffers;
        let near = self.parts.iter().filter(|part| part.bounds.overlaps(&bounds));
        near.map(|part| {
            clipped.clear();
            clipped.extend(ring.iter().skip(1).map(|c| [c.x, c.y]));
            part.clip(clipped, spare);
            piece(clipped);
            signed_area(clipped)
        })
        .sum()
    }
}

/// A zone: on the field of play, or anywhere on the ground.
#[derive(Debug, Clone)]
pub struct ZoneRegion {
    region: Region,
    place: ZonePlace,
}

/// Which shadow tells about a zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum ZonePlace {
    OnField,
    BeyondField,
}

/// A zone that lies on the field of play but for this share of its area lies on it.
const ROUNDING: f64 = 1e-9;

impl ZoneRegion {
    /// Prepares a zone of a field of play.
    pub fn new(zone: &Polygon<f64>, field: &Polygon<f64>) -> Self {
        let region = Region::new(&MultiPolygon(vec![zone.clone()]));
        let on_field = region.overlap_m2(&MultiPolygon(vec![field.clone()]));
        let place = match on_field >= region.area_m2() * (1.0 - ROUNDING) {
            true => ZonePlace::OnField,
            false => ZonePlace::BeyondField,
        };
        Self { region, place }
    }

    /// Whether all of it lies on the field of play, whose shadow is enough then.
    pub fn is_on_field(&self) -> bool {
        self.place == ZonePlace::OnField
    }

    /// How much of it the shadows on the field of play and on all of the ground take.
    pub fn share(&self, field: &Shadow, ground: &Shadow) -> ShadeShare {
        self.region.share(match self.place {
            ZonePlace::OnField => field,
            ZonePlace::BeyondField => ground,
        })
    }
}

type Ring = Vec<P2>;

impl ConvexPart {
    fn clip(&self, ring: &mut Ring, spare: &mut Ring) {
        for (&a, &b) in self.corners.iter().zip(self.corners.iter().cycle().skip(1)) {
            // left of the edge is inside
            clip(ring, spare, |p| cross(a, b, p), between);
            std::mem::swap(ring, spare);
        }
    }
}

fn convex_parts(polygon: &Polygon<f64>) -> Vec<ConvexPart> {
    use geo::{IsConvex, Orient, orient::Direction};
    let polygon = polygon.orient(Direction::Default);
    if polygon.interiors().is_empty() && polygon.exterior().is_convex() {
        return part(polygon.exterior().0.iter().skip(1).copied()).into_iter().collect();
    }
    let triangles = polygon.earcut_triangles().into_iter().map(|t| {
        let corners = t.to_polygon().orient(Direction::Default);
        corners.exterior().0.iter().skip(1).copied().collect::<Vec<_>>()
    });
    let triangles = triangles.filter(|t| t.len() == 3).collect();
    joined(triangles).into_iter().filter_map(|ring| part(ring.into_iter())).collect()
}

/// Joins anticlockwise rings that share a side, as long as what comes out is convex
/// (S. Hertel and K. Mehlhorn, "Fast triangulation of simple polygons", FCT 1983: at
/// most four times as many parts as need be).
fn joined(mut rings: Vec<Vec<Coord<f64>>>) -> Vec<Vec<Coord<f64>>> {
    let mut done = Vec::new();
    while let Some(mut ring) = rings.pop() {
        let mut grown = true;
        while grown {
            let found = rings.iter().enumerate().find_map(|(i, other)| {
                let union = across_shared_side(&ring, other)?;
                is_convex(&union).then_some((i, union))
            });
            grown = found.is_some();
            if let Some((i, union)) = found {
                rings.swap_remove(i);
                ring = union;
            }
        }
        done.push(ring);
    }
    done
}

/// Both rings as one, without the side that both have; `None` where there is none.
fn across_shared_side(a: &[Coord<f64>], b: &[Coord<f64>]) -> Option<Vec<Coord<f64>>> {
    let side =
        |ring: &[Coord<f64>], i: usize| Some((*ring.get(i)?, *ring.get((i + 1) % ring.len())?));
    let (i, j) = (0..a.len()).find_map(|i| {
        let (from, to) = side(a, i)?;
        let j = (0..b.len()).find(|j| side(b, *j) == Some((to, from)))?;
        Some((i, j))
    })?;
    // a from the far end of the side all the way round, then b without the side's ends
    let round_a = a.iter().cycle().skip(i + 1).take(a.len());
    let round_b = b.iter().cycle().skip(j + 2).take(b.len() - 2);
    Some(round_a.chain(round_b).copied().collect())
}

/// Whether a ring never turns right, and turns round once.
fn is_convex(ring: &[Coord<f64>]) -> bool {
    let turn = |i: usize| {
        let at = |k: usize| ring.get((i + k) % ring.len()).map(|c| [c.x, c.y]);
        Some(cross(at(0)?, at(1)?, at(2)?))
    };
    (0..ring.len()).all(|i| turn(i).is_some_and(|turn| turn >= 0.0))
}

fn part(corners: impl Iterator<Item = Coord<f64>>) -> Option<ConvexPart> {
    let corners: Ring = corners.map(|c| [c.x, c.y]).collect();
    let bounds = Box2::around(corners.iter().copied())?;
    (signed_area(&corners) > 0.0).then_some(ConvexPart { corners, bounds })
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{BooleanOps, polygon};

    /// An L is two convex parts; a ring of twelve sides with a square hole few more than
    /// its hole has corners. Overlaps stay those of a general overlay.
    #[test]
    fn few_convex_parts_cover_the_whole() {
        let l = polygon![
            (x: 0., y: 0.), (x: 4., y: 0.), (x: 4., y: 1.), (x: 1., y: 1.), (x: 1., y: 3.),
            (x: 0., y: 3.)
        ];
        let turn = |i: u32| f64::from(i) * std::f64::consts::TAU / 12.0;
        let outer = (0..12).map(|i| Coord { x: 5.0 * turn(i).cos(), y: 5.0 * turn(i).sin() });
        let hole = [(-1., -1.), (1., -1.), (1., 1.), (-1., 1.)];
        let ring = Polygon::new(outer.collect(), vec![hole.to_vec().into()]);
        let shade = polygon![(x: -6., y: -2.), (x: 3., y: -3.), (x: 2., y: 6.)];
        for (region, most) in [(l, 2), (ring, 8)] {
            let prepared = Region::new(&region.clone().into());
            assert!(prepared.parts.len() <= most, "{} parts", prepared.parts.len());
            let area: f64 = prepared.parts.iter().map(|p| signed_area(&p.corners)).sum();
            assert!((area - region.unsigned_area()).abs() < 1e-9);
            let overlay = region.intersection(&shade).unsigned_area();
            let overlap = prepared.overlap_m2(&shade.clone().into());
            assert!((overlap - overlay).abs() < 1e-6, "{overlap} against {overlay}");
        }
    }
}
