//! Rules of a season and what is wished for, in words for people.
//!
//! In: a file that was read. Out: [`Rules`]; which fixtures one is about; its sentence.

use chrono::{Datelike, NaiveDate, NaiveTime, Weekday};

use crate::output::words::duration;

/// All of it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Rules {
    /// The file's name.
    pub file: String,
    pub list: Vec<Rule>,
    /// Along the straight line, where no way is stated.
    pub straight_km_per_h: Option<f64>,
    /// Titles of two venues, minutes.
    pub ways: Vec<([String; 2], i64)>,
    pub preferences: Vec<Preference>,
    pub stay_planned: Option<WishStrength>,
}

/// One rule that must hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Of the file.
    pub line: usize,
    pub key: String,
    pub kind: RuleKind,
}

#[derive(Debug, Clone, PartialEq)]
pub enum RuleKind {
    Hours(Hours),
    Slot(Slot),
    OnlyInSlots,
    Rest(RestRule),
}

/// Which fixtures: those that fit all that is given; an empty list is no condition.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Only {
    pub venues: Vec<String>,
    pub fixtures: Vec<String>,
    pub teams: Vec<String>,
    pub days: Vec<Weekday>,
    pub dates: Vec<NaiveDate>,
}

/// Times of starts and ends, on the venue's clocks.
#[derive(Debug, Clone, PartialEq)]
pub struct Hours {
    pub only: Only,
    pub first_start: Option<NaiveTime>,
    pub last_start: Option<NaiveTime>,
    pub last_end: Option<NaiveTime>,
}

/// A window of starts.
#[derive(Debug, Clone, PartialEq)]
pub struct Slot {
    pub name: String,
    pub only: Only,
    pub from: NaiveTime,
    pub until: NaiveTime,
    /// On one day.
    pub max_fixtures: Option<u32>,
    pub min_fixtures: Option<u32>,
    /// Between starts on one day.
    pub apart_min: Option<u32>,
}

impl Slot {
    pub fn holds(&self, date: NaiveDate, time: NaiveTime) -> bool {
        self.only.on(date) && (self.from..=self.until).contains(&time)
    }
}

/// What two fixtures may have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InCommon {
    Venue,
    Team,
    Crew,
    Truck,
}

impl InCommon {
    pub fn word(self) -> &'static str {
        match self {
            Self::Venue => "ground",
            Self::Team => "team",
            Self::Crew => "crew",
            Self::Truck => "truck",
        }
    }

    /// Whether the way from one ground to the next takes time on top.
    pub fn travels(self) -> bool {
        matches!(self, Self::Crew | Self::Truck)
    }
}

/// A rest from the end of play to the next start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RestRule {
    pub of: InCommon,
    pub minutes: i64,
}

/// How much a wish counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WishStrength {
    Slight,
    Normal,
    Strong,
}

impl WishStrength {
    /// In the unit of costs: minutes in which a camera must expose for sun or for shade
    /// (our own steps, no source).
    pub fn cost(self) -> f64 {
        match self {
            Self::Slight => 5.0,
            Self::Normal => 15.0,
            Self::Strong => 60.0,
        }
    }

    pub fn word(self) -> &'static str {
        match self {
            Self::Slight => "slight",
            Self::Normal => "normal",
            Self::Strong => "strong",
        }
    }
}

/// A wished window of starts.
#[derive(Debug, Clone, PartialEq)]
pub struct Preference {
    pub line: usize,
    pub from: NaiveTime,
    pub until: NaiveTime,
    pub strength: WishStrength,
    pub only: Only,
    pub reason: Option<String>,
}

/// What a fixture is asked by.
#[derive(Debug, Clone, Copy)]
pub struct FixtureKey<'a> {
    pub name: &'a str,
    pub venue: &'a str,
    pub teams: &'a [String],
    pub date: NaiveDate,
}

impl Only {
    /// Whether a day fits.
    pub fn on(&self, date: NaiveDate) -> bool {
        (self.days.is_empty() || self.days.contains(&date.weekday()))
            && (self.dates.is_empty() || self.dates.contains(&date))
    }

