//! Where ground lies over itself on the level plane: hills that shade the ground behind them.
//!
//! In: the ground, the sun, what stands. Out: rings in plan that are in shade, of the ground's
//! own and of bodies, over all facets that others lie over or under; and the borders of those
//! facets on the level plane, so that they can be taken out there.
//!
//! A facet that is turned away from the sun shades what lies on the same place of the level
//! plane and under it, which is a half-plane there, since both are flat. Bodies shade a facet
//! with the part of them over its plane. Where no side between a facet that faces the sun and one
//! that is turned away is laid across a facet, the same sheets of ground lie over all of it: it is
//! dark whole or not at all, and of dark ones only their common border counts. At the height of a face the ground that shades lies
//! lower than what is cast on, and what is turned away may be in the sun.

use glam::DVec3;

use super::index::Index;
use super::net::{Facet, ReliefNet};
use super::{MAX_STRETCH, Sunward};
use crate::base::plane::{P2, between, clip, cross, signed_area};
use crate::base::units::Transmittance;
use crate::geometry::hull::{Box2, grown};

/// Facets that share less of the level plane only touch, as a part of the smaller one's area.
const TOUCH: f64 = 1e-9;
/// Facets turned less toward the sun are dark: the beam runs along them.
const EDGE_ON: f64 = 1e-9;
/// Rings are left to reach so far beyond a facet, metres: cut at its sides before they are joined
/// they would lie along each other there.
const ROOM_M: f64 = 1.0;
/// Sides laid no farther than this within a facet do not cross it, metres.
const INSET_M: f64 = 1e-7;

/// A face of a body, for facets that are worked out one by one.
#[derive(Debug, Clone)]
pub(in crate::geometry) struct BodyFace {
    /// Field axes; heights as those of the ground.
    pub ring: Vec<DVec3>,
    pub normal: DVec3,
    /// Counts when turned toward the sun only.
    pub is_outer: bool,
    /// Which transmittance; `None` for what is opaque.
    pub tint: Option<usize>,
}

/// What is worked out one by one at an instant.
#[derive(Debug, Default)]
pub(in crate::geometry) struct Folds {
    /// Facets that are taken out of the level plane.
    pub taken: Vec<u32>,
    /// Borders of all others there, clockwise around those, less the clearance.
    pub open_borders: Vec<Vec<P2>>,
    /// In plan: borders of what the ground keeps dark whole, with the margin.
    pub dark_borders: Vec<Vec<P2>>,
    /// Facets that are in shade in part.
    pub shaded: Vec<ShadedFacet>,
}

/// Shade on one facet, in plan: rings that reach beyond it.
#[derive(Debug)]
pub(in crate::geometry) struct ShadedFacet {
    /// What they end at: the facet with the margin.
    pub outline: Vec<P2>,
    /// Of the ground, holes among them.
    pub ground: Vec<Vec<P2>>,
    /// Of opaque bodies, each a thing of its own.
    pub bodies: Vec<Vec<P2>>,
    /// Of other bodies, by transmittance.
    pub dimmed: Vec<(usize, Vec<P2>)>,
}

/// Where to look.
pub(in crate::geometry) struct Within<'a> {
    /// Of the plan.
    pub window: &'a Box2,
    /// Of the level plane.
    pub reach: &'a Box2,
    /// Toward the sun, unit vector in field axes.
    pub toward_sun: DVec3,
    /// What is cast on lies so far over the ground, metres.
    pub lift_m: f64,
    /// Shade reaches so far beyond the facets it lies on, metres, so that neighbours leave no
    /// slit: some cells of the grid.
    pub margin_m: f64,
    /// So far around them facets are taken out of the level plane, metres.
    pub clearance_m: f64,
    /// What each tint lets through of this sun.
    pub passes: &'a [Transmittance],
}

/// A facet as it is laid on the level plane, and in plan.
struct Laid<'a> {
    index: u32,
    facet: &'a Facet,
    turned: f64,
    on_level: [P2; 3],
    in_plan: [P2; 3],
}

impl Laid<'_> {
    fn is_away(&self) -> bool {
        self.turned <= EDGE_ON
    }

    /// On the level plane, anticlockwise.
    fn ring(&self, by: P2) -> [P2; 3] {
        let [a, b, c] = self.on_level.map(|q| [q[0] + by[0], q[1] + by[1]]);
        if self.turned < 0.0 { [a, c, b] } else { [a, b, c] }
    }
}

