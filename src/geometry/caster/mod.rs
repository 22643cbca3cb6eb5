//! Casts the shadow of a venue on one horizontal plane, or on its ground.
//!
//! In: a [`Venue`], a date (trees drop their leaves) and a height above the
//! field of play; then, per instant, a direction toward the sun. Out: a
//! [`Shadow`] in the local frame, over the field of play or over all of the ground.
//!
//! Method: the part of every body above the plane is found once and welded into
//! one mesh for each transmittance (of a lattice, for each plane). Per instant a point `p` at height `z` above
//! the plane throws its shadow to `p - z * (along, across) / up` of the sun's
//! direction, that is `z / tan(elevation)` away from the sun (any surveying
//! handbook). The outlines of each mesh are clipped to the field's box, put on
//! the grid, and joined by the overlay. A caster over the ground does the same in the
//! box around the surrounds, on a grid of that box, and tells areas of the field of
//! play as its overlap with the shadow. On ground that is not flat `on_relief` brings what was
//! joined to the ground; the height then counts from there.

mod bodies;
mod joined;
mod on_relief;

use std::sync::Arc;

use chrono::NaiveDate;
use geo::{Coord, LineString, MultiPolygon, Polygon};
use glam::DVec3;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::i_shape::int::shape::IntShapes;

use crate::base::frame::{FieldFrame, FieldPoint};
use crate::base::plane::P2;
use crate::base::units::Transmittance;
use crate::geometry::hull::{Box2, convex_hull};
use crate::geometry::mesh::{Mesh, OutlineTracer};
use crate::geometry::overlay::{Loops, OverlayBuffers, OverlayGrid};
use crate::geometry::region::Region;
use crate::geometry::shadow::{Dimmed, Shadow};
use crate::geometry::translucent::Cell;
use crate::venue::{Shape, Venue};

use bodies::Bodies;
use joined::{CastPlane, Joined};

/// Under this sine of the elevation (2 seconds of arc) shadows are endless and
/// the plane counts as dark.
const MIN_SINE: f64 = 1e-5;

/// All of a venue that can throw a shadow on one plane, prepared once.
#[derive(Debug, Clone)]
pub struct Caster {
    height_m: f64,
    frame: FieldFrame,
    plane: CastPlane,
    field_area_m2: f64,
    /// What it casts on, whole.
    whole: MultiPolygon<f64>,
    /// The field of play, where the box holds more than that.
    field: Option<Region>,
    /// Shared by all casters on one plane.
    bodies: Arc<Bodies>,
}

/// Scratch space for [`Caster::cast`], kept by the caller from instant to
/// instant so that nothing is allocated twice.
#[derive(Default)]
pub struct OverlayScratch {
    overlay_buffers: OverlayBuffers,
    tracer: OutlineTracer,
    opaque: Loops,
    tints: Vec<Loops>,
    /// What each of those lets through.
    passes: Vec<Transmittance>,
}

impl Caster {
    /// Prepares the bodies of a venue for the plane `height_m` above the field
    /// of play on a date; shadows end at the boundary of the field of play.
    pub fn new(venue: &Venue, date: NaiveDate, height_m: f64) -> Self {
        let outline = ring_in_axes(&venue.field.outline, venue.field.frame);
        let whole = MultiPolygon(vec![venue.field.outline.clone()]);
        let over = Over { outline, whole, field: None };
        Self::over(
            venue,
            height_m,
            Arc::new(Bodies::new(venue, date, height_m, &ground_box(venue))),
            over,
        )
    }

    /// The same over all of the ground: shadows end at the box, in field axes, around
    /// the surrounds. Areas and shares that they tell are still those of the field of
    /// play.
    pub fn over_ground(venue: &Venue, date: NaiveDate, height_m: f64) -> Self {
        Self::on_ground(
            venue,
            height_m,
            Arc::new(Bodies::new(venue, date, height_m, &ground_box(venue))),
        )
    }

    /// The same for the venue that this caster was made for, on its date and plane: what
    /// stands there is shared.
    pub fn widened(&self, venue: &Venue) -> Self {
        Self::on_ground(venue, self.height_m, Arc::clone(&self.bodies))
    }

    fn on_ground(venue: &Venue, height_m: f64, bodies: Arc<Bodies>) -> Self {
        let frame = venue.field.frame;
        let Box2 { min, max } = ground_box(venue);
        let outline = vec![min, [max[0], min[1]], max, [min[0], max[1]]];
        let local = |q: &P2| {
            let p = frame.to_local(FieldPoint::on_ground(q[0], q[1]));
            Coord { x: p.x, y: p.y }
        };
        let ring: LineString<f64> = outline.iter().chain(outline.first()).map(local).collect();
        let over = Over {
            outline,
            whole: MultiPolygon(vec![Polygon::new(ring, Vec::new())]),
            field: Some(Region::new(&MultiPolygon(vec![venue.field.outline.clone()]))),
        };
        Self::over(venue, height_m, bodies, over)
    }

