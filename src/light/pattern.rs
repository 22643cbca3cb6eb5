//! Where the sky is bright.
//!
//! In: a sky type, directions toward the sun and toward a piece of sky (unit
//! vectors, local frame). Out: luminance, relative to some place of the sky; who
//! uses it scales it.
//!
//! ISO 15469:2004 (CIE S 011), Spatial distribution of daylight, CIE standard
//! general sky: `f(angle from the sun) * phi(angle from the zenith)`, formulas 1
//! to 7, parameters of table 1.

use glam::DVec3;

/// Parameters a and b of the gradation groups I to VI.
const GRADATION: [[f64; 2]; 6] =
    [[4.0, -0.70], [1.1, -0.8], [0.0, -1.0], [-1.0, -0.55], [-1.0, -0.32], [-1.0, -0.15]];
/// Parameters c, d and e of the indicatrix groups 1 to 6.
const INDICATRIX: [[f64; 3]; 6] = [
    [0.0, -1.0, 0.0],
    [2.0, -1.5, 0.15],
    [5.0, -2.5, 0.30],
    [10.0, -3.0, 0.45],
    [16.0, -3.0, 0.30],
    [24.0, -2.8, 0.15],
];
/// Groups of the types 1 to 15, counted from 0.
const GROUPS: [(usize, usize); 15] = [
    (0, 0),
    (0, 1),
    (1, 0),
    (1, 1),
    (2, 0),
    (2, 1),
    (2, 2),
    (2, 3),
    (3, 1),
    (3, 2),
    (3, 3),
    (4, 3),
    (4, 4),
    (5, 4),
    (5, 5),
];

/// A type of the general sky.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkyType {
    gradation: Gradation,
    indicatrix: [f64; 3],
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Gradation {
    /// a and b of `1 + a exp(b / sin(elevation))`.
    Exponential([f64; 2]),
    /// `(1 + 2 sin(elevation)) / 3`.
    Traditional,
}

impl SkyType {
    /// The traditional overcast sky of Moon and Spencer, type 16: the one that
    /// the illuminances of RP-21 and the 0.396 of an upright face belong to (type 1
    /// is darker at the horizon: 0.379).
    pub const OVERCAST: Self =
        Self { gradation: Gradation::Traditional, indicatrix: INDICATRIX[0] };
    /// Partly cloudy, brighter around the sun: type 10.
    pub const PARTLY_CLOUDY: Self = Self::of_groups(GROUPS[9]);
    /// Clear, low turbidity: type 12.
    pub const CLEAR: Self = Self::of_groups(GROUPS[11]);
    /// Clear, polluted: type 13.
    pub const HAZY: Self = Self::of_groups(GROUPS[12]);
    /// Cloudless and turbid with a broad corona: type 14.
    pub const TURBID: Self = Self::of_groups(GROUPS[13]);
    /// White-blue and turbid with a broad corona: type 15.
    pub const WHITE_BLUE: Self = Self::of_groups(GROUPS[14]);

    /// Type 1 to 16 of the standard; `None` for any other number.
    pub fn numbered(number: usize) -> Option<Self> {
        if number == 16 {
            return Some(Self::OVERCAST);
        }
        GROUPS.get(number.checked_sub(1)?).map(|&groups| Self::of_groups(groups))
    }

    const fn of_groups((gradation, indicatrix): (usize, usize)) -> Self {
        Self {
            gradation: Gradation::Exponential(GRADATION[gradation]),
            indicatrix: INDICATRIX[indicatrix],
        }
    }

    /// Luminance of a piece of sky relative to the zenith's. `toward` is above
    /// the horizon.
    ///
    /// ```
    /// use glam::DVec3;
    /// use quarterstop::light::SkyType;
    /// // an overcast sky is three times as bright overhead as at the horizon
    /// let low = DVec3::new(1.0, 0.0, 1e-9).normalize();
    /// let relative = SkyType::OVERCAST.relative(DVec3::X, low);
    /// assert!((1.0 / relative - 3.0).abs() < 1e-6);
    /// ```
    pub fn relative(&self, sun: DVec3, toward: DVec3) -> f64 {
        let cosine = sun.dot(toward).clamp(-1.0, 1.0);
        self.scattering()(cosine.acos(), cosine) * self.graded(toward.z) / self.at_zenith(sun)
    }

    /// What scattering times gradation is toward the zenith.
    pub(super) fn at_zenith(&self, sun: DVec3) -> f64 {
        let cosine = sun.z.clamp(-1.0, 1.0);
        self.scattering()(cosine.acos(), cosine) * self.graded(1.0)
    }

    /// The gradation function, by the sine of the elevation (formulas 2, 3 and 7).
    pub(super) fn graded(&self, sine: f64) -> f64 {
        match self.gradation {
            Gradation::Exponential([a, b]) => 1.0 + a * (b / sine.max(1e-6)).exp(),
            Gradation::Traditional => (1.0 + 2.0 * sine) / 3.0,
        }
    }

    /// The scattering indicatrix, a function of the angle from the sun and of its cosine
    /// (formulas 5 and 6).
    pub(super) fn scattering(&self) -> impl Fn(f64, f64) -> f64 {
        let [c, d, e] = self.indicatrix;
        let right_angle = (d * std::f64::consts::FRAC_PI_2).exp();
        move |angle, cosine| {
            let broad = if c == 0.0 { 0.0 } else { c * ((d * angle).exp() - right_angle) };
            1.0 + broad + e * cosine * cosine
        }
    }
}

/// Depths at 500 nm at which the pattern of a cloudless sky is that of one type alone;
/// between them it is nearly linear in depth.
pub const TYPE_DEPTHS: [f64; 3] = [0.1, 0.3, 0.7];

/// Types of a cloudless sky and their shares, by the aerosol optical depth at 500
/// nm. The standard tells types by words; which depth is which is our choice: low
/// turbidity up to 0.1, polluted at 0.3, turbid from 0.7, joined linearly.
pub fn cloudless_types(aerosol_500nm: f64) -> [(SkyType, f64); 2] {
    const TYPES: [SkyType; 3] = [SkyType::CLEAR, SkyType::HAZY, SkyType::TURBID];
    let [first, middle, last] = [0, 1, 2].map(|i| (TYPE_DEPTHS[i], TYPES[i]));
    let (low, high) = if aerosol_500nm <= middle.0 { (first, middle) } else { (middle, last) };
    let share = ((aerosol_500nm - low.0) / (high.0 - low.0)).clamp(0.0, 1.0);
    [(low.1, 1.0 - share), (high.1, share)]
}
