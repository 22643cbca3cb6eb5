//! Where a clear sky is blue.
//!
//! In: turbidity, directions toward the sun and toward pieces of sky. Out:
//! chromaticity of each piece: bluest away from the sun, whiter around it and
//! toward the horizon.
//!
//! A. J. Preetham, P. Shirley, B. Smits, "A Practical Analytic Model for
//! Daylight", SIGGRAPH 1999, appendix A.2. Only the pattern is taken from it; how
//! much light of each colour the whole sky sends is the spectral model's.

use glam::DVec3;

use super::colour::Chromaticity;

/// Coefficients A to E as `slope * turbidity + constant`.
type Distribution = [[f64; 2]; 5];

const X_DISTRIBUTION: Distribution = [
    [-0.019_25, -0.259_22],
    [-0.066_51, 0.000_81],
    [-0.000_41, 0.212_47],
    [-0.064_09, -0.898_87],
    [-0.003_25, 0.045_17],
];
const Y_DISTRIBUTION: Distribution = [
    [-0.016_69, -0.260_78],
    [-0.094_95, 0.009_21],
    [-0.007_92, 0.210_23],
    [-0.044_05, -1.653_69],
    [-0.010_92, 0.052_91],
];
/// Rows for turbidity squared, turbidity and 1; columns for the sun's zenith
/// angle cubed, squared, once and 1.
const X_ZENITH: [[f64; 4]; 3] = [
    [0.001_66, -0.003_75, 0.002_09, 0.0],
    [-0.029_03, 0.063_77, -0.032_02, 0.003_94],
    [0.116_93, -0.211_96, 0.060_52, 0.258_86],
];
const Y_ZENITH: [[f64; 4]; 3] = [
    [0.002_75, -0.006_10, 0.003_17, 0.0],
    [-0.042_14, 0.089_70, -0.041_53, 0.005_16],
    [0.153_46, -0.267_56, 0.066_70, 0.266_88],
];

/// Turbidities that the model was fitted to.
const TURBIDITY_RANGE: (f64, f64) = (2.0, 10.0);

/// Chromaticities of a clear sky with the sun in one place.
#[derive(Debug, Clone, Copy)]
pub struct BlueSky {
    sun: DVec3,
    x: [f64; 5],
    y: [f64; 5],
    /// Over the distribution toward the zenith.
    x_scale: f64,
    y_scale: f64,
}

impl BlueSky {
    /// Prepares the model. `sun` under the horizon is taken as on it.
    pub fn new(sun: DVec3, turbidity: f64) -> Self {
        let t = turbidity.clamp(TURBIDITY_RANGE.0, TURBIDITY_RANGE.1);
        let zenith = sun.z.clamp(0.0, 1.0).acos();
        let coefficients = |d: Distribution| d.map(|[slope, constant]| slope * t + constant);
        let at_zenith = |rows: [[f64; 4]; 3]| {
            let by_sun = rows.map(|[a, b, c, d]| ((a * zenith + b) * zenith + c) * zenith + d);
            (by_sun[0] * t + by_sun[1]) * t + by_sun[2]
        };
        let (x, y) = (coefficients(X_DISTRIBUTION), coefficients(Y_DISTRIBUTION));
        Self {
            sun,
            x_scale: at_zenith(X_ZENITH) / distribution(&x, 1.0, zenith),
            y_scale: at_zenith(Y_ZENITH) / distribution(&y, 1.0, zenith),
            x,
            y,
        }
    }

    /// Chromaticity of the sky in a direction above the horizon.
    pub fn toward(&self, toward: DVec3) -> Chromaticity {
        let angle = self.sun.dot(toward).clamp(-1.0, 1.0).acos();
        let sine = toward.z.max(0.01);
        Chromaticity {
            x: self.x_scale * distribution(&self.x, sine, angle),
            y: self.y_scale * distribution(&self.y, sine, angle),
        }
    }
}

/// Perez's formula (the paper's equation 3).
fn distribution(&[a, b, c, d, e]: &[f64; 5], sine: f64, sun_angle: f64) -> f64 {
    (1.0 + a * (b / sine).exp()) * (1.0 + c * (d * sun_angle).exp() + e * sun_angle.cos().powi(2))
}

/// The model's turbidity for an aerosol: `beta = 0.046 08 T - 0.045 86` with beta
/// the depth at 1 um (appendix A.1).
pub fn turbidity(aerosol_500nm: f64, exponent: f64) -> f64 {
    let beta = aerosol_500nm * 0.5_f64.powf(exponent);
    (beta + 0.045_86) / 0.046_08
}
