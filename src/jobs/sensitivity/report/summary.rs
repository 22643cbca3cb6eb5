//! What to measure first, in a terminal.
//!
//! In: [`SensitivityReport`]. Out: text of at most [`crate::output::text::WIDTH`] columns.

use std::fmt::Write;

use crate::jobs::sensitivity::{Effect, effect_name, known_words, rate_unit};
use crate::output::text::{Ink, cautions, fit, wrapped};
use crate::output::words::counted;

use super::SensitivityReport;
use super::words::event_name;

/// Numbers that are told; the files hold all.
const MAX_NUMBERS: usize = 14;

/// The summary, without the list of files.
pub fn text(report: &SensitivityReport<'_>, ink: Ink) -> String {
    let parts = [heading(report, ink), table(report, ink), rest(report, ink), cautions(ink)];
    parts.join("\n")
}

fn heading(report: &SensitivityReport<'_>, ink: Ink) -> String {
    let found = report.found;
    let (first, last) =
        (found.events.iter().map(|e| e.at).min(), found.events.iter().map(|e| e.at).max());
    let when = first.zip(last).map_or_else(String::new, |(first, last)| {
        let date = first.format("%-d %B %Y");
        let [from, until] = [first, last].map(|at| at.format("%H:%M").to_string());
        match from == until {
            true => format!(" on {date} at {}", first.format("%H:%M %Z")),
            false => format!(" on {date} between {from} and {}", last.format("%H:%M %Z")),
        }
    });
    let text = format!(
        "{} at which sun or shade reaches a mark of the field or a lens{when}. Each number \
         of the venue file moves them as follows; what moves them most is to be measured first.",
        times(found.events.len())
    );
    format!("{}\n{}", ink.heading(&report.venue.title), wrapped("", &text))
}

fn times(count: usize) -> String {
    counted(count, "time", "times")
}

fn table(report: &SensitivityReport<'_>, ink: Ink) -> String {
    let title = format!(
        "{:<38}{:>10}{:>15}{:>15}",
        "Measure first", "value", "sensitivity", "assumed error"
    );
    let mut text = ink.heading(title.trim_end());
    text.push('\n');
    for effect in report.found.effects.iter().take(MAX_NUMBERS) {
        text += &row(report, effect);
    }
    text
}

fn row(report: &SensitivityReport<'_>, effect: &Effect) -> String {
    let dimension = &effect.dimension;
    let rate = format!("{:.2} {}", effect.most_min_per_unit().abs(), rate_unit(dimension.unit));
    let mut text = String::new();
    let _ = writeln!(
        text,
        "  {:<36}{:>10}{rate:>15}{:>11.1} min",
        fit(&effect_name(&dimension.address), 35),
        format!("{:.2}", dimension.value),
        effect.most_min(),
    );
    let event = report.found.events.get(effect.most).map(|e| event_name(report.venue, e));
    let touched = format!("{} of {}", effect.touched(), times(report.found.events.len()));
    let lost = match effect.may_not_come() {
        0 => String::new(),
        n => format!(", {n} may not come"),
    };
    let most = event.unwrap_or_default();
    text += &wrapped("    ", &format!("{}; {touched}{lost}; most: {most}", known_words(effect)));
    text
}

fn rest(report: &SensitivityReport<'_>, ink: Ink) -> String {
    let found = report.found;
    let more = found.effects.len().saturating_sub(MAX_NUMBERS);
    let mut text = format!(
        "A number that nobody has measured counts as a metre or a degree off; state what you \
         measured in [[surveyed]]. {more} more numbers move something, {} move nothing.",
        found.still.len()
    );
    if !found.stuck.is_empty() {
        let names: Vec<String> = found.stuck.iter().map(effect_name).collect();
        text += &format!(" Cannot be changed alone: {}.", names.join("; "));
    }
    format!("{}\n{}", ink.heading("Other figures"), wrapped("  ", &text))
}
