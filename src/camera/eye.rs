//! A camera prepared for asking: what do sun and shade look like from here.
//!
//! In: a camera position, its [`Cover`], the venue's [`Scene`], the [`Faces`] that all
//! cameras ask for light; then, per instant,
//! the [`InstantLight`]: the sun, the light and the shadows at turf and face height.
//! Out: a [`CameraView`].
//!
//! The cover is sampled at evenly spread places. The light on
//! * turf is the direct light that arrives, and what sky and surroundings send
//!   (linear between the places that light is known at);
//! * a face at 1.7 m turned toward the camera is the direct light by the cosine of
//!   its incidence, and what sky, surroundings and the ground in front of it send to it,
//!   each spot of that ground in the sun or in shade.
//!
//! Floodlights add the same on both sides. The sums are the light stage's; here they are
//! taken for the places of the cover.

use geo::Coord;
use glam::DVec3;

use super::cover::{Cover, frames};
use super::sides::{Lit, Sides};
use super::split::CameraView;
use crate::geometry::{Lattice, Region, Shadow};
use crate::light::{
    CoveredLight, FaceLight, Faces, Receivers, Scene, SceneLight, Tristimulus, weighted,
};
use crate::units::Lux;
use crate::venue::CameraPost;

/// About this many places of the cover are sampled.
pub(super) const SAMPLES: f64 = 240.0;
/// About so many frames of a sweep are looked at, and each side of the edge takes
/// this share of a frame that shows both.
pub(super) const FRAMES: usize = 24;
const FRAME_SIDE: f64 = 0.05;

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
    /// How much of what a face sees is ground, mean over the samples.
    ground_view: [f64; 2],
}

/// A place of the cover and what its light is made of.
#[derive(Debug, Clone)]
pub(super) struct Sample {
    at: Coord<f64>,
    /// Horizontal unit vector from the subject toward the camera.
    pub facing: DVec3,
    /// What the light on its turf is made of.
    pub place: Vec<(usize, f64)>,
    /// What the light on its face is made of.
    pub face: Vec<(usize, f64)>,
}

/// Light and shade at one instant, for every camera.
pub struct InstantLight<'a> {
    pub light: &'a SceneLight,
    /// The same with a cloud over the sun that now shines.
    pub covered: Option<&'a CoveredLight>,
    /// All but the sun's own light on the receivers that the cameras' [`Faces`] asked for,
    /// lx; and all light with a cloud over the sun.
    pub faces: &'a [FaceLight],
    pub covered_faces: &'a [Tristimulus],
    /// Shadows at turf and at face height.
    pub turf: &'a Shadow,
    pub face: &'a Shadow,
}

impl CameraEye {
    /// Prepares a camera.
    pub fn new(post: &CameraPost, cover: &Cover, scene: &Scene, faces: &mut Faces) -> Self {
        let places = Lattice::over(&cover.region, cover.area_m2, SAMPLES);
        let samples: Vec<Sample> =
            places.places().iter().map(|&at| sample(post, at, scene, faces)).collect();
        Self {
            region: Region::new(&cover.region),
            frames: frames(post, places.places(), FRAMES),
            samples,
            turf_reflects: scene.turf_reflects(),
            floodlight: post.floodlight,
            ground_view: [0.5, 0.0],
        }
    }

    /// Learns how much ground its faces see, once the receivers they asked for are there.
    pub fn see_ground(&mut self, faces: &Receivers) {
        self.ground_view = ground_view(&self.samples, &faces.ground_views());
    }

    /// What the camera sees of an instant.
    pub fn view(&self, now: &InstantLight) -> CameraView {
        let (turf, subject) = self.lit(now);
        let in_sun: Vec<bool> = turf.iter().map(|lit| lit.transmission >= 1.0).collect();
        let (turf_share, face_share) = (self.region.share(now.turf), self.region.share(now.face));
        let sun_out = now.light.direct_normal.lux() > 0.0;
        let flood = now.light.lamps().horizontal;
        let toward = now.light.lamps_on(DVec3::X, self.ground_view, self.floodlight);
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
            let face = FaceLight::weighted(now.faces, &sample.face);
            let subject = Lit {
                transmission: now.face.transmission_at(sample.at).share(),
                direct: light.direct_on(sample.facing),
                rest: face.as_it_is,
                rest_if_sun: face.ground_in_sun,
                rest_if_shade: face.ground_in_shade,
                covered: now.covered.map(|_| weighted(now.covered_faces, &sample.face)),
            };
            (turf, subject)
        };
        self.samples.iter().map(one).unzip()
    }
}

/// How much of what a face sees is ground of either kind, mean over samples.
pub(super) fn ground_view(samples: &[Sample], of_receivers: &[[f64; 2]]) -> [f64; 2] {
    let mut sum = [0.0; 2];
    for (i, weight) in samples.iter().flat_map(|sample| &sample.face) {
        let views = of_receivers.get(*i).copied().unwrap_or([0.5, 0.0]);
        sum = [0, 1].map(|kind| sum[kind] + views[kind] * weight);
    }
    sum.map(|view| view / samples.len().max(1) as f64)
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
    faces: &mut Faces,
) -> Sample {
    let flat = DVec3::new(post.at.x - at.x, post.at.y - at.y, 0.0);
    let facing = flat.try_normalize().unwrap_or(DVec3::Y);
    let place = scene.places().weights(at);
    Sample { at, facing, face: faces.ask(at, facing, &place), place }
}
