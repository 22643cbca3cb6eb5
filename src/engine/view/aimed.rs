//! What each pixel of a picture shows, whatever the light.
//!
//! In: a [`ViewScene`] and a [`View`]. Out: [`Aimed`]: for the ray through the middle of each
//! pixel what it meets, near to far. Pictures of one view at several minutes share it.

use std::borrow::Cow;
use std::sync::OnceLock;

use glam::DVec3;
use rayon::prelude::*;
use rustc_hash::FxHashSet;

use super::figures::{Figure, FigureHit, Posed};
use super::refine::SUBPIXELS;
use super::render::{FaceHit, View};
use super::scene::{FaceKey, ViewScene};
use super::tile::{TILE_PX, cone, corner_rays};
use crate::geometry::{PictureHit, PictureRays};
use crate::light::GroundNear;

/// Every so many pixels what a ray meets tells which faces are in the picture.
const FIRST_EVERY: usize = 3;

/// A camera that stands and is aimed.
pub struct Aimed<'a> {
    pub(super) scene: &'a ViewScene,
    pub(super) view: &'a View,
    pub(super) rays: PictureRays<'a>,
    /// The figures, in their order.
    pub(super) posed: Vec<Posed>,
    /// Through the middle of each pixel, row by row.
    pub(super) met: Vec<Met>,
    /// Faces that some of the rays meet, and places on meshes.
    pub(super) faces: Vec<FaceKey>,
    pub(super) on_meshes: Vec<(usize, DVec3, DVec3)>,
    /// Where they are kept: rays beside the middle of each pixel that one picture asked for.
    beside: Vec<OnceLock<Box<SubpixelHits>>>,
}

/// What rays beside the middle of a pixel meet.
pub(super) type SubpixelHits = [Met; SUBPIXELS.len()];

/// What a ray meets.
#[derive(Debug, Clone)]
pub(super) struct Met {
    pub toward: DVec3,
    /// The first body, and what more it lets be seen.
    pub hit: Option<PictureHit>,
    pub behind: Vec<PictureHit>,
    pub last: Last,
}

/// Where a ray ends.
#[derive(Debug, Clone, Copy)]
pub(super) enum Last {
    /// On the last of the bodies.
    Body,
    /// Which figure, and where.
    Figure(usize, FigureHit),
    Ground(OnGround),
    Sky,
}

/// A pixel's piece of the ground.
#[derive(Debug, Clone, Copy)]
pub(super) struct OnGround {
    pub at: DVec3,
    /// 0 for what is played on, 1 for what lies around.
    pub kind: usize,
    /// Share that is line, 0 to 1.
    pub line: f64,
    /// What its light is made of.
    pub near: GroundNear,
}

impl std::fmt::Debug for Aimed<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Aimed").field("size", &self.view.size).finish_non_exhaustive()
    }
}

impl Met {
    /// The bodies, near to far.
    pub(super) fn hits(&self) -> impl Iterator<Item = &PictureHit> {
        self.hit.iter().chain(&self.behind)
    }
}

impl ViewScene {
    /// Sends the first ray of each pixel.
    pub fn aimed<'a>(&'a self, view: &'a View) -> Aimed<'a> {
        let rays = PictureRays::new(self.obstacles(), view.frame(), view.tile());
        let posed = view.figures.iter().map(Figure::posed).collect();
        let (met, faces, on_meshes, beside) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        let mut aimed = Aimed { scene: self, view, rays, posed, met, faces, on_meshes, beside };
        let bands: Vec<(Vec<Met>, Vec<FaceHit>)> = {
            let tops: Vec<usize> = (0..view.size[1]).step_by(TILE_PX).collect();
            tops.par_iter().map(|top| aimed.band(*top)).collect()
        };
        aimed.met.reserve_exact(view.size[0] * view.size[1]);
        let mut known = FxHashSet::default();
        for (met, found) in bands {
            aimed.met.extend(met);
            for (key, place) in found {
                if self.obstacles()[place.0].corners().is_empty() {
                    aimed.on_meshes.push(place);
                } else if known.insert(key) {
                    aimed.faces.push(key);
                }
            }
        }
        aimed
    }
}

