//! Grounds of a league with the weather of their places.
//!
//! In: venue files, or a list of grounds; weather files. Out: [`LeagueGround`]s, one by one, so
//! that memory holds one of them, each with a hash of all that its rows are made from.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::base::meaning::meaning;
use crate::base::target::Inputs;
use crate::command::failure::Failure;
use crate::jobs;
use crate::jobs::check::options::{FieldOption, StateOption};
use crate::jobs::year::report::fingerprint;
use crate::venue::Venue;
use crate::venue::mesh::files_of;
use crate::weather;
use crate::weather::Odds;

use super::list::read_grounds;
use super::options::LeagueOptions;
use super::part::LeagueRequest;
use super::store::FORMAT;

/// Files that a league is made from.
pub(super) struct LeagueSources {
    pub venues: Vec<PathBuf>,
    /// Weather that the list states, by venue.
    own: Vec<Option<PathBuf>>,
    /// Weather for those without.
    shared: Vec<(PathBuf, Arc<Odds>)>,
    field: FieldOption,
    held: StateOption,
    /// The list and the costs.
    lists: Vec<PathBuf>,
}

/// A ground, read.
pub(super) struct LeagueGround {
    pub venue: Venue,
    /// `None` for a clear sky.
    pub odds: Option<Arc<Odds>>,
    /// Hash (XXH64) of all that the rows of a part are made from, but for its days.
    pub inputs: String,
}

impl LeagueSources {
    /// Of the command's options. Weather for all grounds is read here, venues are not.
    ///
    /// # Errors
    /// [`Failure`].
    pub fn of(options: &LeagueOptions) -> Result<Self, Failure> {
        let (venues, own) = match &options.grounds {
            None => (options.venues.clone(), vec![None; options.venues.len()]),
            Some(list) => {
                let rows = read_grounds(list).map_err(Failure::input)?;
                rows.into_iter().map(|row| (row.venue, row.weather)).unzip()
            }
        };
        let read = |path: &PathBuf| Ok((path.clone(), Arc::new(read_odds(path)?)));
        let shared = options.odds.iter().map(read).collect::<Result<_, Failure>>()?;
        let lists = options.grounds.iter().chain(&options.costs).cloned().collect();
        let sources = Self {
            venues,
            own,
            shared,
            field: options.field.clone(),
            held: options.held.clone(),
            lists,
        };
        if !sources.held.state.is_empty() {
            let read = |path: &PathBuf| jobs::check::command::read_unwarned(path, &sources.field);
            let venues = sources.venues.iter().map(read).collect::<Result<Vec<_>, Failure>>()?;
            sources.held.known_among(venues.iter())?;
        }
        Ok(sources)
    }

    /// Reads a ground.
    ///
    /// # Errors
    /// [`Failure`].
    pub fn ground(&self, index: usize, ask: &LeagueRequest) -> Result<LeagueGround, Failure> {
        let path = self.venues.get(index).map_or(Path::new(""), PathBuf::as_path);
        let venue = jobs::check::command::read_venue(path, &self.field)?;
        let venue = self.held.hold_its_own(venue)?;
        let mut all = meaning(&fs::read(path).map_err(Failure::VenueAgain)?).into_owned();
        for model in files_of(path, &venue.meshes) {
            let bytes = fs::read(model).map_err(Failure::VenueAgain)?;
            all.extend(format!("\0model {:016x}", fingerprint(&bytes)).into_bytes());
        }
        let km = |of: &&(PathBuf, Arc<Odds>)| of.1.km_from(&venue.place);
        let nearest = self.shared.iter().min_by(|a, b| km(a).total_cmp(&km(b)));
        let found = match self.own.get(index).and_then(Option::as_ref) {
            Some(path) => Some((path, Arc::new(read_odds(path)?))),
            None => nearest.map(|(path, odds)| (path, Arc::clone(odds))),
        };
        if let Some((path, _)) = &found {
            for file in weather::files(path).map_err(Failure::input)? {
                let bytes = fs::read(file).map_err(Failure::VenueAgain)?;
                all.extend(format!("\0weather {:016x}", fingerprint(&bytes)).into_bytes());
            }
        }
        // the span is not in it: a part stands for its month, and is the same in a longer span
        let asked =
            (ask.from, ask.until, ask.every_min, ask.step_min, ask.duration_min, &ask.profile);
        let program = concat!("quarterstop ", env!("CARGO_PKG_VERSION"));
        all.extend(format!("\0{FORMAT} {program} {asked:?}").into_bytes());
        if let Some(field) = &self.field.field {
            all.extend(format!("\0field {field}").into_bytes());
        }
        if !self.held.state.is_empty() {
            all.extend(format!("\0held {:?}", self.held.state).into_bytes());
        }
        let inputs = format!("{:016x}", fingerprint(&all));
        Ok(LeagueGround { venue, odds: found.map(|(_, odds)| odds), inputs })
    }

    /// All files that are read, which nothing may be written over; `models` are those that
    /// venue files name.
    pub fn inputs(&self, models: Vec<PathBuf>) -> Inputs {
        let weather = self.own.iter().flatten().chain(self.shared.iter().map(|(path, _)| path));
        Inputs::of(self.venues.iter().chain(&self.lists).chain(weather)).and(models)
    }
}

impl LeagueGround {
    /// What is doubtful about its weather.
    pub fn warnings(&self) -> Vec<String> {
        let Some(odds) = &self.odds else { return Vec::new() };
        let moved = jobs::odds::report::warnings(odds, None).into_iter();
        moved.chain(jobs::odds::command::warnings_for(odds, &self.venue)).collect()
    }
}

fn read_odds(path: &Path) -> Result<Odds, Failure> {
    weather::read(path).map_err(Failure::input)
}
