//! What a venue must be like for what was seen there.
//!
//! In: a venue file as a [`Draft`], observations from a recce
//! ([`seen`]): shadow edges met with a tape and a watch, shadows of poles, angles,
//! bearings, tape measures, each with its standard error; and which numbers are
//! unknown. Out: a [`Fit`]: the numbers with standard errors and 95 % intervals,
//! what cannot be told apart, which observation looks wrong, what to look at next.
//! It knows `venue`, `solar` and `geometry`; nothing of light or cameras.
//!
//! How: each observation is tied to the edge that throws it (`link`); then the
//! numbers are searched with edges fixed ([`solve`](mod@solve)); then edges are asked
//! again, until both converge (`attempt`). [`judge`](mod@judge) says how far the answer
//! can be trusted, `plausible` whether such a ground exists, `explain` which slip would
//! explain what does not fit, `alone` which number rests on one time that may be another,
//! [`Fit::objections`] what speaks against writing it down,
//! `advise` what would help most. Observations count as independent
//! of each other, but for the watch and the compass that they share.

mod advise;
mod alone;
mod attempt;
#[cfg(feature = "cli")]
pub mod command;
mod explain;
mod ground;
pub mod judge;
mod link;
mod objection;
#[cfg(feature = "cli")]
pub mod options;
mod plausible;
mod predict;
pub mod report;
mod result;
mod robust;
pub mod seen;
mod slips;
pub mod solve;
mod write;

use crate::venue::{Draft, DraftError, Unit};

use attempt::{Attempt, Effort, Links, ObservationWeights, attempt, prior_misfit};
use explain::{doubts, moved_far};
use ground::{TrialGrounds, parameter};
use judge::{Judgement, SUSPECT, correlations, judge};
use plausible::implausible;
use predict::{Misfit, seconds_per_metre};
use seen::Observations;

pub use objection::Objection;
pub use result::*;
pub use write::{FITTED_NOTE, write_into};

/// More starts, where the first leaves doubt.
const MORE_STARTS: usize = 6;
/// How far starts are strewn where nothing is stated: metres, degrees, seconds.
const STREWN_M: f64 = 4.0;
const STREWN_DEG: f64 = 6.0;
const STREWN_S: f64 = 240.0;
/// Unknowns that correlate more than this are strongly correlated.
const ENTANGLED: f64 = 0.95;
/// Nearer to a limit than this is at it, scales.
const AT_LIMIT: f64 = 1e-6;
/// A number that is known to no better than this many scales is not known.
const UNKNOWN_SCALES: f64 = 100.0;
/// Sums of squares that differ by a smaller share are of one place.
const SAME_PLACE: f64 = 1e-6;
/// Starts of the robust search beside those of the fit and the file.
const ROBUST_STARTS: usize = 1;

/// Why there is no fit.
#[derive(Debug, thiserror::Error)]
pub enum FitError {
    #[error(transparent)]
    Draft(#[from] DraftError),
    #[error(
        "no observation can be compared with the venue file:{}\n  \
         check times, places and what threw each edge, or begin with better numbers in the venue \
         file", lines(.0)
    )]
    NothingLinked(Vec<LeftOut>),
    #[error(
        "no ground can be built from where the search begins; `quarterstop check` says what is \
         wrong with the venue file"
    )]
    NoGround,
}

fn lines(left_out: &[LeftOut]) -> String {
    left_out.iter().map(|l| format!("\n  {}: {}", l.label, l.why)).collect()
}

/// Fits the unknowns to what was seen.
///
/// # Errors
/// [`FitError`] where nothing can be compared.
pub fn fit(draft: &Draft, seen: &Observations) -> Result<Fit, FitError> {
    let grounds = TrialGrounds::new(draft, seen)?;
    let best = search(&grounds, seen)?;
    let judged = judge(&best.solution, seen.errors);
    let mut fit = fit_of(&grounds, seen, &best, &judged);
    if in_doubt(seen, &best, &fit) {
        let more: Vec<Vec<f64>> = (1..=ROBUST_STARTS).map(|k| strewn(seen, k)).collect();
        let doubts = doubts(&grounds, seen, &best, &fit, &more);
        fit.suspect = doubts.suspect;
        fit.explanations = doubts.explanations;
        for (row, (i, _)) in fit.observations.iter_mut().zip(&best.misfits) {
            row.weight = doubts.weights.get(*i).copied();
        }
    }
    if fit.explanations.is_empty()
        && let Some(alone) = alone::rests_on_one(&grounds, seen, &best)
    {
        fit.explanations.push(alone.explanation);
        fit.rests_on_one = Some(alone.unknown);
    }
    fit.next = advise::advice(&grounds, seen, &best);
    scale_advice(&mut fit.next, judged.noise_scale);
    Ok(fit)
}

