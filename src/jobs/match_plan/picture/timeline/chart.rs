//! What all panels share: the time axis, the moments marked on it, and the
//! stretches without direct sun.
//!
//! In: a venue and its plan. Out: places in pixels, x to the right, y down.

use std::ops::Range;

use plotters::style::RGBColor;

use crate::engine::{Instant, MatchPlan, Milestone};
use crate::output::draw::palette;
use crate::output::error::RenderError;
use crate::solar::SunState;
use crate::venue::Venue;

use super::axis::{AxisSpan, Tick, TimeAxis, ValueScale, spans};
use super::scene::{Anchor, Label, Pen, PicturePoint, Rect, TimelineScene};
use super::{HEADER_PX, MARGIN_PX, SMALL_PX, WIDTH_PX};

/// Left border of all panels; scales stand to the left of it, pixels.
const PLOT_LEFT_PX: f64 = 204.0;
const PLOT_RIGHT_PX: f64 = WIDTH_PX as f64 - MARGIN_PX - 20.0;
/// From a panel's border to the numbers of its scale, pixels.
const SCALE_GAP_PX: f64 = 20.0;
/// A row of labelled times, pixels.
const TIME_ROW_PX: f64 = 38.0;
/// Half the height of a figure in small type, pixels.
const HALF_FIGURE_PX: f64 = 0.365 * SMALL_PX;
const HATCH_SPACING_PX: f64 = 11.0;
/// Where no direct sun arrives: the sun risen but hidden, and down. Light enough
/// for lines and text over them.
const HIDDEN: RGBColor = RGBColor(243, 244, 247);
const DOWN: RGBColor = RGBColor(222, 225, 231);

pub(super) const MILESTONE: Pen = Pen::solid(palette::MUTED, 2);
const GRID: Pen = Pen::solid(palette::RULE, 1);

/// A stretch of instants without direct sun.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Dark {
    pub range: Range<usize>,
    pub left: f64,
    pub right: f64,
    pub state: SunState,
}

/// The plan on its time axis.
pub(super) struct TimelineChart<'a> {
    pub venue: &'a Venue,
    pub plan: &'a MatchPlan,
    pub first: &'a Instant,
    pub last: &'a Instant,
    pub axis: TimeAxis,
    /// One for each instant.
    pub spans: Vec<AxisSpan>,
    pub ticks: Vec<Tick>,
    pub dark: Vec<Dark>,
}

impl<'a> TimelineChart<'a> {
    /// # Errors
    /// [`RenderError::NoInstants`] for a plan without instants.
    pub fn new(venue: &'a Venue, plan: &'a MatchPlan) -> Result<Self, RenderError> {
        let [first, .., last] = plan.instants.as_slice() else {
            let only = plan.instants.first().ok_or(RenderError::NoInstants)?;
            return Ok(Self::between(venue, plan, only, only));
        };
        Ok(Self::between(venue, plan, first, last))
    }

    fn between(
        venue: &'a Venue,
        plan: &'a MatchPlan,
        first: &'a Instant,
        last: &'a Instant,
    ) -> Self {
        let axis = TimeAxis::new(first.at, last.at, PLOT_LEFT_PX, PLOT_RIGHT_PX);
        let spans = spans(&axis, &plan.instants);
        let states: Vec<SunState> = plan.instants.iter().map(|i| i.sun_state).collect();
        let dark = runs(&states)
            .into_iter()
            .filter(|(state, _)| *state != SunState::Up)
            .map(|(state, range)| Dark {
                left: spans.get(range.start).map_or(axis.left, |s| s.left),
                right: spans.get(range.end - 1).map_or(axis.right, |s| s.right),
                state,
                range,
            })
            .collect();
        Self { ticks: axis.ticks(), venue, plan, first, last, axis, spans, dark }
    }

    /// The milestones inside the window.
    pub fn milestones(&self) -> impl Iterator<Item = &Milestone> {
        self.plan.milestones.iter().filter(|milestone| self.axis.holds(milestone.at))
    }

    /// A panel as wide as the axis.
    pub fn panel(&self, top: f64, height_px: f64) -> Rect {
        Rect { left: self.axis.left, top, right: self.axis.right, bottom: top + height_px }
    }

    /// Tints and hatches the stretches without direct sun.
    pub fn hatch(&self, scene: &mut TimelineScene, panel: &Rect) {
        for dark in &self.dark {
            let rect = Rect { left: dark.left, right: dark.right, ..*panel };
            no_sun(scene, rect, dark.state);
        }
    }

    /// Upright lines at the labelled times.
    pub fn grid(&self, scene: &mut TimelineScene, panel: &Rect) {
        for tick in &self.ticks {
            scene.line(&[(tick.x, panel.top), (tick.x, panel.bottom)], GRID);
        }
    }

    /// Upright lines at the milestones, and the panel's frame.
    pub fn close(&self, scene: &mut TimelineScene, panel: &Rect) {
        for milestone in self.milestones() {
            let x = self.axis.x(milestone.at);
            scene.line(&[(x, panel.top), (x, panel.bottom)], MILESTONE);
        }
        scene.frame(*panel, Pen::solid(palette::MUTED, 1));
    }