    /// Whether a fixture fits.
    pub fn fits(&self, asked: &FixtureKey<'_>) -> bool {
        let any = |list: &[String], name: &str| list.is_empty() || list.iter().any(|n| n == name);
        let team =
            |list: &[String]| list.is_empty() || asked.teams.iter().any(|t| list.contains(t));
        self.on(asked.date)
            && any(&self.venues, asked.venue)
            && any(&self.fixtures, asked.name)
            && team(&self.teams)
    }

    /// "on Sat, Sun at Mill Lane"; empty for all.
    fn words(&self) -> String {
        let mut parts = Vec::new();
        let list = |names: &[String]| names.join(", ");
        if !self.fixtures.is_empty() {
            parts.push(format!("of {}", list(&self.fixtures)));
        }
        if !self.teams.is_empty() {
            parts.push(format!("of {}", list(&self.teams)));
        }
        if !self.days.is_empty() {
            let days: Vec<String> = self.days.iter().map(|day| format!("{day}")).collect();
            parts.push(format!("on {}", days.join(", ")));
        }
        if !self.dates.is_empty() {
            let dates: Vec<String> = self.dates.iter().map(|day| format!("{day}")).collect();
            parts.push(format!("on {}", dates.join(", ")));
        }
        if !self.venues.is_empty() {
            parts.push(format!("at {}", list(&self.venues)));
        }
        if parts.is_empty() { String::new() } else { format!(" {}", parts.join(" ")) }
    }
}

impl Rule {
    /// "no start before 12:00 on Sat".
    pub fn words(&self) -> String {
        match &self.kind {
            RuleKind::Hours(hours) => {
                let time = |words: &str, time: Option<NaiveTime>| {
                    time.map(|time| format!("{words} {}", time.format("%H:%M")))
                };
                let parts = [
                    time("no start before", hours.first_start),
                    time("no start after", hours.last_start),
                    time("play over by", hours.last_end),
                ];
                let parts: Vec<String> = parts.into_iter().flatten().collect();
                format!("{}{}", parts.join(", "), hours.only.words())
            }
            RuleKind::Slot(slot) => slot.words(),
            RuleKind::OnlyInSlots => "every start lies in a slot".to_owned(),
            RuleKind::Rest(rest) => {
                let way = if rest.of.travels() { " and the way" } else { "" };
                format!(
                    "a {} has {}{way} between the end of a fixture and its next start",
                    rest.of.word(),
                    duration(rest.minutes)
                )
            }
        }
    }
}

impl Slot {
    fn words(&self) -> String {
        let span = format!("{}-{}", self.from.format("%H:%M"), self.until.format("%H:%M"));
        let mut asks = Vec::new();
        asks.extend(self.max_fixtures.map(|n| format!("at most {n}")));
        asks.extend(self.min_fixtures.map(|n| format!("at least {n}")));
        let mut words = match asks.is_empty() {
            true => String::new(),
            false => format!(": {} a day", asks.join(" and ")),
        };
        if let Some(apart) = self.apart_min {
            words += &format!(", starts {apart} min apart");
        }
        format!("slot \"{}\", {span}{}{words}", self.name, self.only.words())
    }
}

impl Preference {
    /// "starts from 17:00 to 19:00 on Sat are preferred (strong): families".
    pub fn words(&self) -> String {
        let reason = self.reason.as_deref().map_or_else(String::new, |why| format!(": {why}"));
        format!(
            "starts from {} to {}{} are preferred ({}){reason}",
            self.from.format("%H:%M"),
            self.until.format("%H:%M"),
            self.only.words(),
            self.strength.word()
        )
    }
}

impl Rules {
    /// Slots with their places in the list.
    pub fn slots(&self) -> impl Iterator<Item = (usize, &Slot)> {
        self.list.iter().enumerate().filter_map(|(i, rule)| match &rule.kind {
            RuleKind::Slot(slot) => Some((i, slot)),
            _ => None,
        })
    }

    /// "rules.toml, line 7".
    pub fn place(&self, line: usize) -> String {
        format!("{}, line {line}", self.file)
    }
}
