//! A camera prepared for asking: what do sun and shade look like from here.
//!
//! In: a camera position, its [`Cover`], the venue's [`Scene`], the [`Faces`] that all
//! cameras ask for light; then, per instant,
//! the [`InstantLight`]: the sun, the light and the shadows at turf and face height.
//! Out: a [`CameraView`].
//!
//! The cover is sampled at evenly spread places. The light on
//! * turf is the direct light, and what sky and surroundings send (linear between the places
//!   of the scene's lattice);
//! * a face at 1.7 m turned toward the camera is the direct light by the cosine of its
//!   incidence, what sky and surroundings send to it, and what the ground in front of it
//!   reflects: half of what a face sees is ground, most of it within a few metres. On the
//!   sunlit side that ground is in the sun, on the shaded side in shade.
//!
//! Floodlights add the same on both sides.

use geo::Coord;
use glam::DVec3;

use super::class::ClassShares;
use super::cover::Cover;
use super::shown::Shown;
use super::sides::{Lit, Sides};
use super::split::CameraView;
use crate::geometry::Shadow;
use crate::light::{CoveredLight, Faces, Floodlit, Scene, SceneLight, Tristimulus, weighted};
use crate::units::Lux;
use crate::venue::CameraPost;

/// Reflectance of the grey surface a subject stands for: the 18 % grey card of
/// exposure metering (common practice, no source).
pub const GREY_REFLECTANCE: f64 = 0.18;

/// A camera and all about it that does not change during a day.
#[derive(Debug, Clone)]
pub struct CameraEye {
    shown: Shown,
    /// At the places shown.
    samples: Vec<Sample>,
    turf_reflects: [f64; 3],
    floodlight: Option<Lux>,
}

/// A place of the cover and what its light is made of.
#[derive(Debug, Clone)]
pub(super) struct Sample {
    /// Horizontal unit vector from the subject toward the camera.
    pub facing: DVec3,
    /// The place on the lattice of light.
    pub place: Vec<(usize, f64)>,
    /// What the light on its face is made of.
    pub face: Vec<(usize, f64)>,
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
    pub toward_sun: DVec3,
    pub floodlit: Floodlit,
}

impl CameraEye {
    /// Prepares a camera.
    pub fn new(post: &CameraPost, cover: &Cover, scene: &Scene, faces: &mut Faces) -> Self {
        let shown = Shown::new(post, cover);
        let one = |&at: &Coord<f64>| sample(post, at, scene, faces);
        Self {
            samples: shown.places().iter().map(one).collect(),
            shown,
            turf_reflects: scene.turf_reflects(),
            floodlight: post.floodlight,
        }
    }

    /// What the camera sees of an instant.
    pub fn view(&self, now: &InstantLight) -> CameraView {
        let (turf, subject) = self.lit(now);
        let (ground, turf_cells) = self.shown.shade(now.turf);
        let (_, face_cells) = self.shown.shade(now.face);
        let sun_out = now.light.direct_normal.lux() > 0.0;
        let flood = now.floodlit.horizontal;
        let toward = now.floodlit.toward(self.floodlight) + self.thrown_up(flood);
        let of = |lit, reflectance, cells| Sides {
            lit,
            reflectance,
            shares: self.shown.shares(cells),
            sun_out,
        };
        CameraView {
            shaded_share: ground.shaded,
            mixed_frames: if sun_out { self.shown.mixed_frames(&turf_cells) } else { 0.0 },
            turf: of(&turf, self.turf_reflects[1], &turf_cells).split(flood),
            subject: of(&subject, GREY_REFLECTANCE, &face_cells).split(toward),
        }
    }

    /// Shares of the picture under a shadow.
    pub fn shares(&self, shadow: &Shadow) -> ClassShares {
        self.shown.shares(&self.shown.shade(shadow).1)
    }

    /// Light on the turf and on the face of each sample.
    fn lit(&self, now: &InstantLight) -> (Vec<Lit>, Vec<Lit>) {
        let light = now.light;
        let one = |(sample, &weight): (&Sample, &f64)| {
            let sky = light.turf_at(&sample.place);
            let turf = Lit {
                weight,
                direct: light.direct_horizontal,
                rest_if_sun: sky,
                rest_if_shade: sky,
                covered: now.covered.map(|covered| covered.turf_at(&sample.place)),
            };
            let own = weighted(now.faces, &sample.face);
            let covered = now.covered.map(|covered| {
                let own = weighted(now.covered_faces, &sample.face);
                own + self.thrown_up(covered.turf_at(&sample.place))
            });
            let subject = Lit {
                weight,
                direct: light.direct_normal * sample.facing.dot(now.toward_sun).max(0.0),
                rest_if_sun: own + self.thrown_up(sky + light.direct_horizontal),
                rest_if_shade: own + self.thrown_up(sky),
                covered,
            };
            (turf, subject)
        };
        self.samples.iter().zip(self.shown.weights()).map(one).unzip()
    }

    /// Light on an upright face from evenly lit ground: half of what it sees.
    fn thrown_up(&self, on_ground: Tristimulus) -> Tristimulus {
        thrown_up(on_ground, self.turf_reflects)
    }
}

/// Light on an upright face from evenly lit ground: half of what it sees.
pub(super) fn thrown_up(on_ground: Tristimulus, turf_reflects: [f64; 3]) -> Tristimulus {
    on_ground.tinted(turf_reflects) * 0.5
}

pub(super) fn sample(
    post: &CameraPost,
    at: Coord<f64>,
    scene: &Scene,
    faces: &mut Faces,
) -> Sample {
    let flat = DVec3::new(post.at.x - at.x, post.at.y - at.y, 0.0);
    let facing = flat.try_normalize().unwrap_or(DVec3::Y);
    let place = scene.lattice().weights(at);
    Sample { facing, face: faces.ask(at, facing, &place), place }
}
