//! Straight lines of sight: what a ray passes through.
//!
//! In: bodies of a venue, a point and a unit direction, local frame, metres.
//! Out: the share of light that gets through, 0 to 1.

use std::sync::Arc;

use chrono::NaiveDate;
use glam::DVec3;

use super::soup::Soup;
use crate::frame::area_vector;
use crate::plane::{P2, inside};
use crate::units::Transmittance;
use crate::venue::{Body, Shape, Venue};

/// A ray that starts on a surface does not meet that surface: metres.
pub(super) const SKIN_M: f64 = 1e-6;

/// A body prepared for rays.
#[derive(Debug, Clone)]
pub struct Obstacle {
    solid: Solid,
    /// Sphere around all points.
    centre: DVec3,
    radius_m: f64,
    passes: Transmittance,
    reflectance: f64,
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
    Mesh(Arc<Soup>),
}

impl Obstacle {
    /// Every body of a venue that stops light on a date.
    pub fn all_of(venue: &Venue, date: NaiveDate) -> Vec<Self> {
        let bodies = venue.occluders.iter().flat_map(|o| &o.bodies);
        bodies.filter_map(|body| Self::new(body, body.passes.on(date))).collect()
    }

    /// `None` for a body without extent or one that stops nothing.
    pub fn new(body: &Body, passes: Transmittance) -> Option<Self> {
        let points = body.shape.points();
        if passes.share() >= 1.0 || points.len() < 3 {
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
            Shape::Mesh(mesh) => Solid::Mesh(Arc::new(Soup::new(mesh, centre, radius_m))),
        };
        Some(Self { solid, centre, radius_m, passes, reflectance: body.reflectance })
    }

    /// What the body lets through.
    pub fn passes(&self) -> Transmittance {
        self.passes
    }

    /// Share of light that its surface throws back, 0 to 1.
    pub fn reflectance(&self) -> f64 {
        self.reflectance
    }

    /// The cone that holds the body as seen from a point: a unit vector to its
    /// middle and the cosine of half the opening. From inside the sphere around
    /// the body the cone is everything.
    pub(super) fn cone_from(&self, from: DVec3) -> (DVec3, f64) {
        let to = self.centre - from;
        let distance = to.length();
        if distance <= self.radius_m {
            return (DVec3::Z, -1.0);
        }
        let sine = self.radius_m / distance;
        (to / distance, (1.0 - sine * sine).sqrt())
    }

    /// Whether a ray meets the body.
    pub fn meets(&self, from: DVec3, toward: DVec3) -> bool {
        match &self.solid {
            Solid::Mesh(soup) => soup.meets(from, toward),
            _ => self.met(from, toward).is_some(),
        }
    }

    /// Share of the light on a ray that gets through: 1 where the ray misses. A
    /// translucent mesh may be passed through several times.
    pub fn transmission(&self, from: DVec3, toward: DVec3) -> f64 {
        match &self.solid {
            Solid::Mesh(soup) if !self.passes.is_opaque() => {
                self.passes.share().powf(f64::from(soup.passages(from, toward)))
            }
            _ if self.meets(from, toward) => self.passes.share(),
            _ => 1.0,
        }
    }

    /// Where a ray first meets the body and the share of light that gets through it
    /// all; `None` where nothing is dimmed.
    pub(super) fn met_through(&self, from: DVec3, toward: DVec3) -> Option<(Met, f64)> {
        let met = self.met(from, toward)?;
        match &self.solid {
            Solid::Mesh(soup) if !self.passes.is_opaque() => {
                let passages = soup.passages(from, toward);
                let share = self.passes.share().powf(f64::from(passages));
                (passages > 0).then_some((met, share))
            }
            _ => Some((met, self.passes.share())),
        }
    }

    /// Whether a point lies in a closed body; never in a sheet.
    pub fn holds(&self, at: DVec3) -> bool {
        match &self.solid {
            Solid::Convex(planes) => planes.iter().all(|(normal, o)| normal.dot(at) < *o),
            Solid::Sheet { .. } => false,
            Solid::Mesh(soup) => soup.holds(at),
        }
    }

    /// Where a ray first meets the body; `None` where it misses.
    pub fn met(&self, from: DVec3, toward: DVec3) -> Option<Met> {
        match &self.solid {
            Solid::Convex(planes) => met_convex(planes, from, toward),
            Solid::Sheet { normal, offset, axes, ring } => {
                let speed = normal.dot(toward);
                if speed.abs() < 1e-12 {
                    return None;
                }
                let distance_m = (offset - normal.dot(from)) / speed;
                let p = from + toward * distance_m;
                let on = distance_m > SKIN_M && inside(ring, [p.dot(axes.0), p.dot(axes.1)]);
                let normal = if speed < 0.0 { *normal } else { -*normal };
                on.then_some(Met { distance_m, normal })
            }
            Solid::Mesh(soup) => soup.met(from, toward),
        }
    }
}

/// Where a ray meets a body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Met {
    /// Along the ray from where it starts.
    pub distance_m: f64,
    /// Unit vector out of the surface, toward the side that the ray came from.
    pub normal: DVec3,
}

fn met_convex(planes: &[(DVec3, f64)], from: DVec3, toward: DVec3) -> Option<Met> {
    let (mut enter, mut leave) = (SKIN_M, f64::INFINITY);
    let mut face = None;
    for (normal, offset) in planes {
        let (speed, gap) = (normal.dot(toward), offset - normal.dot(from));
        if speed.abs() < 1e-12 {
            if gap < 0.0 {
                return None;
            }
        } else if speed < 0.0 {
            let at = gap / speed;
            if at > enter {
                (enter, face) = (at, Some(*normal));
            }
        } else {
            leave = leave.min(gap / speed);
        }
    }
    // a ray that starts inside turns its back on no face: it sees what it leaves
    let met = || Met { distance_m: enter, normal: face.unwrap_or(-toward) };
    (leave - enter > SKIN_M).then(met)
}

/// Share of light from a direction that reaches a point: the product over all
/// bodies on the way.
pub fn transmission_toward(obstacles: &[Obstacle], from: DVec3, toward: DVec3) -> Transmittance {
    let mut share = 1.0;
    for obstacle in obstacles {
        share *= obstacle.transmission(from, toward);
        if share == 0.0 {
            break;
        }
    }
    Transmittance::from_share(share)
}

fn outward_plane(face: &[usize], vertices: &[DVec3], centre: DVec3) -> Option<(DVec3, f64)> {
    let corners = face.iter().filter_map(|&i| vertices.get(i).copied());
    let normal = area_vector(corners.clone()).try_normalize()?;
    let offset = normal.dot(corners.clone().next()?);
    let outward = normal.dot(centre) <= offset;
    Some(if outward { (normal, offset) } else { (-normal, -offset) })
}
