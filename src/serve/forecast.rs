//! The forecast of the day, for the plans of pages and for the wall.
//!
//! In: text of a forecast, named on the command line or given by a page. Out: the forecast of
//! a ground, read with its place and clocks; what is wrong with it in the words of the command
//! line. A text that is refused leaves the one before it in force.

use std::path::Path;
use std::sync::{Arc, PoisonError, RwLock};

use serde::Serialize;
use serde_json::{Value, json};

use super::ground::Ground;
use super::problem::Refused;
use crate::jobs::forecast::checked;
use crate::jobs::forecast::report::left_out_words;
use crate::venue::Venue;
use crate::weather::forecast::{Forecast, parse};
use crate::{engine, solar};

/// A forecast as it was given.
#[derive(Debug, Clone)]
pub struct Given {
    /// As messages call it.
    pub file: String,
    pub text: String,
}

/// A forecast that was read for a ground.
#[derive(Debug, Clone)]
pub struct HeldForecast {
    /// Tells it from those before.
    pub number: u64,
    pub forecast: Arc<Forecast>,
}

/// What pages are told of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeldOut {
    number: u64,
    file: String,
    members: usize,
    /// Columns that were not read, in words.
    left_out: Option<String>,
}

impl HeldOut {
    /// As messages call it.
    pub fn file(&self) -> String {
        self.file.clone()
    }
}

impl HeldForecast {
    /// For pages.
    pub fn out(&self) -> HeldOut {
        HeldOut {
            number: self.number,
            // screens of the network need not know where it lies
            file: Path::new(&self.forecast.file)
                .file_name()
                .map_or_else(String::new, |name| name.to_string_lossy().into_owned()),
            members: self.forecast.members.len(),
            left_out: left_out_words(&self.forecast),
        }
    }
}

/// The forecast of a session.
#[derive(Debug, Default)]
pub struct Forecasts(RwLock<Kept>);

#[derive(Debug, Default)]
struct Kept {
    number: u64,
    given: Option<Arc<Given>>,
    /// Read for the ground of a revision.
    read: Option<(u64, Result<HeldForecast, String>)>,
}

impl Forecasts {
    /// With one to begin with.
    pub fn new(given: Option<Given>) -> Self {
        let number = u64::from(given.is_some());
        Self(RwLock::new(Kept { number, given: given.map(Arc::new), read: None }))
    }

    /// Takes a forecast in place of the one before.
    ///
    /// # Errors
    /// [`Refused::Input`] for one that is unsound, of another place or another day.
    pub fn take(&self, ground: &Ground, given: Given) -> Result<HeldOut, Refused> {
        let forecast = read(&ground.venue, &given).map_err(Refused::input)?;
        let mut kept = self.0.write().unwrap_or_else(PoisonError::into_inner);
        kept.number += 1;
        let held = HeldForecast { number: kept.number, forecast: Arc::new(forecast) };
        kept.given = Some(Arc::new(given));
        kept.read = Some((ground.revision, Ok(held.clone())));
        Ok(held.out())
    }

    /// What pages are told of the forecast of a ground.
    pub fn told(&self, ground: &Ground) -> Value {
        match self.of(ground) {
            Ok(held) => json!(held.map(|held| held.out())),
            Err(refused) => json!({ "problem": refused.to_string() }),
        }
    }

    /// Goes on without one.
    pub fn remove(&self) {
        let mut kept = self.0.write().unwrap_or_else(PoisonError::into_inner);
        *kept = Kept { number: kept.number + 1, ..Kept::default() };
    }

    /// The forecast of a ground; `None` where none was given.
    ///
    /// # Errors
    /// [`Refused::Input`] where the ground has changed so that it means nothing any more.
    pub fn of(&self, ground: &Ground) -> Result<Option<HeldForecast>, Refused> {
        let known = |kept: &Kept| {
            let read = kept.read.as_ref().filter(|(revision, _)| *revision == ground.revision)?;
            Some(read.1.clone().map(Some).map_err(Refused::input))
        };
        let (number, given) = {
            let kept = self.0.read().unwrap_or_else(PoisonError::into_inner);
            match (known(&kept), kept.given.clone()) {
                (Some(read), _) => return read,
                (None, None) => return Ok(None),
                (None, Some(given)) => (kept.number, given),
            }
        };
        let found = read(&ground.venue, &given)
            .map(|forecast| HeldForecast { number, forecast: Arc::new(forecast) });
        let mut kept = self.0.write().unwrap_or_else(PoisonError::into_inner);
        if kept.number == number {
            kept.read = Some((ground.revision, found.clone()));
        }
        found.map(Some).map_err(Refused::input)
    }
}

/// Reads a forecast for the fixture of a venue; without one, for any day.
fn read(venue: &Venue, given: &Given) -> Result<Forecast, String> {
    let Given { text, file } = given;
    let start = venue.fixture.and_then(|fixture| {
        solar::resolve(venue.place.zone, fixture.date, fixture.start, None).ok()
    });
    let forecast = match start {
        Some(start) => {
            let (from, until) = engine::programme(venue).window_from(start);
            checked((text, file), venue, (from.to_utc(), until.to_utc()))
        }
        None => parse(text, file, &venue.place),
    };
    forecast.map_err(|e| e.to_string())
}
