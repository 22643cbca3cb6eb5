//! Moments of the match and stretches without sun, named over the top panel.
//!
//! In: the chart. Out: labels that keep clear of each other, of their lines and of
//! the panel's header.

use crate::engine::Milestone;
use crate::output::draw::labels::{PlacedLabel, WantedLabel, flags};
use crate::output::draw::palette;
use crate::output::draw::text::{Weight, fitted, width_px};

use super::chart::{Dark, MILESTONE, TimelineChart, name_of};
use super::scene::{Anchor, Label, Rect, TimelineScene};
use super::{HEADER_PX, SMALL_PX, WIDTH_PX};

const LABEL_ROW_PX: f64 = 36.0;
/// Between the lowest label and the panel, pixels.
const LABEL_GAP_PX: f64 = 6.0;
/// Between the header and a label in its row, pixels.
const HEADER_GAP_PX: f64 = 30.0;
/// Room around a name inside its stretch, pixels.
const NAME_PAD_PX: f64 = 14.0;

/// Draws header and labels over a top panel; gives the panel.
pub(super) fn head(
    scene: &mut TimelineScene,
    chart: &TimelineChart,
    top: f64,
    what: &str,
    height_px: f64,
) -> Rect {
    let header_px = width_px(what, HEADER_PX, Weight::Bold);
    let labels = Labels::of(chart, chart.axis.left + header_px);
    let panel = chart.panel(top + labels.rows as f64 * LABEL_ROW_PX + LABEL_GAP_PX, height_px);
    labels.draw(scene, &panel);
    chart.header(scene, row_baseline(&panel, labels.rows - 1), what);
    panel
}

/// Baseline of a row of labels, counted upward from the panel.
fn row_baseline(panel: &Rect, row: usize) -> f64 {
    panel.top - LABEL_GAP_PX - (row as f64 + 0.25) * LABEL_ROW_PX
}

/// Names of stretches without sun that are wide enough to hold them.
pub(super) fn names_inside(scene: &mut TimelineScene, chart: &TimelineChart, panel: &Rect) {
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
    placed: Vec<PlacedLabel>,
    /// With the header's row; at least one.
    rows: usize,
}

impl Labels {
    fn of(chart: &TimelineChart, header_right: f64) -> Self {
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
        let wanted: Vec<WantedLabel> = flags_at
            .iter()
            .map(|(at, text)| WantedLabel {
                at: *at,
                width: width_px(text, SMALL_PX, Weight::Regular),
            })
            .collect();
        let placed = flags(&wanted, chart.axis.left, right);
        let used = placed.iter().map(|p| p.row + 1).max().unwrap_or(0);
        let meets_header = |((at, _), p): (&(f64, String), &PlacedLabel)| {
            p.row + 1 == used && at.min(p.left) < header_right + HEADER_GAP_PX
        };
        let own_row = used == 0 || flags_at.iter().zip(&placed).any(meets_header);
        Self { rows: used + usize::from(own_row), flags: flags_at, placed }
    }

    fn draw(&self, scene: &mut TimelineScene, panel: &Rect) {
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
