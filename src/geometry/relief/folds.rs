//! Where ground lies over itself on the level plane: hills that shade the ground behind them.
//!
//! In: the ground, the sun, what stands. Out: rings in plan that are in shade, of the ground's
//! own and of bodies, over all facets that others lie over or under; and those facets as rings
//! on the level plane, so that they can be taken out there.
//!
//! A facet that is turned away from the sun shades what lies on the same place of the level
//! plane and under it, which is a half-plane there, since both are flat. Bodies shade a facet
//! with the part of them over its plane. At the height of a face the ground that shades lies
//! lower than what is cast on, and what is turned away may be in the sun.

use glam::DVec3;
use rustc_hash::FxHashMap;

use super::net::{Facet, ReliefNet};
use super::{MAX_STRETCH, Sunward};
use crate::base::plane::{P2, between, clip, cross, signed_area};
use crate::base::units::Transmittance;
use crate::geometry::hull::Box2;

/// Facets that share less of the level plane only touch, as a part of the smaller one's area.
const TOUCH: f64 = 1e-9;
/// Facets turned less toward the sun are dark: the beam runs along them.
const EDGE_ON: f64 = 1e-9;
/// Cells of an index, a side, at most.
const MAX_SIDE: f64 = 256.0;

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
    /// Facets that are taken out, and where they lie on the level plane, anticlockwise.
    pub taken: Vec<(u32, [P2; 3])>,
    /// In plan: shade of the ground on itself, and of opaque bodies.
    pub dark: Vec<Vec<P2>>,
    /// In plan: shade of other bodies, by transmittance.
    pub dimmed: Vec<(usize, Vec<P2>)>,
    /// The same with the margin, so that all that is shaded has no slits.
    pub veil: Vec<Vec<P2>>,
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
            wide.min[i] -= lower[i].abs();
            wide.max[i] += lower[i].abs();
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
        let ground: Vec<[P2; 3]> = away.iter().map(|laid| laid.ring(lower)).collect();
        let of_raised = Index::over(&wide, raised.iter().map(|ring| &ring[..]));
        let of_ground = Index::over(&wide, ground.iter().map(|ring| &ring[..]));
        let mut one_by_one = Vec::new();
        for laid in &all {
            let ring = laid.ring([0.0; 2]);
            let mut meets = laid.is_away()
                || along.stretch(laid.facet).is_none_or(|stretch| stretch > MAX_STRETCH);
            if !meets && !away.is_empty() {
                let touch = |i: usize| meets |= shared(&ring, &raised[i], 0.0).is_some();
                of_raised.near(&ring, touch);
            }
            if meets {
                folds.taken.push((laid.index, ring));
            }
            if !Box2::around(laid.in_plan).is_some_and(|b| b.overlaps(within.window)) {
                continue;
            }
            if within.lift_m <= 0.0 && laid.is_away() {
                folds.dark.push(widened(&laid.in_plan, within.margin_m));
                continue;
            }
            of_ground.near(&ring, |i| {
                let Some(shared) = shared(&ring, &ground[i], within.margin_m) else { return };
                let other = away[i];
                let over = |q: P2| {
                    (other.facet.height_m(q) - within.lift_m) / other.turned
                        - along.height_m(laid.facet, q)
                };
                let mut dark = Vec::new();
                clip(&shared, &mut dark, over, between);
                dark.iter_mut().for_each(|q| *q = along.back(laid.facet, *q));
                folds.dark.extend(on_facet(dark, &laid.in_plan, within.margin_m));
            });
            if meets {
                one_by_one.push(laid);
            }
        }
        folds.add_bodies(&one_by_one, faces, along, within);
        folds
    }

    /// Shade of bodies on facets.
    fn add_bodies(
        &mut self,
        facets: &[&Laid],
        faces: &[BodyFace],
        along: &Sunward,
        within: &Within,
    ) {
        let counts = |face: &&BodyFace| {
            let facing = face.normal.dot(within.toward_sun);
            facing > 0.0 || (!face.is_outer && facing < 0.0)
        };
        let laid = |face: &BodyFace| face.ring.iter().map(|p| along.of(*p)).collect::<Vec<P2>>();
        if facets.is_empty() {
            return;
        }
        let faces: Vec<(&BodyFace, Vec<P2>)> =
            faces.iter().filter(counts).map(|face| (face, laid(face))).collect();
        let index = Index::over(within.reach, faces.iter().map(|(_, ring)| &ring[..]));
        let cut = |a: DVec3, b: DVec3, share: f64| a + share * (b - a);
        let mut over = Vec::new();
        for Laid { facet, on_level, in_plan, .. } in facets {
            index.near(on_level, |i| {
                let (face, _) = &faces[i];
                let height = |p: DVec3| p.z - along.height_m(facet, along.of(p));
                clip(&face.ring, &mut over, height, cut);
                let ring: Vec<P2> = over.iter().map(|p| along.back(facet, along.of(*p))).collect();
                // a lattice that is shut for this sun is opaque
                let tint = face.tint.filter(|tint| !within.passes[*tint].is_opaque());
                let Some(tint) = tint else {
                    self.dark.extend(on_facet(ring, in_plan, within.margin_m));
                    return;
                };
                // what dims counts once on the line between two facets
                let dimmed = on_facet(ring.clone(), in_plan, 0.0);
                self.dimmed.extend(dimmed.map(|ring| (tint, ring)));
                self.veil.extend(on_facet(ring, in_plan, within.margin_m));
            });
        }
    }
}

