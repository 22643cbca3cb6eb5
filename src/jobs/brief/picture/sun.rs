//! The sun's disc, where it is in the picture.
//!
//! In: a shot. Out: a white disc of 0.533 degree, and around it a ring that shows
//! it in print.

use glam::DVec3;

use crate::output::draw::palette::{INK, PAPER};
use crate::output::draw::sketch::{Px, PxBox};
use crate::solar::SUN_DIAMETER_DEG;

use super::lens::Brush;
use super::shot::Shot;
use super::{SunSeen, tone};

const CORNERS: u32 = 48;
/// The ring is this many discs wide ...
const RING_DISCS: f64 = 2.2;
/// ... and at least this far from the disc's middle, pixels.
const RING_LEAST_PX: f64 = 14.0;
/// The sun is drawn this far off; any distance gives the same picture, metres.
const FAR_M: f64 = 1000.0;
/// What is over white.
const WHITE: f64 = 1.0;

/// Paints the disc on the sky, before land and stands are painted over it, and
/// tells whether it can be seen.
pub(super) fn behind_all(brush: &mut Brush, shot: &Shot) -> SunSeen {
    let Some(sun) = shot.sun else { return SunSeen::OutOfFrame };
    let disc = circle(shot, sun, 0.5 * SUN_DIAMETER_DEG);
    if brush.lens.ring(&disc).is_empty() {
        return SunSeen::OutOfFrame;
    }
    let passes = shot.at_lens();
    let seen = match passes {
        p if p <= 0.0 => SunSeen::Hidden,
        p if p < 1.0 => SunSeen::Dimmed,
        _ => SunSeen::Shining,
    };
    if let Some((middle, radius)) = round_ring(brush, shot, sun)
        && seen == SunSeen::Shining
    {
        brush.sketch.disc(middle, radius + 3.0, PAPER);
        brush.sketch.disc(middle, radius + 1.0, INK);
        brush.sketch.disc(middle, radius - 2.0, PAPER);
        brush.sketch.disc(middle, radius - 4.0, tone::grey(shot.levels().sky));
    }
    brush.surface(&disc, WHITE);
    seen
}

/// Paints over everything what is seen of the sun through something translucent,
/// and a ring that the edge of the frame cuts.
pub(super) fn before_all(brush: &mut Brush, shot: &Shot, seen: SunSeen) {
    let Some(sun) = shot.sun else { return };
    let whole = round_ring(brush, shot, sun).is_some();
    match seen {
        SunSeen::OutOfFrame | SunSeen::Hidden => {}
        SunSeen::Shining if whole => {}
        SunSeen::Shining => cut_ring(brush, shot, sun),
        SunSeen::Dimmed => {
            brush.surface(&circle(shot, sun, 0.5 * SUN_DIAMETER_DEG), WHITE);
            cut_ring(brush, shot, sun);
        }
    }
}

/// Middle and radius of a ring that is whole in the frame, pixels.
fn round_ring(brush: &Brush, shot: &Shot, sun: DVec3) -> Option<(Px, f64)> {
    let middle = brush.lens.point(shot.eye.at + sun * FAR_M)?;
    let radius = ring_px(brush, shot, sun);
    let room = PxBox::around(middle, 2.0 * radius + 8.0, 2.0 * radius + 8.0);
    let frame = brush.lens.frame;
    let whole = frame.holds([room.left, room.top]) && frame.holds([room.right, room.bottom]);
    whole.then_some((middle, radius))
}

fn ring_px(brush: &Brush, shot: &Shot, sun: DVec3) -> f64 {
    let degree_px = px_per_radian(brush, shot, sun).to_radians();
    (0.5 * RING_DISCS * SUN_DIAMETER_DEG * degree_px).max(RING_LEAST_PX)
}

fn px_per_radian(brush: &Brush, shot: &Shot, sun: DVec3) -> f64 {
    brush.lens.px_per_metre(shot.eye.at + sun * FAR_M) * FAR_M
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

/// A ring that is not whole or lies before something.
fn cut_ring(brush: &mut Brush, shot: &Shot, sun: DVec3) {
    let radius = ring_px(brush, shot, sun) / px_per_radian(brush, shot, sun);
    let mut circle = circle(shot, sun, radius.to_degrees());
    circle.extend(circle.first().copied());
    for piece in brush.lens.line(&circle) {
        brush.sketch.stroke(piece.clone(), 6, PAPER);
        brush.sketch.stroke(piece, 2, INK);
    }
}
