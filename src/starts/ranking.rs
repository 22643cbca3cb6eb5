//! What costs say: best starts, best and worst days, what a shift buys.
//!
//! In: [`Ranked`] fixtures. Out: orders and means over them.

use std::collections::BTreeMap;

use chrono_tz::Tz;

use super::cost::Costed;
use super::fixture::Fixture;
use super::list::Freedom;

/// A fixture with the cost of each start.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranked {
    /// Index of the fixture.
    pub fixture: usize,
    /// In order of time, at least one.
    pub starts: Vec<Costed>,
}

impl Ranked {
    /// The start with the least cost: what is planned where nothing costs less, else the
    /// earliest of equals.
    pub fn best(&self, fixture: &Fixture, zone: Tz) -> Option<&Costed> {
        let least = |a: &&Costed, b: &&Costed| a.cost().total_cmp(&b.cost());
        let best = self.starts.iter().min_by(least)?;
        let planned = self.planned(fixture, zone).filter(|p| p.cost() <= best.cost());
        Some(planned.unwrap_or(best))
    }

    /// The start with the most cost, the earliest of equals.
    pub fn worst(&self) -> Option<&Costed> {
        let more = |most: &'_ Costed, next: &'_ Costed| next.cost() > most.cost();
        self.starts.iter().reduce(|most, next| if more(most, next) { next } else { most })
    }

    /// What is planned, else the first.
    pub fn planned(&self, fixture: &Fixture, zone: Tz) -> Option<&Costed> {
        let is = |start: &&Costed| start.at.with_timezone(&zone).time() == fixture.planned;
        self.starts.iter().find(is).or(self.starts.first())
    }

    /// Indices of starts, the least cost first.
    pub fn order(&self) -> Vec<usize> {
        let cost = |i: &usize| self.starts.get(*i).map_or(f64::INFINITY, Costed::cost);
        let mut order: Vec<usize> = (0..self.starts.len()).collect();
        // stable: the earlier of equals first
        order.sort_by(|a, b| cost(a).total_cmp(&cost(b)));
        order
    }
}

/// What it buys to move the start by so much, over all free fixtures that may.
#[derive(Debug, Clone, PartialEq)]
pub struct Shift {
    /// Minutes after what is planned; before it where negative.
    pub by_min: i64,
    /// Fixtures that may start then.
    pub fixtures: usize,
    /// Mean cost then.
    pub cost: f64,
    /// Mean of what is saved against the planned start; a loss where negative.
    pub saves: f64,
    /// Fixtures that gain, and that lose.
    pub better: usize,
    pub worse: usize,
}

/// Every shift that some free fixture may make, in order; 0 is the planned start.
pub fn shifts(ranked: &[Ranked], fixtures: &[Fixture], zones: &[Tz]) -> Vec<Shift> {
    // by shift: cost then and cost as planned
    let mut found: BTreeMap<i64, Vec<(f64, f64)>> = BTreeMap::new();
    for ranked in ranked {
        let fixture = fixtures.get(ranked.fixture).filter(|f| f.start == Freedom::Free);
        let planned = fixture.and_then(|f| ranked.planned(f, *zones.get(f.venue)?));
        let Some(planned) = planned else { continue };
        for start in &ranked.starts {
            let by_min = (start.at - planned.at).num_minutes();
            found.entry(by_min).or_default().push((start.cost(), planned.cost()));
        }
    }
    let mean = |costs: &[(f64, f64)], value: fn(&(f64, f64)) -> f64| {
        costs.iter().map(value).sum::<f64>() / costs.len().max(1) as f64
    };
    let shift = |(by_min, costs): (i64, Vec<(f64, f64)>)| Shift {
        by_min,
        fixtures: costs.len(),
        cost: mean(&costs, |c| c.0),
        saves: mean(&costs, |c| c.1 - c.0),
        better: costs.iter().filter(|c| c.0 < c.1).count(),
        worse: costs.iter().filter(|c| c.0 > c.1).count(),
    };
    found.into_iter().map(shift).collect()
}

/// A fixture among the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayCost {
    /// Index into the ranked fixtures.
    pub ranked: usize,
    /// At the best start and as planned.
    pub best: f64,
    pub planned: f64,
}

/// Fixtures from the day that costs least as planned to the one that costs most.
pub fn days(ranked: &[Ranked], fixtures: &[Fixture], zones: &[Tz]) -> Vec<DayCost> {
    let day = |(index, ranked): (usize, &Ranked)| {
        let fixture = fixtures.get(ranked.fixture)?;
        let zone = *zones.get(fixture.venue)?;
        let planned = ranked.planned(fixture, zone)?.cost();
        Some(DayCost { ranked: index, best: ranked.best(fixture, zone)?.cost(), planned })
    };
    let mut days: Vec<DayCost> = ranked.iter().enumerate().filter_map(day).collect();
    days.sort_by(|a, b| a.planned.total_cmp(&b.planned));
    days
}
