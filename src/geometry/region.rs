//! Exact areas of overlap between a fixed region and a shadow.
//!
//! In: a region of the field (a zone, a camera's cover), local frame, metres;
//! per instant a [`Shadow`]. Out: areas (m2) and shares.
//!
//! The region is taken apart into convex rings once: parts side by side, or its hull less
//! what lies between hull and border, whichever has fewer corners. A ring of the shadow is
//! clipped to the box of each and, unless it fills that, half-plane by half-plane; edges
//! doubled along a border enclose no area, so signed areas of rings, holes counted negative,
//! sum to the overlap.

use geo::{Area, Coord, MultiPolygon, Polygon, TriangulateEarcut};

use crate::base::plane::{P2, between, clip, cross, signed_area};
use crate::geometry::hull::{Box2, Outside, convex_hull};
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
    /// 1 where it adds to the region, -1 where it is taken away from others.
    sign: f64,
}

/// What lies between a hull and a border is left where it is less than this share of the region.
const MIN_POCKET: f64 = 1e-10;
/// Hulls and pockets make up a region but for this share of it, else they are not used.
const MAX_POCKETS_OFF: f64 = 1e-7;
/// A ring that takes a box but for this share of it takes all that lies in it.
const MAX_LEFT: f64 = 1e-12;
/// Rings mostly have no more corners.
const USUAL_CORNERS: usize = 64;

impl Region {
    /// Prepares a region; parts without area are left out.
    pub fn new(region: &MultiPolygon<f64>) -> Self {
        Self::of(region, |polygon| {
            let beside = convex_parts(polygon);
            hull_less_pockets(polygon, corners(&beside)).unwrap_or(beside)
        })
    }

    /// The same in parts side by side.
    pub(super) fn side_by_side(region: &MultiPolygon<f64>) -> Self {
        Self::of(region, convex_parts)
    }

    fn of(region: &MultiPolygon<f64>, parts: fn(&Polygon<f64>) -> Vec<ConvexPart>) -> Self {
        let parts = region.0.iter().flat_map(parts).collect();
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
        self.each_overlap(polygons, |_, _| {})
    }

    /// The same; hands out the rings, not closed, whose signed areas, so many times, make it
    /// up: holes run the other way.
    pub(super) fn each_overlap(
        &self,
        polygons: &MultiPolygon<f64>,
        mut piece: impl FnMut(&[P2], f64),
    ) -> f64 {
        let mut buffers = (Vec::with_capacity(USUAL_CORNERS), Vec::with_capacity(USUAL_CORNERS));
        let rings = polygons.0.iter().flat_map(|polygon| {
            let holes = polygon.interiors().iter().map(|hole| (hole, -1.0));
            std::iter::once((polygon.exterior(), 1.0)).chain(holes)
        });
        let area = |(ring, sign): (&geo::LineString<f64>, f64)| {
            sign * self.ring_overlap(&ring.0, &mut buffers, &mut piece).abs()
        };
        rings.map(area).sum()
    }

