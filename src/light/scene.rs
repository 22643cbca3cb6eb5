//! All light at the field of play, prepared for a venue.
//!
//! In: a venue and its obstacles, once; then, per instant, [`SkyLight`] and the
//! shadow on the turf. Out: [`SceneLight`]: what sky and surroundings send to the
//! turf at the places of a lattice, the luminance of the surroundings, and with
//! them the light on any prepared [`Receivers`].
//!
//! Direct sunlight is left to the caller, who knows where the shadow lies.

use geo::{Area, Coord, MultiPolygon};
use glam::DVec3;
use rayon::prelude::*;

use super::ground::reflectances;
use super::overhead::{GlowChange, SkyLight};
use super::receivers::{CellChange, CellLight, Receiver, Receivers};
use super::surround::{Sources, Surround};
use super::tristimulus::Tristimulus;
use crate::geometry::{
    Lattice, Obstacle, Shadow, SkyDome, SkyView, TURF_HEIGHT_M, transmission_toward,
};
use crate::units::Transmittance;
use crate::venue::Venue;

/// About this many places of the field get light from sky and surroundings, 5 m
/// apart on a football field. It changes slowly and is taken as linear between
/// them: twice as many change no split of the demos by more than 0.02 stop.
const LIGHT_PLACES: f64 = 300.0;

/// A venue prepared for light.
#[derive(Debug, Clone)]
pub struct Scene {
    dome: SkyDome,
    obstacles: Vec<Obstacle>,
    lattice: Lattice,
    turf: Receivers,
    /// Sky view factor of each place of the lattice.
    sky_views: Vec<f64>,
    /// Mean solid angle, weighted by the cosine, of the surroundings, sr.
    turf_sees: f64,
    surround: Surround,
    turf_reflects: [f64; 3],
}

impl Scene {
    /// Prepares a venue with the obstacles of a date.
    pub fn new(venue: &Venue, obstacles: Vec<Obstacle>) -> Self {
        let dome = SkyDome::new();
        let outline = MultiPolygon(vec![venue.field.outline.clone()]);
        let field_m2 = outline.unsigned_area();
        let lattice = Lattice::over(&outline, field_m2, LIGHT_PLACES);
        let views: Vec<(SkyView, DVec3)> = lattice
            .places()
            .par_iter()
            .map(|&at| (dome.from_point(&obstacles, on_turf(at)), DVec3::Z))
            .collect();
        let surround = Surround::new(field_m2, &obstacles, &dome, &views);
        let receivers: Vec<Receiver> = views
            .par_iter()
            .map(|(view, up)| Receiver::new(&dome, view, *up, |s| surround.index_of(s, &obstacles)))
            .collect();
        let count = receivers.len().max(1) as f64;
        let seen: f64 = receivers.iter().map(Receiver::surfaces_view).sum();
        Self {
            sky_views: receivers.iter().map(Receiver::sky_view).collect(),
            turf_sees: std::f64::consts::PI * seen / count,
            turf: receivers.into_iter().collect(),
            turf_reflects: reflectances(venue.field.surface, venue.field.surface_reflectance),
            dome,
            obstacles,
            lattice,
            surround,
        }
    }

    /// The dome that sky light has to be told on.
    pub fn dome(&self) -> &SkyDome {
        &self.dome
    }

    /// Places of the turf that light is told at.
    pub fn lattice(&self) -> &Lattice {
        &self.lattice
    }

    /// Sky view factor at each place of the lattice, 0 to 1.
    pub fn sky_views(&self) -> &[f64] {
        &self.sky_views
    }

    /// Reflectance of the turf for X, Y and Z.
    pub fn turf_reflects(&self) -> [f64; 3] {
        self.turf_reflects
    }

    /// Number of pieces that the surroundings are cut into.
    pub fn pieces(&self) -> usize {
        self.surround.len()
    }

