//! Which pair is hard when: a row a pair, a column an instant.
//!
//! In: [`MatchingReport`]. Out: a picture 2000 pixels wide. Colours are steps of the map "cividis"
//! (Nunez, Anderton and Renslow, PLOS ONE 13(7), 2018) of crate `colorous`, bright where a cut
//! shows nothing; the widest gap of each row stands beside it as a number.

use plotters::style::RGBColor;

use crate::jobs::crew::MATCHED_STOPS;
use crate::output::canvas;
use crate::output::draw::Picture;
use crate::output::draw::palette::{INK, MUTED, RULE};
use crate::output::draw::scale::{cividis, quarters};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::output::error::RenderError;

use super::MatchedPair;
use super::report::MatchingReport;

const PAGE: u32 = 2000;
const MARGIN: f64 = 40.0;
const RIGHT: f64 = 1960.0;
const NAMES_PX: f64 = 560.0;
const WORST_PX: f64 = 250.0;
const TOP: f64 = 190.0;
const ROW_PX: f64 = 46.0;
/// Rows that are drawn; the files hold all.
const MAX_ROWS: usize = 30;
/// Room for the name of a time, pixels.
const TIME_PX: f64 = 120.0;
/// No place in common.
const NOTHING: RGBColor = RGBColor(235, 235, 235);

/// Upper limits of the steps, stops, and what they mean. A cut over a quarter of a stop is
/// over what cameras are matched to; over one it looks wrong (common practice, no source).
const STEPS: [(f64, f64, &str); 4] = [
    (MATCHED_STOPS, 0.0, "up to 0.25 stop: matched"),
    (0.5, 0.4, "up to 0.5"),
    (1.0, 0.7, "up to 1"),
    (f64::INFINITY, 1.0, "over 1 stop"),
];

fn colour(stops: f64) -> RGBColor {
    let step = STEPS.iter().find(|(limit, ..)| stops <= *limit);
    step.map_or(NOTHING, |(_, share, _)| cividis(*share))
}

/// Draws the matrix.
///
/// # Errors
/// The drawing library's own failures.
pub fn matrix(report: &MatchingReport<'_>) -> Result<Picture, RenderError> {
    let mut sketch = Sketch::default();
    let title = format!("Cuts that need a trim at {}", report.venue.title);
    let line = fitted(&title, RIGHT - MARGIN, 46.0, Weight::Bold);
    sketch.text(line, [MARGIN, 50.0], Lettering::of(46.0).bold());
    let under = format!(
        "{}{}; the same face at the same place, each camera at its one iris for both sides as far as its lens goes",
        report
            .plan
            .instants
            .first()
            .map_or_else(String::new, |i| i.at.format("%A %-d %B %Y, ").to_string()),
        report.plan.sky
    );
    let under = fitted(&under, RIGHT - MARGIN, 28.0, Weight::Regular);
    sketch.text(under, [MARGIN, 104.0], Lettering::of(28.0).colour(MUTED));
    let count = report.plan.instants.len().max(1);
    let left = MARGIN + NAMES_PX;
    let width = (RIGHT - WORST_PX - left) / count as f64;
    head(&mut sketch, report, left, width);
    let mut y = TOP;
    for pair in report.pairs.pairs.iter().take(MAX_ROWS) {
        row(&mut sketch, report, pair, (left, width, y));
        y += ROW_PX;
    }
    milestones(&mut sketch, report, (left, width), y);
    let more = report.pairs.pairs.len().saturating_sub(MAX_ROWS);
    if more > 0 {
        let text = format!("and {more} pairs more, all easier: see the table");
        sketch.text(text, [MARGIN, y + 24.0], Lettering::of(24.0).colour(MUTED));
        y += 44.0;
    }
    let shown = report.pairs.pairs.iter().take(MAX_ROWS).flat_map(|pair| &pair.gaps);
    let nothing = match (shown.clone().any(Option::is_none), shown.flatten().any(|g| g.is_lost)) {
        (_, true) => Some((NOTHING, "no place in common, or too dark to see")),
        (true, false) => Some((NOTHING, "no place in common")),
        (false, false) => None,
    };
    let bottom = key(&mut sketch, y + 30.0, nothing);
    let about = "difference of picture between every two cameras that see a place in common, over \
                the time of the match, in stops";
    canvas::draw((PAGE, bottom.ceil() as u32), &title, &format!("{title}: {about}."), &sketch)
}

