//! What each number of the venue file does to the times: bars from the earliest to the
//! latest move, the most important number on top.
//!
//! In: a venue and its [`Sensitivity`]. Out: a picture 2000 pixels wide, as tall as its rows
//! need, at most a sheet of A4. Each bar is
//! for a number that is higher by what it may be off by; lower is its mirror image.

use crate::output::canvas;
use crate::output::draw::Picture;
use crate::output::draw::palette::{BLUE, INK, MUTED, ORANGE, PAPER, RULE};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::output::error::RenderError;
use crate::venue::Venue;

use super::{Effect, Sensitivity, effect_name, known_words, rate_unit, unit_words};

const WIDTH: u32 = 2000;
const PAGE: PxBox = PxBox { left: 40.0, top: 30.0, right: 1960.0, bottom: 1384.0 };
/// From the lowest row to the signs under the chart, and from those to the end, pixels.
const TO_FOOTER_PX: f64 = 96.0;
const FOOTER_PX: f64 = 66.0;
/// Names on the left, rates on the right.
const PLOT: PxBox = PxBox { left: 700.0, top: 262.0, right: 1640.0, bottom: 1240.0 };
/// Numbers that are shown.
const MAX_ROWS: usize = 16;
const MAX_ROW_PX: f64 = 78.0;
/// Distances of numbers on the axis, minutes.
const AXIS_STEPS_MIN: [f64; 10] = [0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0];
const MAX_AXIS_NUMBERS: f64 = 10.0;

/// Draws what the numbers do.
///
/// # Errors
/// The drawing library's own failures.
pub fn sensitivity(venue: &Venue, found: &Sensitivity) -> Result<Picture, RenderError> {
    let title = format!("What to measure first at {}", venue.title);
    let (sketch, bottom) = draw(venue, found);
    canvas::draw((WIDTH, bottom.ceil() as u32), &title, &description(found), &sketch)
}

fn description(found: &Sensitivity) -> String {
    let one = |e: &Effect| {
        format!(
            "{} moves a time by up to {:.1} min",
            effect_name(&e.dimension.address),
            e.most_min()
        )
    };
    let first: Vec<String> = found.effects.iter().take(3).map(one).collect();
    format!("Bars of minutes by which times move. {}.", first.join("; "))
}

/// All marks, and where they end, pixels from the top.
fn draw(venue: &Venue, found: &Sensitivity) -> (Sketch, f64) {
    let mut sketch = Sketch::default();
    header(&mut sketch, venue, found);
    let rows: Vec<&Effect> = found.effects.iter().take(MAX_ROWS).collect();
    let row_px = (PLOT.height() / rows.len().max(1) as f64).min(MAX_ROW_PX);
    let bottom = PLOT.top + row_px * rows.len() as f64;
    let reach = rows.iter().map(|e| e.most_min()).fold(0.0, f64::max).max(AXIS_STEPS_MIN[0]);
    let axis = Axis::of(reach);
    axis.draw(&mut sketch, bottom);
    for (i, effect) in rows.iter().enumerate() {
        let y = PLOT.top + row_px * (i as f64 + 0.5);
        row(&mut sketch, &axis, effect, y, row_px);
    }
    footer(&mut sketch, found, rows.len(), bottom + TO_FOOTER_PX);
    (sketch, bottom + TO_FOOTER_PX + FOOTER_PX)
}

/// Minutes across the plot, the same either way from the middle.
struct Axis {
    reach: f64,
    step: f64,
}

impl Axis {
    fn of(reach: f64) -> Self {
        let fits = |step: &&f64| 2.0 * reach / **step <= MAX_AXIS_NUMBERS;
        let step = AXIS_STEPS_MIN.iter().find(fits).copied().unwrap_or(100.0);
        Self { reach: (reach / step).ceil() * step, step }
    }

    fn x(&self, minutes: f64) -> f64 {
        let middle = 0.5 * (PLOT.left + PLOT.right);
        middle + 0.5 * PLOT.width() * (minutes / self.reach).clamp(-1.0, 1.0)
    }

    fn draw(&self, sketch: &mut Sketch, bottom: f64) {
        let count = (self.reach / self.step).round() as i32;
        let text = Lettering::of(25.0).align(Align::Middle);
        for i in -count..=count {
            let minutes = f64::from(i) * self.step;
            let x = self.x(minutes);
            let (width, colour) = if i == 0 { (4, INK) } else { (2, RULE) };
            sketch.stroke([[x, PLOT.top - 8.0], [x, bottom + 8.0]], width, colour);
            let decimals = if self.step < 0.1 { 2 } else { usize::from(self.step < 1.0) };
            let number = format!("{:.decimals$}", minutes.abs());
            sketch.text(number, [x, bottom + 28.0], text);
        }
        let words = text.colour(MUTED);
        let y = PLOT.top - 30.0;
        sketch.text("earlier, min", [0.5 * (PLOT.left + self.x(0.0)), y], words);
        sketch.text("later, min", [0.5 * (PLOT.right + self.x(0.0)), y], words);
        let right = Lettering::of(25.0).colour(MUTED).align(Align::Right);
        sketch.text("per unit", [PAGE.right, y], right);
        sketch.text("higher by", [PLOT.left - 30.0, y], right);
    }
}

