//! Straight lines of sight: what a ray passes through.
//!
//! In: bodies of a venue, a point and a unit direction, local frame, metres.
//! Out: the share of light that gets through, 0 to 1.

use std::sync::Arc;

use chrono::NaiveDate;
use glam::DVec3;

use crate::base::frame::area_vector;
use crate::base::plane::{P2, inside};
use crate::base::units::Transmittance;
use crate::geometry::obstacles::Obstacles;
use crate::geometry::triangles::TriangleBvh;
use crate::venue::{Body, Lit, Part, Shape, Through, Venue};

/// A ray that starts on a surface does not meet that surface: metres.
pub(super) const SKIN_M: f64 = 1e-6;

/// A body prepared for rays.
#[derive(Debug, Clone)]
pub struct Obstacle {
    solid: Solid,
    /// The lowest and the highest corner of the box around all points.
    bounds: [DVec3; 2],
    passes: Through,
    reflectance: f64,
    scatters: f64,
    lit: Option<Lit>,
    part: Part,
    /// Corners of what is no mesh; those of a sheet in their order.
    corners: Arc<[DVec3]>,
}

#[derive(Debug, Clone)]
enum Solid {
    /// Planes with outward normals: inside where `normal . p <= offset`.
    Convex(Vec<(DVec3, f64)>),
    Sheet {
        normal: DVec3,
        offset: f64,
        axes: (DVec3, DVec3),
        ring: Vec<P2>,
    },
    /// Shared, since obstacles are copied with the scenes that they are part of.
    Mesh(Arc<TriangleBvh>),
}

impl Obstacle {
    /// Every body of a venue that stops light on a date.
    pub fn all_of(venue: &Venue, date: NaiveDate) -> Obstacles {
        let bodies = venue.occluders.iter().flat_map(|o| &o.bodies);
        let all: Obstacles =
            bodies.filter_map(|body| Self::new(body, body.passes.through(date))).collect();
        all.on_relief(venue.relief.as_deref())
    }

    /// `None` for a body without extent or one that stops nothing.
    pub fn new(body: &Body, passes: impl Into<Through>) -> Option<Self> {
        let passes = passes.into();
        let points = body.shape.points();
        if passes.most().share() >= 1.0 || points.len() < 3 {
            return None;
        }
        let centre = points.iter().sum::<DVec3>() / points.len() as f64;
        let radius_m = points.iter().map(|p| p.distance(centre)).fold(0.0, f64::max);
        let solid = match &body.shape {
            Shape::Convex { vertices, faces } => Solid::Convex(
                faces.iter().filter_map(|face| outward_plane(face, vertices, centre)).collect(),
            ),
            Shape::Sheet { corners } => {
                let normal = area_vector(corners.iter().copied()).try_normalize()?;
                let first = normal.any_orthonormal_vector();
                let axes = (first, normal.cross(first));
                let ring = corners.iter().map(|p| [p.dot(axes.0), p.dot(axes.1)]);
                Solid::Sheet { normal, offset: normal.dot(centre), axes, ring: ring.collect() }
            }
            Shape::Mesh(mesh) => Solid::Mesh(Arc::new(TriangleBvh::new(mesh, centre, radius_m))),
        };
        let (reflectance, scatters) = (body.reflectance, body.scatters);
        let bounds = [
            points.iter().copied().fold(DVec3::INFINITY, DVec3::min),
            points.iter().copied().fold(DVec3::NEG_INFINITY, DVec3::max),
        ];
        let corners = match &solid {
            Solid::Mesh(_) => Arc::from([]),
            Solid::Convex(_) | Solid::Sheet { .. } => Arc::from(points),
        };
        let (part, lit) = (body.part, body.lit);
        Some(Self { solid, bounds, passes, reflectance, scatters, lit, part, corners })
    }

    /// What it is part of.
    pub fn part(&self) -> Part {
        self.part
    }

    /// Corners, local frame, metres; none of a mesh.
    pub fn corners(&self) -> &[DVec3] {
        &self.corners
    }

    /// Whether it is a sheet, whose corners are a ring in their order.
    pub(super) fn is_sheet(&self) -> bool {
        matches!(self.solid, Solid::Sheet { .. })
    }

