//! States side by side over the match: a row a state, a column an instant.
//!
//! In: [`StatesReport`]. Out: a picture 2000 pixels wide. Colours are steps of the map "cividis"
//! (Nunez, Anderton and Renslow, PLOS ONE 13(7), 2018), bright where the light is even; the
//! state that is best in a run of play has a frame around it there, and its word under it.

use plotters::style::RGBColor;

use crate::output::canvas;
use crate::output::draw::Picture;
use crate::output::draw::palette::{INK, MUTED, RULE};
use crate::output::draw::scale::{cividis, quarters};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::output::error::RenderError;

use super::report::StatesReport;
use super::{StateChoice, StateMinute};

const PAGE: u32 = 2000;
const MARGIN: f64 = 40.0;
const RIGHT: f64 = 1960.0;
const NAMES_PX: f64 = 420.0;
const COST_PX: f64 = 330.0;
const TOP: f64 = 190.0;
const ROW_PX: f64 = 74.0;
/// Room for the name of a time, pixels.
const TIME_PX: f64 = 110.0;

/// What an instant shows, the worst that holds, and its place in the scale.
const STEPS: [(f64, &str); 4] = [
    (0.0, "all sun or all shade"),
    (0.4, "sun and shade on the field"),
    (0.7, "both sides in shot, a stop apart or more"),
    (1.0, "a camera exposes for sun or for shade"),
];

fn step(minute: &StateMinute) -> usize {
    match minute {
        StateMinute { choose: true, .. } => 3,
        StateMinute { split: Some(stops), .. } if *stops >= 1.0 => 2,
        StateMinute { mixed: true, .. } => 1,
        _ => 0,
    }
}

fn colour(minute: &StateMinute) -> RGBColor {
    STEPS.get(step(minute)).map_or(RULE, |(share, _)| cividis(*share))
}

/// Draws the comparison.
///
/// # Errors
/// The drawing library's own failures.
pub fn states(report: &StatesReport<'_>) -> Result<Picture, RenderError> {
    let found = report.found;
    let mut sketch = Sketch::default();
    let title = format!("Which state when at {}", report.venue.title);
    let line = fitted(&title, RIGHT - MARGIN, 46.0, Weight::Bold);
    sketch.text(line, [MARGIN, 50.0], Lettering::of(46.0).bold());
    let plan = &report.settings.plan;
    let under = format!("{}, {}", plan.from.format("%A %-d %B %Y"), plan.sky);
    sketch.text(under, [MARGIN, 104.0], Lettering::of(28.0).colour(MUTED));
    let count = found.choices.first().map_or(0, |choice| choice.minutes.len()).max(1);
    let left = MARGIN + NAMES_PX;
    let width = (RIGHT - COST_PX - left) / count as f64;
    head(&mut sketch, report, left, width);
    for (index, choice) in found.choices.iter().enumerate() {
        row(&mut sketch, choice, (left, width, TOP + ROW_PX * index as f64));
    }
    let bottom = TOP + ROW_PX * found.choices.len() as f64;
    runs(&mut sketch, report, (left, width), bottom);
    let bottom = key(&mut sketch, report.venue.field.surface.name(), bottom + 76.0);
    let told: Vec<String> =
        report.advice().iter().map(|(run, best, why)| format!("{run}: {best}, {why}")).collect();
    let about = format!("{title}: states of what moves over the match. {}.", told.join("; "));
    canvas::draw((PAGE, bottom.ceil() as u32), &title, &about, &sketch)
}

/// Times over the columns, at whole quarters of an hour with room.
fn head(sketch: &mut Sketch, report: &StatesReport<'_>, left: f64, width: f64) {
    let lettering = Lettering::of(24.0).align(Align::Middle);
    let mut free = f64::NEG_INFINITY;
    let minutes = report.found.choices.first().map_or(&[][..], |choice| &choice.minutes);
    let (Some(first), Some(last)) = (minutes.first(), minutes.last()) else { return };
    for (at, share) in quarters(first.at, last.at) {
        let x = left + (share * (minutes.len() - 1) as f64 + 0.5) * width;
        if x - free >= TIME_PX && x + 0.5 * TIME_PX < RIGHT - COST_PX + 40.0 {
            sketch.text(at.format("%H:%M").to_string(), [x, TOP - 22.0], lettering);
            free = x;
        }
    }
    let head = Lettering::of(24.0).bold().align(Align::Right);
    sketch.text("cost · least light", [RIGHT, TOP - 22.0], head);
}

fn row(sketch: &mut Sketch, choice: &StateChoice, (left, width, top): (f64, f64, f64)) {
    let middle = top + 0.5 * ROW_PX;
    let name = fitted(&choice.words, NAMES_PX - 20.0, 26.0, Weight::Bold);
    sketch.text(name, [MARGIN, middle], Lettering::of(26.0).bold());
    // neighbours of one colour are one mark
    let mut from = 0;
    for i in 1..=choice.minutes.len() {
        let same = |j: usize| choice.minutes.get(j).map(step);
        if i < choice.minutes.len() && same(i) == same(from) {
            continue;
        }
        if let Some(minute) = choice.minutes.get(from) {
            let cell = PxBox {
                left: left + from as f64 * width,
                top: top + 10.0,
                right: left + i as f64 * width,
                bottom: top + ROW_PX - 10.0,
            };
            sketch.fill(cell.ring(), colour(minute));
        }
        from = i;
    }
    let whole = &choice.whole;
    let text = format!("{:.1} · {:.0} lx", whole.cost, whole.least_lx);
    sketch.text(text, [RIGHT, middle], Lettering::of(26.0).align(Align::Right));
}

/// Runs of play: their limits through all rows, a frame around the best, its words under it.
fn runs(sketch: &mut Sketch, report: &StatesReport<'_>, (left, width): (f64, f64), bottom: f64) {
    let found = report.found;
    let minutes = found.choices.first().map_or(&[][..], |choice| &choice.minutes);
    let x = |at| left + minutes.partition_point(|minute| minute.at < at) as f64 * width;
    for (run, best) in found.runs.iter().zip(&found.best) {
        let (from, until) = (x(run.from), x(run.until));
        for limit in [from, until] {
            sketch.stroke([[limit, TOP - 6.0], [limit, bottom + 8.0]], 2, INK);
        }
        let top = TOP + ROW_PX * *best as f64 + 4.0;
        let frame = PxBox { left: from, top, right: until, bottom: top + ROW_PX - 8.0 };
        sketch.outline(frame.ring(), 6, INK);
        let words = found.choices.get(*best).map_or("", |choice| choice.words.as_str());
        let text = fitted(&format!("{}: {words}", run.name), until - from, 24.0, Weight::Bold);
        let at = [0.5 * (from + until), bottom + 34.0];
        sketch.text(text, at, Lettering::of(24.0).bold().align(Align::Middle));
    }
}

/// The steps; gives where they end.
fn key(sketch: &mut Sketch, surface: &str, top: f64) -> f64 {
    let text = Lettering::of(24.0);
    let mut x = MARGIN;
    for (share, words) in STEPS {
        let patch = PxBox { left: x, top, right: x + 44.0, bottom: top + 30.0 };
        sketch.plate(patch, cividis(share), RULE);
        sketch.text(words, [x + 56.0, top + 15.0], text);
        x += 56.0 + text.width(words) + 40.0;
    }
    let note = format!(
        "A frame: the best state for that run of play. Cost as of starts, over all of play; light \
         on the {surface} in play, mean over the field."
    );
    sketch.text(note, [MARGIN, top + 60.0], text.colour(MUTED));
    top + 90.0
}
