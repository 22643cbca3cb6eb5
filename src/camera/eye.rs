//! A camera prepared for asking: what do sun and shade look like from here.
//!
//! In: a camera position, its [`Coverage`], the venue's [`Scene`]; then, per instant, shadows
//! and what the sun reaches ([`InstantShade`]), and in each air the [`Sources`] of light, or
//! what they do as a table of a season knows it. Out: a [`CameraView`].
//!
//! The cover is sampled at evenly spread places. The light on
//! * turf is the direct light that arrives, and what sky and surroundings send
//!   (linear between the places that light is known at);
//! * a face at 1.7 m turned toward the camera is the direct light by the cosine of
//!   its incidence, and what sky, surroundings and the ground in front of it send to it,
//!   each spot of that ground in the sun or in shade.
//!
//! Floodlights add the same on both sides. All that is asked of the light are means over the
//! places, by their weights: what sky and surroundings send to a mean is a sum of the light
//! stage ([`DaylightCoefficients`]), and what the sun does to it is worked out once for all airs
//! ([`EyeShade`]).

use std::sync::Arc;

use geo::Coord;
use glam::DVec3;

use crate::base::units::Lux;
use crate::camera::class::ClassShares;
use crate::camera::cover::Coverage;
use crate::camera::shown::ShownTurf;
use crate::camera::sides::{MeanLight, Sides};
use crate::camera::split::{CameraView, Split};
use crate::geometry::{CellShade, FACE_HEIGHT_M, Shadow};
use crate::light::{
    DaylightCoefficients, Faces, GroundReflectances, LightSum, Receivers, Scene, Sharing, Sources,
    Straight, SunReach, Tristimulus, ground_reflected,
};
use crate::venue::CameraPost;

/// Reflectance of the grey surface a subject stands for: the 18 % grey card of
/// exposure metering (common practice, no source).
pub const GREY_REFLECTANCE: f64 = 0.18;

/// A camera and all about it that does not change during a day.
#[derive(Debug, Clone)]
pub struct CameraEye {
    shown: ShownTurf,
    /// At the places shown.
    samples: Vec<CoverSample>,
    faces: FaceReceivers,
    /// How much of what the face of each sample sees is ground of either kind.
    ground_views: Vec<[f64; 2]>,
    /// The same, mean over the samples.
    ground_view: [f64; 2],
    /// Of the mean light on turf and on faces, the sun's own left out.
    sums: Arc<DaylightCoefficients>,
    reflects: GroundReflectances,
    floodlight: Option<Lux>,
}

/// A place of the cover and what its light is made of.
#[derive(Debug, Clone)]
struct CoverSample {
    /// Horizontal unit vector from the subject toward the camera.
    facing: DVec3,
    /// Out of the ground, unit vector.
    up: DVec3,
    /// What the light on its turf is made of.
    place: Vec<(usize, f64)>,
    /// What the light on its face is made of.
    face: Vec<(usize, f64)>,
}

/// Where the light on a camera's faces is known.
#[derive(Debug, Clone)]
enum FaceReceivers {
    Own(Arc<Receivers>),
    /// On those of [`EyeFaces::Shared`].
    Shared,
}

/// Whether cameras have receivers of their own for their faces.
#[derive(Debug, Clone)]
pub enum EyeFaces {
    Own,
    /// One set for all.
    Shared(Arc<Receivers>),
}

impl EyeFaces {
    /// Prepares what is shared.
    pub fn new(scene: &Scene, sharing: Sharing) -> Self {
        match sharing {
            Sharing::Own => Self::Own,
            Sharing::Shared => {
                Self::Shared(Arc::new(Faces::new(FACE_HEIGHT_M, sharing).receivers(scene)))
            }
        }
    }

    /// How much of what each shared receiver sees is ground in the sun.
    pub fn sunlit_views(&self, reach: &SunReach) -> Vec<[f64; 2]> {
        match self {
            Self::Own => Vec::new(),
            Self::Shared(receivers) => receivers.sunlit_views(reach.spots()),
        }
    }
}

/// The sun and its shadows at one instant, in any air, for every camera.
pub struct InstantShade<'a> {
    /// Unit vector.
    pub toward_sun: DVec3,
    pub reach: &'a SunReach,
    pub reflects: GroundReflectances,
    /// [`EyeFaces::sunlit_views`].
    pub sunlit_views: &'a [[f64; 2]],
    /// Shadows at turf and at face height; without the second there is no look at a subject.
    pub turf: &'a Shadow,
    pub face: Option<&'a Shadow>,
}

