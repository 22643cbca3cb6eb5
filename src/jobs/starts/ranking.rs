//! What costs say: best starts, best and worst days, what a shift buys.
//!
//! In: [`Ranked`] fixtures. Out: orders and means over them.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use super::cost::Costed;
use super::fixture::Fixture;
use super::list::Freedom;

/// A fixture with the cost of each start.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranked {
    /// Index of the fixture.
    pub fixture: usize,
    /// In order of time, at least one: those that may be chosen, and what is planned.
    pub starts: Vec<Costed>,
    /// Starts that cost no more than this above the least are equally good.
    pub equal_within: f64,
}

impl Ranked {
    /// Starts that may be chosen, in order of time: a planned start outside of the
    /// fixture's range is worked out as well, but is no choice.
    pub fn choices<'a>(
        &'a self,
        fixture: &Fixture,
        zone: Tz,
    ) -> impl Iterator<Item = &'a Costed> + use<'a> {
        let range = fixture.earliest..=fixture.latest;
        self.starts
            .iter()
            .filter(move |start| range.contains(&start.at.with_timezone(&zone).time()))
    }

    /// Of the choices that are equally good the one nearest to the planned start; of two
    /// as near the cheaper one, then the earlier one.
    pub fn best(&self, fixture: &Fixture, zone: Tz) -> Option<&Costed> {
        let planned = self.planned(fixture, zone)?.at;
        let away = |start: &Costed| (start.at - planned).abs();
        let order =
            |a: &&Costed, b: &&Costed| away(a).cmp(&away(b)).then(a.cost().total_cmp(&b.cost()));
        let most = self.most_of_equals(fixture, zone)?;
        self.choices(fixture, zone).filter(|start| start.cost() <= most).min_by(order)
    }

    /// First and last start of each run of choices that are equally good.
    pub fn equally_good(&self, fixture: &Fixture, zone: Tz) -> Vec<(DateTime<Utc>, DateTime<Utc>)> {
        let Some(most) = self.most_of_equals(fixture, zone) else { return Vec::new() };
        let mut runs: Vec<(DateTime<Utc>, DateTime<Utc>)> = Vec::new();
        let mut open = false;
        for start in self.choices(fixture, zone) {
            let good = start.cost() <= most;
            match runs.last_mut() {
                Some(last) if good && open => last.1 = start.at,
                _ if good => runs.push((start.at, start.at)),
                _ => {}
            }
            open = good;
        }
        runs
    }

    /// What the dearest of the equally good may cost.
    fn most_of_equals(&self, fixture: &Fixture, zone: Tz) -> Option<f64> {
        let least = self.choices(fixture, zone).map(Costed::cost).min_by(f64::total_cmp)?;
        Some(least + self.equal_within)
    }

    /// The choice with the most cost, the earliest of equals.
    pub fn worst(&self, fixture: &Fixture, zone: Tz) -> Option<&Costed> {
        let more = |most: &'_ Costed, next: &'_ Costed| next.cost() > most.cost();
        self.choices(fixture, zone).reduce(|most, next| if more(most, next) { next } else { most })
    }

    /// What is planned; `None` where clocks do not show it just once on that day.
    pub fn planned(&self, fixture: &Fixture, zone: Tz) -> Option<&Costed> {
        self.starts.iter().find(|start| start.at.with_timezone(&zone).time() == fixture.planned)
    }

    /// Indices of choices, the least cost first.
    pub fn order(&self, fixture: &Fixture, zone: Tz) -> Vec<usize> {
        let cost = |i: &usize| self.starts.get(*i).map_or(f64::INFINITY, Costed::cost);
        let may = |i: &usize| self.starts.get(*i).is_some_and(|s| fixture.may_start(s.at, zone));
        let mut order: Vec<usize> = (0..self.starts.len()).filter(may).collect();
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

/// Shifts over one set of fixtures, the same for each, so that like is compared with like.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    pub shifts: Vec<Shift>,
    /// Indices into the ranked fixtures: those that may make all of these shifts.
    pub over: Vec<usize>,
    /// And free fixtures that lack one of them.
    pub left_out: Vec<usize>,
}

