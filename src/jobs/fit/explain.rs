//! What does not fit, and what would explain it.
//!
//! In: a finished attempt that leaves doubt. Out: [`Doubts`]: the observation that
//! looks wrong, and slips ([`slips`](super::slips)) that would explain it.
//!
//! Each slip is taken back and everything fitted again. It explains the doubt where
//! the observations then agree, the numbers are plausible, and the sum of squares has
//! come down by more than a search among so many slips finds by accident (Bonferroni).
//! The wrong observation is the one without which the others agree best: its share of
//! chi-square is what Baarda's test looks at (see [`judge`](super::judge::judge)), found by
//! fits without it instead of slopes, since edges change with the numbers.

use rayon::prelude::*;

use super::attempt::{Attempt, Effort, ObservationWeights, attempt};
use super::ground::{TrialGrounds, scale};
use super::judge::{SUSPECT, UNLIKELY, alone_chance, judge};
use super::link::link;
use super::plausible::implausible;
use super::predict::misfit;
use super::result::{Explanation, Fit, Slip, Suspect};
use super::robust::robust;
use super::seen::{Errors, Observations};
use super::slips::{SlipTrial, candidates};

/// Slips of single observations that are fitted, the likeliest first: those that bring
/// an observation within so many standard errors of a start, or not much farther than
/// the nearest.
const MAX_TRIED: usize = 24;
const WORTH: f64 = 8.0;
const WORTH_TIMES: f64 = 3.0;
/// Observations that are left out in turn: those of the least weight in the robust fit.
const MAX_LEFT_OUT: usize = 8;
/// Explanations that are given.
const MAX_GIVEN: usize = 3;
/// Observations of less weight in the robust fit do not fit the others.
const OUTLIER: f64 = 0.05;
/// A time that is off by one hour is as many times as likely as one that is off by two:
/// clocks are put forward and back by one. Common practice, no source.
const LIKELIER_BY_ONE_HOUR: f64 = 4.0;
/// An explanation of numbers that moved far brings them back to this share of it.
const NEARER: f64 = 0.4;

/// What is wrong, as far as it can be said.
#[derive(Default)]
pub(super) struct Doubts {
    pub suspect: Option<Suspect>,
    pub explanations: Vec<Explanation>,
    /// Of each observation in the robust fit.
    pub weights: Vec<f64>,
}

/// A fit that is explained.
struct Case<'a> {
    grounds: &'a TrialGrounds<'a>,
    seen: &'a Observations,
    best: &'a Attempt,
    fit: &'a Fit,
    /// Where searches start.
    starts: Vec<Vec<f64>>,
    weights: Vec<f64>,
}

/// Whether a search that is far off from the robust fit is made from the other start too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Patience {
    Long,
    Short,
}

/// Looks for what is wrong.
pub(super) fn doubts(
    grounds: &TrialGrounds<'_>,
    seen: &Observations,
    best: &Attempt,
    fit: &Fit,
    more_starts: &[Vec<f64>],
) -> Doubts {
    let own: Vec<f64> = seen.unknowns.iter().map(|u| u.start).collect();
    let mut starts = vec![best.solution.numbers.clone(), own];
    starts.extend_from_slice(more_starts);
    let robust = robust(grounds, seen, &starts);
    let (numbers, weights) = match robust {
        Some(robust) => (robust.numbers, robust.weights),
        None => (best.solution.numbers.clone(), vec![1.0; seen.observations.len()]),
    };
    starts = vec![numbers, starts.swap_remove(1)];
    let case = Case { grounds, seen, best, fit, starts, weights };
    let explanations = case.explanations();
    let suspect = case.suspect(&explanations);
    Doubts { suspect, explanations, weights: case.weights }
}

/// Whether numbers moved farther from where the file has them than a guess is usually
/// off, without a statement of how far they may.
pub(super) fn moved_far(seen: &Observations, numbers: &[f64]) -> bool {
    let pairs = seen.unknowns.iter().zip(numbers);
    let free = pairs.filter(|(u, _)| u.plus_minus.is_none());
    free.map(|(u, n)| (n - u.start).abs() / super::reach(u)).any(|share| share > 1.0)
}

