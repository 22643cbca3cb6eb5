//! The top panel: how much of the field of play is in shade.
//!
//! In: the chart. Out: two stacked bands (no direct light; dimmed by translucent
//! roofs) at turf height and a line at face height, % of the field's area, under
//! the labels of milestones and of stretches without sun.

use plotters::style::RGBColor;

use crate::engine::Instant;
use crate::geometry::ShadeShare;
use crate::output::draw::palette;
use crate::solar::SunState;

use super::axis::ValueScale;
use super::chart::{TimelineChart, runs};
use super::moments;
use super::scene::{Pen, PicturePoint, Rect, TimelineScene};

const HEIGHT_PX: f64 = 178.0;

/// No direct light.
pub(super) const OPAQUE: RGBColor = RGBColor(92, 100, 112);
/// Dimmed by a translucent roof.
pub(super) const DIMMED: RGBColor = RGBColor(178, 208, 230);
/// The line at face height and the light rim that keeps it apart from bands.
pub(super) const FACE: [Pen; 2] = [Pen::solid(palette::PAPER, 9), Pen::solid(palette::BLACK, 4)];

/// Draws the panel; gives its bottom.
pub(super) fn draw(scene: &mut TimelineScene, chart: &TimelineChart, top: f64) -> f64 {
    let what = match chart.plan.sky.hides_sun() {
        false => "Field of play not in full sun, share of its area",
        true => "Field of play that the direct sun would miss, share of its area",
    };
    let panel = moments::head(scene, chart, top, what, HEIGHT_PX);
    bands(scene, chart, &panel);
    moments::names_inside(scene, chart, &panel);
    panel.bottom
}

fn bands(scene: &mut TimelineScene, chart: &TimelineChart, panel: &Rect) {
    let scale = ValueScale { min: 0.0, max: 1.0, step: 0.25 };
    chart.hatch(scene, panel);
    chart.grid(scene, panel);
    let states: Vec<SunState> = chart.plan.instants.iter().map(|i| i.sun_state).collect();
    let up: Vec<_> = runs(&states)
        .into_iter()
        .filter(|(state, _)| *state == SunState::Up)
        .map(|(_, range)| range)
        .collect();
    let lit = |i: usize| -> Option<&Instant> {
        let instant = chart.plan.instants.get(i)?;
        (instant.sun_state == SunState::Up).then_some(instant)
    };
    let trace = |range, share: fn(&Instant) -> f64| {
        chart.trace(range, |i| lit(i).map(share).filter(|v| v.is_finite()), |v| scale.y(v, panel))
    };
    for range in &up {
        let whole = trace(range, |i| shaded(&i.turf.field));
        let opaque = trace(range, |i| i.turf.field.opaque);
        scene.area(down_to(&whole, panel.bottom), DIMMED);
        scene.area(down_to(&opaque, panel.bottom), OPAQUE);
    }
    chart.scale(scene, panel, &scale, "", |v| format!("{:.0} %", 100.0 * v));
    chart.close(scene, panel);
    for range in &up {
        let face = trace(range, |i| shaded(&i.face.field));
        for pen in FACE {
            scene.line(&face, pen);
        }
    }
}

fn shaded(share: &ShadeShare) -> f64 {
    share.shaded
}

/// The outline of everything under a line.
fn down_to(line: &[PicturePoint], bottom: f64) -> Vec<PicturePoint> {
    let mut outline = line.to_vec();
    if let (Some(first), Some(last)) = (line.first(), line.last()) {
        outline.push((last.0, bottom));
        outline.push((first.0, bottom));
    }
    outline
}
