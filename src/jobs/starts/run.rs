//! All fixtures at all venues.
//!
//! In: venues, fixtures, profile, odds, forecasts. Out: a [`Ranked`] for each fixture, in their order.
//!
//! Each venue is prepared once and serves all its fixtures; instants that starts of a day
//! share are worked out once, on a grid of whole steps of UTC, and in parallel. Work is
//! done in blocks of days, each handed to a [`Kept`] that may know it already: an
//! interrupted run goes on where it stopped. A block is whole or absent, and told through
//! the same bytes whether fresh or kept, so results do not depend on interruptions.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, NaiveDate, Utc};
use rayon::prelude::*;

use crate::camera::Interval;
use crate::engine::season::{Season, SeasonRow, Weather};
use crate::light::AirByDate;
use crate::venue::Venue;
use crate::weather::forecast::Forecast;
use crate::weather::{Odds, SkyCover};

use super::cost::{Costed, DayGlimpses, PlayCourse, costed};
use super::ensemble::Ensemble;
use super::fixture::{Fixture, StartsError};
use super::glimpse::{Glimpse, WANTED, WANTED_RANGES, WANTED_WITHOUT_SUN, Watcher, widest_range};
use super::profile::Profile;
use super::ranking::Ranked;

/// Dates of a block.
const DATES_IN_BLOCK: usize = 16;
/// Starts of a run.
pub const MAX_STARTS: usize = 500_000;

/// Where blocks of results are kept while a run goes on.
pub trait Kept {
    type Error;

    /// What was kept under a name, if anything was.
    fn load(&self, name: &str) -> Option<Vec<u8>>;

    /// Keeps a block, whole or not at all.
    ///
    /// # Errors
    /// The keeper's own.
    fn save(&self, name: &str, bytes: &[u8]) -> Result<(), Self::Error>;
}

/// What to rank.
pub struct StartsRun<'a> {
    pub venues: &'a [Venue],
    pub fixtures: &'a [Fixture],
    /// Minutes between starts.
    pub every_min: u32,
    /// Minutes between instants, 1 to 60.
    pub step_min: u32,
    pub profile: &'a Profile,
    /// Odds of sun for each venue; `None` for a clear sky.
    pub odds: Vec<Option<&'a Odds>>,
    /// A forecast for each venue, which goes before the odds for fixtures all of whose
    /// starts it tells.
    pub forecasts: Vec<Option<&'a Forecast>>,
}

/// Fixtures of one venue on a few dates: indices of fixtures.
struct Block {
    venue: usize,
    name: String,
    fixtures: Vec<usize>,
}

/// The main camera of a venue under a profile.
pub fn main_camera<'v>(venue: &'v Venue, profile: &Profile) -> Option<&'v str> {
    Watcher::new(venue, profile.main_camera.as_deref()).main_camera()
}

