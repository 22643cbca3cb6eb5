//! Casts the shadow of a venue on one horizontal plane.
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
//! play as its overlap with the shadow.

use std::sync::Arc;

use chrono::NaiveDate;
use geo::{Coord, LineString, MultiPolygon, Polygon};
use glam::DVec3;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::i_shape::int::shape::IntShapes;

use crate::base::frame::{FieldFrame, FieldPoint};
use crate::base::plane::P2;
use crate::base::units::Transmittance;
use crate::geometry::hull::{Box2, convex_hull};
use crate::geometry::mesh::{HiddenFaces, Mesh, MeshBuilder, Tracer, above_plane};
use crate::geometry::overlay::{Grid, Loops, Operand, OverlayBuffers};
use crate::geometry::region::Region;
use crate::geometry::shadow::{Dimmed, Shadow};
use crate::geometry::translucent::{Cell, dimmed_cells};
use crate::geometry::union::join;
use crate::venue::{Body, Shape, Through, Venue};

/// Under this sine of the elevation (2 seconds of arc) shadows are endless and
/// the plane counts as dark.
const MIN_SINE: f64 = 1e-5;

/// All of a venue that can throw a shadow on one plane, prepared once.
#[derive(Debug, Clone)]
pub struct Caster {
    height_m: f64,
    frame: FieldFrame,
    grid: Grid,
    window: Box2,
    /// The field on the grid; `None` where it is the box itself, so that
    /// clipping to the box is clipping to the field.
    outline: Option<Vec<IntPoint>>,
    field_area_m2: f64,
    /// What it casts on, whole.
    whole: MultiPolygon<f64>,
    /// The field of play, where the box holds more than that.
    field: Option<Region>,
    /// Shared by all casters on one plane.
    bodies: Arc<Bodies>,
}

/// What stands above a plane, in field axes, heights above the plane.
#[derive(Debug)]
struct Bodies {
    opaque: Mesh,
    /// One mesh for each that lets some light through, darkest first; the panels of each
    /// lattice in one plane, whose transmittance follows the sun, by themselves.
    tints: Vec<(Through, Mesh)>,
    /// Bodies that are no triangle meshes, one by one, for [`Caster::silhouettes`]: of a
    /// closed body the points, of a sheet the ring.
    single: Vec<Shape>,
}

