//! What stands at a venue on a date, ready for lines of sight, with its names.
//!
//! In: a venue and a date (trees drop their leaves). Out: what a ray from a point
//! (local frame, metres) meets and what that is called.

use chrono::NaiveDate;
use glam::DVec3;
use rayon::prelude::*;

use crate::base::frame::direction;
use crate::base::units::{Azimuth, Elevation, Transmittance};
use crate::geometry::{Obstacle, Obstacles, Panorama, RayHit, Sight, sight};
use crate::solar::skyline_elevation;
use crate::venue::{Occluder, Part, Venue};

/// Limits between what is seen are found to within this, degrees.
const RUN_LIMIT_DEG: f64 = 0.01;
/// A lens is taken to see through what lets so much pass straight on (our choice, no source).
pub(super) const SEEN_THROUGH: f64 = 0.5;

/// Everything that stops light, and whose part each piece is.
pub struct Surroundings<'v> {
    venue: &'v Venue,
    obstacles: Obstacles,
    owners: Vec<Owner>,
}

/// The thing that an obstacle belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Owner {
    /// Index into [`Venue::occluders`].
    pub occluder: usize,
    pub part: Part,
}

/// Something that a ray meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NamedHit {
    pub owner: Owner,
    pub distance_m: f64,
    /// Unit vector out of the surface, toward the side that the ray came from.
    pub normal: DVec3,
    pub passes: Transmittance,
    /// Share of light that the surface throws back, 0 to 1.
    pub reflectance: f64,
    /// Share of the light on its far side that it lets through scattered, 0 to 1.
    pub scatters: f64,
    /// Luminance of its own toward where the ray came from, cd/m2.
    pub lit_cd_m2: f64,
}

/// What one sees in a direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SeenInDirection {
    Sky,
    /// Land or a hill of the ground, with nothing before it.
    Land,
    /// Something that nothing passes: index into [`Venue::occluders`].
    Opaque {
        by: usize,
    },
    /// Sky through something translucent: index of the nearest such thing.
    Dimmed {
        by: usize,
    },
}

/// What one sees over a range of elevation in one azimuth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ElevationSpan {
    pub from: Elevation,
    pub until: Elevation,
    pub seen: SeenInDirection,
}

/// How high what stands reaches in one azimuth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkylinePoint {
    pub azimuth: Azimuth,
    /// Of the highest opaque thing, land and hills of the ground counted.
    pub elevation: Elevation,
    /// Index into [`Venue::occluders`]; `None` where it is the land or the ground.
    pub thing: Option<usize>,
    /// Up to where nothing is open, from the land up; under `elevation` where sky
    /// shows between, such as under a roof.
    pub covered: Elevation,
}

impl<'v> Surroundings<'v> {
    /// Prepares a venue as it stands on a date.
    pub fn new(venue: &'v Venue, date: NaiveDate) -> Self {
        let bodies = venue.occluders.iter().enumerate();
        let bodies = bodies.flat_map(|(i, o)| o.bodies.iter().map(move |body| (i, body)));
        let (obstacles, owners): (Vec<Obstacle>, Vec<Owner>) = bodies
            .filter_map(|(occluder, body)| {
                let obstacle = Obstacle::new(body, body.passes.through(date))?;
                Some((obstacle, Owner { occluder, part: body.part }))
            })
            .unzip();
        let obstacles = Obstacles::from(obstacles).on_relief(venue.relief.as_deref());
        Self { venue, obstacles, owners }
    }