    /// The plane of a face as [`Obstacle::met_face`] numbers them: its outward normal and its
    /// offset along that; `None` of a mesh.
    pub fn face(&self, face: usize) -> Option<(DVec3, f64)> {
        match &self.solid {
            Solid::Convex(planes) => planes.get(face).copied(),
            Solid::Sheet { normal, offset, .. } => match face {
                0 => Some((*normal, *offset)),
                1 => Some((-*normal, -*offset)),
                _ => None,
            },
            Solid::Mesh(_) => None,
        }
    }

    /// Where a ray first meets the body, and on which of its faces: of a sheet 0 is the side
    /// that its corners run around anticlockwise, 1 the other; 0 of a mesh.
    pub fn met_face(&self, from: DVec3, toward: DVec3) -> Option<(RayHit, usize)> {
        match &self.solid {
            Solid::Convex(planes) => {
                let (hit, face) = hit_convex(planes, from, toward)?;
                Some((hit, face.unwrap_or(0)))
            }
            Solid::Sheet { normal, .. } => {
                let hit = self.met(from, toward)?;
                Some((hit, usize::from(hit.normal.dot(*normal) < 0.0)))
            }
            Solid::Mesh(_) => Some((self.met(from, toward)?, 0)),
        }
    }

    /// The lowest and the highest corner of the box around the body.
    pub(super) fn bounds(&self) -> [DVec3; 2] {
        self.bounds
    }

    /// Triangles of a model; none of what is none.
    pub(super) fn triangles(&self) -> usize {
        match &self.solid {
            Solid::Convex(_) | Solid::Sheet { .. } => 0,
            Solid::Mesh(mesh) => mesh.len(),
        }
    }

    /// Planes of a convex body with their outward normals, inside where `normal . p <= offset`;
    /// none for any other.
    pub(super) fn planes(&self) -> &[(DVec3, f64)] {
        match &self.solid {
            Solid::Convex(planes) => planes,
            Solid::Sheet { .. } | Solid::Mesh(_) => &[],
        }
    }

    /// Share of the light on one side that leaves the other as from a matt surface, 0
    /// to 1.
    pub fn scatters(&self) -> f64 {
        self.scatters
    }

    /// Where light that scatters through the body at a place of its surface comes in:
    /// the same place of a sheet, the far side of a solid.
    pub fn far_side(&self, at: DVec3, normal: DVec3) -> DVec3 {
        let solid = match &self.solid {
            Solid::Convex(_) => true,
            Solid::Sheet { .. } => false,
            Solid::Mesh(mesh) => mesh.is_closed(),
        };
        let inside = at - normal * (10.0 * SKIN_M);
        match self.leaves(inside, -normal).filter(|_| solid) {
            Some(thick_m) => inside - normal * thick_m,
            None => at,
        }
    }

    /// How far a ray from inside goes to the surface.
    fn leaves(&self, inside: DVec3, toward: DVec3) -> Option<f64> {
        match &self.solid {
            Solid::Convex(planes) => planes
                .iter()
                .map(|(normal, offset)| (normal.dot(toward), offset - normal.dot(inside)))
                .filter(|(speed, _)| *speed > 0.0)
                .map(|(speed, gap)| gap / speed)
                .min_by(f64::total_cmp),
            _ => self.met(inside, toward).map(|hit| hit.distance_m),
        }
    }

    /// What the body lets through straight on along a direction, unit vector.
    pub fn passes(&self, toward: DVec3) -> Transmittance {
        self.passes.toward(toward)
    }

    /// Whether nothing passes it in any direction.
    pub fn is_opaque(&self) -> bool {
        self.passes.most().is_opaque()
    }

    /// Share of light that its surface throws back, 0 to 1.
    pub fn reflectance(&self) -> f64 {
        self.reflectance
    }

    /// Light of its own.
    pub fn lit(&self) -> Option<&Lit> {
        self.lit.as_ref()
    }

    /// Light of its own on the side that a surface of it faces.
    pub fn lit_toward(&self, normal: DVec3) -> Option<&Lit> {
        self.lit.as_ref().filter(|lit| lit.toward.dot(normal) > 0.0)
    }

    /// Whether a ray meets the body.
    pub fn meets(&self, from: DVec3, toward: DVec3) -> bool {
        match &self.solid {
            Solid::Mesh(mesh) => mesh.meets(from, toward),
            _ => self.met(from, toward).is_some(),
        }
    }

