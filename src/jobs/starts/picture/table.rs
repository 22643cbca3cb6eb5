//! Many days: a table of colours, clock time across, days down.
//!
//! Bright for the least cost; the best start of each day is ringed, the planned one
//! underlined. Colours run in the map "cividis", made for colour-blind readers (Nunez,
//! Anderton and Renslow, PLOS ONE 13(7), 2018), as approximated by crate `colorous`;
//! lightness keeps the order in grey print.

use plotters::style::RGBColor;

use crate::jobs::starts::Costed;
use crate::output::draw::palette::{INK, MUTED, PAPER, RULE};
use crate::output::draw::scale::{cividis, colour_bar};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::venue::Venue;

use super::{Line, PAGE, clock, minute};

const PLOT: PxBox = PxBox { left: 400.0, top: 230.0, right: 1960.0, bottom: 1190.0 };
/// Names of days are at least so far apart.
const MIN_LABEL_PX: f64 = 34.0;
const MAX_ROW_PX: f64 = 90.0;
/// Rows under this are too flat for a ring; the best start gets a mark instead.
const RING_FROM_PX: f64 = 16.0;

/// Draws the plot with its scale.
pub(super) fn draw(sketch: &mut Sketch, venue: &Venue, lines: &[Line<'_>], every_min: u32) {
    let all = || lines.iter().flat_map(|line| &line.ranked.starts);
    let costs = all().map(Costed::cost);
    let range = costs.fold((f64::INFINITY, f64::NEG_INFINITY), |r, c| (r.0.min(c), r.1.max(c)));
    let axis = Axis::of(venue, lines, every_min);
    let row_px = (PLOT.height() / lines.len().max(1) as f64).min(MAX_ROW_PX);
    let bottom = PLOT.top + row_px * lines.len() as f64;
    axis.draw(sketch, bottom);
    let mut labelled = f64::NEG_INFINITY;
    for (i, line) in lines.iter().enumerate() {
        let top = PLOT.top + row_px * i as f64;
        let middle = top + 0.5 * row_px;
        if middle - labelled >= MIN_LABEL_PX {
            labelled = middle;
            label(sketch, line, middle);
        }
        for (n, start) in line.ranked.starts.iter().enumerate() {
            let cell = axis.cell(venue, line, n, (top, row_px));
            sketch.fill(cell.ring(), shade(start.cost(), range));
        }
    }
    for (i, line) in lines.iter().enumerate() {
        let top = PLOT.top + row_px * i as f64;
        marks(sketch, venue, line, &axis, (top, row_px));
    }
    scale(sketch, range);
}

/// Best ringed, planned underlined.
fn marks(sketch: &mut Sketch, venue: &Venue, line: &Line<'_>, axis: &Axis, row: (f64, f64)) {
    let (_, row_px) = row;
    let place = |of: &Costed| line.ranked.starts.iter().position(|s| s.at == of.at);
    let planned = line.ranked.planned(line.fixture, venue.place.zone).and_then(place);
    if let Some(planned) = planned {
        let cell = axis.cell(venue, line, planned, row);
        let y = cell.bottom - (0.12 * row_px).clamp(1.0, 6.0);
        let ends = [[cell.left + 5.0, y], [cell.right - 5.0, y]];
        sketch.stroke(ends, 6, PAPER);
        sketch.stroke(ends, 3, INK);
    }
    if let Some(best) = line.ranked.best(line.fixture, venue.place.zone).and_then(place) {
        let cell = axis.cell(venue, line, best, row);
        if row_px >= RING_FROM_PX {
            sketch.outline(cell.grown(-3.0).ring(), 7, PAPER);
            sketch.outline(cell.grown(-3.0).ring(), 4, INK);
        } else {
            sketch.disc(cell.middle(), (0.5 * row_px).max(3.0), PAPER);
            sketch.disc(cell.middle(), (0.32 * row_px).max(2.0), INK);
        }
    }
}

fn label(sketch: &mut Sketch, line: &Line<'_>, y: f64) {
    let date = line.fixture.date.format("%a %-d %b %Y").to_string();
    let at = Lettering::of(25.0).align(Align::Right);
    let text = match line.fixture.name.as_str() {
        "" => date,
        name => {
            let room = PLOT.left - 60.0 - PAGE.left - at.width(&date);
            format!("{} {date}", fitted(name, room.max(0.0), 25.0, Weight::Regular))
        }
    };
    sketch.text(text, [PLOT.left - 24.0, y], at);
}

/// Clock time across the plot, minutes of the day.
struct Axis {
    from: f64,
    until: f64,
    /// Minutes that a start is wide, unless the next comes sooner.
    every: f64,
}

impl Axis {
    fn of(venue: &Venue, lines: &[Line<'_>], every_min: u32) -> Self {
        let starts = lines.iter().flat_map(|line| &line.ranked.starts);
        let minutes = starts.map(|start| minute(clock(venue, start)));
        let every = f64::from(every_min.max(1));
        let (from, last) = minutes
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(from, last), m| (from.min(m), last.max(m)));
        if from > last {
            return Self { from: 0.0, until: every, every };
        }
        Self { from, until: last + every, every }
    }

    fn x(&self, minute: f64) -> f64 {
        PLOT.left + PLOT.width() * (minute - self.from) / (self.until - self.from)
    }

    /// A start of a day runs to the next one, so that a planned start between two others
    /// leaves no gap.
    fn cell(&self, venue: &Venue, line: &Line<'_>, start: usize, row: (f64, f64)) -> PxBox {
        let at = |n: usize| line.ranked.starts.get(n).map(|s| minute(clock(venue, s)));
        let from = at(start).unwrap_or(self.from);
        let next = at(start + 1).filter(|next| *next > from).unwrap_or(f64::INFINITY);
        let (top, height) = row;
        let (left, right) = (self.x(from), self.x((from + self.every).min(next)));
        PxBox { left, right, top, bottom: top + height }
    }

    fn draw(&self, sketch: &mut Sketch, bottom: f64) {
        let text = Lettering::of(25.0).align(Align::Middle);
        let starts = ((self.until - self.from) / self.every).ceil() as i32;
        // the times of some starts, so that they do not meet
        let room = text.width("00:00") + 18.0;
        let cell = self.x(self.from + self.every) - self.x(self.from);
        let each = (room / cell).ceil().max(1.0) as i32;
        for i in (0..starts).step_by(each as usize) {
            let minute = self.from + f64::from(i) * self.every;
            let x = self.x((minute + 0.5 * self.every).min(self.until));
            let words = format!("{:02}:{:02}", minute as i32 / 60 % 24, minute as i32 % 60);
            sketch.text(words, [x, PLOT.top - 30.0], text);
            sketch.stroke([[x, PLOT.top - 14.0], [x, PLOT.top - 2.0]], 2, RULE);
        }
        sketch.outline(PxBox { bottom, ..PLOT }.ring(), 2, RULE);
        let words = Lettering::of(25.0).colour(MUTED).align(Align::Right);
        sketch.text("start, clock time", [PLOT.left - 24.0, PLOT.top - 30.0], words);
    }
}

/// The scale and the signs, under the plot.
fn scale(sketch: &mut Sketch, range: (f64, f64)) {
    let text = Lettering::of(25.0);
    let bar = PxBox { left: PLOT.left, top: 1256.0, right: PLOT.left + 480.0, bottom: 1292.0 };
    let number = |cost: f64| if cost.is_finite() { format!("{cost:.1}") } else { String::new() };
    colour_bar(sketch, &bar, [&number(range.0), "cost", &number(range.1)], text);
    let ring = PxBox::around([bar.right + 110.0, bar.top + 4.0], 56.0, 34.0);
    sketch.fill(ring.ring(), cividis(0.0));
    sketch.outline(ring.grown(-3.0).ring(), 4, INK);
    sketch.text(
        "best start of the day (a dot in flat rows)",
        [ring.right + 22.0, bar.top + 4.0],
        text,
    );
    let plan = PxBox::around([bar.right + 110.0, bar.top + 56.0], 56.0, 34.0);
    sketch.fill(plan.ring(), cividis(0.5));
    let line = [[plan.left + 5.0, plan.bottom - 6.0], [plan.right - 5.0, plan.bottom - 6.0]];
    sketch.stroke(line, 6, PAPER);
    sketch.stroke(line, 3, INK);
    sketch.text("planned start", [plan.right + 22.0, bar.top + 56.0], text);
}

fn shade(cost: f64, (low, high): (f64, f64)) -> RGBColor {
    cividis(if high > low { (cost - low) / (high - low) } else { 0.0 })
}
