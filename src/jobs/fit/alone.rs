//! Numbers that rest on one time, which may be another.
//!
//! In: a finished attempt. Out: an unknown that one timed observation decides alone, where
//! the same observation some hours earlier or later fits as well and no longer decides it.
//! Nothing checks such an observation: it meets another edge at the other hour, and the
//! sum of squares is that of the truth. Its error would then be stated too small.

use super::advise::when;
use super::attempt::{Attempt, Effort, ObservationWeights, attempt};
use super::ground::{TrialGrounds, parameter};
use super::judge::{UNLIKELY, judge};
use super::link::link;
use super::plausible::implausible;
use super::predict::misfit;
use super::result::{Explanation, Slip};
use super::seen::{Errors, Observations};
use super::slips::{SlipTrial, candidates};
use super::solve::{Parameter, spread};

/// An unknown whose standard error grows by more than this without an observation rests
/// on it.
const RESTS: f64 = 2.0;
/// A reading whose chi-square is larger by less than this fits as well: 95 % of the
/// distribution with one degree of freedom.
const AS_WELL: f64 = 3.841;
/// Readings farther than this from what the others predict, standard errors, are not fitted.
const NEAR: f64 = 8.0;
/// Numbers that are farther apart than this, standard errors, differ.
const DIFFER: f64 = 2.0;

/// An unknown, and the other reading of the observation that it rests on.
pub(super) struct Alone {
    pub unknown: String,
    pub explanation: Explanation,
}

/// The first such unknown. Costs no fit where none rests on one observation.
pub(super) fn rests_on_one(
    grounds: &TrialGrounds<'_>,
    seen: &Observations,
    best: &Attempt,
) -> Option<Alone> {
    if seen.errors == Errors::Relative {
        return None;
    }
    let parameters: Vec<Parameter> = seen.unknowns.iter().map(parameter).collect();
    let mut readings: Option<Vec<SlipTrial>> = None;
    for key in timed_keys(seen, best) {
        let decided = decided_by(seen, best, &parameters, &key);
        if decided.is_empty() {
            continue;
        }
        let of_key = |i: usize| seen.observations[i].key == key;
        let weights: Vec<f64> =
            (0..seen.observations.len()).map(|i| if of_key(i) { 0.0 } else { 1.0 }).collect();
        let start = &best.solution.numbers;
        let Ok(rest) = attempt(grounds, seen, start, ObservationWeights(&weights), Effort::Trial)
        else {
            continue;
        };
        if readings.is_none() {
            readings = Some(candidates(&grounds.with(start).ok()?.venue, seen));
        }
        let hours = |c: &&SlipTrial| c.slip == Slip::Hours && c.touched.iter().any(|i| of_key(*i));
        for candidate in readings.iter().flatten().filter(hours) {
            let found = fits_as_well(grounds, candidate, &rest, best);
            let changed = found.as_ref().and_then(|found| changed(best, found, &decided));
            if let (Some(found), Some(unknown)) = (found, changed) {
                let unknown = seen.unknowns[unknown].name.clone();
                return Some(Alone { unknown, explanation: explanation(seen, candidate, &found) });
            }
        }
    }
    None
}

/// Tables of the timed observations that take part, each once.
fn timed_keys(seen: &Observations, best: &Attempt) -> Vec<String> {
    let parts = best.misfits.iter().map(|(i, _)| &seen.observations[*i]);
    let mut keys: Vec<String> =
        parts.filter(|o| when(o).is_some()).map(|o| o.key.clone()).collect();
    keys.dedup();
    keys
}

/// Unknowns that are known much worse, or not at all, without the observations of a table.
fn decided_by(
    seen: &Observations,
    best: &Attempt,
    parameters: &[Parameter],
    key: &str,
) -> Vec<usize> {
    let rows = best.misfits.iter().enumerate();
    let own: Vec<usize> =
        rows.filter(|(_, (i, _))| seen.observations[*i].key == key).map(|(row, _)| row).collect();
    let jacobian = best.solution.jacobian.clone().remove_rows_at(&own);
    let (covariance, blind) = spread(&jacobian, parameters);
    let before = &best.solution.covariance;
    let lost = |k: usize| blind.iter().any(|v| v[k].abs() > 1e-3 * parameters[k].scale);
    let worse = |k: usize| covariance[(k, k)] > RESTS * RESTS * before[(k, k)];
    let told = (0..parameters.len()).filter(|k| best.solution.told[*k]);
    told.filter(|k| lost(*k) || worse(*k)).collect()
}

/// The fit with another reading, where all observations agree with it as well.
fn fits_as_well(
    grounds: &TrialGrounds<'_>,
    candidate: &SlipTrial,
    rest: &Attempt,
    best: &Attempt,
) -> Option<Attempt> {
    let seen = &candidate.seen;
    let ground = grounds.with(&rest.solution.numbers).ok()?;
    let near = candidate.touched.iter().all(|i| {
        let o = &seen.observations[*i];
        let off = link(&ground, o).ok().and_then(|edge| misfit(&ground, o, edge));
        off.is_some_and(|m| (m.off / m.error).abs() < NEAR)
    });
    if !near {
        return None;
    }
    let start = &rest.solution.numbers;
    let found = attempt(grounds, seen, start, ObservationWeights::FULL, Effort::Trial).ok()?;
    let likely = judge(&found.solution, Errors::AsStated).chance.is_none_or(|p| p >= UNLIKELY);
    let sound = likely
        && found.settled
        && found.unlinked() == 0
        && implausible(grounds, seen, &found.solution.numbers).is_empty();
    let as_well = found.solution.chi_square < best.solution.chi_square + AS_WELL;
    (sound && as_well).then_some(found)
}

/// The first unknown of which the other reading says something else, or much less.
fn changed(best: &Attempt, found: &Attempt, decided: &[usize]) -> Option<usize> {
    let error = |a: &Attempt, k: usize| a.solution.covariance[(k, k)].max(0.0).sqrt();
    decided.iter().copied().find(|k| {
        let apart = (best.solution.numbers[*k] - found.solution.numbers[*k]).abs();
        let (before, after) = (error(best, *k), error(found, *k));
        !found.solution.told[*k] || after > RESTS * before || apart > DIFFER * before
    })
}

fn explanation(seen: &Observations, candidate: &SlipTrial, found: &Attempt) -> Explanation {
    let key = |i: &usize| seen.observations[*i].key.clone();
    let mut keys: Vec<String> = candidate.touched.iter().map(key).collect();
    keys.dedup();
    Explanation {
        what: candidate.what.clone(),
        slip: candidate.slip,
        keys,
        without: Vec::new(),
        chi_square: found.solution.chi_square,
        chance: judge(&found.solution, Errors::AsStated).chance,
        unknowns: found.solution.numbers.clone(),
    }
}