impl Aimed<'_> {
    /// For several pictures: what rays beside the middle of a pixel meet is kept, too.
    pub fn for_several(mut self) -> Self {
        self.beside.resize_with(self.met.len(), OnceLock::new);
        self
    }

    /// What the rays beside the middle of a pixel meet.
    pub(super) fn beside(
        &self,
        [x, y]: [usize; 2],
        figures: &[usize],
        hits: &mut Vec<PictureHit>,
    ) -> Cow<'_, SubpixelHits> {
        let mut meet = || {
            let middle = [x as f64 + 0.5, y as f64 + 0.5];
            SUBPIXELS.map(|[u, v]| self.meet([middle[0] + u, middle[1] + v], figures, hits))
        };
        match self.beside.get(self.index([x, y])) {
            Some(kept) => Cow::Borrowed(kept.get_or_init(|| Box::new(meet()))),
            None => Cow::Owned(meet()),
        }
    }

    /// Of a pixel, row by row.
    pub(super) fn index(&self, [x, y]: [usize; 2]) -> usize {
        y * self.view.size[0] + x
    }

    /// The rows of a band of tiles, and some of the faces in it.
    fn band(&self, top: usize) -> (Vec<Met>, Vec<FaceHit>) {
        let [width, height] = self.view.size;
        let bottom = (top + TILE_PX).min(height);
        let tiles = (0..width).step_by(TILE_PX).map(|left| {
            let right = (left + TILE_PX).min(width);
            self.figures_in(&corner_rays(self, [left, top], [right, bottom]))
        });
        let figures: Vec<Vec<usize>> = tiles.collect();
        let (mut all, mut found) = (Vec::with_capacity(width * (bottom - top)), Vec::new());
        let mut hits = Vec::new();
        for y in top..bottom {
            for x in 0..width {
                let place = [x as f64 + 0.5, y as f64 + 0.5];
                let met = self.meet(place, &figures[x / TILE_PX], &mut hits);
                if y % FIRST_EVERY == 0 && x % FIRST_EVERY == 0 {
                    found.extend(hits.iter().map(|hit| self.face_hit(hit, met.toward)));
                }
                all.push(met);
            }
        }
        (all, found)
    }

    /// Figures that rays between four others may hit.
    pub(super) fn figures_in(&self, rays: &[DVec3; 4]) -> Vec<usize> {
        let (axis, cosine) = cone(rays);
        let figures = self.view.figures.iter().enumerate();
        let hit = figures.filter(|(_, f)| f.may_be_hit(self.view.eye.at, axis, cosine));
        hit.map(|(index, _)| index).collect()
    }

    fn face_hit(&self, hit: &PictureHit, toward: DVec3) -> FaceHit {
        let at = self.view.eye.at + toward * hit.distance_m;
        (key_of(hit), (hit.obstacle, at, hit.normal))
    }

    /// What the ray through a place meets, pixels from the top left; into `hits` all bodies
    /// before the ground, those behind a figure, too.
    pub(super) fn meet(
        &self,
        [x, y]: [f64; 2],
        figures: &[usize],
        hits: &mut Vec<PictureHit>,
    ) -> Met {
        let (view, obstacles) = (self.view, self.scene.obstacles());
        let eye = view.eye.at;
        let image = view.image(x, y);
        let toward = self.rays.frame().ray(image);
        let ground_m = obstacles.ground_m(eye, toward);
        self.rays.hits(image, toward, ground_m, hits);
        let figure = figures
            .iter()
            .filter_map(|i| Some((*i, self.posed.get(*i)?.met(eye, toward)?)))
            .filter(|(_, hit)| hit.distance_m < ground_m)
            .min_by(|a, b| a.1.distance_m.total_cmp(&b.1.distance_m));
        let ends_m = figure.as_ref().map_or(ground_m, |(_, hit)| hit.distance_m);
        let mut before = hits.iter().filter(|hit| hit.distance_m <= ends_m).copied();
        let (hit, behind): (_, Vec<PictureHit>) = (before.next(), before.collect());
        let passes = behind.last().or(hit.as_ref()).is_none_or(|hit| hit.passes > 0.0);
        let last = match figure {
            _ if !passes => Last::Body,
            Some((index, hit)) => Last::Figure(index, hit),
            None if ground_m.is_finite() => {
                Last::Ground(self.on_ground([x, y], eye + toward * ground_m))
            }
            None => Last::Sky,
        };
        Met { toward, hit, behind, last }
    }

    fn on_ground(&self, [x, y]: [f64; 2], at: DVec3) -> OnGround {
        let eye = self.view.eye.at;
        let moved = |dx: f64, dy: f64| {
            let toward = self.rays.frame().ray(self.view.image(x + dx, y + dy));
            let far_m = self.scene.obstacles().ground_m(eye, toward);
            let on = eye + toward * far_m;
            let (u, v) = (on.x - at.x, on.y - at.y);
            if u.is_finite() && v.is_finite() { [u, v] } else { [1e3, 1e3] }
        };
        let ground = &self.scene.ground;
        // lines along the rim of the field show in pixels whose middle lies outside of it, too
        let line = ground.line_share(at.x, at.y, || [moved(0.5, 0.0), moved(0.0, 0.5)]);
        let near = self.scene.net.near(at.x, at.y);
        OnGround { at, kind: ground.kind(at.x, at.y), line, near }
    }
}

pub(super) fn key_of(hit: &PictureHit) -> FaceKey {
    (hit.obstacle as u32, hit.face as u32)
}
