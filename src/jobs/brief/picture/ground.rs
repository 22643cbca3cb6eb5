//! Sky, land, the field of play with its shade, and its lines.
//!
//! In: a shot, what casts shadows. Out: marks from far to near. All of this lies
//! in the plane of the field or beyond it, so whatever stands is painted over it.

use geo::{BooleanOps, Coord, Line, MultiPolygon, Polygon};
use glam::DVec3;

use crate::base::frame::direction;
use crate::base::plane::{clip, signed_area};
use crate::base::units::{Azimuth, Elevation};
use crate::output;
use crate::output::draw::sketch::{Px, PxBox};
use crate::solar::skyline_elevation;
use crate::venue::Sport;

use super::bodies::Caster;
use super::lens::Brush;
use super::shot::Shot;
use super::soft::{Stretch, light_at};
use super::{fine, tone};

/// Between two points of the skyline, degrees of azimuth.
const SKYLINE_STEP_DEG: f64 = 0.5;
/// The skyline is drawn this far to each side of the axis, degrees.
const SKYLINE_REACH_DEG: f64 = 85.0;
/// A camera whose axis is closer to the vertical than this sees no skyline, as a
/// cosine.
const STEEP: f64 = 0.995;
/// Width of a painted line, metres: football lines are at most 12 cm wide (IFAB
/// Laws of the Game, Law 1.2) ...
const LINE_M: f64 = 0.10;
/// ... and most tennis lines at most 5 cm (ITF Rules of Tennis, rule 1).
const TENNIS_LINE_M: f64 = 0.05;
/// A line is asked for its light this often, metres ...
const LINE_STEP_M: f64 = 0.2;
/// ... and light in the penumbra is told in this many steps.
const LIGHT_STEPS: f64 = 16.0;
/// What is above the turf by less casts no shadow on it, metres.
const ON_GROUND_M: f64 = 1e-3;
/// Rings whose areas differ by less than this share are the same ring.
const SAME_AREA: f64 = 1e-6;

/// A point on the turf in space.
pub(super) fn on_turf(c: Coord<f64>) -> DVec3 {
    DVec3::new(c.x, c.y, 0.0)
}

/// The sky, all over the frame.
pub(super) fn sky(brush: &mut Brush, shot: &Shot) {
    brush.patch(brush.lens.frame.ring().to_vec(), shot.levels().sky);
}

/// The land up to its skyline.
pub(super) fn land(brush: &mut Brush, shot: &Shot) {
    let frame = brush.lens.frame;
    let up = shot.eye.forward.z;
    if up < -STEEP {
        brush.patch(frame.ring().to_vec(), shot.land(1.0));
    } else if up <= STEEP {
        let ring = land_ring(brush, shot, &frame);
        brush.patch(output::draw::clip::ring_in(&ring, &frame), shot.land(1.0));
    }
}

fn land_ring(brush: &Brush, shot: &Shot, frame: &PxBox) -> Vec<Px> {
    let forward = shot.eye.forward;
    let middle_deg = forward.x.atan2(forward.y).to_degrees();
    let steps = (2.0 * SKYLINE_REACH_DEG / SKYLINE_STEP_DEG) as i32;
    let skyline = (0..=steps).filter_map(|i| {
        let off_deg = f64::from(i) * SKYLINE_STEP_DEG - SKYLINE_REACH_DEG;
        let azimuth = Azimuth::from_degrees(middle_deg + off_deg);
        let degrees = skyline_elevation(&shot.venue.horizon, azimuth).degrees().max(0.0);
        let toward = direction(azimuth, Elevation::from_degrees(degrees));
        shot.eye.direction_to_image(toward).map(|image| brush.lens.page(image))
    });
    let mut ring: Vec<Px> = skyline.collect();
    if let (Some(first), Some(last)) = (ring.first().copied(), ring.last().copied()) {
        // under the frame, however far down the skyline itself stands
        let bottom = frame.bottom.max(first[1]).max(last[1]) + 10.0;
        ring.extend([[last[0], bottom], [first[0], bottom]]);
    }
    ring
}

/// Shade that bodies throw on the land around the field; the field itself is
/// painted over it.
pub(super) fn shade_around(brush: &mut Brush, shot: &Shot, casters: &[Caster]) {
    let Some(sun) = shot.sun.filter(|sun| sun.z > 0.0) else { return };
    if fine::are_fine(shot) {
        let mut rings = Vec::new();
        for (region, passes) in fine::shade_on_land(shot, sun) {
            collect(&mut rings, &region, |passes| shot.land(passes), passes);
        }
        paint_nested(brush, rings);
    }
    let mut above = Vec::new();
    for caster in casters {
        clip(&caster.ring, &mut above, |p| p.z - ON_GROUND_M, |a, b, share| a.lerp(b, share));
        let cast: Vec<DVec3> = above.iter().map(|p| *p - sun * (p.z / sun.z)).collect();
        brush.surface(&cast, shot.land(caster.passes));
    }
}

