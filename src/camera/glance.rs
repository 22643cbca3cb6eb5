//! A camera prepared for tens of thousands of instants.
//!
//! In: a camera position, its [`Cover`], the venue's [`Scene`]; then, per instant, a
//! [`GlanceLight`]. Out: a [`CameraView`] without the swing under a cloud.
//!
//! The same places of the cover as [`super::CameraEye`] looks at, with shade at them found
//! row by row instead of place by place, and light from [`crate::light::BySun`].

use glam::DVec3;

use super::cover::{Cover, frames};
use super::eye::{FRAMES, GREY_REFLECTANCE, SAMPLES, Sample, mixed_frames, sample, thrown_up};
use super::sides::{Lit, Sides};
use super::split::{CameraView, Split};
use crate::geometry::{Lattice, Region, Shadow};
use crate::light::{Faces, Floodlit, Scene, Spread, Tristimulus, weighted};
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
    /// What the look at a subject needs; without it there is none.
    pub subject: Option<SubjectShade<'a>>,
    pub floodlit: Floodlit,
}

/// Shade that matters to upright faces.
#[derive(Clone, Copy)]
pub struct SubjectShade<'a> {
    /// At face height.
    pub face: &'a Shadow,
    /// Share of the direct light at each place of the lattice of shade on the turf.
    pub ground: &'a [f32],
}

impl Glance {
    /// Prepares a camera. `shade` is the lattice that the shade on the ground is told
    /// on.
    pub fn new(
        post: &CameraPost,
        cover: &Cover,
        scene: &Scene,
        shade: &Lattice,
        faces: &mut Faces,
    ) -> Self {
        let places = Lattice::over(&cover.region, cover.area_m2, SAMPLES);
        let one = |at: &geo::Coord<f64>| sample(post, *at, scene, shade, faces);
        Self {
            region: Region::new(&cover.region),
            samples: places.places().iter().map(one).collect(),
            frames: frames(post, places.places(), FRAMES),
            turf_reflects: scene.turf_reflects(),
            floodlight: post.floodlight,
            places,
        }
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
            subject: now.subject.map_or(Split::NOTHING, |shade| self.subject(now, &shade, &sky)),
        }
    }

    /// `sky` is the light of sky and surroundings on the turf of each sample.
    fn subject(&self, now: &GlanceLight, shade: &SubjectShade, sky: &[Tristimulus]) -> Split {
        let through = self.places.transmissions(shade.face);
        let samples = self.samples.iter().zip(&through).zip(sky);
        let lit = samples.map(|((sample, t), sky)| self.face(sample, (*t, *sky), now, shade));
        let lit: Vec<Lit> = lit.collect();
        let toward = now.floodlit.toward(self.floodlight)
            + thrown_up(now.floodlit.horizontal, self.turf_reflects);
        let share = self.region.share(shade.face);
        Sides { lit: &lit, reflectance: GREY_REFLECTANCE, share, sun_out: true }.split(toward)
    }

    fn face(
        &self,
        sample: &Sample,
        (through, sky): (f32, Tristimulus),
        now: &GlanceLight,
        shade: &SubjectShade,
    ) -> Lit {
        let up = |on_ground| thrown_up(on_ground, self.turf_reflects);
        let own = weighted(&now.rest.faces, &sample.face);
        let lit = sample.lit_ground(shade.ground);
        Lit {
            transmission: f64::from(through),
            direct: now.direct_normal * sample.facing.dot(now.toward_sun).max(0.0),
            rest: own + up(sky + now.direct_horizontal * lit),
            rest_if_sun: own + up(sky + now.direct_horizontal),
            rest_if_shade: own + up(sky),
            covered: None,
        }
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