    /// Share of the light from a direction that reaches a place.
    pub fn transmission(&self, at: DVec3, toward: DVec3) -> Transmittance {
        transmission_toward(&self.obstacles, at, toward)
    }

    /// Prepares receivers at any places and facings (unit vectors), in parallel.
    pub fn receivers(&self, facing: &[(DVec3, DVec3)]) -> Receivers {
        let prepared: Vec<Receiver> = facing
            .par_iter()
            .map(|&(at, normal)| {
                let view = self.dome.from_surface(&self.obstacles, at, normal);
                let index_of = |s: &_| self.surround.index_of(s, &self.obstacles);
                Receiver::new(&self.dome, &view, normal, index_of)
            })
            .collect();
        prepared.into_iter().collect()
    }

    /// Light at an instant.
    pub fn at(&self, sky: &SkyLight, turf: &Shadow) -> SceneLight {
        let cells = CellLight::new(&sky.glow);
        let base = Base {
            turf: self.turf.light_of_sky(&cells),
            surround: self.surround.light_of_sky(&cells),
        };
        let through = turf.field_share().mean_transmission;
        let sun = (sky.daylight.direct_normal, sky.toward_sun);
        let (surfaces, turf) = self.lit(&base, sun, through);
        SceneLight {
            base,
            cells,
            toward_sun: sky.toward_sun,
            direct_normal: sky.daylight.direct_normal,
            direct_horizontal: sky.daylight.direct_normal * sky.toward_sun.z.max(0.0),
            surfaces,
            turf,
        }
    }

    /// The same instant when a cloud covers the sun.
    pub fn covered(&self, light: &SceneLight, change: &GlowChange) -> CoveredLight {
        let change = CellChange::new(change, self.dome.cells().len());
        let mut base = light.base.clone();
        self.turf.add_change(&change, &mut base.turf);
        self.surround.add_change(&change, &mut base.surround);
        let dark = (Tristimulus::ZERO, light.toward_sun);
        let (surfaces, turf) = self.lit(&base, dark, 1.0);
        CoveredLight { change, surfaces, turf }
    }

    /// What the sky alone sends to turf and receivers, straight and by way of stands and
    /// turf.
    pub fn of_sky(&self, sky: &SkyLight, faces: &Receivers) -> Spread {
        let cells = CellLight::new(&sky.glow);
        let base = Base {
            turf: self.turf.light_of_sky(&cells),
            surround: self.surround.light_of_sky(&cells),
        };
        let (surfaces, turf) = self.lit(&base, (Tristimulus::ZERO, sky.toward_sun), 0.0);
        let mut on_faces = faces.light_of_sky(&cells);
        faces.add_surfaces(&surfaces, &mut on_faces);
        Spread { turf, faces: on_faces }
    }

    /// What stands and turf send on of the sun's light, without the sky's. `through` is
    /// the share of the direct light that arrives on the turf, mean over the field.
    pub fn of_sun(
        &self,
        toward_sun: DVec3,
        direct_normal: Tristimulus,
        through: f64,
        faces: &Receivers,
    ) -> Spread {
        let dark = Base {
            turf: vec![Tristimulus::ZERO; self.turf.len()],
            surround: vec![Tristimulus::ZERO; self.surround.len()],
        };
        let (surfaces, turf) = self.lit(&dark, (direct_normal, toward_sun), through);
        let mut on_faces = vec![Tristimulus::ZERO; faces.len()];
        faces.add_surfaces(&surfaces, &mut on_faces);
        Spread { turf, faces: on_faces }
    }

    /// Luminances of the surroundings, and with them the light on the turf.
    fn lit(
        &self,
        base: &Base,
        (direct_normal, toward_sun): (Tristimulus, DVec3),
        through: f64,
    ) -> (Vec<Tristimulus>, Vec<Tristimulus>) {
        let sources = Sources {
            toward_sun,
            direct_normal,
            turf: direct_normal * (toward_sun.z.max(0.0) * through) + mean(&base.turf),
            turf_reflects: self.turf_reflects,
        };
        let surfaces =
            self.surround.luminances(&self.dome, &sources, &base.surround, self.turf_sees);
        let mut turf = base.turf.clone();
        self.turf.add_surfaces(&surfaces, &mut turf);
        (surfaces, turf)
    }
}