impl Folds {
    /// Whether every facet faces the sun and lies free.
    pub fn are_none(&self) -> bool {
        self.taken.is_empty() && self.shaded.is_empty() && self.dark_borders.is_empty()
    }

    /// Nothing where every facet faces the sun squarely enough.
    pub fn of(net: &ReliefNet, faces: &[BodyFace], along: &Sunward, within: &Within) -> Self {
        let mut folds = Self::default();
        // a slope of s under a run of r is turned by 1 - r s at least
        if net.steepness(along.0) * (1.0 + MAX_STRETCH) < MAX_STRETCH {
            return folds;
        }
        // the ground itself lies lower than what is cast on
        let lower = along.0.map(|run| run * within.lift_m);
        let mut wide = *within.reach;
        (0..2).for_each(|i| {
            wide.min[i] -= lower[i].abs() + ROOM_M;
            wide.max[i] += lower[i].abs() + ROOM_M;
        });
        let laid = |(index, facet)| Laid {
            index: index as u32,
            facet,
            turned: along.turned(facet),
            on_level: facet.corners.map(|c| along.of(net.points[c as usize])),
            in_plan: net.triangle(facet),
        };
        let near = |laid: &Laid| Box2::around(laid.on_level).is_some_and(|b| b.overlaps(&wide));
        let facets = net.facets.iter().enumerate().filter(|(_, facet)| !facet.is_line);
        let all: Vec<Laid> = facets.map(laid).filter(near).collect();
        let away: Vec<&Laid> = all.iter().filter(|laid| laid.is_away()).collect();
        let raised: Vec<[P2; 3]> = away.iter().map(|laid| laid.ring([0.0; 2])).collect();
        let of_raised = Index::over(&wide, raised.iter().map(|ring| &ring[..]));
        let sheets = Sheets::of(net, (along, within), away, (lower, &wide));
        let (mut shaded, mut dark, mut open) = (Vec::new(), Vec::new(), Vec::new());
        for laid in &all {
            let ring = laid.ring([0.0; 2]);
            let steep = || along.stretch(laid.facet).is_none_or(|stretch| stretch > MAX_STRETCH);
            let lies_over = || {
                let mut near = of_raised.near(&ring);
                near.any(|i| shared(&ring, &raised[i]).is_some())
            };
            let meets = laid.is_away() || steep() || lies_over();
            if meets { &mut folds.taken } else { &mut open }.push(laid.index);
            if !Box2::around(laid.in_plan).is_some_and(|b| b.overlaps(within.window)) {
                continue;
            }
            let is_dark = within.lift_m <= 0.0 && laid.is_away();
            match if is_dark { None } else { sheets.shade(laid, &ring) } {
                None => dark.push(laid.index),
                Some(parts) if meets || !parts.is_empty() => shaded.push((laid, meets, parts)),
                Some(_) => {}
            }
        }
        let plan = |corner: u32| net.plan(corner);
        let level = |corner: u32| along.of(net.points[corner as usize]);
        let around = |rings: Vec<Vec<u32>>, place: &dyn Fn(u32) -> P2, by: f64| -> Vec<Vec<P2>> {
            let ring = |ring: Vec<u32>| grown(&ring.into_iter().map(place).collect::<Vec<_>>(), by);
            rings.into_iter().map(ring).collect()
        };
        folds.dark_borders = around(net.borders(&dark), &plan, within.margin_m);
        if !folds.taken.is_empty() {
            // they lie nowhere over each other, whatever the others do
            let mut borders = net.borders(&open);
            borders.iter_mut().for_each(|ring| ring.reverse());
            folds.open_borders = around(borders, &level, within.clearance_m);
        }
        folds.shaded = shaded_facets(shaded, faces, along, within);
        folds
    }
}

