//! Casts the shadow of a venue on one horizontal plane.
//!
//! In: a [`Venue`], a date (trees drop their leaves) and a height above the
//! field of play; then, per instant, a direction toward the sun. Out: a
//! [`Shadow`] in the local frame.
//!
//! Method: the part of every body above the plane is found once. Per instant a
//! point `p` at height `z` above the plane throws its shadow to
//! `p - z * (along, across) / up` of the sun's direction, that is
//! `z / tan(elevation)` away from the sun (any surveying handbook). The shadow
//! of a convex body is the hull of its points' shadows, that of a sheet is the
//! sheet's own ring. Each is clipped to the field's box, put on the grid, and
//! joined by the overlay.

use std::ops::Range;

use chrono::NaiveDate;
use geo::{Coord, MultiPolygon};
use glam::DVec3;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::i_shape::int::shape::IntShapes;

use super::hull::{Box2, P2, convex_hull, signed_area};
use super::overlay::{Desk, Grid, Operand};
use super::shadow::{Dimmed, Shadow};
use super::translucent::{Cell, dimmed_cells};
use crate::frame::{FieldFrame, FieldPoint};
use crate::units::Transmittance;
use crate::venue::{Body, Shape, Venue};

/// Under this sine of the elevation (2 seconds of arc) shadows are endless and
/// the plane counts as dark.
const LEAST_SINE: f64 = 1e-5;

/// All of a venue that can throw a shadow on one plane, prepared once.
#[derive(Debug, Clone)]
pub struct Caster {
    height_m: f64,
    frame: FieldFrame,
    grid: Grid,
    window: Box2,
    outline: Outline,
    field_area_m2: f64,
    whole_field: MultiPolygon<f64>,
    points: Vec<DVec3>,
    bodies: Vec<CastBody>,
    /// Distinct transmittances of translucent bodies, darkest first.
    tints: Vec<Transmittance>,
}

/// The field's outline on the grid.
#[derive(Debug, Clone)]
enum Outline {
    /// The box itself: clipping to the box is clipping to the field.
    Box,
    Ring(Vec<IntPoint>),
}

/// One body, cut at the plane; coordinates in field axes, heights above the plane.
#[derive(Debug, Clone)]
struct CastBody {
    points: Range<usize>,
    silhouette: Silhouette,
    footprint: Box2,
    lowest_m: f64,
    highest_m: f64,
    passes: Passing,
}

#[derive(Debug, Clone, Copy)]
enum Silhouette {
    Hull,
    Ring,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Passing {
    Nothing,
    /// Index into [`Caster::tints`].
    Tint(usize),
}

/// Scratch space for [`Caster::cast`], kept by the caller from instant to
/// instant so that nothing is allocated twice.
#[derive(Default)]
pub struct Workbench {
    pub(super) desk: Desk,
    flat: Vec<P2>,
    ring: Vec<P2>,
    spare: Vec<P2>,
    cast: Rings,
}

/// Clipped shadows of single bodies on the grid.
#[derive(Default)]
struct Rings {
    points: Vec<IntPoint>,
    rings: Vec<(Range<usize>, Passing)>,
    /// Sum of the areas of tinted rings, m2, and of their perimeters, m.
    tinted_area_m2: f64,
    tinted_perimeter_m: f64,
}

impl Rings {
    fn clear(&mut self) {
        self.points.clear();
        self.rings.clear();
        self.tinted_area_m2 = 0.0;
        self.tinted_perimeter_m = 0.0;
    }

