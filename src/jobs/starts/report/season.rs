//! The season under rules, in words: where fixtures lie and why, what conflicts.
//!
//! In: a [`Schedule`] with its [`Placement`], or a [`NoSeason`]. Out: sentences.

use crate::jobs::starts::season::{
    Breach, Conflict, ConflictMember, NoSeason, PlacedFixture, Placement, Price, Reason, Schedule,
};
use crate::jobs::starts::{Fixture, Freedom};
use crate::output::words::fixed;

/// Fixtures that a sentence names.
const MAX_NAMED: usize = 3;
/// What the planned season breaks, on the page.
const MAX_BREACHES: usize = 12;

/// A season with its rules.
#[derive(Clone, Copy)]
pub struct UnderRules<'a> {
    pub schedule: &'a Schedule<'a>,
    pub placement: &'a Placement,
}

impl UnderRules<'_> {
    pub(super) fn placed(&self, fixture: usize) -> Option<&PlacedFixture> {
        self.placement.starts.get(fixture)
    }

    /// What stands behind the season: whether it is the best there is.
    pub(super) fn proof(&self) -> String {
        let file = std::path::Path::new(&self.schedule.rules.file);
        let file = file.file_name().unwrap_or_default().to_string_lossy();
        let gap = (self.placement.cost - self.placement.at_least).max(0.0);
        match self.placement.is_best {
            true => format!(
                "Proposed starts keep all rules of {file}; no other season that keeps them is \
                 better by these weights"
            ),
            false => format!(
                "Proposed starts keep all rules of {file}; whether a better season keeps them is \
                 open: the search was stopped at its stated limit, and none can be better by more \
                 than {} (of {} above the best that each fixture could have by itself)",
                fixed(gap, 1),
                fixed(self.placement.cost, 1)
            ),
        }
    }

    /// Every rule and wish in a sentence with its line.
    pub(super) fn rules(&self) -> Vec<String> {
        let rules = self.schedule.rules;
        let must = rules.list.iter().map(|rule| format!("{} (line {})", rule.words(), rule.line));
        let wishes = rules.preferences.iter();
        let wishes = wishes.map(|wish| format!("{} (line {})", wish.words(), wish.line));
        let stay = rules.stay_planned.map(|strength| {
            format!("fixtures stay at their planned starts where they can ({})", strength.word())
        });
        must.chain(wishes).chain(stay).collect()
    }

    /// What the planned season breaks; empty where it breaks nothing.
    pub(super) fn planned_breaches(&self) -> Vec<String> {
        let all = &self.placement.planned_breaches;
        let rules = &self.schedule.rules.list;
        let planned = |i: usize| {
            let fixture = self.schedule.fixtures.get(i)?;
            let (name, at) = (name(self.schedule, fixture), fixture.planned.format("%H:%M"));
            Some(format!("{name} at {at}"))
        };
        let one = |breach: &Breach| {
            let rule = rules.get(breach.rule)?;
            let first = planned(breach.fixture)?;
            let who = match breach.other {
                Some(other) => format!("{first} and {}", planned(other)?),
                None => first,
            };
            Some(format!("{who}: {} (line {})", rule.words(), rule.line))
        };
        let mut words: Vec<String> = all.iter().take(MAX_BREACHES).filter_map(one).collect();
        let more = all.len().saturating_sub(MAX_BREACHES);
        if more > 0 {
            words.push(format!("and {more} more"));
        }
        words
    }

    /// Why a fixture lies where it lies.
    pub(super) fn why(&self, fixture: usize) -> Option<String> {
        let placed = self.placed(fixture)?;
        let clock = |at: chrono::DateTime<chrono::Utc>| self.clock(fixture, at);
        let words = match &placed.reason {
            Reason::Fixed => "it cannot be moved".to_owned(),
            Reason::OwnBest => "of its own starts none is better, and no rule is against it".into(),
            Reason::Wished(wishes) => {
                let all = wishes.iter().filter_map(|i| self.schedule.rules.preferences.get(*i));
                let words: Vec<String> = all.map(|wish| wish.words()).collect();
                match words.as_slice() {
                    [] => "what is wished for outweighs the light".to_owned(),
                    words => words.join("; "),
                }
            }
            Reason::Kept { own, breaks, price } => {
                let own = clock(*own);
                let mut rules: Vec<usize> = breaks.iter().map(|breach| breach.rule).collect();
                rules.dedup();
                let one = |rule: &usize| self.breach_of(*rule, breaks, Some(fixture));
                let broken: Vec<String> = rules.iter().filter_map(one).collect();
                let broken = match broken.is_empty() {
                    true => String::new(),
                    false => format!(" breaks: {}", broken.join("; ")),
                };
                let price = match price {
                    Price::More(more) if more.round() < 1.0 => {
                        ". To hold it there, others would have to move, at hardly any loss".into()
                    }
                    Price::More(more) => format!(
                        ". To hold it there, others would have to move, as bad as {} more min of \
                         hard light",
                        fixed(*more, 0)
                    ),
                    Price::Impossible => ". No season that keeps the rules has it there".into(),
                    Price::Unknown => String::new(),
                };
                format!("{own} would suit it best by itself, but{broken}{price}")
            }
        };
        let unmet: Vec<String> = match &placed.reason {
            Reason::Wished(_) => Vec::new(),
            _ => placed
                .unmet
                .iter()
                .filter_map(|i| self.schedule.rules.preferences.get(*i))
                .map(|p| p.words())
                .collect(),
        };
        let unmet = match unmet.is_empty() {
            true => String::new(),
            false => format!(". Not met: {}", unmet.join("; ")),
        };
        Some(format!("Why: {words}{unmet}."))
    }

    fn breach_of(&self, rule: usize, all: &[Breach], but: Option<usize>) -> Option<String> {
        let words = self.schedule.rules.list.get(rule)?;
        let here = all.iter().filter(|breach| breach.rule == rule);
        let mut named: Vec<usize> =
            here.flat_map(|breach| std::iter::once(breach.fixture).chain(breach.other)).collect();
        named.sort_unstable();
        named.dedup();
        named.retain(|i| Some(*i) != but);
        let more = named.len().saturating_sub(MAX_NAMED);
        let names: Vec<String> = named.iter().take(MAX_NAMED).map(|i| self.name(*i)).collect();
        let with = match (names.is_empty(), more) {
            (true, _) => String::new(),
            (false, 0) => format!(", with {}", names.join(", ")),
            (false, more) => format!(", with {} and {more} more", names.join(", ")),
        };
        Some(format!("{} (line {}){with}", words.words(), words.line))
    }

    fn name(&self, fixture: usize) -> String {
        let found = self.schedule.fixtures.get(fixture);
        let at = self.placed(fixture).map(|placed| self.clock(fixture, placed.at));
        let name = found.map(|found| name(self.schedule, found)).unwrap_or_default();
        format!("{name} at {}", at.unwrap_or_default())
    }

    fn clock(&self, fixture: usize, at: chrono::DateTime<chrono::Utc>) -> String {
        let schedule = self.schedule;
        let venue = schedule.fixtures.get(fixture).and_then(|f| schedule.venues.get(f.venue));
        let zone = venue.map_or(chrono_tz::Tz::UTC, |venue| venue.place.zone);
        at.with_timezone(&zone).format("%H:%M").to_string()
    }
}

