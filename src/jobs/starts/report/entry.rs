//! One fixture with its planned, its best and its proposed start, in words.
//!
//! In: the starts of a fixture at its venue. Out: clocks of the venue, how play lies to sunrise
//! and sunset, how a start is lit, the widest split in stops.

use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;

use crate::jobs::starts::{
    Costed, Fixture, Likely, OddsFrom, Profile, Ranked, UnderOdds, main_camera,
};
use crate::output::words::duration;
use crate::solar;
use crate::solar::SunDay;
use crate::venue::{FloodlightUse, Venue};

/// A ranked fixture with what belongs to it.
#[derive(Clone, Copy)]
pub(super) struct Entry<'a> {
    pub(super) ranked: &'a Ranked,
    pub(super) fixture: &'a Fixture,
    pub(super) venue: &'a Venue,
    pub(super) planned: &'a Costed,
    pub(super) best: &'a Costed,
    /// Its start in the season as a whole; without rules the best.
    pub(super) proposed: &'a Costed,
}

/// Play without the sun over the horizon.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Night {
    /// The sun stays down.
    AllDay,
    /// Minutes from the start of play to sunrise, from sunset to the end of play.
    Partly { early_min: Option<i64>, late_min: Option<i64> },
}

/// Floodlights as the venue file has them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lights {
    None,
    Never,
    Lit,
}

impl Entry<'_> {
    pub(super) fn local(&self, at: DateTime<Utc>) -> DateTime<Tz> {
        at.with_timezone(&self.venue.place.zone)
    }

    pub(super) fn clock(&self, at: DateTime<Utc>) -> String {
        self.local(at).format("%H:%M").to_string()
    }

    pub(super) fn camera(&self, index: usize) -> &str {
        self.venue.cameras.get(index).map_or("", |camera| camera.name.as_str())
    }

    /// Whether what is planned is one of the starts that may be chosen.
    pub(super) fn planned_may_be(&self) -> bool {
        self.fixture.may_start(self.planned.at, self.venue.place.zone)
    }

    /// "12:30 to 13:45 equally good"; empty where the best start stands alone.
    pub(super) fn equal_words(&self) -> String {
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
    pub(super) fn night(&self, start: &Costed) -> Option<Night> {
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

    pub(super) fn floodlights(&self) -> Lights {
        match self.venue.floodlights.map(|lights| lights.when) {
            None => Lights::None,
            Some(FloodlightUse::Never) => Lights::Never,
            Some(_) => Lights::Lit,
        }
    }

    /// "Play at 19:30 ends 2 h 5 min after sunset: floodlights are needed, and the venue file
    /// states none"; `None` by day.
    pub(super) fn night_words(&self, start: &Costed) -> Option<String> {
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
    pub(super) fn nights(&self) -> Vec<String> {
        let mut nights: Vec<String> = [self.planned, self.proposed]
            .map(|s| self.night_words(s))
            .into_iter()
            .flatten()
            .collect();
        nights.dedup();
        nights
    }

    pub(super) fn main_camera(&self, profile: &Profile) -> &str {
        main_camera(self.venue, profile).unwrap_or_default()
    }

    /// "2.6 stops (2.1 to 3.0) at 16:40, 1 main wide".
    pub(super) fn worst_words(&self, start: &Costed) -> String {
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
pub(super) fn range_of(odds: &UnderOdds, amount: &Likely) -> Option<String> {
    let of = match odds.from {
        OddsFrom::Weather => "on 8 days of 10",
        OddsFrom::Forecast => "for 8 members of 10",
    };
    let number = |value| crate::output::words::fixed(value, 1);
    (odds.over != 1).then(|| format!("{} to {} {of}", number(amount.p10), number(amount.p90)))
}
