//! The file of rules: what a season must keep to, and what is wished for.
//!
//! In: TOML, and the titles, fixtures and teams that it may name. Out: [`Rules`], or all
//! mistakes together, each with its line and key. Times are the venues' clocks.

use std::path::Path;

use chrono::{NaiveDate, NaiveTime, Weekday};
use schemars::JsonSchema;
use serde::Deserialize;

use crate::venue::Problems;
use crate::venue::{DAY, FileKind, TomlText, VenueError, day_of, schema_of, text_of};

use super::rules::{
    Hours, InCommon, Only, Preference, RestRule, Rule, RuleKind, Rules, Slot, WishStrength,
};

/// Tables of a kind.
const MAX_TABLES: usize = 500;

/// The file.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Quarterstop season rules")]
pub struct RulesFile {
    /// First and last starts and the last end, of all grounds or of some.
    #[serde(default)]
    pub hours: Vec<HoursFile>,
    /// Windows in which fixtures may start, such as those of a broadcaster.
    #[serde(default)]
    pub slot: Vec<SlotFile>,
    /// Whether every start must lie in a slot.
    #[serde(default)]
    pub only_in_slots: bool,
    /// How long a ground, a team, a crew or a truck rests between two fixtures.
    #[serde(default)]
    pub rest: Vec<RestFile>,
    /// How fast crews and trucks travel where no way is stated.
    pub travel: Option<TravelFile>,
    /// How long crews and trucks travel between two grounds.
    #[serde(default)]
    pub way: Vec<WayFile>,
    /// What is wished for, and how much.
    #[serde(default)]
    pub prefer: Vec<PreferFile>,
    /// How much it counts that a fixture stays at its planned start; left out: not at all.
    pub stay_planned: Option<StrengthFile>,
}

/// Hours of starts and ends.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HoursFile {
    /// Titles of venues; left out: all.
    #[serde(default)]
    pub venues: Vec<String>,
    /// Left out: all days.
    #[serde(default)]
    pub days: Vec<DayFile>,
    /// HH:MM.
    pub first_start: Option<String>,
    pub last_start: Option<String>,
    /// When play must be over.
    pub last_end: Option<String>,
}

/// A window of starts.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SlotFile {
    pub name: String,
    /// Left out: all days.
    #[serde(default)]
    pub days: Vec<DayFile>,
    /// YYYY-MM-DD; left out: all dates.
    #[serde(default)]
    pub dates: Vec<String>,
    /// First and last start in it, HH:MM.
    pub from: String,
    pub until: String,
    /// Fixtures that may start in it on one day; left out: any number.
    #[schemars(range(min = 0, max = 1000))]
    pub max_fixtures: Option<u32>,
    /// Fixtures that must start in it on each of its days on which there are fixtures.
    #[schemars(range(min = 1, max = 1000))]
    pub min_fixtures: Option<u32>,
    /// Minutes between starts in it on one day.
    #[schemars(range(min = 1, max = 1440))]
    pub apart_min: Option<u32>,
}

/// A rest.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RestFile {
    pub of: SharedFile,
    /// From the end of play to the next start; for crews and trucks the way comes on top.
    #[schemars(range(min = 0, max = 500))]
    pub hours: f64,
}

/// What two fixtures may have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum SharedFile {
    Venue,
    Team,
    Crew,
    Truck,
}

/// Travel where no way is stated.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TravelFile {
    /// Kilometres an hour along the straight line between two grounds: less than on the road.
    #[schemars(range(min = 1, max = 1000))]
    pub straight_km_per_h: f64,
}

/// A way.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WayFile {
    /// Titles of two venues.
    pub between: [String; 2],
    #[schemars(range(min = 0, max = 500))]
    pub hours: f64,
}

