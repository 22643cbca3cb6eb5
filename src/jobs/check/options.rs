//! Options of `quarterstop check`.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::base::slug::slug;
use crate::command::failure::Failure;
use crate::command::words::held;
use crate::venue::Venue;

/// Which field of a site is meant. Shared by all commands that read a venue.
#[derive(Debug, Clone, Default, PartialEq, Args)]
pub struct FieldOption {
    /// Field to look at, where the venue file has several
    #[arg(long, value_name = "NAME")]
    pub field: Option<String>,
}

/// In which states what moves is held. Shared by commands that plan.
#[derive(Debug, Clone, Default, PartialEq, Args)]
pub struct StateOption {
    /// Holds what moves in one of its states, whatever the file says of moves, such as
    /// "Roof=open"; may come several times
    #[arg(long, value_name = "NAME=STATE", value_parser = held, verbatim_doc_comment)]
    pub state: Vec<(String, String)>,
}

impl StateOption {
    /// The venue with what moves held in the states asked for.
    ///
    /// # Errors
    /// [`Failure`] for a name or a state that the file does not have.
    pub(crate) fn hold(&self, venue: Venue) -> Result<Venue, Failure> {
        self.hold_those(venue, |_| true)
    }

    /// The same of one venue of several, of which each may lack what moves at others.
    ///
    /// # Errors
    /// [`Failure`] for a state that the file does not have.
    pub(crate) fn hold_its_own(&self, venue: Venue) -> Result<Venue, Failure> {
        let own: Vec<String> = venue.changes.moving.iter().map(|m| m.name.clone()).collect();
        self.hold_those(venue, |name| own.iter().any(|known| known == name))
    }

    /// Refuses a name that nothing has which moves at any of several venues.
    ///
    /// # Errors
    /// [`Failure`] with what moves at the first.
    pub(crate) fn known_among<'v>(
        &self,
        venues: impl Iterator<Item = &'v Venue> + Clone,
    ) -> Result<(), Failure> {
        let moves = |venue: &Venue, name: &str| venue.changes.moving.iter().any(|m| m.name == name);
        for (name, state) in &self.state {
            let known = venues.clone().any(|venue| moves(venue, name));
            if let Some(first) = venues.clone().next().filter(|_| !known) {
                first.held_by_name(name, state).map_err(Failure::input)?;
            }
        }
        Ok(())
    }

    fn hold_those(&self, venue: Venue, counts: impl Fn(&str) -> bool) -> Result<Venue, Failure> {
        let asked = self.state.iter().filter(|(name, _)| counts(name));
        asked.into_iter().try_fold(venue, |venue, (name, state)| {
            venue.held_by_name(name, state).map_err(Failure::input)
        })
    }
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
