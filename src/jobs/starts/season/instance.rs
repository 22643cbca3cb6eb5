//! A season as starts to choose from and what forbids them together.
//!
//! In: fixtures with the starts they may have, and [`Rules`]. Out: an [`Instance`]: starts
//! that a rule bans, pairs that a rule forbids together, counts that a rule limits.
//! Whole minutes and instants only, so that whether a season keeps the rules is exact.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta, Utc};
use chrono_tz::Tz;

use crate::venue::Venue;
use crate::weather::km;

use super::super::fixture::Fixture;
use super::rules::{FixtureKey, InCommon, RestRule, RuleKind, Rules, Slot};

/// What a fixture shares with others, as the list of fixtures states it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Ties {
    /// Line of the list; 0 without a list.
    pub line: usize,
    pub teams: Vec<String>,
    pub crew: Option<String>,
    pub truck: Option<String>,
}

/// A start that a fixture may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StartChoice {
    pub at: DateTime<Utc>,
    pub ends: DateTime<Utc>,
    /// On the venue's clocks.
    pub clock: NaiveTime,
}

/// Starts of a fixture that a rule does not allow.
#[derive(Debug, Clone, PartialEq)]
pub struct Ban {
    pub fixture: usize,
    pub rule: usize,
    pub choices: Vec<usize>,
}

/// Two fixtures of which some starts do not go together.
#[derive(Debug, Clone, PartialEq)]
pub struct FixturePair {
    pub fixtures: [usize; 2],
    pub rule: usize,
    /// For each choice of the first the choices of the second that it forbids.
    pub clash: Vec<Vec<usize>>,
}

/// How many of some choices may be taken.
#[derive(Debug, Clone, PartialEq)]
pub struct ChoiceCount {
    pub rule: usize,
    /// Fixture and choice.
    pub of: Vec<(usize, usize)>,
    /// Fixtures that the least is asked of; one that is left out of the season counts as
    /// one that may be in it.
    pub day: Vec<usize>,
    pub min: usize,
    pub max: usize,
}

/// All of it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Instance {
    /// By fixture, at least one each.
    pub choices: Vec<Vec<StartChoice>>,
    pub bans: Vec<Ban>,
    pub pairs: Vec<FixturePair>,
    pub counts: Vec<ChoiceCount>,
}

/// What a rule was broken by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Breach {
    pub rule: usize,
    pub fixture: usize,
    /// The other fixture of a pair.
    pub other: Option<usize>,
}

impl Instance {
    /// Fixtures with their starts under rules.
    pub fn of(
        rules: &Rules,
        venues: &[Venue],
        fixtures: &[Fixture],
        ties: &[Ties],
        every_min: u32,
    ) -> Self {
        let season = Source { rules, venues, fixtures, ties };
        let choices = fixtures.iter().map(|f| season.choices(f, every_min)).collect();
        let mut built = Self { choices, ..Self::default() };
        for (rule, kind) in rules.list.iter().map(|rule| &rule.kind).enumerate() {
            match kind {
                RuleKind::Hours(hours) => {
                    let banned = |i: usize, choice: &StartChoice| {
                        let Some((fixture, zone)) = season.place(i) else { return false };
                        let asked = season.asked(i);
                        let ends = choice.ends.with_timezone(&zone).naive_local();
                        let last_end = hours.last_end.map(|time| fixture.date.and_time(time));
                        asked.is_some_and(|asked| hours.only.fits(&asked))
                            && (hours.first_start.is_some_and(|first| choice.clock < first)
                                || hours.last_start.is_some_and(|last| choice.clock > last)
                                || last_end.is_some_and(|last| ends > last))
                    };
                    built.ban(rule, banned);
                }
                RuleKind::OnlyInSlots => {
                    let slots: Vec<&Slot> = rules.slots().map(|(_, slot)| slot).collect();
                    built.ban(rule, |i, choice| {
                        let date = fixtures.get(i).map(|fixture| fixture.date);
                        !date.is_some_and(|date| slots.iter().any(|s| s.holds(date, choice.clock)))
                    });
                }
                RuleKind::Slot(slot) => built.slot(rule, slot, fixtures),
                RuleKind::Rest(rest) => built.rest(rule, *rest, &season),
            }
        }
        built
    }

    fn ban(&mut self, rule: usize, banned: impl Fn(usize, &StartChoice) -> bool) {
        for (fixture, choices) in self.choices.iter().enumerate() {
            let all = choices.iter().enumerate();
            let choices: Vec<usize> =
                all.filter(|(_, choice)| banned(fixture, choice)).map(|(i, _)| i).collect();
            if !choices.is_empty() {
                self.bans.push(Ban { fixture, rule, choices });
            }
        }
    }

