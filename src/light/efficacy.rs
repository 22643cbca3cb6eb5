//! Lumens from watts: luminous efficacy of sun and sky.
//!
//! In: irradiance (W/m2), elevation (degrees), precipitable water. Out: lm/W of
//! the direct beam and of the diffuse sky.
//!
//! Model: R. Perez, P. Ineichen, R. Seals, J. Michalsky, R. Stewart, "Modeling
//! daylight availability and irradiance components from direct and global
//! irradiance", Solar Energy 44(5), 1990, equations 1, 2, 7 and 8, table 4.
//!
//! The paper sorts skies into eight bins of clearness, with a step from one to
//! the next. Minutes of one afternoon must not jump, so here the coefficients
//! are joined linearly in the logarithm of the clearness between the middles of
//! the bins; in the middles they are the paper's.

use super::air::Air;
use super::clear::Irradiance;

/// Coefficients a, b, c, d of a bin.
type Row = [f64; 4];

/// Upper limits of clearness of the first seven bins (table 1 of the paper); the
/// eighth is open.
const LIMITS: [f64; 7] = [1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2];
/// Middles of the bins, geometric means of their limits; for the open bin the
/// limit times the width of the one before.
const MIDDLES: [f64; 8] = [1.032, 1.145, 1.358, 1.710, 2.337, 3.550, 5.282, 7.278];

/// Direct efficacy (table 4).
const DIRECT: [Row; 8] = [
    [57.20, -4.55, -2.98, 117.12],
    [98.99, -3.46, -1.21, 12.38],
    [109.83, -4.90, -1.71, -8.81],
    [110.34, -5.84, -1.99, -4.56],
    [106.36, -3.97, -1.75, -6.16],
    [107.19, -1.25, -1.51, -26.73],
    [105.75, 0.77, -1.26, -34.44],
    [101.18, 1.58, -1.10, -8.29],
];

/// Diffuse efficacy (table 4).
const DIFFUSE: [Row; 8] = [
    [97.24, -0.46, 12.00, -8.91],
    [107.22, 1.15, 0.59, -3.95],
    [104.97, 2.96, -5.53, -8.77],
    [102.39, 5.59, -13.95, -13.90],
    [100.71, 5.94, -22.75, -23.74],
    [106.42, 3.83, -36.15, -28.83],
    [141.88, 1.90, -53.24, -14.03],
    [152.23, 0.35, -45.27, -7.98],
];

/// The sun never gives more than light at the eye's best wavelength, 683 lm/W;
/// what the fit extrapolates to near the horizon is kept within published
/// measurements of daylight (Littlefair, Lighting Research and Technology 17(4),
/// 1985; from memory), lm/W.
const DIRECT_RANGE: (f64, f64) = (0.0, 120.0);
const DIFFUSE_RANGE: (f64, f64) = (80.0, 200.0);

/// Luminous efficacy of both parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Efficacies {
    pub direct_lm_w: f64,
    pub diffuse_lm_w: f64,
}

/// The sky's clearness (equation 1): 1 overcast, over 6 very clear. The zenith
/// angle is in radians.
pub fn clearness(irradiance: &Irradiance, zenith_rad: f64) -> f64 {
    let diffuse = irradiance.diffuse_horizontal_w_m2.max(1e-6);
    let cubed = 1.041 * zenith_rad.powi(3);
    ((diffuse + irradiance.direct_normal_w_m2) / diffuse + cubed) / (1.0 + cubed)
}

/// The sky's brightness (equation 2).
pub fn brightness(irradiance: &Irradiance) -> f64 {
    irradiance.diffuse_horizontal_w_m2 * irradiance.air_mass / irradiance.extraterrestrial_w_m2
}

/// Efficacies of direct (equation 8) and diffuse (equation 7) light.
pub fn efficacies(irradiance: &Irradiance, elevation_deg: f64, air: &Air) -> Efficacies {
    let zenith = (90.0 - elevation_deg.clamp(0.0, 90.0)).to_radians();
    let clearness = clearness(irradiance, zenith);
    let brightness = brightness(irradiance).max(1e-6);
    let [a, b, c, d] = joined(&DIRECT, clearness);
    let direct = a + b * air.water_cm + c * (5.73 * zenith - 5.0).exp() + d * brightness;
    let [a, b, c, d] = joined(&DIFFUSE, clearness);
    let diffuse = a + b * air.water_cm + c * zenith.cos() + d * brightness.ln();
    Efficacies {
        direct_lm_w: direct.clamp(DIRECT_RANGE.0, DIRECT_RANGE.1),
        diffuse_lm_w: diffuse.clamp(DIFFUSE_RANGE.0, DIFFUSE_RANGE.1),
    }
}

/// The bin of a clearness, counted from 0, as the paper sorts.
pub fn bin(clearness: f64) -> usize {
    LIMITS.partition_point(|limit| *limit <= clearness)
}

fn joined(table: &[Row; 8], clearness: f64) -> Row {
    let upper = MIDDLES.partition_point(|middle| *middle <= clearness);
    match upper {
        0 => table[0],
        8.. => table[7],
        _ => {
            let (low, high) = (MIDDLES[upper - 1].ln(), MIDDLES[upper].ln());
            let share = (clearness.ln() - low) / (high - low);
            std::array::from_fn(|i| {
                table[upper - 1][i] + share * (table[upper][i] - table[upper - 1][i])
            })
        }
    }
}
