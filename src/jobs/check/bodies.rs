//! Suspicions about what stands at a venue.

use std::cell::OnceCell;
use std::collections::HashMap;

use chrono::NaiveDate;
use geo::{
    Area, BooleanOps, BoundingRect, Centroid, ConvexHull, Coord, LineString, MultiPoint, Point,
    Polygon, Rect,
};
use glam::DVec3;

use crate::base::plane::{P2, within_convex};
use crate::base::units::Transmittance;
use crate::geometry::Obstacle;
use crate::venue::{Body, Occluder, OccluderKind, Part, Passes, Shape, Sport, Venue};

use super::Suspicion;

/// Room over the back row for someone who stands, metres (common practice, no
/// source).
pub const HEADROOM_M: f64 = 2.0;
/// Over the field by less than this is a gutter or rounding, m2.
const OVER_FIELD_M2: f64 = 0.5;
/// Two things that share less than this touch, m2 ...
const OVERLAP_M2: f64 = 1.0;
/// ... and so much of their height, metres.
const OVERLAP_UP_M: f64 = 0.1;
/// Pairs of things in one place that are listed; then the search ends.
const MAX_OVERLAPS: usize = 200;
/// Pairs of bodies that are looked at closely; then it ends as well.
const MAX_COMPARED: usize = 500_000;
/// A solid that begins lower than this stands on the ground, metres.
const STANDS_M: f64 = 0.3;
/// What moves and lies over the field so high is a roof, metres; lower it would hang into play.
const LEAF_HIGH_M: f64 = 10.0;
/// What is so near beside a solid may hold it, metres.
const HELD_WITHIN_M: f64 = 1.0;
/// From here rays go up and down, metres.
const FAR_M: f64 = 5000.0;

pub(super) fn suspicions(venue: &Venue, date: NaiveDate) -> Vec<Suspicion> {
    let plans = plans(venue);
    let mut by_thing: Vec<Vec<&Plan>> = vec![Vec::new(); venue.occluders.len()];
    for plan in &plans {
        if let Some(own) = by_thing.get_mut(plan.thing) {
            own.push(plan);
        }
    }
    let mut found = Vec::new();
    for ((thing, occluder), own) in venue.occluders.iter().enumerate().zip(&by_thing) {
        found.extend(low_roof(thing, occluder));
        found.extend(over_field(thing, occluder, own, venue));
        found.extend(floating((thing, occluder), own, &plans, venue));
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
    own: &[&Plan],
    venue: &Venue,
) -> Option<Suspicion> {
    // of golf it is all that is mown, where trees and masts may stand
    if venue.field.sport == Sport::Golf
        && matches!(occluder.kind, OccluderKind::Tree | OccluderKind::Solid)
    {
        return None;
    }
    let field = &venue.field.outline;
    let bounds = field.bounding_rect()?;
    let over = own.iter().filter(|plan| meet(&plan.bounds, &bounds, 0.0)).filter_map(|plan| {
        let area = plan.outline.intersection(field).unsigned_area();
        (area > 0.0).then_some((area, plan.low))
    });
    let (area_m2, lowest_m) =
        over.fold((0.0, f64::MAX), |(area, low), (a, l)| (area + a, f64::min(low, l)));
    // a leaf of a roof is made to lie over the field
    let moves = venue.changes.moving.iter().flat_map(|moving| &moving.states);
    let moves = moves.flat_map(|state| &state.parts).any(|(part, _)| *part == thing);
    if area_m2 < OVER_FIELD_M2 || (moves && lowest_m >= LEAF_HIGH_M) {
        return None;
    }
    Some(match occluder.kind {
        OccluderKind::Tree => Suspicion::CrownOverField { thing, area_m2, lowest_m },
        _ => Suspicion::OverField { thing, area_m2, lowest_m },
    })
}

/// Whether two boxes meet, or come within `by` of that, metres.
fn meet(a: &Rect<f64>, b: &Rect<f64>, by: f64) -> bool {
    a.min().x - by <= b.max().x
        && b.min().x - by <= a.max().x
        && a.min().y - by <= b.max().y
        && b.min().y - by <= a.max().y
}

/// A solid in the air that has nothing under it or beside it.
fn floating(
    (thing, occluder): (usize, &Occluder),
    own: &[&Plan],
    plans: &[Plan],
    venue: &Venue,
) -> Option<Suspicion> {
    if occluder.kind != OccluderKind::Solid {
        return None;
    }
    let over_ground = |plan: &&Plan| {
        let ground = plan.outline.exterior().coords().map(|c| venue.ground_m(c.x, c.y));
        plan.low - ground.fold(f64::NEG_INFINITY, f64::max)
    };
    let bottom_m = own.iter().map(over_ground).min_by(f64::total_cmp)?;
    if bottom_m < STANDS_M {
        return None;
    }
    let mut others = plans.iter().filter(|plan| plan.thing != thing);
    let held = others.any(|o| own.iter().any(|p| meet(&p.bounds, &o.bounds, HELD_WITHIN_M)));
    (!held).then_some(Suspicion::Floating { thing, bottom_m })
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

/// A body that fills its place.
struct Filled<'v> {
    plan: &'v Plan,
    body: &'v Body,
    /// For heights, once somebody asks.
    obstacle: OnceCell<Option<Obstacle>>,
}

/// Pairs of different things that fill the same place, as far as they are listed.
fn overlaps(venue: &Venue, plans: &[Plan], date: NaiveDate) -> Vec<Suspicion> {
    let filled = plans.iter().filter_map(|plan| {
        let body = venue.occluders.get(plan.thing)?.bodies.get(plan.body)?;
        let fills = !matches!(body.shape, Shape::Sheet { .. });
        (fills && body.passes.on(date).is_opaque()).then_some(Filled {
            plan,
            body,
            obstacle: OnceCell::new(),
        })
    });
    let filled: Vec<Filled<'_>> = filled.collect();
    let mut pairs = Pairs::default();
    'all: for (i, one) in filled.iter().enumerate() {
        let a = one.plan;
        // from west to east: nothing beyond the first that begins behind this one's end
        let near = filled[i + 1..].iter();
        let near = near.take_while(|other| other.plan.bounds.min().x <= a.bounds.max().x);
        for other in near {
            let b = other.plan;
            let apart = !meet(&a.bounds, &b.bounds, 0.0) || a.low.max(b.low) >= a.high.min(b.high);
            if a.thing == b.thing || apart {
                continue;
            }
            if pairs.is_full() {
                pairs.ended = true;
                break 'all;
            }
            pairs.add([a.thing.min(b.thing), a.thing.max(b.thing)], shared_m2(one, other));
        }
    }
    pairs.suspicions()
}

