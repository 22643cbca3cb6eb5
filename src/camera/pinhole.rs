//! Where in a camera's picture a point or a direction appears.
//!
//! In: a [`CameraPost`] and the point it looks at; then points (metres) and
//! directions of the local frame. Out: image coordinates, -1 to 1 across the
//! frame, right and up positive. A true perspective (pinhole without roll): a
//! level line on the horizon stays level, straight lines stay straight. No
//! distortion of a lens.

use glam::DVec3;

use crate::base::plane::clip;
use crate::venue::CameraPost;

/// Nothing nearer to the entrance pupil, along the axis, is in the picture,
/// metres.
const NEAR_M: f64 = 0.1;
/// What rounding may take off [`NEAR_M`] at the corners of a clipped polygon,
/// metres.
const ROUNDING_M: f64 = 1e-9;
/// A direction closer than this to a right angle from the axis is not in front,
/// as a cosine.
const AHEAD: f64 = 1e-6;

/// One frame of a camera. The three axes are unit vectors of the local frame at
/// right angles to each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pinhole {
    /// Entrance pupil, metres.
    pub at: DVec3,
    /// The optical axis, into the picture.
    pub forward: DVec3,
    /// To the right in the picture; level.
    pub right: DVec3,
    /// Up in the picture.
    pub up: DVec3,
    /// Tangent of half the horizontal field of view.
    pub half_width: f64,
    /// Tangent of half the vertical field of view.
    pub half_height: f64,
}

impl Pinhole {
    /// The frame of a camera that looks at a point. Looking straight up or down,
    /// east is to the right, as [`super::cover()`] has it; looking at its own
    /// place, it looks north.
    pub fn new(post: &CameraPost, looks_at: DVec3) -> Self {
        Self::along(post, (looks_at - post.at).try_normalize().unwrap_or(DVec3::Y))
    }

    /// The frame of a camera whose axis is a unit vector.
    pub fn along(post: &CameraPost, forward: DVec3) -> Self {
        let right = forward.cross(DVec3::Z).try_normalize().unwrap_or(DVec3::X);
        let half_width = (0.5 * post.horizontal_fov_deg.to_radians()).tan();
        Self {
            at: post.at,
            forward,
            right,
            up: right.cross(forward),
            half_width,
            half_height: half_width / post.aspect,
        }
    }

    /// Normals of the planes that bound the frame, into it: in front of the lens, right,
    /// left, top, bottom.
    pub(super) fn inward(&self) -> [DVec3; 5] {
        let (across, upright) = (self.forward * self.half_width, self.forward * self.half_height);
        [
            self.forward,
            across - self.right,
            across + self.right,
            upright - self.up,
            upright + self.up,
        ]
    }

    /// Image coordinates of a point; `None` behind the near plane. Points beside
    /// the frame have coordinates beyond 1.
    pub fn project(&self, point: DVec3) -> Option<[f64; 2]> {
        let ray = point - self.at;
        (ray.dot(self.forward) >= NEAR_M - ROUNDING_M).then(|| self.image(ray))
    }

    /// Image coordinates of what is endlessly far off in a direction: the
    /// vanishing point of lines that run that way. `None` where that is not in
    /// front of the camera.
    pub fn direction_to_image(&self, direction: DVec3) -> Option<[f64; 2]> {
        let ray = direction.try_normalize()?;
        (ray.dot(self.forward) > AHEAD).then(|| self.image(ray))
    }

    /// The part of a planar polygon inside the near plane and the four sides of
    /// the frame; empty where none of it is in the picture. What is not convex
    /// may come back with edges doubled along a side.
    pub fn clip(&self, ring: &[DVec3]) -> Vec<DVec3> {
        let (mut ring, mut kept) = (ring.to_vec(), Vec::new());
        for (inward, least) in self.inward().into_iter().zip([NEAR_M, 0.0, 0.0, 0.0, 0.0]) {
            let depth = |p: DVec3| inward.dot(p - self.at) - least;
            clip(&ring, &mut kept, depth, |a, b, share| a.lerp(b, share));
            std::mem::swap(&mut ring, &mut kept);
        }
        if ring.len() < 3 { Vec::new() } else { ring }
    }

    /// The part of a straight line in front of the near plane.
    pub fn ahead(&self, [a, b]: [DVec3; 2]) -> Option<[DVec3; 2]> {
        let depth = |p: DVec3| self.forward.dot(p - self.at) - NEAR_M;
        let (da, db) = (depth(a), depth(b));
        match (da >= 0.0, db >= 0.0) {
            (true, true) => Some([a, b]),
            (false, false) => None,
            (true, false) => Some([a, a.lerp(b, da / (da - db))]),
            (false, true) => Some([b.lerp(a, db / (db - da)), b]),
        }
    }

    /// Angle between the optical axis and a direction, degrees.
    pub fn angle_from_axis_deg(&self, direction: DVec3) -> f64 {
        let ray = direction.normalize_or_zero();
        // the arc tangent keeps its digits near the axis, where the cosine does not
        self.forward.cross(ray).length().atan2(self.forward.dot(ray)).to_degrees()
    }

    /// Whether what is endlessly far off in a direction is in the picture.
    pub fn is_in_frame(&self, direction: DVec3) -> bool {
        self.direction_to_image(direction).is_some_and(|image| image.iter().all(|c| c.abs() <= 1.0))
    }

    fn image(&self, ray: DVec3) -> [f64; 2] {
        let depth = ray.dot(self.forward);
        [
            ray.dot(self.right) / (depth * self.half_width),
            ray.dot(self.up) / (depth * self.half_height),
        ]
    }
}
