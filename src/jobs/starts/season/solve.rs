//! The cheapest season that keeps the rules.
//!
//! In: an [`Instance`], what each choice costs, which fixtures and rules are to hold. Out: a
//! choice a fixture with its proof, or that there is none. Integer programming by crate
//! `microlp` (branch and bound over the simplex method), one program for each part that rules
//! tie together: a variable of 0 or 1 a choice. Its work is bounded by a count of nodes,
//! never by a clock, so the same season comes out everywhere; what it finds is held to the
//! rules in whole numbers again.

use microlp::{
    ComparisonOp, Error, OptimizationDirection, Problem, SolutionStatus, SolveOptions,
    SolveOutcome, Variable,
};

use super::instance::Instance;

/// Nodes of a part of the season, after which the best that was found is taken.
pub const MAX_NODES: u64 = 2_000;
/// Costs that differ by less are the same: rounding of sums.
const ROUNDING: f64 = 1e-6;

/// Which of the fixtures and rules are to hold.
pub(super) trait HoldFilter {
    fn fixture(&self, index: usize) -> bool;
    fn rule(&self, index: usize) -> bool;
}

/// All of them.
pub(super) struct All;

impl HoldFilter for All {
    fn fixture(&self, _: usize) -> bool {
        true
    }

    fn rule(&self, _: usize) -> bool {
        true
    }
}

/// What was found for a part.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum PartOutcome {
    /// A choice for each fixture of the part that is to hold.
    Season {
        taken: Vec<(usize, usize)>,
        /// No season that keeps the rules costs less than this.
        at_least: f64,
        /// Whether nothing cheaper exists.
        proved: bool,
    },
    /// Nothing keeps the rules.
    Impossible,
    /// The count of nodes was spent before anything was found, or the solver gave up.
    Open,
}

/// Solves a part. `cost` is by fixture and choice.
pub(super) fn solve(
    instance: &Instance,
    part: &[usize],
    cost: &dyn Fn(usize, usize) -> f64,
    holds: &dyn HoldFilter,
    max_nodes: u64,
) -> PartOutcome {
    let held: Vec<usize> = part.iter().copied().filter(|i| holds.fixture(*i)).collect();
    let mut program = Program::of(instance, &held, cost, holds);
    program.rules(instance, part, holds);
    if program.is_hopeless {
        return PartOutcome::Impossible;
    }
    if held.is_empty() {
        return PartOutcome::Season { taken: Vec::new(), at_least: 0.0, proved: true };
    }
    program.found(instance, holds, max_nodes)
}

struct Program {
    problem: Problem,
    /// By fixture of the instance, then by choice; `None` for a banned choice.
    variables: Vec<Vec<Option<Variable>>>,
    costs: Vec<Vec<f64>>,
    part: Vec<usize>,
    /// Without a choice for some fixture, or with a count that cannot be reached.
    is_hopeless: bool,
}

impl Program {
    fn of(
        instance: &Instance,
        part: &[usize],
        cost: &dyn Fn(usize, usize) -> f64,
        holds: &dyn HoldFilter,
    ) -> Self {
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let mut variables = vec![Vec::new(); instance.choices.len()];
        let mut costs = vec![Vec::new(); instance.choices.len()];
        let mut is_hopeless = false;
        for i in part.iter().copied() {
            let count = instance.choices.get(i).map_or(0, Vec::len);
            let mut may = vec![true; count];
            for ban in instance.bans.iter().filter(|b| b.fixture == i && holds.rule(b.rule)) {
                for choice in &ban.choices {
                    if let Some(may) = may.get_mut(*choice) {
                        *may = false;
                    }
                }
            }
            let own: Vec<f64> = (0..count).map(|choice| cost(i, choice)).collect();
            let add = |(may, cost): (&bool, &f64)| may.then(|| problem.add_binary_var(*cost));
            let all: Vec<Option<Variable>> = may.iter().zip(&own).map(add).collect();
            let one: Vec<(Variable, f64)> = all.iter().flatten().map(|v| (*v, 1.0)).collect();
            if one.is_empty() {
                is_hopeless = true;
            } else {
                problem.add_constraint(one, ComparisonOp::Eq, 1.0);
            }
            if let (Some(to), Some(costs)) = (variables.get_mut(i), costs.get_mut(i)) {
                (*to, *costs) = (all, own);
            }
        }
        Self { problem, variables, costs, part: part.to_vec(), is_hopeless }
    }

