//! Starts by day: what each costs, as a table of colours.
//!
//! In: a venue, its fixtures in order of dates, what their starts cost. Out: a picture of
//! 2000 by 1414 pixels: clock time across, days down, bright for the least cost; the best
//! start of each day is ringed, the planned one underlined.
//!
//! Colours run in the map "cividis", made for colour-blind readers (Nunez, Anderton and
//! Renslow, PLOS ONE 13(7), 2018), as approximated by crate `colorous`; lightness keeps
//! the order in grey print.

use chrono::{NaiveTime, Timelike};
use plotters::style::RGBColor;

use super::palette::{INK, MUTED, PAPER, RULE};
use super::sketch::{Align, Lettering, PxBox, Sketch};
use super::text::{Weight, fitted};
use super::{Picture, RenderError, canvas};
use crate::starts::{Costed, Fixture, Ranked};
use crate::venue::Venue;

const SIZE: (u32, u32) = (2000, 1414);
const PAGE: PxBox = PxBox { left: 40.0, top: 30.0, right: 1960.0, bottom: 1384.0 };
const PLOT: PxBox = PxBox { left: 400.0, top: 230.0, right: 1960.0, bottom: 1190.0 };
/// Names of days are at least so far apart.
const LEAST_LABEL_PX: f64 = 34.0;
const MOST_ROW_PX: f64 = 90.0;
/// Rows under this are too flat for a ring; the best start gets a mark instead.
const RING_FROM_PX: f64 = 16.0;
/// Patches of the scale.
const STEPS: usize = 48;

/// One day of the picture.
struct Line<'a> {
    fixture: &'a Fixture,
    ranked: &'a Ranked,
}

/// Draws the starts of one venue. `under` says what the costs hold for.
///
/// # Errors
/// The drawing library's own failures.
pub fn starts(
    venue: &Venue,
    fixtures: &[Fixture],
    ranked: &[Ranked],
    index: usize,
    under: &str,
) -> Result<Picture, RenderError> {
    let here = ranked.iter().filter_map(|ranked| {
        let fixture = fixtures.get(ranked.fixture).filter(|f| f.venue == index)?;
        Some(Line { fixture, ranked })
    });
    let mut lines: Vec<Line<'_>> = here.collect();
    lines.sort_by_key(|line| (line.fixture.date, line.ranked.fixture));
    let title = format!("What start times cost at {}", venue.title);
    canvas::draw(SIZE, &title, &description(venue, &lines), &draw(venue, &lines, under))
}

fn clock(venue: &Venue, start: &Costed) -> NaiveTime {
    start.at.with_timezone(&venue.place.zone).time()
}

fn description(venue: &Venue, lines: &[Line<'_>]) -> String {
    let best = |line: &Line<'_>| {
        let best = line.ranked.best()?;
        let (date, at) = (line.fixture.date, clock(venue, best).format("%H:%M"));
        Some(format!("{date}: best at {at}, cost {:.1}", best.cost()))
    };
    let first: Vec<String> = lines.iter().filter_map(best).take(5).collect();
    format!("Cost of start times by day. {}.", first.join("; "))
}

