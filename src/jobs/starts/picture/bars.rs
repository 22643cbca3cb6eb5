//! A few days: bars of cost by start, stacked by what they are made of.
//!
//! One panel a day on one scale. Letters in the bars tell parts apart in grey print. With
//! odds a thin line spans the 10th to the 90th percentile of the days.

use plotters::style::RGBColor;

use crate::jobs::starts::{CostPart, CostParts, Costed, Profile};
use crate::output::draw::palette::{
    BLUE, INK, MUTED, ORANGE, PAPER, RULE, SKY_BLUE, VERMILLION, YELLOW,
};
use crate::output::draw::scale::round_step;
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::venue::Venue;

use super::{Line, PAGE, clock};

const LEFT: f64 = 150.0;
const TOP: f64 = 190.0;
const BOTTOM: f64 = 1270.0;
/// Over each panel for its day, under it for clock times.
const HEADING_PX: f64 = 112.0;
const TIMES_PX: f64 = 76.0;
const MAX_BAR_PX: f64 = 90.0;
/// A segment this high and wide holds its letter.
const LETTER_PX: [f64; 2] = [24.0, 22.0];
const TEXT: f64 = 25.0;

/// Colour, letter and name of a part, and the colour of the letter.
fn sign(part: CostPart) -> (RGBColor, &'static str, &'static str, RGBColor) {
    match part {
        CostPart::Mixed => (SKY_BLUE, "M", "sun and shade on the field", INK),
        CostPart::WorstSplit => (VERMILLION, "S", "widest split in shot", INK),
        CostPart::MainLens => (YELLOW, "L", "sun in the main lens", INK),
        CostPart::Choose => (BLUE, "C", "sun or shade", PAPER),
        CostPart::Dusk => (ORANGE, "D", "dusk under floodlights", INK),
        CostPart::Dark => (MUTED, "N", "dark, no floodlights", PAPER),
    }
}

