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

use super::class::ClassShares;
use super::cover::Cover;
use super::cover_shade::CoverShade;
use super::shown::Shown;
use super::sides::{Lit, Sides};
use super::split::CameraView;
use crate::geometry::{CellShade, Shadow};
use crate::light::{
    CoveredLight, FaceLight, Faces, Receivers, Scene, SceneLight, Tristimulus, weighted,
};
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
    /// How much of what a face sees is ground, mean over the samples.
    ground_view: [f64; 2],
}

/// A place of the cover and what its light is made of.
#[derive(Debug, Clone)]
pub(super) struct Sample {
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
        let shown = Shown::new(post, cover);
        let one = |&at: &Coord<f64>| sample(post, at, scene, faces);
        Self {
            samples: shown.places().iter().map(one).collect(),
            shown,
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
        self.view_in(now, &self.shade(now.turf, now.face))
    }

    /// What the shadows on the turf and at face height do to the cover.
    pub fn shade(&self, turf: &Shadow, face: &Shadow) -> CoverShade {
        CoverShade::new(&self.shown, turf, Some(face))
    }

    /// What the camera sees of an instant whose shade is known.
    pub fn view_in(&self, now: &InstantLight, shade: &CoverShade) -> CameraView {
        let CoverShade { ground, turf: turf_cells, face } = shade;
        let face_cells = face.as_deref().unwrap_or_default();
        let (turf, subject) = self.lit(now, face_cells);
        let sun_out = now.light.direct_normal.lux() > 0.0;
        let flood = now.light.lamps().horizontal;
        let toward = now.light.lamps_on(DVec3::X, self.ground_view, self.floodlight);
        let of = |lit, reflectance, cells| Sides {
            lit,
            reflectance,
            shares: self.shown.shares(cells),
            sun_out,
        };
        CameraView {
            shaded_share: ground.shaded,
            mixed_frames: if sun_out { self.shown.mixed_frames(turf_cells) } else { 0.0 },
            turf: of(&turf, self.turf_reflects[1], turf_cells).split(flood),
            subject: of(&subject, GREY_REFLECTANCE, face_cells).split(toward),
        }
    }

    /// Shares of the picture under a shadow.
    pub fn shares(&self, shadow: &Shadow) -> ClassShares {
        self.shown.shares(&self.shown.shade(shadow).1)
    }

    /// Light on the turf and on the face of each sample.
    fn lit(&self, now: &InstantLight, shade: &[CellShade]) -> (Vec<Lit>, Vec<Lit>) {
        let light = now.light;
        let one = |((sample, &weight), shade): ((&Sample, &f64), &CellShade)| {
            let sky = light.turf_at(&sample.place);
            let turf = Lit {
                weight,
                direct: light.direct_horizontal,
                rest_if_sun: sky,
                rest_if_shade: sky,
                covered: now.covered.map(|covered| covered.turf_at(&sample.place)),
            };
            let (rest_if_sun, rest_if_shade) =
                rests(&FaceLight::weighted(now.faces, &sample.face), shade);
            let subject = Lit {
                weight,
                direct: light.direct_on(sample.facing),
                rest_if_sun,
                rest_if_shade,
                covered: now.covered.map(|_| weighted(now.covered_faces, &sample.face)),
            };
            (turf, subject)
        };
        self.samples.iter().zip(self.shown.weights()).zip(shade).map(one).unzip()
    }
}

/// All but the sun's own light on a face in the sun and in shade: as it is as far as the
/// cell lies in that light now, and for the rest as it would be in the middle of that side.
pub(super) fn rests(face: &FaceLight, shade: &CellShade) -> (Tristimulus, Tristimulus) {
    let toward = |there: Tristimulus, share: f64| there + (face.as_it_is - there) * share;
    (toward(face.ground_in_sun, shade.sun), toward(face.ground_in_shade, shade.opaque))
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

pub(super) fn sample(
    post: &CameraPost,
    at: Coord<f64>,
    scene: &Scene,
    faces: &mut Faces,
) -> Sample {
    let flat = DVec3::new(post.at.x - at.x, post.at.y - at.y, 0.0);
    let facing = flat.try_normalize().unwrap_or(DVec3::Y);
    let place = scene.places().weights(at);
    Sample { facing, face: faces.ask(at, facing, &place), place }
}
