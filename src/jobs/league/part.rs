//! Parts of a data set: one venue in one month.
//!
//! In: what is asked. Out: [`VenueMonth`]s, each with its name, its days and, worked out, its rows.
//! A part depends on nothing but its venue, its days and what is asked, so it comes out the
//! same wherever and beside whatever it is worked out.

use std::convert::Infallible;
use std::path::PathBuf;

use chrono::{Datelike, NaiveDate, NaiveTime, Timelike};

use crate::engine::season::dates;
use crate::jobs::starts::advice::LightLevel;
use crate::jobs::starts::{CostPart, Fixture, Freedom, Kept, Profile, StartsError, StartsRun};
use crate::output::partition;
use crate::venue::Venue;
use crate::weather::Odds;

use super::store::{LIGHT_WORDS, LeagueRow, UnderWeather};

/// What is asked of every venue.
#[derive(Debug, Clone, PartialEq)]
pub struct LeagueRequest {
    /// First and last day.
    pub first: NaiveDate,
    pub last: NaiveDate,
    /// First and last start, on the venue's clocks.
    pub from: NaiveTime,
    pub until: NaiveTime,
    /// Minutes between starts, and between the instants that are counted.
    pub every_min: u32,
    pub step_min: u32,
    pub duration_min: Option<u32>,
    pub profile: Profile,
}

/// A venue in a month.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct VenueMonth {
    /// Index of the venue, and what folders call it.
    pub venue: usize,
    pub slug: String,
    pub year: i32,
    pub month: u32,
}

impl VenueMonth {
    /// All parts of a span, by venue, then by month.
    pub fn all(slugs: &[String], ask: &LeagueRequest) -> Vec<Self> {
        let mut months: Vec<(i32, u32)> =
            dates(ask.first, ask.last).map(|date| (date.year(), date.month())).collect();
        months.dedup();
        let venues = slugs.iter().enumerate();
        let of = |(venue, slug): (usize, &String)| {
            let part = |(year, month): &(i32, u32)| Self {
                venue,
                slug: slug.clone(),
                year: *year,
                month: *month,
            };
            months.iter().map(part).collect::<Vec<_>>()
        };
        venues.flat_map(of).collect()
    }

    /// "venue=mill-lane/month=2027-04".
    pub fn name(&self) -> String {
        partition::name(&self.slug, (self.year, self.month))
    }

    /// Its file within the folder of a run.
    pub fn file(&self) -> PathBuf {
        PathBuf::from(super::store::STARTS).join(self.name()).join(super::store::FILE)
    }

    /// Its days.
    fn days(&self, ask: &LeagueRequest) -> impl Iterator<Item = NaiveDate> {
        let (year, month) = (self.year, self.month);
        dates(ask.first, ask.last).filter(move |d| d.year() == year && d.month() == month)
    }
}

/// Keeps nothing: a part is done at once.
struct Nowhere;

impl Kept for Nowhere {
    type Error = Infallible;

    fn load(&self, _: &str) -> Option<Vec<u8>> {
        None
    }

    fn save(&self, _: &str, _: &[u8]) -> Result<(), Infallible> {
        Ok(())
    }
}

/// Every start of a day.
fn fixture(ask: &LeagueRequest, date: NaiveDate) -> Fixture {
    Fixture {
        name: String::new(),
        venue: 0,
        date,
        earliest: ask.from,
        latest: ask.until,
        start: Freedom::Free,
        planned: ask.from,
        duration_min: ask.duration_min,
    }
}

fn run<'a>(
    (venues, odds): (&'a [Venue], Option<&'a Odds>),
    fixtures: &'a [Fixture],
    ask: &'a LeagueRequest,
) -> StartsRun<'a> {
    StartsRun {
        venues,
        fixtures,
        every_min: ask.every_min,
        step_min: ask.step_min,
        profile: &ask.profile,
        odds: vec![odds],
        forecasts: vec![None],
    }
}

/// Rows of some parts of one venue, part by part, with the weather of the place where there
/// is any. The venue is prepared once.
pub fn worked_out(
    venue: &Venue,
    odds: Option<&Odds>,
    parts: &[VenueMonth],
    ask: &LeagueRequest,
) -> Vec<Vec<LeagueRow>> {
    let zone = venue.place.zone;
    let days: Vec<(usize, NaiveDate)> = parts
        .iter()
        .enumerate()
        .flat_map(|(place, part)| part.days(ask).map(move |date| (place, date)))
        .collect();
    let all: Vec<Fixture> = days.iter().map(|(_, date)| fixture(ask, *date)).collect();
    // a day on which clocks show none of the starts just once has none
    let has_starts = |f: &Fixture| f.span(venue, ask.every_min).is_some();
    let kept: Vec<usize> =
        all.iter().enumerate().filter(|(_, f)| has_starts(f)).map(|(i, _)| i).collect();
    let fixtures: Vec<Fixture> = kept.iter().filter_map(|i| all.get(*i)).cloned().collect();
    let venues = std::slice::from_ref(venue);
    let Ok(ranked) = run((venues, odds), &fixtures, ask).ranked(&Nowhere, |_, _| ());
    let mut rows: Vec<Vec<LeagueRow>> = vec![Vec::new(); parts.len()];
    for ranked in &ranked {
        let day = kept.get(ranked.fixture).and_then(|i| days.get(*i));
        let Some((place, date)) = day else { continue };
        let Some(to) = rows.get_mut(*place) else { continue };
        to.extend(ranked.starts.iter().map(|start| {
            let clock = start.at.with_timezone(&zone).time();
            let level = LightLevel::of(&start.clear);
            LeagueRow {
                date: *date,
                start_ms: start.at.timestamp_millis(),
                start_min: (clock.hour() * 60 + clock.minute()) as i32,
                parts: CostPart::ALL.map(|part| start.clear.get(part)),
                cost: start.clear_cost,
                light: LIGHT_WORDS[level as usize],
                weather: start.odds.map(|odds| UnderWeather {
                    good: odds.good.unwrap_or_default(),
                    sun: odds.sun,
                    cost: odds.cost.expected,
                }),
            }
        }));
    }
    rows
}

/// Looks whether a venue can be ranked as asked.
///
/// # Errors
/// [`StartsError::NoPlay`] where its moments of play start none.
pub fn check(venue: &Venue, ask: &LeagueRequest) -> Result<(), StartsError> {
    let fixtures = [fixture(ask, ask.first)];
    match run((std::slice::from_ref(venue), None), &fixtures, ask).check() {
        Err(error @ StartsError::NoPlay { .. }) => Err(error),
        // a day of a clock change is one of many
        _ => Ok(()),
    }
}
