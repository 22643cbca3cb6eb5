//! The sun and a lens.
//!
//! In: a [`CameraPost`], the way to the sun (unit vector, local frame) and how much
//! of its light reaches the lens. Out: a [`LensView`]: how near the sun comes to the
//! axis while the camera pans, in degrees, what that does to the picture, how the
//! subject is lit, and whether the operator stands in the sun.

use glam::DVec3;

use crate::base::units::Transmittance;
use crate::camera::cover::sweep;
use crate::camera::pinhole::Pinhole;
use crate::venue::CameraPost;

/// Within this angle of the axis, or of the frame's corner where that is wider, the
/// sun reaches past a hood onto the front element and veils the picture (common
/// practice, no source).
pub const ELEMENT_WITHIN_DEG: f64 = 45.0;
/// Light within this angle of the camera's own side of the subject is frontal, and
/// beyond its supplement from behind (common practice, no source).
pub const FRONT_WITHIN_DEG: f64 = 60.0;

/// Where the sun stands to a lens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LensState {
    /// Beside or behind, or down.
    Clear,
    /// In front, but something keeps its light off the lens.
    Shaded,
    /// On the front element: veiling flare is likely.
    OnElement,
    /// In frame somewhere between the aims.
    InFrame,
}

/// From where the subject is lit, as the camera sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SubjectLit {
    Front,
    Side,
    Back,
}

/// Sun, lens, subject and operator at one instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LensView {
    pub state: LensState,
    /// Least angle between the axis and the sun over the pan, degrees; `None` without
    /// direct sun.
    pub off_axis_deg: Option<f64>,
    /// `None` without direct sun.
    pub subject: Option<SubjectLit>,
    /// Share of the direct light at the camera's own place: heat, glare in the
    /// viewfinder. `None` without direct sun.
    pub at_camera: Option<Transmittance>,
}

impl LensView {
    /// Without direct sun.
    pub const NO_SUN: Self =
        Self { state: LensState::Clear, off_axis_deg: None, subject: None, at_camera: None };
}

/// The sun and a lens at an instant; `reaches` is the share of direct light that
/// arrives at the lens.
pub fn lens_view(post: &CameraPost, toward_sun: DVec3, reaches: Transmittance) -> LensView {
    let axes = sweep(post);
    let off = axes.iter().map(|axis| axis.angle_between(toward_sun).to_degrees());
    let off_axis_deg = off.fold(f64::INFINITY, f64::min);
    let in_frame = axes.iter().any(|axis| Pinhole::along(post, *axis).is_in_frame(toward_sun));
    let element = ELEMENT_WITHIN_DEG.max(half_diagonal_deg(post));
    let state = match reaches.is_opaque() {
        _ if off_axis_deg > element => LensState::Clear,
        true => LensState::Shaded,
        false if in_frame => LensState::InFrame,
        false => LensState::OnElement,
    };
    LensView {
        state,
        off_axis_deg: off_axis_deg.is_finite().then_some(off_axis_deg),
        subject: subject_lit(post, toward_sun),
        at_camera: Some(reaches),
    }
}

/// A lens prepared for tens of thousands of instants.
#[derive(Debug, Clone)]
pub struct LensWatch {
    axes: Vec<DVec3>,
    pinholes: Vec<Pinhole>,
    /// Cosine of the angle within which the sun reaches the front element.
    element: f64,
}

impl LensWatch {
    pub fn new(post: &CameraPost) -> Self {
        let axes = sweep(post);
        Self {
            pinholes: axes.iter().map(|axis| Pinhole::along(post, *axis)).collect(),
            axes,
            element: ELEMENT_WITHIN_DEG.max(half_diagonal_deg(post)).to_radians().cos(),
        }
    }

    /// The state of [`lens_view`]. `reaches` is asked only where the sun stands in
    /// front.
    pub fn state(&self, toward_sun: DVec3, reaches: impl FnOnce() -> Transmittance) -> LensState {
        if !self.axes.iter().any(|axis| axis.dot(toward_sun) >= self.element) {
            return LensState::Clear;
        }
        if reaches().is_opaque() {
            return LensState::Shaded;
        }
        match self.pinholes.iter().any(|pinhole| pinhole.is_in_frame(toward_sun)) {
            true => LensState::InFrame,
            false => LensState::OnElement,
        }
    }
}

/// From the middle of the frame to its corner, degrees.
fn half_diagonal_deg(post: &CameraPost) -> f64 {
    let half = (0.5 * post.horizontal_fov_deg.to_radians()).tan();
    half.hypot(half / post.aspect).atan().to_degrees()
}

/// By the angle in plan between the sun and the camera, seen from the subject; of all
/// aims the one nearest to back light, since that is what the crew must know.
fn subject_lit(post: &CameraPost, toward_sun: DVec3) -> Option<SubjectLit> {
    let flat = |v: DVec3| DVec3::new(v.x, v.y, 0.0).try_normalize();
    let sun = flat(toward_sun)?;
    let angles = post.aims.iter().filter_map(|aim| Some(flat(post.at - *aim)?.angle_between(sun)));
    let angle = angles.fold(None, |most: Option<f64>, a| Some(most.map_or(a, |m| m.max(a))))?;
    Some(match angle.to_degrees() {
        a if a <= FRONT_WITHIN_DEG => SubjectLit::Front,
        a if a < 180.0 - FRONT_WITHIN_DEG => SubjectLit::Side,
        _ => SubjectLit::Back,
    })
}
