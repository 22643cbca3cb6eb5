//! Options of `quarterstop matching`.

use clap::Args;

use crate::jobs::match_plan::options::PlanOptions;
use crate::jobs::match_plan::reading::ReadingOptions;

/// Options of `quarterstop matching`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop matching venues/football-demo.toml
  quarterstop matching ground.toml --date 2027-10-16 --step 5")]
pub struct MatchingOptions {
    #[command(flatten)]
    pub plan: PlanOptions,

    #[command(flatten)]
    pub readings: ReadingOptions,
}
