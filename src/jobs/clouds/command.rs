//! `quarterstop clouds`: cloud that comes and goes through a match.
//!
//! In: a venue file, the clouds. Out: a table, JSON, and a summary on stdout.

use clap::{Args, ValueEnum};

use crate::base::files::{FileName, FileSet};
use crate::base::units::Stops;
use crate::command::failure::Failure;
use crate::command::print::{ink, print, warn};
use crate::command::progress::Progress;
use crate::command::sky;
use crate::command::sky::{AirWord, air_word};
use crate::command::words::within;
use crate::engine::DEFAULT_HOLD_STOPS;
use crate::jobs::ball::DEFAULT_RATE;
use crate::jobs::crew;
use crate::jobs::crew::BriefSettings;
use crate::jobs::match_plan::options::WhenOptions;
use crate::jobs::match_plan::planning;
use crate::jobs::match_plan::planning::{PlanningSettings, VenueMatch};
use crate::light::Sky;
use crate::{jobs, output};

use super::report::{data, table, text};
use super::{CloudField, CloudKind, MAX_COVER, MIN_COVER, Outlook};

/// Options of `quarterstop clouds`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop clouds venues/football-demo.toml --cover 50
  quarterstop clouds ground.toml --cover 30 --kind cumulus --wind 6 --base 1100")]
pub struct CloudsOptions {
    #[command(flatten)]
    pub when: WhenOptions,

    /// How much of the sky the clouds cover, per cent, 5 to 95; oktas times 12.5
    #[arg(long, value_name = "PERCENT", value_parser = cover, allow_negative_numbers = true)]
    pub cover: f64,

    /// Kind of cloud; mixed where it is not known
    #[arg(long, value_enum, default_value_t = KindChoice::Mixed)]
    pub kind: KindChoice,

    /// Wind at the height of the clouds, m/s, 1 to 60 [default: a typical one]
    #[arg(long, value_name = "M_PER_S", value_parser = wind, allow_negative_numbers = true)]
    pub wind: Option<f64>,

    /// Height of the clouds' base above the ground, m, 100 to 15000
    /// [default: usual for the kind]
    #[arg(long, value_name = "METRES", value_parser = base, allow_negative_numbers = true)]
    #[arg(verbatim_doc_comment)]
    pub base: Option<f64>,

    /// Fastest that a hand turns an iris, stops a second
    #[arg(long, value_name = "STOPS", value_parser = rate, default_value_t = DEFAULT_RATE)]
    #[arg(allow_negative_numbers = true)]
    pub rate: f64,

    /// What is in the air, as in `quarterstop match`
    #[arg(long, value_name = "AIR,...", value_delimiter = ',', value_parser = air_word)]
    pub air: Vec<AirWord>,
}

/// A kind of cloud.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum KindChoice {
    /// Single heaps over warm ground
    Cumulus,
    /// Low clouds of all sizes, as broken skies mostly are
    Mixed,
    /// Sheets and fields of middle and high cloud with holes
    Layered,
}

fn cover(text: &str) -> Result<f64, String> {
    within(
        text,
        100.0 * MIN_COVER,
        100.0 * MAX_COVER,
        "a cover that comes and goes is a number of per cent",
    )
}

fn wind(text: &str) -> Result<f64, String> {
    within(text, 1.0, 60.0, "a wind is a number of metres a second")
}

fn base(text: &str) -> Result<f64, String> {
    within(text, 100.0, 15_000.0, "a base is a number of metres")
}

fn rate(text: &str) -> Result<f64, String> {
    within(text, 0.1, 20.0, "a rate is a number of stops a second")
}

impl CloudsOptions {
    fn field(&self) -> CloudField {
        let kind = match self.kind {
            KindChoice::Cumulus => CloudKind::Cumulus,
            KindChoice::Mixed => CloudKind::Mixed,
            KindChoice::Layered => CloudKind::Layered,
        };
        CloudField {
            wind_m_s: self.wind,
            base_m: self.base,
            ..CloudField::new(self.cover / 100.0, kind)
        }
    }
}

/// Runs the command.
///
/// # Errors
/// [`Failure`]; no file is written or replaced then, unless the last renames
/// themselves fail.
pub(crate) fn run(options: &CloudsOptions) -> Result<(), Failure> {
    let VenueMatch { venue, date, window, programme } = planning::occasion(&options.when)?;
    let settings = PlanningSettings {
        step_minutes: 1,
        sky: Sky::Broken,
        air: sky::air(&venue, &options.air)?.on(date),
        hold: Stops::from_stops(DEFAULT_HOLD_STOPS),
        milestones: programme.milestones_from(window.start),
        window,
    };
    planning::refuse_polar_night(&venue, date)?;
    let folder = planning::folder(&options.when, &window, "-clouds");
    let mut set =
        FileSet::open(&folder, &jobs::check::command::inputs(&options.when.venue, &venue))?;
    let progress = Progress::of("sun, shadow and splits");
    let prepared = planning::prepare(&venue, date);
    let plan = planning::plan(&prepared, settings, |done, all| progress.report(done, all))?;
    drop(progress);
    warn(planning::sunless(&plan));
    let operators = Some(1).filter(|_| venue.operators.is_empty());
    let brief =
        crew::brief(&prepared, &plan, &BriefSettings { operators, ..BriefSettings::default() })?;
    let outlook = Outlook::new(options.field(), &plan, &brief, options.rate);
    set.stage(FileName::new("clouds", "csv"), &table::csv(&venue, &outlook)?)?;
    set.stage(FileName::new("clouds", "json"), &data::write(&venue, &outlook)?)?;
    let names = set.commit()?;
    let ink = ink();
    let text = text::text(&venue, &outlook, ink);
    print(&format!("{text}\n{}", output::text::files(&folder, &names, ink)))
}