/// Scratch space for [`Caster::cast`], kept by the caller from instant to
/// instant so that nothing is allocated twice.
#[derive(Default)]
pub struct OverlayScratch {
    overlay_buffers: OverlayBuffers,
    tracer: Tracer,
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
        Self::over(venue, height_m, Arc::new(Bodies::new(venue, date, height_m)), over)
    }

    /// The same over all of the ground: shadows end at the box, in field axes, around
    /// the surrounds. Areas and shares that they tell are still those of the field of
    /// play.
    pub fn over_ground(venue: &Venue, date: NaiveDate, height_m: f64) -> Self {
        Self::on_ground(venue, height_m, Arc::new(Bodies::new(venue, date, height_m)))
    }

    /// The same for the venue that this caster was made for, on its date and plane: what
    /// stands there is shared.
    pub fn widened(&self, venue: &Venue) -> Self {
        Self::on_ground(venue, self.height_m, Arc::clone(&self.bodies))
    }

    fn on_ground(venue: &Venue, height_m: f64, bodies: Arc<Bodies>) -> Self {
        let frame = venue.field.frame;
        let ground = [&venue.field.surrounds, &venue.field.outline];
        let corners = ground.into_iter().flat_map(|area| ring_in_axes(area, frame));
        let window = Box2::around(corners).unwrap_or(Box2 { min: [0.0; 2], max: [0.0; 2] });
        let Box2 { min, max } = window;
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
        let window =
            Box2::around(outline.iter().copied()).unwrap_or(Box2 { min: [0.0; 2], max: [0.0; 2] });
        let grid = Grid::over(window.min, window.max, frame);
        let ring: Vec<IntPoint> = outline.iter().map(|&p| grid.snap(p)).collect();
        let all = vec![vec![ring.clone()]];
        Self {
            height_m,
            frame,
            grid,
            window,
            field_area_m2: field.as_ref().map_or(grid.area_m2(&all).abs(), Region::area_m2),
            whole,
            field,
            outline: (!fills_box(&grid, &ring, &window)).then_some(ring),
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
        self.trace(toward_sun, bench);
        if bench.tints.iter().all(Loops::is_empty) {
            self.opaque_only(bench)
        } else {
            self.with_tints(bench)
        }
    }

    /// The shadow when no direct sun arrives at all.
    pub fn darkness(&self) -> Shadow {
        Shadow::everywhere(self.height_m, self.whole.clone(), self.field_area_m2)
    }

    /// Puts the clipped outlines of all meshes on the grid.
    fn trace(&self, toward_sun: DVec3, bench: &mut OverlayScratch) {
        let sun = self.frame.to_field(toward_sun);
        let sun = DVec3::new(sun.along_m, sun.across_m, sun.up_m);
        let run = [sun.x / sun.z, sun.y / sun.z];
        let OverlayScratch { tracer, opaque, tints, passes, .. } = bench;
        tints.resize_with(self.bodies.tints.len(), Loops::default);
        passes.clear();
        passes.extend(self.bodies.tints.iter().map(|(through, _)| through.toward(toward_sun)));
        tints.iter_mut().chain([&mut *opaque]).for_each(Loops::clear);
        let mut trace = |mesh: &Mesh, loops: &mut Loops, first: u32| {
            let mut next = first;
            if !mesh.is_empty() {
                mesh.outlines(sun, run, &self.window, tracer, |piece, ring| {
                    loops.push(&self.grid, first + piece, ring);
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

    fn opaque_only(&self, bench: &mut OverlayScratch) -> Shadow {
        let opaque = self.opaque_shapes(bench);
        let polygons = self.grid.polygons(&opaque);
        Shadow {
            height_m: self.height_m,
            field_area_m2: self.field_area_m2,
            opaque_area_m2: self.on_field_m2(&opaque, &polygons),
            shaded: polygons.clone(),
            opaque: polygons,
            dimmed: Vec::new(),
        }
    }

    /// How much of the field of play some shapes take, m2; they come as polygons too.
    fn on_field_m2(&self, shapes: &IntShapes, polygons: &MultiPolygon<f64>) -> f64 {
        let overlap = |field: &Region| field.overlap_m2(polygons);
        self.field.as_ref().map_or_else(|| self.grid.area_m2(shapes), overlap)
    }

    fn opaque_shapes(&self, bench: &mut OverlayScratch) -> IntShapes {
        let overlay_buffers = &mut bench.overlay_buffers;
        match join(overlay_buffers, &bench.opaque, &self.grid, &self.window) {
            Some(joined) => overlay_buffers.clear().add_shapes(&joined, Operand::First),
            None => overlay_buffers.clear().add_loops(&bench.opaque, Operand::First),
        };
        match &self.outline {
            None => overlay_buffers.shapes(OverlayRule::Subject),
            Some(outline) => {
                overlay_buffers.add(outline, Operand::Second).shapes(OverlayRule::Intersect)
            }
        }
    }

    fn with_tints(&self, bench: &mut OverlayScratch) -> Shadow {
        let (opaque, cells, shaded) = match self.single_tint(bench) {
            Some(result) => result,
            None => self.layered(bench),
        };
        let dimmed = |cell: &Cell| {
            let region = self.grid.polygons(&cell.shapes);
            let area_m2 = self.on_field_m2(&cell.shapes, &region);
            Dimmed { transmittance: cell.passes, area_m2, region }
        };
        let there = |cell: &&Cell| self.grid.area_m2(&cell.shapes) > 0.0;
        let polygons = self.grid.polygons(&opaque);
        Shadow {
            height_m: self.height_m,
            field_area_m2: self.field_area_m2,
            opaque_area_m2: self.on_field_m2(&opaque, &polygons),
            opaque: polygons,
            dimmed: cells.iter().filter(there).map(dimmed).collect(),
            shaded: self.grid.polygons(&shaded),
        }
    }

    /// The common case: one tint, nowhere over itself, on a field that is a box.
    /// One pass gives the opaque part, the tinted rest and both together.
    fn single_tint(&self, bench: &mut OverlayScratch) -> Option<(IntShapes, Vec<Cell>, IntShapes)> {
        let mut used = bench.tints.iter().enumerate().filter(|(_, loops)| !loops.is_empty());
        let (index, loops) = used.next()?;
        let piled = loops.wound_area_m2(&self.grid) > loops.box_area_m2(&self.grid);
        if used.next().is_some() || self.outline.is_some() || piled {
            return None;
        }
        let overlay_buffers = bench.overlay_buffers.clear();
        overlay_buffers.add_loops(loops, Operand::First).add_loops(&bench.opaque, Operand::Second);
        let [opaque, tinted, any_tint, shaded] = overlay_buffers.several([
            OverlayRule::Clip,
            OverlayRule::Difference,
            OverlayRule::Subject,
            OverlayRule::Union,
        ]);
        let doubled_m2 = loops.wound_area_m2(&self.grid) - self.grid.area_m2(&any_tint);
        let cell = Cell { passes: bench.passes[index], shapes: tinted };
        (doubled_m2 <= self.rounding_m2(bench)).then(|| (opaque, vec![cell], shaded))
    }

    /// Several tints, or one over itself: the product at each place.
    fn layered(&self, bench: &mut OverlayScratch) -> (IntShapes, Vec<Cell>, IntShapes) {
        let opaque = self.opaque_shapes(bench);
        let least_m2 = self.rounding_m2(bench);
        let groups = bench.passes.iter().copied().zip(&bench.tints);
        let (min, max) = (self.grid.snap(self.window.min), self.grid.snap(self.window.max));
        let frame = [min, IntPoint::new(max.x, min.y), max, IntPoint::new(min.x, max.y)];
        let field = self.outline.as_deref().unwrap_or(&frame);
        let overlay_buffers = &mut bench.overlay_buffers;
        let cells =
            dimmed_cells(overlay_buffers, groups, &opaque, (&frame, field), &self.grid, least_m2);
        overlay_buffers.clear().add_shapes(&opaque, Operand::First);
        for cell in &cells {
            overlay_buffers.add_shapes(&cell.shapes, Operand::First);
        }
        let shaded = overlay_buffers.shapes(OverlayRule::Subject);
        (opaque, cells, shaded)
    }

    /// Area that rounding to the grid can make up, m2: each corner of a loop
    /// moves by at most a cell.
    fn rounding_m2(&self, bench: &OverlayScratch) -> f64 {
        let length: f64 = bench.tints.iter().map(|loops| loops.length_m(&self.grid)).sum();
        self.grid.cell_m() * length
    }

    /// Outlines of all single shadows that reach the plane, with the height
    /// above the plane of the point that throws each corner: where an edge of
    /// the whole shadow comes from. Local frame (x east, y north), metres.
    pub(super) fn silhouettes(&self, toward_sun: DVec3) -> Vec<Vec<(Coord<f64>, f64)>> {
        if toward_sun.z < MIN_SINE {
            return Vec::new();
        }
        let sun = self.frame.to_field(toward_sun);
        let run = [sun.along_m / sun.up_m, sun.across_m / sun.up_m];
        let shadow_of = |p: &DVec3| [p.x - p.z * run[0], p.y - p.z * run[1]];
        let local = |q: P2, height_m: f64| {
            let p = self.frame.to_local(FieldPoint::on_ground(q[0], q[1]));
            (Coord { x: p.x, y: p.y }, height_m)
        };
        let near = |ring: &[P2]| {
            Box2::around(ring.iter().copied()).is_some_and(|b| b.overlaps(&self.window))
        };
        let mut rings = Vec::new();
        let (toward, mut tracer) =
            (DVec3::new(sun.along_m, sun.across_m, sun.up_m), Tracer::default());
        for mesh in self.bodies.meshes() {
            mesh.walks(toward, run, &self.window, &mut tracer, |piece, ring| {
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
                points.iter().filter(|p| shadow_of(p) == *q).map(|p| p.z).fold(0.0, f64::max)
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

/// Corners of an area in field axes, not closed.
fn ring_in_axes(area: &Polygon<f64>, frame: FieldFrame) -> Vec<P2> {
    let corner = |c: &Coord<f64>| {
        let q = frame.to_field(DVec3::new(c.x, c.y, 0.0));
        [q.along_m, q.across_m]
    };
    area.exterior().0.iter().skip(1).map(corner).collect()
}

impl Bodies {
    fn new(venue: &Venue, date: NaiveDate, height_m: f64) -> Self {
        let (opaque, tints) = meshes(venue, date, height_m);
        let single = bodies_on(venue, date)
            .filter_map(|(body, _)| single(&body.shape, venue.field.frame, height_m));
        Self { single: single.collect(), opaque, tints }
    }

    /// The opaque one first.
    fn meshes(&self) -> impl Iterator<Item = &Mesh> {
        std::iter::once(&self.opaque).chain(self.tints.iter().map(|(_, mesh)| mesh))
    }
}

/// All bodies that stop light on a date, with what they let through.
fn bodies_on(venue: &Venue, date: NaiveDate) -> impl Iterator<Item = (&Body, Through)> {
    let bodies = venue.occluders.iter().flat_map(|o| &o.bodies);
    bodies
        .map(move |body| (body, body.passes.through(date)))
        .filter(|(_, through)| through.most().share() < 1.0)
}

/// One mesh of all that is opaque, and one for each that lets some light through beside it.
fn meshes(venue: &Venue, date: NaiveDate, height_m: f64) -> (Mesh, Vec<(Through, Mesh)>) {
    let mut opaque = MeshBuilder::default();
    let mut tints: Vec<(Through, MeshBuilder)> = Vec::new();
    for (body, passes) in bodies_on(venue, date) {
        let add = |mesh: &mut MeshBuilder| add(mesh, &body.shape, venue.field.frame, height_m);
        if passes.most().is_opaque() {
            add(&mut opaque);
        } else if let Some((_, mesh)) = tints.iter_mut().find(|(t, _)| *t == passes) {
            add(mesh);
        } else {
            let mut mesh = MeshBuilder::default();
            add(&mut mesh);
            tints.push((passes, mesh));
        }
    }
    tints.sort_by(|a, b| a.0.most().share().total_cmp(&b.0.most().share()));
    let tints = tints.into_iter().map(|(t, mesh)| (t, mesh.build(HiddenFaces::Keep))).collect();
    (opaque.build(HiddenFaces::Drop), tints)
}

/// Adds a shape to a mesh in field axes, heights above the plane.
fn add(mesh: &mut MeshBuilder, shape: &Shape, frame: FieldFrame, height_m: f64) {
    let point = |p: DVec3| {
        let q = frame.to_field(p);
        DVec3::new(q.along_m, q.across_m, p.z - height_m)
    };
    let points = |all: &[DVec3]| all.iter().map(|p| point(*p)).collect();
    match shape {
        Shape::Convex { vertices, faces } => {
            mesh.add(&Shape::Convex { vertices: points(vertices), faces: faces.clone() });
        }
        Shape::Sheet { corners } => mesh.add(&Shape::Sheet { corners: points(corners) }),
        Shape::Mesh(triangles) => mesh.add_mesh(triangles, point),
    }
}

/// The part of a shape above the plane, for a silhouette; none of a mesh.
fn single(shape: &Shape, frame: FieldFrame, height_m: f64) -> Option<Shape> {
    let point = |p: &DVec3| {
        let q = frame.to_field(*p);
        DVec3::new(q.along_m, q.across_m, p.z - height_m)
    };
    let above = |ring: Vec<DVec3>| above_plane(&ring);
    Some(match shape {
        Shape::Convex { vertices, faces } => {
            let vertices: Vec<DVec3> = vertices.iter().map(point).collect();
            let ring = |f: &Vec<usize>| {
                above(f.iter().filter_map(|&i| vertices.get(i).copied()).collect())
            };
            Shape::Convex { vertices: faces.iter().flat_map(ring).collect(), faces: Vec::new() }
        }
        Shape::Sheet { corners } => {
            Shape::Sheet { corners: above(corners.iter().map(point).collect()) }
        }
        Shape::Mesh(_) => return None,
    })
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
