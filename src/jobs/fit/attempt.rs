//! One search from one start: edges and numbers, in turn, until both rest.
//!
//! In: [`TrialGrounds`], what was seen, a start. Out: an [`Attempt`]: the numbers, which
//! edge each observation is about, and each misfit. Within a round edges and errors
//! are fixed, so that the sum of squares is smooth; between rounds both are asked
//! anew.

use crate::geometry::EdgeOf;
use crate::venue::Occluder;

use super::ground::{TrialGround, TrialGrounds, parameter};
use super::link::{Unlinked, link};
use super::predict::{Misfit, misfit};
use super::seen::{Errors, Observation, Observations};
use super::solve::{Parameter, Solution, solve_within};

/// Rounds until edges and numbers rest; two or three are usual.
const MAX_ROUNDS: usize = 6;
/// A trial whose chi-square is more than this for each observation after two rounds, so
/// that edges were asked again, is given up: what agrees is near 1. Only with errors as
/// stated, since relative ones say nothing of that.
const HOPELESS: f64 = 30.0;
const HOPELESS_AFTER: usize = 2;
/// Tries of one round for each number; the next round goes on from there.
const PATIENCE: usize = 10;
/// Numbers rest when they move by less, scales.
const REST: f64 = 1e-4;

/// Which edge each observation is about, or why it is about none.
pub(super) type Links = Vec<Result<Option<EdgeOf>, Unlinked>>;

/// Where one search ended.
pub(super) struct Attempt {
    pub solution: Solution,
    pub links: Links,
    /// Of each observation that takes part, in order.
    pub misfits: Vec<(usize, Misfit)>,
    /// Unknowns whose start counts as an observation.
    pub priors: Vec<usize>,
    /// Whether edges and numbers came to rest.
    pub settled: bool,
}

impl Attempt {
    /// Whether it is far from any agreement.
    pub fn is_hopeless(&self, errors: Errors) -> bool {
        is_hopeless(&self.solution, errors)
    }

    /// Observations that should take part and that no edge was found for.
    pub fn unlinked(&self) -> usize {
        let beside = |why: &Unlinked| matches!(why, Unlinked::Known | Unlinked::Dropped);
        self.links.iter().filter(|l| l.as_ref().is_err_and(|why| !beside(why))).count()
    }
}

/// How much each observation counts, 0 to 1; those beyond the end count in full,
/// and those of weight 0 take no part.
#[derive(Debug, Clone, Copy)]
pub(super) struct ObservationWeights<'a>(pub &'a [f64]);

impl ObservationWeights<'_> {
    pub const FULL: ObservationWeights<'static> = ObservationWeights(&[]);

    fn of(self, observation: usize) -> f64 {
        self.0.get(observation).copied().unwrap_or(1.0)
    }
}

/// How long to search.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Effort {
    /// Until edges and numbers rest.
    Full,
    /// Until it is plain that the observations will not agree.
    Trial,
    /// Once with the edges of the start: a step of a longer search.
    Step,
}

/// Searches from a start. `Err` has the links at the last ground that could be
/// built, where no observation takes part.
pub(super) fn attempt(
    grounds: &TrialGrounds<'_>,
    seen: &Observations,
    start: &[f64],
    weights: ObservationWeights<'_>,
    effort: Effort,
) -> Result<Attempt, Links> {
    let parameters: Vec<Parameter> = seen.unknowns.iter().map(parameter).collect();
    let mut numbers = start.to_vec();
    let mut last: Option<(Links, Solution)> = None;
    let mut earlier: Vec<Links> = Vec::new();
    let mut settled = false;
    let rounds = if effort == Effort::Step { 1 } else { MAX_ROUNDS };
    for turn in 1..=rounds {
        let Ok(ground) = grounds.with(&numbers) else { break };
        let links = links(&ground, seen, weights);
        let asked = Asked { seen, parameters: &parameters, links: &links, weights };
        let Some(solution) = round(grounds, &asked, &ground, &numbers) else {
            return Err(links);
        };
        let moved = numbers.iter().zip(&solution.numbers).zip(&parameters);
        let rest = moved.map(|((a, b), p)| ((a - b) / p.scale).abs()).fold(0.0, f64::max) < REST;
        let same = last.as_ref().is_some_and(|(before, _)| *before == links);
        numbers.clone_from(&solution.numbers);
        let again = !same && earlier.contains(&links);
        earlier.push(links.clone());
        last = Some((links, solution));
        if rest && same {
            settled = true;
            break;
        }
        let hopeless =
            last.as_ref().is_some_and(|(_, solution)| is_hopeless(solution, seen.errors));
        if effort == Effort::Trial && turn >= HOPELESS_AFTER && hopeless {
            break;
        }
        // edges that take turns would do so for ever
        if again {
            break;
        }
    }
    let (links, solution) = last.ok_or_else(Vec::new)?;
    let Ok(ground) = grounds.with(&solution.numbers) else { return Err(links) };
    let misfits = misfits(&ground, seen, &links);
    let settled = settled && solution.arrived;
    Ok(Attempt { priors: priors(seen), solution, links, misfits, settled })
}

