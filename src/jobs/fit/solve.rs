//! Weighted least squares, without knowledge of what is fitted.
//!
//! In: a function from numbers to residuals, each already divided by its standard
//! error; a start, a step for derivatives and limits for each number. Out: the
//! numbers, the Jacobian there, covariance, and what no residual can tell.
//!
//! The search is crate `levenberg-marquardt`, a port of MINPACK's `lmder` (More,
//! Garbow, Hillstrom, ANL-80-74, 1980). Derivatives are central differences.
//! Covariance is the inverse of J'J by singular values, so that directions without
//! information are found and not divided by.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, Owned};

/// A residual that stands for an impossible try, standard errors: no search stays
/// there.
const IMPOSSIBLE: f64 = 1e9;
/// Tries for each number, where a search has to arrive by itself.
const PATIENCE: usize = 100;
/// Singular values below this share of the largest are nothing but rounding of
/// the differences.
const NOTHING: f64 = 1e-6;
/// A direction that this little of an unknown is in leaves it alone.
const TOUCHED: f64 = 1e-3;

/// One number to be found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parameter {
    pub start: f64,
    /// What counts as one step of it: units are compared by this.
    pub scale: f64,
    /// For derivatives, in the number's own unit.
    pub step: f64,
    pub limits: (f64, f64),
}

/// Where the search ended.
#[derive(Debug, Clone)]
pub struct Solution {
    pub numbers: Vec<f64>,
    /// In standard errors.
    pub residuals: Vec<f64>,
    /// Residual by number, in standard errors a unit.
    pub jacobian: DMatrix<f64>,
    /// Sum of squares of the residuals.
    pub chi_square: f64,
    /// Whether the search says that it arrived.
    pub arrived: bool,
    /// Covariance for residuals of standard error 1; within what can be told.
    pub covariance: DMatrix<f64>,
    /// Directions that change no residual, a row a direction: changes of the
    /// numbers in their own units, the largest of them one scale.
    pub blind: Vec<Vec<f64>>,
    /// Whether each number is apart from all blind directions.
    pub told: Vec<bool>,
}

struct Problem<'a, F> {
    f: &'a F,
    parameters: &'a [Parameter],
    /// In scales.
    at: DVector<f64>,
    rows: usize,
}

impl<F: Fn(&[f64]) -> Option<Vec<f64>>> Problem<'_, F> {
    fn numbers(&self, at: &DVector<f64>) -> Vec<f64> {
        let own = |(p, v): (&Parameter, &f64)| (v * p.scale).clamp(p.limits.0, p.limits.1);
        self.parameters.iter().zip(at.iter()).map(own).collect()
    }

    fn at(&self, numbers: &[f64]) -> Option<DVector<f64>> {
        let mut all = (self.f)(numbers).filter(|r| r.iter().all(|v| v.is_finite()))?;
        // the search wants as many residuals as numbers
        all.resize(self.rows.max(self.parameters.len()), 0.0);
        Some(DVector::from_vec(all))
    }

    /// Central differences, one-sided at a limit or where one side cannot be.
    fn slopes(&self, numbers: &[f64]) -> Option<DMatrix<f64>> {
        let middle = self.at(numbers)?;
        let mut slopes = DMatrix::zeros(middle.len(), numbers.len());
        for (i, p) in self.parameters.iter().enumerate() {
            let side = |sign: f64| {
                let mut moved = numbers.to_vec();
                moved[i] = (moved[i] + sign * p.step).clamp(p.limits.0, p.limits.1);
                let by = moved[i] - numbers[i];
                let there = (by != 0.0).then(|| self.at(&moved)).flatten();
                there.map_or((middle.clone(), 0.0), |r| (r, by))
            };
            let ((high, up), (low, down)) = (side(1.0), side(-1.0));
            if up - down > 0.0 {
                slopes.set_column(i, &((high - low) / (up - down)));
            }
        }
        Some(slopes)
    }
}

impl<F: Fn(&[f64]) -> Option<Vec<f64>>> LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_, F> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, x: &DVector<f64>) {
        self.at.copy_from(x);
    }

    fn params(&self) -> DVector<f64> {
        self.at.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        let rows = self.rows.max(self.parameters.len());
        let found = self.at(&self.numbers(&self.at));
        Some(found.unwrap_or_else(|| DVector::from_element(rows, IMPOSSIBLE)))
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let mut slopes = self.slopes(&self.numbers(&self.at))?;
        for (i, p) in self.parameters.iter().enumerate() {
            slopes.column_mut(i).scale_mut(p.scale);
        }
        Some(slopes)
    }
}

