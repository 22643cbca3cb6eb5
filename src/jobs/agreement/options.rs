//! Options of `quarterstop agreement`.

use chrono::NaiveTime;
use clap::Args;

use crate::command::words::time_of_day;
use crate::jobs::match_plan::options::PlanOptions;
use crate::jobs::match_plan::reading::ReadingOptions;

/// Options of `quarterstop agreement`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop agreement venues/football-demo.toml
  quarterstop agreement ground.toml --camera \"1 main wide\" --camera \"2 main tight\"
  quarterstop agreement ground.toml --minute 15:20,16:10,16:55")]
pub struct AgreementOptions {
    #[command(flatten)]
    pub plan: PlanOptions,

    #[command(flatten)]
    pub readings: ReadingOptions,

    /// Name of a camera that may be shown; may come several times [default: all]
    #[arg(long, value_name = "NAME", verbatim_doc_comment)]
    pub camera: Vec<String>,

    /// One to three minutes to show, with commas between
    /// [default: the widest split, the hardest cut, the last light]
    #[arg(long = "minute", value_name = "HH:MM,...", value_delimiter = ',')]
    #[arg(value_parser = time_of_day, verbatim_doc_comment)]
    pub minutes: Vec<NaiveTime>,
}