/// Whether numbers are far from any agreement.
fn is_hopeless(solution: &Solution, errors: Errors) -> bool {
    errors == Errors::AsStated && solution.chi_square > HOPELESS * solution.residuals.len() as f64
}

fn links(ground: &TrialGround<'_>, seen: &Observations, weights: ObservationWeights<'_>) -> Links {
    let all = seen.observations.iter().enumerate();
    all.map(|(i, o)| match weights.of(i) > 0.0 {
        true => link(ground, o),
        false => Err(Unlinked::Dropped),
    })
    .collect()
}

fn misfits(ground: &TrialGround<'_>, seen: &Observations, links: &Links) -> Vec<(usize, Misfit)> {
    let all = seen.observations.iter().zip(links).enumerate();
    all.filter_map(|(i, (o, l))| Some((i, misfit(ground, o, *l.as_ref().ok()?)?))).collect()
}

fn priors(seen: &Observations) -> Vec<usize> {
    let stated = |i: &usize| seen.unknowns[*i].plus_minus.is_some();
    (0..seen.unknowns.len()).filter(stated).collect()
}

/// What stays fixed during one round.
struct Asked<'a> {
    seen: &'a Observations,
    parameters: &'a [Parameter],
    links: &'a Links,
    weights: ObservationWeights<'a>,
}

/// The search with edges and errors as they are on one ground.
fn round(
    grounds: &TrialGrounds<'_>,
    asked: &Asked<'_>,
    ground: &TrialGround<'_>,
    numbers: &[f64],
) -> Option<Solution> {
    let Asked { seen, parameters, links, weights } = *asked;
    let edges = |i: usize| links[i].as_ref().ok().copied().flatten();
    let mut rows: Vec<(&Observation, Option<EdgeOf>, f64)> = misfits(ground, seen, links)
        .into_iter()
        .map(|(i, m)| (&seen.observations[i], edges(i), m.error / weights.of(i).sqrt()))
        .collect();
    if rows.is_empty() {
        return None;
    }
    // nothing is built that no observation is about
    let name = |edge: &EdgeOf| Some(ground.venue.occluders.get(edge.occluder)?.name.as_str());
    let names: Vec<&str> = rows.iter().filter_map(|(_, edge, _)| name(edge.as_ref()?)).collect();
    let few = grounds.with_only(&names);
    let built = few.with(numbers).ok()?;
    for edge in rows.iter_mut().filter_map(|(_, edge, _)| edge.as_mut()) {
        let same = |o: &Occluder| name(edge) == Some(o.name.as_str());
        edge.occluder = built.venue.occluders.iter().position(same)?;
    }
    let residuals = |numbers: &[f64]| {
        let ground = few.with(numbers).ok()?;
        let seen_rows = rows.iter().map(|(o, edge, error)| {
            super::predict::off(&ground, o, *edge, 0.0).map(|off| off / error)
        });
        let prior_rows = seen.unknowns.iter().zip(numbers).filter_map(|(unknown, number)| {
            let error = unknown.plus_minus?;
            Some(Some((unknown.start - number) / error))
        });
        seen_rows.chain(prior_rows).collect::<Option<Vec<f64>>>()
    };
    let from = parameters.iter().zip(numbers).map(|(p, n)| Parameter { start: *n, ..*p });
    solve_within(&residuals, &from.collect::<Vec<_>>(), PATIENCE)
}

/// Misfit of a prior.
pub(super) fn prior_misfit(seen: &Observations, unknown: usize, number: f64) -> Misfit {
    let u = &seen.unknowns[unknown];
    let error = u.plus_minus.unwrap_or(f64::INFINITY);
    Misfit { off: u.start - number, error, unit: u.unit }
}