impl StartsRun<'_> {
    /// Looks whether everything can be ranked; returns the number of starts.
    ///
    /// # Errors
    /// [`StartsError`], the first that is found.
    pub fn check(&self) -> Result<usize, StartsError> {
        let mut count = 0;
        for fixture in self.fixtures {
            let Some(venue) = self.venues.get(fixture.venue) else { continue };
            let zone = venue.place.zone;
            let starts = fixture.starts(zone, self.every_min);
            let (name, title) = (|| fixture.name.clone(), || venue.title.clone());
            let Some(first) = starts.iter().find(|at| fixture.may_start(**at, zone)) else {
                return Err(StartsError::NoStart {
                    name: name(),
                    venue: title(),
                    date: fixture.date,
                    earliest: fixture.earliest,
                    latest: fixture.latest,
                });
            };
            let planned = |at: &DateTime<Utc>| at.with_timezone(&zone).time() == fixture.planned;
            if !starts.iter().any(planned) {
                return Err(StartsError::NoPlannedStart {
                    name: name(),
                    venue: title(),
                    date: fixture.date,
                    planned: fixture.planned,
                });
            }
            if fixture.course(venue, *first).runs.is_empty() {
                return Err(StartsError::NoPlay { venue: venue.title.clone() });
            }
            count += starts.len();
            if count > MAX_STARTS {
                return Err(StartsError::TooMany { count, most: MAX_STARTS });
            }
        }
        if count == 0 { Err(StartsError::Nothing) } else { Ok(count) }
    }

    /// Ranks everything. `progress` is told how many of how many fixtures are done.
    ///
    /// # Errors
    /// The keeper's own.
    pub fn ranked<K: Kept>(
        &self,
        kept: &K,
        progress: impl Fn(usize, usize),
    ) -> Result<Vec<Ranked>, K::Error> {
        let mut ranked = Vec::with_capacity(self.fixtures.len());
        progress(0, self.fixtures.len());
        for (index, venue) in self.venues.iter().enumerate() {
            let skies = Skies::new(self, index, venue);
            for block in self.blocks(index) {
                let equal = self.profile.equal_within();
                let known =
                    kept.load(&block.name).and_then(|bytes| read_back(&block, &bytes, equal));
                let told = match known {
                    Some(known) => known,
                    None => {
                        let bytes = self.worked_out(&block, venue, &skies);
                        kept.save(&block.name, &bytes)?;
                        read_back(&block, &bytes, equal).unwrap_or_default()
                    }
                };
                ranked.extend(told);
                progress(ranked.len(), self.fixtures.len());
            }
        }
        ranked.sort_by_key(|ranked: &Ranked| ranked.fixture);
        Ok(ranked)
    }

    /// Fixtures of a venue by blocks of dates.
    fn blocks(&self, venue: usize) -> Vec<Block> {
        let here = self.fixtures.iter().enumerate().filter(|(_, f)| f.venue == venue);
        let dates: BTreeSet<NaiveDate> = here.clone().map(|(_, f)| f.date).collect();
        let dates: Vec<NaiveDate> = dates.into_iter().collect();
        let blocks = dates.chunks(DATES_IN_BLOCK).enumerate().map(|(number, dates)| Block {
            venue,
            name: format!("venue-{:04}-block-{:04}", venue + 1, number + 1),
            fixtures: here.clone().filter(|(_, f)| dates.contains(&f.date)).map(|f| f.0).collect(),
        });
        blocks.collect()
    }

    fn worked_out(&self, block: &Block, venue: &Venue, skies: &Skies<'_>) -> Vec<u8> {
        let fixtures = block.fixtures.iter().filter_map(|i| Some((*i, self.fixtures.get(*i)?)));
        let courses: Vec<(usize, Vec<PlayCourse>)> = fixtures
            .map(|(index, fixture)| {
                let starts = fixture.starts(venue.place.zone, self.every_min);
                (index, starts.into_iter().map(|at| fixture.course(venue, at)).collect())
            })
            .collect();
        let runs = courses.iter().flat_map(|(_, all)| all).flat_map(|course| &course.runs);
        let times: BTreeSet<DateTime<Utc>> =
            runs.flat_map(|(from, until)| self.grid(*from, *until)).collect();
        let day = skies.glimpses(&times);
        let odds = self.odds.get(block.venue).copied().flatten();
        let forecast = self.forecasts.get(block.venue).copied().flatten();
        let airs = AirByDate::of_venue(venue);
        let one = |(index, courses): &(usize, Vec<PlayCourse>)| {
            let runs = courses.iter().flat_map(|course| &course.runs);
            let times = runs.flat_map(|(from, until)| self.grid(*from, *until)).collect();
            let told = forecast.and_then(|forecast| {
                let span = (courses.first()?.at, courses.last()?.ends);
                Ensemble::of_forecast(forecast, &venue.place, &airs, span, &times)
            });
            let skies = told.or_else(|| odds.map(Ensemble::of_odds));
            let each = courses.iter().map(|c| costed(c, &day, self.profile, skies.as_ref()));
            (*index, each.collect::<Vec<Costed>>())
        };
        let mut all: Vec<(usize, Vec<Costed>)> = courses.par_iter().map(one).collect();
        let worst = || all.iter().flat_map(|(_, starts)| starts).filter_map(|start| start.worst);
        let ranges = skies.ranges(&worst().map(|worst| worst.at).collect());
        for worst in all.iter_mut().flat_map(|(_, starts)| starts).filter_map(|s| s.worst.as_mut())
        {
            let range = ranges.get(&worst.at).and_then(|cameras| *cameras.get(worst.camera)?);
            worst.range = range.map(|range| (range.low, range.high));
        }
        // numbers and times only: nothing in it that cannot be written
        serde_json::to_vec(&all).unwrap_or_default()
    }

    /// Whole steps of UTC from an instant to before another.
    fn grid(
        &self,
        from: DateTime<Utc>,
        until: DateTime<Utc>,
    ) -> impl Iterator<Item = DateTime<Utc>> {
        let step = i64::from(self.step_min.max(1)) * 60;
        let first = (from.timestamp() + step - 1).div_euclid(step) * step;
        let seconds = (first..until.timestamp()).step_by(step as usize);
        seconds.filter_map(|s| DateTime::from_timestamp(s, 0))
    }
}

