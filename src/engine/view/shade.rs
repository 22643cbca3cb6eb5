//! What comes along one ray of a picture.
//!
//! In: what the ray meets, what its tile knows. Out: a [`RaySample`]: tristimulus values, cd/m2,
//! and what is seen.

use glam::DVec3;

use super::aimed::{Last, Met, OnGround, key_of};
use super::figures::{FigurePart, Posed};
use super::render::{PixelContent, RaySample, Tracer};
use super::tile::Scratch;
use crate::base::frame::plan_view;
use crate::base::units::Azimuth;
use crate::geometry::{MeshEdges, PictureHit};
use crate::light::{Tristimulus, luminance_of};
use crate::solar::skyline_elevation;

/// Rays toward the sun start so far over a surface, metres.
pub(super) const OVER_M: f64 = 1e-4;
/// Of far land half is the air before it (our choice, no source).
const HAZE: f64 = 0.5;

impl Tracer<'_> {
    /// What comes along a ray.
    pub(super) fn along(&self, met: &Met, edges: MeshEdges, scratch: &mut Scratch) -> RaySample {
        let eye = self.aimed.view.eye.at;
        let (mut light, mut through) = (Tristimulus::ZERO, 1.0);
        let mut first: Option<RaySample> = None;
        let mut add = |one: RaySample, passes: f64| {
            light += one.light * through;
            through *= passes;
            first.get_or_insert(one);
        };
        for hit in met.hits() {
            let one = self.body(hit, eye + met.toward * hit.distance_m, edges, scratch);
            add(one, hit.passes);
        }
        match &met.last {
            Last::Body => {}
            Last::Figure(index, hit) => {
                let at = eye + met.toward * hit.distance_m;
                add(self.figure(*index, at, (hit.normal, hit.part)), 0.0);
            }
            Last::Ground(on) => add(self.on_ground(on, edges, scratch), 0.0),
            Last::Sky => add(self.sky(met.toward), 0.0),
        }
        let mut sample = first.unwrap_or_else(|| self.sky(met.toward));
        sample.light = light;
        // what lies behind something translucent makes edges, too
        sample.id = sample.id.wrapping_mul(31).wrapping_add(met.hits().count() as u32);
        sample
    }

    fn body(
        &self,
        hit: &PictureHit,
        at: DVec3,
        edges: MeshEdges,
        scratch: &mut Scratch,
    ) -> RaySample {
        let obstacle = &self.scene.obstacles()[hit.obstacle];
        let [mut near, mut far] = match self.is_mesh[hit.obstacle] {
            true => {
                if !self.nodes.knows(hit.obstacle, at, hit.normal) {
                    scratch.missing.push((key_of(hit), (hit.obstacle, at, hit.normal)));
                }
                let place = (hit.obstacle, at, hit.normal);
                [self.nodes.light(&self.lit_nodes, place), Tristimulus::ZERO]
            }
            false => match self.lit[hit.obstacle].get(hit.face) {
                Some(Some((net, lit))) => net.light(lit, at),
                _ => {
                    scratch.missing.push((key_of(hit), (hit.obstacle, at, hit.normal)));
                    [Tristimulus::ZERO; 2]
                }
            },
        };
        let cosine = hit.normal.dot(self.light.toward_sun);
        let (mut sun, mut by_mesh) = (0.0, false);
        let scatters = obstacle.scatters();
        if self.light.sun_is_out() && (cosine > 0.0 || scatters > 0.0) {
            let direct = self.light.direct_normal * cosine.abs();
            if cosine > 0.0 {
                let is_mesh = self.is_mesh[hit.obstacle];
                let tile = &mut scratch.tile;
                let known = if is_mesh { None } else { self.shaded_face(hit, at, tile) };
                let place = (at + hit.normal * OVER_M, Some(hit.obstacle));
                (sun, by_mesh) = self.sun_at(place, edges, (known, tile));
                near += direct * sun;
            } else {
                let other = obstacle.far_side(at, hit.normal) - hit.normal * OVER_M;
                (sun, by_mesh) = self.disc.share(other, Some(hit.obstacle), edges);
                far += direct * sun;
            }
        }
        let reflected = near.tinted(self.scene.reflects[hit.obstacle]);
        let own = obstacle.lit_toward(hit.normal).map_or(Tristimulus::ZERO, luminance_of);
        RaySample {
            light: (reflected + far * scatters) * std::f64::consts::FRAC_1_PI + own,
            seen: PixelContent::Body(obstacle.part()),
            sun: sun as f32,
            id: 16 + ((hit.obstacle as u32) << 6) + hit.face as u32,
            by_mesh,
            is_known: true,
        }
    }

    fn on_ground(&self, on: &OnGround, edges: MeshEdges, scratch: &Scratch) -> RaySample {
        let OnGround { at, kind, line, near } = *on;
        let (ground, tile) = (&self.scene.ground, &scratch.tile);
        let mut light = self.scene.net.light(&self.ground, near, at.x, at.y)
            + self.light.light.floodlight().horizontal;
        let (mut sun, mut by_mesh) = (0.0, false);
        if self.light.sun_is_out() {
            (sun, by_mesh) = self.sun_at((at, None), edges, (tile.ground_sun, tile));
            if sun > 0.0 {
                sun *= self.past_figures(at, &tile.shading);
            }
            let incident =
                sun * self.scene.obstacles().incidence(plan_view(at), self.light.toward_sun);
            light += self.light.light.direct_horizontal * incident;
        }
        let bare = ground.reflects[kind];
        let reflects = [0, 1, 2].map(|i| bare[i] + (ground.line[i] - bare[i]) * line);
        let seen = match (line > 0.5, kind) {
            (true, _) => PixelContent::Line,
            (_, 0) => PixelContent::Turf,
            _ => PixelContent::Surrounds,
        };
        let id = if seen == PixelContent::Surrounds { 2 } else { 1 };
        RaySample {
            light: light.tinted(reflects) * std::f64::consts::FRAC_1_PI,
            seen,
            sun: sun as f32,
            id,
            by_mesh,
            is_known: true,
        }
    }

    fn past_figures(&self, at: DVec3, shading: &[usize]) -> f64 {
        let figures = shading.iter().filter_map(|i| self.aimed.posed.get(*i));
        let leaves = figures.map(|f| f.leaves(at, self.light.toward_sun, self.sun_radius));
        leaves.fold(1.0, f64::min)
    }

    fn figure(&self, index: usize, at: DVec3, (normal, part): (DVec3, FigurePart)) -> RaySample {
        let Some(figure) = self.view.figures.get(index) else { return self.sky(normal) };
        let mut light = self.globe.as_ref().map_or(Tristimulus::ZERO, |globe| globe.light(normal));
        let cosine = normal.dot(self.light.toward_sun);
        let mut sun = 0.0;
        if self.light.sun_is_out() && cosine > 0.0 {
            let over = at + normal * 0.01;
            (sun, _) = self.disc.share(over, None, MeshEdges::Hard);
            let blocked = |f: &Posed| f.met(over, self.light.toward_sun).is_some();
            if sun > 0.0 && self.aimed.posed.iter().any(blocked) {
                sun = 0.0;
            }
            light += self.light.direct_normal * (cosine * sun);
        }
        let reflects = match part {
            FigurePart::Kit => figure.kit.reflects(&self.scene.subject),
            FigurePart::Skin => figure.skin.reflects(),
        };
        RaySample {
            light: light.tinted(reflects) * std::f64::consts::FRAC_1_PI,
            seen: PixelContent::Figure(index as u8, part),
            sun: sun as f32,
            id: 4 + 2 * index as u32 + u32::from(part == FigurePart::Skin),
            by_mesh: false,
            is_known: true,
        }
    }

    fn sky(&self, toward: DVec3) -> RaySample {
        let mut sample = RaySample {
            light: self.light.sky.colour_toward(toward),
            seen: PixelContent::Sky,
            sun: 0.0,
            id: 0,
            by_mesh: false,
            is_known: true,
        };
        if toward.z < self.skyline_sine {
            let azimuth = Azimuth::from_degrees(toward.x.atan2(toward.y).to_degrees());
            if toward.z < skyline_elevation(&self.scene.horizon, azimuth).radians().sin() {
                let land = self.light.open_light().tinted(self.scene.ground.reflects[1]);
                let land = land * std::f64::consts::FRAC_1_PI;
                sample.light = land * (1.0 - HAZE) + sample.light * HAZE;
                (sample.seen, sample.id) = (PixelContent::Land, 3);
                return sample;
            }
        }
        let cosine = toward.dot(self.light.toward_sun);
        if self.light.sun_is_out()
            && cosine > 0.0
            && (1.0 - cosine * cosine).sqrt() < self.sun_radius
        {
            let solid = std::f64::consts::PI * self.sun_radius * self.sun_radius;
            sample.light += self.light.direct_normal * (1.0 / solid);
            (sample.seen, sample.id) = (PixelContent::Sun, 15);
        }
        sample
    }
}