fn row(sketch: &mut Sketch, axis: &Axis, effect: &Effect, y: f64, row_px: f64) {
    let dimension = &effect.dimension;
    let two_lines = row_px >= 52.0;
    let name_y = if two_lines { y - 13.0 } else { y };
    let off_by = format!("{}{}", effect.off_by, unit_words(dimension.unit));
    let off = Lettering::of(25.0).align(Align::Right);
    sketch.text(&off_by, [PLOT.left - 30.0, name_y], off);
    let room = PLOT.left - 54.0 - off.width(&off_by) - PAGE.left;
    let name = fitted(&effect_name(&dimension.address), room, 25.0, Weight::Bold);
    sketch.text(name, [PAGE.left, name_y], Lettering::of(25.0).bold());
    if two_lines {
        let value = format!(
            "{:.2}{} in the file; {}",
            dimension.value,
            unit_words(dimension.unit),
            known_words(effect)
        );
        let value = fitted(&value, PLOT.left - 30.0 - PAGE.left, 21.0, Weight::Regular);
        sketch.text(value, [PAGE.left, y + 12.0], Lettering::of(21.0).colour(MUTED));
    }
    let moves = effect.moves.iter().flatten().map(|m| m * effect.off_by);
    let range = moves.clone().fold((0.0_f64, 0.0_f64), |(low, high), m| (low.min(m), high.max(m)));
    let half = (0.26 * row_px).min(17.0);
    let bar = |from: f64, to: f64| PxBox {
        left: axis.x(from),
        right: axis.x(to),
        top: y - half,
        bottom: y + half,
    };
    sketch.fill(bar(range.0, 0.0).ring(), BLUE);
    sketch.fill(bar(0.0, range.1).ring(), ORANGE);
    // what stays where it is would lie on the axis
    for minutes in moves.filter(|m| m.abs() > 0.002 * axis.reach) {
        let x = axis.x(minutes);
        sketch.stroke([[x, y - half], [x, y + half]], 5, PAPER);
        sketch.stroke([[x, y - half], [x, y + half]], 2, INK);
    }
    let rate = format!("{:.2} {}", effect.most_min_per_unit().abs(), rate_unit(dimension.unit));
    sketch.text(rate, [PAGE.right, name_y], off);
    if two_lines && effect.may_not_come() > 0 {
        let lost = format!("{} may not come", effect.may_not_come());
        sketch.text(
            lost,
            [PAGE.right, y + 12.0],
            Lettering::of(21.0).colour(MUTED).align(Align::Right),
        );
    }
}

fn header(sketch: &mut Sketch, venue: &Venue, found: &Sensitivity) {
    let first = found.events.iter().map(|e| e.at).min();
    let last = found.events.iter().map(|e| e.at).max();
    let when = first.zip(last).map_or_else(String::new, |(first, last)| {
        let date = first.format("%A %-d %B %Y");
        let what = "sun or shade reaches a mark of the field or a lens";
        match found.events.len() {
            1 => format!("The time of {date} at which {what}: {}", first.format("%H:%M %Z")),
            many => format!(
                "{many} times of {date} at which {what}, {} to {}",
                first.format("%H:%M"),
                last.format("%H:%M %Z"),
            ),
        }
    });
    let rows = [
        (venue.title.clone(), 46.0, Weight::Bold, INK, 30.0),
        (
            "What to measure first: how far times move when a number of the venue file is off"
                .to_owned(),
            27.0,
            Weight::Regular,
            INK,
            86.0,
        ),
        (when, 27.0, Weight::Regular, MUTED, 128.0),
    ];
    for (text, size, weight, colour, down) in rows {
        let lettering = Lettering { size, weight, colour, align: Align::Left };
        let text = fitted(&text, PAGE.width(), size, weight);
        sketch.text(text, [PAGE.left, PAGE.top + down], lettering);
    }
}

fn footer(sketch: &mut Sketch, found: &Sensitivity, shown: usize, top: f64) {
    let text = Lettering::of(23.0);
    let mark = [PAGE.left + 20.0, top];
    sketch.fill(PxBox::around(mark, 40.0, 28.0).ring(), ORANGE);
    sketch.stroke([[mark[0] + 8.0, top - 14.0], [mark[0] + 8.0, top + 14.0]], 5, PAPER);
    sketch.stroke([[mark[0] + 8.0, top - 14.0], [mark[0] + 8.0, top + 14.0]], 2, INK);
    let words = "Each stroke is a time; the bar reaches to the one that moves most. A number that is lower moves them the other way.";
    sketch.text(
        fitted(words, PAGE.width() - 60.0, 23.0, Weight::Regular),
        [PAGE.left + 54.0, top],
        text,
    );
    let rest = format!(
        "{} more numbers move something, {} move nothing. Numbers that nobody measured count as 1 m or 1° off.",
        found.effects.len() - shown,
        found.still.len()
    );
    sketch.text(rest, [PAGE.left + 54.0, top + 38.0], text.colour(MUTED));
}