/// The fit without a look at suspects and at what to do next: for trials by the
/// hundred.
///
/// # Errors
/// [`FitError`] where nothing can be compared.
pub fn numbers_only(draft: &Draft, seen: &Observations) -> Result<Fit, FitError> {
    let grounds = TrialGrounds::new(draft, seen)?;
    let best = search(&grounds, seen)?;
    let judged = judge(&best.solution, seen.errors);
    Ok(fit_of(&grounds, seen, &best, &judged))
}

/// Every observation that advice is chosen from, with what each would do.
///
/// # Errors
/// [`FitError`] where nothing can be compared.
pub fn all_advice(draft: &Draft, seen: &Observations) -> Result<Vec<Advice>, FitError> {
    let grounds = TrialGrounds::new(draft, seen)?;
    let best = search(&grounds, seen)?;
    let mut all = advise::candidates(&grounds, seen, &best);
    scale_advice(&mut all, judge(&best.solution, seen.errors).noise_scale);
    Ok(all)
}

/// Whether anything asks for a look at slips.
fn in_doubt(seen: &Observations, best: &Attempt, fit: &Fit) -> bool {
    !fit.objections().is_empty()
        || fit.observations.iter().any(|o| o.chance.is_some_and(|chance| chance < SUSPECT))
        || moved_far(seen, &best.solution.numbers)
}

fn scale_advice(all: &mut [Advice], noise_scale: f64) {
    for advice in all {
        advice.error_then *= noise_scale;
        advice.error_now = advice.error_now.map(|e| e * noise_scale);
    }
}

/// The best of a search from the file's numbers and, where that leaves doubt, of
/// some more around them.
fn search(grounds: &TrialGrounds<'_>, seen: &Observations) -> Result<Attempt, FitError> {
    let start: Vec<f64> = seen.unknowns.iter().map(|u| u.start).collect();
    if grounds.with(&start).is_err() {
        return Err(FitError::NoGround);
    }
    let first = attempt(grounds, seen, &start, ObservationWeights::FULL, Effort::Full);
    let odd = |a: &Attempt| implausible(grounds, seen, &a.solution.numbers).len();
    let doubtful = |a: &Attempt| {
        let judged = judge(&a.solution, seen::Errors::AsStated);
        let unlikely = judged.chance.is_some_and(|p| p < judge::UNLIKELY);
        !a.settled || a.unlinked() > 0 || unlikely || odd(a) > 0
    };
    if let Ok(sure) = first.as_ref().map(|a| !doubtful(a))
        && sure
    {
        return first.map_err(|links| FitError::NothingLinked(left_out(seen, &links)));
    }
    let more = (1..=MORE_STARTS)
        .map(|k| strewn(seen, k))
        .map(|s| attempt(grounds, seen, &s, ObservationWeights::FULL, Effort::Full));
    // all of it holds but the sum of squares
    let whole = |a: &Attempt| a.settled && a.unlinked() == 0 && odd(a) == 0;
    let chi = |a: &Attempt| a.solution.chi_square;
    let same = |a: &Attempt, b: &Attempt| {
        whole(a) && whole(b) && (chi(a) - chi(b)).abs() <= SAME_PLACE * chi(a)
    };
    let order = |a: &Attempt| (a.unlinked(), !a.settled, odd(a), a.solution.chi_square);
    let mut best = first;
    for next in more {
        let better = match (&best, &next) {
            (Ok(old), Ok(new)) => order(new) < order(old),
            (Err(_), Ok(_)) => true,
            _ => false,
        };
        let again = matches!((&best, &next), (Ok(old), Ok(new)) if same(old, new));
        if better {
            best = next;
        }
        // a place that was found twice is not looked for again
        if again {
            break;
        }
    }
    best.map_err(|links| FitError::NothingLinked(left_out(seen, &links)))
}

/// A start near the file's numbers: points of a Halton sequence, so that a few
/// cover all directions evenly.
fn strewn(seen: &Observations, k: usize) -> Vec<f64> {
    const PRIMES: [usize; 24] = [
        2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71, 73, 79, 83, 89,
    ];
    let share = |base: usize| {
        let (mut i, mut f, mut r) = (k, 1.0, 0.0);
        while i > 0 {
            f /= base as f64;
            r += f * (i % base) as f64;
            i /= base;
        }
        r
    };
    let one = |(u, base): (&seen::Unknown, &usize)| {
        (u.start + (2.0 * share(*base) - 1.0) * reach(u)).clamp(u.limits.0, u.limits.1)
    };
    seen.unknowns.iter().zip(&PRIMES).map(one).collect()
}

/// How far off a start may usually be, in the unknown's unit.
fn reach(unknown: &seen::Unknown) -> f64 {
    let usual = match unknown.unit {
        Unit::Metre | Unit::One => STREWN_M,
        Unit::Degree => STREWN_DEG,
        Unit::Second => STREWN_S,
    };
    unknown.plus_minus.map_or(usual, |e| 3.0 * e)
}

