//! A camera prepared for tens of thousands of instants.
//!
//! In: a camera position, its [`Cover`], the venue's [`Scene`]; then, per instant, a
//! [`GlanceLight`]. Out: a [`CameraView`] without the swing under a cloud.
//!
//! The same places of the cover as [`super::CameraEye`] looks at, with light from
//! [`crate::light::BySun`].

use glam::DVec3;

use super::cover::Cover;
use super::cover_shade::CoverShade;
use super::eye::{GREY_REFLECTANCE, Sample, ground_view, rests, sample};
use super::shown::Shown;
use super::sides::{Lit, Sides};
use super::split::{CameraView, Split};
use crate::geometry::{CellShade, Shadow};
use crate::light::{
    DiffuseLight, FaceLight, Faces, Floodlit, GroundReflectances, Receivers, Scene, Tristimulus,
    ground_reflected, weighted,
};
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
    ground_view: [f64; 2],
    ground_reflects: GroundReflectances,
}

/// Light and shade at one instant with direct sun.
pub struct GlanceLight<'a> {
    /// All but the sun's own light on the places of the ground, and on the receivers that
    /// the cameras' [`Faces`] asked for, lx.
    pub rest: &'a DiffuseLight,
    /// From the sun, facing it and on the horizontal, lx.
    pub direct_normal: Tristimulus,
    pub direct_horizontal: Tristimulus,
    /// Unit vector.
    pub toward_sun: DVec3,
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
            ground_view: [0.5, 0.0],
            ground_reflects: scene.ground_reflects(),
        }
    }

    /// Learns how much ground its faces see, once the receivers they asked for are there.
    pub fn see_ground(&mut self, faces: &Receivers) {
        self.ground_view = ground_view(&self.samples, &faces.ground_views());
    }

    /// What the shadows on the turf and at face height do to the cover; without the second
    /// there is no look at a subject.
    pub fn shade(&self, turf: &Shadow, face: Option<&Shadow>) -> CoverShade {
        CoverShade::new(&self.shown, turf, face)
    }

    /// What the camera sees of an instant.
    pub fn view(&self, now: &GlanceLight, shade: &CoverShade) -> CameraView {
        let CoverShade { ground, turf: cells, face } = shade;
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
        let (reflectance, shares) = (self.turf_reflects[1], self.shown.shares(cells));
        let sides = Sides { lit: &lit, reflectance, shares, sun_out: true };
        CameraView {
            shaded_share: ground.shaded,
            mixed_frames: self.shown.mixed_frames(cells),
            turf: sides.split(now.floodlit.horizontal),
            subject: face.as_ref().map_or(Split::NOTHING, |face| self.subject(now, face)),
        }
    }

    fn subject(&self, now: &GlanceLight, cells: &[CellShade]) -> Split {
        let samples = self.samples.iter().zip(self.shown.weights()).zip(cells);
        let lit = samples.map(|((sample, weight), shade)| face(sample, *weight, shade, now));
        let lit: Vec<Lit> = lit.collect();
        let ground =
            ground_reflected(now.floodlit.horizontal, self.ground_reflects, self.ground_view);
        let toward = now.floodlit.on(DVec3::X, self.floodlight) + ground;
        let (reflectance, shares) = (GREY_REFLECTANCE, self.shown.shares(cells));
        Sides { lit: &lit, reflectance, shares, sun_out: true }.split(toward)
    }
}

fn face(sample: &Sample, weight: f64, shade: &CellShade, now: &GlanceLight) -> Lit {
    let face = FaceLight::weighted(&now.rest.faces, &sample.face);
    let (rest_if_sun, rest_if_shade) = rests(&face, shade);
    Lit {
        weight,
        direct: now.direct_normal * sample.facing.dot(now.toward_sun).max(0.0),
        rest_if_sun,
        rest_if_shade,
        covered: None,
    }
}