    /// The venue.
    pub fn venue(&self) -> &'v Venue {
        self.venue
    }

    /// What a ray meets.
    pub fn sight(&self, from: DVec3, toward: DVec3) -> Sight {
        sight(&self.obstacles, from, toward)
    }

    /// Whose part an obstacle of a [`Sight`] is.
    pub fn owner(&self, obstacle: usize) -> Option<Owner> {
        self.owners.get(obstacle).copied()
    }

    /// Whose part each obstacle is, in the order that a [`Panorama`] counts them.
    pub fn owners(&self) -> &[Owner] {
        &self.owners
    }

    /// The opaque closed thing that a point lies in, if any.
    pub fn holding(&self, at: DVec3) -> Option<&'v Occluder> {
        let holds = |o: &Obstacle| o.is_opaque() && o.holds(at);
        let index = self.obstacles.iter().position(holds)?;
        self.venue.occluders.get(self.owner(index)?.occluder)
    }

    /// The closed thing that a point lies in, whatever it lets through.
    pub fn around(&self, at: DVec3) -> Option<Owner> {
        self.owner(self.obstacles.iter().position(|o| o.holds(at))?)
    }

    /// Whose thing hides from a lens what lies `within_m` away along a ray: the first that
    /// nothing passes, else the first of those that together let less than half
    /// pass straight on.
    pub fn blocked(&self, from: DVec3, toward: DVec3, within_m: f64) -> Option<Owner> {
        let look = self.obstacles.look(from, toward, within_m);
        let dims = look.nearest.filter(|_| look.through < SEEN_THROUGH);
        let (index, hit) = look.opaque.or(dims)?;
        (hit.distance_m < within_m).then(|| self.owner(index)).flatten()
    }

    /// What a ray meets in order, up to and with the first thing that nothing passes.
    pub fn named_hits(&self, from: DVec3, toward: DVec3) -> Vec<NamedHit> {
        let met = self.obstacles.iter().zip(&self.owners).filter_map(|(obstacle, owner)| {
            let RayHit { distance_m, normal } = obstacle.met(from, toward)?;
            let (passes, reflectance) = (obstacle.passes(toward), obstacle.reflectance());
            let scatters = obstacle.scatters();
            let lit_cd_m2 = obstacle.lit_toward(normal).map_or(0.0, |lit| lit.luminance_cd_m2);
            let owner = *owner;
            Some(NamedHit { owner, distance_m, normal, passes, reflectance, scatters, lit_cd_m2 })
        });
        let mut all: Vec<NamedHit> = met.collect();
        all.sort_by(|a, b| a.distance_m.total_cmp(&b.distance_m));
        let opaque = all.iter().position(|e| e.passes.is_opaque());
        all.truncate(opaque.map_or(all.len(), |i| i + 1));
        all
    }

    /// Looks all around from a point.
    pub fn panorama(&self, at: DVec3) -> Panorama {
        Panorama::from_point(&self.obstacles, at)
    }

    /// What one sees in a direction from a point.
    pub fn seen(&self, from: DVec3, azimuth: Azimuth, elevation: Elevation) -> SeenInDirection {
        let sight = self.sight(from, direction(azimuth, elevation));
        self.named(&sight, azimuth, elevation)
    }

    fn named(&self, sight: &Sight, azimuth: Azimuth, elevation: Elevation) -> SeenInDirection {
        let owner = |index: Option<usize>| Some(self.owner(index?)?.occluder);
        let behind = if sight.passes.is_opaque() { sight.opaque } else { None };
        let land = skyline_elevation(&self.venue.horizon, azimuth);
        match (owner(behind), owner(sight.nearest)) {
            (Some(by), _) => SeenInDirection::Opaque { by },
            (None, _) if sight.meets_ground || elevation <= land => SeenInDirection::Land,
            (None, Some(by)) => SeenInDirection::Dimmed { by },
            (None, None) => SeenInDirection::Sky,
        }
    }

    /// What one sees from the lowest to the highest elevation of a panorama in each of
    /// its azimuths, limits to a hundredth of a degree.
    pub fn runs(&self, panorama: &Panorama) -> Vec<Vec<ElevationSpan>> {
        (0..panorama.columns()).into_par_iter().map(|c| self.runs_of(panorama, c)).collect()
    }

    fn runs_of(&self, panorama: &Panorama, column: usize) -> Vec<ElevationSpan> {
        let azimuth = panorama.azimuth(column);
        let named = |row: usize| {
            let elevation = panorama.elevation(row);
            (elevation.degrees(), self.named(&panorama.cell(column, row), azimuth, elevation))
        };
        let (mut from, mut now) = named(0);
        let mut at = from;
        let mut runs = Vec::new();
        let mut end = |from: f64, until: f64, seen: SeenInDirection| {
            let [from, until] = [from, until].map(Elevation::from_degrees);
            runs.push(ElevationSpan { from, until, seen });
        };
        for (elevation, then) in (1..panorama.rows()).map(named) {
            if then != now {
                let (mut low, mut high) = (at, elevation);
                while high - low > RUN_LIMIT_DEG {
                    let middle = 0.5 * (low + high);
                    let seen = self.seen(panorama.at(), azimuth, Elevation::from_degrees(middle));
                    if seen == now { low = middle } else { high = middle }
                }
                end(from, high, now);
                (from, now) = (high, then);
            }
            at = elevation;
        }
        end(from, 90.0, now);
        runs
    }

    /// The skyline of a panorama made by these surroundings, clockwise from north.
    pub fn skyline(&self, panorama: &Panorama) -> Vec<SkylinePoint> {
        let point = |column: usize| {
            let azimuth = panorama.azimuth(column);
            let land = skyline_elevation(&self.venue.horizon, azimuth);
            let hill = panorama.hill(&self.obstacles, column);
            let land = hill.map_or(land, |hill| higher(hill, land));
            let highest = panorama.highest(&self.obstacles, column);
            let over_land = highest.filter(|rim| rim.elevation > land);
            let covered = panorama.covered(&self.obstacles, column, land);
            SkylinePoint {
                azimuth,
                elevation: over_land.map_or(land, |rim| rim.elevation),
                thing: over_land.and_then(|rim| self.owner(rim.obstacle)).map(|o| o.occluder),
                covered: covered.map_or(land, |rim| higher(rim.elevation, land)),
            }
        };
        (0..panorama.columns()).into_par_iter().map(point).collect()
    }
}

fn higher(a: Elevation, b: Elevation) -> Elevation {
    if a >= b { a } else { b }
}