    /// Share of the light on a ray that gets through: 1 where the ray misses. A
    /// translucent mesh may be passed through several times.
    pub fn transmission(&self, from: DVec3, toward: DVec3) -> f64 {
        match &self.solid {
            Solid::Mesh(mesh) if !self.is_opaque() => {
                self.passes(toward).share().powf(f64::from(mesh.passages(from, toward)))
            }
            _ if self.meets(from, toward) => self.passes(toward).share(),
            _ => 1.0,
        }
    }

    /// Where a ray first meets the body and the share of light that gets through it
    /// all; `None` where nothing is dimmed.
    pub(super) fn hit_through(&self, from: DVec3, toward: DVec3) -> Option<(RayHit, f64)> {
        let hit = self.met(from, toward)?;
        match &self.solid {
            Solid::Mesh(mesh) if !self.is_opaque() => {
                let passages = mesh.passages(from, toward);
                let share = self.passes(toward).share().powf(f64::from(passages));
                (passages > 0).then_some((hit, share))
            }
            _ => Some((hit, self.passes(toward).share())),
        }
    }

    /// Whether a point lies in a closed body; never in a sheet.
    pub fn holds(&self, at: DVec3) -> bool {
        match &self.solid {
            Solid::Convex(planes) => planes.iter().all(|(normal, o)| normal.dot(at) < *o),
            Solid::Sheet { .. } => false,
            Solid::Mesh(mesh) => mesh.holds(at),
        }
    }

    /// Where a ray first meets the body; `None` where it misses.
    pub fn met(&self, from: DVec3, toward: DVec3) -> Option<RayHit> {
        match &self.solid {
            Solid::Convex(planes) => hit_convex(planes, from, toward).map(|(hit, _)| hit),
            Solid::Sheet { normal, offset, axes, ring } => {
                let speed = normal.dot(toward);
                if speed.abs() < 1e-12 {
                    return None;
                }
                let distance_m = (offset - normal.dot(from)) / speed;
                let p = from + toward * distance_m;
                let on = distance_m > SKIN_M && inside(ring, [p.dot(axes.0), p.dot(axes.1)]);
                let normal = if speed < 0.0 { *normal } else { -*normal };
                on.then_some(RayHit { distance_m, normal })
            }
            Solid::Mesh(mesh) => mesh.hit(from, toward),
        }
    }
}

/// Where a ray meets a body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RayHit {
    /// Along the ray from where it starts.
    pub distance_m: f64,
    /// Unit vector out of the surface, toward the side that the ray came from.
    pub normal: DVec3,
}

/// Where a ray meets a convex body, and the index of the face; none for a ray from inside.
fn hit_convex(
    planes: &[(DVec3, f64)],
    from: DVec3,
    toward: DVec3,
) -> Option<(RayHit, Option<usize>)> {
    let (mut enter, mut leave) = (SKIN_M, f64::INFINITY);
    let mut face = None;
    for (i, (normal, offset)) in planes.iter().enumerate() {
        let (speed, gap) = (normal.dot(toward), offset - normal.dot(from));
        // outside of a plane only a ray toward it may meet the body; inside of it the plane
        // matters to a ray that leads out: neither is asked to divide for nothing
        if gap < 0.0 {
            if speed > -1e-12 {
                return None;
            }
            let at = gap / speed;
            if at > enter {
                (enter, face) = (at, Some(i));
            }
        } else if speed >= 1e-12 {
            leave = leave.min(gap / speed);
        } else {
            continue;
        }
        if leave - enter <= SKIN_M {
            return None;
        }
    }
    // a ray that starts inside turns its back on no face: it sees what it leaves
    let normal = face.and_then(|i| planes.get(i)).map_or(-toward, |plane| plane.0);
    Some((RayHit { distance_m: enter, normal }, face))
}

fn outward_plane(face: &[usize], vertices: &[DVec3], centre: DVec3) -> Option<(DVec3, f64)> {
    let corners = face.iter().filter_map(|&i| vertices.get(i).copied());
    let normal = area_vector(corners.clone()).try_normalize()?;
    let offset = normal.dot(corners.clone().next()?);
    let outward = normal.dot(centre) <= offset;
    Some(if outward { (normal, offset) } else { (-normal, -offset) })
}
