//! From the tables of a file of rules to rules.
//!
//! In: [`RulesFile`], the names that it may use. Out: [`Rules`], minutes; or every problem with
//! the key where it stands.

use chrono::{NaiveDate, NaiveTime, Weekday};

use crate::jobs::starts::season::rules::{
    Hours, InCommon, Only, Preference, RestRule, Rule, RuleKind, Rules, Slot, WishStrength,
};
use crate::venue::Problems;
use crate::venue::{DAY, TomlText, day_of};

use super::KnownNames;
use super::tables::{
    DayFile, HoursFile, PreferFile, RestFile, RulesFile, SharedFile, SlotFile, StrengthFile,
};

/// Tables of a kind.
const MAX_TABLES: usize = 500;

pub(super) struct Reader<'a> {
    pub known: &'a KnownNames<'a>,
    pub sheet: &'a TomlText,
    pub problems: Problems,
}

impl Reader<'_> {
    pub fn rules(&mut self, file: &RulesFile, name: &str) -> Rules {
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