/// A wish.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PreferFile {
    /// Wished first and last start, HH:MM.
    pub from: String,
    pub until: String,
    pub weight: StrengthFile,
    /// Which fixtures: those that fit all that is given; nothing given: all.
    #[serde(default)]
    pub fixtures: Vec<String>,
    #[serde(default)]
    pub venues: Vec<String>,
    #[serde(default)]
    pub teams: Vec<String>,
    #[serde(default)]
    pub days: Vec<DayFile>,
    /// For whom or why, as it is shown.
    pub reason: Option<String>,
}

/// How much a wish counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum StrengthFile {
    /// As 5 minutes in which a camera must expose for sun or for shade.
    Slight,
    /// As 15.
    Normal,
    /// As 60.
    Strong,
}

/// A day of the week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum DayFile {
    Mon,
    Tue,
    Wed,
    Thu,
    Fri,
    Sat,
    Sun,
}

/// JSON Schema (draft 2020-12) of the file.
pub fn rules_schema() -> serde_json::Value {
    schema_of::<RulesFile>()
}

/// What a file may name.
#[derive(Debug, Clone, Copy)]
pub struct KnownNames<'a> {
    /// Titles of venues.
    pub venues: &'a [&'a str],
    pub fixtures: &'a [&'a str],
    pub teams: &'a [&'a str],
}

/// Reads a file of rules.
///
/// # Errors
/// [`VenueError`], which lists all problems.
pub fn read_rules(path: &Path, known: &KnownNames<'_>) -> Result<Rules, VenueError> {
    let (text, name) = text_of(FileKind::Rules, path)?;
    parse_rules(&text, &name, known)
}

/// Reads the text of such a file; `name` is what messages call it.
///
/// ```
/// use quarterstop::jobs::starts::season::{KnownNames, parse_rules};
/// let known = KnownNames { venues: &["Mill Lane"], fixtures: &[], teams: &[] };
/// let text = "[[hours]]\nvenues = [\"Mill Lane\"]\nlast_end = \"22:30\"\n";
/// assert_eq!(parse_rules(text, "rules.toml", &known).unwrap().list.len(), 1);
/// let text = "[[hours]]\nvenues = [\"Mil Lane\"]\nlast_end = \"25:30\"\n";
/// let error = parse_rules(text, "rules.toml", &known).unwrap_err().to_string();
/// assert!(error.starts_with("2 mistakes in the season rules"), "{error}");
/// ```
///
/// # Errors
/// As [`read_rules`].
pub fn parse_rules(text: &str, name: &str, known: &KnownNames<'_>) -> Result<Rules, VenueError> {
    let (file, sheet) = TomlText::read::<RulesFile>(FileKind::Rules, text, name)?;
    let mut reader = Reader { known, sheet: &sheet, problems: Problems::default() };
    let rules = reader.rules(&file, name);
    let problems = reader.problems.into_list();
    if problems.is_empty() { Ok(rules) } else { Err(sheet.error(problems)) }
}

struct Reader<'a> {
    known: &'a KnownNames<'a>,
    sheet: &'a TomlText,
    problems: Problems,
}

