//! One strip per camera: the split between sun and shade, in stops.
//!
//! In: the chart. Out: two lines a strip (turf, subject), thick while the edge
//! is in shot, thin and broken while it is only latent, none where there is no
//! edge; the worst split in shot marked and told. All strips share one scale.

use plotters::style::RGBColor;

use crate::camera::SplitState;
use crate::jobs::match_plan::facts::SplitTarget;
use crate::output::draw::palette;
use crate::output::draw::text::{Weight, fitted, width_px};

use crate::venue::PlayingSurface;

use super::axis::ValueScale;
use super::chart::{TimelineChart, runs};
use super::scene::{Label, Pen, PicturePoint, Rect, TimelineScene};
use super::worst::{Worst, name, state, stops, worst};
use super::{HEADER_PX, SMALL_PX};

/// Lowest and highest strip; few cameras share the room of five, pixels.
const HEIGHTS_PX: (f64, f64) = (72.0, 180.0);
const SHARED_BY: f64 = 5.0;
const HEADER_ROW_PX: f64 = 41.0;
/// Labelled times are repeated after this many strips.
const TIMES_EVERY: usize = 6;
/// Within this many stops two pictures count as matched; common practice, no
/// source.
pub(super) const MATCHING_GOAL_STOPS: f64 = 0.25;
pub(super) const GOAL: Pen = Pen::broken(palette::MUTED, 2, 3.0, 9.0);
const MARK_PX: f64 = 10.0;
/// Lines for whole stops are drawn over no more than this many stops.
const MAX_STOP_LINES: f64 = 12.0;
const TURF: RGBColor = palette::BLUE;
const SUBJECT: RGBColor = palette::VERMILLION;

/// Draws all strips; gives the bottom of the last.
pub(super) fn draw(scene: &mut TimelineScene, chart: &TimelineChart, top: f64) -> f64 {
    let count = chart.venue.cameras.len();
    let height = height_px(count);
    let scale = shared_scale(chart, height);
    let mut y = top;
    for (i, camera) in chart.venue.cameras.iter().enumerate() {
        let header = y + HEADER_ROW_PX - 11.0;
        caption(scene, chart, i, &camera.name, header);
        let panel = chart.panel(y + HEADER_ROW_PX, height);
        strip(scene, chart, i, &scale, &panel);
        y = panel.bottom;
        if (i + 1) % TIMES_EVERY == 0 || i + 1 == count {
            y = chart.times(scene, y);
        }
    }
    y
}

/// Height of a strip without its header row.
fn height_px(cameras: usize) -> f64 {
    let (lowest, highest) = HEIGHTS_PX;
    let room = SHARED_BY * (lowest + HEADER_ROW_PX);
    (room / cameras.max(1) as f64 - HEADER_ROW_PX).clamp(lowest, highest)
}

/// One scale for all cameras and both targets, from whole stop to whole stop.
fn shared_scale(chart: &TimelineChart, height: f64) -> ValueScale {
    let values = chart.plan.instants.iter().flat_map(|instant| {
        (0..instant.cameras.len()).flat_map(move |camera| {
            [SplitTarget::Turf, SplitTarget::Subject].map(|t| stops(state(t, instant, camera)))
        })
    });
    let (low, high) =
        values.flatten().fold((0.0_f64, 1.0_f64), |(low, high), v| (low.min(v), high.max(v)));
    let steps = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0];
    ValueScale::round(low.floor(), high.ceil(), &steps, height, 26.0)
}

/// The row over a strip: whose it is, and its worst splits.
fn caption(
    scene: &mut TimelineScene,
    chart: &TimelineChart,
    camera: usize,
    name: &str,
    baseline: f64,
) {
    let targets = [SplitTarget::Turf, SplitTarget::Subject];
    let found = targets.map(|target| (target, worst(chart.plan, camera, target)));
    let mut right = chart.axis.right;
    if found.iter().all(|(_, worst)| worst.is_none()) {
        let any = chart.plan.instants.iter().any(|instant| {
            targets.iter().any(|&t| state(t, instant, camera) != SplitState::NoEdge)
        });
        let text = if any { "edge never in shot" } else { "no edge at any time" };
        right -= width_px(text, SMALL_PX, Weight::Regular);
        scene.text(Label::new(text, right, baseline, SMALL_PX));
    } else {
        let surface = chart.venue.field.surface;
        for (target, worst) in found.iter().rev() {
            right = worst_label(scene, (*target, surface), worst.as_ref(), right, baseline);
        }
        let lead = "worst in shot:";
        right -= width_px(lead, SMALL_PX, Weight::Regular);
        scene.text(Label::new(lead, right, baseline, SMALL_PX));
    }
    let room = right - chart.axis.left - 40.0;
    let name = fitted(name, room, HEADER_PX, Weight::Bold);
    scene.text(Label::new(name, chart.axis.left, baseline, HEADER_PX).bold());
}

