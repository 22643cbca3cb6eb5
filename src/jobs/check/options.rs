//! Options of `quarterstop check`.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::base::slug::slug;

/// Which field of a site is meant. Shared by all commands that read a venue.
#[derive(Debug, Clone, Default, PartialEq, Args)]
pub struct FieldOption {
    /// Field to look at, where the venue file has several
    #[arg(long, value_name = "NAME")]
    pub field: Option<String>,
}

impl FieldOption {
    /// What folders are named after: the file, and the field.
    pub(crate) fn stem(&self, venue: &Path) -> String {
        let stem = venue.file_stem().map(|stem| stem.to_string_lossy());
        let stem = slug(stem.as_deref().unwrap_or_default(), "venue");
        match &self.field {
            Some(field) => format!("{stem}-{}", slug(field, "field")),
            None => stem,
        }
    }
}

/// Options of `quarterstop check`.
#[derive(Debug, Clone, Args)]
#[command(after_help = "Example:\n  quarterstop check venues/football-demo.toml")]
pub struct CheckOptions {
    /// Venue file (TOML)
    #[arg(value_name = "VENUE")]
    pub venue: PathBuf,

    #[command(flatten)]
    pub field: FieldOption,

    /// Folder for a plan of the ground to confirm: names, cameras, north, shadow at the start
    #[arg(long, value_name = "FOLDER")]
    pub into: Option<PathBuf>,

    /// Print what looks suspicious as JSON and nothing else
    #[arg(long)]
    pub json: bool,
}
