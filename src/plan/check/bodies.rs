//! Suspicions about what stands at a venue.

use chrono::NaiveDate;
use geo::{
    Area, BooleanOps, BoundingRect, Centroid, ConvexHull, Coord, LineString, MultiPoint, Point,
    Polygon, Rect,
};
use glam::DVec3;

use super::Suspicion;
use crate::geometry::Obstacle;
use crate::units::Transmittance;
use crate::venue::{Body, Occluder, OccluderKind, Part, Passes, Shape, Venue};

/// Room over the back row for someone who stands, metres (common practice, no
/// source).
pub const HEADROOM_M: f64 = 2.0;
/// Over the field by less than this is a gutter or rounding, m2.
const OVER_FIELD_M2: f64 = 0.5;
/// Two things that share less than this touch, m2 ...
const OVERLAP_M2: f64 = 1.0;
/// ... and so much of their height, metres.
const OVERLAP_UP_M: f64 = 0.1;
/// A solid that begins lower than this stands on the ground, metres.
const STANDS_M: f64 = 0.3;
/// What is so near beside a solid may hold it, metres.
const HELD_WITHIN_M: f64 = 1.0;
/// From here rays go up and down, metres.
const FAR_M: f64 = 5000.0;

pub(super) fn suspicions(venue: &Venue, date: NaiveDate) -> Vec<Suspicion> {
    let plans = plans(venue);
    let mut found = Vec::new();
    for (thing, occluder) in venue.occluders.iter().enumerate() {
        found.extend(low_roof(thing, occluder));
        found.extend(over_field(thing, occluder, &plans, venue));
        found.extend(floating(thing, occluder, &plans));
        found.extend(light(thing, occluder));
    }
    found.extend(overlaps(venue, &plans, date));
    found
}

/// More of a model than this under the ground is a slip of its place.
const UNDER_GROUND_SHARE: f64 = 0.5;

/// Sizes that few grounds have, and models under the ground.
pub(super) fn slips(venue: &Venue) -> Vec<Suspicion> {
    let sizes = venue.unusual.iter().map(|size| Suspicion::UnusualSize { size: size.clone() });
    let sunk = venue.meshes.iter().filter(|mesh| mesh.under_ground_share > UNDER_GROUND_SHARE);
    let sunk = sunk.map(|mesh| Suspicion::MeshUnderGround {
        name: mesh.name.clone(),
        share: mesh.under_ground_share,
        lowest_m: mesh.field_box[0].up_m,
    });
    sizes.chain(sunk).collect()
}

/// A body seen from above.
struct Plan {
    thing: usize,
    body: usize,
    outline: Polygon<f64>,
    bounds: Rect<f64>,
    /// Heights, metres.
    low: f64,
    high: f64,
}

/// All bodies that have an area from above, from west to east.
fn plans(venue: &Venue) -> Vec<Plan> {
    let bodies = venue.occluders.iter().enumerate().flat_map(|(thing, occluder)| {
        occluder.bodies.iter().enumerate().map(move |(i, body)| (thing, i, body))
    });
    let mut plans: Vec<Plan> = bodies.flat_map(|(t, i, body)| plans_of(t, i, body)).collect();
    plans.sort_by(|a, b| a.bounds.min().x.total_cmp(&b.bounds.min().x));
    plans
}

/// What a body covers from above; a mesh may cover several places.
fn plans_of(thing: usize, body: usize, of: &Body) -> Vec<Plan> {
    let points = of.shape.points();
    let flat = points.iter().map(|p| Coord { x: p.x, y: p.y });
    let outlines = match &of.shape {
        Shape::Sheet { .. } => vec![Polygon::new(flat.collect::<LineString<f64>>(), Vec::new())],
        Shape::Convex { .. } => {
            vec![flat.map(Point::from).collect::<MultiPoint<f64>>().convex_hull()]
        }
        Shape::Mesh(mesh) => mesh.plan().0.clone(),
    };
    let heights = points.iter().map(|p| p.z);
    let (low, high) = heights.fold((f64::MAX, f64::MIN), |(l, h), z| (l.min(z), h.max(z)));
    let plan = |outline: Polygon<f64>| {
        let bounds = outline.bounding_rect().filter(|_| outline.unsigned_area() >= 1e-3)?;
        Some(Plan { thing, body, outline, bounds, low, high })
    };
    outlines.into_iter().filter_map(plan).collect()
}

/// Room between the roof of a stand and its own deck, where it is least.
fn low_roof(thing: usize, occluder: &Occluder) -> Option<Suspicion> {
    let of = |part: Part| occluder.bodies.iter().filter(move |body| body.part == part);
    let decks: Vec<Obstacle> =
        of(Part::Deck).filter_map(|body| Obstacle::new(body, Transmittance::OPAQUE)).collect();
    let under = |from: DVec3| {
        let met = decks.iter().filter_map(|deck| Some(deck.met(from, -DVec3::Z)?.distance_m));
        met.min_by(f64::total_cmp)
    };
    let rooms = of(Part::Roof).flat_map(|roof| {
        let points = roof.shape.points();
        let middle = points.iter().sum::<DVec3>() / points.len().max(1) as f64;
        // a little inside, so that rays do not graze the ends of the deck
        points.iter().map(move |p| p.lerp(middle, 0.01)).chain([middle])
    });
    let headroom_m = rooms.filter_map(under).min_by(f64::total_cmp)?;
    (headroom_m < HEADROOM_M).then_some(Suspicion::LowRoof { thing, headroom_m })
}