/// Adds the shade of bodies to that of the ground, on facets that are taken out of the level
/// plane.
fn shaded_facets(
    facets: Vec<(&Laid, bool, Vec<Vec<P2>>)>,
    faces: &[BodyFace],
    along: &Sunward,
    within: &Within,
) -> Vec<ShadedFacet> {
    let counts = |face: &&BodyFace| {
        let facing = face.normal.dot(within.toward_sun);
        facing > 0.0 || (!face.is_outer && facing < 0.0)
    };
    let laid = |face: &BodyFace| face.ring.iter().map(|p| along.of(*p)).collect::<Vec<P2>>();
    let faces: Vec<(&BodyFace, Vec<P2>)> = match facets.iter().any(|(_, is_taken, _)| *is_taken) {
        true => faces.iter().filter(counts).map(|face| (face, laid(face))).collect(),
        false => Vec::new(),
    };
    let index = Index::over(within.reach, faces.iter().map(|(_, ring)| &ring[..]));
    let cut = |a: DVec3, b: DVec3, share: f64| a + share * (b - a);
    let mut over = Vec::new();
    let mut shaded = |(laid, is_taken, ground): (&Laid, bool, Vec<Vec<P2>>)| {
        let facet = laid.facet;
        let (mut bodies, mut dimmed) = (Vec::new(), Vec::new());
        let near = is_taken.then(|| index.near(&laid.on_level));
        for (face, _) in near.into_iter().flatten().map(|i| &faces[i]) {
            let height = |p: DVec3| p.z - along.height_m(facet, along.of(p));
            clip(&face.ring, &mut over, height, cut);
            let ring = over.iter().map(|p| along.back(facet, along.of(*p))).collect();
            let Some(ring) = near_facet(ring, &laid.in_plan) else { continue };
            // a lattice that is shut for this sun is opaque
            match face.tint.filter(|tint| !within.passes[*tint].is_opaque()) {
                None => bodies.push(ring),
                Some(tint) => dimmed.push((tint, ring)),
            }
        }
        let outline = widened(&laid.in_plan, within.margin_m);
        let is_shaded = [&ground, &bodies].iter().any(|rings| !rings.is_empty());
        (is_shaded || !dimmed.is_empty()).then_some(ShadedFacet { outline, ground, bodies, dimmed })
    };
    facets.into_iter().filter_map(&mut shaded).collect()
}

/// The part of a ring in the box around a triangle with room, anticlockwise.
fn near_facet(mut ring: Vec<P2>, triangle: &[P2; 3]) -> Option<Vec<P2>> {
    let Box2 { min, max } = Box2::around(*triangle)?;
    let room = Box2 { min: min.map(|v| v - ROOM_M), max: max.map(|v| v + ROOM_M) };
    room.clip(&mut ring, &mut Vec::new());
    if signed_area(&ring) < 0.0 {
        ring.reverse();
    }
    (ring.len() > 2).then_some(ring)
}

/// Facets turned away from the sun, over what they shade.
struct Sheets<'a> {
    net: &'a ReliefNet,
    along: &'a Sunward,
    lower: P2,
    within: &'a Within<'a>,
    away: Vec<&'a Laid<'a>>,
    /// Where the ground itself lies on the level plane, anticlockwise.
    laid: Vec<[P2; 3]>,
    of_laid: Index,
    /// Their sides beside what faces the sun, there.
    rims: Vec<[P2; 2]>,
    of_rims: Index,
}