/// Times over the columns, at whole quarters of an hour with room.
fn head(sketch: &mut Sketch, report: &MatchingReport<'_>, left: f64, width: f64) {
    let lettering = Lettering::of(24.0).align(Align::Middle);
    let mut free = f64::NEG_INFINITY;
    let instants = &report.plan.instants;
    let (Some(first), Some(last)) = (instants.first(), instants.last()) else { return };
    for (at, share) in quarters(first.at, last.at) {
        let x = left + (share * (instants.len() - 1) as f64 + 0.5) * width;
        if x - free >= TIME_PX && x + 0.5 * TIME_PX < RIGHT - WORST_PX + 40.0 {
            sketch.text(at.format("%H:%M").to_string(), [x, TOP - 22.0], lettering);
            free = x;
        }
    }
    sketch.text("widest", [RIGHT, TOP - 22.0], Lettering::of(24.0).bold().align(Align::Right));
}

fn row(
    sketch: &mut Sketch,
    report: &MatchingReport<'_>,
    pair: &MatchedPair,
    (left, width, top): (f64, f64, f64),
) {
    let name = fitted(&report.names(pair), NAMES_PX - 20.0, 24.0, Weight::Bold);
    sketch.text(name, [MARGIN, top + 0.5 * ROW_PX], Lettering::of(24.0).bold());
    let (above, under) = (top + 4.0, top + ROW_PX - 4.0);
    let colours: Vec<RGBColor> = pair
        .gaps
        .iter()
        .map(|gap| gap.as_ref().filter(|gap| !gap.is_lost))
        .map(|gap| gap.map_or(NOTHING, |gap| colour(gap.picture.stops().abs())))
        .collect();
    // neighbours of one colour are one mark
    let mut from = 0;
    for i in 1..=colours.len() {
        if i < colours.len() && colours.get(i) == colours.get(from) {
            continue;
        }
        if let Some(colour) = colours.get(from) {
            let cell = PxBox {
                left: left + from as f64 * width,
                top: above,
                right: left + i as f64 * width,
                bottom: under,
            };
            sketch.fill(cell.ring(), *colour);
        }
        from = i;
    }
    if let Some((index, gap)) = pair.worst() {
        let at = report.plan.instants.get(index).map(|i| i.at.format("%H:%M").to_string());
        let text = format!("{:+.1} stops {}", gap.picture.stops(), at.unwrap_or_default());
        let lettering = Lettering::of(24.0).align(Align::Right);
        sketch.text(text, [RIGHT, top + 0.5 * ROW_PX], lettering);
    }
}

/// Moments of play as lines through all rows.
fn milestones(
    sketch: &mut Sketch,
    report: &MatchingReport<'_>,
    (left, width): (f64, f64),
    bottom: f64,
) {
    for stone in &report.plan.milestones {
        let index = report.plan.instants.partition_point(|i| i.at < stone.at);
        if index > 0 && index < report.plan.instants.len() {
            let x = left + (index as f64 + 0.5) * width;
            sketch.stroke([[x, TOP - 6.0], [x, bottom + 4.0]], 2, INK);
        }
    }
}

/// The steps, and what stands for no gap where that is shown; gives where they end.
fn key(sketch: &mut Sketch, top: f64, nothing: Option<(RGBColor, &'static str)>) -> f64 {
    let text = Lettering::of(24.0);
    let mut x = MARGIN;
    let steps = STEPS.iter().map(|(_, share, words)| (cividis(*share), *words));
    for (colour, words) in steps.chain(nothing) {
        let patch = PxBox { left: x, top, right: x + 44.0, bottom: top + 30.0 };
        sketch.plate(patch, colour, RULE);
        sketch.text(words, [x + 56.0, top + 15.0], text);
        x += 56.0 + text.width(words) + 44.0;
    }
    let note = "Upright lines: moments of play. The number is the first camera over the second.";
    sketch.text(note, [MARGIN, top + 60.0], text.colour(MUTED));
    top + 90.0
}
