//! Options of `quarterstop states`.

use std::path::PathBuf;

use clap::Args;

use crate::command::words::within;
use crate::jobs::match_plan::options::PlanOptions;

/// Options of `quarterstop states`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop states venues/harbour-demo.toml
  quarterstop states ground.toml --what Roof --least-lx 1500 --date 2027-10-16")]
pub struct StatesOptions {
    #[command(flatten)]
    pub plan: PlanOptions,

    /// A moving thing to compare; may come several times [default: all of them together]
    #[arg(long, value_name = "NAME")]
    pub what: Vec<String>,

    /// A choice that leaves less light than this on the turf in play, mean over the
    /// field, is no advice, lx
    #[arg(long, value_name = "LUX", value_parser = lux, verbatim_doc_comment)]
    pub least_lx: Option<f64>,

    /// What counts how much, a file as `starts` takes it
    #[arg(long, value_name = "FILE")]
    pub costs: Option<PathBuf>,
}

fn lux(text: &str) -> Result<f64, String> {
    within(text, 0.0, 200_000.0, "a level is a number of lx")
}
