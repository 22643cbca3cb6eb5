//! Light around and after sunset.
//!
//! In: the sun's true elevation (without refraction), degrees. Out: illuminance of a clear
//! sky on the horizontal plane, lx, from a sun of 5 degrees down to the dark of night, and
//! how the daylight model goes over into it.
//!
//! Source: B. D. Yallop and C. Y. Hohenkerk in P. K. Seidelmann (ed.), Explanatory
//! Supplement to the Astronomical Almanac (1992), chapter 9, "Illumination", pages 490 to
//! 493: cubic fits of the logarithm of the illuminance in an average clear air, each for a
//! range of elevations. The coefficients are from memory, and agree with a copy in a public
//! collection of astronomical programs. A second fit by the U.S. Naval Observatory, to the
//! charts of D. R. E. Brown (Natural Illumination Charts, U.S. Navy Bureau of Ships, report
//! 374-1, 1952), gives the same within 0.1 stop (`tests/light_twilight.rs`).
//!
//! The spectral model has layers of air with a sun that shines on them from above: it ends
//! at the horizon, where it has no light at all. In the standard air it agrees with these
//! fits within 0.3 stop from 2 to 5 degrees, so that the two meet there without a step.

use crate::solar::SUN_DIAMETER_DEG;

/// A cubic in the elevation over 90 degrees for the decimal logarithm of the illuminance,
/// from an elevation on, degrees.
type Fit = (f64, [f64; 4]);

const FITS: [Fit; 4] = [
    (-0.8, [2.88, 22.26, -207.64, 1034.30]),
    (-5.0, [2.88, 21.81, -258.11, -858.36]),
    (-12.0, [2.70, 12.17, -431.69, -1899.83]),
    (-18.0, [13.84, 262.72, 1447.42, 2797.93]),
];

/// Where the fits for twilight begin, and where the night is as dark as it gets, degrees of
/// true elevation.
pub const MAX_DEG: f64 = 5.0;
pub const NIGHT_DEG: f64 = -18.0;

/// Neighbouring fits differ by 0.015 stop at most where they meet; so far to either side one
/// goes over into the other, degrees.
const JOIN_DEG: f64 = 0.05;

/// Up to here all light that the spectral model lacks is added; from here to
/// [`MAX_DEG`] less and less, since the fits know only an average air, degrees.
const WHOLE_DEG: f64 = 2.0;

/// Illuminance of a clear sky and of what is left of the sun on the horizontal plane, lx, up
/// to 5 degrees of true elevation.
///
/// ```
/// use quarterstop::light::twilight::horizontal_lx;
/// // the end of civil twilight, and a sun that has just set
/// assert!((horizontal_lx(-6.0) - 3.4).abs() < 0.05);
/// assert!((horizontal_lx(-50.0 / 60.0) - 454.0).abs() < 1.0);
/// ```
pub fn horizontal_lx(true_elevation_deg: f64) -> f64 {
    let elevation = true_elevation_deg.clamp(NIGHT_DEG, MAX_DEG);
    let [first, ..] = FITS;
    let pairs = FITS.into_iter().zip(FITS.into_iter().skip(1));
    let log = pairs.fold(of_fit(first, elevation), |log, (above, below)| {
        let share = 0.5 + 0.5 * (above.0 - elevation) / JOIN_DEG;
        match share {
            ..=0.0 => log,
            _ => log + (of_fit(below, elevation) - log) * share.min(1.0),
        }
    });
    10.0_f64.powf(log)
}

/// The decimal logarithm of the illuminance by one fit.
fn of_fit((_, c): Fit, elevation_deg: f64) -> f64 {
    let x = elevation_deg / 90.0;
    c[0] + x * (c[1] + x * (c[2] + x * c[3]))
}

/// Share of the horizon's illuminance that is left under it: 1 above.
pub(super) fn share_left(true_elevation_deg: f64) -> f64 {
    horizontal_lx(true_elevation_deg.min(0.0)) / horizontal_lx(0.0)
}

/// Light of the upper air on the horizontal that a sky lacks whose sun and sky give
/// `global_lx` together, lx. Nothing above [`MAX_DEG`].
pub(super) fn lacking_lx(true_elevation_deg: f64, global_lx: f64) -> f64 {
    let share = (MAX_DEG - true_elevation_deg) / (MAX_DEG - WHOLE_DEG);
    let lacking = (horizontal_lx(true_elevation_deg) - global_lx).max(0.0);
    lacking * share.clamp(0.0, 1.0)
}

/// Share of the sun's disc that shines. Shadows end with the disc's middle on the horizon,
/// where half of it is still up; so that no light goes out at once, the disc fades evenly
/// over its own height until then, a minute or two before it is really gone.
pub(super) fn disc_share(apparent_elevation_deg: f64) -> f64 {
    (apparent_elevation_deg / SUN_DIAMETER_DEG).clamp(0.0, 1.0)
}
