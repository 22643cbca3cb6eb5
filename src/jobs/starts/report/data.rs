//! Ranked starts as JSON: `quarterstop.starts/1`.
//!
//! In: [`StartsReport`]. Out: one object, units in the keys, absent values `null`. The structs
//! are the format; [`schema`] derives its JSON Schema from them. Keys may be added
//! under the same number; a change of meaning gets the next one.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;

use crate::jobs::starts::{CostPart, CostParts, Costed, Freedom, Likely, shifts};
use crate::light::AirByDate;
use crate::output::air::AirOut;
use crate::output::words::local_time;

use super::{Entry, StartsReport};

/// Name and number of the format.
pub const FORMAT: &str = "quarterstop.starts/1";

/// Starts of fixtures with what they cost.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "quarterstop starts")]
pub struct StartsFile {
    /// Name and number of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: &'static str,
    /// Minutes between starts, and between the instants that are counted.
    pub every_min: u32,
    pub step_min: u32,
    /// Costs that differ by no more than this are equal.
    pub equal_within: f64,
    /// What is doubtful about all of it.
    pub warnings: Vec<String>,
    /// What a minute, or a stop of the worst split, costs.
    pub weights: PartsOut,
    pub fixtures: Vec<FixtureOut>,
    /// Over all free fixtures that may make the shift: not to be compared with each other.
    pub shifts: Vec<ShiftOut>,
    /// Shifts over the same fixtures each.
    pub compared: ComparedOut,
    /// The season as a whole; `null` without rules.
    pub season: Option<SeasonOut>,
}

/// Shifts that may be compared.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ComparedOut {
    pub shifts: Vec<ShiftOut>,
    /// Places in the list of fixtures, counted from 0: those that may make all the shifts,
    /// and free ones that may not.
    pub over: Vec<usize>,
    pub left_out: Vec<usize>,
}

/// Starts that keep the rules.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SeasonOut {
    /// The file of rules.
    pub rules_file: String,
    /// Above what would be best for each fixture by itself, unmet wishes counted.
    pub cost: f64,
    /// No season that keeps the rules costs less.
    pub cost_at_least: f64,
    pub proved_best: bool,
    /// Every rule and wish in words.
    pub rules: Vec<String>,
    /// What the planned starts break, in words.
    pub planned_breaks: Vec<String>,
}

/// Parts of the cost, or their weights.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PartsOut {
    pub mixed_min: f64,
    pub worst_split_stops: f64,
    pub main_lens_min: f64,
    pub choose_min: f64,
    pub dusk_min: f64,
    /// With the sun down and no floodlights lit.
    pub dark_min: f64,
}

/// One fixture.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FixtureOut {
    pub name: String,
    pub date: String,
    pub venue: String,
    pub air: AirOut,
    pub main_camera: Option<String>,
    /// Whether the start may be moved.
    pub free: bool,
    /// RFC 3339 with the venue's offset.
    pub planned_start: String,
    pub best_start: String,
    /// In the season under rules, and why; `null` without rules.
    pub season_start: Option<String>,
    pub season_why: Option<String>,
    /// Starts that are as good as the best, by runs in order of time.
    pub equally_good: Vec<RunOut>,
    /// From the weather's place to the venue, km; `null` without a weather file.
    pub weather_km: Option<f64>,
    /// In order of time.
    pub starts: Vec<StartOut>,
}

/// Starts one after the other.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RunOut {
    /// RFC 3339 with the venue's offset.
    pub from: String,
    pub until: String,
}

/// One start.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StartOut {
    /// RFC 3339 with the venue's offset.
    pub start: String,
    pub end: String,
    /// Whether it may be chosen; false for a planned start outside of those.
    pub may_be: bool,
    /// To be expected with the odds of sun, else under a clear sky.
    pub cost: f64,
    /// Under a clear sky.
    pub clear_cost: f64,
    pub clear: PartsOut,
    /// Widest split in shot under a clear sky; `null` without one.
    pub clear_worst: Option<WorstOut>,
    /// `null` without a weather file.
    pub with_odds: Option<OddsOut>,
}

/// A split.
#[derive(Debug, Serialize, JsonSchema)]
pub struct WorstOut {
    pub at: String,
    pub camera: String,
    pub stops: f64,
    /// 10th and 90th percentile for what is unknown of the air.
    pub stops_low: Option<f64>,
    pub stops_high: Option<f64>,
}

/// What is to be expected.
#[derive(Debug, Serialize, JsonSchema)]
pub struct OddsOut {
    /// What the odds are from: days of weather files or members of a forecast.
    #[schemars(extend("enum" = ["weather_file", "forecast"]))]
    pub from: &'static str,
    /// Share of play with direct sun.
    pub sun_share: f64,
    pub expected: PartsOut,
    pub cost: LikelyOut,
    /// Widest split in shot, stops; 0 on days without one.
    pub worst_split_stops: LikelyOut,
    /// Share of the days or members on which a camera must expose for sun or for shade, or
    /// the main camera has the sun in its lens, for under 5 minutes of play; `null` in costs
    /// that were kept by an earlier version.
    pub good_share: Option<f64>,
}

