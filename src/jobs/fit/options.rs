//! Options of `quarterstop fit`.

use std::path::PathBuf;

use clap::Args;

use crate::jobs::check::options::FieldOption;

/// Options of `quarterstop fit`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  quarterstop fit venues/football-demo.toml --seen venues/football-demo-seen.toml
  quarterstop fit ground.toml --seen recce.toml --into ground-fitted.toml --json fit.json")]
pub struct FitOptions {
    /// Venue file (TOML)
    #[arg(value_name = "VENUE")]
    pub venue: PathBuf,

    #[command(flatten)]
    pub field: FieldOption,

    /// What was seen (TOML; `quarterstop schema seen`)
    #[arg(long, value_name = "SEEN")]
    pub seen: PathBuf,

    /// Write the venue file with the numbers found and where they come from
    #[arg(long, value_name = "FILE")]
    pub into: Option<PathBuf>,

    /// Let --into be the venue file itself
    #[arg(long, requires = "into")]
    pub over_venue: bool,

    /// Write over files that are there
    #[arg(long)]
    pub replace: bool,

    /// Let --into write numbers in doubt: observations disagree (chance of their
    /// chi-square under 1 %), the search did not converge, or a number is not plausible
    #[arg(long, requires = "into", verbatim_doc_comment)]
    pub despite_doubts: bool,

    /// Write everything found as JSON
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
}