fn over_field(
    thing: usize,
    occluder: &Occluder,
    plans: &[Plan],
    venue: &Venue,
) -> Option<Suspicion> {
    let field = &venue.field.outline;
    let over = plans.iter().filter(|plan| plan.thing == thing).filter_map(|plan| {
        let area = plan.outline.intersection(field).unsigned_area();
        (area > 0.0).then_some((area, plan.low))
    });
    let (area_m2, lowest_m) =
        over.fold((0.0, f64::MAX), |(area, low), (a, l)| (area + a, f64::min(low, l)));
    if area_m2 < OVER_FIELD_M2 {
        return None;
    }
    Some(match occluder.kind {
        OccluderKind::Tree => Suspicion::CrownOverField { thing, area_m2, lowest_m },
        _ => Suspicion::OverField { thing, area_m2, lowest_m },
    })
}

/// A solid in the air that has nothing under it or beside it.
fn floating(thing: usize, occluder: &Occluder, plans: &[Plan]) -> Option<Suspicion> {
    if occluder.kind != OccluderKind::Solid {
        return None;
    }
    let own: Vec<&Plan> = plans.iter().filter(|plan| plan.thing == thing).collect();
    let bottom_m = own.iter().map(|plan| plan.low).min_by(f64::total_cmp)?;
    if bottom_m < STANDS_M {
        return None;
    }
    let near = |a: &Rect<f64>, b: &Rect<f64>| {
        let by = HELD_WITHIN_M;
        a.min().x - by <= b.max().x
            && b.min().x - by <= a.max().x
            && a.min().y - by <= b.max().y
            && b.min().y - by <= a.max().y
    };
    let others = plans.iter().filter(|plan| plan.thing != thing);
    let mut held = others.filter(|o| own.iter().any(|p| near(&p.bounds, &o.bounds)));
    held.next().is_none().then_some(Suspicion::Floating { thing, bottom_m })
}

fn light(thing: usize, occluder: &Occluder) -> Option<Suspicion> {
    let clear = |t: Transmittance| t.share() >= 1.0;
    occluder.bodies.iter().find_map(|body| match &body.passes {
        Passes::Always(t) if clear(*t) => Some(Suspicion::StopsNothing { thing }),
        Passes::Leaves(l) if clear(l.in_leaf) && clear(l.bare) => {
            Some(Suspicion::StopsNothing { thing })
        }
        Passes::Leaves(l) if l.in_leaf > l.bare => Some(Suspicion::LeavesReversed { thing }),
        _ => None,
    })
}

/// Pairs of different things that fill the same place.
fn overlaps(venue: &Venue, plans: &[Plan], date: NaiveDate) -> Vec<Suspicion> {
    let solid: Vec<(&Plan, &Body)> = plans
        .iter()
        .filter_map(|plan| {
            let body = venue.occluders.get(plan.thing)?.bodies.get(plan.body)?;
            let filled = !matches!(body.shape, Shape::Sheet { .. });
            (filled && body.passes.on(date).is_opaque()).then_some((plan, body))
        })
        .collect();
    let mut shared: Vec<([usize; 2], f64)> = Vec::new();
    for (i, (a, body)) in solid.iter().enumerate() {
        // from west to east: nothing beyond the first that begins behind this one's end
        let near = solid[i + 1..].iter().take_while(|(b, _)| b.bounds.min().x <= a.bounds.max().x);
        for (b, other) in near {
            let pair = [a.thing.min(b.thing), a.thing.max(b.thing)];
            let beside = a.bounds.min().y > b.bounds.max().y || b.bounds.min().y > a.bounds.max().y;
            if pair[0] == pair[1] || beside || a.low.max(b.low) >= a.high.min(b.high) {
                continue;
            }
            let area = shared_m2((a, body), (b, other));
            match shared.iter_mut().find(|(p, _)| *p == pair) {
                Some((_, sum)) => *sum += area,
                None => shared.push((pair, area)),
            }
        }
    }
    let large = shared.into_iter().filter(|(_, area)| *area >= OVERLAP_M2);
    large.map(|(things, area_m2)| Suspicion::Overlap { things, area_m2 }).collect()
}

/// Area from above where two bodies also share heights.
fn shared_m2(a: (&Plan, &Body), b: (&Plan, &Body)) -> f64 {
    let common = a.0.outline.intersection(&b.0.outline);
    let pieces = common.iter().map(|piece| {
        let Some(middle) = piece.centroid() else { return 0.0 };
        let heights = [a.1, b.1].map(|body| heights_at(body, middle.0));
        match heights {
            [Some(a), Some(b)] if a[1].min(b[1]) - a[0].max(b[0]) > OVERLAP_UP_M => {
                piece.unsigned_area()
            }
            _ => 0.0,
        }
    });
    pieces.sum()
}

/// Lowest and highest point of a body over a place.
fn heights_at(body: &Body, at: Coord<f64>) -> Option<[f64; 2]> {
    let obstacle = Obstacle::new(body, Transmittance::OPAQUE)?;
    let met = |from_z: f64, toward: DVec3| {
        let from = DVec3::new(at.x, at.y, from_z);
        Some(from_z + toward.z * obstacle.met(from, toward)?.distance_m)
    };
    Some([met(-FAR_M, DVec3::Z)?, met(FAR_M, -DVec3::Z)?])
}
