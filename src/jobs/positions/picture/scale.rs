//! From penalty to colour, and the legend of the drawing.
//!
//! Colours run from bright (least penalty) to dark in the map "cividis", made for
//! colour-blind readers (Nunez, Anderton and Renslow, PLOS ONE 13(7), 2018), as
//! approximated by crate `colorous`; lightness keeps the order in grey print.

use plotters::style::RGBColor;

use crate::jobs::positions::Positions;
use crate::output::draw::palette::{INK, MUTED, PAPER};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};

/// Places that see nothing of the field.
const BLIND: RGBColor = PAPER;
/// Patches of the scale.
const STEPS: usize = 48;

/// Penalty from the least to the most of all places.
pub(super) struct PenaltyScale {
    low: f64,
    high: f64,
    any_blind: bool,
    any_set: bool,
}

impl PenaltyScale {
    pub fn of(positions: &Positions) -> Self {
        let places = positions.sites.iter().filter(|s| s.candidate.is_some());
        let penalty = places.clone().filter_map(|s| s.penalty);
        let (low, high) = penalty
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), t| (low.min(t), high.max(t)));
        let known = low.is_finite();
        Self {
            low: if known { low } else { 0.0 },
            high: if known { high } else { 1.0 },
            any_blind: places.clone().any(|s| s.penalty.is_none()),
            any_set: matches!(positions.set, crate::jobs::positions::SetSearch::Found(_)),
        }
    }

    pub fn colour(&self, penalty: Option<f64>) -> RGBColor {
        let Some(penalty) = penalty else { return BLIND };
        let width = self.high - self.low;
        let share = if width > 0.0 { (penalty - self.low) / width } else { 0.0 };
        at(share)
    }

    /// The scale and the signs, left to right under the drawing.
    pub fn draw(&self, sketch: &mut Sketch, area: &PxBox) {
        let text = Lettering::of(25.0);
        let bar = PxBox {
            left: area.left,
            top: area.top + 8.0,
            right: area.left + 420.0,
            bottom: area.top + 44.0,
        };
        let width = bar.width() / STEPS as f64;
        for step in 0..STEPS {
            let left = bar.left + step as f64 * width;
            let patch = PxBox { left, right: left + width + 1.0, ..bar };
            sketch.fill(patch.ring(), at((step as f64 + 0.5) / STEPS as f64));
        }
        sketch.outline(bar.ring(), 2, INK);
        let under = bar.bottom + 24.0;
        let number = |t: f64| format!("{t:.2}");
        sketch.text(number(self.low), [bar.left, under], text);
        sketch.text(number(self.high), [bar.right, under], text.align(Align::Right));
        sketch.text("penalty", [bar.middle()[0], under], text.colour(MUTED).align(Align::Middle));
        self.signs(sketch, area);
    }

    fn signs(&self, sketch: &mut Sketch, area: &PxBox) {
        let text = Lettering::of(25.0);
        let rows = [area.top + 118.0, area.top + 164.0, area.top + 210.0];
        let [first, second, third] = rows;
        let (left, right) = (area.left + 22.0, area.left + 660.0);
        sketch.disc([left, first], 14.0, INK);
        sketch.disc([left, first], 11.0, at(0.0));
        sketch.text("No other place beats it in every part", [left + 30.0, first], text);
        sketch.tag("A", PxBox::around([left, second], 36.0, 34.0), text.bold());
        sketch.text("Lowest penalty of its candidate", [left + 30.0, second], text);
        sketch.fill(PxBox::around([right, first], 14.0, 14.0).ring(), INK);
        sketch.text("Camera that stays", [right + 30.0, first], text);
        if self.any_set {
            for (radius, colour) in [(17.0, INK), (12.0, PAPER), (8.0, at(0.0))] {
                sketch.disc([right, second], radius, colour);
            }
            sketch.text("In the best set", [right + 30.0, second], text);
        }
        if self.any_blind {
            sketch.disc([left, third], 12.0, MUTED);
            sketch.disc([left, third], 10.0, BLIND);
            sketch.text("Sees nothing of the field", [left + 30.0, third], text);
        }
    }
}

/// Bright for 0, dark for 1.
fn at(share: f64) -> RGBColor {
    let c = colorous::CIVIDIS.eval_continuous(1.0 - share.clamp(0.0, 1.0));
    RGBColor(c.r, c.g, c.b)
}