/// Searches for the least sum of squares. `None` where the function has no value
/// at the start.
///
/// ```
/// use quarterstop::jobs::fit::solve::{Parameter, solve};
/// // the mean of three numbers, its standard error 1 / sqrt 3
/// let seen = [4.0, 5.0, 9.0];
/// let f = |x: &[f64]| Some(seen.iter().map(|s| s - x[0]).collect());
/// let p = Parameter { start: 0.0, scale: 1.0, step: 1e-4, limits: (-99.0, 99.0) };
/// let found = solve(&f, &[p]).unwrap();
/// assert!((found.numbers[0] - 6.0).abs() < 1e-9);
/// assert!((found.covariance[(0, 0)] - 1.0 / 3.0).abs() < 1e-9);
/// ```
pub fn solve<F>(f: &F, parameters: &[Parameter]) -> Option<Solution>
where
    F: Fn(&[f64]) -> Option<Vec<f64>>,
{
    solve_within(f, parameters, PATIENCE)
}

/// The same with at most `patience` tries for each number and one more: for a
/// search that goes on from where it ended.
pub(super) fn solve_within<F>(f: &F, parameters: &[Parameter], patience: usize) -> Option<Solution>
where
    F: Fn(&[f64]) -> Option<Vec<f64>>,
{
    let start: Vec<f64> = parameters.iter().map(|p| p.start).collect();
    let rows = f(&start)?.len();
    let at = DVector::from_iterator(
        parameters.len(),
        parameters.iter().map(|p| p.start.clamp(p.limits.0, p.limits.1) / p.scale),
    );
    let problem = Problem { f, parameters, at, rows };
    let search = LevenbergMarquardt::new().with_tol(1e-11).with_patience(patience);
    let (problem, report) = search.minimize(problem);
    let numbers = problem.numbers(&problem.at);
    let jacobian = problem.slopes(&numbers)?.rows(0, rows).into_owned();
    let residuals = f(&numbers)?;
    let (covariance, blind) = spread(&jacobian, parameters);
    let touches = |i: usize| blind.iter().any(|v| v[i].abs() > TOUCHED * parameters[i].scale);
    Some(Solution {
        chi_square: residuals.iter().map(|r| r * r).sum(),
        told: (0..parameters.len()).map(|i| !touches(i)).collect(),
        arrived: report.termination.was_successful(),
        numbers,
        residuals,
        jacobian,
        covariance,
        blind,
    })
}

/// Inverse of J'J where it has one, and the directions in which it has none.
pub fn spread(jacobian: &DMatrix<f64>, parameters: &[Parameter]) -> (DMatrix<f64>, Vec<Vec<f64>>) {
    let n = parameters.len();
    let mut scaled = jacobian.clone();
    for (i, p) in parameters.iter().enumerate() {
        scaled.column_mut(i).scale_mut(p.scale);
    }
    // rows of zeros, so that every direction has a singular value
    let scaled = scaled.resize_vertically(jacobian.nrows().max(n), 0.0);
    let svd = scaled.svd(false, true);
    let Some(directions) = svd.v_t else { return (DMatrix::zeros(n, n), Vec::new()) };
    let largest = svd.singular_values.iter().copied().fold(0.0, f64::max);
    let mut covariance = DMatrix::zeros(n, n);
    let mut blind: Vec<Vec<f64>> = Vec::new();
    for (value, direction) in svd.singular_values.iter().zip(directions.row_iter()) {
        if *value <= NOTHING * largest || largest == 0.0 {
            blind.push(direction.iter().copied().collect());
            continue;
        }
        for i in 0..n {
            for j in 0..n {
                let scales = parameters[i].scale * parameters[j].scale;
                covariance[(i, j)] += direction[i] * direction[j] * scales / (value * value);
            }
        }
    }
    let own = plain(blind)
        .into_iter()
        .map(|direction| direction.iter().zip(parameters).map(|(v, p)| v * p.scale).collect());
    (covariance, own.collect())
}

/// Directions that span the same, each with as few unknowns as elimination gives,
/// the largest part 1.
fn plain(mut rows: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let mut done = 0;
    while done < rows.len() {
        let n = rows[done].len();
        let places = (done..rows.len()).flat_map(|r| (0..n).map(move |c| (r, c)));
        let Some((r, c)) =
            places.max_by(|a, b| rows[a.0][a.1].abs().total_cmp(&rows[b.0][b.1].abs()))
        else {
            break;
        };
        rows.swap(done, r);
        let pivot = rows[done][c];
        rows[done].iter_mut().for_each(|v| *v /= pivot);
        let row = rows[done].clone();
        for (i, other) in rows.iter_mut().enumerate() {
            if i != done {
                let factor = other[c];
                other.iter_mut().zip(&row).for_each(|(v, p)| *v -= factor * p);
            }
        }
        done += 1;
    }
    for row in &mut rows {
        let largest =
            row.iter().copied().fold(0.0, |a: f64, b| if b.abs() > a.abs() { b } else { a });
        if largest != 0.0 {
            row.iter_mut().for_each(|v| *v /= largest);
        }
    }
    rows
}
