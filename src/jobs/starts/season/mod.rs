//! The season as a whole: starts that keep the rules of slots, rests and ways, at the least
//! cost, and why each fixture lies where it lies.
//!
//! In: fixtures with what they share ([`Ties`]), [`Rules`], what each start costs
//! ([`Ranked`]). Out: a [`Placement`], or a [`Conflict`] that says what cannot hold together.
//!
//! What counts, in the unit of costs: a start that is equally good as its fixture's best
//! counts nothing, any other what it costs more; on top what the wishes weigh that it does
//! not meet; and so little for each hour away from what is planned that it decides between
//! equals only. Without rules every fixture so lies at its [`Ranked::best`].

mod conflict;
mod file;
mod instance;
mod rules;
mod solve;

use chrono::{DateTime, Utc};

pub use conflict::{Conflict, ConflictMember};
pub use file::{KnownNames, RulesFile, parse_rules, read_rules, rules_schema};
pub use instance::{Ban, Breach, ChoiceCount, FixturePair, Instance, StartChoice, Ties};
pub use rules::{
    Hours, InCommon, Only, Preference, RestRule, Rule, RuleKind, Rules, Slot, WishStrength,
};
pub use solve::MAX_NODES;

use crate::venue::Venue;

use super::fixture::Fixture;
use super::list::Freedom;
use super::ranking::Ranked;
use instance::asked;
use solve::{All, PartOutcome, solve};

/// Of what is no worse than equally good, for each hour away from the planned start.
const AWAY_SHARE: f64 = 0.01;
/// Of a cost among equally good starts: decides between two as near.
const EQUALS_SHARE: f64 = 1e-5;

/// A season and its rules.
pub struct Schedule<'a> {
    pub rules: &'a Rules,
    pub venues: &'a [Venue],
    pub fixtures: &'a [Fixture],
    pub ties: &'a [Ties],
    pub instance: Instance,
}

/// Where all fixtures lie.
#[derive(Debug, Clone, PartialEq)]
pub struct Placement {
    /// By fixture.
    pub starts: Vec<PlacedFixture>,
    /// Of the whole season, above what would be best for each fixture by itself.
    pub cost: f64,
    /// No season that keeps the rules costs less.
    pub at_least: f64,
    /// Whether nothing cheaper exists.
    pub is_best: bool,
    /// What the planned season breaks.
    pub planned_breaches: Vec<Breach>,
}

/// Where a fixture lies.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedFixture {
    pub at: DateTime<Utc>,
    pub reason: Reason,
    /// Wishes that are not met: indices into the preferences.
    pub unmet: Vec<usize>,
}

/// Why a fixture lies where it lies.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// It cannot be moved.
    Fixed,
    /// Of its own starts it is the best.
    OwnBest,
    /// By light another would be; wishes made it this one: indices into the preferences.
    Wished(Vec<usize>),
    /// Its own best start would break rules.
    Kept { own: DateTime<Utc>, breaks: Vec<Breach>, price: Price },
}

/// What the season would cost more with a fixture at its own best start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Price {
    More(f64),
    Impossible,
    Unknown,
}

/// Why there is no placement.
#[derive(Debug, Clone, PartialEq)]
pub enum NoSeason {
    Conflict(Conflict),
    /// The bounded work was spent on so many fixtures that rules tie together.
    TooHard {
        fixtures: usize,
    },
}

impl<'a> Schedule<'a> {
    pub fn new(
        rules: &'a Rules,
        venues: &'a [Venue],
        fixtures: &'a [Fixture],
        ties: &'a [Ties],
        every_min: u32,
    ) -> Self {
        let instance = Instance::of(rules, venues, fixtures, ties, every_min);
        Self { rules, venues, fixtures, ties, instance }
    }

    /// Looks whether the rules can be kept at all, before anything is worked out.
    ///
    /// # Errors
    /// The first [`Conflict`].
    pub fn check(&self) -> Result<(), Conflict> {
        for part in self.instance.parts() {
            if solve(&self.instance, &part, &|_, _| 0.0, &All, MAX_NODES) == PartOutcome::Impossible
            {
                return Err(conflict::conflict(&self.instance, &part));
            }
        }
        Ok(())
    }

