//! A camera prepared for asking: what do sun and shade look like from here.
//!
//! In: a camera position, its [`Cover`], the venue's [`Scene`], the [`Faces`] that all
//! cameras ask for light; then, per instant,
//! the [`InstantLight`]: the sun, the light and the shadows at turf and face height.
//! Out: a [`CameraView`].
//!
//! The cover is sampled at evenly spread places. The light on
//! * turf is the direct light that arrives, and what sky and surroundings send
//!   (linear between the places of the scene's lattice);
//! * a face at 1.7 m turned toward the camera is the direct light by the cosine of
//!   its incidence, what sky and surroundings send to it, and what the ground in
//!   front of it throws up: half of what a face sees is ground, most of it within
//!   a few metres, each piece of it in the sun or in shade.
//!
//! Floodlights add the same on both sides.

use geo::Coord;
use glam::DVec3;

use super::cover::{Cover, frames};
use super::sides::{Lit, Sides};
use super::split::CameraView;
use crate::geometry::{FACE_HEIGHT_M, Lattice, Region, Shadow};
use crate::light::{CoveredLight, Faces, Floodlit, Scene, SceneLight, Tristimulus, weighted};
use crate::units::Lux;
use crate::venue::CameraPost;

/// About this many places of the cover are sampled.
pub(super) const SAMPLES: f64 = 240.0;
/// About so many frames of a sweep are looked at, and each side of the edge takes
/// this share of a frame that shows both.
pub(super) const FRAMES: usize = 24;
const FRAME_SIDE: f64 = 0.05;
/// Rays from a face to the ground, each with an equal share of what it gets.
const GROUND_RINGS: usize = 3;
const GROUND_TURNS: usize = 4;

/// Reflectance of the grey surface a subject stands for: the 18 % grey card of
/// exposure metering (common practice, no source).
pub const GREY_REFLECTANCE: f64 = 0.18;

/// A camera and all about it that does not change during a day.
#[derive(Debug, Clone)]
pub struct CameraEye {
    region: Region,
    samples: Vec<Sample>,
    /// Samples that each frame of a sweep shows.
    frames: Vec<Vec<usize>>,
    turf_reflects: [f64; 3],
    floodlight: Option<Lux>,
}

/// A place of the cover and what its light is made of.
#[derive(Debug, Clone)]
pub(super) struct Sample {
    at: Coord<f64>,
    /// Horizontal unit vector from the subject toward the camera.
    pub facing: DVec3,
    /// The place on the lattice of light.
    pub place: Vec<(usize, f64)>,
    /// What the light on its face is made of.
    pub face: Vec<(usize, f64)>,
    /// Places of the lattice of shade that the face sees of the ground.
    ground: Vec<usize>,
}

/// Light and shade at one instant, for every camera.
pub struct InstantLight<'a> {
    pub light: &'a SceneLight,
    /// The same with a cloud over the sun that now shines.
    pub covered: Option<&'a CoveredLight>,
    /// From sky and surroundings on the receivers that the cameras' [`Faces`] asked for,
    /// lx; and with a cloud over the sun.
    pub faces: &'a [Tristimulus],
    pub covered_faces: &'a [Tristimulus],
    /// Shadows at turf and at face height.
    pub turf: &'a Shadow,
    pub face: &'a Shadow,
    /// Share of the direct light at each place of the lattice of shade.
    pub ground: &'a [f32],
    pub toward_sun: DVec3,
    pub floodlit: Floodlit,
}

impl CameraEye {
    /// Prepares a camera. `shade` is the lattice that the shade on the ground is
    /// told on.
    pub fn new(
        post: &CameraPost,
        cover: &Cover,
        scene: &Scene,
        shade: &Lattice,
        faces: &mut Faces,
    ) -> Self {
        let places = Lattice::over(&cover.region, cover.area_m2, SAMPLES);
        let samples: Vec<Sample> =
            places.places().iter().map(|&at| sample(post, at, scene, shade, faces)).collect();
        Self {
            region: Region::new(&cover.region),
            frames: frames(post, places.places(), FRAMES),
            samples,
            turf_reflects: scene.turf_reflects(),
            floodlight: post.floodlight,
        }
    }

    /// What the camera sees of an instant.
    pub fn view(&self, now: &InstantLight) -> CameraView {
        let (turf, subject) = self.lit(now);
        let in_sun: Vec<bool> = turf.iter().map(|lit| lit.transmission >= 1.0).collect();
        let (turf_share, face_share) = (self.region.share(now.turf), self.region.share(now.face));
        let sun_out = now.light.direct_normal.lux() > 0.0;
        let flood = now.floodlit.horizontal;
        let toward = now.floodlit.toward(self.floodlight) + self.thrown_up(flood);
        let reflectance = self.turf_reflects[1];
        let turf = Sides { lit: &turf, reflectance, share: turf_share, sun_out };
        let subject =
            Sides { lit: &subject, reflectance: GREY_REFLECTANCE, share: face_share, sun_out };
        CameraView {
            shaded_share: turf_share.shaded,
            mixed_frames: if sun_out { mixed_frames(&self.frames, &in_sun) } else { 0.0 },
            turf: turf.split(flood),
            subject: subject.split(toward),
        }
    }