    fn over(venue: &Venue, height_m: f64, bodies: Arc<Bodies>, over: Over) -> Self {
        let frame = venue.field.frame;
        let Over { outline, whole, field } = over;
        let window = Box2::around(outline.iter().copied()).unwrap_or(NOWHERE);
        let grid = OverlayGrid::over(window.min, window.max, frame);
        let ring: Vec<IntPoint> = outline.iter().map(|&p| grid.snap(p)).collect();
        let all = vec![vec![ring.clone()]];
        let mut plane = CastPlane::new(grid, window, ring);
        if let Some(relief) = &bodies.relief {
            plane.heights_m = relief.net.heights_in(&window);
        }
        Self {
            height_m,
            frame,
            field_area_m2: field.as_ref().map_or(grid.area_m2(&all).abs(), Region::area_m2),
            whole,
            field,
            plane,
            bodies,
        }
    }

    /// What shadows are cast on and end at: the field of play, or the box around all of
    /// the ground.
    pub fn ends_at(&self) -> &LineString<f64> {
        const NOWHERE: &LineString<f64> = &LineString(Vec::new());
        self.whole.0.first().map_or(NOWHERE, Polygon::exterior)
    }

    /// Area of the field of play, m2.
    pub fn field_area_m2(&self) -> f64 {
        self.field_area_m2
    }

    /// Height of the plane above the field of play, metres.
    pub fn height_m(&self) -> f64 {
        self.height_m
    }

    /// The shadow under a sun in the direction `toward_sun` (unit vector, local
    /// frame). A sun at or under the horizon leaves all of it in shade.
    pub fn cast(&self, toward_sun: DVec3, bench: &mut OverlayScratch) -> Shadow {
        if toward_sun.z < MIN_SINE || !toward_sun.is_finite() {
            return self.darkness();
        }
        let sun = self.frame.to_field(toward_sun);
        let sun = DVec3::new(sun.along_m, sun.across_m, sun.up_m);
        let way = (sun, [sun.x / sun.z, sun.y / sun.z]);
        bench.passes.clear();
        let tints = self.bodies.tints.iter();
        bench.passes.extend(tints.map(|(through, _)| through.toward(toward_sun)));
        let joined = match &self.bodies.relief {
            Some(relief) => self.on_relief(relief, way, bench),
            None => {
                self.trace(way, &self.plane, bench);
                self.plane.join(bench)
            }
        };
        self.shadow(joined)
    }

    /// The shadow when no direct sun arrives at all.
    pub fn darkness(&self) -> Shadow {
        Shadow::everywhere(self.height_m, self.whole.clone(), self.field_area_m2)
    }

    /// Puts the clipped outlines of all meshes on the grid of a plane; `run` is how far a
    /// shadow goes for each metre of height, `sun` is in field axes.
    fn trace(&self, (sun, run): (DVec3, P2), plane: &CastPlane, bench: &mut OverlayScratch) {
        let OverlayScratch { tracer, opaque, tints, passes, .. } = bench;
        tints.resize_with(self.bodies.tints.len(), Loops::default);
        tints.iter_mut().chain([&mut *opaque]).for_each(Loops::clear);
        let mut trace = |mesh: &Mesh, loops: &mut Loops, first: u32| {
            let mut next = first;
            if !mesh.is_empty() {
                mesh.outlines(sun, run, &plane.window, tracer, |piece, ring| {
                    loops.push(&plane.grid, first + piece, ring);
                    next = next.max(first + piece + 1);
                });
            }
            next
        };
        let mut next = trace(&self.bodies.opaque, opaque, 0);
        for (((_, mesh), passes), loops) in self.bodies.tints.iter().zip(passes).zip(tints) {
            // a lattice that is shut for this sun is opaque
            if passes.is_opaque() {
                next = trace(mesh, opaque, next);
            } else {
                trace(mesh, loops, 0);
            }
        }
    }

    /// Areas and polygons of what was joined.
    fn shadow(&self, joined: Joined) -> Shadow {
        let grid = &self.plane.grid;
        let opaque = grid.polygons(&joined.opaque);
        let dimmed = |cell: &Cell| {
            let region = grid.polygons(&cell.shapes);
            let area_m2 = self.on_field_m2(&cell.shapes, &region);
            Dimmed { transmittance: cell.passes, area_m2, region }
        };
        let there = |cell: &&Cell| grid.area_m2(&cell.shapes) > 0.0;
        Shadow {
            height_m: self.height_m,
            field_area_m2: self.field_area_m2,
            opaque_area_m2: self.on_field_m2(&joined.opaque, &opaque),
            shaded: joined.shaded.map_or_else(|| opaque.clone(), |all| grid.polygons(&all)),
            opaque,
            dimmed: joined.cells.iter().filter(there).map(dimmed).collect(),
        }
    }

