//! What sun and sky do to a venue in one of its standings, and what each camera shows of it.
//!
//! In: a venue as it stands, once; then, per instant, the shadows on turf and at face height
//! ([`LitVenue::any_air`]), and in each air the light ([`SumSource`]). Out: a [`CameraView`] a
//! camera. Every job comes through here: a minute, a match, hundreds of positions and a year
//! ask for other shadows and take the light of sky and stands from elsewhere, but what a
//! camera shows of both is made once.

use std::sync::Arc;

use glam::DVec3;
use rayon::prelude::*;

use crate::camera::{
    CameraEye, CameraView, Coverage, EyeFaces, EyeShade, InstantShade, MarkReceivers, SameMarks,
    cover_ground,
};
use crate::geometry::Shadow;
use crate::light::{Scene, Sharing, Sources, Straight, SunReach, Tristimulus};
use crate::venue::{CameraPost, Mark, Venue};

/// What is lit of a venue, and its cameras: everything that no instant changes.
#[derive(Debug, Clone)]
pub(crate) struct LitVenue {
    pub scene: Arc<Scene>,
    /// What hundreds of cameras share.
    pub faces: EyeFaces,
    /// In the order of [`Venue::cameras`].
    pub cameras: Vec<Arc<PreparedCamera>>,
}

/// A camera and all of it that no instant changes.
#[derive(Debug)]
pub(crate) struct PreparedCamera {
    pub cover: Coverage,
    pub eye: CameraEye,
    pub marks: SameMarks,
}

/// Marks that cameras are compared at, and their receivers where cameras share them.
#[derive(Clone, Copy)]
pub(crate) struct Marks<'a> {
    pub all: &'a [Mark],
    pub shared: Option<&'a Arc<MarkReceivers>>,
}

impl Marks<'_> {
    /// No two cameras are compared.
    pub const NONE: Self = Self { all: &[], shared: None };
}

/// What sun and shadows do at one time in any air.
#[derive(Debug, Clone)]
pub(crate) struct AnyAir {
    pub reach: SunReach,
    /// How much of what faces that cameras share see is ground in the sun.
    pub sunlit_views: Vec<[f64; 2]>,
    /// What the cameras show.
    pub eyes: Vec<EyeShade>,
}

/// The sun's place, unit vector, and its shadows on all of the ground: on turf and, where
/// subjects are looked at, at face height.
#[derive(Clone, Copy)]
pub(crate) struct Shadows<'a> {
    pub toward_sun: DVec3,
    pub turf: &'a Shadow,
    pub face: Option<&'a Shadow>,
}

/// Where the light of sky and surroundings comes from.
#[derive(Clone, Copy)]
pub(crate) enum SumSource<'a> {
    /// Worked out for the sun as it stands, and for a cloud before it.
    Exact(&'a Sources),
    /// Taken between known places of the sun: the sums of all cameras in turn.
    Known(&'a Straight, &'a [Tristimulus]),
}

impl LitVenue {
    /// Without cameras.
    pub fn new(scene: Arc<Scene>, sharing: Sharing) -> Self {
        Self { faces: EyeFaces::new(&scene, sharing), scene, cameras: Vec::new() }
    }

    /// With the cameras of a venue, which stands as it did for the scene; those that `known`
    /// has are taken over.
    pub fn with_cameras(
        mut self,
        venue: &Venue,
        marks: Marks<'_>,
        known: impl Fn(&CameraPost) -> Option<Arc<PreparedCamera>> + Sync,
    ) -> Self {
        let one = |post| known(post).unwrap_or_else(|| Arc::new(self.camera(venue, post, marks)));
        self.cameras = venue.cameras.par_iter().map(one).collect();
        self
    }

    fn camera(&self, venue: &Venue, post: &CameraPost, marks: Marks<'_>) -> PreparedCamera {
        let scene = &self.scene;
        let cover = cover_ground(post, &venue.field, &venue.zones, &scene.obstacles().terrain());
        PreparedCamera {
            eye: CameraEye::new(post, &cover, scene, &self.faces),
            marks: SameMarks::new(marks.all, (post, &cover), scene, marks.shared),
            cover,
        }
    }

    /// What the cameras show under shadows, and of what the sun reaches.
    pub fn any_air(&self, shadows: Shadows<'_>, reach: SunReach) -> AnyAir {
        let sunlit_views = self.faces.sunlit_views(&reach);
        let mut any_air = AnyAir { reach, sunlit_views, eyes: Vec::new() };
        let now = self.instant_shade(shadows, &any_air);
        any_air.eyes = self.cameras.iter().map(|camera| camera.eye.shade(&now)).collect();
        any_air
    }

    /// The same for one camera or mark more.
    pub fn instant_shade<'a>(
        &self,
        Shadows { toward_sun, turf, face }: Shadows<'a>,
        any_air: &'a AnyAir,
    ) -> InstantShade<'a> {
        InstantShade {
            toward_sun,
            reach: &any_air.reach,
            reflects: self.scene.ground_reflects(),
            sunlit_views: &any_air.sunlit_views,
            turf,
            face,
        }
    }

    /// What the cameras see in one air.
    pub fn seen(&self, any_air: &AnyAir, light: SumSource<'_>) -> Vec<CameraView> {
        let cameras = self.cameras.iter().map(|camera| &camera.eye).zip(&any_air.eyes);
        match light {
            SumSource::Exact(sources) => {
                cameras.map(|(eye, shade)| eye.view(sources, shade)).collect()
            }
            SumSource::Known(straight, mut sums) => {
                let view = |(eye, shade): (&CameraEye, &EyeShade)| {
                    let (own, others) = sums.split_at(eye.sums().len().min(sums.len()));
                    sums = others;
                    eye.seen(straight, (own, None), shade)
                };
                cameras.map(view).collect()
            }
        }
    }
}