/// Costs of a free fixture by its shifts.
struct Shifted {
    ranked: usize,
    costs: BTreeMap<i64, f64>,
    planned: f64,
}

fn shifted(ranked: &[Ranked], fixtures: &[Fixture], zones: &[Tz]) -> Vec<Shifted> {
    let one = |(index, ranked): (usize, &Ranked)| {
        let fixture = fixtures.get(ranked.fixture).filter(|f| f.start == Freedom::Free)?;
        let planned = ranked.planned(fixture, *zones.get(fixture.venue)?)?;
        let by = |start: &Costed| ((start.at - planned.at).num_minutes(), start.cost());
        let costs = ranked.starts.iter().map(by).collect();
        Some(Shifted { ranked: index, costs, planned: planned.cost() })
    };
    ranked.iter().enumerate().filter_map(one).collect()
}

fn shift(by_min: i64, over: &[&Shifted]) -> Shift {
    let then = over.iter().filter_map(|s| Some((*s.costs.get(&by_min)?, s.planned)));
    let costs: Vec<(f64, f64)> = then.collect();
    let mean = |value: fn(&(f64, f64)) -> f64| {
        costs.iter().map(value).sum::<f64>() / costs.len().max(1) as f64
    };
    Shift {
        by_min,
        fixtures: costs.len(),
        cost: mean(|c| c.0),
        saves: mean(|c| c.1 - c.0),
        better: costs.iter().filter(|c| c.0 < c.1).count(),
        worse: costs.iter().filter(|c| c.0 > c.1).count(),
    }
}

/// Every shift that some free fixture may make, in order; 0 is the planned start. Each is
/// over the fixtures that may make it, so one is not to be compared with another.
pub fn shifts(ranked: &[Ranked], fixtures: &[Fixture], zones: &[Tz]) -> Vec<Shift> {
    let all = shifted(ranked, fixtures, zones);
    let over: Vec<&Shifted> = all.iter().collect();
    let minutes: BTreeSet<i64> = all.iter().flat_map(|s| s.costs.keys().copied()).collect();
    minutes.into_iter().map(|by_min| shift(by_min, &over)).collect()
}

/// Shifts for people, at most `max` of them, over the same fixtures each: from the planned
/// start as far either way as at least half of the free fixtures may all go.
pub fn compared(
    ranked: &[Ranked],
    fixtures: &[Fixture],
    zones: &[Tz],
    every_min: u32,
    max: usize,
) -> Compared {
    let all = shifted(ranked, fixtures, zones);
    let minutes: BTreeSet<i64> = all.iter().flat_map(|s| s.costs.keys().copied()).collect();
    let may = |by_min: &i64| all.iter().filter(|s| s.costs.contains_key(by_min)).count();
    let mut shown: Vec<i64> = minutes.into_iter().filter(|by| 2 * may(by) >= all.len()).collect();
    let over = |shown: &[i64]| -> Vec<&Shifted> {
        all.iter().filter(|s| shown.iter().all(|by| s.costs.contains_key(by))).collect()
    };
    while 2 * over(&shown).len() < all.len() {
        // the shift that the fewest may make, of equals the farthest; the planned start stays
        let far = |i: &usize| shown.get(*i).map_or((0, 0), |by| (may(by), -by.abs()));
        let places = (0..shown.len()).filter(|i| shown.get(*i).is_some_and(|by| *by != 0));
        let Some(worst) = places.min_by_key(far) else { break };
        shown.remove(worst);
    }
    let apart = |each: i64| each * i64::from(every_min.max(1));
    let kept = |each: i64| shown.iter().filter(move |by| **by % apart(each) == 0);
    let each = (1..).find(|each| kept(*each).count() <= max).unwrap_or(1);
    let shown: Vec<i64> = kept(each).copied().collect();
    let over = over(&shown);
    let inside: Vec<usize> = over.iter().map(|s| s.ranked).collect();
    let left_out = all.iter().map(|s| s.ranked).filter(|i| !inside.contains(i)).collect();
    let shifts = shown.iter().map(|by_min| shift(*by_min, &over)).collect();
    Compared { shifts, over: inside, left_out }
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