impl<'a> Sheets<'a> {
    fn of(
        net: &'a ReliefNet,
        (along, within): (&'a Sunward, &'a Within<'a>),
        away: Vec<&'a Laid<'a>>,
        (lower, wide): (P2, &Box2),
    ) -> Self {
        let laid: Vec<[P2; 3]> = away.iter().map(|laid| laid.ring(lower)).collect();
        let goes_on = |facet: u32| {
            let beside = net.facets.get(facet as usize);
            beside.is_some_and(|f| !f.is_line && along.turned(f) <= EDGE_ON)
        };
        let mut rims = Vec::new();
        for one in &away {
            let corners = one.on_level.map(|q| [q[0] + lower[0], q[1] + lower[1]]);
            let open = (0..3).filter(|side| !goes_on(one.facet.beside[*side]));
            rims.extend(open.map(|side| [corners[side], corners[(side + 1) % 3]]));
        }
        let of_laid = Index::over(wide, laid.iter().map(|ring| &ring[..]));
        let of_rims = Index::over(wide, rims.iter().map(|rim| &rim[..]));
        Self { net, along, lower, within, away, laid, of_laid, rims, of_rims }
    }

    /// What they keep dark of a facet, in plan; `None` for all of it.
    fn shade(&self, laid: &Laid, ring: &[P2; 3]) -> Option<Vec<Vec<P2>>> {
        let over = |i: usize, q: P2| {
            (self.away[i].facet.height_m(q) - self.within.lift_m) / self.away[i].turned
                - self.along.height_m(laid.facet, q)
                > 0.0
        };
        if !self.of_rims.near(ring).any(|i| crosses(self.rims[i], ring)) {
            let middle = middle(ring);
            let is_in = |[a, b, c]: [P2; 3]| {
                [(a, b), (b, c), (c, a)].into_iter().all(|(a, b)| cross(a, b, middle) >= 0.0)
            };
            let mut near = self.of_laid.near(ring);
            let is_dark = near.any(|i| is_in(self.laid[i]) && over(i, middle));
            return (!is_dark).then(Vec::new);
        }
        // two facets meet nowhere else than along what they share, so one lies over the other
        // wherever both are laid
        let lies_over = |i: &usize| {
            shared(ring, &self.laid[*i]).is_some_and(|shared| over(*i, middle(&shared)))
        };
        let near = self.of_laid.near(ring).filter(lies_over);
        let facets: Vec<u32> = near.map(|i| self.away[i].index).collect();
        let Box2 { min, max } = Box2::around(*ring)?;
        let room = Box2 { min: min.map(|v| v - ROOM_M), max: max.map(|v| v + ROOM_M) };
        let (turned, mut spare) = (self.along.turned(laid.facet) < 0.0, Vec::new());
        let in_plan = |mut border: Vec<u32>| {
            // laid the other way round, unless this one is as well
            if !turned {
                border.reverse();
            }
            let at = |corner: u32| {
                let q = self.along.of(self.net.points[corner as usize]);
                [q[0] + self.lower[0], q[1] + self.lower[1]]
            };
            let corners: Vec<P2> = border.into_iter().map(at).collect();
            let by = if turned { -self.within.margin_m } else { self.within.margin_m };
            let mut ring = grown(&corners, by);
            room.clip(&mut ring, &mut spare);
            ring.iter_mut().for_each(|q| *q = self.along.back(laid.facet, *q));
            ring
        };
        let rings = self.net.borders(&facets).into_iter().map(in_plan);
        Some(rings.filter(|ring| ring.len() > 2).collect())
    }
}

fn middle(ring: &[P2]) -> P2 {
    [0, 1].map(|axis| ring.iter().map(|q| q[axis]).sum::<f64>() / ring.len() as f64)
}

/// Whether a line lies within a triangle, anticlockwise, farther than on its sides.
fn crosses([from, to]: [P2; 2], triangle: &[P2; 3]) -> bool {
    let mut part = [0.0_f64, 1.0];
    for (a, b) in triangle.iter().zip(triangle.iter().cycle().skip(1)) {
        let inset = INSET_M * (b[0] - a[0]).hypot(b[1] - a[1]);
        let [first, last] = [from, to].map(|p| cross(*a, *b, p) - inset);
        match (first < 0.0, last < 0.0) {
            (true, true) => return false,
            (true, false) => part[0] = part[0].max(first / (first - last)),
            (false, true) => part[1] = part[1].min(first / (first - last)),
            (false, false) => {}
        }
    }
    part[0] < part[1]
}

/// A triangle and so much around it, in the box around it.
fn widened(triangle: &[P2; 3], margin_m: f64) -> Vec<P2> {
    let Some(Box2 { min, max }) = Box2::around(*triangle) else { return Vec::new() };
    let (min, max) = (min.map(|v| v - margin_m), max.map(|v| v + margin_m));
    let whole = vec![min, [max[0], min[1]], max, [min[0], max[1]]];
    within_margin(whole, triangle, margin_m)
}

/// What a triangle shares with another, more than touching it.
fn shared(triangle: &[P2; 3], other: &[P2; 3]) -> Option<Vec<P2>> {
    let shared = within_margin(triangle.to_vec(), other, 0.0);
    let smaller = signed_area(triangle).min(signed_area(other));
    (signed_area(&shared) > TOUCH * smaller).then_some(shared)
}

fn within_margin(mut ring: Vec<P2>, triangle: &[P2; 3], margin_m: f64) -> Vec<P2> {
    let mut kept = Vec::new();
    for (a, b) in triangle.iter().zip(triangle.iter().cycle().skip(1)) {
        let wider = margin_m * (b[0] - a[0]).hypot(b[1] - a[1]);
        clip(&ring, &mut kept, |p| cross(*a, *b, p) + wider, between);
        std::mem::swap(&mut ring, &mut kept);
    }
    ring
}