fn left_out(seen: &Observations, links: &Links) -> Vec<LeftOut> {
    let all = seen.observations.iter().zip(links);
    all.filter_map(|(o, l)| {
        let why = l.as_ref().err()?;
        let contradicts = *why != link::Unlinked::Known;
        let (label, key, why) = (o.label.clone(), o.key.clone(), why.to_string());
        Some(LeftOut { label, key, why, contradicts })
    })
    .collect()
}

/// Everything but suspects and advice.
fn fit_of(
    grounds: &TrialGrounds<'_>,
    seen: &Observations,
    best: &Attempt,
    judged: &Judgement,
) -> Fit {
    let solution = &best.solution;
    let title = grounds.with(&solution.numbers).map_or_else(|_| String::new(), |g| g.venue.title);
    let correlations = correlations(&solution.covariance);
    let name = |i: usize| seen.unknowns[i].name.clone();
    let pairs = (0..solution.numbers.len()).flat_map(|i| (0..i).map(move |j| (j, i)));
    let entangled = pairs
        .filter(|&(i, j)| solution.told[i] && solution.told[j])
        .filter(|&(i, j)| correlations[i][j].abs() > ENTANGLED)
        .map(|(i, j)| Pair { first: name(i), second: name(j), correlation: correlations[i][j] })
        .collect();
    let moves = |direction: &Vec<f64>| {
        let moved = direction.iter().enumerate();
        moved
            .filter(|(i, by)| by.abs() > 1e-3 * ground::scale(seen.unknowns[*i].unit))
            .map(|(i, by)| Move { name: name(i), by: *by, unit: seen.unknowns[i].unit })
            .collect()
    };
    Fit {
        format: FORMAT,
        venue: title,
        errors: seen.errors,
        noise_scale: judged.noise_scale,
        intervals: judged.intervals,
        unknowns: (0..solution.numbers.len()).map(|i| found(seen, best, judged, i)).collect(),
        correlations,
        observations: observations(grounds, seen, best, judged),
        left_out: left_out(seen, &best.links),
        chi_square: solution.chi_square,
        degrees_of_freedom: judged.degrees_of_freedom,
        chance: judged.chance,
        verdict: judged.verdict,
        blind: solution.blind.iter().map(moves).collect(),
        entangled,
        suspect: None,
        explanations: Vec::new(),
        rests_on_one: None,
        implausible: implausible(grounds, seen, &solution.numbers),
        settled: best.settled,
        next: Vec::new(),
        last_day: seen
            .observations
            .iter()
            .filter_map(advise::when)
            .map(|w| w.at.date_naive())
            .max(),
    }
}

fn found(seen: &Observations, best: &Attempt, judged: &Judgement, i: usize) -> Found {
    let (unknown, value) = (&seen.unknowns[i], best.solution.numbers[i]);
    let p = parameter(unknown);
    let known = |e: &f64| *e < UNKNOWN_SCALES * p.scale;
    let error = best.solution.told[i].then_some(judged.standard_errors[i]).filter(known);
    let near = |limit: f64| (value - limit).abs() < AT_LIMIT * p.scale;
    Found {
        name: unknown.name.clone(),
        unit: unknown.unit,
        start: unknown.start,
        value,
        standard_error: error,
        interval_95: error.map(|e| [value - judged.reach * e, value + judged.reach * e]),
        at_limit: near(unknown.limits.0) || near(unknown.limits.1),
    }
}

fn observations(
    grounds: &TrialGrounds<'_>,
    seen: &Observations,
    best: &Attempt,
    judged: &Judgement,
) -> Vec<Judged> {
    let Ok(ground) = grounds.with(&best.solution.numbers) else { return Vec::new() };
    let row = |k: usize, label: String, key: String, m: Misfit, edge_of: Option<String>| Judged {
        label,
        key,
        unit: m.unit,
        residual: m.off,
        error: m.error,
        residual_in_errors: m.off / m.error,
        studentised: judged.studentised.get(k).copied().flatten().map(|s| s.0),
        chance: judged.studentised.get(k).copied().flatten().map(|s| s.1),
        weight: None,
        edge_of,
    };
    let mut rows: Vec<Judged> = Vec::new();
    for (k, (i, misfit)) in best.misfits.iter().enumerate() {
        let o = &seen.observations[*i];
        let edge = best.links[*i].as_ref().ok().copied().flatten();
        let edge_of = edge.and_then(|e| ground.venue.occluders.get(e.occluder));
        // a passage is told in time: how much too late it was seen
        let misfit = match seconds_per_metre(&ground, o, edge) {
            Some(s) => {
                Misfit { off: misfit.off * s, error: misfit.error * s.abs(), unit: Unit::Second }
            }
            None => *misfit,
        };
        rows.push(row(k, o.label.clone(), o.key.clone(), misfit, edge_of.map(|o| o.name.clone())));
    }
    for i in &best.priors {
        let misfit = prior_misfit(seen, *i, best.solution.numbers[*i]);
        let label = format!("the file's own {}", seen.unknowns[*i].name);
        rows.push(row(rows.len(), label, format!("unknown[{i}]"), misfit, None));
    }
    rows
}