fn draw(venue: &Venue, lines: &[Line<'_>], under: &str) -> Sketch {
    let mut sketch = Sketch::default();
    header(&mut sketch, venue, under);
    let all = || lines.iter().flat_map(|line| &line.ranked.starts);
    let costs = all().map(Costed::cost);
    let range = costs.fold((f64::INFINITY, f64::NEG_INFINITY), |r, c| (r.0.min(c), r.1.max(c)));
    let axis = Axis::of(venue, lines);
    let row_px = (PLOT.height() / lines.len().max(1) as f64).min(MOST_ROW_PX);
    let bottom = PLOT.top + row_px * lines.len() as f64;
    axis.draw(&mut sketch, bottom);
    let mut labelled = f64::NEG_INFINITY;
    for (i, line) in lines.iter().enumerate() {
        let top = PLOT.top + row_px * i as f64;
        let middle = top + 0.5 * row_px;
        if middle - labelled >= LEAST_LABEL_PX {
            labelled = middle;
            label(&mut sketch, line, middle);
        }
        for start in &line.ranked.starts {
            let cell = axis.cell(clock(venue, start), top, row_px);
            sketch.fill(cell.ring(), shade(start.cost(), range));
        }
    }
    for (i, line) in lines.iter().enumerate() {
        let top = PLOT.top + row_px * i as f64;
        marks(&mut sketch, venue, line, &axis, (top, row_px));
    }
    scale(&mut sketch, range);
    sketch
}

/// Best ringed, planned underlined.
fn marks(sketch: &mut Sketch, venue: &Venue, line: &Line<'_>, axis: &Axis, row: (f64, f64)) {
    let (top, row_px) = row;
    if let Some(planned) = line.ranked.planned(line.fixture, venue.place.zone) {
        let cell = axis.cell(clock(venue, planned), top, row_px);
        let y = cell.bottom - (0.12 * row_px).clamp(1.0, 6.0);
        let ends = [[cell.left + 5.0, y], [cell.right - 5.0, y]];
        sketch.stroke(ends, 6, PAPER);
        sketch.stroke(ends, 3, INK);
    }
    if let Some(best) = line.ranked.best() {
        let cell = axis.cell(clock(venue, best), top, row_px);
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
    /// Minutes from one start to the next.
    every: f64,
}

impl Axis {
    fn of(venue: &Venue, lines: &[Line<'_>]) -> Self {
        let starts = lines.iter().flat_map(|line| &line.ranked.starts);
        let mut minutes: Vec<f64> = starts.map(|start| minute(clock(venue, start))).collect();
        minutes.sort_by(f64::total_cmp);
        minutes.dedup();
        let apart = minutes.windows(2).map(|pair| pair[1] - pair[0]);
        let every = apart.fold(f64::INFINITY, f64::min);
        let every = if every.is_finite() { every } else { 15.0 };
        let first = minutes.first().copied().unwrap_or(0.0);
        let last = minutes.last().copied().unwrap_or(first);
        Self { from: first, until: last + every, every }
    }

    fn x(&self, minute: f64) -> f64 {
        PLOT.left + PLOT.width() * (minute - self.from) / (self.until - self.from)
    }

    fn cell(&self, time: NaiveTime, top: f64, height: f64) -> PxBox {
        let minute = minute(time);
        PxBox {
            left: self.x(minute),
            right: self.x(minute + self.every),
            top,
            bottom: top + height,
        }
    }

    fn draw(&self, sketch: &mut Sketch, bottom: f64) {
        let text = Lettering::of(25.0).align(Align::Middle);
        let starts = ((self.until - self.from) / self.every).round() as i32;
        // the times of some starts, so that they do not meet
        let room = text.width("00:00") + 18.0;
        let cell = self.x(self.from + self.every) - self.x(self.from);
        let each = (room / cell).ceil().max(1.0) as i32;
        for i in (0..starts).step_by(each as usize) {
            let minute = self.from + f64::from(i) * self.every;
            let x = 0.5 * (self.x(minute) + self.x(minute + self.every));
            let words = format!("{:02}:{:02}", minute as i32 / 60 % 24, minute as i32 % 60);
            sketch.text(words, [x, PLOT.top - 30.0], text);
            sketch.stroke([[x, PLOT.top - 14.0], [x, PLOT.top - 2.0]], 2, RULE);
        }
        sketch.outline(PxBox { bottom, ..PLOT }.ring(), 2, RULE);
        let words = Lettering::of(25.0).colour(MUTED).align(Align::Right);
        sketch.text("start, clock time", [PLOT.left - 24.0, PLOT.top - 30.0], words);
    }
}

fn minute(time: NaiveTime) -> f64 {
    f64::from(time.hour() * 60 + time.minute())
}

fn header(sketch: &mut Sketch, venue: &Venue, under: &str) {
    let words = "What start times cost: the brighter the better";
    let rows = [
        (venue.title.as_str(), 46.0, Weight::Bold, INK, 30.0),
        (words, 27.0, Weight::Regular, INK, 86.0),
        (under, 27.0, Weight::Regular, MUTED, 126.0),
    ];
    for (text, size, weight, colour, down) in rows {
        let text = fitted(text, PAGE.width(), size, weight);
        let lettering = Lettering { size, weight, colour, align: Align::Left };
        sketch.text(text, [PAGE.left, PAGE.top + down], lettering);
    }
}

/// The scale and the signs, under the plot.
fn scale(sketch: &mut Sketch, range: (f64, f64)) {
    let text = Lettering::of(25.0);
    let bar = PxBox { left: PLOT.left, top: 1256.0, right: PLOT.left + 480.0, bottom: 1292.0 };
    let width = bar.width() / STEPS as f64;
    for step in 0..STEPS {
        let left = bar.left + step as f64 * width;
        let patch = PxBox { left, right: left + width + 1.0, ..bar };
        sketch.fill(patch.ring(), at((step as f64 + 0.5) / STEPS as f64));
    }
    sketch.outline(bar.ring(), 2, INK);
    let under = bar.bottom + 26.0;
    let number = |cost: f64| if cost.is_finite() { format!("{cost:.1}") } else { String::new() };
    sketch.text(number(range.0), [bar.left, under], text);
    sketch.text(number(range.1), [bar.right, under], text.align(Align::Right));
    sketch.text("cost", [bar.middle()[0], under], text.colour(MUTED).align(Align::Middle));
    let ring = PxBox::around([bar.right + 110.0, bar.top + 4.0], 56.0, 34.0);
    sketch.fill(ring.ring(), at(0.0));
    sketch.outline(ring.grown(-3.0).ring(), 4, INK);
    sketch.text(
        "best start of the day (a dot in flat rows)",
        [ring.right + 22.0, bar.top + 4.0],
        text,
    );
    let plan = PxBox::around([bar.right + 110.0, bar.top + 56.0], 56.0, 34.0);
    sketch.fill(plan.ring(), at(0.5));
    let line = [[plan.left + 5.0, plan.bottom - 6.0], [plan.right - 5.0, plan.bottom - 6.0]];
    sketch.stroke(line, 6, PAPER);
    sketch.stroke(line, 3, INK);
    sketch.text("planned start", [plan.right + 22.0, bar.top + 56.0], text);
}

fn shade(cost: f64, (low, high): (f64, f64)) -> RGBColor {
    at(if high > low { (cost - low) / (high - low) } else { 0.0 })
}

/// Bright for 0, dark for 1.
fn at(share: f64) -> RGBColor {
    let c = colorous::CIVIDIS.eval_continuous(1.0 - share.clamp(0.0, 1.0));
    RGBColor(c.r, c.g, c.b)
}
