//! The strip with the sun's place in the sky.
//!
//! In: the chart. Out: a line of elevation over the level horizon, and figures of
//! elevation and azimuth (clockwise from true north) at the labelled times, all
//! in degrees.

use crate::engine::Instant;
use crate::output::draw::palette;

use super::axis::ValueScale;
use super::chart::TimelineChart;
use super::scene::{Pen, Rect, TimelineScene};

const HEIGHT_PX: f64 = 62.0;
const HEADER_ROW_PX: f64 = 36.0;
const FIGURE_ROW_PX: f64 = 31.0;
pub(super) const ELEVATION: Pen = Pen::solid(palette::ORANGE, 6);

/// The level horizon.
const LEVEL: Pen = Pen::solid(palette::MUTED, 2);

/// Draws the strip; gives its bottom.
pub(super) fn draw(scene: &mut TimelineScene, chart: &TimelineChart, top: f64) -> f64 {
    let header = top + HEADER_ROW_PX;
    let what = "Sun: elevation above the level horizon, azimuth clockwise from true north";
    chart.header(scene, header, what);
    let panel = chart.panel(header + 10.0, HEIGHT_PX);
    line(scene, chart, &panel);
    // clear of the number at the panel's foot
    let mut y = panel.bottom + 9.0;
    y = figures(scene, chart, y, "elevation", |i| {
        let degrees = i.sun.apparent_elevation.degrees();
        // no "-0.0"
        format!("{:.1}\u{b0}", (degrees * 10.0).round() / 10.0 + 0.0)
    });
    y = figures(scene, chart, y, "azimuth", |i| {
        format!("{:.0}\u{b0}", i.sun.azimuth.degrees().round() % 360.0)
    });
    chart.times(scene, y + 3.0)
}

fn line(scene: &mut TimelineScene, chart: &TimelineChart, panel: &Rect) {
    let elevation = |i: usize| {
        let instant = chart.plan.instants.get(i)?;
        Some(instant.sun.apparent_elevation.degrees()).filter(|e| e.is_finite())
    };
    let all = 0..chart.plan.instants.len();
    let (low, high) = all
        .clone()
        .filter_map(elevation)
        .fold((0.0_f64, 0.0_f64), |(low, high), e| (low.min(e), high.max(e)));
    let tens = |value: f64| value / 10.0;
    let min = 10.0 * tens(low).floor();
    let max = (10.0 * tens(high).ceil()).max(min + 10.0);
    let scale = ValueScale::round(min, max, &[5.0, 10.0, 20.0, 30.0, 60.0], HEIGHT_PX, 34.0);
    chart.hatch(scene, panel);
    chart.grid(scene, panel);
    chart.scale(scene, panel, &scale, "", |v| format!("{v:.0}\u{b0}"));
    let level = scale.y(0.0, panel);
    scene.line(&[(panel.left, level), (panel.right, level)], LEVEL);
    chart.close(scene, panel);
    scene.line(&chart.trace(&all, elevation, |v| scale.y(v, panel)), ELEVATION);
}

/// A row of figures at the labelled times; gives its bottom.
fn figures(
    scene: &mut TimelineScene,
    chart: &TimelineChart,
    top: f64,
    name: &str,
    text: impl Fn(&Instant) -> String,
) -> f64 {
    let baseline = top + 0.85 * FIGURE_ROW_PX;
    chart.row_name(scene, baseline, name);
    for tick in &chart.ticks {
        let nearest = chart.plan.instants.iter().min_by_key(|instant| (instant.at - tick.at).abs());
        if let Some(instant) = nearest {
            chart.centred(scene, tick.x, baseline, text(instant));
        }
    }
    top + FIGURE_ROW_PX
}
