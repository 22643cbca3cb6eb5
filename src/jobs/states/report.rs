//! States compared, in a terminal, as `states.csv` and as JSON `quarterstop.states/1`.
//!
//! In: [`StatesReport`]. Out: text and bytes.

use std::fmt::Write;

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::jobs::starts::CostPart;
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number, text as text_column};
use crate::output::text::{Ink, cautions, fit, wrapped};
use crate::output::words::local_time;
use crate::venue::Venue;

use super::{RunCost, StateChoice, StateComparison, StateMinute, StateSettings};

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.states/1";

/// What is reported.
#[derive(Clone, Copy)]
pub struct StatesReport<'a> {
    pub venue: &'a Venue,
    pub settings: &'a StateSettings,
    pub found: &'a StateComparison,
}

impl StatesReport<'_> {
    fn words(&self, choice: usize) -> &str {
        self.found.choices.get(choice).map_or("", |c| c.words.as_str())
    }

    /// "first half 15:00 to 15:45" and what is best in it, run by run.
    pub fn advice(&self) -> Vec<(String, &str, &str)> {
        let runs = self.found.runs.iter().zip(&self.found.best).zip(&self.found.why);
        let one = runs.map(|((run, best), why)| {
            let (from, until) = (run.from.format("%H:%M"), run.until.format("%H:%M"));
            (format!("{}, {from} to {until}", run.name), self.words(*best), why.as_str())
        });
        one.collect()
    }
}

/// The summary, without the list of files.
pub fn text(report: &StatesReport<'_>, ink: Ink) -> String {
    let found = report.found;
    let day = report.settings.plan.from.format("%A %-d %B %Y");
    let mut text =
        format!("{}\n{day}, {}\n\n", ink.heading(&report.venue.title), report.settings.plan.sky);
    text += &ink.heading(&format!(
        "{:<30}{:>6}{:>12}{:>10}{:>10}{:>12}",
        "State, all of play", "cost", "both sides", "one side", "split", "least light"
    ));
    text.push('\n');
    for (index, choice) in found.choices.iter().enumerate() {
        let whole = &choice.whole;
        let dark = if found.too_dark.get(index) == Some(&true) { " *" } else { "" };
        let _ = writeln!(
            text,
            "  {:<28}{:>6.1}{:>8.0} min{:>6.0} min{:>4.1} stops{:>9.0} lx{dark}",
            fit(&choice.words, 27),
            whole.cost,
            whole.parts.get(CostPart::Mixed),
            whole.parts.get(CostPart::Choose),
            whole.parts.get(CostPart::WorstSplit),
            whole.least_lx,
        );
    }
    if found.too_dark.contains(&true) {
        text += "  * darker than asked for, left out of the advice\n";
    }
    text.push('\n');
    for (run, best, why) in report.advice() {
        text += &ink.heading(&format!("{run}: {best}"));
        text.push('\n');
        text += &wrapped("  ", why);
    }
    let throughout = report.words(found.best_throughout);
    text += &ink.heading(&format!("One state for all of play: {throughout}"));
    text.push('\n');
    text += &wrapped("  ", &found.why_throughout);
    let note = "Cost is that of `starts`: minutes of play in which a camera exposes for sun or for \
                shade, has the sun in the main lens, or has both on the field, and the widest split. \
                Each state is held from the first minute on; whether it may move, and how long that \
                takes, is for who runs the ground.";
    text.push('\n');
    text += &wrapped("  ", note);
    format!("{text}\n{}", cautions(ink))
}

/// One instant of one choice.
struct Row<'a> {
    choice: &'a StateChoice,
    minute: &'a StateMinute,
}