    fn variable(&self, fixture: usize, choice: usize) -> Option<Variable> {
        self.variables.get(fixture)?.get(choice).copied().flatten()
    }

    fn rules(&mut self, instance: &Instance, whole: &[usize], holds: &dyn HoldFilter) {
        for pair in instance.pairs.iter().filter(|pair| holds.rule(pair.rule)) {
            let [a, b] = pair.fixtures;
            for (s, clash) in pair.clash.iter().enumerate() {
                let Some(first) = self.variable(a, s) else { continue };
                let others = clash.iter().filter_map(|t| self.variable(b, *t));
                let row: Vec<(Variable, f64)> =
                    std::iter::once(first).chain(others).map(|v| (v, 1.0)).collect();
                if row.len() > 1 {
                    self.problem.add_constraint(row, ComparisonOp::Le, 1.0);
                }
            }
        }
        for count in instance.counts.iter().filter(|count| holds.rule(count.rule)) {
            // a count lies in one part
            if !count.of.iter().map(|(i, _)| i).chain(&count.day).any(|i| whole.contains(i)) {
                continue;
            }
            let of = count.of.iter().filter_map(|(i, choice)| self.variable(*i, *choice));
            let row: Vec<(Variable, f64)> = of.map(|variable| (variable, 1.0)).collect();
            let out = count.day.iter().filter(|i| !holds.fixture(**i)).count();
            let min = count.min.saturating_sub(out);
            if row.is_empty() {
                self.is_hopeless |= min > 0;
                continue;
            }
            if min > 0 {
                self.problem.add_constraint(row.clone(), ComparisonOp::Ge, min as f64);
            }
            if count.max < row.len() {
                self.problem.add_constraint(row, ComparisonOp::Le, count.max as f64);
            }
        }
    }

    fn found(&self, instance: &Instance, holds: &dyn HoldFilter, max_nodes: u64) -> PartOutcome {
        let mut options = SolveOptions::default();
        options.node_limit = Some(max_nodes);
        let solution = match self.problem.solve_with(options) {
            Ok(SolveOutcome::Solution(solution)) => solution,
            Err(Error::Infeasible) => return PartOutcome::Impossible,
            _ => return PartOutcome::Open,
        };
        let chosen = |i: &usize| {
            let all = self.variables.get(*i)?.iter().enumerate();
            let value = |v: &Option<Variable>| v.map_or(-1.0, |v| solution.var_value(v));
            let most = all.max_by(|a, b| value(a.1).total_cmp(&value(b.1)))?;
            Some((*i, most.0))
        };
        let taken: Vec<(usize, usize)> = self.part.iter().filter_map(chosen).collect();
        // the solver counts in floating point: the rules are whole numbers
        let mut season = vec![None; instance.choices.len()];
        for (i, choice) in &taken {
            if let Some(place) = season.get_mut(*i) {
                *place = Some(*choice);
            }
        }
        let out = |count: &super::instance::ChoiceCount| {
            count.day.iter().any(|i| !holds.fixture(*i) || !self.part.contains(i))
        };
        let lenient = |rule: usize| instance.counts.iter().any(|c| c.rule == rule && out(c));
        let broken = instance.breaches(&season);
        if broken.iter().any(|breach| holds.rule(breach.rule) && !lenient(breach.rule)) {
            return PartOutcome::Open;
        }
        let cost =
            |(i, choice): &(usize, usize)| self.costs.get(*i).and_then(|all| all.get(*choice));
        let total: f64 = taken.iter().filter_map(cost).sum();
        let is_best = solution.status() == SolutionStatus::Optimal;
        let bound = solution.stats().best_bound.unwrap_or(f64::NEG_INFINITY);
        let at_least = if is_best { total } else { bound.min(total) };
        PartOutcome::Season { taken, at_least, proved: is_best || total - at_least <= ROUNDING }
    }
}