    /// Light on the turf and on the face of each sample.
    fn lit(&self, now: &InstantLight) -> (Vec<Lit>, Vec<Lit>) {
        let light = now.light;
        let one = |sample: &Sample| {
            let sky = light.turf_at(&sample.place);
            let through = now.turf.transmission_at(sample.at).share();
            let turf = Lit {
                transmission: through,
                direct: light.direct_horizontal,
                rest: sky,
                rest_if_sun: sky,
                rest_if_shade: sky,
                covered: now.covered.map(|covered| covered.turf_at(&sample.place)),
            };
            let ground = self.ground(sample, now, sky);
            let own = weighted(now.faces, &sample.face);
            let covered = now.covered.map(|covered| {
                let own = weighted(now.covered_faces, &sample.face);
                own + self.thrown_up(covered.turf_at(&sample.place))
            });
            let subject = Lit {
                transmission: now.face.transmission_at(sample.at).share(),
                direct: light.direct_normal * sample.facing.dot(now.toward_sun).max(0.0),
                rest: own + ground,
                rest_if_sun: own + self.thrown_up(sky + light.direct_horizontal),
                rest_if_shade: own + self.thrown_up(sky),
                covered,
            };
            (turf, subject)
        };
        self.samples.iter().map(one).unzip()
    }

    /// What the ground in front of a face throws up, as much of it as is in the
    /// sun.
    fn ground(&self, sample: &Sample, now: &InstantLight, sky: Tristimulus) -> Tristimulus {
        let share = sample.lit_ground(now.ground);
        self.thrown_up(sky + now.light.direct_horizontal * share)
    }

    /// Light on an upright face from evenly lit ground: half of what it sees.
    fn thrown_up(&self, on_ground: Tristimulus) -> Tristimulus {
        thrown_up(on_ground, self.turf_reflects)
    }
}

impl Sample {
    /// Share of the direct light on the ground that the face sees, 0 to 1.
    pub fn lit_ground(&self, ground: &[f32]) -> f64 {
        let through = |&place: &usize| ground.get(place).map_or(0.0, |&t| f64::from(t));
        let count = self.ground.len().max(1) as f64;
        self.ground.iter().map(through).sum::<f64>() / count
    }
}

/// Light on an upright face from evenly lit ground: half of what it sees.
pub(super) fn thrown_up(on_ground: Tristimulus, turf_reflects: [f64; 3]) -> Tristimulus {
    on_ground.tinted(turf_reflects) * 0.5
}

/// Share of the frames of a sweep that show sun and shade at once.
pub(super) fn mixed_frames(frames: &[Vec<usize>], in_sun: &[bool]) -> f64 {
    let lit = |frame: &Vec<usize>| {
        let sunlit = frame.iter().filter(|&&i| in_sun.get(i).is_some_and(|&lit| lit)).count();
        sunlit as f64 / frame.len().max(1) as f64
    };
    let showing = frames.iter().filter(|f| !f.is_empty());
    let mixed = showing.clone().filter(|f| (FRAME_SIDE..=1.0 - FRAME_SIDE).contains(&lit(f)));
    mixed.count() as f64 / showing.count().max(1) as f64
}

pub(super) fn sample(
    post: &CameraPost,
    at: Coord<f64>,
    scene: &Scene,
    shade: &Lattice,
    faces: &mut Faces,
) -> Sample {
    let flat = DVec3::new(post.at.x - at.x, post.at.y - at.y, 0.0);
    let facing = flat.try_normalize().unwrap_or(DVec3::Y);
    let seen = |[across, up]: [f64; 2]| {
        let ahead = (1.0 - across * across - up * up).sqrt();
        let right = DVec3::new(facing.y, -facing.x, 0.0);
        let reach = (right * across + facing * ahead) * (FACE_HEIGHT_M / -up);
        Coord { x: at.x + reach.x, y: at.y + reach.y }
    };
    let place = scene.lattice().weights(at);
    Sample {
        at,
        facing,
        face: faces.ask(at, facing, &place),
        place,
        ground: ground_rays().filter_map(|ray| shade.nearest(seen(ray))).collect(),
    }
}

/// Places of equal share on the lower half of the disc onto which what a face sees
/// projects with its cosine (Nusselt's analogue): `[across, up]`, `up` negative.
fn ground_rays() -> impl Iterator<Item = [f64; 2]> {
    (0..GROUND_RINGS * GROUND_TURNS).map(|i| {
        let (ring, turn) = (i / GROUND_TURNS, i % GROUND_TURNS);
        let radius = ((ring as f64 + 0.5) / GROUND_RINGS as f64).sqrt();
        let angle = std::f64::consts::PI * (turn as f64 + 0.5) / GROUND_TURNS as f64;
        [radius * angle.cos(), -radius * angle.sin()]
    })
}