/// Pairs of things and the area that they share, m2, in the order in which they are met.
#[derive(Default)]
struct Pairs {
    areas: Vec<([usize; 2], f64)>,
    index: HashMap<[usize; 2], usize>,
    compared: usize,
    large: usize,
    /// Whether some were not looked at.
    ended: bool,
}

impl Pairs {
    fn is_full(&self) -> bool {
        self.large >= MAX_OVERLAPS || self.compared >= MAX_COMPARED
    }

    fn add(&mut self, things: [usize; 2], area_m2: f64) {
        self.compared += 1;
        let place = *self.index.entry(things).or_insert_with(|| {
            self.areas.push((things, 0.0));
            self.areas.len() - 1
        });
        if let Some((_, sum)) = self.areas.get_mut(place) {
            let before = *sum;
            *sum += area_m2;
            self.large += usize::from(before < OVERLAP_M2 && *sum >= OVERLAP_M2);
        }
    }

    fn suspicions(self) -> Vec<Suspicion> {
        let large = self.areas.into_iter().filter(|(_, area)| *area >= OVERLAP_M2);
        let mut found: Vec<Suspicion> =
            large.map(|(things, area_m2)| Suspicion::Overlap { things, area_m2 }).collect();
        if self.ended {
            found.push(Suspicion::MoreOverlaps { listed: found.len() });
        }
        found
    }
}

/// Area from above where two bodies also share heights.
fn shared_m2(a: &Filled<'_>, b: &Filled<'_>) -> f64 {
    let pieces = common(a, b).into_iter().map(|piece| {
        let Some(middle) = piece.centroid() else { return 0.0 };
        match [a, b].map(|filled| filled.heights_at(middle.0)) {
            [Some(a), Some(b)] if a[1].min(b[1]) - a[0].max(b[0]) > OVERLAP_UP_M => {
                piece.unsigned_area()
            }
            _ => 0.0,
        }
    });
    pieces.sum()
}

/// What two bodies both cover from above.
fn common(a: &Filled<'_>, b: &Filled<'_>) -> Vec<Polygon<f64>> {
    let convex = [a, b].iter().all(|one| matches!(one.body.shape, Shape::Convex { .. }));
    if !convex {
        return a.plan.outline.intersection(&b.plan.outline).0;
    }
    let corners = |plan: &Plan| -> Vec<P2> {
        plan.outline.exterior().0.iter().skip(1).map(|c| [c.x, c.y]).collect()
    };
    let ring = within_convex(&corners(a.plan), &corners(b.plan));
    let ring: LineString<f64> = ring.into_iter().map(|[x, y]| Coord { x, y }).collect();
    if ring.0.len() < 3 { Vec::new() } else { vec![Polygon::new(ring, Vec::new())] }
}

impl Filled<'_> {
    /// Lowest and highest point over a place.
    fn heights_at(&self, at: Coord<f64>) -> Option<[f64; 2]> {
        let obstacle = || Obstacle::new(self.body, Transmittance::OPAQUE);
        let obstacle = self.obstacle.get_or_init(obstacle).as_ref()?;
        let met = |from_z: f64, toward: DVec3| {
            let from = DVec3::new(at.x, at.y, from_z);
            Some(from_z + toward.z * obstacle.met(from, toward)?.distance_m)
        };
        Some([met(-FAR_M, DVec3::Z)?, met(FAR_M, -DVec3::Z)?])
    }
}