fn of_row<'a>() -> Vec<Column<'a, Row<'a>>> {
    let yes = |is: bool| if is { "yes" } else { "no" }.to_owned();
    vec![
        text_column("time", "RFC 3339", "instant, with the venue's offset", |r: &Row<'a>| {
            local_time(r.minute.at)
        }),
        text_column("state", "text", "the state that is held", |r: &Row<'a>| {
            r.choice.words.clone()
        }),
        text_column("in_play", "yes or no", "whether play runs", move |r: &Row<'a>| {
            yes(r.minute.in_play)
        }),
        number("shaded", ("1", 4), "share of the field not in full sun", |r: &Row<'a>| {
            Some(r.minute.shaded)
        }),
        text_column("mixed", "yes or no", "sun and shade on the field", move |r: &Row<'a>| {
            yes(r.minute.mixed)
        }),
        text_column(
            "choose",
            "yes or no",
            "a camera has to expose for sun or for shade",
            move |r: &Row<'a>| yes(r.minute.choose),
        ),
        text_column(
            "main_lens",
            "yes or no",
            "the sun in frame or on the front element of the main camera",
            move |r: &Row<'a>| yes(r.minute.main_lens),
        ),
        number(
            "widest_split_stops",
            ("stop", 2),
            "widest split in shot of any camera; empty without any",
            |r: &Row<'a>| r.minute.split,
        ),
        number(
            "turf_light_lx",
            ("lx", 0),
            "on the turf, mean over the field, floodlights counted",
            |r: &Row<'a>| Some(r.minute.light_lx),
        ),
    ]
}

/// Columns of `states.csv`.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row())
}

/// `states.csv`.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which no comparison should cause.
pub fn csv(report: &StatesReport<'_>) -> Result<Vec<u8>, CsvError> {
    let rows = report.found.choices.iter();
    let rows =
        rows.flat_map(|choice| choice.minutes.iter().map(move |minute| Row { choice, minute }));
    table::csv(&of_row(), rows)
}

/// States of what moves, compared.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop states")]
pub struct StatesFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    pub venue: String,
    /// The first instant, RFC 3339.
    pub from: String,
    pub until: String,
    pub runs: Vec<RunOut>,
    /// The best for all of play.
    pub best: String,
    pub why: String,
    pub states: Vec<StateOut>,
}

/// A run of play and what is best in it.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RunOut {
    pub name: String,
    pub from: String,
    pub until: String,
    pub best: String,
    pub why: String,
}

/// What a state costs.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StateOut {
    pub state: String,
    /// Darker than was asked for, and no advice.
    pub too_dark: bool,
    pub all_of_play: CostOut,
    /// In the order of the runs.
    pub runs: Vec<CostOut>,
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct CostOut {
    /// The lower the better; the weights are those of `starts`.
    pub cost: f64,
    pub mixed_min: f64,
    pub choose_min: f64,
    pub main_lens_min: f64,
    pub dusk_min: f64,
    /// With the sun down and no floodlights lit.
    pub dark_min: f64,
    pub worst_split_stops: f64,
    /// The least light on the turf, mean over the field, floodlights counted.
    pub least_light_lx: f64,
}

/// JSON Schema (draft 2020-12) of the format.
pub fn schema() -> serde_json::Value {
    SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<StatesFile>().to_value()
}

/// The whole file.
///
/// # Errors
/// Where the writer refuses, which no comparison should cause.
pub fn write(report: &StatesReport<'_>) -> Result<Vec<u8>, serde_json::Error> {
    let found = report.found;
    let runs = found.runs.iter().zip(&found.best).zip(&found.why);
    let states = found.choices.iter().zip(&found.too_dark);
    let file = StatesFile {
        format: FORMAT,
        venue: report.venue.title.clone(),
        from: local_time(report.settings.plan.from),
        until: local_time(report.settings.plan.until),
        runs: runs
            .map(|((run, best), why)| RunOut {
                name: run.name.clone(),
                from: local_time(run.from),
                until: local_time(run.until),
                best: report.words(*best).to_owned(),
                why: why.clone(),
            })
            .collect(),
        best: report.words(found.best_throughout).to_owned(),
        why: found.why_throughout.clone(),
        states: states
            .map(|(choice, too_dark)| StateOut {
                state: choice.words.clone(),
                too_dark: *too_dark,
                all_of_play: cost_out(&choice.whole),
                runs: choice.runs.iter().map(cost_out).collect(),
            })
            .collect(),
    };
    let mut bytes = serde_json::to_vec(&file)?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn cost_out(cost: &RunCost) -> CostOut {
    let rounded = |value: f64| (value * 1000.0).round() / 1000.0;
    let part = |part| rounded(cost.parts.get(part));
    CostOut {
        cost: rounded(cost.cost),
        mixed_min: part(CostPart::Mixed),
        choose_min: part(CostPart::Choose),
        main_lens_min: part(CostPart::MainLens),
        dusk_min: part(CostPart::Dusk),
        dark_min: part(CostPart::Dark),
        worst_split_stops: part(CostPart::WorstSplit),
        least_light_lx: cost.least_lx.round(),
    }
}
