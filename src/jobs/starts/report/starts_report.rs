//! All of a season for the texts, tables and pages about it.
//!
//! In: fixtures with their starts in order of cost, venues, odds of sun. Out: each fixture with
//! what belongs to it, shifts over the same fixtures, and words for the sky that costs hold for.

use chrono_tz::Tz;

use super::entry::Entry;
use super::season::UnderRules;
use crate::jobs::odds::report::source_words;
use crate::jobs::starts::{Compared, Costed, Fixture, OddsFrom, Profile, Ranked, compared};
use crate::light::AirByDate;
use crate::venue::Venue;
use crate::weather::Odds;

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

impl<'a> StartsReport<'a> {
    pub(super) fn entries(&self) -> impl Iterator<Item = Entry<'a>> {
        self.ranked.iter().filter_map(|ranked| self.entry(ranked))
    }

    pub(super) fn entry(&self, ranked: &'a Ranked) -> Option<Entry<'a>> {
        let fixture = self.fixtures.get(ranked.fixture)?;
        let venue = self.venues.get(fixture.venue)?;
        let zone = venue.place.zone;
        let (planned, best) = (ranked.planned(fixture, zone)?, ranked.best(fixture, zone)?);
        let placed = self.under_rules.as_ref().and_then(|rules| rules.placed(ranked.fixture));
        let placed = placed.and_then(|p| ranked.starts.iter().find(|start| start.at == p.at));
        let proposed = placed.unwrap_or(best);
        Some(Entry { ranked, fixture, venue, planned, best, proposed })
    }

    pub(super) fn zones(&self) -> Vec<Tz> {
        self.venues.iter().map(|venue| venue.place.zone).collect()
    }

    /// Shifts for people, over the same fixtures each.
    pub(super) fn compared(&self) -> Compared {
        compared(self.ranked, self.fixtures, &self.zones(), self.every_min, MAX_SHIFTS)
    }

    /// What the shifts are compared over, and who is not in it.
    pub(super) fn compared_words(&self, compared: &Compared) -> String {
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
    pub(super) fn weather_words(&self) -> Vec<String> {
        let sources = self.venues.iter().zip(self.odds);
        let words = sources.filter_map(|(venue, odds)| {
            let words = source_words((*odds)?, &venue.place);
            Some(format!("{}: {words}", venue.title))
        });
        words.collect()
    }

    /// From the weather's place to the venue; `None` without odds.
    pub(super) fn km(&self, entry: &Entry<'_>) -> Option<f64> {
        let odds = self.odds.get(entry.fixture.venue).copied().flatten()?;
        Some(odds.km_from(&entry.venue.place))
    }

    /// Which costs are equal.
    pub(super) fn equal_words(&self) -> String {
        format!(
            "Starts whose costs differ by no more than {} are equally good; of these the one \
             nearest to the planned start is named as the best",
            crate::output::words::fixed(self.profile.equal_within(), 2)
        )
    }

    /// Of how many the range of a cost holds; empty without odds.
    pub(super) fn range_words(&self) -> &'static str {
        match (self.under_forecast(), self.odds.iter().any(Option::is_some)) {
            (0, false) => "",
            (0, true) => "8 days of 10",
            _ if self.of_one_member() => "",
            _ => "8 of 10",
        }
    }

    /// What the results hold for.
    pub(super) fn sky_words(&self) -> String {
        format!("{}. {}", self.odds_words(), self.air_words())
    }

    /// The air of each venue, the first few; without its full stop.
    pub(super) fn air_words(&self) -> String {
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
    pub(super) fn under_forecast(&self) -> usize {
        let forecast = |costed: &Costed| costed.odds.is_some_and(|o| o.from == OddsFrom::Forecast);
        self.ranked.iter().filter(|ranked| ranked.starts.iter().any(forecast)).count()
    }

    /// Whether no forecast has members to compare.
    pub(super) fn of_one_member(&self) -> bool {
        let all = self.ranked.iter().flat_map(|ranked| &ranked.starts);
        all.filter_map(|start| start.odds).all(|odds| odds.over == 1)
    }

    pub(super) fn odds_words(&self) -> String {
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

    pub(super) fn weather_odds_words(&self) -> String {
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

fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().collect::<String>() + letters.as_str()
    })
}
