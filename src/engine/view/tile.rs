//! What is the same all over a small tile of the picture.
//!
//! In: the corners of the tile, pixels. Out: what lies between the sun and the ground and each
//! face that its rays hit, and which figures may be seen or throw a shadow there.
//! Places of a plane within a tile lie within what its four corner rays hit of that plane, so
//! nothing is guessed: where the answer may differ from place to place, each ray asks.

use glam::DVec3;

use super::aimed::{Aimed, key_of};
use super::render::{FaceHit, Tracer};
use super::scene::FaceKey;
use super::shade::OVER_M;
use crate::geometry::{MeshEdges, PictureHit};

/// Side of a tile, pixels.
pub(super) const TILE_PX: usize = 8;

/// What one thread works with.
#[derive(Default)]
pub(super) struct Scratch {
    pub hits: Vec<PictureHit>,
    /// Faces whose light is not known yet.
    pub missing: Vec<FaceHit>,
    pub tile: PictureTile,
}

/// One tile.
#[derive(Default)]
pub(super) struct PictureTile {
    /// Through its corners, unit vectors.
    rays: [DVec3; 4],
    /// Before its ground; `None` where each place looks for itself.
    pub ground_sun: Option<Shaded>,
    /// Figures that its rays may hit, and those that may shade its ground.
    pub figures: Vec<usize>,
    pub shading: Vec<usize>,
    /// The same as of the ground, of faces that were asked for.
    faces: Vec<(FaceKey, Option<Shaded>)>,
    /// Bodies that places ask, see [`Shaded`].
    asked: Vec<u32>,
}

/// What lies between the sun and all that a tile shows of a plane.
#[derive(Clone, Copy)]
pub(super) struct Shaded {
    /// Share of the sun that is left by what shades all of it.
    share: f64,
    /// Of [`PictureTile::asked`], those that each place asks.
    asked: [usize; 2],
}

impl Tracer<'_> {
    /// Goes over to the tile between two corners, pixels from the top left.
    pub(super) fn enter(&self, scratch: &mut Scratch, from: [usize; 2], until: [usize; 2]) {
        let (view, eye) = (self.view, self.view.eye.at);
        let tile = &mut scratch.tile;
        tile.rays = corner_rays(self.aimed, from, until);
        tile.faces.clear();
        tile.asked.clear();
        // what holds for the corners holds for all between them on a plane alone
        let obstacles = self.scene.obstacles();
        let lengths = tile.rays.map(|ray| obstacles.ground_m(eye, ray));
        let on_ground =
            !obstacles.is_on_relief() && lengths.iter().all(|length| length.is_finite());
        let ground = [0, 1, 2, 3].map(|i| eye + tile.rays[i] * lengths[i]);
        tile.ground_sun = match on_ground && self.light.sun_is_out() {
            true => self.shaded(&ground, None, &mut tile.asked),
            false => None,
        };
        let all = || 0..view.figures.len();
        tile.figures = self.aimed.figures_in(&tile.rays);
        tile.shading.clear();
        if on_ground {
            let middle = ground.iter().sum::<DVec3>() * 0.25;
            let around_m = ground.iter().map(|p| p.distance(middle)).fold(0.0, f64::max);
            let (sun, radius) = (self.light.toward_sun, self.sun_radius);
            let may = |i: &usize| view.figures[*i].may_shade(middle, around_m, sun, radius);
            tile.shading.extend(all().filter(may));
        } else {
            tile.shading.extend(all());
        }
    }

    fn shaded(
        &self,
        corners: &[DVec3; 4],
        own: Option<usize>,
        asked: &mut Vec<u32>,
    ) -> Option<Shaded> {
        let from = asked.len();
        let share = self.disc.shading(corners, own, asked)?;
        Some(Shaded { share, asked: [from, asked.len()] })
    }

    /// Share of the sun that arrives at a place of a plane, and whether a mesh is near on the
    /// way: by what its tile knows of the plane.
    pub(super) fn sun_at(
        &self,
        (at, own): (DVec3, Option<usize>),
        edges: MeshEdges,
        (known, tile): (Option<Shaded>, &PictureTile),
    ) -> (f64, bool) {
        let Some(Shaded { share, asked: [from, until] }) = known else {
            return self.disc.share(at, own, edges);
        };
        if from == until {
            return (share, false);
        }
        let (here, by_mesh) = self.disc.share_past(at, own, edges, &tile.asked[from..until]);
        (share * here, by_mesh)
    }

    /// What lies between the sun and all that a tile shows of the face of a hit.
    pub(super) fn shaded_face(
        &self,
        hit: &PictureHit,
        at: DVec3,
        tile: &mut PictureTile,
    ) -> Option<Shaded> {
        let key = key_of(hit);
        if let Some((_, known)) = tile.faces.iter().find(|(face, _)| *face == key) {
            return *known;
        }
        let eye = self.view.eye.at;
        let away_m = (at - eye).dot(hit.normal);
        let lengths = tile.rays.map(|ray| away_m / ray.dot(hit.normal));
        let is_ahead = |length: &f64| length.is_finite() && *length > 0.0;
        let found = match lengths.iter().all(is_ahead) {
            true => {
                let over = hit.normal * OVER_M;
                let corners = [0, 1, 2, 3].map(|i| eye + tile.rays[i] * lengths[i] + over);
                self.shaded(&corners, Some(hit.obstacle), &mut tile.asked)
            }
            false => None,
        };
        tile.faces.push((key, found));
        found
    }
}

/// Rays through the corners of a tile, pixels from the top left.
pub(super) fn corner_rays(aimed: &Aimed, from: [usize; 2], until: [usize; 2]) -> [DVec3; 4] {
    let [left, top] = from.map(|v| v as f64);
    let [right, bottom] = until.map(|v| v as f64);
    let corners = [[left, top], [right, top], [right, bottom], [left, bottom]];
    corners.map(|[x, y]| aimed.rays.frame().ray(aimed.view.image(x, y)))
}

/// The cone around four rays: its axis and the cosine of its half angle.
pub(super) fn cone(rays: &[DVec3; 4]) -> (DVec3, f64) {
    let axis = rays.iter().sum::<DVec3>().normalize_or_zero();
    (axis, rays.iter().map(|ray| ray.dot(axis)).fold(1.0, f64::min))
}
