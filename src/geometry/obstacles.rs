//! All bodies of a venue in one tree of boxes.
//!
//! In: obstacles, a point and a unit direction, local frame, metres; the ground where it is not
//! flat. Out: what a ray meets, and the share of light that gets through, 0 to 1.

use std::ops::Deref;
use std::sync::Arc;

use geo::Coord;
use glam::DVec3;

use crate::base::units::Transmittance;
use crate::geometry::boxes::BoxTree;
use crate::geometry::ray::{Obstacle, RayHit};
use crate::geometry::relief::net::ReliefNet;
use crate::geometry::relief::terrain::Terrain;
use crate::geometry::shadow::TURF_HEIGHT_M;
use crate::venue::Relief;

/// Under this sine of the sun's elevation ground is not told apart by its slope.
const MIN_SINE: f64 = 1e-3;

/// Obstacles ready for rays; copies share what is prepared. They count as they were
/// given.
#[derive(Debug, Clone)]
pub struct Obstacles {
    all: Arc<[Obstacle]>,
    boxes: Arc<[[DVec3; 2]]>,
    /// How many planes of convex bodies come before those of each, and last all of them.
    planes: Arc<[usize]>,
    tree: Arc<BoxTree>,
    /// Where it is not the plane of the field.
    ground: Option<Arc<ReliefNet>>,
}

/// What a ray meets on its way; indices are those of the obstacles.
#[derive(Debug, Clone, Default)]
pub struct RayHits {
    /// The nearest thing.
    pub nearest: Option<(usize, RayHit)>,
    /// The nearest thing that nothing passes straight on.
    pub opaque: Option<(usize, RayHit)>,
    /// Share of light from behind the translucent things before that one, 0 to 1.
    pub through: f64,
}

impl RayHits {
    /// Share of the light from the far end of the ray that arrives.
    pub fn passes(&self) -> f64 {
        if self.opaque.is_some() { 0.0 } else { self.through }
    }

    /// What nothing passes, where something translucent stands before it.
    pub fn behind(&self) -> Option<&(usize, RayHit)> {
        let nearest = self.nearest.as_ref().map(|n| n.0);
        self.opaque.as_ref().filter(|opaque| nearest != Some(opaque.0))
    }
}

impl From<Vec<Obstacle>> for Obstacles {
    fn from(all: Vec<Obstacle>) -> Self {
        let boxes: Vec<[DVec3; 2]> = all.iter().map(Obstacle::bounds).collect();
        let (mut low, mut high) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
        for [a, b] in &boxes {
            (low, high) = (low.min(*a), high.max(*b));
        }
        let (centre, radius_m) = match all.is_empty() {
            true => (DVec3::ZERO, 0.0),
            false => (0.5 * (low + high), 0.5 * low.distance(high)),
        };
        let tree = Arc::new(BoxTree::new(boxes.iter().copied(), centre, radius_m));
        let mut planes = vec![0];
        planes.extend(all.iter().scan(0, |before, obstacle| {
            *before += obstacle.planes().len();
            Some(*before)
        }));
        Self { all: all.into(), boxes: boxes.into(), planes: planes.into(), tree, ground: None }
    }
}

impl FromIterator<Obstacle> for Obstacles {
    fn from_iter<I: IntoIterator<Item = Obstacle>>(all: I) -> Self {
        Self::from(all.into_iter().collect::<Vec<_>>())
    }
}

impl Deref for Obstacles {
    type Target = [Obstacle];

    fn deref(&self) -> &[Obstacle] {
        &self.all
    }
}

impl Obstacles {
    /// Share of the light from a direction that reaches a point straight on: the product
    /// over all bodies on the way, none where the ground rises before it.
    pub fn transmission(&self, from: DVec3, toward: DVec3) -> Transmittance {
        if self.in_ground(from, toward) {
            return Transmittance::OPAQUE;
        }
        let mut share = 1.0;
        self.tree.any(from, toward, |index| {
            share *= self.all[index].transmission(from, toward);
            share == 0.0
        });
        Transmittance::from_share(share)
    }

    /// What a ray meets within a distance, metres.
    pub fn look(&self, from: DVec3, toward: DVec3, within_m: f64) -> RayHits {
        let mut sight = RayProgress::default();
        self.tree.nearer_ones((from, toward), within_m, |index| {
            sight.ask(index, &self.all[index], (from, toward), within_m)
        });
        sight.look()
    }

    /// The same obstacles on ground that is not flat.
    pub fn on_relief(self, relief: Option<&Relief>) -> Self {
        Self { ground: relief.map(|relief| Arc::new(ReliefNet::in_local_frame(relief))), ..self }
    }

    /// A place of the ground, local frame.
    pub fn on_ground(&self, at: Coord<f64>) -> DVec3 {
        let height = self.ground.as_ref().map_or(TURF_HEIGHT_M, |g| g.height_m([at.x, at.y]));
        DVec3::new(at.x, at.y, height)
    }

    /// Unit vector out of the ground at a place.
    pub fn ground_normal(&self, at: Coord<f64>) -> DVec3 {
        self.ground.as_ref().map_or(DVec3::Z, |ground| ground.normal([at.x, at.y]))
    }