    fn of(&self, passing: Passing) -> impl Iterator<Item = &[IntPoint]> {
        let wanted = move |(_, p): &&(Range<usize>, Passing)| *p == passing;
        self.rings
            .iter()
            .filter(wanted)
            .map(|(range, _)| &self.points[range.clone()])
    }
}

impl Caster {
    /// Prepares the bodies of a venue for the plane `height_m` above the field
    /// of play on a date.
    pub fn new(venue: &Venue, date: NaiveDate, height_m: f64) -> Self {
        let frame = venue.field.frame;
        let outline: Vec<P2> = venue
            .field
            .outline
            .exterior()
            .0
            .iter()
            .map(|c| plan_axes(frame, DVec3::new(c.x, c.y, 0.0)))
            .collect();
        let window = Box2::around(outline.iter().copied()).unwrap_or(Box2 {
            min: [0.0; 2],
            max: [0.0; 2],
        });
        let grid = Grid::over(window.min, window.max, frame);
        let ring: Vec<IntPoint> = outline.iter().skip(1).map(|&p| grid.snap(p)).collect();
        let whole = vec![vec![ring.clone()]];
        let mut caster = Self {
            height_m,
            frame,
            grid,
            window,
            field_area_m2: grid.area_m2(&whole).abs(),
            whole_field: MultiPolygon(vec![venue.field.outline.clone()]),
            outline: if fills_box(&grid, &ring, &window) {
                Outline::Box
            } else {
                Outline::Ring(ring)
            },
            points: Vec::new(),
            bodies: Vec::new(),
            tints: Vec::new(),
        };
        let bodies = || venue.occluders.iter().flat_map(|o| &o.bodies);
        for body in bodies() {
            let passes = body.passes.on(date);
            if !passes.is_opaque() && passes.share() < 1.0 && !caster.tints.contains(&passes) {
                caster.tints.push(passes);
            }
        }
        caster.tints.sort_by(|a, b| a.share().total_cmp(&b.share()));
        for body in bodies() {
            caster.take(body, body.passes.on(date));
        }
        caster
    }

    /// Area of the field of play, m2.
    pub fn field_area_m2(&self) -> f64 {
        self.field_area_m2
    }

    /// Height of the plane above the field of play, metres.
    pub fn height_m(&self) -> f64 {
        self.height_m
    }

    fn take(&mut self, body: &Body, passes: Transmittance) {
        let passes = if passes.is_opaque() {
            Passing::Nothing
        } else if let Some(tint) = self.tints.iter().position(|t| *t == passes) {
            Passing::Tint(tint)
        } else {
            return; // lets everything through
        };
        let (silhouette, cut) = match &body.shape {
            Shape::Convex { vertices, faces } => (
                Silhouette::Hull,
                convex_above(vertices, faces, self.height_m),
            ),
            Shape::Sheet { corners } => (Silhouette::Ring, ring_above(corners, self.height_m)),
        };
        let start = self.points.len();
        self.points.extend(cut.into_iter().map(|p| {
            let q = self.frame.to_field(p);
            DVec3::new(q.along_m, q.across_m, p.z - self.height_m)
        }));
        let points = &self.points[start..];
        let Some(footprint) = Box2::around(points.iter().map(|p| [p.x, p.y])) else {
            return;
        };
        let heights = || points.iter().map(|p| p.z);
        self.bodies.push(CastBody {
            points: start..self.points.len(),
            silhouette,
            footprint,
            lowest_m: heights().fold(f64::INFINITY, f64::min),
            highest_m: heights().fold(f64::NEG_INFINITY, f64::max),
            passes,
        });
    }

    /// The shadow under a sun in the direction `toward_sun` (unit vector, local
    /// frame). A sun at or under the horizon leaves the whole field in shade.
    pub fn cast(&self, toward_sun: DVec3, bench: &mut Workbench) -> Shadow {
        if toward_sun.z < LEAST_SINE || !toward_sun.is_finite() {
            return self.darkness();
        }
        let sun = self.frame.to_field(toward_sun);
        let run = [sun.along_m / sun.up_m, sun.across_m / sun.up_m];
        if let Reach::WholeField = self.project(run, bench) {
            return self.darkness();
        }
        if let Outline::Ring(outline) = &self.outline {
            trim_to_outline(bench, outline, self.tints.len());
        }
        if bench.cast.rings.iter().all(|(_, p)| *p == Passing::Nothing) {
            self.opaque_only(bench)
        } else {
            self.with_tints(bench)
        }
    }

