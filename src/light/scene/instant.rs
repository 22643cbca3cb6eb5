//! Light at the ground at one instant, place by place.
//!
//! In: a prepared [`Scene`], [`SkyLight`] and what the sun reaches. Out: [`SceneLight`], for
//! any place and any receivers; [`CoveredLight`] for the same with a cloud over the sun.

use glam::{DVec3, Vec4};

use crate::base::units::Lux;
use crate::geometry::Shadow;
use crate::light::floodlight::FloodlightLight;
use crate::light::overhead::{GlowChange, SkyLight};
use crate::light::receivers::{CellChange, CellLight, Receivers};
use crate::light::tristimulus::Tristimulus;

use super::face_light::{FaceLight, mean, on_faces, weighted};
use super::prepare::{four, luminances_of};
use super::reach::SunReach;
use super::{GroundReflectances, Scene};

/// The sun at an instant.
pub(super) struct SceneSun {
    /// On a plane facing it, lx.
    pub normal: Tristimulus,
    pub toward: DVec3,
}

impl SceneSun {
    pub fn horizontal(&self) -> Tristimulus {
        self.normal * self.toward.z.max(0.0)
    }
}

/// Light of the sky and of screens alone: on turf in lx, of pieces in cd/m2.
#[derive(Debug, Clone)]
pub(super) struct Base {
    pub turf: Vec<Tristimulus>,
    pub pieces: Vec<Tristimulus>,
}

impl Scene {
    /// Light at an instant; `turf` is the shadow on the ground.
    pub fn at(&self, sky: &SkyLight, turf: &Shadow) -> SceneLight {
        match sky.daylight.direct_normal.lux() > 0.0 {
            true => self.reached(sky, self.reach(turf, sky.toward_sun)),
            false => self.reached(sky, SunReach::default()),
        }
    }

    fn reached(&self, sky: &SkyLight, reach: SunReach) -> SceneLight {
        let cells = CellLight::new(&sky.glow);
        let base = self.with_screens(self.base(&cells));
        let sun = SceneSun { normal: sky.daylight.direct_normal, toward: sky.toward_sun };
        let (emitted, turf) = self.lit(&base, Some((&sun, &reach)));
        SceneLight {
            base,
            cells,
            inside: self.places.inside(),
            toward_sun: sun.toward,
            direct_normal: sun.normal,
            direct_horizontal: sun.horizontal(),
            in_sun: reach.spots,
            reflects: self.reflects,
            floodlight: FloodlightLight::DARK,
            unlit: self.spots_of(&emitted),
            emitted,
            turf,
        }
    }

    /// The same instant when a cloud covers the sun.
    pub fn covered(&self, light: &SceneLight, change: &GlowChange) -> CoveredLight {
        let change = CellChange::new(change, self.dome.cells().len());
        let mut base = light.base.clone();
        self.turf.add_change(&change, &mut base.turf);
        self.pieces.add_change(&change, &mut base.pieces);
        let (emitted, turf) = self.lit(&base, None);
        let spots = self.spots_of(&emitted);
        CoveredLight { change, emitted, spots, inside: self.places.inside(), turf }
    }

    /// Luminance of each spot of the ground, cd/m2, out of that of its places.
    pub(super) fn spots_of(&self, emitted: &[Vec4]) -> Vec<Vec4> {
        let places = self.turf.len();
        let spot = |spot: usize| {
            let first = self.surround.len() + self.ground.kind(spot) * places;
            let of = |&(place, weight): &(usize, f64)| match emitted.get(first + place) {
                Some(luminance) => *luminance * weight as f32,
                None => Vec4::ZERO,
            };
            self.ground.places(spot).iter().map(of).sum()
        };
        (0..self.ground.len()).map(spot).collect()
    }

    pub(super) fn base(&self, cells: &CellLight) -> Base {
        Base { turf: self.turf.light_of_sky(cells), pieces: self.pieces.light_of_sky(cells) }
    }

    /// The same with what screens send.
    pub(super) fn with_screens(&self, mut base: Base) -> Base {
        self.turf.add_screens(&mut base.turf);
        self.pieces.add_screens(&mut base.pieces);
        base
    }

    /// Luminances of all emitters, and with them the light on the turf.
    pub(super) fn lit(
        &self,
        base: &Base,
        sun: Option<(&SceneSun, &SunReach)>,
    ) -> (Vec<Vec4>, Vec<Tristimulus>) {
        let mut own = base.pieces.clone();
        let kinds = luminances_of(self.reflects);
        let on_ground = |turf: &[Tristimulus], emitted: &mut Vec<Vec4>| {
            for kind in kinds {
                emitted.extend(turf.iter().map(|light| four(*light) * kind));
            }
        };
        let sun = sun.filter(|(sun, ..)| sun.normal.lux() > 0.0);
        let mut first = base.turf.clone();
        if let Some((sun, reach)) = sun {
            for (light, share) in first.iter_mut().zip(&reach.places) {
                *light += sun.horizontal() * f64::from(*share);
            }
        }
        let mut ground = vec![Vec4::ZERO; self.surround.len()];
        on_ground(&first, &mut ground);
        self.pieces.add_emitters(&ground, &mut own);
        if let Some((sun, reach)) = sun {
            for (own, piece) in own.iter_mut().zip(&reach.pieces) {
                *own += sun.normal * f64::from(*piece);
            }
        }
        let own: Vec<Vec4> = own.into_iter().map(four).collect();
        let mut emitted = self.bounces.settle(&own);
        let mut turf = base.turf.clone();
        self.turf.add_emitters(&emitted, &mut turf);
        on_ground(&turf, &mut emitted);
        turf.truncate(self.places.at().len());
        (emitted, turf)
    }
}

