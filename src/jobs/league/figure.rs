//! Figures of the page: what a cell shows, in which colour.
//!
//! In: a [`DayCount`]. Out: [`MapCell`]s, legends, the style of their classes. Dark is bad in both.

use std::fmt::Write;

use serde::Serialize;

use crate::output::draw::scale::cividis;

use super::tally::DayCount;

/// Where the colour of each class lies, the best first.
const COLOURS: [f64; 5] = [0.0, 0.2, 0.38, 0.75, 1.0];
/// Classes from here on have light letters.
const DARK_FROM: usize = 3;
/// Where a class of the percent of days in hard light begins.
const HARD_FROM: [u32; 5] = [0, 10, 30, 50, 80];
/// Where a class of good days in ten ends, the best first.
const GOOD_FROM: [u32; 5] = [9, 7, 5, 2, 0];

/// What a map shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum MapFigure {
    /// Percent of clear days in hard light or with play in the dark.
    Hard,
    /// Good days in ten with the weather of the place.
    GoodDays,
}

/// A cell of a map, or a class of its legend.
#[derive(Serialize)]
pub(super) struct MapCell {
    pub text: String,
    pub class: String,
    pub words: String,
}

impl MapFigure {
    /// What its numbers are.
    pub fn caption(self) -> &'static str {
        match self {
            Self::Hard => "Were the sky clear: percent of days in hard light or in the dark",
            Self::GoodDays => "With the weather of the place: good days in ten",
        }
    }

    /// `None` where there is nothing to count.
    pub fn value(self, count: &DayCount) -> Option<f64> {
        match self {
            Self::Hard => (count.days > 0).then(|| 100.0 * count.hard()),
            Self::GoodDays => count.good_in_ten(),
        }
    }

    /// As the page shows it.
    pub fn shown(self, value: f64) -> u32 {
        value.round() as u32
    }

    /// The more, the worse.
    pub fn badness(self, count: &DayCount) -> Option<f64> {
        let value = self.value(count)?;
        Some(if self == Self::Hard { value } else { -value })
    }

    fn class(self, shown: u32) -> usize {
        let place = match self {
            Self::Hard => HARD_FROM.iter().rposition(|from| shown >= *from),
            Self::GoodDays => GOOD_FROM.iter().position(|from| shown >= *from),
        };
        place.unwrap_or_default()
    }

    /// The cell of a count; `what` says whose it is.
    pub fn cell(self, count: Option<&DayCount>, what: &str) -> MapCell {
        let Some((count, value)) = count.and_then(|c| Some((c, self.value(c)?))) else {
            let none = if self == Self::Hard { "no day" } else { "no weather" };
            return MapCell {
                text: "–".into(),
                class: "none".into(),
                words: format!("{what}: {none}"),
            };
        };
        let shown = self.shown(value);
        MapCell {
            text: shown.to_string(),
            class: format!("c{}", self.class(shown)),
            words: match self {
                Self::Hard => {
                    let dark = match count.light[3] {
                        0 => String::new(),
                        days => format!(", in the dark on {days}"),
                    };
                    let hard = count.light[2];
                    format!("{what}: hard light on {hard} of {} days{dark}", count.days)
                }
                Self::GoodDays => format!("{what}: good light on {value:.1} days in ten"),
            },
        }
    }

    /// Classes with their colours, the best first.
    pub fn legend(self) -> Vec<MapCell> {
        let text = |i: usize| match self {
            Self::Hard => {
                let until = HARD_FROM.get(i + 1).map_or(100, |next| next - 1);
                format!("{} to {until} %", HARD_FROM[i])
            }
            Self::GoodDays => {
                let until = if i == 0 { 10 } else { GOOD_FROM[i - 1] - 1 };
                format!("{} to {until}", GOOD_FROM[i])
            }
        };
        let one = |i| MapCell { text: text(i), class: format!("c{i}"), words: String::new() };
        (0..COLOURS.len()).map(one).collect()
    }
}

/// The style of the classes.
pub(super) fn colours() -> String {
    let mut style = String::new();
    for (i, at) in COLOURS.iter().enumerate() {
        let plotters::style::RGBColor(r, g, b) = cividis(*at);
        let ink = if i < DARK_FROM { "#111" } else { "#fff" };
        // writing into a string does not fail
        let _ = writeln!(style, ".c{i} {{ background: #{r:02x}{g:02x}{b:02x}; color: {ink}; }}");
    }
    style
}
