//! How far the answers can be trusted.
//!
//! In: a [`Solution`] and the observations behind it. Out: standard errors and
//! intervals, a verdict on chi-square, the observation that looks wrong.
//!
//! With errors as stated: normal quantiles, and each residual over its standard
//! error after the fit, `r / sqrt(1 - h)`, is a standard normal if nothing is
//! wrong (Baarda's test, A testing procedure for use in geodetic networks, 1968).
//! With relative errors: errors are scaled by the root of chi-square over degrees
//! of freedom, quantiles are Student's, and residuals are studentised without the
//! observation itself (Cook and Weisberg, Residuals and Influence in Regression,
//! 1982, section 2.2.1). The chance of the farthest of m is at most m times that
//! of one (Bonferroni).

use nalgebra::DMatrix;
use statrs::distribution::{ChiSquared, ContinuousCDF, Normal, StudentsT};

use super::result::{FitVerdict, Intervals};
use super::seen::Errors;
use super::solve::Solution;

/// Chances under this are no accident.
pub const UNLIKELY: f64 = 0.01;
/// The same for the farthest observation.
pub const SUSPECT: f64 = 0.05;
/// What of an observation is left for a check must be more than rounding.
const CHECKED: f64 = 1e-6;

/// The judgement on a solution.
#[derive(Debug, Clone)]
pub struct Judgement {
    pub intervals: Intervals,
    pub noise_scale: f64,
    pub degrees_of_freedom: usize,
    /// Standard errors, in the unknowns' units, noise scale included.
    pub standard_errors: Vec<f64>,
    /// Half of a 95 % interval over the standard error.
    pub reach: f64,
    pub chance: Option<f64>,
    pub verdict: FitVerdict,
    /// For each residual: studentised, and its Bonferroni chance.
    pub studentised: Vec<Option<(f64, f64)>>,
}

/// Judges a solution.
///
/// ```
/// use quarterstop::jobs::fit::judge::judge;
/// use quarterstop::jobs::fit::seen::Errors;
/// use quarterstop::jobs::fit::solve::{Parameter, solve};
/// let seen = [4.0, 5.0, 9.0];
/// let f = |x: &[f64]| Some(seen.iter().map(|s| s - x[0]).collect());
/// let p = Parameter { start: 0.0, scale: 1.0, step: 1e-4, limits: (-99.0, 99.0) };
/// let judged = judge(&solve(&f, &[p]).unwrap(), Errors::Relative);
/// // standard deviation sqrt 7, of the mean sqrt (7 / 3); t of 2 degrees: 4.303
/// assert!((judged.standard_errors[0] - (7.0_f64 / 3.0).sqrt()).abs() < 1e-9);
/// assert!((judged.reach - 4.303).abs() < 1e-3);
/// ```
pub fn judge(solution: &Solution, errors: Errors) -> Judgement {
    let rows = solution.residuals.len();
    let told = solution.numbers.len() - solution.blind.len();
    let free = rows.saturating_sub(told);
    let relative = errors == Errors::Relative;
    let noise_scale = match (relative, free) {
        (true, 1..) => (solution.chi_square / free as f64).sqrt(),
        _ => 1.0,
    };
    let student = relative && free > 0;
    let chance = (!relative && free > 0).then(|| chi_square_chance(solution.chi_square, free));
    let verdict = match (relative, chance) {
        (_, None) if free == 0 => FitVerdict::Unchecked,
        (true, _) | (_, None) => FitVerdict::NotAsked,
        (_, Some(p)) if p < UNLIKELY => FitVerdict::TooFarOff,
        (_, Some(p)) if p > 1.0 - UNLIKELY => FitVerdict::TooNear,
        _ => FitVerdict::Agree,
    };
    let covariance = &solution.covariance;
    Judgement {
        intervals: if student { Intervals::StudentT } else { Intervals::Normal },
        noise_scale,
        degrees_of_freedom: free,
        standard_errors: (0..solution.numbers.len())
            .map(|i| covariance[(i, i)].max(0.0).sqrt() * noise_scale)
            .collect(),
        reach: if student { student_quantile(0.975, free as f64) } else { normal_quantile(0.975) },
        chance,
        verdict,
        studentised: studentised(solution, relative, free),
    }
}

/// Each residual over its own standard error after the fit.
fn studentised(s: &Solution, relative: bool, free: usize) -> Vec<Option<(f64, f64)>> {
    let rows = s.residuals.len();
    let one = |i: usize| {
        let row = s.jacobian.row(i);
        let share = (row * &s.covariance * row.transpose())[(0, 0)];
        let left = 1.0 - share;
        if left < CHECKED || free == 0 {
            return None;
        }
        let plain = s.residuals[i] / left.sqrt();
        let (value, chance) = if relative {
            // the noise without this observation
            let rest = free.checked_sub(1).filter(|rest| *rest > 0)? as f64;
            let noise = ((s.chi_square - plain * plain).max(0.0) / rest).sqrt();
            let value = if noise > 0.0 { plain / noise } else { 0.0 };
            (value, 2.0 * (1.0 - student_chance(value.abs(), rest)))
        } else {
            (plain, 2.0 * (1.0 - normal_chance(plain.abs())))
        };
        Some((value, (chance * rows as f64).min(1.0)))
    };
    (0..rows).map(one).collect()
}

/// The chance that the farthest of `count` lies so far out by accident that the sum of
/// squares falls by `fall` to `rest` without it (Bonferroni).
pub fn alone_chance(fall: f64, rest: f64, free: usize, errors: Errors, count: usize) -> f64 {
    let plain = fall.max(0.0).sqrt();
    let chance = match (errors, free.checked_sub(1).filter(|left| *left > 0)) {
        (Errors::AsStated, _) => 2.0 * (1.0 - normal_chance(plain)),
        (Errors::Relative, Some(left)) => {
            let noise = (rest / left as f64).sqrt();
            let t = if noise > 0.0 { plain / noise } else { plain };
            2.0 * (1.0 - student_chance(t, left as f64))
        }
        (Errors::Relative, None) => 1.0,
    };
    (chance * count as f64).min(1.0)
}

/// Correlations of the unknowns; 0 where one has no variance.
pub fn correlations(covariance: &DMatrix<f64>) -> Vec<Vec<f64>> {
    let n = covariance.nrows();
    let one = |i: usize, j: usize| {
        let both = (covariance[(i, i)] * covariance[(j, j)]).sqrt();
        if i == j {
            1.0
        } else if both > 0.0 {
            covariance[(i, j)] / both
        } else {
            0.0
        }
    };
    (0..n).map(|i| (0..n).map(|j| one(i, j)).collect()).collect()
}

// The constructors of `statrs` fail only for parameters that these calls cannot
// have; the limits of many degrees of freedom stand in.

fn normal_chance(x: f64) -> f64 {
    Normal::new(0.0, 1.0).map_or(1.0, |d| d.cdf(x))
}

fn normal_quantile(p: f64) -> f64 {
    Normal::new(0.0, 1.0).map_or(1.959_964, |d| d.inverse_cdf(p))
}

fn student_chance(x: f64, free: f64) -> f64 {
    StudentsT::new(0.0, 1.0, free).map_or_else(|_| normal_chance(x), |d| d.cdf(x))
}

fn student_quantile(p: f64, free: f64) -> f64 {
    StudentsT::new(0.0, 1.0, free).map_or_else(|_| normal_quantile(p), |d| d.inverse_cdf(p))
}

fn chi_square_chance(chi_square: f64, free: usize) -> f64 {
    ChiSquared::new(free as f64).map_or(1.0, |d| 1.0 - d.cdf(chi_square))
}