/// Light at the ground at one instant.
#[derive(Debug, Clone)]
pub struct SceneLight {
    base: Base,
    cells: CellLight,
    inside: usize,
    toward_sun: DVec3,
    /// From the sun on a plane facing it, nothing in the way, lx.
    pub direct_normal: Tristimulus,
    /// The same on the horizontal.
    pub direct_horizontal: Tristimulus,
    /// Share of the sun's light at each spot of the ground.
    in_sun: Vec<f32>,
    /// Luminance of each spot of the ground without the sun's light on it, cd/m2.
    unlit: Vec<Vec4>,
    reflects: GroundReflectances,
    floodlight: FloodlightLight,
    /// Luminance of each piece and each place of the ground, cd/m2; of the latter without
    /// the sun's light on it.
    emitted: Vec<Vec4>,
    /// From sky and surroundings on the turf, at each place that light is known at, lx.
    pub turf: Vec<Tristimulus>,
}

impl SceneLight {
    /// The same with floodlights.
    pub fn with_floodlight(self, floodlight: FloodlightLight) -> Self {
        Self { floodlight, ..self }
    }

    /// The floodlights.
    pub fn floodlight(&self) -> &FloodlightLight {
        &self.floodlight
    }

    /// All light but the sun's own and that of the floodlights on prepared receivers, lx.
    pub fn on(&self, receivers: &Receivers) -> Vec<FaceLight> {
        let mut shade = receivers.light_of_sky(&self.cells);
        receivers.add_screens(&mut shade);
        receivers.add_emitters(&self.emitted, &mut shade);
        receivers.add_spots(&self.unlit, &mut shade);
        self.on_faces(receivers, shade)
    }

    /// The same as it is, and when a cloud covers the sun.
    pub fn on_both(
        &self,
        receivers: &Receivers,
        covered: &CoveredLight,
    ) -> (Vec<FaceLight>, Vec<Tristimulus>) {
        let mut under_cloud = receivers.light_of_sky(&self.cells);
        receivers.add_screens(&mut under_cloud);
        receivers.add_change(&covered.change, &mut under_cloud);
        receivers.add_emitters(&covered.emitted, &mut under_cloud);
        receivers.add_spots(&covered.spots, &mut under_cloud);
        (self.on(receivers), under_cloud)
    }

    fn on_faces(&self, receivers: &Receivers, shade: Vec<Tristimulus>) -> Vec<FaceLight> {
        on_faces(receivers, shade, (self.direct_horizontal, self.reflects), &self.in_sun)
    }

    /// From the sun on a face, nothing in the way, lx.
    pub fn direct_on(&self, normal: DVec3) -> Tristimulus {
        self.direct_normal * normal.dot(self.toward_sun).max(0.0)
    }

    /// From floodlights on a face of a venue, and from the ground under them; a camera
    /// may state its own level. `ground` is how much of what the face sees is ground.
    pub fn floodlights_on(&self, normal: DVec3, ground: [f64; 2], own: Option<Lux>) -> Tristimulus {
        self.floodlight.with_ground(normal, own, (self.reflects, ground))
    }

    /// All light on the turf at a place that `through` of the direct light reaches, by
    /// the place's weights, lx.
    pub fn on_turf(&self, weights: &[(usize, f64)], through: f64) -> Tristimulus {
        self.direct_horizontal * through + self.turf_at(weights) + self.floodlight.horizontal
    }

    /// From sky and surroundings on the turf at a place, by its weights.
    pub fn turf_at(&self, weights: &[(usize, f64)]) -> Tristimulus {
        weighted(&self.turf, weights)
    }

    /// From sky and surroundings on the turf, mean over the field.
    pub fn turf_mean(&self) -> Tristimulus {
        mean(&self.turf, self.inside)
    }
}

/// Light at the ground when a cloud covers the sun: all there is.
#[derive(Debug, Clone)]
pub struct CoveredLight {
    change: CellChange,
    emitted: Vec<Vec4>,
    /// Luminance of each spot of the ground, cd/m2.
    spots: Vec<Vec4>,
    inside: usize,
    /// On the turf, at each place that light is known at, lx.
    pub turf: Vec<Tristimulus>,
}

impl CoveredLight {
    /// On the turf at a place, by its weights.
    pub fn turf_at(&self, weights: &[(usize, f64)]) -> Tristimulus {
        weighted(&self.turf, weights)
    }

    /// On the turf, mean over the field.
    pub fn turf_mean(&self) -> Tristimulus {
        mean(&self.turf, self.inside)
    }
}
