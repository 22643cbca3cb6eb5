//! All light at the ground, prepared for a venue.
//!
//! In: a venue and its obstacles, once; then, per instant, [`SkyLight`] and the
//! shadow on the turf. Out: [`SceneLight`]: finished light on the turf at the places
//! that it is known at, and on any prepared [`Receivers`].
//!
//! | part of the light | from |
//! | --- | --- |
//! | sky | rays to its patches, between what stands |
//! | surroundings | what rays meet, with all that pieces and ground send to each other |
//! | ground | rays down: spots of the ground in sun or shade, each with its own light |
//! | floodlights | as stated, and what the ground gives back of them |
//! | sun | facing it, times the share that reaches the place, which the asker knows |

use std::f64::consts::PI;

use geo::{Area, Coord};
use glam::{DVec3, Vec4};
use rayon::prelude::*;

use super::bounces::Bounces;
use super::floodlight::Floodlit;
use super::ground::reflectances;
use super::ground_light::GroundSpots;
use super::overhead::{GlowChange, SkyLight};
use super::places::LightPlaces;
use super::receivers::{CellChange, CellLight, Emitters, Receiver, Receivers};
use super::surround::{self, Surround};
use super::tristimulus::Tristimulus;
use crate::geometry::{Obstacle, Obstacles, Shadow, SkyDome, SkyView, Surface, TURF_HEIGHT_M};
use crate::units::{Lux, Transmittance};
use crate::venue::Venue;

/// About this many places of the field get light from sky and surroundings, 6 m
/// apart on a football field, beside those on its boundary and around it.
const LIGHT_PLACES: f64 = 200.0;
/// Of the light that pieces send to each other at least so much is lost: a closed white
/// room has no end of bounces.
const LOST: f32 = 1e-3;

/// A venue prepared for light.
#[derive(Debug, Clone)]
pub struct Scene {
    dome: SkyDome,
    obstacles: Obstacles,
    places: LightPlaces,
    ground: GroundSpots,
    /// Each place, facing up, and last a place in the open.
    turf: Receivers,
    /// Sky view factor of each place.
    sky_views: Vec<f64>,
    surround: Surround,
    /// What each piece gives off of sky and ground, cd/m2 for a lux.
    pieces: Receivers,
    bounces: Bounces,
    reflects: GroundReflectances,
}

/// Reflectance for X, Y and Z of what is played on, and of the ground around.
pub type GroundReflectances = [[f64; 3]; 2];

/// A venue's emitters while it is prepared: pieces, then places of the ground.
struct Known<'a> {
    obstacles: &'a Obstacles,
    surround: &'a Surround,
    ground: &'a GroundSpots,
    light_places: &'a LightPlaces,
    /// Places of the ground, the one in the open counted.
    places: usize,
}

impl Emitters for Known<'_> {
    fn piece(&self, surface: &Surface) -> Option<usize> {
        self.surround.index_of(surface, self.obstacles)
    }

    fn kind(&self, spot: usize) -> usize {
        self.ground.kind(spot)
    }

    fn spot(&self, at: [f64; 2]) -> usize {
        self.ground.at(at, self.light_places, self.obstacles)
    }

    fn of_spot(&self, spot: usize) -> impl Iterator<Item = (usize, f64)> {
        let pieces = self.surround.len() + self.ground.kind(spot) * self.places;
        self.ground.places(spot).iter().map(move |&(place, weight)| (pieces + place, weight))
    }
}