    /// The row over a panel: what it shows.
    pub fn header(&self, scene: &mut TimelineScene, baseline: f64, text: &str) {
        scene.text(Label::new(text, self.axis.left, baseline, HEADER_PX).bold());
    }

    /// The scale at the left of a panel: level lines, numbers kept beside the
    /// panel, and the unit where the numbers do not carry it.
    pub fn scale(
        &self,
        scene: &mut TimelineScene,
        panel: &Rect,
        scale: &ValueScale,
        unit: &str,
        text: impl Fn(f64) -> String,
    ) {
        for value in scale.ticks() {
            let y = scale.y(value, panel);
            scene.line(&[(panel.left, y), (panel.right, y)], GRID);
            self.gutter(scene, y + HALF_FIGURE_PX, text(value));
        }
        let middle = 0.5 * (panel.top + panel.bottom) + HALF_FIGURE_PX;
        scene.text(Label::new(unit, MARGIN_PX, middle, SMALL_PX).coloured(palette::MUTED));
    }

    /// Text at the left of a panel, against its border.
    pub fn gutter(&self, scene: &mut TimelineScene, baseline: f64, text: impl Into<String>) {
        let label = Label::new(text, self.axis.left - SCALE_GAP_PX, baseline, SMALL_PX)
            .anchored(Anchor::Right)
            .coloured(palette::MUTED);
        scene.text(label);
    }

    /// What a row of figures under a panel holds: at the margin, clear of a figure under
    /// the panel's border.
    pub fn row_name(&self, scene: &mut TimelineScene, baseline: f64, name: &str) {
        scene.text(Label::new(name, MARGIN_PX, baseline, SMALL_PX).coloured(palette::MUTED));
    }

    /// Labelled times under a panel; gives the bottom of the row.
    pub fn times(&self, scene: &mut TimelineScene, top: f64) -> f64 {
        let baseline = top + 0.75 * TIME_ROW_PX;
        self.row_name(scene, baseline, "local time");
        for tick in &self.ticks {
            scene.line(&[(tick.x, top), (tick.x, top + 8.0)], Pen::solid(palette::MUTED, 2));
            self.centred(scene, tick.x, baseline, tick.text.clone());
        }
        top + TIME_ROW_PX
    }

    /// Small text centred on a place of the axis, kept inside the picture and off the
    /// name of its row.
    pub fn centred(&self, scene: &mut TimelineScene, x: f64, baseline: f64, text: String) {
        let label = Label::new(text, x, baseline, SMALL_PX).anchored(Anchor::Middle);
        let bounds = label.bounds();
        let over = (bounds.right - (f64::from(WIDTH_PX) - 10.0)).max(0.0);
        let under = (self.axis.left - SCALE_GAP_PX - bounds.left).max(0.0);
        scene.text(Label { x: x - over + under, ..label });
    }

    /// A line through the values of a run of instants, from halfway to the
    /// instant before to halfway to the one after, so that runs meet.
    pub fn trace(
        &self,
        range: &Range<usize>,
        value: impl Fn(usize) -> Option<f64>,
        y: impl Fn(f64) -> f64,
    ) -> Vec<PicturePoint> {
        let mut points = Vec::with_capacity(range.len() + 2);
        for i in range.clone() {
            let (Some(span), Some(own)) = (self.spans.get(i), value(i)) else {
                continue;
            };
            let border = |other: Option<f64>| y(other.map_or(own, |v| 0.5 * (v + own)));
            if i == range.start {
                points.push((span.left, border(i.checked_sub(1).and_then(&value))));
            }
            points.push((span.x, y(own)));
            if i + 1 == range.end {
                points.push((span.right, border(value(i + 1))));
            }
        }
        points
    }
}

/// A box tinted and hatched as a stretch without direct sun.
pub(super) fn no_sun(scene: &mut TimelineScene, rect: Rect, state: SunState) {
    let tint = match state {
        SunState::Down => DOWN,
        SunState::BehindSkyline | SunState::Up => HIDDEN,
    };
    scene.fill(rect, tint);
    scene.hatch(rect, HATCH_SPACING_PX, Pen::solid(palette::RULE, 2));
}

/// What people call a stretch without direct sun.
pub(super) fn name_of(state: SunState) -> &'static str {
    match state {
        SunState::Up => "sun up",
        SunState::BehindSkyline => "sun behind the skyline",
        SunState::Down => "sun down",
    }
}

/// Stretches of equal values.
pub(super) fn runs<T: PartialEq + Copy>(values: &[T]) -> Vec<(T, Range<usize>)> {
    let mut found: Vec<(T, Range<usize>)> = Vec::new();
    for (i, &value) in values.iter().enumerate() {
        match found.last_mut() {
            Some((same, range)) if *same == value => range.end = i + 1,
            _ => found.push((value, i..i + 1)),
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_cover_everything_once() {
        assert_eq!(runs(&[1, 1, 2, 1, 1]), [(1, 0..2), (2, 2..3), (1, 3..5)]);
        assert!(runs::<u8>(&[]).is_empty());
    }
}