impl Case<'_> {
    /// The best of searches from all starts; the first that agrees is enough.
    fn attempt(
        &self,
        seen: &Observations,
        weights: ObservationWeights<'_>,
        patience: Patience,
    ) -> Option<Attempt> {
        let mut best: Option<Attempt> = None;
        for start in &self.starts {
            let next = attempt(self.grounds, seen, start, weights, Effort::Trial);
            let Ok(next) = next else { continue };
            // from where all but a few agree, what is far off stays far off
            let far_off = patience == Patience::Short && next.is_hopeless(self.seen.errors);
            if far_off || self.agrees(seen, &next) {
                return Some(next);
            }
            let order = |a: &Attempt| (a.unlinked(), !a.settled, a.solution.chi_square);
            if best.as_ref().is_none_or(|best| order(&next) < order(best)) {
                best = Some(next);
            }
        }
        best
    }

    fn explanations(&self) -> Vec<Explanation> {
        let Ok(ground) = self.grounds.with(&self.starts[0]) else { return Vec::new() };
        let all = candidates(&ground.venue, self.seen);
        let count = all.len();
        let (sessions, singles): (Vec<SlipTrial>, Vec<SlipTrial>) =
            all.into_iter().partition(|c| c.slip == Slip::SessionHours);
        let near = singles.into_iter().map(|c| (self.nearness(&c), c));
        let mut order: Vec<(f64, SlipTrial)> = near.filter(|c| c.0.is_finite()).collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        order.truncate(MAX_TRIED);
        let within = order.first().map_or(0.0, |best| (WORTH_TIMES * best.0).max(WORTH));
        order.retain(|c| c.0 <= within);
        let sessions = sessions.into_iter().filter(|c| self.session_is_doubtful(c));
        let tried: Vec<SlipTrial> = sessions.chain(order.into_iter().map(|c| c.1)).collect();
        let explained = tried.par_iter().filter_map(|c| self.explained(c, count));
        let mut found: Vec<(f64, Explanation)> = explained.collect();
        found.sort_by(|a, b| {
            let rank = |e: &(f64, Explanation)| e.1.without.len();
            rank(a).cmp(&rank(b)).then(a.0.total_cmp(&b.0))
        });
        found.into_iter().map(|(_, explanation)| explanation).take(MAX_GIVEN).collect()
    }

    /// Whether a slip of a whole session is worth a fit: half of it does not fit the rest,
    /// or the numbers themselves are odd.
    fn session_is_doubtful(&self, candidate: &SlipTrial) -> bool {
        let out = candidate.touched.iter().filter(|i| self.weights[**i] < OUTLIER).count();
        let robust = &self.starts[0];
        2 * out >= candidate.touched.len()
            || moved_far(self.seen, robust)
            || !implausible(self.grounds, self.seen, robust).is_empty()
    }

    /// How far the changed observations lie off the starts, in standard errors: what is
    /// near is likely, and worth a fit.
    fn nearness(&self, candidate: &SlipTrial) -> f64 {
        let at = |numbers: &Vec<f64>| {
            let ground = self.grounds.with(numbers).ok()?;
            let off = |i: &usize| {
                let o = candidate.seen.observations.get(*i)?;
                let m = misfit(&ground, o, link(&ground, o).ok()?)?;
                Some((m.off / m.error).abs())
            };
            candidate.touched.iter().map(off).try_fold(0.0, |most, r| Some(f64::max(most, r?)))
        };
        self.starts.iter().filter_map(at).fold(f64::INFINITY, f64::min)
    }

    /// The explanation that a slip gives, with the order of it: chi-square and how far
    /// the numbers are from the file's.
    fn explained(&self, candidate: &SlipTrial, count: usize) -> Option<(f64, Explanation)> {
        let seen = &candidate.seen;
        let patience = match candidate.slip {
            Slip::SessionHours => Patience::Long,
            _ => Patience::Short,
        };
        let found = self.attempt(seen, ObservationWeights::FULL, patience);
        if let Some(found) = found.filter(|a| self.explains(candidate, a, count)) {
            return Some(self.explanation(candidate, &found, Vec::new()));
        }
        // several slips: what fits neither way is left out
        let others = |i: &usize| self.weights[*i] < OUTLIER && !candidate.touched.contains(i);
        let others: Vec<usize> = (0..self.weights.len()).filter(others).collect();
        let was_out = candidate.touched.iter().any(|i| self.weights[*i] < OUTLIER);
        if others.is_empty() || !was_out {
            return None;
        }
        let weight = |i| if others.contains(&i) { 0.0 } else { 1.0 };
        let weights: Vec<f64> = (0..self.weights.len()).map(weight).collect();
        let found = self.attempt(seen, ObservationWeights(&weights), patience)?;
        let labels = others.iter().map(|i| self.seen.observations[*i].label.clone()).collect();
        self.agrees(seen, &found).then(|| self.explanation(candidate, &found, labels))
    }

    /// Whether everything that takes part agrees.
    fn agrees(&self, seen: &Observations, found: &Attempt) -> bool {
        let judged = judge(&found.solution, Errors::AsStated);
        let likely = self.seen.errors == Errors::Relative
            || judged.chance.is_none_or(|chance| chance >= UNLIKELY);
        likely
            && found.settled
            && found.unlinked() == 0
            && implausible(self.grounds, seen, &found.solution.numbers).is_empty()
    }

    fn explains(&self, candidate: &SlipTrial, found: &Attempt, count: usize) -> bool {
        if !self.agrees(&candidate.seen, found) {
            return false;
        }
        let (before, after) = (self.best.solution.chi_square, found.solution.chi_square);
        let free = self.fit.degrees_of_freedom;
        let better =
            || alone_chance(before - after, after, free, self.seen.errors, count) < SUSPECT;
        let unsound =
            !self.best.settled || self.best.unlinked() > 0 || !self.fit.implausible.is_empty();
        let nearer = || candidate.slip == Slip::SessionHours && self.much_nearer(found);
        unsound || better() || nearer()
    }

    /// Whether numbers that moved far stay where the file has them.
    fn much_nearer(&self, found: &Attempt) -> bool {
        let (before, after) = (&self.best.solution.numbers, &found.solution.numbers);
        moved_far(self.seen, before) && self.moved(after) < NEARER * self.moved(before)
    }

    /// How far the farthest number is from the file's, in usual distances.
    fn moved(&self, numbers: &[f64]) -> f64 {
        let pairs = self.seen.unknowns.iter().zip(numbers);
        pairs.map(|(u, n)| (n - u.start).abs() / super::reach(u)).fold(0.0, f64::max)
    }

    fn explanation(
        &self,
        candidate: &SlipTrial,
        found: &Attempt,
        without: Vec<String>,
    ) -> (f64, Explanation) {
        let chi_square = found.solution.chi_square;
        let near: f64 = self
            .seen
            .unknowns
            .iter()
            .zip(&found.solution.numbers)
            .map(|(u, n)| {
                let off = (n - u.start) / (super::STREWN_M * scale(u.unit));
                off * off
            })
            .sum();
        let key = |i: &usize| self.seen.observations[*i].key.clone();
        let mut keys: Vec<String> = candidate.touched.iter().map(key).collect();
        keys.dedup();
        let explanation = Explanation {
            what: candidate.what.clone(),
            slip: candidate.slip,
            keys,
            without,
            chi_square,
            chance: judge(&found.solution, self.seen.errors).chance,
            unknowns: found.solution.numbers.clone(),
        };
        // minus twice the logarithm of a likelihood, as chi-square is
        let rarity = match candidate.hours.abs() {
            0 | 1 => 0.0,
            _ => 2.0 * LIKELIER_BY_ONE_HOUR.ln(),
        };
        (chi_square + near + rarity, explanation)
    }

    /// The observation without which the others agree best.
    fn suspect(&self, explanations: &[Explanation]) -> Option<Suspect> {
        let slip = explanations.first().filter(|e| e.without.is_empty());
        let named = slip.and_then(|e| match e.keys.as_slice() {
            [key] => self.seen.observations.iter().position(|o| o.key == *key),
            _ => None,
        });
        // an explanation that changes several observations accuses none of them
        if slip.is_some() && named.is_none() {
            return None;
        }
        let part = |i: &usize| self.best.links[*i].is_ok();
        let mut order: Vec<usize> = (0..self.seen.observations.len()).filter(part).collect();
        order.sort_by(|a, b| self.weights[*a].total_cmp(&self.weights[*b]));
        order.truncate(MAX_LEFT_OUT);
        if let Some(named) = named {
            order.retain(|i| *i == named);
        }
        let without = order.par_iter().filter_map(|i| {
            // a slip is one of the whole table
            let key = &self.seen.observations[*i].key;
            let out =
                |j: usize| j == *i || named.is_some() && self.seen.observations[j].key == *key;
            let all = 0..self.seen.observations.len();
            let weights: Vec<f64> = all.map(|j| if out(j) { 0.0 } else { 1.0 }).collect();
            let found = self.attempt(self.seen, ObservationWeights(&weights), Patience::Long)?;
            let told = found.solution.told.iter().all(|t| *t);
            told.then_some((*i, found))
        });
        let all: Vec<(usize, Attempt)> = without.collect();
        let order = |a: &Attempt| (a.unlinked(), !a.settled);
        let (i, found) = all.into_iter().min_by(|(_, a), (_, b)| {
            let chi = |a: &Attempt| a.solution.chi_square;
            order(a).cmp(&order(b)).then(chi(a).total_cmp(&chi(b)))
        })?;
        self.accused(i, &found)
    }

    fn accused(&self, i: usize, found: &Attempt) -> Option<Suspect> {
        let one = &self.seen.observations[i];
        let (all, rest) = (self.best.solution.chi_square, found.solution.chi_square);
        let (free, errors) = (self.fit.degrees_of_freedom, self.seen.errors);
        let rows = self.fit.observations.len();
        let chance = alone_chance(all - rest, rest, free, errors, rows);
        let ground = self.grounds.with(&found.solution.numbers).ok()?;
        let off = link(&ground, one).ok().and_then(|edge| misfit(&ground, one, edge));
        let sign = off.map_or(1.0, |m| m.off.signum());
        let noise = match errors {
            Errors::AsStated => 1.0,
            Errors::Relative => (rest / free.saturating_sub(1).max(1) as f64).sqrt(),
        };
        (chance < SUSPECT).then(|| Suspect {
            label: one.label.clone(),
            key: one.key.clone(),
            studentised: sign * (all - rest).max(0.0).sqrt() / noise.max(f64::MIN_POSITIVE),
            chance,
            without: Some(found.solution.numbers.clone()),
        })
    }
}
