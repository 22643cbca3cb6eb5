//! A camera prepared for tens of thousands of instants.
//!
//! In: a camera position, its [`Cover`], the venue's [`Scene`]; then, per instant, a
//! [`GlanceLight`]. Out: a [`CameraView`] without the swing under a cloud.
//!
//! The same places of the cover as [`super::CameraEye`] looks at, with shade at them found
//! row by row instead of place by place, and light from [`crate::light::BySun`].

use glam::DVec3;

use super::cover::{Cover, frames};
use super::eye::{FRAMES, GREY_REFLECTANCE, SAMPLES, Sample, ground_view, mixed_frames, sample};
use super::sides::{Lit, Sides};
use super::split::{CameraView, Split};
use crate::geometry::{Lattice, Region, Shadow};
use crate::light::{
    DiffuseLight, FaceLight, Faces, Floodlit, GroundReflectances, Receivers, Scene, Tristimulus,
    ground_reflected, weighted,
};
use crate::units::Lux;
use crate::venue::CameraPost;

/// A camera and all about it that does not change.
#[derive(Debug, Clone)]
pub struct Glance {
    region: Region,
    places: Lattice,
    samples: Vec<Sample>,
    frames: Vec<Vec<usize>>,
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
    pub turf: &'a Shadow,
    /// The shadow at face height for the look at a subject; without it there is none.
    pub face: Option<&'a Shadow>,
    pub floodlit: Floodlit,
}

impl Glance {
    /// Prepares a camera.
    pub fn new(post: &CameraPost, cover: &Cover, scene: &Scene, faces: &mut Faces) -> Self {
        let places = Lattice::over(&cover.region, cover.area_m2, SAMPLES);
        let one = |at: &geo::Coord<f64>| sample(post, *at, scene, faces);
        Self {
            region: Region::new(&cover.region),
            samples: places.places().iter().map(one).collect(),
            frames: frames(post, places.places(), FRAMES),
            turf_reflects: scene.turf_reflects(),
            floodlight: post.floodlight,
            ground_view: [0.5, 0.0],
            ground_reflects: scene.ground_reflects(),
            places,
        }
    }

    /// Learns how much ground its faces see, once the receivers they asked for are there.
    pub fn see_ground(&mut self, faces: &Receivers) {
        self.ground_view = ground_view(&self.samples, &faces.ground_views());
    }

    /// What the camera sees of an instant.
    pub fn view(&self, now: &GlanceLight) -> CameraView {
        let share = self.region.share(now.turf);
        let through = self.places.transmissions(now.turf);
        let sky = |sample: &Sample| weighted(&now.rest.turf, &sample.place);
        let sky: Vec<Tristimulus> = self.samples.iter().map(sky).collect();
        let lit = through.iter().zip(&sky).map(|(through, sky)| turf(*through, *sky, now));
        let turf: Vec<Lit> = lit.collect();
        let in_sun: Vec<bool> = through.iter().map(|through| *through >= 1.0).collect();
        let flood = now.floodlit.horizontal;
        let reflectance = self.turf_reflects[1];
        let sides = Sides { lit: &turf, reflectance, share, sun_out: true };
        CameraView {
            shaded_share: share.shaded,
            mixed_frames: mixed_frames(&self.frames, &in_sun),
            turf: sides.split(flood),
            subject: now.face.map_or(Split::NOTHING, |face| self.subject(now, face)),
        }
    }

    fn subject(&self, now: &GlanceLight, shadow: &Shadow) -> Split {
        let through = self.places.transmissions(shadow);
        let samples = self.samples.iter().zip(&through);
        let lit: Vec<Lit> = samples.map(|(sample, t)| face(sample, *t, now)).collect();
        let ground =
            ground_reflected(now.floodlit.horizontal, self.ground_reflects, self.ground_view);
        let toward = now.floodlit.on(DVec3::X, self.floodlight) + ground;
        let share = self.region.share(shadow);
        Sides { lit: &lit, reflectance: GREY_REFLECTANCE, share, sun_out: true }.split(toward)
    }
}

fn face(sample: &Sample, through: f32, now: &GlanceLight) -> Lit {
    let face = FaceLight::weighted(&now.rest.faces, &sample.face);
    Lit {
        transmission: f64::from(through),
        direct: now.direct_normal * sample.facing.dot(now.toward_sun).max(0.0),
        rest: face.as_it_is,
        rest_if_sun: face.ground_in_sun,
        rest_if_shade: face.ground_in_shade,
        covered: None,
    }
}

fn turf(through: f32, sky: Tristimulus, now: &GlanceLight) -> Lit {
    Lit {
        transmission: f64::from(through),
        direct: now.direct_horizontal,
        rest: sky,
        rest_if_sun: sky,
        rest_if_shade: sky,
        covered: None,
    }
}