    /// The shadow when no direct sun arrives at all.
    pub fn darkness(&self) -> Shadow {
        Shadow::everywhere(self.height_m, self.whole_field.clone(), self.field_area_m2)
    }

    /// Puts the clipped shadow of every body that reaches the field on the grid.
    fn project(&self, run: P2, bench: &mut Workbench) -> Reach {
        bench.cast.clear();
        let whole =
            (self.window.max[0] - self.window.min[0]) * (self.window.max[1] - self.window.min[1]);
        for body in self
            .bodies
            .iter()
            .filter(|b| b.reach(run).overlaps(&self.window))
        {
            let shadow_of = |p: &DVec3| [p.x - p.z * run[0], p.y - p.z * run[1]];
            let points = self.points[body.points.clone()].iter().map(shadow_of);
            bench.flat.clear();
            bench.flat.extend(points);
            match body.silhouette {
                Silhouette::Hull => convex_hull(&mut bench.flat, &mut bench.ring),
                Silhouette::Ring => std::mem::swap(&mut bench.flat, &mut bench.ring),
            }
            self.window.clip(&mut bench.ring, &mut bench.spare);
            let area = signed_area(&bench.ring);
            if area == 0.0 {
                continue;
            }
            if area < 0.0 {
                bench.ring.reverse();
            }
            if body.passes == Passing::Nothing && area.abs() >= whole {
                return Reach::WholeField;
            }
            let start = bench.cast.points.len();
            bench
                .cast
                .points
                .extend(bench.ring.iter().map(|&p| self.grid.snap(p)));
            bench
                .cast
                .rings
                .push((start..bench.cast.points.len(), body.passes));
            if body.passes != Passing::Nothing {
                bench.cast.tinted_area_m2 += area.abs();
                bench.cast.tinted_perimeter_m += perimeter(&bench.ring);
            }
        }
        Reach::Part
    }

    fn opaque_only(&self, bench: &mut Workbench) -> Shadow {
        let desk = bench.desk.clear();
        bench.cast.of(Passing::Nothing).for_each(|ring| {
            desk.add(ring, Operand::First);
        });
        let opaque = desk.shapes(OverlayRule::Subject);
        let polygons = self.grid.polygons(&opaque);
        Shadow {
            height_m: self.height_m,
            field_area_m2: self.field_area_m2,
            opaque_area_m2: self.grid.area_m2(&opaque),
            shaded: polygons.clone(),
            opaque: polygons,
            dimmed: Vec::new(),
        }
    }

    fn with_tints(&self, bench: &mut Workbench) -> Shadow {
        let desk = bench.desk.clear();
        for (range, passing) in &bench.cast.rings {
            let operand = if *passing == Passing::Nothing {
                Operand::Second
            } else {
                Operand::First
            };
            desk.add(&bench.cast.points[range.clone()], operand);
        }
        let [opaque, tinted, any_tint, shaded] = desk.several([
            OverlayRule::Clip,
            OverlayRule::Difference,
            OverlayRule::Subject,
            OverlayRule::Union,
        ]);
        // each corner moved by at most a cell when it was put on the grid
        let rounding_m2 = self.grid.cell_m() * bench.cast.tinted_perimeter_m;
        let doubled_m2 = bench.cast.tinted_area_m2 - self.grid.area_m2(&any_tint);
        let first_tint = bench.cast.rings.iter().find_map(|(_, p)| match p {
            Passing::Tint(tint) => Some(*tint),
            Passing::Nothing => None,
        });
        let same =
            |p: &Passing| *p == Passing::Nothing || Some(*p) == first_tint.map(Passing::Tint);
        let one_layer = doubled_m2 <= rounding_m2 && bench.cast.rings.iter().all(|(_, p)| same(p));
        let cells = match first_tint {
            Some(tint) if one_layer => vec![Cell {
                passes: self.tints[tint],
                shapes: tinted,
            }],
            _ => self.layered(bench, &opaque, rounding_m2),
        };
        Shadow {
            height_m: self.height_m,
            field_area_m2: self.field_area_m2,
            opaque_area_m2: self.grid.area_m2(&opaque),
            opaque: self.grid.polygons(&opaque),
            dimmed: cells
                .iter()
                .map(|cell| self.dimmed(cell))
                .filter(|dimmed| dimmed.area_m2 > rounding_m2)
                .collect(),
            shaded: self.grid.polygons(&shaded),
        }
    }