    /// The convex rings that it is made of, anticlockwise, not closed.
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
        piece: &mut impl FnMut(&[P2], f64),
    ) -> f64 {
        let Some(bounds) = Box2::around(ring.iter().map(|c| [c.x, c.y])) else {
            return 0.0;
        };
        let (clipped, spare) = buffers;
        let near = self.parts.iter().filter(|part| part.bounds.overlaps(&bounds));
        near.map(|part| {
            let mut outside = Outside::of(&part.bounds, clipped);
            ring.iter().skip(1).for_each(|c| outside.push([c.x, c.y]));
            if !outside.clip(spare) {
                return 0.0;
            }
            part.clip(clipped, spare, &bounds.shared(&part.bounds));
            piece(clipped, part.sign);
            part.sign * signed_area(clipped)
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
    /// Clips a ring that does not reach beyond its box, and lies in `bounds`.
    fn clip(&self, ring: &mut Ring, spare: &mut Ring, bounds: &Box2) {
        let taken = signed_area(ring);
        if taken.abs() >= self.bounds.area() * (1.0 - MAX_LEFT) {
            ring.clone_from(&self.corners);
            if taken < 0.0 {
                ring.reverse();
            }
            return;
        }
        for (&a, &b) in self.corners.iter().zip(self.corners.iter().cycle().skip(1)) {
            // left of the edge is inside
            let [lowest, highest] = bounds.ends_left_of(a, b);
            if cross(a, b, highest) < 0.0 {
                ring.clear();
                return;
            }
            if cross(a, b, lowest) >= 0.0 {
                continue;
            }
            clip(ring, spare, |p| cross(a, b, p), between);
            std::mem::swap(ring, spare);
        }
    }
}

fn convex_parts(polygon: &Polygon<f64>) -> Vec<ConvexPart> {
    use geo::{IsConvex, Orient, orient::Direction};
    let polygon = polygon.orient(Direction::Default);
    if polygon.interiors().is_empty() && polygon.exterior().is_convex() {
        return part(open(polygon.exterior()), 1.0).into_iter().collect();
    }
    let triangles = polygon.earcut_triangles().into_iter().map(|t| {
        let corners = t.to_polygon().orient(Direction::Default);
        corners.exterior().0.iter().skip(1).copied().collect::<Vec<_>>()
    });
    let triangles = triangles.filter(|t| t.len() == 3).collect();
    let ring = |ring: Vec<Coord<f64>>| part(ring.iter().map(|c| [c.x, c.y]).collect(), 1.0);
    joined(triangles).into_iter().filter_map(ring).collect()
}

/// The hull of a polygon less what lies between hull and border, taken apart in the same way:
/// of a cover that is swept, whose near border is a long arc, two rings instead of a part for
/// each side of the arc. `None` where that has no fewer corners than stated, or where a border
/// that touches itself is none.
fn hull_less_pockets(polygon: &Polygon<f64>, max_corners: usize) -> Option<Vec<ConvexPart>> {
    use geo::{Orient, orient::Direction};
    let polygon = polygon.orient(Direction::Default);
    let area = polygon.unsigned_area();
    let mut parts = Vec::new();
    let limits = (MIN_POCKET * area, max_corners);
    add_hull(&open(polygon.exterior()), 1.0, limits, &mut parts)?;
    for hole in polygon.interiors() {
        let hole: Ring = open(hole).into_iter().rev().collect();
        add_hull(&hole, -1.0, limits, &mut parts)?;
    }
    let sum: f64 = parts.iter().map(|part| part.sign * signed_area(&part.corners)).sum();
    ((sum - area).abs() <= MAX_POCKETS_OFF * area).then_some(parts)
}

fn add_hull(
    ring: &[P2],
    sign: f64,
    (min_area, max_corners): (f64, usize),
    parts: &mut Vec<ConvexPart>,
) -> Option<()> {
    let mut hull = Vec::new();
    convex_hull(&mut ring.to_vec(), &mut hull);
    let Some(&first) = hull.first() else { return Some(()) };
    let start = ring.iter().position(|p| *p == first)?;
    // the border once around, from a corner of the hull to the same
    let border: Ring = ring.iter().cycle().skip(start).take(ring.len() + 1).copied().collect();
    let ends: Ring = hull.iter().skip(1).copied().collect();
    parts.extend(part(hull, sign));
    if corners(parts) >= max_corners {
        return None;
    }
    let mut from = 0;
    for end in ends.into_iter().chain([first]) {
        let to = from + 1 + border.get(from + 1..)?.iter().position(|p| *p == end)?;
        let pocket: Ring = border.get(from..=to)?.iter().rev().copied().collect();
        if signed_area(&pocket) > min_area {
            add_hull(&pocket, -sign, (min_area, max_corners), parts)?;
        }
        from = to;
    }
    Some(())
}

fn corners(parts: &[ConvexPart]) -> usize {
    parts.iter().map(|part| part.corners.len()).sum()
}

/// A ring without its closing corner.
fn open(ring: &geo::LineString<f64>) -> Ring {
    ring.0.iter().skip(1).map(|c| [c.x, c.y]).collect()
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

fn part(corners: Ring, sign: f64) -> Option<ConvexPart> {
    let bounds = Box2::around(corners.iter().copied())?;
    (signed_area(&corners) > 0.0).then_some(ConvexPart { corners, bounds, sign })
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::orient::Direction;
    use geo::{BooleanOps, Orient, polygon};

    /// An L is two convex parts; a ring of twelve sides with a square hole is two, as is a fan
    /// whose near border is an arc of 40 sides. Overlaps stay those of a general overlay.
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
        let arc = (0..=40).map(|i| {
            let (sin, cos) = (f64::from(i) * 0.05 - 1.0).sin_cos();
            Coord { x: 8.0 * cos - 6.0, y: 4.0 * sin }
        });
        let far = [Coord { x: 5.0, y: 3.5 }, Coord { x: 5.0, y: -3.5 }];
        let fan = Polygon::new(arc.chain(far).collect(), Vec::new());
        for (region, most) in [(l, 2), (ring, 2), (fan, 2)] {
            let prepared = Region::new(&region.clone().into());
            assert!(prepared.parts.len() <= most, "{} parts", prepared.parts.len());
            let area: f64 = prepared.parts.iter().map(|p| p.sign * signed_area(&p.corners)).sum();
            assert!((area - region.unsigned_area()).abs() < 1e-9);
            let overlay = region.intersection(&shade).unsigned_area();
            let overlap = prepared.overlap_m2(&shade.clone().into());
            assert!((overlap - overlay).abs() < 1e-6, "{overlap} against {overlay}");
        }
    }

    /// A shadow far larger than a region, with a hole that lies in it, beside it or around it:
    /// what fills the box of a part takes all of it, either way round.
    #[test]
    fn a_shadow_around_a_region_takes_all_but_its_holes() {
        let ring = |radius: f64, sides: u32| -> Vec<Coord<f64>> {
            let turn = |i: u32| f64::from(i) * std::f64::consts::TAU / f64::from(sides);
            let at = |i| Coord { x: radius * turn(i).cos() + 1.0, y: radius * turn(i).sin() };
            (0..sides).map(at).collect()
        };
        let region = MultiPolygon(vec![Polygon::new(ring(9.0, 48).into(), Vec::new())]);
        let prepared = Region::new(&region);
        let (whole, near, far) = (region.unsigned_area(), ring(2.0, 5), ring(20.0, 31));
        let beside: Vec<Coord<f64>> = near.iter().map(|c| Coord { x: c.x + 14.0, ..*c }).collect();
        for (hole, left) in [
            (Vec::new(), whole),
            (beside, whole),
            (near.clone(), whole - Polygon::new(near.into(), Vec::new()).unsigned_area()),
            (far, 0.0),
        ] {
            let shade = Polygon::new(ring(60.0, 70).into(), vec![hole.into()]);
            for shade in
                [shade.clone().orient(Direction::Default), shade.orient(Direction::Reversed)]
            {
                let mut pieces = 0.0;
                let piece = |ring: &[P2], times: f64| pieces += times * signed_area(ring);
                let overlap = prepared.each_overlap(&shade.into(), piece);
                assert!((overlap - left).abs() < 1e-9, "{overlap} against {left}");
                assert!((pieces.abs() - left).abs() < 1e-9, "{pieces} against {left}");
            }
        }
    }
}