struct Inside {
    ring: Vec<DVec3>,
    area: f64,
    hole: bool,
    level: f64,
}

/// All of the ground that is planned, from its rim to the field of play, and the shade on
/// it.
pub(super) fn field(brush: &mut Brush, shot: &Shot) {
    let field = &shot.venue.field;
    let around = |passes| shot.surrounds(passes);
    let turf = |passes| shot.turf(passes);
    // ground around what stands on it is painted whole: what stands is painted over it
    paint_ground(brush, shot, &field.surrounds, &around);
    paint_ground(brush, shot, &field.playing_area, &turf);
    paint_ground(brush, shot, &field.outline, &turf);
}

/// One area of the ground in sun and shade, up to its outer rim.
fn paint_ground(brush: &mut Brush, shot: &Shot, area: &Polygon<f64>, level: &dyn Fn(f64) -> f64) {
    let ring: Vec<DVec3> = area.exterior().coords().map(|c| on_turf(*c)).collect();
    brush.surface(&ring, level(1.0));
    if shot.sun.is_none() {
        return;
    }
    let area = Polygon::new(area.exterior().clone(), Vec::new());
    let shadow = &shot.instant.turf.ground;
    let mut rings = Vec::new();
    collect(&mut rings, &shadow.opaque.intersection(&area), level, 0.0);
    for dimmed in &shadow.dimmed {
        let region = dimmed.region.intersection(&area);
        collect(&mut rings, &region, level, dimmed.transmittance.share());
    }
    paint_nested(brush, rings);
}

/// The regions do not overlap, so rings only nest: painted from large to small, a hole
/// becomes ground in the sun until something smaller fills it.
fn paint_nested(brush: &mut Brush, mut rings: Vec<Inside>) {
    rings.sort_by(|a, b| {
        if (a.area - b.area).abs() <= SAME_AREA * a.area.max(b.area) {
            b.hole.cmp(&a.hole)
        } else {
            b.area.total_cmp(&a.area)
        }
    });
    for inside in rings {
        brush.surface(&inside.ring, inside.level);
    }
}

fn collect(
    into: &mut Vec<Inside>,
    region: &MultiPolygon<f64>,
    level: impl Fn(f64) -> f64,
    passes: f64,
) {
    for polygon in &region.0 {
        let outer = std::iter::once((polygon.exterior(), false));
        let holes = polygon.interiors().iter().map(|ring| (ring, true));
        for (line, hole) in outer.chain(holes) {
            let flat: Vec<[f64; 2]> = line.coords().map(|c| [c.x, c.y]).collect();
            into.push(Inside {
                area: signed_area(&flat).abs(),
                ring: line.coords().map(|c| on_turf(*c)).collect(),
                hole,
                level: level(if hole { 1.0 } else { passes }),
            });
        }
    }
}

/// Boundary and lines of the field, in sun and in shade.
pub(super) fn lines(brush: &mut Brush, shot: &Shot, edge: &[Stretch]) {
    let field = &shot.venue.field;
    let width_m = if field.sport == Sport::Tennis { TENNIS_LINE_M } else { LINE_M };
    let light = |at: Coord<f64>| {
        (light_at(edge, shot, shot.inward(at)) * LIGHT_STEPS).round() / LIGHT_STEPS
    };
    for line in field.markings.iter().chain(std::iter::once(field.outline.exterior())) {
        for side in line.lines() {
            for ([from, to], passes) in runs(side, light) {
                painted(brush, [from, to], width_m, shot.line(passes));
            }
        }
    }
}

/// A straight line cut where its light changes, each piece with the share that
/// arrives.
fn runs(side: Line<f64>, light: impl Fn(Coord<f64>) -> f64) -> Vec<([DVec3; 2], f64)> {
    let step = side.delta();
    let count = (step.x.hypot(step.y) / LINE_STEP_M).ceil().max(1.0) as usize;
    let at = |i: f64| side.start + step * (i / count as f64);
    let mut runs: Vec<([DVec3; 2], f64)> = Vec::new();
    for i in 0..count {
        let passes = light(at(i as f64 + 0.5));
        let end = on_turf(at(i as f64 + 1.0));
        match runs.last_mut() {
            Some(([_, last], same)) if *same == passes => *last = end,
            _ => runs.push(([on_turf(at(i as f64)), end], passes)),
        }
    }
    runs
}

/// A line as wide as it is painted, and never thinner than a pixel.
fn painted(brush: &mut Brush, [from, to]: [DVec3; 2], width_m: f64, level: f64) {
    let along = to - from;
    let side = DVec3::new(-along.y, along.x, 0.0).normalize_or_zero() * (0.5 * width_m);
    let ring = brush.lens.ring(&[from + side, to + side, to - side, from - side]);
    brush.sketch.fill(ring, tone::grey(level));
    brush.line(&[from, to], 1, level);
}