    /// Several tints, or one tint over itself: the product at each place.
    fn layered(&self, bench: &mut Workbench, opaque: &IntShapes, rounding_m2: f64) -> Vec<Cell> {
        let (min, max) = (
            self.grid.snap(self.window.min),
            self.grid.snap(self.window.max),
        );
        let frame = [
            min,
            IntPoint::new(max.x, min.y),
            max,
            IntPoint::new(min.x, max.y),
        ];
        let groups = self
            .tints
            .iter()
            .enumerate()
            .map(|(i, &passes)| (passes, bench.cast.of(Passing::Tint(i)).collect::<Vec<_>>()));
        dimmed_cells(
            &mut bench.desk,
            groups,
            opaque,
            &frame,
            &self.grid,
            rounding_m2,
        )
    }

    fn dimmed(&self, cell: &Cell) -> Dimmed {
        Dimmed {
            transmittance: cell.passes,
            area_m2: self.grid.area_m2(&cell.shapes),
            region: self.grid.polygons(&cell.shapes),
        }
    }

    /// Outlines of all single shadows that reach the plane, with the height
    /// above the plane of the point that throws each corner: where an edge of
    /// the whole shadow comes from. Local frame (x east, y north), metres.
    pub(super) fn silhouettes(&self, toward_sun: DVec3) -> Vec<Vec<(Coord<f64>, f64)>> {
        if toward_sun.z < LEAST_SINE {
            return Vec::new();
        }
        let sun = self.frame.to_field(toward_sun);
        let run = [sun.along_m / sun.up_m, sun.across_m / sun.up_m];
        let mut rings = Vec::new();
        for body in self
            .bodies
            .iter()
            .filter(|b| b.reach(run).overlaps(&self.window))
        {
            let points = &self.points[body.points.clone()];
            let shadow_of = |p: &DVec3| [p.x - p.z * run[0], p.y - p.z * run[1]];
            let mut ring: Vec<P2> = points.iter().map(shadow_of).collect();
            if let Silhouette::Hull = body.silhouette {
                let mut flat = std::mem::take(&mut ring);
                convex_hull(&mut flat, &mut ring);
            }
            let caster_height = |q: &P2| {
                points
                    .iter()
                    .filter(|p| shadow_of(p) == *q)
                    .map(|p| p.z)
                    .fold(0.0, f64::max)
            };
            let local = |q: &P2| {
                let p = self.frame.to_local(FieldPoint::on_ground(q[0], q[1]));
                (Coord { x: p.x, y: p.y }, caster_height(q))
            };
            rings.push(ring.iter().map(local).collect());
        }
        rings
    }
}

/// Whether the shadow leaves anything of the field in the sun.
enum Reach {
    Part,
    WholeField,
}

impl CastBody {
    /// A box that holds the body's shadow.
    fn reach(&self, run: P2) -> Box2 {
        let mut reach = self.footprint;
        for axis in 0..2 {
            let (a, b) = (self.lowest_m * run[axis], self.highest_m * run[axis]);
            reach.min[axis] -= a.max(b);
            reach.max[axis] -= a.min(b);
        }
        reach
    }
}

fn plan_axes(frame: FieldFrame, p: DVec3) -> P2 {
    let q = frame.to_field(p);
    [q.along_m, q.across_m]
}

fn perimeter(ring: &[P2]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    ring.iter()
        .zip(next)
        .map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1]))
        .sum()
}

