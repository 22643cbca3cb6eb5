//! Heading, legend and what a listener hears.

use crate::jobs::year::YearGrid;
use crate::output::draw::legend::{Legend, LegendEntry};
use crate::output::draw::palette::{INK, MUTED, PAPER, VERMILLION};
use crate::output::draw::sketch::{Lettering, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::output::words::capital;
use crate::venue::Venue;

use super::chart::{YearChart, clock_changes};
use super::classes::patches;
use super::{PAGE, YearWindow, YearWords};

const MARGIN: f64 = 40.0;
const TEXT: f64 = 26.0;
const ROW: f64 = 46.0;
const PATCH: (f64, f64) = (44.0, 30.0);

pub(super) fn heading(sketch: &mut Sketch, venue: &Venue, words: &YearWords, grid: &YearGrid) {
    let room = f64::from(PAGE) - 2.0 * MARGIN;
    let line = |sketch: &mut Sketch, text: &str, y: f64, size: f64, weight: Weight| {
        let lettering = Lettering { weight, ..Lettering::of(size) };
        sketch.text(fitted(text, room, size, weight), [MARGIN, y], lettering);
    };
    line(sketch, &venue.title, 50.0, 44.0, Weight::Bold);
    line(sketch, &capital(&words.figure), 104.0, 36.0, Weight::Bold);
    let zone = venue.place.zone.name();
    let text = format!("{}; wall clock of {zone}", span(grid));
    line(sketch, &text, 150.0, TEXT, Weight::Regular);
    line(sketch, &capital(&words.basis), 186.0, TEXT, Weight::Regular);
}

/// Patches, lines and notes under the chart; where they end.
pub(super) fn legend(
    sketch: &mut Sketch,
    chart: &YearChart,
    grid: &YearGrid,
    window: Option<YearWindow>,
) -> f64 {
    let lettering = Lettering::of(TEXT);
    let entries: Vec<LegendEntry<'_>> = patches(grid)
        .into_iter()
        .map(|(colour, word)| {
            LegendEntry::new(word, move |sketch, plate| sketch.plate(plate, colour, INK))
        })
        .collect();
    let right = f64::from(PAGE) - MARGIN;
    let sized = [PATCH.0, PATCH.1];
    let legend = Legend { left: MARGIN, right, sample: sized, row: ROW, text: lettering };
    let mut y = legend.draw(sketch, chart.area.bottom + 92.0 - 0.5 * ROW, &entries);
    y += 0.5 * ROW + 8.0;
    let sample = |sketch: &mut Sketch, y: f64, width: u32, colour| {
        sketch.stroke(vec![[MARGIN, y], [MARGIN + PATCH.0, y]], width + 4, PAPER);
        sketch.stroke(vec![[MARGIN, y], [MARGIN + PATCH.0, y]], width, colour);
    };
    sample(sketch, y, 4, INK);
    let text = "sunrise and sunset over a level horizon; thin: the sun highest";
    sketch.text(text, [MARGIN + PATCH.0 + 14.0, y], lettering);
    if let Some(window) = window {
        y += ROW;
        sample(sketch, y, 5, VERMILLION);
        let day = window.start.date_naive();
        let upright = match grid.days.iter().any(|d| d.date == day) {
            true => format!("; upright: the fixture's day, {}", day.format("%-d %B %Y")),
            false => String::new(),
        };
        let text = format!("start and end of play{upright}");
        sketch.text(text, [MARGIN + PATCH.0 + 14.0, y], lettering);
    }
    if !clock_changes(grid).is_empty() {
        y += ROW;
        let text = "Where clocks change: an hour that is skipped stays empty, an hour that comes \
                    twice is drawn twice side by side.";
        sketch.text(text, [MARGIN, y], lettering.colour(MUTED));
    }
    y + 40.0
}

/// For those who hear a picture.
pub(super) fn description(grid: &YearGrid, words: &YearWords) -> String {
    format!("{} by date and time of day, {}; {}.", capital(&words.figure), span(grid), words.basis)
}

fn span(grid: &YearGrid) -> String {
    let day = |date: Option<&crate::jobs::year::GridDay>| {
        date.map_or_else(String::new, |day| day.date.format("%-d %B %Y").to_string())
    };
    match grid.days.len() {
        0 | 1 => day(grid.days.first()),
        _ => format!("{} to {}", day(grid.days.first()), day(grid.days.last())),
    }
}