/// Mean, 10th and 90th percentile over days, or over the members of a forecast.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LikelyOut {
    pub expected: f64,
    pub p10: f64,
    pub p90: f64,
}

/// A shift of the start.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ShiftOut {
    /// After the planned start; before it where negative.
    pub by_min: i64,
    pub fixtures: usize,
    pub mean_cost: f64,
    /// Mean against the planned start; a loss where negative.
    pub mean_saves: f64,
    pub better: usize,
    pub worse: usize,
}

/// The file's text.
///
/// # Errors
/// Where the writer refuses, which nothing should cause.
pub fn write(report: &StartsReport<'_>) -> Result<Vec<u8>, serde_json::Error> {
    let mut weights = CostParts::default();
    CostPart::ALL.into_iter().for_each(|part| weights.set(part, report.profile.weight(part)));
    let shift = |s: crate::jobs::starts::Shift| ShiftOut {
        by_min: s.by_min,
        fixtures: s.fixtures,
        mean_cost: s.cost,
        mean_saves: s.saves,
        better: s.better,
        worse: s.worse,
    };
    let shifts = shifts(report.ranked, report.fixtures, &report.zones());
    let compared = report.compared();
    let file = StartsFile {
        format: FORMAT,
        every_min: report.every_min,
        step_min: report.step_min,
        equal_within: report.profile.equal_within(),
        warnings: report.warnings.to_vec(),
        weights: parts(&weights),
        fixtures: report.entries().map(|entry| fixture(report, &entry)).collect(),
        shifts: shifts.into_iter().map(shift).collect(),
        compared: ComparedOut {
            shifts: compared.shifts.into_iter().map(shift).collect(),
            over: compared.over,
            left_out: compared.left_out,
        },
        season: report.under_rules.map(|rules| SeasonOut {
            rules_file: rules.schedule.rules.file.clone(),
            cost: rules.placement.cost,
            cost_at_least: rules.placement.at_least,
            proved_best: rules.placement.is_best,
            rules: rules.rules(),
            planned_breaks: rules.planned_breaches(),
        }),
    };
    let mut bytes = serde_json::to_vec_pretty(&file)?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// JSON Schema (draft 2020-12) of the file.
pub fn schema() -> serde_json::Value {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    settings.into_generator().into_root_schema_for::<StartsFile>().to_value()
}

fn fixture(report: &StartsReport<'_>, entry: &Entry<'_>) -> FixtureOut {
    let at = |start: &Costed| local_time(entry.local(start.at));
    let main = entry.main_camera(report.profile);
    let equal = entry.ranked.equally_good(entry.fixture, entry.venue.place.zone);
    let run = |(from, until)| RunOut {
        from: local_time(entry.local(from)),
        until: local_time(entry.local(until)),
    };
    FixtureOut {
        name: entry.fixture.name.clone(),
        date: entry.fixture.date.to_string(),
        venue: entry.venue.title.clone(),
        air: AirOut::of(&AirByDate::of_venue(entry.venue).on(entry.fixture.date)),
        main_camera: (!main.is_empty()).then(|| main.to_owned()),
        free: entry.fixture.start == Freedom::Free,
        planned_start: at(entry.planned),
        best_start: at(entry.best),
        season_start: report.under_rules.map(|_| at(entry.proposed)),
        season_why: report.under_rules.and_then(|rules| rules.why(entry.ranked.fixture)),
        equally_good: equal.into_iter().map(run).collect(),
        weather_km: report.km(entry),
        starts: entry.ranked.starts.iter().map(|s| start(entry, s)).collect(),
    }
}

fn start(entry: &Entry<'_>, start: &Costed) -> StartOut {
    StartOut {
        start: local_time(entry.local(start.at)),
        end: local_time(entry.local(start.ends)),
        may_be: entry.fixture.may_start(start.at, entry.venue.place.zone),
        cost: start.cost(),
        clear_cost: start.clear_cost,
        clear: parts(&start.clear),
        clear_worst: start.worst.map(|worst| WorstOut {
            at: local_time(entry.local(worst.at)),
            camera: entry.camera(worst.camera).to_owned(),
            stops: worst.stops,
            stops_low: worst.range.map(|range| range.0),
            stops_high: worst.range.map(|range| range.1),
        }),
        with_odds: start.odds.map(|odds| OddsOut {
            from: odds.from.word(),
            sun_share: odds.sun,
            expected: parts(&odds.parts),
            cost: likely(odds.cost),
            worst_split_stops: likely(odds.split),
            good_share: odds.good,
        }),
    }
}

fn likely(likely: Likely) -> LikelyOut {
    LikelyOut { expected: likely.expected, p10: likely.p10, p90: likely.p90 }
}

fn parts(parts: &CostParts) -> PartsOut {
    PartsOut {
        mixed_min: parts.get(CostPart::Mixed),
        worst_split_stops: parts.get(CostPart::WorstSplit),
        main_lens_min: parts.get(CostPart::MainLens),
        choose_min: parts.get(CostPart::Choose),
        dusk_min: parts.get(CostPart::Dusk),
        dark_min: parts.get(CostPart::Dark),
    }
}