    /// How much of the field of play some shapes take, m2; they come as polygons too.
    fn on_field_m2(&self, shapes: &IntShapes, polygons: &MultiPolygon<f64>) -> f64 {
        let overlap = |field: &Region| field.overlap_m2(polygons);
        self.field.as_ref().map_or_else(|| self.plane.grid.area_m2(shapes), overlap)
    }

    /// Where places of the ground lie among [`Caster::silhouettes`], and their heights there:
    /// on a plane where they are.
    pub(super) fn among_silhouettes(
        &self,
        toward_sun: DVec3,
        places: Vec<Coord<f64>>,
    ) -> Vec<(Coord<f64>, f64)> {
        let Some(relief) = &self.bodies.relief else {
            return places.into_iter().map(|at| (at, 0.0)).collect();
        };
        let run = [toward_sun.x / toward_sun.z, toward_sun.y / toward_sun.z];
        let laid = |at: Coord<f64>| {
            let q = self.frame.to_field(DVec3::new(at.x, at.y, 0.0));
            let height = relief.net.height_m([q.along_m, q.across_m]);
            (Coord { x: at.x - height * run[0], y: at.y - height * run[1] }, height)
        };
        places.into_iter().map(laid).collect()
    }

    /// Outlines of all single shadows that reach the plane, with the height
    /// above the plane of the point that throws each corner: where an edge of
    /// the whole shadow comes from. Local frame (x east, y north), metres. On ground that is
    /// not flat the plane is level, at the middle of its heights.
    pub(super) fn silhouettes(&self, toward_sun: DVec3) -> Vec<Vec<(Coord<f64>, f64)>> {
        if toward_sun.z < MIN_SINE {
            return Vec::new();
        }
        let sun = self.frame.to_field(toward_sun);
        let run = [sun.along_m / sun.up_m, sun.across_m / sun.up_m];
        let window = &match &self.bodies.relief {
            Some(relief) => relief.reach(&self.plane, run),
            None => self.plane.window,
        };
        let shadow_of = |p: &DVec3| [p.x - p.z * run[0], p.y - p.z * run[1]];
        let local = |q: P2, height_m: f64| {
            let p = self.frame.to_local(FieldPoint::on_ground(q[0], q[1]));
            (Coord { x: p.x, y: p.y }, height_m)
        };
        let near =
            |ring: &[P2]| Box2::around(ring.iter().copied()).is_some_and(|b| b.overlaps(window));
        let mut rings = Vec::new();
        let (toward, mut tracer) =
            (DVec3::new(sun.along_m, sun.across_m, sun.up_m), OutlineTracer::default());
        for mesh in self.bodies.meshes() {
            mesh.walks(toward, run, window, &mut tracer, |piece, ring| {
                if !mesh.is_of_mesh(piece) {
                    return;
                }
                let flat: Vec<P2> = ring.iter().map(shadow_of).collect();
                if near(&flat) {
                    rings.push(flat.iter().zip(ring).map(|(q, p)| local(*q, p.z)).collect());
                }
            });
        }
        for shape in &self.bodies.single {
            let points = shape.points();
            let mut ring: Vec<P2> = points.iter().map(shadow_of).collect();
            if let Shape::Convex { .. } = shape {
                let mut flat = std::mem::take(&mut ring);
                convex_hull(&mut flat, &mut ring);
            }
            if !near(&ring) {
                continue;
            }
            let height = |q: &P2| {
                points
                    .iter()
                    .filter(|p| shadow_of(p) == *q)
                    .map(|p| p.z)
                    .fold(f64::NEG_INFINITY, f64::max)
            };
            rings.push(ring.iter().map(|q| local(*q, height(q))).collect());
        }
        rings
    }
}

/// What a caster casts on.
struct Over {
    /// In field axes, not closed.
    outline: Vec<P2>,
    whole: MultiPolygon<f64>,
    field: Option<Region>,
}

const NOWHERE: Box2 = Box2 { min: [0.0; 2], max: [0.0; 2] };

/// The box around the surrounds and the field of play, in field axes.
fn ground_box(venue: &Venue) -> Box2 {
    let ground = [&venue.field.surrounds, &venue.field.outline];
    let corners = ground.into_iter().flat_map(|area| ring_in_axes(area, venue.field.frame));
    Box2::around(corners).unwrap_or(NOWHERE)
}

/// Corners of an area in field axes, not closed.
fn ring_in_axes(area: &Polygon<f64>, frame: FieldFrame) -> Vec<P2> {
    let corner = |c: &Coord<f64>| {
        let q = frame.to_field(DVec3::new(c.x, c.y, 0.0));
        [q.along_m, q.across_m]
    };
    area.exterior().0.iter().skip(1).map(corner).collect()
}
