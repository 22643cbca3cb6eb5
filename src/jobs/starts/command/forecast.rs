//! Forecasts for the fixtures of `quarterstop starts`.
//!
//! In: paths, venues, fixtures. Out: the forecast of each venue, and what is doubtful.

use std::path::{Path, PathBuf};

use crate::command::failure::Failure;
use crate::jobs::starts::Fixture;
use crate::venue::Venue;
use crate::weather::forecast;
use crate::weather::forecast::{Forecast, ForecastError};

/// Dates that a warning names.
const MAX_NAMED: usize = 4;

/// What is to be ranked.
pub(crate) struct Fixtures<'a> {
    pub venues: &'a [Venue],
    pub fixtures: &'a [Fixture],
    /// Minutes between starts.
    pub every_min: u32,
}

impl Fixtures<'_> {
    /// The forecast of each venue: the first that is for its place.
    ///
    /// # Errors
    /// [`Failure::Input`] for a forecast with mistakes, for one of no venue's place or of
    /// no fixture's day, and for one that does not state its place where there are several
    /// venues.
    pub fn forecasts(&self, paths: &[PathBuf]) -> Result<Vec<Option<Forecast>>, Failure> {
        let mut found: Vec<Option<Forecast>> = self.venues.iter().map(|_| None).collect();
        for path in paths {
            for (index, forecast) in self.of_file(path).map_err(Failure::input)? {
                if let Some(own) = found.get_mut(index) {
                    own.get_or_insert(forecast);
                }
            }
        }
        Ok(found)
    }

    /// A file as the forecast of each venue whose place it is for.
    fn of_file(&self, path: &Path) -> Result<Vec<(usize, Forecast)>, ForecastError> {
        let (mut found, mut elsewhere) = (Vec::new(), None);
        for (index, venue) in self.venues.iter().enumerate() {
            match forecast::read(path, &venue.place) {
                Ok(forecast) if self.venues.len() > 1 && !forecast.states_place => {
                    return Err(ForecastError::NoPlace { file: forecast.file });
                }
                Ok(forecast) => found.push((index, forecast)),
                Err(error @ ForecastError::ElsewhereThan { .. }) => elsewhere = Some(error),
                Err(error) => return Err(error),
            }
        }
        match elsewhere.filter(|_| found.is_empty()) {
            Some(error) => return Err(error),
            None => self.some_day(&found)?,
        }
        Ok(found)
    }

    /// Refuses a forecast that says nothing about any fixture.
    fn some_day(&self, found: &[(usize, Forecast)]) -> Result<(), ForecastError> {
        let mut first = Ok(());
        for (index, forecast) in found {
            let Some(venue) = self.venues.get(*index) else { continue };
            for fixture in self.fixtures.iter().filter(|f| f.venue == *index) {
                let Some((from, until)) = fixture.span(venue, self.every_min) else { continue };
                match forecast.covers(&venue.place, from, until) {
                    Ok(()) => return Ok(()),
                    error => first = first.and(error),
                }
            }
        }
        first
    }

    /// Fixtures that the forecasts do not tell whole.
    pub fn warnings(&self, forecasts: &[Option<Forecast>]) -> Vec<String> {
        if forecasts.iter().all(Option::is_none) {
            return Vec::new();
        }
        let silent = |fixture: &&Fixture| !self.is_covered(fixture, forecasts);
        let dates: Vec<String> =
            self.fixtures.iter().filter(silent).map(|fixture| fixture.date.to_string()).collect();
        if dates.is_empty() {
            return Vec::new();
        }
        let shown: Vec<&str> = dates.iter().take(MAX_NAMED).map(String::as_str).collect();
        let more = match dates.len().saturating_sub(MAX_NAMED) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        vec![format!(
            "{}{more}: no member of the forecast has hours from the earliest start to the end of \
             play after the latest, so costs there are without it",
            shown.join(", ")
        )]
    }

    fn is_covered(&self, fixture: &Fixture, forecasts: &[Option<Forecast>]) -> bool {
        let venue = self.venues.get(fixture.venue);
        let forecast = forecasts.get(fixture.venue).and_then(Option::as_ref);
        let span = venue.and_then(|venue| fixture.span(venue, self.every_min));
        span.zip(forecast)
            .is_some_and(|((from, until), f)| !f.members_through(from, until).is_empty())
    }
}