/// The part of a ring on a facet and so far around it, anticlockwise.
fn on_facet(ring: Vec<P2>, facet: &[P2; 3], margin_m: f64) -> Option<Vec<P2>> {
    let mut ring = within_margin(ring, facet, margin_m);
    let area = signed_area(&ring);
    if area < 0.0 {
        ring.reverse();
    }
    (ring.len() > 2 && area != 0.0).then_some(ring)
}

/// A triangle and so much around it, in the box around it.
fn widened(triangle: &[P2; 3], margin_m: f64) -> Vec<P2> {
    let Some(Box2 { min, max }) = Box2::around(*triangle) else { return Vec::new() };
    let (min, max) = (min.map(|v| v - margin_m), max.map(|v| v + margin_m));
    let whole = vec![min, [max[0], min[1]], max, [min[0], max[1]]];
    within_margin(whole, triangle, margin_m)
}

/// What a triangle shares with another, where both reach a little farther.
fn shared(triangle: &[P2; 3], other: &[P2; 3], margin_m: f64) -> Option<Vec<P2>> {
    let exact = within_margin(triangle.to_vec(), other, 0.0);
    let smaller = signed_area(triangle).min(signed_area(other));
    (signed_area(&exact) > TOUCH * smaller)
        .then(|| within_margin(widened(triangle, margin_m), other, margin_m))
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

/// Rings of the level plane by the cells that their boxes meet.
struct Index {
    low: P2,
    cell: P2,
    side: usize,
    cells: FxHashMap<usize, Vec<u32>>,
}

impl Index {
    fn over<'a>(reach: &Box2, rings: impl ExactSizeIterator<Item = &'a [P2]>) -> Self {
        let side = (rings.len() as f64).sqrt().ceil().clamp(1.0, MAX_SIDE);
        let cell = [0, 1].map(|i| ((reach.max[i] - reach.min[i]) / side).max(f64::MIN_POSITIVE));
        let mut index =
            Self { low: reach.min, cell, side: side as usize, cells: FxHashMap::default() };
        for (number, ring) in rings.enumerate() {
            let Some(bounds) = Box2::around(ring.iter().copied()) else { continue };
            if bounds.overlaps(reach) {
                for cell in index.of(&bounds) {
                    index.cells.entry(cell).or_default().push(number as u32);
                }
            }
        }
        index
    }

    fn of(&self, bounds: &Box2) -> impl Iterator<Item = usize> + use<> {
        let place = |value: f64, axis: usize| {
            let place = ((value - self.low[axis]) / self.cell[axis]).max(0.0) as usize;
            place.min(self.side - 1)
        };
        let [left, right] = [bounds.min[0], bounds.max[0]].map(|x| place(x, 0));
        let [bottom, top] = [bounds.min[1], bounds.max[1]].map(|y| place(y, 1));
        let side = self.side;
        (bottom..=top).flat_map(move |row| (left..=right).map(move |column| row * side + column))
    }

    /// Hands out each ring near a triangle once.
    fn near(&self, triangle: &[P2; 3], mut take: impl FnMut(usize)) {
        let Some(bounds) = Box2::around(*triangle) else { return };
        let mut found: Vec<u32> =
            self.of(&bounds).filter_map(|cell| self.cells.get(&cell)).flatten().copied().collect();
        found.sort_unstable();
        found.dedup();
        found.into_iter().for_each(|i| take(i as usize));
    }
}