impl Reader<'_> {
    fn rules(&mut self, file: &RulesFile, name: &str) -> Rules {
        for (key, count) in [
            ("hours", file.hours.len()),
            ("slot", file.slot.len()),
            ("rest", file.rest.len()),
            ("way", file.way.len()),
            ("prefer", file.prefer.len()),
        ] {
            if count > MAX_TABLES {
                self.problems.add(key, format!("{count} of them"), format!("at most {MAX_TABLES}"));
            }
        }
        let mut list = Vec::new();
        for (i, hours) in file.hours.iter().enumerate() {
            let key = format!("hours[{i}]");
            list.extend(self.hours(&key, hours).map(|h| self.rule(&key, RuleKind::Hours(h))));
        }
        for (i, slot) in file.slot.iter().enumerate() {
            let key = format!("slot[{i}]");
            list.extend(self.slot(&key, slot).map(|s| self.rule(&key, RuleKind::Slot(s))));
        }
        if file.only_in_slots {
            if file.slot.is_empty() {
                self.problems.add("only_in_slots", "true without a slot", "at least one [[slot]]");
            }
            list.push(self.rule("only_in_slots", RuleKind::OnlyInSlots));
        }
        for (i, rest) in file.rest.iter().enumerate() {
            let rest =
                RestRule { of: shared(rest.of), minutes: (60.0 * rest.hours).round() as i64 };
            list.push(self.rule(&format!("rest[{i}]"), RuleKind::Rest(rest)));
        }
        let travels = |rest: &RestFile| matches!(rest.of, SharedFile::Crew | SharedFile::Truck);
        if (file.travel.is_some() || !file.way.is_empty()) && !file.rest.iter().any(travels) {
            self.problems.add_with_help(
                if file.travel.is_some() { "travel" } else { "way[0]" },
                "a way, but no rest that it is added to",
                "[[rest]] of a crew or a truck",
                "add [[rest]] with of = \"crew\" or \"truck\"; hours = 0 is enough",
            );
        }
        let ways = file.way.iter().enumerate().map(|(i, way)| {
            for (side, title) in way.between.iter().enumerate() {
                self.named(&format!("way[{i}].between[{side}]"), title, self.known.venues);
            }
            let [a, b] = &way.between;
            ([a.clone(), b.clone()], (60.0 * way.hours).round() as i64)
        });
        let ways = ways.collect();
        let preferences = file.prefer.iter().enumerate();
        let preferences =
            preferences.filter_map(|(i, p)| self.preference(&format!("prefer[{i}]"), p));
        Rules {
            file: name.to_owned(),
            list,
            straight_km_per_h: file.travel.as_ref().map(|travel| travel.straight_km_per_h),
            ways,
            preferences: preferences.collect(),
            stay_planned: file.stay_planned.map(strength),
        }
    }

    fn rule(&self, key: &str, kind: RuleKind) -> Rule {
        Rule { line: self.sheet.line_of(key), key: key.to_owned(), kind }
    }

    fn hours(&mut self, key: &str, hours: &HoursFile) -> Option<Hours> {
        self.all_named(&format!("{key}.venues"), &hours.venues, self.known.venues);
        if hours.first_start.is_none() && hours.last_start.is_none() && hours.last_end.is_none() {
            self.problems.add(key, "hours without a time", "first_start, last_start or last_end");
        }
        let mut time = |name: &str, text: &Option<String>| match text {
            None => Some(None),
            Some(text) => self.time(&format!("{key}.{name}"), text).map(Some),
        };
        let first_start = time("first_start", &hours.first_start);
        let last_start = time("last_start", &hours.last_start);
        let last_end = time("last_end", &hours.last_end);
        let hours = Hours {
            only: Only { venues: hours.venues.clone(), days: days(&hours.days), ..Only::default() },
            first_start: first_start?,
            last_start: last_start?,
            last_end: last_end?,
        };
        if let (Some(first), Some(last)) = (hours.first_start, hours.last_start)
            && last < first
        {
            let allowed = "not before first_start";
            self.problems.add(
                format!("{key}.last_start"),
                last.format("%H:%M").to_string(),
                allowed,
            );
        }
        Some(hours)
    }

    fn slot(&mut self, key: &str, slot: &SlotFile) -> Option<Slot> {
        let window = self.window(key, &slot.from, &slot.until);
        if let (Some(min), Some(max)) = (slot.min_fixtures, slot.max_fixtures)
            && min > max
        {
            let allowed = format!("at most max_fixtures, {max}");
            self.problems.add(format!("{key}.min_fixtures"), min.to_string(), allowed);
        }
        let dates: Vec<Option<NaiveDate>> = slot
            .dates
            .iter()
            .enumerate()
            .map(|(i, text)| {
                let date = day_of(text);
                if date.is_none() {
                    self.problems.add(format!("{key}.dates[{i}]"), format!("\"{text}\""), DAY);
                }
                date
            })
            .collect();
        let (from, until) = window?;
        Some(Slot {
            name: crate::base::read::clean(&slot.name),
            only: Only {
                days: days(&slot.days),
                dates: dates.into_iter().collect::<Option<_>>()?,
                ..Only::default()
            },
            from,
            until,
            max_fixtures: slot.max_fixtures,
            min_fixtures: slot.min_fixtures,
            apart_min: slot.apart_min,
        })
    }

    fn preference(&mut self, key: &str, prefer: &PreferFile) -> Option<Preference> {
        self.all_named(&format!("{key}.venues"), &prefer.venues, self.known.venues);
        self.all_named(&format!("{key}.fixtures"), &prefer.fixtures, self.known.fixtures);
        self.all_named(&format!("{key}.teams"), &prefer.teams, self.known.teams);
        let (from, until) = self.window(key, &prefer.from, &prefer.until)?;
        Some(Preference {
            line: self.sheet.line_of(key),
            from,
            until,
            strength: strength(prefer.weight),
            only: Only {
                venues: prefer.venues.clone(),
                fixtures: prefer.fixtures.clone(),
                teams: prefer.teams.clone(),
                days: days(&prefer.days),
                dates: Vec::new(),
            },
            reason: prefer.reason.as_deref().map(crate::base::read::clean),
        })
    }

    fn window(&mut self, key: &str, from: &str, until: &str) -> Option<(NaiveTime, NaiveTime)> {
        let first = self.time(&format!("{key}.from"), from);
        let last = self.time(&format!("{key}.until"), until);
        let (first, last) = (first?, last?);
        if last < first {
            let allowed = format!("not before from, {}", first.format("%H:%M"));
            self.problems.add(format!("{key}.until"), format!("\"{until}\""), allowed);
        }
        Some((first, last))
    }

    fn time(&mut self, key: &str, text: &str) -> Option<NaiveTime> {
        let time = NaiveTime::parse_from_str(text, "%H:%M").ok();
        if time.is_none() {
            self.problems.add(key, format!("\"{text}\""), "HH:MM, from 00:00 to 23:59");
        }
        time
    }

    fn all_named(&mut self, key: &str, names: &[String], known: &[&str]) {
        for (i, name) in names.iter().enumerate() {
            self.named(&format!("{key}[{i}]"), name, known);
        }
    }

    fn named(&mut self, key: &str, name: &str, known: &[&str]) {
        if known.contains(&name) {
            return;
        }
        let near = known.iter().map(|k| (strsim::normalized_damerau_levenshtein(name, k), *k));
        let near = near.max_by(|a, b| a.0.total_cmp(&b.0));
        let allowed = match near {
            Some((_, near)) => format!("a name of this season, such as \"{near}\""),
            None => "nothing: the list of fixtures states none".to_owned(),
        };
        self.problems.add(key, format!("\"{name}\""), allowed);
    }
}

fn shared(of: SharedFile) -> InCommon {
    match of {
        SharedFile::Venue => InCommon::Venue,
        SharedFile::Team => InCommon::Team,
        SharedFile::Crew => InCommon::Crew,
        SharedFile::Truck => InCommon::Truck,
    }
}

fn strength(of: StrengthFile) -> WishStrength {
    match of {
        StrengthFile::Slight => WishStrength::Slight,
        StrengthFile::Normal => WishStrength::Normal,
        StrengthFile::Strong => WishStrength::Strong,
    }
}

fn days(days: &[DayFile]) -> Vec<Weekday> {
    let day = |day: &DayFile| match day {
        DayFile::Mon => Weekday::Mon,
        DayFile::Tue => Weekday::Tue,
        DayFile::Wed => Weekday::Wed,
        DayFile::Thu => Weekday::Thu,
        DayFile::Fri => Weekday::Fri,
        DayFile::Sat => Weekday::Sat,
        DayFile::Sun => Weekday::Sun,
    };
    days.iter().map(day).collect()
}
