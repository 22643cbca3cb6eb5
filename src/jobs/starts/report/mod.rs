//! Start times of a season, told.
//!
//! In: [`StartsReport`]. Out: text for a terminal, `starts.csv` (a row a start), `season.csv` (a
//! row a fixture), JSON, one HTML page to send on, a calendar feed.

mod advice;
pub mod calendar;
pub mod data;
pub mod page;
mod season;
pub mod summary;
pub mod table;

use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;

use crate::jobs::odds::report::source_words;
use crate::jobs::starts::advice::LightLevel;
use crate::light::AirByDate;
use crate::output::words::duration;
use crate::solar;
use crate::solar::SunDay;
use crate::venue::{FloodlightUse, Venue};
use crate::weather::Odds;

use super::{
    Compared, Costed, Fixture, Likely, OddsFrom, Profile, Ranked, UnderOdds, compared, main_camera,
};

pub use season::{UnderRules, no_season};

/// Shifts in a table for people.
const MAX_SHIFTS: usize = 16;
/// Fixtures that are named as left out of it.
const MAX_LEFT_OUT: usize = 8;

/// Venues whose air is stated on a page.
const SHOWN_AIRS: usize = 3;

/// What is told.
pub struct StartsReport<'a> {
    pub venues: &'a [Venue],
    pub fixtures: &'a [Fixture],
    /// In the order of the fixtures.
    pub ranked: &'a [Ranked],
    pub profile: &'a Profile,
    /// Of each venue; `None` where results are for a clear sky.
    pub odds: &'a [Option<&'a Odds>],
    /// What is doubtful about all of it, as the terminal shows it.
    pub warnings: &'a [String],
    /// The season as a whole; `None` without rules.
    pub under_rules: Option<UnderRules<'a>>,
    pub every_min: u32,
    pub step_min: u32,
}

/// A ranked fixture with what belongs to it.
#[derive(Clone, Copy)]
struct Entry<'a> {
    ranked: &'a Ranked,
    fixture: &'a Fixture,
    venue: &'a Venue,
    planned: &'a Costed,
    best: &'a Costed,
    /// Its start in the season as a whole; without rules the best.
    proposed: &'a Costed,
}

