//! A camera prepared for tens of thousands of instants.
//!
//! In: a camera position, its [`Cover`], the venue's [`Scene`]; then, per instant, a
//! [`GlanceLight`]. Out: a [`CameraView`] without the swing under a cloud.
//!
//! The same places of the cover as [`super::CameraEye`] looks at, with light from
//! [`crate::light::BySun`].

use glam::DVec3;

use super::cover::Cover;
use super::eye::{GREY_REFLECTANCE, Sample, sample, thrown_up};
use super::shown::Shown;
use super::sides::{Lit, Sides};
use super::split::{CameraView, Split};
use crate::geometry::Shadow;
use crate::light::{Faces, Floodlit, Scene, Spread, Tristimulus, weighted};
use crate::units::Lux;
use crate::venue::CameraPost;

/// A camera and all about it that does not change.
#[derive(Debug, Clone)]
pub struct Glance {
    shown: Shown,
    /// At the places shown.
    samples: Vec<Sample>,
    turf_reflects: [f64; 3],
    floodlight: Option<Lux>,
}

/// Light and shade at one instant with direct sun.
pub struct GlanceLight<'a> {
    /// From sky and surroundings on the places of the turf's lattice, and on the
    /// receivers that the cameras' [`Faces`] asked for, lx.
    pub rest: &'a Spread,
    /// From the sun, facing it and on the horizontal, lx.
    pub direct_normal: Tristimulus,
    pub direct_horizontal: Tristimulus,
    /// Unit vector.
    pub toward_sun: DVec3,
    pub turf: &'a Shadow,
    /// Shade at face height; without it there is no look at a subject.
    pub face: Option<&'a Shadow>,
    pub floodlit: Floodlit,
}

impl Glance {
    /// Prepares a camera.
    pub fn new(post: &CameraPost, cover: &Cover, scene: &Scene, faces: &mut Faces) -> Self {
        let shown = Shown::new(post, cover);
        let one = |at: &geo::Coord<f64>| sample(post, *at, scene, faces);
        Self {
            samples: shown.places().iter().map(one).collect(),
            shown,
            turf_reflects: scene.turf_reflects(),
            floodlight: post.floodlight,
        }
    }

    /// What the camera sees of an instant.
    pub fn view(&self, now: &GlanceLight) -> CameraView {
        let (ground, cells) = self.shown.shade(now.turf);
        let sky = |sample: &Sample| weighted(&now.rest.turf, &sample.place);
        let sky: Vec<Tristimulus> = self.samples.iter().map(sky).collect();
        let turf = |(&sky, &weight): (&Tristimulus, &f64)| Lit {
            weight,
            direct: now.direct_horizontal,
            rest_if_sun: sky,
            rest_if_shade: sky,
            covered: None,
        };
        let lit: Vec<Lit> = sky.iter().zip(self.shown.weights()).map(turf).collect();
        let (reflectance, shares) = (self.turf_reflects[1], self.shown.shares(&cells));
        let sides = Sides { lit: &lit, reflectance, shares, sun_out: true };
        CameraView {
            shaded_share: ground.shaded,
            mixed_frames: self.shown.mixed_frames(&cells),
            turf: sides.split(now.floodlit.horizontal),
            subject: now.face.map_or(Split::NOTHING, |face| self.subject(now, face, &sky)),
        }
    }

    /// `sky` is the light of sky and surroundings on the turf of each sample.
    fn subject(&self, now: &GlanceLight, shade: &Shadow, sky: &[Tristimulus]) -> Split {
        let (_, cells) = self.shown.shade(shade);
        let samples = self.samples.iter().zip(sky).zip(self.shown.weights());
        let lit = samples.map(|((sample, sky), weight)| self.face(sample, *sky, *weight, now));
        let lit: Vec<Lit> = lit.collect();
        let toward = now.floodlit.toward(self.floodlight)
            + thrown_up(now.floodlit.horizontal, self.turf_reflects);
        let (reflectance, shares) = (GREY_REFLECTANCE, self.shown.shares(&cells));
        Sides { lit: &lit, reflectance, shares, sun_out: true }.split(toward)
    }

    fn face(&self, sample: &Sample, sky: Tristimulus, weight: f64, now: &GlanceLight) -> Lit {
        let up = |on_ground| thrown_up(on_ground, self.turf_reflects);
        let own = weighted(&now.rest.faces, &sample.face);
        Lit {
            weight,
            direct: now.direct_normal * sample.facing.dot(now.toward_sun).max(0.0),
            rest_if_sun: own + up(sky + now.direct_horizontal),
            rest_if_shade: own + up(sky),
            covered: None,
        }
    }
}