    fn slot(&mut self, rule: usize, slot: &Slot, fixtures: &[Fixture]) {
        let dates: BTreeSet<NaiveDate> =
            fixtures.iter().map(|f| f.date).filter(|date| slot.only.on(*date)).collect();
        for date in dates {
            let mut inside: Vec<(usize, usize, StartChoice)> = Vec::new();
            let mut day = Vec::new();
            for (i, fixture) in fixtures.iter().enumerate().filter(|(_, f)| f.date == date) {
                day.push(i);
                let choices = self.choices.get(i).into_iter().flatten().enumerate();
                let held = choices.filter(|(_, c)| slot.holds(fixture.date, c.clock));
                inside.extend(held.map(|(choice, c)| (i, choice, *c)));
            }
            let of = || inside.iter().map(|(i, choice, _)| (*i, *choice)).collect::<Vec<_>>();
            if slot.min_fixtures.is_some() || slot.max_fixtures.is_some() {
                let (min, max) = (slot.min_fixtures.unwrap_or(0), slot.max_fixtures);
                let max = max.map_or(day.len(), |max| max as usize);
                let day = if min > 0 { day } else { Vec::new() };
                self.counts.push(ChoiceCount { rule, of: of(), day, min: min as usize, max });
            }
            if let Some(apart) = slot.apart_min {
                self.apart(rule, &inside, TimeDelta::minutes(i64::from(apart)));
            }
        }
    }

    /// Starts so far apart: of all within any such time there may be one.
    fn apart(&mut self, rule: usize, inside: &[(usize, usize, StartChoice)], apart: TimeDelta) {
        let times: BTreeSet<DateTime<Utc>> = inside.iter().map(|(_, _, c)| c.at).collect();
        for from in times {
            let near = inside.iter().filter(|(_, _, c)| c.at >= from && c.at < from + apart);
            let of: Vec<(usize, usize)> = near.map(|(i, choice, _)| (*i, *choice)).collect();
            let fixtures: BTreeSet<usize> = of.iter().map(|(i, _)| *i).collect();
            if fixtures.len() > 1 {
                self.counts.push(ChoiceCount { rule, of, day: Vec::new(), min: 0, max: 1 });
            }
        }
    }

    fn rest(&mut self, rule: usize, rest: RestRule, season: &Source<'_>) {
        for a in 0..self.choices.len() {
            for b in a + 1..self.choices.len() {
                if !season.share(rest.of, a, b) {
                    continue;
                }
                let gap = rest.minutes + if rest.of.travels() { season.way_min(a, b) } else { 0 };
                let gap = TimeDelta::minutes(gap);
                let (Some(first), Some(second)) = (self.choices.get(a), self.choices.get(b)) else {
                    continue;
                };
                let fits =
                    |s: &StartChoice, t: &StartChoice| s.ends + gap <= t.at || t.ends + gap <= s.at;
                let clash = |s: &StartChoice| {
                    let others = second.iter().enumerate();
                    others.filter(|(_, t)| !fits(s, t)).map(|(i, _)| i).collect::<Vec<_>>()
                };
                let clash: Vec<Vec<usize>> = first.iter().map(clash).collect();
                if clash.iter().any(|all| !all.is_empty()) {
                    self.pairs.push(FixturePair { fixtures: [a, b], rule, clash });
                }
            }
        }
    }