impl<'a> StartsReport<'a> {
    fn entries(&self) -> impl Iterator<Item = Entry<'a>> {
        self.ranked.iter().filter_map(|ranked| self.entry(ranked))
    }

    fn entry(&self, ranked: &'a Ranked) -> Option<Entry<'a>> {
        let fixture = self.fixtures.get(ranked.fixture)?;
        let venue = self.venues.get(fixture.venue)?;
        let zone = venue.place.zone;
        let (planned, best) = (ranked.planned(fixture, zone)?, ranked.best(fixture, zone)?);
        let placed = self.under_rules.as_ref().and_then(|rules| rules.placed(ranked.fixture));
        let placed = placed.and_then(|p| ranked.starts.iter().find(|start| start.at == p.at));
        let proposed = placed.unwrap_or(best);
        Some(Entry { ranked, fixture, venue, planned, best, proposed })
    }

    fn zones(&self) -> Vec<Tz> {
        self.venues.iter().map(|venue| venue.place.zone).collect()
    }

    /// Shifts for people, over the same fixtures each.
    fn compared(&self) -> Compared {
        compared(self.ranked, self.fixtures, &self.zones(), self.every_min, MAX_SHIFTS)
    }

    /// What the shifts are compared over, and who is not in it.
    fn compared_words(&self, compared: &Compared) -> String {
        let name = |index: &usize| {
            let entry = self.entry(self.ranked.get(*index)?)?;
            Some(match entry.fixture.name.as_str() {
                "" => format!("{} on {}", entry.venue.title, entry.fixture.date),
                name => name.to_owned(),
            })
        };
        let out: Vec<String> = compared.left_out.iter().filter_map(name).collect();
        let more = out.len().saturating_sub(MAX_LEFT_OUT);
        let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
        let shown = out.iter().take(MAX_LEFT_OUT).cloned().collect::<Vec<_>>().join(", ");
        let over = match compared.over.len() {
            1 => "1 fixture, which may make all of these shifts".to_owned(),
            n => format!("the same {n} fixtures, which may make all of these shifts"),
        };
        match out.is_empty() {
            true => format!("Compared over {over}."),
            false => format!(
                "Compared over {over}. Left out, as they lack one of these starts: {shown}{rest}."
            ),
        }
    }

    /// Where the weather of each venue comes from, from how far away and of which years.
    fn weather_words(&self) -> Vec<String> {
        let sources = self.venues.iter().zip(self.odds);
        let words = sources.filter_map(|(venue, odds)| {
            let words = source_words((*odds)?, &venue.place);
            Some(format!("{}: {words}", venue.title))
        });
        words.collect()
    }

    /// From the weather's place to the venue; `None` without odds.
    fn km(&self, entry: &Entry<'_>) -> Option<f64> {
        let odds = self.odds.get(entry.fixture.venue).copied().flatten()?;
        Some(odds.km_from(&entry.venue.place))
    }

    /// Which costs are equal.
    fn equal_words(&self) -> String {
        format!(
            "Starts whose costs differ by no more than {} are equally good; of these the one \
             nearest to the planned start is named as the best",
            crate::output::words::fixed(self.profile.equal_within(), 2)
        )
    }

    /// Of how many the range of a cost holds; empty without odds.
    fn range_words(&self) -> &'static str {
        match (self.under_forecast(), self.odds.iter().any(Option::is_some)) {
            (0, false) => "",
            (0, true) => "8 days of 10",
            _ if self.of_one_member() => "",
            _ => "8 of 10",
        }
    }

    /// What the results hold for.
    fn sky_words(&self) -> String {
        format!("{}. {}", self.odds_words(), self.air_words())
    }

    /// The air of each venue, the first few; without its full stop.
    fn air_words(&self) -> String {
        let air = |venue: &Venue| AirByDate::of_venue(venue).statement();
        match self.venues {
            [venue] => air(venue).trim_end_matches('.').to_owned(),
            venues => {
                let each = |v: &Venue| format!("{}: {}", v.title, AirByDate::of_venue(v).caption());
                let shown: Vec<String> = venues.iter().take(SHOWN_AIRS).map(each).collect();
                let more = venues.len().saturating_sub(SHOWN_AIRS);
                let rest =
                    if more > 0 { format!("; {more} more in the JSON") } else { String::new() };
                format!("Air at {}{rest}", shown.join("; "))
            }
        }
    }

    /// What the odds of a venue's fixtures are from, each once.
    pub fn odds_from(&self, venue: usize) -> Vec<OddsFrom> {
        let here = |ranked: &&Ranked| {
            self.fixtures.get(ranked.fixture).is_some_and(|fixture| fixture.venue == venue)
        };
        let starts = self.ranked.iter().filter(here).flat_map(|ranked| &ranked.starts);
        let mut found: Vec<OddsFrom> = Vec::new();
        for odds in starts.filter_map(|start| start.odds) {
            if !found.contains(&odds.from) {
                found.push(odds.from);
            }
        }
        found
    }

    /// Fixtures whose costs are to be expected with a forecast.
    fn under_forecast(&self) -> usize {
        let forecast = |costed: &Costed| costed.odds.is_some_and(|o| o.from == OddsFrom::Forecast);
        self.ranked.iter().filter(|ranked| ranked.starts.iter().any(forecast)).count()
    }

    /// Whether no forecast has members to compare.
    fn of_one_member(&self) -> bool {
        let all = self.ranked.iter().flat_map(|ranked| &ranked.starts);
        all.filter_map(|start| start.odds).all(|odds| odds.over == 1)
    }

    fn odds_words(&self) -> String {
        match (self.under_forecast(), self.ranked.len()) {
            (0, _) => self.weather_odds_words(),
            (n, all) if n == all => {
                let members = match self.of_one_member() {
                    true => "which has one member and cannot say how sure it is",
                    false => "each member as likely as the others",
                };
                format!("Costs are those to be expected with the forecast of the day, {members}")
            }
            (n, all) => format!(
                "Costs of {n} of {all} fixtures are those to be expected with the forecast. \
                 Otherwise: {}",
                lower_first(&self.weather_odds_words())
            ),
        }
    }

    fn weather_odds_words(&self) -> String {
        let with = self.odds.iter().filter(|odds| odds.is_some()).count();
        match with {
            0 => "All for a clear sky: no weather file was given (--odds)".to_owned(),
            n if n == self.odds.len() => {
                "Costs are those to be expected with the odds of sun of the weather files"
                    .to_owned()
            }
            n => format!(
                "Costs are those to be expected with the odds of sun at {n} of {} venues, and for \
                 a clear sky at the others",
                self.odds.len()
            ),
        }
    }
}

/// Play without the sun over the horizon.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Night {
    /// The sun stays down.
    AllDay,
    /// Minutes from the start of play to sunrise, from sunset to the end of play.
    Partly { early_min: Option<i64>, late_min: Option<i64> },
}

/// Floodlights as the venue file has them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Lights {
    None,
    Never,
    Lit,
}

fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().collect::<String>() + letters.as_str()
    })
}

