//! Options of `quarterstop sensitivity`.

use clap::Args;

use crate::jobs::match_plan::options::WhenOptions;

/// Options of `quarterstop sensitivity`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop sensitivity venues/football-demo.toml
  quarterstop sensitivity ground.toml --date 2027-05-01 --from 12:00 --until 20:00")]
pub struct SensitivityOptions {
    #[command(flatten)]
    pub when: WhenOptions,
}