/// What sun and shadows of one instant do to what a camera shows, in any air.
#[derive(Debug, Clone)]
pub struct EyeShade {
    shaded_share: f64,
    mixed_frames: f64,
    turf: ClassShares,
    subject: Option<SubjectShade>,
    /// What the sun sends to the ground over what it sends to level ground, mean.
    incidence: f64,
    /// What stands and ground send on to turf and faces of 1 lx of the sun.
    of_sun: Vec<[f64; 3]>,
}

/// The part of it that is about subjects.
#[derive(Debug, Clone)]
struct SubjectShade {
    shares: ClassShares,
    /// Mean cosine of the sun's incidence on the faces.
    cosine: f64,
    /// Ground of either kind, as a share of what a face sees: in the sun before faces in
    /// shade, and how much more of it than that before faces in the sun; means.
    sunlit_before_shade: [f64; 2],
    more_before_sun: [f64; 2],
}

impl CameraEye {
    /// Prepares a camera.
    pub fn new(post: &CameraPost, cover: &Coverage, scene: &Scene, shared: &EyeFaces) -> Self {
        let shown = ShownTurf::new(post, cover, &scene.obstacles().terrain());
        let sharing = match shared {
            EyeFaces::Own => Sharing::Own,
            EyeFaces::Shared(_) => Sharing::Shared,
        };
        let mut faces = Faces::new(FACE_HEIGHT_M, sharing);
        let one = |&at: &Coord<f64>| sample(post, at, scene, &mut faces);
        let samples: Vec<CoverSample> = shown.places().iter().map(one).collect();
        let receivers = match shared {
            EyeFaces::Own => Arc::new(faces.receivers(scene)),
            EyeFaces::Shared(receivers) => Arc::clone(receivers),
        };
        let weighted = |of: fn(&CoverSample) -> &Vec<(usize, f64)>| {
            let all = samples.iter().zip(shown.weights());
            all.flat_map(move |(sample, weight)| {
                of(sample).iter().map(move |(i, w)| (*i, w * weight))
            })
        };
        let sums = scene.coefficients(&[
            LightSum::Turf(weighted(|sample| &sample.place).collect()),
            LightSum::Faces(&receivers, weighted(|sample| &sample.face).collect()),
        ]);
        let of_receivers = receivers.ground_views();
        let ground_views: Vec<[f64; 2]> =
            samples.iter().map(|sample| weighted_views(&of_receivers, &sample.face)).collect();
        Self {
            ground_view: mean_view(&ground_views),
            ground_views,
            sums: Arc::new(sums),
            faces: match shared {
                EyeFaces::Own => FaceReceivers::Own(receivers),
                EyeFaces::Shared(_) => FaceReceivers::Shared,
            },
            samples,
            shown,
            reflects: scene.ground_reflects(),
            floodlight: post.floodlight,
        }
    }

    /// Of the mean light on turf and on faces, the sun's own left out.
    pub fn sums(&self) -> &Arc<DaylightCoefficients> {
        &self.sums
    }

    /// What sun and shadows do to what the camera shows.
    pub fn shade(&self, now: &InstantShade) -> EyeShade {
        let (ground, turf) = self.shown.shade(now.turf);
        EyeShade {
            shaded_share: ground.shaded,
            mixed_frames: self.shown.mixed_frames(&turf),
            turf: self.shown.shares(&turf),
            subject: now.face.map(|face| self.subject_shade(now, &self.shown.shade(face).1)),
            incidence: incidence((&self.samples, self.shown.weights()), now.toward_sun),
            of_sun: self.sums.of_sun(now.reach, now.toward_sun.z),
        }
    }

    fn subject_shade(&self, now: &InstantShade, face: &[CellShade]) -> SubjectShade {
        let own = match &self.faces {
            FaceReceivers::Own(receivers) => Some(receivers.sunlit_views(now.reach.spots())),
            FaceReceivers::Shared => None,
        };
        let sunlit_views = own.as_deref().unwrap_or(now.sunlit_views);
        let mut shade = SubjectShade {
            shares: self.shown.shares(face),
            cosine: 0.0,
            sunlit_before_shade: [0.0; 2],
            more_before_sun: [0.0; 2],
        };
        let samples = self.samples.iter().zip(self.shown.weights()).zip(&self.ground_views);
        for (((sample, weight), whole), cell) in samples.zip(face) {
            shade.cosine += weight * sample.facing.dot(now.toward_sun).max(0.0);
            let sunlit = weighted_views(sunlit_views, &sample.face);
            let [in_sun, in_shade] = before(cell, sunlit, *whole);
            let more = [0, 1].map(|kind| in_sun[kind] - in_shade[kind]);
            // rounding may leave it darker by a hair
            let brighter = self.brightens(more);
            for kind in [0, 1] {
                shade.sunlit_before_shade[kind] += weight * in_shade[kind];
                shade.more_before_sun[kind] += if brighter { weight * more[kind] } else { 0.0 };
            }
        }
        shade
    }

