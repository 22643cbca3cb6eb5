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

/// The pattern of one turbidity, for any sun.
#[derive(Debug, Clone, Copy)]
pub(super) struct Blue {
    turbidity: f64,
    /// Coefficients A to E.
    x: [f64; 5],
    y: [f64; 5],
}

impl Blue {
    pub fn new(turbidity: f64) -> Self {
        let t = turbidity.clamp(TURBIDITY_RANGE.0, TURBIDITY_RANGE.1);
        let coefficients = |d: Distribution| d.map(|[slope, constant]| slope * t + constant);
        let (x, y) = (coefficients(X_DISTRIBUTION), coefficients(Y_DISTRIBUTION));
        Self { turbidity: t, x, y }
    }

    /// The sun in one place; under the horizon it is taken as on it.
    pub fn under(self, sun: DVec3) -> BlueSky {
        let cosine = sun.z.clamp(0.0, 1.0);
        let (zenith, t) = (cosine.acos(), self.turbidity);
        let at_zenith = |rows: [[f64; 4]; 3]| {
            let by_sun = rows.map(|[a, b, c, d]| ((a * zenith + b) * zenith + c) * zenith + d);
            (by_sun[0] * t + by_sun[1]) * t + by_sun[2]
        };
        let toward_zenith = |of: &[f64; 5]| graded(of, 1.0) * scattered(of, zenith, cosine);
        BlueSky {
            sun,
            scale: [
                at_zenith(X_ZENITH) / toward_zenith(&self.x),
                at_zenith(Y_ZENITH) / toward_zenith(&self.y),
            ],
            blue: self,
        }
    }

    /// Part of both chromaticities that the sine of the elevation makes.
    pub fn graded(&self, sine: f64) -> [f64; 2] {
        [&self.x, &self.y].map(|of| graded(of, sine.max(0.01)))
    }
}

/// Chromaticities of a clear sky with the sun in one place.
#[derive(Debug, Clone, Copy)]
pub struct BlueSky {
    sun: DVec3,
    blue: Blue,
    /// Over the distribution toward the zenith, of either chromaticity.
    scale: [f64; 2],
}

impl BlueSky {
    /// Prepares the model. `sun` under the horizon is taken as on it.
    pub fn new(sun: DVec3, turbidity: f64) -> Self {
        Blue::new(turbidity).under(sun)
    }

    /// Chromaticity of the sky in a direction above the horizon.
    pub fn toward(&self, toward: DVec3) -> Chromaticity {
        let cosine = self.sun.dot(toward).clamp(-1.0, 1.0);
        self.at(self.blue.graded(toward.z), cosine.acos(), cosine)
    }

    /// The same where [`Blue::graded`], the angle from the sun and its cosine are known.
    pub(super) fn at(&self, graded: [f64; 2], angle: f64, cosine: f64) -> Chromaticity {
        Chromaticity {
            x: self.scale[0] * graded[0] * scattered(&self.blue.x, angle, cosine),
            y: self.scale[1] * graded[1] * scattered(&self.blue.y, angle, cosine),
        }
    }
}

/// Perez's formula (the paper's equation 3) is the product of this and [`scattered`].
fn graded(&[a, b, ..]: &[f64; 5], sine: f64) -> f64 {
    1.0 + a * (b / sine).exp()
}

fn scattered(&[_, _, c, d, e]: &[f64; 5], angle: f64, cosine: f64) -> f64 {
    1.0 + c * (d * angle).exp() + e * cosine * cosine
}

/// The model's turbidity for an aerosol: `beta = 0.046 08 T - 0.045 86` with beta
/// the depth at 1 um (appendix A.1).
pub fn turbidity(aerosol_500nm: f64, exponent: f64) -> f64 {
    let beta = aerosol_500nm * 0.5_f64.powf(exponent);
    (beta + 0.045_86) / 0.046_08
}
