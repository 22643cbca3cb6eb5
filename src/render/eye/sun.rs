//! The sun's disc, where it is in the picture.
//!
//! In: a shot. Out: a white disc of 0.533 degree, and around it a ring that shows
//! it in print.

use glam::DVec3;

use super::lens::Brush;
use super::shot::Shot;
use crate::render::palette::{INK, PAPER};
use crate::solar::SUN_DIAMETER_DEG;

const CORNERS: u32 = 48;
/// The ring is this many discs wide ...
const RING_DISCS: f64 = 2.2;
/// ... and at least this far from the disc's middle, pixels.
const RING_LEAST_PX: f64 = 14.0;
/// The sun is drawn this far off; any distance gives the same picture, metres.
const FAR_M: f64 = 1000.0;
/// What is over white.
const WHITE: f64 = 1.0;

/// Whether any of the disc is in the frame and could be seen.
pub(super) fn is_in_frame(brush: &Brush, shot: &Shot) -> bool {
    shot.sun
        .is_some_and(|sun| !brush.lens.ring(&circle(shot, sun, 0.5 * SUN_DIAMETER_DEG)).is_empty())
}

/// A circle around the sun of a radius in degrees.
fn circle(shot: &Shot, sun: DVec3, radius_deg: f64) -> Vec<DVec3> {
    let middle = shot.eye.at + sun * FAR_M;
    let radius = FAR_M * radius_deg.to_radians().tan();
    let (a, b) = sun.any_orthonormal_pair();
    (0..CORNERS)
        .map(|i| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / f64::from(CORNERS)).sin_cos();
            middle + (a * cos + b * sin) * radius
        })
        .collect()
}

/// The disc alone, to be painted before what stands in its way.
pub(super) fn disc(brush: &mut Brush, shot: &Shot) {
    if let Some(sun) = shot.sun {
        brush.surface(&circle(shot, sun, 0.5 * SUN_DIAMETER_DEG), WHITE);
    }
}

/// The ring around a sun whose light arrives.
pub(super) fn ring(brush: &mut Brush, shot: &Shot) {
    let Some(sun) = shot.sun else { return };
    let far = shot.eye.at + sun * FAR_M;
    let least_deg = (RING_LEAST_PX / (brush.lens.px_per_metre(far) * FAR_M)).atan().to_degrees();
    let radius_deg = (0.5 * RING_DISCS * SUN_DIAMETER_DEG).max(least_deg);
    let mut circle = circle(shot, sun, radius_deg);
    circle.extend(circle.first().copied());
    for piece in brush.lens.line(&circle) {
        brush.sketch.stroke(piece.clone(), 6, PAPER);
        brush.sketch.stroke(piece, 2, INK);
    }
}
