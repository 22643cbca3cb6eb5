//! The search for least squares against certified values.

use quarterstop::jobs::fit::judge::judge;
use quarterstop::jobs::fit::seen::Errors;
use quarterstop::jobs::fit::solve::{Parameter, solve};

/// Certified values are given to 11 figures; with central differences and sums of
/// squares near 0.1 the search keeps more than six.
const FIGURES: f64 = 1e-6;

fn near(found: f64, certified: f64) -> bool {
    (found / certified - 1.0).abs() < FIGURES
}

fn parameter(start: f64, scale: f64) -> Parameter {
    Parameter { start, scale, step: 1e-5 * scale, limits: (0.0, 1e6) }
}

/// NIST Statistical Reference Datasets, nonlinear regression, Misra1a (lower
/// difficulty): dental research data of D. Misra, 1978; model
/// y = b1 (1 - exp(-b2 x)); both starts of the dataset; certified parameters,
/// their standard deviations, residual standard deviation, degrees of freedom.
#[test]
fn misra1a_of_nist_has_its_certified_values() {
    const SEEN: [(f64, f64); 14] = [
        (10.07, 77.6),
        (14.73, 114.9),
        (17.94, 141.1),
        (23.93, 190.8),
        (29.61, 239.9),
        (35.18, 289.0),
        (40.02, 332.8),
        (44.82, 378.4),
        (50.76, 434.8),
        (55.05, 477.3),
        (61.01, 536.8),
        (66.40, 593.1),
        (75.47, 689.1),
        (81.78, 760.0),
    ];
    let residuals =
        |b: &[f64]| Some(SEEN.iter().map(|(y, x)| y - b[0] * (1.0 - (-b[1] * x).exp())).collect());
    for (b1, b2) in [(500.0, 1e-4), (250.0, 5e-4)] {
        let found = solve(&residuals, &[parameter(b1, 100.0), parameter(b2, 1e-4)]).unwrap();
        let judged = judge(&found, Errors::Relative);
        assert!(found.arrived);
        assert!(near(found.numbers[0], 2.389_421_291_8e2), "{:?}", found.numbers);
        assert!(near(found.numbers[1], 5.501_564_318_1e-4), "{:?}", found.numbers);
        assert!(near(judged.standard_errors[0], 2.707_007_524_1), "{judged:?}");
        assert!(near(judged.standard_errors[1], 7.266_868_843_6e-6), "{judged:?}");
        assert!(near(found.chi_square, 1.245_513_889_4e-1), "{}", found.chi_square);
        assert!(near(judged.noise_scale, 1.018_787_633_0e-1), "{judged:?}");
        assert_eq!(judged.degrees_of_freedom, 12);
    }
}

/// 97.5 % points of Student's t: 2.179 for 12 degrees of freedom, 1.960 for the
/// normal (any table of the t distribution, such as NIST/SEMATECH e-Handbook,
/// section 1.3.6.7.2).
#[test]
fn intervals_use_student_only_where_the_noise_is_found() {
    let seen: Vec<f64> = (0..13).map(f64::from).collect();
    let f = |x: &[f64]| Some(seen.iter().map(|s| s - x[0]).collect());
    let found = solve(&f, &[parameter(1.0, 1.0)]).unwrap();
    assert!((judge(&found, Errors::Relative).reach - 2.179).abs() < 5e-4);
    assert!((judge(&found, Errors::AsStated).reach - 1.960).abs() < 5e-4);
}

/// Two unknowns of which only the sum is seen.
#[test]
fn a_direction_that_nothing_notices_is_found_and_not_divided_by() {
    let f =
        |x: &[f64]| Some(vec![3.0 - (x[0] + 2.0 * x[1]), 5.0 - (x[0] + 2.0 * x[1]), 7.0 - x[2]]);
    let p = parameter(1.0, 1.0);
    let found = solve(&f, &[p, p, p]).unwrap();
    assert!((found.numbers[0] + 2.0 * found.numbers[1] - 4.0).abs() < 1e-6);
    assert_eq!(found.told, [false, false, true]);
    assert_eq!(found.blind.len(), 1);
    let v = &found.blind[0];
    assert!((v[1] / v[0] + 0.5).abs() < 1e-6 && v[2].abs() < 1e-6, "{v:?}");
    assert!((found.covariance[(2, 2)] - 1.0).abs() < 1e-6);
    assert_eq!(judge(&found, Errors::AsStated).degrees_of_freedom, 1);
}

/// The least squares line through (1, 1), (2, 3), (3, 2), by hand: slope 0.5,
/// intercept 1; leverages 5/6, 1/3, 5/6.
#[test]
fn leverage_decides_how_far_a_residual_is_out() {
    let points = [(1.0, 1.0), (2.0, 3.0), (3.0, 2.0)];
    let f = |x: &[f64]| Some(points.iter().map(|(a, b)| b - x[0] - x[1] * a).collect());
    let p = Parameter { start: 0.0, scale: 1.0, step: 1e-4, limits: (-9.0, 9.0) };
    let found = solve(&f, &[p, p]).unwrap();
    assert!((found.numbers[0] - 1.0).abs() < 1e-8 && (found.numbers[1] - 0.5).abs() < 1e-8);
    let judged = judge(&found, Errors::AsStated);
    let by_hand = [-0.5 / (1.0_f64 / 6.0).sqrt(), 1.0 / (2.0_f64 / 3.0).sqrt()];
    for (i, expected) in [(0, by_hand[0]), (1, by_hand[1]), (2, by_hand[0])] {
        let (value, chance) = judged.studentised[i].unwrap();
        assert!((value - expected).abs() < 1e-6, "{i}: {value}");
        // all three say the same with one degree of freedom: 1.2247 of a normal is
        // passed on either side with a chance of 0.2207, times three
        assert!((chance - 3.0 * 0.2207).abs() < 1e-3, "{chance}");
    }
}
