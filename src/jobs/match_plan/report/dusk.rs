//! From daylight to floodlights, as a table and for a terminal.
//!
//! In: a venue and its [`Dusk`]. Out: CSV (RFC 4180: UTF-8, comma, CRLF, one header row), one
//! row for each instant, camera and target; a part of the printed summary.

use std::fmt::Write;

use chrono::DateTime;
use chrono_tz::Tz;

use crate::jobs::match_plan::dusk::{BALANCE_STEP_MIRED, BalanceMove, Dusk, Leader, Mix, Takeover};
use crate::jobs::match_plan::facts::Target;
use crate::light::ColourTemperature;
use crate::output::csv::{CsvError, table};
use crate::output::text::{Ink, fit, wrapped};
use crate::output::words::{fixed, kelvin, local_time};
use crate::venue::Venue;

const TARGETS: [Target; 2] = [Target::Turf, Target::Subject];

/// Name, unit and meaning of each column.
pub const COLUMNS: [(&str, &str, &str); 10] = [
    ("time", "RFC 3339", "instant, with the venue's offset"),
    ("camera", "text", "name"),
    ("target", "word", "turf, or subject: an upright surface at 1.7 m toward the camera"),
    ("daylight_lx", "lx", "of sun and sky, mean over what the camera shows"),
    ("floodlights_lx", "lx", "of the floodlights; 0 where they are off"),
    (
        "floodlights_over_daylight_stops",
        "stop",
        "positive where the floodlights are stronger; empty where one is dark",
    ),
    ("daylight_k", "K", "correlated colour temperature of the daylight"),
    ("light_k", "K", "of both together: what to balance to"),
    ("light_mired", "mired", "the same"),
    ("moved_mired", "mired", "how far the floodlights move the colour of daylight"),
];

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
                Some(row(*dusk.times.get(index)?, &post.name, target, &mix))
            })
        })
    };
    table(COLUMNS.map(|c| c.0), (0..dusk.times.len()).flat_map(instant))
}

fn row(at: DateTime<Tz>, camera: &str, target: Target, mix: &Mix) -> Vec<String> {
    let maybe = |value: Option<f64>, digits| value.map_or_else(String::new, |v| fixed(v, digits));
    let mired = ColourTemperature::of(mix.all()).map(ColourTemperature::mired);
    vec![
        local_time(at),
        camera.to_owned(),
        target_word(target).to_owned(),
        fixed(mix.daylight.lux(), 1),
        fixed(mix.floodlights.lux(), 1),
        maybe(mix.floodlights_over_daylight(), 2),
        maybe(kelvin(mix.daylight), 0),
        maybe(kelvin(mix.all()), 0),
        maybe(mired, 1),
        maybe(mix.moved_mired(), 1),
    ]
}

pub(crate) fn target_word(target: Target) -> &'static str {
    match target {
        Target::Turf => "turf",
        Target::Subject => "subject",
    }
}

/// The part of the summary.
pub(crate) fn summary(venue: &Venue, dusk: &Dusk, ink: Ink) -> String {
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
fn passes(dusk: &Dusk, camera: usize, target: Target) -> String {
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