    /// How much of the sun ground at a place gets, over what level ground gets: by the cosine
    /// of the incidence on its facet. 1 on the plane of the field.
    pub fn incidence(&self, at: Coord<f64>, toward_sun: DVec3) -> f64 {
        match &self.ground {
            Some(ground) => {
                ground.normal([at.x, at.y]).dot(toward_sun).max(0.0) / toward_sun.z.max(MIN_SINE)
            }
            None => 1.0,
        }
    }

    /// The ground as lenses look at it.
    pub fn terrain(&self) -> Terrain {
        Terrain(self.ground.clone())
    }

    /// Whether the ground is not the plane of the field.
    pub fn is_on_relief(&self) -> bool {
        self.ground.is_some()
    }

    /// How far off a ray meets the ground, metres; infinite where it does not.
    pub fn ground_m(&self, from: DVec3, toward: DVec3) -> f64 {
        match &self.ground {
            Some(ground) => ground.enters_m(from, toward).unwrap_or(f64::INFINITY),
            None if toward.z < 0.0 && from.z > TURF_HEIGHT_M => {
                (from.z - TURF_HEIGHT_M) / -toward.z
            }
            None => f64::INFINITY,
        }
    }

    /// The same where the ground is not level, from a place that [`Self::ground_at`] found.
    pub(super) fn ground_from_m(&self, start: u32, from: DVec3, toward: DVec3) -> f64 {
        let enters = self.ground.as_ref().and_then(|net| net.enters_from_m(start, from, toward));
        enters.unwrap_or(f64::INFINITY)
    }

    /// Which piece of the ground lies under a place; 0 on level ground.
    pub(super) fn ground_at(&self, at: DVec3) -> u32 {
        self.ground.as_ref().map_or(0, |net| net.at([at.x, at.y]))
    }

    /// Whether the ground rises before a ray that goes up; never on the plane of the field.
    pub(super) fn in_ground(&self, from: DVec3, toward: DVec3) -> bool {
        self.ground_toward(toward).is_some_and(|ground| ground.enters_m(from, toward).is_some())
    }

    /// Ground that may rise before rays in a direction.
    pub(super) fn ground_toward(&self, toward: DVec3) -> Option<&ReliefNet> {
        let run = [toward.x / toward.z, toward.y / toward.z];
        self.ground.as_deref().filter(|ground| toward.z <= 0.0 || ground.steepness(run) >= 1.0)
    }

    /// Planes of all convex bodies.
    pub(super) fn planes(&self) -> usize {
        self.planes[self.all.len()]
    }

    /// How many of them are those of bodies before this one.
    pub(super) fn first_plane(&self, obstacle: usize) -> usize {
        self.planes[obstacle]
    }

    /// Triangles of all models.
    pub fn triangles(&self) -> usize {
        self.all.iter().map(Obstacle::triangles).sum()
    }

    /// The lowest and the highest corner of the box around each body.
    pub(super) fn boxes(&self) -> &[[DVec3; 2]] {
        &self.boxes
    }
}

/// What a ray has met so far; may be cleared for the next one.
#[derive(Default)]
pub(super) struct RayProgress {
    nearest: Option<(usize, RayHit)>,
    opaque: Option<(usize, RayHit)>,
    /// How far off what dims is, and what share it lets through.
    translucent: Vec<(f64, f64)>,
}

impl RayProgress {
    /// Forgets what the ray before has met.
    pub fn clear(&mut self) {
        (self.nearest, self.opaque) = (None, None);
        self.translucent.clear();
    }

    /// Asks one more body about a ray; the distance where it ends there for now.
    pub fn ask(
        &mut self,
        index: usize,
        obstacle: &Obstacle,
        (from, toward): (DVec3, DVec3),
        within_m: f64,
    ) -> Option<f64> {
        self.take(index, obstacle.hit_through(from, toward)?, within_m)
    }

    /// Takes in where a ray meets one more body and what share of light gets through it.
    pub fn take(
        &mut self,
        index: usize,
        (hit, passes): (RayHit, f64),
        within_m: f64,
    ) -> Option<f64> {
        if hit.distance_m > within_m {
            return None;
        }
        // of two in one place the first, whatever was asked first
        let nearer = |than: &Option<(usize, RayHit)>| {
            than.is_none_or(|(i, than)| (hit.distance_m, index) < (than.distance_m, i))
        };
        if nearer(&self.nearest) {
            self.nearest = Some((index, hit));
        }
        if passes > 0.0 {
            self.translucent.push((hit.distance_m, passes));
            return None;
        }
        nearer(&self.opaque).then(|| {
            self.opaque = Some((index, hit));
            hit.distance_m
        })
    }

    /// What it meets in all; in order of distance, so that the sum is the same whoever was
    /// asked first.
    pub fn look(&mut self) -> RayHits {
        let ends_m = self.opaque.map_or(f64::INFINITY, |(_, hit)| hit.distance_m);
        if self.translucent.len() > 1 {
            self.translucent.sort_by(|a, b| a.0.total_cmp(&b.0));
        }
        let before = self.translucent.iter().filter(|(distance_m, _)| *distance_m < ends_m);
        let through = before.map(|(_, passes)| passes).product();
        RayHits { nearest: self.nearest, opaque: self.opaque, through }
    }
}

/// Share of light from a direction that reaches a point straight on.
pub fn transmission_toward(obstacles: &Obstacles, from: DVec3, toward: DVec3) -> Transmittance {
    obstacles.transmission(from, toward)
}