/// Whether a ring on the grid is the box itself, to the grid cell.
fn fills_box(grid: &Grid, ring: &[IntPoint], window: &Box2) -> bool {
    let (min, max) = (grid.snap(window.min), grid.snap(window.max));
    let near = |a: i32, b: i32| (a - b).abs() <= 1;
    ring.len() == 4
        && ring.iter().all(|p| {
            (near(p.x, min.x) || near(p.x, max.x)) && (near(p.y, min.y) || near(p.y, max.y))
        })
}

/// Cuts all cast rings to a field that is not a box.
fn trim_to_outline(bench: &mut Workbench, outline: &[IntPoint], tints: usize) {
    let classes = std::iter::once(Passing::Nothing).chain((0..tints).map(Passing::Tint));
    let mut trimmed = Rings {
        tinted_area_m2: f64::INFINITY, // not known after the cut: always ask the layers
        tinted_perimeter_m: bench.cast.tinted_perimeter_m,
        ..Rings::default()
    };
    for class in classes {
        // tinted rings may overlap, and each overlap counts: cut them one by one
        let rings: Vec<&[IntPoint]> = bench.cast.of(class).collect();
        let batches: Vec<&[&[IntPoint]]> = match class {
            Passing::Nothing => vec![&rings[..]],
            Passing::Tint(_) => rings.chunks(1).collect(),
        };
        for batch in batches.into_iter().filter(|b| !b.is_empty()) {
            bench.desk.clear().add(outline, Operand::Second);
            for ring in batch {
                bench.desk.add(ring, Operand::First);
            }
            for ring in bench.desk.shapes(OverlayRule::Intersect).iter().flatten() {
                let start = trimmed.points.len();
                trimmed.points.extend_from_slice(ring);
                trimmed.rings.push((start..trimmed.points.len(), class));
            }
        }
    }
    bench.cast = trimmed;
}

/// The corner points of the part of a convex body above `height_m`.
fn convex_above(vertices: &[DVec3], faces: &[Vec<usize>], height_m: f64) -> Vec<DVec3> {
    let mut kept: Vec<DVec3> = vertices
        .iter()
        .copied()
        .filter(|p| p.z >= height_m)
        .collect();
    if kept.len() == vertices.len() || kept.is_empty() {
        return kept;
    }
    for face in faces {
        for (&i, &j) in face.iter().zip(face.iter().cycle().skip(1)) {
            let (Some(&a), Some(&b)) = (vertices.get(i), vertices.get(j)) else {
                continue;
            };
            // each edge belongs to two faces; take it in the rising direction only
            if a.z < height_m && b.z > height_m {
                kept.push(at_height(a, b, height_m));
            }
        }
    }
    kept
}

/// The part of a planar ring above `height_m`.
fn ring_above(corners: &[DVec3], height_m: f64) -> Vec<DVec3> {
    if corners.iter().all(|p| p.z >= height_m) {
        return corners.to_vec();
    }
    let mut kept = Vec::with_capacity(corners.len() + 2);
    for (&a, &b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        if a.z >= height_m {
            kept.push(a);
        }
        if (a.z < height_m) != (b.z < height_m) {
            kept.push(at_height(a, b, height_m));
        }
    }
    kept
}

/// The point of a segment at a height that lies between its ends. The ends are
/// taken in a fixed order so that neighbours that share the segment agree.
fn at_height(a: DVec3, b: DVec3, height_m: f64) -> DVec3 {
    let (low, high) = if a.z < b.z { (a, b) } else { (b, a) };
    let t = (height_m - low.z) / (high.z - low.z);
    let p = low + (high - low) * t;
    DVec3::new(p.x, p.y, height_m)
}
