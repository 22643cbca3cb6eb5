//! The same subject at the same place, as each camera sees it.
//!
//! In: marks of the field, a camera and its cover, the venue's [`Scene`]; then, per instant,
//! the [`Sources`] of light and the shadow. Out: light on a face at 1.7 m turned toward the
//! camera at each mark that it covers, lx.

use std::sync::Arc;

use geo::{Contains, Point};
use glam::DVec3;

use crate::base::units::Lux;
use crate::camera::cover::Coverage;
use crate::camera::eye::InstantShade;
use crate::geometry::FACE_HEIGHT_M;
use crate::light::{
    DaylightCoefficients, GroundReflectances, LightSum, Receivers, Scene, Sharing, Sources,
    Tristimulus, at_turns, ground_reflected, turned_at,
};
use crate::venue::{CameraPost, Mark};

/// Marks as one camera sees them.
#[derive(Debug, Clone)]
pub struct SameMarks {
    /// `None` for a mark that the camera does not cover.
    faces: Vec<Option<Face>>,
    receivers: Arc<MarkReceivers>,
    reflects: GroundReflectances,
    /// Level of the floodlights that the camera states.
    floodlight: Option<Lux>,
}

/// A face turned toward the camera.
#[derive(Debug, Clone)]
struct Face {
    turned: DVec3,
    /// The receivers that its light is made of.
    made_of: Vec<(usize, f64)>,
}

/// Where light on faces at marks is known.
#[derive(Debug, Clone)]
pub struct MarkReceivers {
    receivers: Receivers,
    /// How much of what each receiver sees is ground.
    ground_views: Vec<[f64; 2]>,
    /// Of the light on each receiver.
    sums: DaylightCoefficients,
}

impl MarkReceivers {
    fn new(scene: &Scene, facing: &[(DVec3, DVec3)]) -> Self {
        let receivers = scene.receivers(&scene.over_ground(facing.to_vec()));
        let each = (0..receivers.len()).map(|i| LightSum::Faces(&receivers, vec![(i, 1.0)]));
        Self {
            ground_views: receivers.ground_views(),
            sums: scene.coefficients(&each.collect::<Vec<_>>()),
            receivers,
        }
    }

    /// For hundreds of cameras: faces turned to all sides. Each of a few has its own.
    pub fn shared(marks: &[Mark], scene: &Scene, sharing: Sharing) -> Option<Arc<Self>> {
        let facing = || turned_at(marks.iter().map(|mark| mark.at), FACE_HEIGHT_M);
        (sharing == Sharing::Shared).then(|| Arc::new(Self::new(scene, &facing())))
    }

    /// All but the sun's own light and that of floodlights on each receiver, lx.
    pub fn light(&self, sources: &Sources, shade: &InstantShade) -> Vec<Tristimulus> {
        let rest = sources.light_once(&self.sums, shade.reach).now;
        let sunlit = self.receivers.sunlit_views(shade.reach.spots());
        let horizontal = sources.straight.direct_horizontal;
        let reflects = shade.reflects;
        let from_ground = |views: [f64; 2]| ground_reflected(horizontal, reflects, views);
        rest.into_iter().zip(sunlit).map(|(rest, views)| rest + from_ground(views)).collect()
    }
}

impl SameMarks {
    /// Prepares the marks of a field for a camera.
    pub fn new(
        marks: &[Mark],
        (post, cover): (&CameraPost, &Coverage),
        scene: &Scene,
        shared: Option<&Arc<MarkReceivers>>,
    ) -> Self {
        let mut own = Vec::new();
        let face = |(i, mark): (usize, &Mark)| {
            if !cover.region.contains(&Point(mark.at)) {
                return None;
            }
            let flat = DVec3::new(post.at.x - mark.at.x, post.at.y - mark.at.y, 0.0);
            let turned = flat.try_normalize().unwrap_or(DVec3::Y);
            let made_of = match shared {
                Some(_) => at_turns(turned, &[(i, 1.0)]),
                None => {
                    own.push((DVec3::new(mark.at.x, mark.at.y, FACE_HEIGHT_M), turned));
                    vec![(own.len() - 1, 1.0)]
                }
            };
            Some(Face { turned, made_of })
        };
        let faces = marks.iter().enumerate().map(face).collect();
        let own = || Arc::new(MarkReceivers::new(scene, &own));
        Self {
            faces,
            receivers: shared.map_or_else(own, Arc::clone),
            reflects: scene.ground_reflects(),
            floodlight: post.floodlight,
        }
    }

    /// Light on the face at each mark, floodlights counted; `None` for a mark that the camera
    /// does not cover. `through` is the share of the sun's light that reaches each mark,
    /// `rest` what [`MarkReceivers::light`] says of shared receivers.
    pub fn at(
        &self,
        sources: &Sources,
        shade: &InstantShade,
        (through, rest): (&[f64], Option<&[Tristimulus]>),
    ) -> Vec<Option<Tristimulus>> {
        let own = match rest {
            Some(_) => Vec::new(),
            None => self.receivers.light(sources, shade),
        };
        let rest = rest.unwrap_or(&own);
        let light = |(face, through): (&Option<Face>, &f64)| {
            let Face { turned, made_of } = face.as_ref()?;
            let one = |&(i, weight): &(usize, f64)| {
                let ground = (self.reflects, *self.receivers.ground_views.get(i)?);
                let floodlight =
                    sources.straight.floodlight.with_ground(*turned, self.floodlight, ground);
                Some((*rest.get(i)? + floodlight) * weight)
            };
            let rest: Tristimulus = made_of.iter().filter_map(one).sum();
            Some(sources.direct_on(*turned) * *through + rest)
        };
        self.faces.iter().zip(through).map(light).collect()
    }
}
