//! The top panel: how much of the field of play is in shade.
//!
//! In: the chart. Out: two stacked bands (no direct light; dimmed by translucent
//! roofs) at turf height and a line at face height, % of the field's area, under
//! the labels of milestones and of stretches without sun.

use plotters::style::RGBColor;

use super::axis::Scale;
use super::chart::{Chart, Dark, MILESTONE, name_of, runs};
use super::labels::{Placed, Wanted, flags};
use super::scene::{Anchor, Label, Pen, Point, Rect, Scene};
use super::{HEADER_PX, SMALL_PX, WIDTH_PX};
use crate::geometry::ShadeShare;
use crate::light::Sky;
use crate::plan::{Instant, Milestone};
use crate::render::palette;
use crate::render::text::{Weight, fitted, width_px};
use crate::solar::SunState;

const HEIGHT_PX: f64 = 178.0;
const LABEL_ROW_PX: f64 = 36.0;
/// Between the lowest label and the panel, pixels.
const LABEL_GAP_PX: f64 = 6.0;
/// Between the header and a label in its row, pixels.
const HEADER_GAP_PX: f64 = 30.0;
/// Room around a name inside its stretch, pixels.
const NAME_PAD_PX: f64 = 14.0;

/// No direct light.
pub(super) const OPAQUE: RGBColor = RGBColor(92, 100, 112);
/// Dimmed by a translucent roof.
pub(super) const DIMMED: RGBColor = RGBColor(178, 208, 230);
/// The line at face height and the light rim that keeps it apart from bands.
pub(super) const FACE: [Pen; 2] = [Pen::solid(palette::PAPER, 9), Pen::solid(palette::BLACK, 4)];

/// Draws the panel; gives its bottom.
pub(super) fn draw(scene: &mut Scene, chart: &Chart, top: f64) -> f64 {
    let what = match chart.plan.sky {
        Sky::Clear => "Field of play not in full sun, share of its area",
        Sky::Overcast => "Field of play that the direct sun would miss, share of its area",
    };
    let header_px = width_px(what, HEADER_PX, Weight::Bold);
    let labels = Labels::of(chart, chart.axis.left + header_px);
    let panel = chart.panel(top + labels.rows as f64 * LABEL_ROW_PX + LABEL_GAP_PX, HEIGHT_PX);
    labels.draw(scene, &panel);
    chart.header(scene, row_baseline(&panel, labels.rows - 1), what);
    bands(scene, chart, &panel);
    names_inside(scene, chart, &panel);
    panel.bottom
}

/// Baseline of a row of labels, counted upward from the panel.
fn row_baseline(panel: &Rect, row: usize) -> f64 {
    panel.top - LABEL_GAP_PX - (row as f64 + 0.25) * LABEL_ROW_PX
}

fn bands(scene: &mut Scene, chart: &Chart, panel: &Rect) {
    let scale = Scale { min: 0.0, max: 1.0, step: 0.25 };
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
fn down_to(line: &[Point], bottom: f64) -> Vec<Point> {
    let mut outline = line.to_vec();
    if let (Some(first), Some(last)) = (line.first(), line.last()) {
        outline.push((last.0, bottom));
        outline.push((first.0, bottom));
    }
    outline
}

/// Names of stretches without sun that are wide enough to hold them.
fn names_inside(scene: &mut Scene, chart: &Chart, panel: &Rect) {
    for dark in &chart.dark {
        let name = name_of(dark.state);
        if !holds_name(dark.right - dark.left, name) {
            continue;
        }
        let baseline = 0.5 * (panel.top + panel.bottom);
        let at = |share: f64| {
            let label = Label::new(name, 0.0, baseline, SMALL_PX).anchored(Anchor::Middle);
            let half = label.bounds().right + NAME_PAD_PX;
            let x = dark.left + half + share * (dark.right - dark.left - 2.0 * half);
            Label { x, ..label }
        };
        // beside the lines of the match, where there is room
        let clear = |label: &Label| {
            let bounds = label.bounds();
            let mut lines = chart.milestones().map(|m| chart.axis.x(m.at));
            lines.all(|x| x < bounds.left - NAME_PAD_PX || bounds.right + NAME_PAD_PX < x)
        };
        let tried = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9, 0.0, 1.0];
        let label = tried.into_iter().map(at).find(clear).unwrap_or_else(|| at(0.5));
        let bounds = label.bounds();
        scene.fill(
            Rect {
                left: bounds.left - 8.0,
                top: bounds.top - 6.0,
                right: bounds.right + 8.0,
                bottom: bounds.bottom + 6.0,
            },
            palette::PAPER,
        );
        scene.text(label);
    }
}

fn holds_name(room_px: f64, name: &str) -> bool {
    width_px(name, SMALL_PX, Weight::Regular) + 2.0 * NAME_PAD_PX <= room_px
}

/// Labels over the panel: milestones, and stretches too narrow for their names.
struct Labels {
    flags: Vec<(f64, String)>,
    placed: Vec<Placed>,
    /// With the header's row; at least one.
    rows: usize,
}

impl Labels {
    fn of(chart: &Chart, header_right: f64) -> Self {
        let right = f64::from(WIDTH_PX) - 20.0;
        let most = right - chart.axis.left;
        let milestone = |m: &Milestone| {
            let text = format!("{} {}", m.name, m.at.format("%H:%M"));
            (chart.axis.x(m.at), text)
        };
        let narrow = |dark: &Dark| {
            let name = name_of(dark.state);
            let at = chart.plan.instants.get(dark.range.start)?.at;
            (!holds_name(dark.right - dark.left, name))
                .then(|| (dark.left, format!("{name} {}", at.format("%H:%M"))))
        };
        let flags_at: Vec<(f64, String)> = chart
            .milestones()
            .map(milestone)
            .chain(chart.dark.iter().filter_map(narrow))
            .map(|(x, text)| (x, fitted(&text, most, SMALL_PX, Weight::Regular)))
            .collect();
        let wanted: Vec<Wanted> = flags_at
            .iter()
            .map(|(at, text)| Wanted { at: *at, width: width_px(text, SMALL_PX, Weight::Regular) })
            .collect();
        let placed = flags(&wanted, chart.axis.left, right);
        let used = placed.iter().map(|p| p.row + 1).max().unwrap_or(0);
        let meets_header = |((at, _), p): (&(f64, String), &Placed)| {
            p.row + 1 == used && at.min(p.left) < header_right + HEADER_GAP_PX
        };
        let own_row = used == 0 || flags_at.iter().zip(&placed).any(meets_header);
        Self { rows: used + usize::from(own_row), flags: flags_at, placed }
    }

    fn draw(&self, scene: &mut Scene, panel: &Rect) {
        for ((x, _), placed) in self.flags.iter().zip(&self.placed) {
            let top = row_baseline(panel, placed.row) - 0.6 * LABEL_ROW_PX;
            scene.line(&[(*x, top), (*x, panel.top)], MILESTONE);
        }
        for ((_, text), placed) in self.flags.iter().zip(&self.placed) {
            let baseline = row_baseline(panel, placed.row);
            let label = Label::new(text.clone(), placed.left, baseline, SMALL_PX);
            // paper under the text, where it had to move over its own line
            let bounds = label.bounds();
            scene.fill(
                Rect { left: bounds.left - 4.0, right: bounds.right + 4.0, ..bounds },
                palette::PAPER,
            );
            scene.text(label);
        }
    }
}