    /// Places all fixtures.
    ///
    /// # Errors
    /// [`NoSeason`].
    pub fn placed(&self, ranked: &[Ranked]) -> Result<Placement, NoSeason> {
        let costs = self.costs(ranked);
        let cost = |i: usize, choice: usize| at(&costs, i, choice);
        let mut taken = vec![None; self.fixtures.len()];
        let (mut total, mut at_least, mut is_best) = (0.0, 0.0, true);
        for part in self.instance.parts() {
            match solve_part(&self.instance, &part, &cost) {
                PartOutcome::Season { taken: found, at_least: least, proved } => {
                    at_least += least;
                    is_best &= proved;
                    for (i, choice) in found {
                        total += cost(i, choice);
                        if let Some(place) = taken.get_mut(i) {
                            *place = Some(choice);
                        }
                    }
                }
                PartOutcome::Impossible => {
                    return Err(NoSeason::Conflict(conflict::conflict(&self.instance, &part)));
                }
                PartOutcome::Open => return Err(NoSeason::TooHard { fixtures: part.len() }),
            }
        }
        let starts = (0..self.fixtures.len()).filter_map(|i| self.why(i, &taken, &costs));
        Ok(Placement {
            starts: starts.collect(),
            cost: total,
            at_least,
            is_best,
            planned_breaches: self.instance.breaches(&self.planned()),
        })
    }

    /// The planned season, of fixtures whose planned start is one that may be.
    fn planned(&self) -> Vec<Option<usize>> {
        let choice = |(i, fixture): (usize, &Fixture)| {
            self.choices(i).iter().position(|choice| choice.clock == fixture.planned)
        };
        self.fixtures.iter().enumerate().map(choice).collect()
    }

    fn choices(&self, fixture: usize) -> &[StartChoice] {
        self.instance.choices.get(fixture).map_or(&[], Vec::as_slice)
    }

    /// By fixture and choice, light and wishes.
    fn costs(&self, ranked: &[Ranked]) -> Vec<Vec<Cost>> {
        let mut costs: Vec<Vec<Cost>> = vec![Vec::new(); self.fixtures.len()];
        for ranked in ranked {
            let own = self.own_costs(ranked);
            if let Some(place) = costs.get_mut(ranked.fixture) {
                *place = own.unwrap_or_default();
            }
        }
        costs
    }

    fn own_costs(&self, ranked: &Ranked) -> Option<Vec<Cost>> {
        let fixture = self.fixtures.get(ranked.fixture)?;
        let zone = self.venues.get(fixture.venue)?.place.zone;
        let planned = ranked.planned(fixture, zone)?.at;
        let least =
            ranked.choices(fixture, zone).map(|start| start.cost()).fold(f64::INFINITY, f64::min);
        let cost = |choice: &StartChoice| {
            let start = ranked.starts.iter().find(|start| start.at == choice.at);
            let over = start.map_or(0.0, |start| start.cost() - least);
            let is_equal = over <= ranked.equal_within;
            let hours = (choice.at - planned).num_minutes().abs() as f64 / 60.0;
            let near = AWAY_SHARE * ranked.equal_within * hours;
            let light = if is_equal { EQUALS_SHARE * over } else { over } + near;
            let unmet = self.unmet(ranked.fixture, choice);
            let weight = |i: &usize| self.rules.preferences.get(*i).map(|p| p.strength.cost());
            let wishes: f64 = unmet.iter().filter_map(weight).sum();
            let moved = if choice.at == planned { None } else { self.rules.stay_planned };
            Cost { light, wished: light + wishes + moved.map_or(0.0, WishStrength::cost) }
        };
        Some(self.choices(ranked.fixture).iter().map(cost).collect())
    }

    /// Preferences that a start does not meet.
    fn unmet(&self, fixture: usize, choice: &StartChoice) -> Vec<usize> {
        let asked = asked(self.fixtures, self.venues, self.ties, fixture);
        let misses = |preference: &Preference| {
            asked.is_some_and(|asked| preference.only.fits(&asked))
                && !(preference.from..=preference.until).contains(&choice.clock)
        };
        let all = self.rules.preferences.iter().enumerate();
        all.filter(|(_, preference)| misses(preference)).map(|(i, _)| i).collect()
    }