    /// Whether so much of what a face sees, as ground in the sun, is no less than nothing.
    fn brightens(&self, views: [f64; 2]) -> bool {
        let [played_on, around] = self.reflects;
        (0..3).all(|value| played_on[value] * views[0] + around[value] * views[1] >= 0.0)
    }

    /// What the camera sees of an instant in one air.
    pub fn view(&self, sources: &Sources, shade: &EyeShade) -> CameraView {
        let light = sources.light(&self.sums, &shade.of_sun);
        self.seen(&sources.straight, (&light.now, light.covered.as_deref()), shade)
    }

    /// The same with the light of its sums as it is now, and when a cloud covers the sun.
    pub fn seen(
        &self,
        straight: &Straight,
        (now, covered): (&[Tristimulus], Option<&[Tristimulus]>),
        shade: &EyeShade,
    ) -> CameraView {
        let covered = |sum: usize| covered.and_then(|all| all.get(sum)).copied();
        let now = |sum: usize| now.get(sum).copied().filter(|_| !self.samples.is_empty());
        let turf = now(0).map(|in_shade| MeanLight {
            in_shade,
            sun_adds: straight.direct_horizontal * shade.incidence,
            covered: covered(0),
        });
        let sun_out = straight.sun_is_out();
        let subject = |of: &SubjectShade| {
            let from_ground =
                |views| ground_reflected(straight.direct_horizontal, self.reflects, views);
            let light = now(1).map(|rest| MeanLight {
                in_shade: rest + from_ground(of.sunlit_before_shade),
                sun_adds: straight.direct_normal * of.cosine + from_ground(of.more_before_sun),
                covered: covered(1),
            });
            let ground = (self.reflects, self.ground_view);
            let toward = straight.floodlight.with_ground(DVec3::X, self.floodlight, ground);
            let (reflectance, shares) = (GREY_REFLECTANCE, of.shares);
            Sides { light, reflectance, shares, sun_out }.split(toward)
        };
        let (reflectance, shares) = (self.reflects[0][1], shade.turf);
        CameraView {
            shaded_share: shade.shaded_share,
            mixed_frames: if sun_out { shade.mixed_frames } else { 0.0 },
            turf: Sides { light: turf, reflectance, shares, sun_out }
                .split(straight.floodlight.horizontal),
            subject: shade.subject.as_ref().map_or(Split::NOTHING, subject),
        }
    }

    /// Shares of the picture under a shadow.
    pub fn shares(&self, shadow: &Shadow) -> ClassShares {
        self.shown.shares(&self.shown.shade(shadow).1)
    }
}

/// Sunlit ground before a face in the sun and before one in shade, as shares of what it
/// sees: as it is as far as the cell lies in that light now, and for the rest as it would be
/// in the middle of that side, where all or nothing of the ground is sunlit.
fn before(cell: &CellShade, sunlit: [f64; 2], whole: [f64; 2]) -> [[f64; 2]; 2] {
    [
        [0, 1].map(|kind| whole[kind] + (sunlit[kind] - whole[kind]) * cell.sun),
        sunlit.map(|sunlit| sunlit * cell.opaque),
    ]
}

fn weighted_views(views: &[[f64; 2]], weights: &[(usize, f64)]) -> [f64; 2] {
    let mut sum = [0.0; 2];
    for (i, weight) in weights {
        let views = views.get(*i).copied().unwrap_or_default();
        sum = [0, 1].map(|kind| sum[kind] + views[kind] * weight);
    }
    sum
}

fn mean_view(views: &[[f64; 2]]) -> [f64; 2] {
    let sum = |kind: usize| views.iter().map(|views| views[kind]).sum::<f64>();
    [0, 1].map(|kind| sum(kind) / views.len().max(1) as f64)
}

/// What the sun sends to the ground of some places over what it sends to level ground, mean by
/// their weights; 1 on the plane of the field.
fn incidence((samples, weights): (&[CoverSample], &[f64]), toward_sun: DVec3) -> f64 {
    if toward_sun.z <= 0.0 || samples.iter().all(|sample| sample.up == DVec3::Z) {
        return 1.0;
    }
    let one = |(sample, weight): (&CoverSample, &f64)| weight * sample.up.dot(toward_sun).max(0.0);
    samples.iter().zip(weights).map(one).sum::<f64>() / toward_sun.z
}

fn sample(post: &CameraPost, at: Coord<f64>, scene: &Scene, faces: &mut Faces) -> CoverSample {
    let flat = DVec3::new(post.at.x - at.x, post.at.y - at.y, 0.0);
    let facing = flat.try_normalize().unwrap_or(DVec3::Y);
    let place = scene.places().weights(at);
    let up = scene.obstacles().ground_normal(at);
    CoverSample { facing, up, face: faces.ask(at, facing, &place), place }
}
