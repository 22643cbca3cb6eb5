//! From daylight to floodlights, as a table and for a terminal.
//!
//! In: a venue and its [`Dusk`]. Out: CSV (RFC 4180: UTF-8, comma, CRLF, one header row), one
//! row for each instant, camera and target; a part of the printed summary.

use std::fmt::Write;

use chrono::DateTime;
use chrono_tz::Tz;

use crate::jobs::match_plan::dusk::{BALANCE_STEP_MIRED, BalanceMove, Dusk, Leader, Mix, Takeover};
use crate::jobs::match_plan::facts::SplitTarget;
use crate::light::ColourTemperature;
use crate::output::csv::CsvError;
use crate::output::table::{self as column, Column, ColumnDoc, docs, number};
use crate::output::text::{Ink, fit, wrapped};
use crate::output::words::{colour, kelvin, local_time};
use crate::venue::Venue;

const TARGETS: [SplitTarget; 2] = [SplitTarget::Turf, SplitTarget::Subject];

/// What one target of a camera gets at an instant.
struct Row<'a> {
    at: DateTime<Tz>,
    camera: &'a str,
    target: SplitTarget,
    mix: Mix,
}

fn of_row<'a>() -> Vec<Column<'a, Row<'a>>> {
    let mired = |light| colour(light).map(ColourTemperature::mired);
    vec![
        column::text("time", "RFC 3339", "instant, with the venue's offset", |r: &Row<'a>| {
            local_time(r.at)
        }),
        column::text("camera", "text", "name", |r: &Row<'a>| r.camera.to_owned()),
        column::text(
            "target",
            "word",
            "turf, or subject: an upright surface at 1.7 m toward the camera",
            |r: &Row<'a>| target_word(r.target).to_owned(),
        ),
        number(
            "daylight_lx",
            ("lx", 1),
            "of sun and sky, mean over what the camera shows",
            |r: &Row<'a>| Some(r.mix.daylight.lux()),
        ),
        number(
            "floodlights_lx",
            ("lx", 1),
            "of the floodlights; 0 where they are off",
            |r: &Row<'a>| Some(r.mix.floodlights.lux()),
        ),
        number(
            "floodlights_over_daylight_stops",
            ("stop", 2),
            "positive where the floodlights are stronger; empty where one is dark",
            |r: &Row<'a>| r.mix.floodlights_over_daylight(),
        ),
        number(
            "daylight_k",
            ("K", 0),
            "correlated colour temperature of the daylight",
            |r: &Row<'a>| kelvin(r.mix.daylight),
        ),
        number("light_k", ("K", 0), "of both together: what to balance to", |r: &Row<'a>| {
            kelvin(r.mix.all())
        }),
        number("light_mired", ("mired", 1), "the same", move |r: &Row<'a>| mired(r.mix.all())),
        number(
            "moved_mired",
            ("mired", 1),
            "how far the floodlights move the colour of daylight",
            |r: &Row<'a>| r.mix.moved_mired(),
        ),
    ]
}

/// The columns of the table.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row())
}

/// The table.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which no plan should cause.
pub fn csv(venue: &Venue, dusk: &Dusk) -> Result<Vec<u8>, CsvError> {
    let instant = |index: usize| {
        let cameras = venue.cameras.iter().zip(&dusk.cameras);
        cameras.flat_map(move |(post, camera)| {
            TARGETS.into_iter().filter_map(move |target| {
                let mix = camera.mixes(target).get(index).copied().flatten()?;
                Some(Row { at: *dusk.times.get(index)?, camera: &post.name, target, mix })
            })
        })
    };
    column::csv(&of_row(), (0..dusk.times.len()).flat_map(instant))
}

pub(crate) fn target_word(target: SplitTarget) -> &'static str {
    match target {
        SplitTarget::Turf => "turf",
        SplitTarget::Subject => "subject",
    }
}

/// The part of the summary.
pub(crate) fn summary(venue: &Venue, dusk: &Dusk, ink: Ink) -> String {
    if venue.floodlights.is_none() {
        let balance = balance(dusk);
        let words = balance.trim_start_matches("White balance: ");
        return ink.heading("White balance") + "\n" + &wrapped("  ", words);
    }
    let surface = venue.field.surface.short_name();
    let title = format!("{:<37}{:>20}{:>22}", "Floodlights pass daylight", surface, "subject");
    let mut text = ink.heading(&title) + "\n";
    for (index, camera) in venue.cameras.iter().enumerate() {
        let [turf, subject] = TARGETS.map(|target| passes(dusk, index, target));
        let name = fit(&camera.name, 33);
        let _ = writeln!(text, "  {name:<35}{turf:>20}{subject:>22}");
    }
    text + &wrapped("  ", &balance(dusk))
}

/// "17:42", "lead from 17:30 on", "daylight leads".
fn passes(dusk: &Dusk, camera: usize, target: SplitTarget) -> String {
    let word = |t: &Takeover| match t.leader {
        Leader::Floodlights => clock(t.at),
        Leader::Daylight => format!("back {}", clock(t.at)),
    };
    let passes: Vec<String> = dusk.takeovers(camera, target).iter().map(word).collect();
    if !passes.is_empty() {
        return passes.join(", ");
    }
    let mixes = dusk.cameras.get(camera).map_or(&[][..], |c| c.mixes(target));
    match mixes.iter().flatten().next_back() {
        None => "sees nothing".to_owned(),
        Some(mix) if mix.floodlights.lux() > mix.daylight.lux() => "lead throughout".to_owned(),
        Some(mix) if mix.floodlights.lux() > 0.0 => "daylight leads".to_owned(),
        Some(_) => "not lit".to_owned(),
    }
}

fn balance(dusk: &Dusk) -> String {
    let Some(first) = dusk.first_balance_mired else {
        return "The light has no colour temperature to balance to.".to_owned();
    };
    let from = dusk.times.first().map_or_else(String::new, |at| clock(*at));
    let start = format!("White balance: {} at {from}", kelvin_words(1e6 / first));
    let each = |m: &BalanceMove| {
        format!("{} at {} ({:+.0} mired)", kelvin_words(m.to_kelvin()), clock(m.at), m.by_mired)
    };
    let moves: Vec<String> = dusk.balance.iter().map(each).collect();
    let rest = match moves.is_empty() {
        true => format!("and the light stays within {BALANCE_STEP_MIRED} mired of it"),
        false => moves.join(", "),
    };
    format!("{start}, {rest}. For the mean light on all subjects; dusk.csv has each camera's.")
}

/// Hundreds of kelvin.
fn kelvin_words(kelvin: f64) -> String {
    format!("{:.0} K", (kelvin / 100.0).round() * 100.0)
}

fn clock(at: DateTime<Tz>) -> String {
    at.format("%H:%M").to_string()
}