    fn why(
        &self,
        fixture: usize,
        taken: &[Option<usize>],
        costs: &[Vec<Cost>],
    ) -> Option<PlacedFixture> {
        let place = taken.get(fixture).copied().flatten()?;
        let choice = self.choices(fixture).get(place)?;
        let own = least(costs.get(fixture)?, |cost| cost.wished)?;
        let by_light = least(costs.get(fixture)?, |cost| cost.light)?;
        let unmet = self.unmet(fixture, choice);
        let reason = if self.fixtures.get(fixture)?.start == Freedom::Fixed {
            Reason::Fixed
        } else if place == own && own == by_light {
            Reason::OwnBest
        } else if place == own {
            let light = self.choices(fixture).get(by_light)?;
            let missed = self.unmet(fixture, light);
            Reason::Wished(missed.into_iter().filter(|i| !unmet.contains(i)).collect())
        } else {
            let mut moved = taken.to_vec();
            *moved.get_mut(fixture)? = Some(own);
            let breaks = self.instance.breaches(&moved);
            let price = self.price(fixture, own, costs, taken)?;
            Reason::Kept { own: self.choices(fixture).get(own)?.at, breaks, price }
        };
        Some(PlacedFixture { at: choice.at, reason, unmet })
    }

    /// What the season costs more with a fixture held at a choice.
    fn price(
        &self,
        fixture: usize,
        choice: usize,
        costs: &[Vec<Cost>],
        taken: &[Option<usize>],
    ) -> Option<Price> {
        let parts = self.instance.parts();
        let part = parts.iter().find(|part| part.contains(&fixture))?;
        let mut held = self.instance.clone();
        let others = (0..self.choices(fixture).len()).filter(|i| *i != choice).collect();
        held.bans.push(Ban { fixture, rule: self.rules.list.len(), choices: others });
        let cost = |i: usize, choice: usize| at(costs, i, choice);
        let now = part.iter().filter_map(|i| Some(cost(*i, taken.get(*i).copied().flatten()?)));
        Some(match solve_part(&held, part, &cost) {
            PartOutcome::Season { taken, proved: true, .. } => {
                let then: f64 = taken.iter().map(|(i, choice)| cost(*i, *choice)).sum();
                Price::More((then - now.sum::<f64>()).max(0.0))
            }
            PartOutcome::Impossible => Price::Impossible,
            _ => Price::Unknown,
        })
    }
}

/// What a choice counts.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Cost {
    light: f64,
    /// With the wishes that it does not meet.
    wished: f64,
}

fn at(costs: &[Vec<Cost>], fixture: usize, choice: usize) -> f64 {
    costs.get(fixture).and_then(|all| all.get(choice)).map_or(0.0, |cost| cost.wished)
}

/// The first of the least.
fn least(costs: &[Cost], of: fn(&Cost) -> f64) -> Option<usize> {
    let all = costs.iter().enumerate();
    all.min_by(|a, b| of(a.1).total_cmp(&of(b.1))).map(|(i, _)| i)
}

/// A fixture that no rule touches takes its cheapest start; the others are solved.
fn solve_part(
    instance: &Instance,
    part: &[usize],
    cost: &dyn Fn(usize, usize) -> f64,
) -> PartOutcome {
    if let [only] = part
        && !instance.bans.iter().any(|ban| ban.fixture == *only)
        && !instance.counts.iter().any(|count| count.day.contains(only) || count.max == 0)
    {
        let choices = instance.choices.get(*only).map_or(0, Vec::len);
        let cheapest = (0..choices).min_by(|a, b| cost(*only, *a).total_cmp(&cost(*only, *b)));
        return cheapest.map_or(PartOutcome::Impossible, |choice| PartOutcome::Season {
            taken: vec![(*only, choice)],
            at_least: cost(*only, choice),
            proved: true,
        });
    }
    solve(instance, part, cost, &All, MAX_NODES)
}
