//! What a cloud over the sun takes from the sunlit side, camera by camera.
//!
//! Turf is a band from the least to the most of all cameras, subjects are a line
//! each, with the camera's place in the venue's list on it.

use crate::engine::Instant;
use crate::jobs::match_plan::facts::SplitTarget;
use crate::jobs::match_plan::picture::timeline::SMALL_PX;
use crate::jobs::match_plan::picture::timeline::chart::TimelineChart;
use crate::jobs::match_plan::picture::timeline::scene::{
    Anchor, Label, Pen, PicturePoint, Rect, TimelineScene,
};
use crate::output::draw::labels::flow;
use crate::output::draw::palette;
use crate::output::draw::text::{Weight, fitted, width_px};

use super::panels::{empty, frame, whole_scale};
use super::{draw_lines, headed, lines};

const HEIGHT_PX: f64 = 220.0;
const NAME_ROW_PX: f64 = 34.0;
const NAME_GAP_PX: f64 = 34.0;
/// Half a side of a numbered tag, pixels.
const TAG_PX: f64 = 16.0;

pub(super) const TURF: [Pen; 1] = [Pen::solid(palette::BLUE, 6)];
pub(super) const SUBJECT: [Pen; 1] = [Pen::solid(palette::VERMILLION, 3)];

/// Draws the panel and the names of the cameras; gives the bottom.
pub(super) fn draw(scene: &mut TimelineScene, chart: &TimelineChart, top: f64) -> f64 {
    let what = "Swing: what the sunlit side loses when a cloud covers the sun";
    let panel = headed(scene, chart, top, what, HEIGHT_PX);
    let count = chart.venue.cameras.len();
    let all = chart.plan.instants.iter().flat_map(|i| {
        (0..count)
            .flat_map(move |c| [swing(i, c, SplitTarget::Turf), swing(i, c, SplitTarget::Subject)])
    });
    let scale = whole_scale(all.flatten().chain([0.0]), 3.0, &[1.0, 2.0, 5.0], HEIGHT_PX);
    frame(scene, chart, &panel, &scale, "stops", |v| format!("{v:.0}"));
    let y = |v: f64| scale.y(v, &panel);
    let mean = |i: &Instant| {
        let values: Vec<f64> = (0..count).filter_map(|c| swing(i, c, SplitTarget::Turf)).collect();
        (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
    };
    draw_lines(scene, &lines(chart, mean, y), &TURF);
    let mut tags = Vec::new();
    for camera in 0..count {
        let lines = lines(chart, |i| swing(i, camera, SplitTarget::Subject), y);
        draw_lines(scene, &lines, &SUBJECT);
        // each tag in a column of its own
        let x = panel.left + (camera as f64 + 0.5) / count as f64 * (panel.right - panel.left);
        tags.extend(height_at(&lines, x).map(|y| (camera + 1, (x, y))));
    }
    for (number, at) in tags {
        tag(scene, &number.to_string(), at, &panel);
    }
    empty(scene, chart, &panel, |i| (0..count).any(|c| swing(i, c, SplitTarget::Turf).is_some()));
    names(scene, chart, panel.bottom)
}

fn swing(instant: &Instant, camera: usize, target: SplitTarget) -> Option<f64> {
    let swing = target.split(instant.cameras.get(camera)?).swing?;
    Some(swing.stops.stops()).filter(|s| s.is_finite())
}

/// Where lines pass a place of the axis.
fn height_at(lines: &[Vec<PicturePoint>], x: f64) -> Option<f64> {
    let segments = lines.iter().flat_map(|line| line.windows(2));
    segments
        .filter(|w| w[0].0 <= x && x <= w[1].0 && w[1].0 > w[0].0)
        .map(|w| w[0].1 + (x - w[0].0) / (w[1].0 - w[0].0) * (w[1].1 - w[0].1))
        .next()
}

/// A number on a plate; kept inside the panel.
pub(super) fn tag(scene: &mut TimelineScene, number: &str, (x, y): PicturePoint, panel: &Rect) {
    let y = y.clamp(panel.top + TAG_PX, panel.bottom - TAG_PX);
    let half = (0.5 * width_px(number, SMALL_PX, Weight::Bold) + 7.0).max(TAG_PX);
    let plate = Rect { left: x - half, top: y - TAG_PX, right: x + half, bottom: y + TAG_PX };
    scene.fill(plate, palette::PAPER);
    scene.frame(plate, Pen::solid(palette::VERMILLION, 2));
    let label = Label::new(number, x, y + 0.365 * SMALL_PX, SMALL_PX);
    scene.text(label.bold().anchored(Anchor::Middle));
}

/// Whose the numbers are; gives the bottom.
fn names(scene: &mut TimelineScene, chart: &TimelineChart, top: f64) -> f64 {
    let (left, right) = (chart.axis.left, chart.axis.right);
    let name = |(i, camera): (usize, &crate::venue::CameraPost)| {
        // demo and practice alike: names begin with the camera's number
        let number = format!("{} ", i + 1);
        let rest = camera.name.strip_prefix(&number).unwrap_or(&camera.name);
        fitted(&format!("{number}= {rest}"), right - left, SMALL_PX, Weight::Regular)
    };
    let names: Vec<String> = chart.venue.cameras.iter().enumerate().map(name).collect();
    let widths: Vec<f64> = names.iter().map(|n| width_px(n, SMALL_PX, Weight::Regular)).collect();
    let mut bottom = top;
    for (name, place) in names.iter().zip(flow(&widths, left, right, NAME_GAP_PX)) {
        let y = top + place.row as f64 * NAME_ROW_PX;
        scene.text(Label::new(name.as_str(), place.left, y + 0.85 * NAME_ROW_PX, SMALL_PX));
        bottom = y + NAME_ROW_PX;
    }
    bottom + 6.0
}