impl Entry<'_> {
    fn local(&self, at: DateTime<Utc>) -> DateTime<Tz> {
        at.with_timezone(&self.venue.place.zone)
    }

    fn clock(&self, at: DateTime<Utc>) -> String {
        self.local(at).format("%H:%M").to_string()
    }

    fn camera(&self, index: usize) -> &str {
        self.venue.cameras.get(index).map_or("", |camera| camera.name.as_str())
    }

    /// Whether what is planned is one of the starts that may be chosen.
    fn planned_may_be(&self) -> bool {
        self.fixture.may_start(self.planned.at, self.venue.place.zone)
    }

    /// "12:30 to 13:45 equally good"; empty where the best start stands alone.
    fn equal_words(&self) -> String {
        let runs = self.ranked.equally_good(self.fixture, self.venue.place.zone);
        if let [(from, until)] = runs.as_slice()
            && from == until
        {
            return String::new();
        }
        let run = |(from, until): &(DateTime<Utc>, DateTime<Utc>)| match from == until {
            true => self.clock(*from),
            false => format!("{} to {}", self.clock(*from), self.clock(*until)),
        };
        let runs: Vec<String> = runs.iter().map(run).collect();
        match runs.is_empty() {
            true => String::new(),
            false => format!("{} equally good", runs.join(", ")),
        }
    }

    /// How play lies to sunrise and sunset; `None` by day.
    fn night(&self, start: &Costed) -> Option<Night> {
        let place = &self.venue.place;
        let (rise, set) = match solar::day(place, self.local(start.at).date_naive()) {
            SunDay::RisesAndSets { rise, set, .. } => (Some(rise), Some(set)),
            SunDay::OnlyRises { rise, .. } => (Some(rise), None),
            SunDay::OnlySets { set, .. } => (None, Some(set)),
            SunDay::PolarDay { .. } => return None,
            SunDay::PolarNight { .. } => (None, None),
        };
        let long = |by: TimeDelta| Some(by.num_minutes()).filter(|minutes| *minutes > 0);
        let early_min = rise.and_then(|rise| long(rise.to_utc() - start.at));
        let late_min = set.and_then(|set| long(start.ends - set.to_utc()));
        match (rise, set) {
            (None, None) => Some(Night::AllDay),
            _ if early_min.is_none() && late_min.is_none() => None,
            _ => Some(Night::Partly { early_min, late_min }),
        }
    }

    /// How a start is lit: by its sun and shade, unless it needs floodlights that the venue file
    /// does not light.
    fn light_level(&self, start: &Costed) -> LightLevel {
        match self.floodlights() {
            Lights::None | Lights::Never if self.night(start).is_some() => LightLevel::Dark,
            _ => LightLevel::of_start(start),
        }
    }

    fn floodlights(&self) -> Lights {
        match self.venue.floodlights.map(|lights| lights.when) {
            None => Lights::None,
            Some(FloodlightUse::Never) => Lights::Never,
            Some(_) => Lights::Lit,
        }
    }

    /// "Play at 19:30 ends 2 h 5 min after sunset: floodlights are needed, and the venue file
    /// states none"; `None` by day.
    fn night_words(&self, start: &Costed) -> Option<String> {
        let dark = match self.night(start)? {
            Night::AllDay => "has no sun all day".to_owned(),
            Night::Partly { early_min, late_min } => {
                let early = early_min.map(|by| format!("starts {} before sunrise", duration(by)));
                let late = late_min.map(|by| format!("ends {} after sunset", duration(by)));
                early.into_iter().chain(late).collect::<Vec<_>>().join(" and ")
            }
        };
        let lights = match self.floodlights() {
            Lights::Lit => "the venue's floodlights are needed",
            Lights::Never => "floodlights are needed, and the venue file never lights them",
            Lights::None => "floodlights are needed, and the venue file states none",
        };
        Some(format!("Play at {} {dark}: {lights}", self.clock(start.at)))
    }

    /// The same of what is planned and of what is proposed.
    fn nights(&self) -> Vec<String> {
        let mut nights: Vec<String> = [self.planned, self.proposed]
            .map(|s| self.night_words(s))
            .into_iter()
            .flatten()
            .collect();
        nights.dedup();
        nights
    }

    fn main_camera(&self, profile: &Profile) -> &str {
        main_camera(self.venue, profile).unwrap_or_default()
    }

    /// "2.6 stops (2.1 to 3.0) at 16:40, 1 main wide".
    fn worst_words(&self, start: &Costed) -> String {
        start.worst.map_or_else(
            || "no split in shot".to_owned(),
            |worst| {
                let range = worst.range.map_or_else(String::new, |(low, high)| {
                    format!(
                        " ({} to {})",
                        crate::output::words::fixed(low, 1),
                        crate::output::words::fixed(high, 1)
                    )
                });
                format!(
                    "{:.1} stops{range} at {}, {}",
                    worst.stops,
                    self.clock(worst.at),
                    self.camera(worst.camera)
                )
            },
        )
    }
}

/// What lies between the 10th and the 90th percentile, and of what; `None` where a single day
/// or member has no range.
fn range_of(odds: &UnderOdds, amount: &Likely) -> Option<String> {
    let of = match odds.from {
        OddsFrom::Weather => "on 8 days of 10",
        OddsFrom::Forecast => "for 8 members of 10",
    };
    let number = |value| crate::output::words::fixed(value, 1);
    (odds.over != 1).then(|| format!("{} to {} {of}", number(amount.p10), number(amount.p90)))
}