/// Light of one source, lx.
#[derive(Debug, Clone)]
pub struct Spread {
    /// On the turf, at each place of the lattice.
    pub turf: Vec<Tristimulus>,
    /// On each of the receivers; without the ground under them.
    pub faces: Vec<Tristimulus>,
}

/// Light of the sky alone.
#[derive(Debug, Clone)]
struct Base {
    turf: Vec<Tristimulus>,
    surround: Vec<Tristimulus>,
}

/// Light at the field of play at one instant.
#[derive(Debug, Clone)]
pub struct SceneLight {
    base: Base,
    cells: CellLight,
    toward_sun: DVec3,
    /// From the sun on a plane facing it, nothing in the way, lx.
    pub direct_normal: Tristimulus,
    /// The same on the horizontal.
    pub direct_horizontal: Tristimulus,
    /// Luminance of each piece of the surroundings, cd/m2.
    surfaces: Vec<Tristimulus>,
    /// From sky and surroundings on the turf, at each place of the lattice, lx.
    pub turf: Vec<Tristimulus>,
}

impl SceneLight {
    /// From sky and surroundings on prepared receivers, lx; without the ground
    /// under them.
    pub fn on(&self, receivers: &Receivers) -> Vec<Tristimulus> {
        let mut light = receivers.light_of_sky(&self.cells);
        receivers.add_surfaces(&self.surfaces, &mut light);
        light
    }

    /// The same as it is, and when a cloud covers the sun.
    pub fn on_both(
        &self,
        receivers: &Receivers,
        covered: &CoveredLight,
    ) -> (Vec<Tristimulus>, Vec<Tristimulus>) {
        let mut light = receivers.light_of_sky(&self.cells);
        let mut under_cloud = light.clone();
        receivers.add_surfaces(&self.surfaces, &mut light);
        receivers.add_change(&covered.change, &mut under_cloud);
        receivers.add_surfaces(&covered.surfaces, &mut under_cloud);
        (light, under_cloud)
    }

    /// From sky and surroundings on the turf at a place, by its weights on the
    /// lattice.
    pub fn turf_at(&self, weights: &[(usize, f64)]) -> Tristimulus {
        weighted(&self.turf, weights)
    }

    /// From sky and surroundings on the turf, mean over the field.
    pub fn turf_mean(&self) -> Tristimulus {
        mean(&self.turf)
    }
}

/// Light at the field of play when a cloud covers the sun: all there is.
#[derive(Debug, Clone)]
pub struct CoveredLight {
    change: CellChange,
    surfaces: Vec<Tristimulus>,
    /// On the turf, at each place of the lattice, lx.
    pub turf: Vec<Tristimulus>,
}

impl CoveredLight {
    /// On the turf at a place, by its weights on the lattice.
    pub fn turf_at(&self, weights: &[(usize, f64)]) -> Tristimulus {
        weighted(&self.turf, weights)
    }

    /// On the turf, mean over the field.
    pub fn turf_mean(&self) -> Tristimulus {
        mean(&self.turf)
    }
}

/// The sum of some lights by their weights.
pub(crate) fn weighted(light: &[Tristimulus], weights: &[(usize, f64)]) -> Tristimulus {
    let at = |i: usize| light.get(i).copied().unwrap_or(Tristimulus::ZERO);
    weights.iter().map(|&(i, weight)| at(i) * weight).sum()
}

fn mean(light: &[Tristimulus]) -> Tristimulus {
    light.iter().copied().sum::<Tristimulus>() * (1.0 / light.len().max(1) as f64)
}

fn on_turf(at: Coord<f64>) -> DVec3 {
    DVec3::new(at.x, at.y, TURF_HEIGHT_M)
}