impl Scene {
    fn known(&self) -> Known<'_> {
        let (obstacles, surround, ground) = (&self.obstacles, &self.surround, &self.ground);
        Known {
            obstacles,
            surround,
            ground,
            light_places: &self.places,
            places: self.places.at().len() + 1,
        }
    }

    /// Prepares a venue with the obstacles of a date.
    pub fn new(venue: &Venue, obstacles: Obstacles) -> Self {
        let dome = SkyDome::new();
        let field = &venue.field;
        let ground_m2 = field.outline.unsigned_area();
        let places = LightPlaces::new(field, ground_m2, LIGHT_PLACES, &obstacles);
        let ground = GroundSpots::new(field, ground_m2, &places, places.at().len());
        let view =
            |at: &Coord<f64>| (dome.from_surface(&obstacles, &[on_turf(*at)], DVec3::Z), DVec3::Z);
        let views: Vec<(SkyView, DVec3)> = places.at().par_iter().map(view).collect();
        let mut surround = Surround::new(ground_m2, &obstacles, &dome, &views);
        let mut seen = of_pieces(&surround, 0, &obstacles, &dome);
        let first = surround.len();
        surround.add_seen(&obstacles, &dome, seen.iter().flatten());
        seen.extend(of_pieces(&surround, first, &obstacles, &dome));
        let known = Known {
            obstacles: &obstacles,
            surround: &surround,
            ground: &ground,
            light_places: &places,
            places: places.at().len() + 1,
        };
        let mut turf: Vec<Receiver> =
            views.par_iter().map(|(view, up)| Receiver::new(&dome, view, *up, &known)).collect();
        let nothing = Obstacles::from(Vec::<Obstacle>::new());
        let open = dome.from_surface(&nothing, &[DVec3::ZERO], DVec3::Z);
        turf.push(Receiver::new(&dome, &open, DVec3::Z, &known));
        let pieces: Vec<Receiver> =
            seen.par_iter().map(|views| surround::receiver(&dome, views, &known)).collect();
        let reflects = [
            reflectances(field.surface, field.surface_reflectance),
            reflectances(field.surrounds_surface, field.surrounds_reflectance),
        ];
        let back = back(&pieces, &turf, surround.len(), reflects);
        Self {
            sky_views: turf.iter().take(places.at().len()).map(Receiver::sky_view).collect(),
            bounces: Bounces::new(&back),
            pieces: pieces.into_iter().map(Receiver::without_pieces).collect(),
            turf: turf.into_iter().collect(),
            reflects,
            places,
            ground,
            surround,
            dome,
            obstacles,
        }
    }

    /// The dome that sky light has to be told on.
    pub fn dome(&self) -> &SkyDome {
        &self.dome
    }

    /// What stands.
    pub fn obstacles(&self) -> &Obstacles {
        &self.obstacles
    }

    /// Places of the ground that light is known at.
    pub fn places(&self) -> &LightPlaces {
        &self.places
    }

    /// Sky view factor at each place, 0 to 1.
    pub fn sky_views(&self) -> &[f64] {
        &self.sky_views
    }

    /// Reflectance of the turf for X, Y and Z.
    pub fn turf_reflects(&self) -> [f64; 3] {
        self.reflects[0]
    }

    /// Of what is played on, and of the ground around.
    pub fn ground_reflects(&self) -> GroundReflectances {
        self.reflects
    }

    /// Number of pieces that the surroundings are cut into.
    pub fn pieces(&self) -> usize {
        self.surround.len()
    }

    /// Share of the light from a direction that reaches a place straight on.
    pub fn transmission(&self, at: DVec3, toward: DVec3) -> Transmittance {
        self.obstacles.transmission(at, toward)
    }

    /// Prepares receivers at any places and facings (unit vectors), in parallel.
    pub fn receivers(&self, facing: &[(DVec3, DVec3)]) -> Receivers {
        let known = self.known();
        let one = |&(at, normal): &(DVec3, DVec3)| {
            let view = self.dome.from_surface(&self.obstacles, &[at], normal);
            Receiver::new(&self.dome, &view, normal, &known).without_places()
        };
        let prepared: Vec<Receiver> = facing.par_iter().map(one).collect();
        prepared.into_iter().collect()
    }

    /// Light at an instant; `turf` is the shadow on the ground.
    pub fn at(&self, sky: &SkyLight, turf: &Shadow) -> SceneLight {
        match sky.daylight.direct_normal.lux() > 0.0 {
            true => self.reached(sky, &self.reach(turf, sky.toward_sun)),
            false => self.reached(sky, &SunReach::default()),
        }
    }

    /// The same where it is known what the sun reaches: for several airs under one sun.
    pub fn reached(&self, sky: &SkyLight, reach: &SunReach) -> SceneLight {
        let cells = CellLight::new(&sky.glow);
        let base = self.base(&cells);
        let sun = Sun { normal: sky.daylight.direct_normal, toward: sky.toward_sun };
        let (emitted, turf) = self.lit(&base, Some((&sun, &reach.places, &reach.pieces)));
        SceneLight {
            base,
            cells,
            inside: self.places.inside(),
            toward_sun: sun.toward,
            direct_normal: sun.normal,
            direct_horizontal: sun.horizontal(),
            sunlit: self.spots_in_sun(sun.horizontal(), &reach.spots),
            sunlit_ground: self.of_ground(sun.horizontal()),
            reflects: self.reflects,
            lamps: Floodlit::DARK,
            unlit: self.spots_of(&emitted),
            emitted,
            turf,
        }
    }

    /// What a risen sun reaches; `turf` is the shadow on the ground.
    pub fn reach(&self, turf: &Shadow, toward_sun: DVec3) -> SunReach {
        let spots = self.ground_in_sun(turf, toward_sun);
        SunReach {
            places: self.ground.at_places(&spots, self.turf.len()),
            spots,
            ..self.reach_level(toward_sun)
        }
    }

    /// What a sun on the horizon reaches, which lights no ground.
    pub fn reach_level(&self, toward_sun: DVec3) -> SunReach {
        SunReach { pieces: self.pieces_in_sun(toward_sun), ..SunReach::default() }
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

    /// What the sky alone sends to turf and receivers, straight and by way of stands and
    /// ground.
    pub fn of_sky(&self, sky: &SkyLight, faces: &Receivers) -> Sent {
        let cells = CellLight::new(&sky.glow);
        let (emitted, turf) = self.lit(&self.base(&cells), None);
        let mut on_faces = faces.light_of_sky(&cells);
        faces.add_emitters(&emitted, &mut on_faces);
        faces.add_spots(&self.spots_of(&emitted), &mut on_faces);
        Sent { turf, faces: on_faces }
    }

    /// What stands and ground send on of the sun's light, without the sky's; what faces
    /// get straight from sunlit ground is left out.
    pub fn of_sun(
        &self,
        toward: DVec3,
        normal: Tristimulus,
        reach: &SunReach,
        faces: &Receivers,
    ) -> Sent {
        let dark = Base {
            turf: vec![Tristimulus::ZERO; self.turf.len()],
            pieces: vec![Tristimulus::ZERO; self.pieces.len()],
        };
        let sun = Sun { normal, toward };
        let (emitted, turf) = self.lit(&dark, Some((&sun, &reach.places, &reach.pieces)));
        let mut on_faces = vec![Tristimulus::ZERO; faces.len()];
        faces.add_emitters(&emitted, &mut on_faces);
        faces.add_spots(&self.spots_of(&emitted), &mut on_faces);
        Sent { turf, faces: on_faces }
    }

    /// Share of the direct light that arrives at each spot of the ground.
    pub fn ground_in_sun(&self, turf: &Shadow, toward_sun: DVec3) -> Vec<f32> {
        self.ground.in_sun(turf, &self.places, &self.obstacles, toward_sun)
    }

    /// Luminance of either kind of ground that gets an illuminance, cd/m2.
    pub fn of_ground(&self, light: Tristimulus) -> [Tristimulus; 2] {
        self.reflects.map(|reflects| light.tinted(reflects) * (1.0 / PI))
    }

    /// Luminance of each spot of the ground by the sun alone, cd/m2: `horizontal` where it
    /// is in full sun, lx.
    pub fn spots_in_sun(&self, horizontal: Tristimulus, in_sun: &[f32]) -> Vec<Vec4> {
        let kinds = self.of_ground(horizontal).map(four);
        let spots = in_sun.iter().enumerate();
        spots.map(|(spot, share)| kinds[self.ground.kind(spot)] * *share).collect()
    }

    /// Luminance of each spot of the ground, cd/m2, out of that of its places.
    fn spots_of(&self, emitted: &[Vec4]) -> Vec<Vec4> {
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

    /// What each piece gives off of sunlight, for one lux on a plane facing the sun, cd/m2.
    fn pieces_in_sun(&self, toward_sun: DVec3) -> Vec<f32> {
        let pieces = self.surround.pieces().iter();
        pieces.map(|piece| piece.sunlit(&self.obstacles, toward_sun) as f32).collect()
    }

    fn base(&self, cells: &CellLight) -> Base {
        Base { turf: self.turf.light_of_sky(cells), pieces: self.pieces.light_of_sky(cells) }
    }

    /// Luminances of all emitters, and with them the light on the turf.
    /// `sun` comes with the share of it that reaches each place of the ground, and with what
    /// pieces give off of it.
    fn lit(
        &self,
        base: &Base,
        sun: Option<(&Sun, &[f32], &[f32])>,
    ) -> (Vec<Vec4>, Vec<Tristimulus>) {
        let mut own = base.pieces.clone();
        let kinds =
            self.reflects.map(|reflects| four(Tristimulus::from(reflects)) * (1.0 / PI) as f32);
        let on_ground = |turf: &[Tristimulus], emitted: &mut Vec<Vec4>| {
            for kind in kinds {
                emitted.extend(turf.iter().map(|light| four(*light) * kind));
            }
        };
        let sun = sun.filter(|(sun, ..)| sun.normal.lux() > 0.0);
        let mut first = base.turf.clone();
        if let Some((sun, places, _)) = sun {
            for (light, share) in first.iter_mut().zip(places) {
                *light += sun.horizontal() * f64::from(*share);
            }
        }
        let mut ground = vec![Vec4::ZERO; self.surround.len()];
        on_ground(&first, &mut ground);
        self.pieces.add_emitters(&ground, &mut own);
        if let Some((sun, _, pieces)) = sun {
            for (own, piece) in own.iter_mut().zip(pieces) {
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

/// What the sun reaches at an instant.
#[derive(Debug, Clone, Default)]
pub struct SunReach {
    /// Share of it at each spot and at each place of the ground, 0 to 1.
    spots: Vec<f32>,
    places: Vec<f32>,
    /// What each piece gives off of it, for one lux on a plane facing the sun, cd/m2.
    pieces: Vec<f32>,
}

/// The sun at an instant.
struct Sun {
    /// On a plane facing it, lx.
    normal: Tristimulus,
    toward: DVec3,
}

impl Sun {
    fn horizontal(&self) -> Tristimulus {
        self.normal * self.toward.z.max(0.0)
    }
}

/// What pieces from one on see.
fn of_pieces(
    surround: &Surround,
    first: usize,
    obstacles: &Obstacles,
    dome: &SkyDome,
) -> Vec<Vec<(SkyView, DVec3, f64)>> {
    surround.pieces()[first..].par_iter().map(|piece| piece.views(obstacles, dome)).collect()
}

/// What comes back of the luminance of pieces: to each other, and by way of the ground.
fn back(
    pieces: &[Receiver],
    turf: &[Receiver],
    count: usize,
    reflects: GroundReflectances,
) -> Vec<Vec<(usize, Vec4)>> {
    let ground = reflects.map(|reflects| four(Tristimulus::from(reflects) * (1.0 / PI)));
    let on_turf: Vec<Vec<(usize, f64)>> = turf.iter().map(|t| t.pieces().collect()).collect();
    let row = |piece: &Receiver| {
        let mut sent = vec![Vec4::ZERO; count];
        for (other, factor) in piece.pieces() {
            sent[other] += Vec4::splat(factor as f32);
        }
        for (emitter, factor) in piece.ground() {
            let (kind, place) = ((emitter - count) / turf.len(), (emitter - count) % turf.len());
            for (other, share) in on_turf.get(place).into_iter().flatten() {
                sent[*other] += ground[kind] * (factor * share) as f32;
            }
        }
        let kept = sent.iter().map(|v| v.truncate().max_element()).sum::<f32>();
        let scale = ((1.0 - LOST) / kept.max(f32::MIN_POSITIVE)).min(1.0);
        sent.iter()
            .enumerate()
            .filter(|(_, v)| **v != Vec4::ZERO)
            .map(|(i, v)| (i, *v * scale))
            .collect()
    };
    pieces.par_iter().map(row).collect()
}

/// Light of one source, lx.
#[derive(Debug, Clone)]
pub struct Sent {
    /// On the turf, at each place that light is known at.
    pub turf: Vec<Tristimulus>,
    /// On each of the receivers.
    pub faces: Vec<Tristimulus>,
}

/// All light on turf and faces but the sun's own, lx.
#[derive(Debug, Clone)]
pub struct DiffuseLight {
    /// On the turf, at each place that light is known at.
    pub turf: Vec<Tristimulus>,
    /// On each of the receivers.
    pub faces: Vec<FaceLight>,
}

/// All light on a face but the sun's own, lx.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceLight {
    pub as_it_is: Tristimulus,
    /// Were all the ground that it sees in the sun, and in shade.
    pub ground_in_sun: Tristimulus,
    pub ground_in_shade: Tristimulus,
}

impl FaceLight {
    /// Nothing.
    pub const DARK: Self = Self {
        as_it_is: Tristimulus::ZERO,
        ground_in_sun: Tristimulus::ZERO,
        ground_in_shade: Tristimulus::ZERO,
    };

    /// The sum of some by their weights.
    pub fn weighted(faces: &[Self], weights: &[(usize, f64)]) -> Self {
        let mut sum = Self::DARK;
        for (face, weight) in weights.iter().filter_map(|&(i, w)| Some((faces.get(i)?, w))) {
            sum.as_it_is += face.as_it_is * weight;
            sum.ground_in_sun += face.ground_in_sun * weight;
            sum.ground_in_shade += face.ground_in_shade * weight;
        }
        sum
    }
}

/// Light on receivers: `shade` is all but what they get from sunlit ground, `sunlit` the
/// luminance of either kind of ground in full sun, `spots` that of each spot.
pub(super) fn on_faces(
    receivers: &Receivers,
    shade: Vec<Tristimulus>,
    sunlit: [Tristimulus; 2],
    spots: &[Vec4],
) -> Vec<FaceLight> {
    let mut now = shade.clone();
    receivers.add_spots(spots, &mut now);
    let all = shade.into_iter().zip(now).zip(receivers.ground_views());
    let face = |((shade, now), views): ((Tristimulus, Tristimulus), [f64; 2])| FaceLight {
        as_it_is: now,
        ground_in_sun: shade + (sunlit[0] * views[0] + sunlit[1] * views[1]) * PI,
        ground_in_shade: shade,
    };
    all.map(face).collect()
}

/// Light of the sky alone: on turf in lx, of pieces in cd/m2.
#[derive(Debug, Clone)]
struct Base {
    turf: Vec<Tristimulus>,
    pieces: Vec<Tristimulus>,
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
    /// Luminance of either kind of ground in full sun, by the sun alone, cd/m2, and of each
    /// spot of it as it is.
    sunlit_ground: [Tristimulus; 2],
    sunlit: Vec<Vec4>,
    /// Luminance of each spot of the ground without the sun's light on it, cd/m2.
    unlit: Vec<Vec4>,
    reflects: GroundReflectances,
    lamps: Floodlit,
    /// Luminance of each piece and each place of the ground, cd/m2; of the latter without
    /// the sun's light on it.
    emitted: Vec<Vec4>,
    /// From sky and surroundings on the turf, at each place that light is known at, lx.
    pub turf: Vec<Tristimulus>,
}

impl SceneLight {
    /// The same with floodlights.
    pub fn with_lamps(self, lamps: Floodlit) -> Self {
        Self { lamps, ..self }
    }

    /// The floodlights.
    pub fn lamps(&self) -> &Floodlit {
        &self.lamps
    }

    /// All light but the sun's own and that of the floodlights on prepared receivers, lx.
    pub fn on(&self, receivers: &Receivers) -> Vec<FaceLight> {
        let mut shade = receivers.light_of_sky(&self.cells);
        receivers.add_emitters(&self.emitted, &mut shade);
        receivers.add_spots(&self.unlit, &mut shade);
        on_faces(receivers, shade, self.sunlit_ground, &self.sunlit)
    }

    /// The same as it is, and when a cloud covers the sun.
    pub fn on_both(
        &self,
        receivers: &Receivers,
        covered: &CoveredLight,
    ) -> (Vec<FaceLight>, Vec<Tristimulus>) {
        let mut shade = receivers.light_of_sky(&self.cells);
        let mut under_cloud = shade.clone();
        receivers.add_emitters(&self.emitted, &mut shade);
        receivers.add_spots(&self.unlit, &mut shade);
        receivers.add_change(&covered.change, &mut under_cloud);
        receivers.add_emitters(&covered.emitted, &mut under_cloud);
        receivers.add_spots(&covered.spots, &mut under_cloud);
        (on_faces(receivers, shade, self.sunlit_ground, &self.sunlit), under_cloud)
    }

    /// From the sun on a face, nothing in the way, lx.
    pub fn direct_on(&self, normal: DVec3) -> Tristimulus {
        self.direct_normal * normal.dot(self.toward_sun).max(0.0)
    }

    /// From floodlights on a face of a venue, and from the ground under them; a camera
    /// may state its own level. `ground` is how much of what the face sees is ground.
    pub fn lamps_on(&self, normal: DVec3, ground: [f64; 2], own: Option<Lux>) -> Tristimulus {
        let reflected = ground_reflected(self.lamps.horizontal, self.reflects, ground);
        self.lamps.on(normal, own) + reflected
    }

    /// All light on the turf at a place that `through` of the direct light reaches, by
    /// the place's weights, lx.
    pub fn on_turf(&self, weights: &[(usize, f64)], through: f64) -> Tristimulus {
        self.direct_horizontal * through + self.turf_at(weights) + self.lamps.horizontal
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

/// Light on a face from ground that gets an illuminance all over, lx. `views` is how much of
/// what the face sees is ground of either kind: a half in all for an upright face in the
/// open.
pub fn ground_reflected(
    on_ground: Tristimulus,
    reflects: GroundReflectances,
    views: [f64; 2],
) -> Tristimulus {
    on_ground.tinted(reflects[0]) * views[0] + on_ground.tinted(reflects[1]) * views[1]
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

/// The sum of some lights by their weights.
pub(crate) fn weighted(light: &[Tristimulus], weights: &[(usize, f64)]) -> Tristimulus {
    let at = |i: usize| light.get(i).copied().unwrap_or(Tristimulus::ZERO);
    weights.iter().map(|&(i, weight)| at(i) * weight).sum()
}

fn mean(light: &[Tristimulus], first: usize) -> Tristimulus {
    light.iter().take(first).copied().sum::<Tristimulus>() * (1.0 / first.max(1) as f64)
}

fn four(light: Tristimulus) -> Vec4 {
    DVec3::from(light.values()).as_vec3().extend(0.0)
}

fn on_turf(at: Coord<f64>) -> DVec3 {
    DVec3::new(at.x, at.y, TURF_HEIGHT_M)
}