/// Draws a panel for each day, with the signs under all.
pub(super) fn draw(sketch: &mut Sketch, venue: &Venue, lines: &[Line<'_>], profile: &Profile) {
    let all = || lines.iter().flat_map(|line| &line.ranked.starts);
    let top = |s: &Costed| s.odds.map_or(s.cost(), |odds| odds.cost.p90.max(odds.cost.expected));
    let scale = Scale::over(all().map(top).fold(0.0, f64::max));
    let height = (BOTTOM - TOP) / lines.len().max(1) as f64;
    for (i, line) in lines.iter().enumerate() {
        let top = TOP + height * i as f64;
        let panel = PxBox {
            left: LEFT,
            right: PAGE.right,
            top: top + HEADING_PX,
            bottom: top + height - TIMES_PX,
        };
        heading(sketch, venue, line, top + 34.0);
        scale.draw(sketch, &panel);
        bars(sketch, (venue, line, profile), &panel, &scale);
    }
    legend(sketch, all().any(|start| start.odds.is_some()));
}

fn heading(sketch: &mut Sketch, venue: &Venue, line: &Line<'_>, y: f64) {
    let date = line.fixture.date.format("%A %-d %B %Y").to_string();
    let name = match line.fixture.name.as_str() {
        "" => date,
        name => format!("{date}, {name}"),
    };
    let zone = venue.place.zone;
    let told =
        |start: &Costed| format!("{} ({:.1})", clock(venue, start).format("%H:%M"), start.cost());
    let best = line.ranked.best(line.fixture, zone).map_or(String::new(), told);
    let planned = line.ranked.planned(line.fixture, zone).map_or(String::new(), told);
    let words = format!("best {best}, planned {planned}");
    let right = Lettering::of(TEXT).align(Align::Right);
    sketch.text(words.as_str(), [PAGE.right, y], right);
    let room = PAGE.width() - right.width(&words) - 40.0;
    let name = fitted(&name, room, 28.0, Weight::Bold);
    sketch.text(name, [PAGE.left, y], Lettering::of(28.0).bold());
}

/// Cost from 0 to a round number.
struct Scale {
    most: f64,
    step: f64,
}

impl Scale {
    fn over(most: f64) -> Self {
        let step = round_step((most / 4.0).max(0.05));
        Self { most: step * (most / step).ceil().max(1.0), step }
    }

    fn y(&self, panel: &PxBox, cost: f64) -> f64 {
        panel.bottom - panel.height() * (cost / self.most).clamp(0.0, 1.0)
    }

    fn draw(&self, sketch: &mut Sketch, panel: &PxBox) {
        let text = Lettering::of(TEXT).align(Align::Right);
        let count = (self.most / self.step).round() as i32;
        let decimals = usize::from(self.step < 1.0);
        for i in 0..=count {
            let cost = f64::from(i) * self.step;
            let y = self.y(panel, cost);
            sketch.stroke([[panel.left, y], [panel.right, y]], 2, RULE);
            sketch.text(format!("{cost:.decimals$}"), [panel.left - 14.0, y], text);
        }
        let word = Lettering::of(TEXT).colour(MUTED);
        sketch.text("cost", [PAGE.left, panel.top - 36.0], word);
    }
}

fn bars(
    sketch: &mut Sketch,
    (venue, line, profile): (&Venue, &Line<'_>, &Profile),
    panel: &PxBox,
    scale: &Scale,
) {
    let starts = &line.ranked.starts;
    let pitch = panel.width() / starts.len().max(1) as f64;
    let width = (0.8 * pitch).min(MAX_BAR_PX);
    let text = Lettering::of(TEXT).align(Align::Middle);
    let zone = venue.place.zone;
    let best = line.ranked.best(line.fixture, zone).map(|s| s.at);
    let planned = line.ranked.planned(line.fixture, zone).map(|s| s.at);
    // clock times and costs are written as often as they have room
    let each = ((text.width("00:00") + 14.0) / pitch).ceil().max(1.0) as usize;
    for (i, start) in starts.iter().enumerate() {
        let middle = panel.left + (i as f64 + 0.5) * pitch;
        let bar = PxBox { left: middle - 0.5 * width, right: middle + 0.5 * width, ..*panel };
        let top = stack(sketch, start, profile, &bar, scale);
        let is_best = best == Some(start.at);
        let top = if is_best { ring(sketch, &bar, top) } else { top };
        let over = spread(sketch, start, &bar, scale).min(top);
        if is_best || each == 1 {
            let weight = if is_best { text.bold() } else { text };
            sketch.text(format!("{:.1}", start.cost()), [middle, over - 22.0], weight);
        }
        if i % each == 0 {
            let words = clock(venue, start).format("%H:%M").to_string();
            sketch.text(words, [middle, panel.bottom + 26.0], text);
        }
        if planned == Some(start.at) {
            let y = panel.bottom + 56.0;
            let tip = [[middle, y - 12.0], [middle + 11.0, y + 8.0], [middle - 11.0, y + 8.0]];
            sketch.fill(tip, INK);
        }
    }
    sketch.stroke([[panel.left, panel.bottom], [panel.right, panel.bottom]], 3, INK);
}

/// One bar from the ground up; where it ends, pixels from the top.
fn stack(
    sketch: &mut Sketch,
    start: &Costed,
    profile: &Profile,
    bar: &PxBox,
    scale: &Scale,
) -> f64 {
    let parts: CostParts = start.odds.map_or(start.clear, |odds| odds.parts);
    let (mut cost, mut bottom) = (0.0, bar.bottom);
    for part in CostPart::ALL {
        let weighed = profile.weighed(&parts, part);
        if weighed <= 0.0 {
            continue;
        }
        cost += weighed;
        let segment = PxBox { top: scale.y(bar, cost), bottom, ..*bar };
        bottom = segment.top;
        let (colour, letter, _, ink) = sign(part);
        sketch.fill(segment.ring(), colour);
        sketch.outline(segment.ring(), 1, PAPER);
        if segment.height() >= LETTER_PX[0] && segment.width() >= LETTER_PX[1] {
            let inside = Lettering::of(21.0).bold().align(Align::Middle).colour(ink);
            sketch.text(letter, segment.middle(), inside);
        }
    }
    bottom
}

/// A ring around a bar, however low; where it ends, pixels from the top.
fn ring(sketch: &mut Sketch, bar: &PxBox, top: f64) -> f64 {
    let ring = PxBox { top: top.min(bar.bottom - 8.0), ..*bar }.grown(4.0);
    sketch.outline(ring.ring(), 4, INK);
    ring.top
}

/// The span of days with odds; where it ends, pixels from the top.
fn spread(sketch: &mut Sketch, start: &Costed, bar: &PxBox, scale: &Scale) -> f64 {
    let Some(odds) = start.odds else { return bar.bottom };
    let x = bar.right - 6.0;
    let [low, high] = [odds.cost.p10, odds.cost.p90].map(|cost| scale.y(bar, cost));
    for (width, colour) in [(7, PAPER), (3, INK)] {
        sketch.stroke([[x, low], [x, high]], width, colour);
        for y in [low, high] {
            sketch.stroke([[x - 7.0, y], [x + 7.0, y]], width.min(4), colour);
        }
    }
    high
}

fn legend(sketch: &mut Sketch, odds: bool) {
    let text = Lettering::of(24.0);
    let y = BOTTOM + 36.0;
    let mut x = PAGE.left;
    for part in CostPart::ALL {
        let (colour, letter, name, ink) = sign(part);
        let patch = PxBox::around([x + 17.0, y], 34.0, 32.0);
        sketch.fill(patch.ring(), colour);
        let inside = Lettering::of(21.0).bold().align(Align::Middle).colour(ink);
        sketch.text(letter, patch.middle(), inside);
        sketch.text(name, [x + 46.0, y], text);
        x += 46.0 + text.width(name) + 36.0;
    }
    let mut words = "ringed: the best start \u{b7} triangle: the planned start".to_owned();
    if odds {
        words += " \u{b7} thin line: from the 10th to the 90th percentile of days or members";
    }
    sketch.text(words, [PAGE.left, y + 46.0], text.colour(MUTED));
}
