//! Options of `quarterstop check`.

use std::path::PathBuf;

use clap::Args;

/// Options of `quarterstop check`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  quarterstop check venues/football-demo.toml")]
pub struct CheckOptions {
    /// Venue file (TOML)
    #[arg(value_name = "VENUE")]
    pub venue: PathBuf,

    /// Folder for a plan of the ground to confirm: names, cameras, north, shadow at the start
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,

    /// Print what looks suspicious as JSON and nothing else
    #[arg(long)]
    pub json: bool,
}
