//! Options of `quarterstop order`.

use std::path::PathBuf;

use clap::Args;

use crate::command::sky::{AirWord, SkyChoice, air_word};
use crate::command::words::{direct_share, whole};

/// Options of `quarterstop order`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  quarterstop order venues/tennis-site-demo.toml")]
pub struct OrderOptions {
    /// File of a site (TOML) with its order of play
    #[arg(value_name = "SITE")]
    pub venue: PathBuf,

    /// Minutes from one instant to the next, 1 to 60
    #[arg(long, value_name = "MINUTES", default_value_t = 1)]
    #[arg(allow_negative_numbers = true)]
    #[arg(value_parser = whole::<u32>(1, 60))]
    pub step: u32,

    /// Sky to plan for
    #[arg(long, value_enum, default_value_t = SkyChoice::Clear)]
    pub sky: SkyChoice,

    /// Share of the direct light that thin cloud lets through, 0.02 to 1
    /// [default: 0.5]
    #[arg(long, value_name = "SHARE", value_parser = direct_share, verbatim_doc_comment)]
    pub direct_share: Option<f64>,

    /// What is in the air, as of `match` [default: that of the file, else typical of
    /// place and season]
    #[arg(long, value_name = "AIR,...", value_delimiter = ',', value_parser = air_word)]
    #[arg(verbatim_doc_comment)]
    pub air: Vec<AirWord>,

    /// Folder for the files [default: output/SITE-YYYY-MM-DD-order]
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,
}