/// A block from its bytes; `None` where they are not those of the block.
fn read_back(block: &Block, bytes: &[u8], equal_within: f64) -> Option<Vec<Ranked>> {
    let all: Vec<(usize, Vec<Costed>)> = serde_json::from_slice(bytes).ok()?;
    let same = all.iter().map(|(index, _)| index).eq(&block.fixtures);
    let full = all.iter().all(|(_, starts)| !starts.is_empty());
    let ranked = |(fixture, starts)| Ranked { fixture, starts, equal_within };
    let ranked = all.into_iter().map(ranked);
    (same && full).then(|| ranked.collect())
}

/// A venue under each sky that matters.
struct Skies<'v> {
    venue: &'v Venue,
    watcher: Watcher<'v>,
    /// In the order of [`SkyCover::ALL`], or the clear sky only.
    seasons: Vec<Season<'v>>,
    /// The clear sky, with ranges.
    ranged: Season<'v>,
}

impl<'v> Skies<'v> {
    fn new(run: &StartsRun<'_>, index: usize, venue: &'v Venue) -> Self {
        let air = AirByDate::of_venue(venue);
        let clear = Season::new(venue, Weather { sky: SkyCover::Clear.sky(), air }, WANTED);
        let season = |state: &SkyCover| {
            let weather = Weather { sky: state.sky(), air };
            match weather.sky.hides_sun() {
                true => Season::new(venue, weather, WANTED_WITHOUT_SUN),
                false => clear.under(weather),
            }
        };
        let odds = run.odds.get(index).copied().flatten().is_some();
        let forecast = run.forecasts.get(index).copied().flatten().is_some();
        let seasons: Vec<Season<'v>> = match odds || forecast {
            true => SkyCover::ALL.iter().map(season).collect(),
            false => vec![clear.wanting(WANTED)],
        };
        let ranged = seasons.first().unwrap_or(&clear).wanting(WANTED_RANGES);
        let watcher = Watcher::new(venue, run.profile.main_camera.as_deref());
        Self { venue, watcher, seasons, ranged }
    }

    /// Ranges of the widest split in shot of each camera under a clear sky.
    fn ranges(
        &self,
        times: &BTreeSet<DateTime<Utc>>,
    ) -> BTreeMap<DateTime<Utc>, Vec<Option<Interval>>> {
        let zone = self.venue.place.zone;
        let local: Vec<_> = times.iter().map(|at| at.with_timezone(&zone)).collect();
        let of = |row: &SeasonRow| {
            let views = row.cameras.iter().map(|camera| widest_range(camera.view.as_ref()?));
            views.collect()
        };
        let rows = self.ranged.rows(&local);
        rows.iter().map(|row| (row.at.with_timezone(&Utc), of(row))).collect()
    }

    fn glimpses(&self, times: &BTreeSet<DateTime<Utc>>) -> DayGlimpses {
        let zone = self.venue.place.zone;
        let local: Vec<_> = times.iter().map(|at| at.with_timezone(&zone)).collect();
        let mut day: DayGlimpses = times.iter().map(|at| (*at, Vec::new())).collect();
        for season in &self.seasons {
            let weather = season.weather();
            let rows = season.rows(&local);
            let glimpses: Vec<Glimpse> =
                rows.par_iter().map(|row| self.watcher.glimpse(row, weather)).collect();
            for (all, glimpse) in day.values_mut().zip(glimpses) {
                all.push(glimpse);
            }
        }
        day
    }
}
