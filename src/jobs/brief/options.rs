//! Options of `quarterstop brief`.

use std::path::PathBuf;

use chrono::NaiveTime;
use clap::Args;

use crate::base::limits::MAX_OPERATORS;
use crate::command::words::{stops, time_of_day, whole};
use crate::jobs::match_plan::options::PlanOptions;
use crate::jobs::match_plan::reading::ReadingOptions;

/// Options of `quarterstop brief`.
#[derive(Debug, Clone, Args)]
#[command(after_help = "Examples:
  quarterstop brief venues/football-demo.toml
  quarterstop brief ground.toml --sky thin --operators 4 --tell-splits 1.5,3")]
pub struct BriefOptions {
    #[command(flatten)]
    pub plan: PlanOptions,

    #[command(flatten)]
    pub readings: ReadingOptions,

    /// Operators to share the cameras between, where the venue file names none
    /// [default: one for three cameras]
    #[arg(long, value_name = "COUNT", verbatim_doc_comment)]
    #[arg(value_parser = whole::<u32>(1, MAX_OPERATORS as u32))]
    pub operators: Option<u32>,

    /// Forecast of the day (CSV, see `quarterstop forecast`): odds of sun by minute, what to
    /// set under cloud, cues of what to expect
    #[arg(long, value_name = "FORECAST", conflicts_with = "sky", verbatim_doc_comment)]
    pub forecast: Option<PathBuf>,

    /// Times of pictures through each camera, with commas between
    /// [default: none beside the strip of each camera]
    #[arg(long, value_name = "HH:MM,...", value_delimiter = ',', value_parser = time_of_day)]
    #[arg(verbatim_doc_comment)]
    pub through_at: Vec<NaiveTime>,

    /// Splits that get a cue when they are passed, stops, with commas between
    #[arg(long, value_name = "STOPS,...", value_delimiter = ',', value_parser = stops)]
    #[arg(default_values_t = [2.0, 3.0])]
    pub tell_splits: Vec<f64>,
}
