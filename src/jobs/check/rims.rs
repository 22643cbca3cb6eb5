//! How high what stands reaches, azimuth by azimuth.
//!
//! In: a venue on a date and a point (local frame, metres). Out: for azimuths in equal
//! steps (degrees, clockwise from north) the highest opaque thing there, land counted.
//!
//! A body is cut by the upright half-plane of each azimuth that it takes; the highest
//! point of the cut lies on an edge. So a body costs its edges times the azimuths that
//! each takes, and rays are cast for nothing.

use chrono::NaiveDate;
use glam::DVec3;

use crate::base::units::Azimuth;
use crate::engine::surroundings::Surroundings;
use crate::solar::skyline_elevation;
use crate::venue::{Body, Shape};

/// The skyline in one azimuth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SkylineRim {
    /// Degrees.
    pub elevation_deg: f64,
    /// Index into [`crate::venue::Venue::occluders`]; `None` where it is the land.
    pub thing: Option<usize>,
}

/// The skyline around a point, each azimuth the middle of a step from north on.
pub(super) fn rims(
    surroundings: &Surroundings<'_>,
    date: NaiveDate,
    at: DVec3,
    step_deg: f64,
) -> Vec<SkylineRim> {
    let venue = surroundings.venue();
    let columns = (360.0 / step_deg).round() as usize;
    let azimuth = |column: usize| Azimuth::from_degrees((column as f64 + 0.5) * step_deg);
    let overhead = surroundings.sight(at, DVec3::Z).opaque;
    let overhead = overhead.and_then(|obstacle| surroundings.owner(obstacle));
    if let Some(owner) = overhead {
        return vec![SkylineRim { elevation_deg: 90.0, thing: Some(owner.occluder) }; columns];
    }
    let mut sweep = Sweep::new((0..columns).map(azimuth));
    for (thing, occluder) in venue.occluders.iter().enumerate() {
        let opaque = occluder.bodies.iter().filter(|body| body.passes.on(date).is_opaque());
        opaque.for_each(|body| edges_of(body, |a, b| sweep.take_in(thing, a - at, b - at)));
    }
    let rim = |(column, (slope, thing)): (usize, (f64, Option<usize>))| {
        let land_deg = skyline_elevation(&venue.horizon, azimuth(column)).degrees();
        let elevation_deg = slope.atan().to_degrees();
        match thing.filter(|_| elevation_deg > land_deg) {
            Some(thing) => SkylineRim { elevation_deg, thing: Some(thing) },
            None => SkylineRim { elevation_deg: land_deg, thing: None },
        }
    };
    sweep.highest.into_iter().enumerate().map(rim).collect()
}

/// Hands out all edges of a body; those of a mesh may come twice.
fn edges_of(body: &Body, mut take: impl FnMut(DVec3, DVec3)) {
    match &body.shape {
        Shape::Convex { vertices, faces } => {
            for face in faces {
                for (a, b) in face.iter().zip(face.iter().cycle().skip(1)).filter(|(a, b)| a < b) {
                    if let (Some(a), Some(b)) = (vertices.get(*a), vertices.get(*b)) {
                        take(*a, *b);
                    }
                }
            }
        }
        Shape::Sheet { corners } => {
            corners.iter().zip(corners.iter().cycle().skip(1)).for_each(|(a, b)| take(*a, *b));
        }
        Shape::Mesh(mesh) => {
            for [a, b, c] in mesh.triangles().iter().map(|t| mesh.corners(t)) {
                take(a, b);
                take(b, c);
                take(c, a);
            }
        }
    }
}

/// The steepest line of sight to an edge so far, by azimuth.
struct Sweep {
    /// East and north of each azimuth.
    toward: Vec<[f64; 2]>,
    /// Height over distance, and whose edge that is.
    highest: Vec<(f64, Option<usize>)>,
}

impl Sweep {
    fn new(azimuths: impl Iterator<Item = Azimuth>) -> Self {
        let toward = azimuths.map(|a| [a.radians().sin(), a.radians().cos()]);
        let toward: Vec<[f64; 2]> = toward.collect();
        Self { highest: vec![(f64::NEG_INFINITY, None); toward.len()], toward }
    }

    /// Looks at an edge, whose ends count from the eye.
    fn take_in(&mut self, thing: usize, a: DVec3, b: DVec3) {
        let columns = self.toward.len();
        let turn = |p: DVec3| p.x.atan2(p.y) / std::f64::consts::TAU * columns as f64;
        let (from, mut wide) = (turn(a), turn(b) - turn(a));
        if wide.abs() > 0.5 * columns as f64 {
            wide -= columns as f64 * wide.signum();
        }
        // middles of steps, half a step on from their number
        let (first, last) = (from + wide.min(0.0) - 0.5, from + wide.max(0.0) - 0.5);
        for index in first.ceil() as i64..=last.floor() as i64 {
            let column = index.rem_euclid(columns as i64) as usize;
            let [east, north] = self.toward[column];
            let off = |p: DVec3| east * p.y - north * p.x;
            let (off_a, off_b) = (off(a), off(b));
            let share = if off_a == off_b { 0.0 } else { off_a / (off_a - off_b) };
            let at = a.lerp(b, share.clamp(0.0, 1.0));
            let distance = east * at.x + north * at.y;
            let slope = at.z / distance;
            if distance > 0.0 && slope > self.highest[column].0 {
                self.highest[column] = (slope, Some(thing));
            }
        }
    }
}
