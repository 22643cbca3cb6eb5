//! The list for the recce: what to measure, in what order, with room to write.
//!
//! In: [`SensitivityReport`]. Out: one HTML file for paper (A4), without any reference outside of
//! itself.

use serde::Serialize;

use crate::jobs::sensitivity::{Effect, effect_name, known_words, rate_unit, unit_words};
use crate::output::cautions::CAUTIONS;
use crate::output::paper::{self, foot_style};

use super::SensitivityReport;
use super::words::{event_name, measured_with};

const PAGE: &str = include_str!("paper/list.html");
const STYLE: &str = include_str!("paper/style.css");
/// What moves the times by less than this when off is not worth the walk, minutes.
const WORTH_MIN: f64 = 0.05;

/// Why the page could not be made.
#[derive(Debug, thiserror::Error)]
#[error("the measuring list could not be set: {0}")]
pub struct MeasuringListError(#[from] minijinja::Error);

#[derive(Serialize)]
struct Page {
    title: String,
    when: String,
    events: usize,
    rows: Vec<Row>,
    small: Vec<String>,
    still: Vec<String>,
    cautions: Vec<&'static str>,
}

#[derive(Serialize)]
struct Row {
    what: String,
    address: String,
    value: String,
    unit: &'static str,
    known: String,
    with: &'static str,
    rate: String,
    minutes: String,
    most: String,
}

/// The page.
///
/// # Errors
/// [`MeasuringListError`] where the template fails, which nothing should cause.
pub fn html(report: &SensitivityReport<'_>) -> Result<String, MeasuringListError> {
    let found = report.found;
    let worth = |e: &&Effect| e.most_min() >= WORTH_MIN || e.may_not_come() > 0;
    let names = |effects: Vec<&Effect>| {
        effects.iter().map(|e| effect_name(&e.dimension.address)).collect::<Vec<_>>()
    };
    let (large, small): (Vec<&Effect>, Vec<&Effect>) = found.effects.iter().partition(worth);
    let first = found.events.iter().map(|e| e.at).min();
    let page = Page {
        title: report.venue.title.clone(),
        when: first.map_or_else(String::new, |at| at.format("%-d %B %Y, %Z").to_string()),
        events: found.events.len(),
        rows: large.iter().map(|e| row(report, e)).collect(),
        small: names(small),
        still: found.still.iter().map(effect_name).collect(),
        cautions: CAUTIONS.to_vec(),
    };
    let mut environment = paper::pages();
    // the name ends in .html: everything that is put in is escaped
    environment.add_template("list.html", PAGE)?;
    let style = minijinja::Value::from_safe_string(STYLE.to_owned() + &foot_style());
    let page = minijinja::context! { page => minijinja::value::Serde(page), style => style };
    Ok(environment.get_template("list.html")?.render(page)?)
}

fn row(report: &SensitivityReport<'_>, effect: &Effect) -> Row {
    let dimension = &effect.dimension;
    let event = report.found.events.get(effect.most);
    Row {
        what: effect_name(&dimension.address),
        address: dimension.address.to_string(),
        value: format!("{:.2}{}", dimension.value, unit_words(dimension.unit)),
        unit: unit_words(dimension.unit).trim(),
        known: known_words(effect),
        with: measured_with(&dimension.address),
        rate: format!("{:.1} {}", effect.most_min_per_unit().abs(), rate_unit(dimension.unit)),
        minutes: match effect.may_not_come() {
            0 => format!("{:.1}", effect.most_min()),
            n => format!("{:.1}, {n} may not come", effect.most_min()),
        },
        most: event.map_or_else(String::new, |e| event_name(report.venue, e)),
    }
}