    /// What a season of one choice a fixture breaks; `None` is a fixture without a start.
    pub fn breaches(&self, taken: &[Option<usize>]) -> Vec<Breach> {
        let of = |fixture: usize| taken.get(fixture).copied().flatten();
        let bans = self
            .bans
            .iter()
            .filter(|ban| of(ban.fixture).is_some_and(|c| ban.choices.contains(&c)));
        let mut found: Vec<Breach> =
            bans.map(|ban| Breach { rule: ban.rule, fixture: ban.fixture, other: None }).collect();
        for pair in &self.pairs {
            let [a, b] = pair.fixtures;
            let (Some(s), Some(t)) = (of(a), of(b)) else { continue };
            if pair.clash.get(s).is_some_and(|all| all.contains(&t)) {
                found.push(Breach { rule: pair.rule, fixture: a, other: Some(b) });
            }
        }
        for count in &self.counts {
            let inside: Vec<usize> =
                count.of.iter().filter(|(i, c)| of(*i) == Some(*c)).map(|(i, _)| *i).collect();
            let missing = inside.len() < count.min;
            if inside.len() > count.max || missing {
                // of too many all are named, of too few those that are asked
                let named: BTreeSet<usize> = match missing {
                    true => count.day.iter().copied().collect(),
                    false => inside.into_iter().collect(),
                };
                found.extend(named.into_iter().map(|fixture| Breach {
                    rule: count.rule,
                    fixture,
                    other: None,
                }));
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }

    /// Fixtures that rules tie together, each part in order.
    pub fn parts(&self) -> Vec<Vec<usize>> {
        let mut root: Vec<usize> = (0..self.choices.len()).collect();
        fn top(root: &[usize], mut i: usize) -> usize {
            while let Some(next) = root.get(i).filter(|next| **next != i) {
                i = *next;
            }
            i
        }
        let mut join = |a: usize, b: usize| {
            let (a, b) = (top(&root, a), top(&root, b));
            if let Some(entry) = root.get_mut(a.max(b)) {
                *entry = a.min(b);
            }
        };
        self.pairs.iter().for_each(|pair| join(pair.fixtures[0], pair.fixtures[1]));
        for count in &self.counts {
            let of = count.of.iter().map(|(i, _)| *i).chain(count.day.iter().copied());
            let of: Vec<usize> = of.collect();
            of.windows(2).for_each(|two| {
                if let [a, b] = two {
                    join(*a, *b);
                }
            });
        }
        let mut parts: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for i in 0..root.len() {
            parts.entry(top(&root, i)).or_default().push(i);
        }
        parts.into_values().collect()
    }
}

/// What rules are asked about.
struct Source<'a> {
    rules: &'a Rules,
    venues: &'a [Venue],
    fixtures: &'a [Fixture],
    ties: &'a [Ties],
}

impl Source<'_> {
    fn choices(&self, fixture: &Fixture, every_min: u32) -> Vec<StartChoice> {
        let Some(venue) = self.venues.get(fixture.venue) else { return Vec::new() };
        let zone = venue.place.zone;
        let starts = fixture.starts(zone, every_min).into_iter();
        let may = starts.filter(|at| fixture.may_start(*at, zone));
        let choice = |at: DateTime<Utc>| StartChoice {
            at,
            ends: fixture.course(venue, at).ends,
            clock: at.with_timezone(&zone).time(),
        };
        may.map(choice).collect()
    }

    fn place(&self, index: usize) -> Option<(&Fixture, Tz)> {
        let fixture = self.fixtures.get(index)?;
        Some((fixture, self.venues.get(fixture.venue)?.place.zone))
    }

    fn asked(&self, index: usize) -> Option<FixtureKey<'_>> {
        asked(self.fixtures, self.venues, self.ties, index)
    }

    fn share(&self, of: InCommon, a: usize, b: usize) -> bool {
        let (Some(x), Some(y)) = (self.ties.get(a), self.ties.get(b)) else { return false };
        let same = |x: &Option<String>, y: &Option<String>| x.is_some() && x == y;
        match of {
            InCommon::Venue => {
                let venue = |i: usize| self.fixtures.get(i).map(|fixture| fixture.venue);
                venue(a) == venue(b)
            }
            InCommon::Team => x.teams.iter().any(|team| y.teams.contains(team)),
            InCommon::Crew => same(&x.crew, &y.crew),
            InCommon::Truck => same(&x.truck, &y.truck),
        }
    }

    /// From one ground to the other, as stated or by the straight line; rounded up.
    fn way_min(&self, a: usize, b: usize) -> i64 {
        let venue = |i: usize| self.venues.get(self.fixtures.get(i)?.venue);
        let (Some(from), Some(to)) = (venue(a), venue(b)) else { return 0 };
        if std::ptr::eq(from, to) {
            return 0;
        }
        let named = |ends: &[String; 2]| {
            let [x, y] = [&ends[0], &ends[1]];
            (*x == from.title && *y == to.title) || (*y == from.title && *x == to.title)
        };
        if let Some((_, minutes)) = self.rules.ways.iter().find(|(ends, _)| named(ends)) {
            return *minutes;
        }
        let at = |venue: &Venue| (venue.place.latitude_deg, venue.place.longitude_deg);
        let minutes = |speed: f64| (60.0 * km(at(from), at(to)) / speed).ceil() as i64;
        self.rules.straight_km_per_h.map_or(0, minutes)
    }
}

/// A fixture as wishes and rules ask it.
pub(super) fn asked<'a>(
    fixtures: &'a [Fixture],
    venues: &'a [Venue],
    ties: &'a [Ties],
    index: usize,
) -> Option<FixtureKey<'a>> {
    let fixture = fixtures.get(index)?;
    Some(FixtureKey {
        name: &fixture.name,
        venue: &venues.get(fixture.venue)?.title,
        teams: ties.get(index).map_or(&[], |ties| &ties.teams),
        date: fixture.date,
    })
}
