//! A camera prepared for tens of thousands of instants.
//!
//! In: a camera position, its [`Coverage`], the venue's [`Scene`]; then, per instant, a
//! [`RowLight`]. Out: a [`CameraView`] without the swing under a cloud.
//!
//! The same places of the cover as [`super::CameraEye`] looks at, with light from
//! [`crate::light::BySun`].

use glam::DVec3;

use crate::base::units::Lux;
use crate::camera::cover::Coverage;
use crate::camera::cover_shade::CoverageShade;
use crate::camera::eye::{GREY_REFLECTANCE, Sample, ground_view, sample};
use crate::camera::shown::Shown;
use crate::camera::sides::{MeanLight, Sides};
use crate::camera::split::{CameraView, Split};
use crate::geometry::{CellShade, Shadow};
use crate::light::{
    DiffuseLight, FaceLight, Faces, FloodlightLight, GroundReflectances, Receivers, Scene,
    Tristimulus, weighted,
};
use crate::venue::CameraPost;

/// A camera and all about it that does not change.
#[derive(Debug, Clone)]
pub struct RowCamera {
    shown: Shown,
    /// At the places shown.
    samples: Vec<Sample>,
    turf_reflects: [f64; 3],
    floodlight: Option<Lux>,
    ground_view: [f64; 2],
    ground_reflects: GroundReflectances,
}

/// Light and shade at one instant with direct sun.
pub struct RowLight<'a> {
    /// All but the sun's own light on the places of the ground, and on the receivers that
    /// the cameras' [`Faces`] asked for, lx.
    pub rest: &'a DiffuseLight,
    /// From the sun, facing it and on the horizontal, lx.
    pub direct_normal: Tristimulus,
    pub direct_horizontal: Tristimulus,
    /// Unit vector.
    pub toward_sun: DVec3,
    pub floodlit: FloodlightLight,
}

impl RowCamera {
    /// Prepares a camera.
    pub fn new(post: &CameraPost, cover: &Coverage, scene: &Scene, faces: &mut Faces) -> Self {
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
    pub fn shade(&self, turf: &Shadow, face: Option<&Shadow>) -> CoverageShade {
        CoverageShade::new(&self.shown, turf, face)
    }

    /// What the camera sees of an instant.
    pub fn view(&self, now: &RowLight, shade: &CoverageShade) -> CameraView {
        let CoverageShade { ground, turf: cells, face } = shade;
        let sky =
            |(sample, weight): (&Sample, &f64)| weighted(&now.rest.turf, &sample.place) * *weight;
        let light = (!self.samples.is_empty()).then(|| MeanLight {
            in_shade: self.samples.iter().zip(self.shown.weights()).map(sky).sum(),
            sun_adds: now.direct_horizontal,
            covered: None,
        });
        let (reflectance, shares) = (self.turf_reflects[1], self.shown.shares(cells));
        let sides = Sides { light, reflectance, shares, sun_out: true };
        CameraView {
            shaded_share: ground.shaded,
            mixed_frames: self.shown.mixed_frames(cells),
            turf: sides.split(now.floodlit.horizontal),
            subject: face.as_ref().map_or(Split::NOTHING, |face| self.subject(now, face)),
        }
    }

    fn subject(&self, now: &RowLight, cells: &[CellShade]) -> Split {
        let mut mean =
            MeanLight { in_shade: Tristimulus::ZERO, sun_adds: Tristimulus::ZERO, covered: None };
        for ((sample, &weight), cell) in self.samples.iter().zip(self.shown.weights()).zip(cells) {
            let face = FaceLight::weighted(&now.rest.faces, &sample.face);
            let (if_sun, if_shade) = rests(&face, cell);
            let direct = now.direct_normal * sample.facing.dot(now.toward_sun).max(0.0);
            mean.in_shade += if_shade * weight;
            mean.sun_adds += (direct + brighter(if_sun - if_shade)) * weight;
        }
        let ground = (self.ground_reflects, self.ground_view);
        let toward = now.floodlit.with_ground(DVec3::X, self.floodlight, ground);
        let light = (!self.samples.is_empty()).then_some(mean);
        let (reflectance, shares) = (GREY_REFLECTANCE, self.shown.shares(cells));
        Sides { light, reflectance, shares, sun_out: true }.split(toward)
    }
}

/// All but the sun's own light on a face in the sun and in shade: as it is as far as the
/// cell lies in that light now, and for the rest as it would be in the middle of that side.
fn rests(face: &FaceLight, shade: &CellShade) -> (Tristimulus, Tristimulus) {
    let toward = |there: Tristimulus, share: f64| there + (face.as_it_is - there) * share;
    (toward(face.ground_in_sun, shade.sun), toward(face.ground_in_shade, shade.opaque))
}

/// What the ground adds in the sun, never less than nothing.
fn brighter(ground: Tristimulus) -> Tristimulus {
    let adds = ground.values().iter().all(|value| *value >= 0.0);
    if adds { ground } else { Tristimulus::ZERO }
}