/// Writes one worst split with its mark, ending at `right`; gives its left end.
fn worst_label(
    scene: &mut TimelineScene,
    (target, surface): (SplitTarget, PlayingSurface),
    worst: Option<&Worst>,
    right: f64,
    baseline: f64,
) -> f64 {
    let text = worst.map_or_else(
        || format!("{} never", name(target, surface)),
        |w| format!("{} {}", name(target, surface), w.text()),
    );
    let left = right - width_px(&text, SMALL_PX, Weight::Regular);
    scene.text(Label::new(text, left, baseline, SMALL_PX));
    let centre = (left - 10.0 - MARK_PX, baseline - 0.36 * SMALL_PX);
    mark(scene, target, centre);
    centre.0 - MARK_PX - 22.0
}

/// The mark of a worst split: a disc for turf, a diamond for the subject.
pub(super) fn mark(scene: &mut TimelineScene, target: SplitTarget, (x, y): PicturePoint) {
    let diamond = |r: f64| vec![(x, y - r), (x + r, y), (x, y + r), (x - r, y)];
    match target {
        SplitTarget::Turf => {
            scene.disc((x, y), MARK_PX + 3.0, palette::PAPER);
            scene.disc((x, y), MARK_PX, TURF);
        }
        SplitTarget::Subject => {
            scene.area(diamond(MARK_PX + 7.0), palette::PAPER);
            scene.area(diamond(MARK_PX + 3.0), SUBJECT);
        }
    }
}

/// The lines of a target: pens from the lowest to the topmost.
pub(super) fn pens(target: SplitTarget, in_shot: bool) -> Vec<Pen> {
    match (target, in_shot) {
        (SplitTarget::Turf, true) => vec![Pen::solid(TURF, 6)],
        (SplitTarget::Turf, false) => vec![Pen::broken(TURF, 2, 18.0, 8.0)],
        // a double line: told from turf in grey print
        (SplitTarget::Subject, true) => vec![Pen::solid(SUBJECT, 8), Pen::solid(palette::PAPER, 3)],
        (SplitTarget::Subject, false) => vec![Pen::broken(SUBJECT, 3, 4.0, 7.0)],
    }
}

fn strip(
    scene: &mut TimelineScene,
    chart: &TimelineChart,
    camera: usize,
    scale: &ValueScale,
    panel: &Rect,
) {
    chart.hatch(scene, panel);
    chart.grid(scene, panel);
    chart.scale(scene, panel, scale, "stops", |v| format!("{v:.0}"));
    for stop in whole_stops(scale) {
        let y = scale.y(stop, panel);
        scene.line(&[(panel.left, y), (panel.right, y)], Pen::solid(palette::RULE, 1));
    }
    let goal = scale.y(MATCHING_GOAL_STOPS, panel);
    scene.line(&[(panel.left, goal), (panel.right, goal)], GOAL);
    chart.close(scene, panel);
    // turf over the subject: where both agree, the wider double line shows
    // on both sides of it
    for target in [SplitTarget::Subject, SplitTarget::Turf] {
        split(scene, chart, camera, target, scale, panel);
    }
    for target in [SplitTarget::Subject, SplitTarget::Turf] {
        if let Some(worst) = worst(chart.plan, camera, target) {
            let at = (chart.axis.x(worst.at), scale.y(worst.stops, panel));
            mark(scene, target, at);
        }
    }
}

/// Every whole stop of a scale, for counting; none where they would run together.
fn whole_stops(scale: &ValueScale) -> impl Iterator<Item = f64> {
    let range = (scale.min.ceil() as i64)..=(scale.max.floor() as i64);
    let few = scale.max - scale.min <= MAX_STOP_LINES;
    range.filter(move |_| few).map(|stop| stop as f64)
}

fn split(
    scene: &mut TimelineScene,
    chart: &TimelineChart,
    camera: usize,
    target: SplitTarget,
    scale: &ValueScale,
    panel: &Rect,
) {
    let states: Vec<SplitState> =
        chart.plan.instants.iter().map(|instant| state(target, instant, camera)).collect();
    // Some(in shot or not) where there is an edge
    let kinds: Vec<Option<bool>> =
        states.iter().map(|state| stops(*state).map(|_| state.in_shot().is_some())).collect();
    for (kind, range) in runs(&kinds) {
        let Some(in_shot) = kind else { continue };
        let line =
            chart.trace(&range, |i| states.get(i).copied().and_then(stops), |v| scale.y(v, panel));
        for pen in pens(target, in_shot) {
            scene.line(&line, pen);
        }
    }
}