fn name(schedule: &Schedule<'_>, fixture: &Fixture) -> String {
    let venue = schedule.venues.get(fixture.venue).map_or("", |venue| venue.title.as_str());
    match fixture.name.as_str() {
        "" => format!("{venue}, {}", fixture.date),
        name => name.to_owned(),
    }
}

/// Why there is no season, for the terminal; `list` is the file of the fixtures.
pub fn no_season(schedule: &Schedule<'_>, why: &NoSeason, list: Option<&str>) -> String {
    match why {
        NoSeason::Conflict(conflict) => conflicting(schedule, conflict, list),
        NoSeason::TooHard { fixtures } => format!(
            "no season was found that keeps the rules of {}, nor was it shown that there is none: \
             {fixtures} fixtures hang together, and the search was stopped at its stated limit\n  \
             take a longer --every-min, narrower earliest and latest starts, or rules that tie \
             fewer fixtures together",
            schedule.rules.file
        ),
    }
}

fn conflicting(schedule: &Schedule<'_>, conflict: &Conflict, list: Option<&str>) -> String {
    let size = match conflict.is_smallest {
        true => "no smaller set conflicts",
        false => "without any one of them the others can be kept",
    };
    let mut lines = vec![format!(
        "the rules of {} cannot be kept. These {} conflict; {size}:",
        schedule.rules.file,
        conflict.members.len()
    )];
    for member in &conflict.members {
        lines.extend(match member {
            ConflictMember::Fixture(i) => fixture_line(schedule, *i, list),
            ConflictMember::Rule(i) => schedule
                .rules
                .list
                .get(*i)
                .map(|rule| format!("  {}: {}", schedule.rules.place(rule.line), rule.words())),
        });
    }
    lines
        .push("  change one of them; other conflicts, if there are any, come to light then".into());
    lines.join("\n")
}

fn fixture_line(schedule: &Schedule<'_>, index: usize, list: Option<&str>) -> Option<String> {
    let fixture = schedule.fixtures.get(index)?;
    let ties = schedule.ties.get(index);
    let place = match (list, ties) {
        (Some(list), Some(ties)) => format!("{list}, line {}: ", ties.line),
        _ => String::new(),
    };
    let starts = match fixture.start {
        Freedom::Fixed => format!("fixed at {}", fixture.earliest.format("%H:%M")),
        Freedom::Free => format!(
            "from {} to {}",
            fixture.earliest.format("%H:%M"),
            fixture.latest.format("%H:%M")
        ),
    };
    let venue = schedule.venues.get(fixture.venue).map_or("", |venue| venue.title.as_str());
    let name = name(schedule, fixture);
    Some(format!(
        "  {place}{name}, {} at {venue}, starts {starts}",
        fixture.date.format("%a %Y-%m-%d")
    ))
}
