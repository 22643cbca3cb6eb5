//! Fewer points that say the same.
//!
//! In: a skyline. Out: some of its points, such that the lines between them pass
//! within a tolerance, up or down, of every point left out (Ramer 1972, Douglas
//! and Peucker 1973, with the distance measured upright).

use super::Skyline;

/// Thins a skyline that goes all around; sorted by azimuth, each once.
///
/// ```
/// use quarterstop::import::horizon::thin::thin;
/// let skyline: Vec<[f64; 2]> = (0..360).map(|a| [f64::from(a), f64::from(a).min(90.0)]).collect();
/// // up to 90 degrees, level from there, down again over north
/// assert_eq!(thin(&skyline, 0.01), [[0.0, 0.0], [90.0, 90.0], [359.0, 90.0]]);
/// ```
pub fn thin(skyline: &[[f64; 2]], tolerance_deg: f64) -> Skyline {
    let n = skyline.len();
    if n < 3 || tolerance_deg <= 0.0 {
        return skyline.to_vec();
    }
    // the highest point is kept; from there once around, back to itself
    let by_height = |a: &usize, b: &usize| skyline[*a][1].total_cmp(&skyline[*b][1]);
    let first = (0..n).rev().max_by(by_height).unwrap_or(0);
    let at = |i: usize| {
        let [azimuth, elevation] = skyline[(first + i) % n];
        [azimuth + if first + i >= n { 360.0 } else { 0.0 }, elevation]
    };
    let mut kept = vec![false; n];
    kept[first] = true;
    let mut todo = vec![(0, n)];
    while let Some((from, to)) = todo.pop() {
        let (a, b) = (at(from), at(to));
        let off = |i: usize| {
            let p = at(i);
            (p[1] - a[1] - (b[1] - a[1]) * (p[0] - a[0]) / (b[0] - a[0])).abs()
        };
        let Some(worst) = (from + 1..to).max_by(|i, j| off(*i).total_cmp(&off(*j))) else {
            continue;
        };
        if off(worst) > tolerance_deg {
            kept[(first + worst) % n] = true;
            todo.extend([(from, worst), (worst, to)]);
        }
    }
    skyline.iter().zip(kept).filter(|(_, kept)| *kept).map(|(point, _)| *point).collect()
}
