//! A chart: two numbered axes in a box.
//!
//! In: a box in pixels and the ranges of both axes. Out: pixels of values; ticks, numbers
//! and a title.

use crate::output::draw::palette::{INK, RULE};
use crate::output::draw::scale::ticks;
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};

const TEXT: f64 = 24.0;
/// Least room between two numbers, pixels.
const APART_X: f64 = 110.0;
const APART_Y: f64 = 48.0;
/// Room that the numbers under a chart take, pixels.
pub(super) const UNDER: f64 = 80.0;

/// Values on the page.
#[derive(Debug, Clone, Copy)]
pub(super) struct BallChart {
    pub area: PxBox,
    pub x: (f64, f64),
    pub y: (f64, f64),
}

impl BallChart {
    pub fn px(&self, x: f64, y: f64) -> Px {
        let share = |v: f64, (from, until): (f64, f64)| (v - from) / (until - from);
        [
            self.area.left + share(x, self.x) * self.area.width(),
            self.area.bottom - share(y, self.y) * self.area.height(),
        ]
    }

    /// Lines of equal values, under what is drawn.
    pub fn grid(&self, sketch: &mut Sketch) {
        for x in ticks(self.x, self.area.width(), APART_X) {
            sketch.stroke(vec![self.px(x, self.y.0), self.px(x, self.y.1)], 1, RULE);
        }
        for y in ticks(self.y, self.area.height(), APART_Y) {
            sketch.stroke(vec![self.px(self.x.0, y), self.px(self.x.1, y)], 1, RULE);
        }
    }

    /// Frame, numbers with the words that `told` makes of them, and a title.
    pub fn axes(
        &self,
        sketch: &mut Sketch,
        title: &str,
        (under, told_x): (&str, &dyn Fn(f64) -> String),
        told_y: &dyn Fn(f64) -> String,
    ) {
        sketch.outline(self.area.ring(), 3, INK);
        for x in ticks(self.x, self.area.width(), APART_X) {
            let at = self.px(x, self.y.0);
            sketch.stroke(vec![at, [at[0], at[1] + 8.0]], 3, INK);
            let lettering = Lettering::of(TEXT).align(Align::Middle);
            sketch.text(told_x(x), [at[0], at[1] + 28.0], lettering);
        }
        for y in ticks(self.y, self.area.height(), APART_Y) {
            let at = self.px(self.x.0, y);
            sketch.stroke(vec![[at[0] - 8.0, at[1]], at], 3, INK);
            let lettering = Lettering::of(TEXT).align(Align::Right);
            sketch.text(told_y(y), [at[0] - 16.0, at[1]], lettering);
        }
        let lettering = Lettering::of(TEXT).align(Align::Middle);
        sketch.text(under, [self.area.middle()[0], self.area.bottom + 62.0], lettering);
        sketch.text(title, [self.area.left, self.area.top - 24.0], Lettering::of(28.0).bold());
    }
}

/// A number without needless digits.
pub(super) fn number(value: f64) -> String {
    // -0 is 0
    let value = value + 0.0;
    match (value - value.round()).abs() < 1e-9 {
        true => format!("{:.0}", value.round() + 0.0),
        false => format!("{value:.1}"),
    }
}
