//! Colours of readings, in steps that an eye can tell apart and a legend can name.
//!
//! Steps run from bright to dark in the map "cividis", made for colour-blind readers
//! (Nunez, Anderton and Renslow, PLOS ONE 13(7), 2018), as crate `colorous` has it;
//! lightness keeps the order in grey print.

use plotters::style::RGBColor;

use crate::camera::LensState;
use crate::engine::season::FIELD_SIDE_SHARE;
use crate::jobs::year::{GridReading, YearGrid};
use crate::output::draw::palette::{INK, ORANGE, PAPER, SKY_BLUE};
use crate::output::draw::scale::cividis;

/// The sun down, and risen behind the land around.
pub(super) const NIGHT: RGBColor = RGBColor(222, 225, 231);
pub(super) const BEHIND: RGBColor = RGBColor(186, 192, 203);
/// No edge in shot, nothing to tell.
const NO_EDGE: RGBColor = PAPER;
const CLEAR_LENS: RGBColor = RGBColor(246, 243, 228);

/// Upper limits of the steps of a share; the first and the last are "none" and "all".
const SHARES: [(f64, &str); 7] = [
    (FIELD_SIDE_SHARE, "none"),
    (0.2, "to 20 %"),
    (0.4, "to 40 %"),
    (0.6, "to 60 %"),
    (0.8, "to 80 %"),
    (1.0 - FIELD_SIDE_SHARE, "over 80 %"),
    (f64::INFINITY, "all"),
];
/// Of a split.
const STOPS: [(f64, &str); 8] = [
    (0.5, "under 0.5 stop"),
    (1.0, "to 1"),
    (1.5, "to 1.5"),
    (2.0, "to 2"),
    (2.5, "to 2.5"),
    (3.0, "to 3"),
    (4.0, "to 4"),
    (f64::INFINITY, "over 4 stops"),
];

/// The colour of a reading.
pub(super) fn colour(reading: GridReading) -> RGBColor {
    match reading {
        GridReading::SunDown => NIGHT,
        GridReading::BehindSkyline => BEHIND,
        GridReading::Share(share) => step(&SHARES, share),
        GridReading::Stops(stops) => step(&STOPS, stops.abs()),
        GridReading::BothSides => cividis(0.85),
        GridReading::OneSide | GridReading::Nothing => NO_EDGE,
        GridReading::Lens(LensState::Clear) => CLEAR_LENS,
        GridReading::Lens(LensState::Shaded) => SKY_BLUE,
        GridReading::Lens(LensState::OnElement) => ORANGE,
        GridReading::Lens(LensState::InFrame) => INK,
    }
}

/// Patches of the legend: those steps that belong to the figure.
pub(super) fn patches(grid: &YearGrid) -> Vec<(RGBColor, &'static str)> {
    let readings = || grid.days.iter().flat_map(|day| &day.cells).map(|cell| cell.reading);
    let of = |steps: &[(f64, &'static str)]| -> Vec<(RGBColor, &'static str)> {
        let last = steps.len().saturating_sub(1).max(1) as f64;
        steps.iter().enumerate().map(|(i, (_, word))| (cividis(i as f64 / last), *word)).collect()
    };
    let any = |wanted: fn(&GridReading) -> bool| readings().any(|r| wanted(&r));
    let mut patches = Vec::new();
    if any(|r| matches!(r, GridReading::Share(_))) {
        patches = of(&SHARES);
    }
    if any(|r| matches!(r, GridReading::Stops(_))) {
        patches = of(&STOPS);
    }
    if any(|r| matches!(r, GridReading::BothSides)) {
        patches.push((colour(GridReading::BothSides), "sun and shade"));
    }
    if any(|r| matches!(r, GridReading::Lens(_))) {
        let lens = |state, word| (colour(GridReading::Lens(state)), word);
        patches.push(lens(LensState::Clear, "lens clear"));
        patches.push(lens(LensState::Shaded, "in front, shaded"));
        patches.push(lens(LensState::OnElement, "on the element"));
        patches.push(lens(LensState::InFrame, "in frame"));
    }
    if any(|r| matches!(r, GridReading::OneSide)) {
        patches.push((NO_EDGE, "only one side"));
    }
    if any(|r| matches!(r, GridReading::Nothing)) {
        patches.push((NO_EDGE, "nothing to tell"));
    }
    if any(|r| matches!(r, GridReading::BehindSkyline)) {
        patches.push((BEHIND, "behind the land"));
    }
    patches.push((NIGHT, "sun down"));
    patches
}

fn step(steps: &[(f64, &str)], value: f64) -> RGBColor {
    let last = steps.len().saturating_sub(1);
    let place = steps.iter().position(|(limit, _)| value < *limit).unwrap_or(last);
    cividis(place as f64 / last.max(1) as f64)
}
