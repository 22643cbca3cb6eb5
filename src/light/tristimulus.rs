//! Light as the CIE 1931 standard observer sees it.
//!
//! Everything that light does here (add, dim, bounce) is linear, so amounts of
//! light are carried as tristimulus values with `y` in lux (or, for
//! luminances, cd/m2). Colour comes out of them at the end, see
//! [`super::colour`].

use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};

use super::colour::Chromaticity;

/// Tristimulus values; `y` is the illuminance in lx or the luminance in cd/m2.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Tristimulus {
    pub x: f64,
    pub y: f64,
    pub z: f64,
}

impl Tristimulus {
    /// Darkness.
    pub const ZERO: Self = Self { x: 0.0, y: 0.0, z: 0.0 };

    /// An amount of light (lx or cd/m2) of a colour.
    ///
    /// ```
    /// use quarterstop::light::{Chromaticity, Tristimulus};
    /// let light = Tristimulus::of(1000.0, Chromaticity::D65);
    /// assert_eq!(light.lux(), 1000.0);
    /// assert!((light.x - 950.4).abs() < 0.2 && (light.z - 1089.0).abs() < 0.5);
    /// ```
    pub fn of(amount: f64, colour: Chromaticity) -> Self {
        let scale = amount / colour.y;
        Self { x: colour.x * scale, y: amount, z: (1.0 - colour.x - colour.y) * scale }
    }

    /// An amount of light (lx or cd/m2) of the colour of CIE illuminant D65.
    pub fn of_daylight(amount: f64) -> Self {
        Self::of(amount, Chromaticity::D65)
    }

    /// Illuminance, lx.
    pub fn lux(self) -> f64 {
        self.y
    }

    /// The colour; `None` for darkness.
    pub fn chromaticity(self) -> Option<Chromaticity> {
        let sum = self.x + self.y + self.z;
        (self.y > 0.0 && sum > 0.0).then(|| Chromaticity { x: self.x / sum, y: self.y / sum })
    }

    /// The same colour, as much as `amount` (lx or cd/m2); darkness stays dark.
    pub fn scaled_to(self, amount: f64) -> Self {
        if self.y > 0.0 { self * (amount / self.y) } else { Self::ZERO }
    }

    /// Each value times its own factor: light that bounced off something
    /// coloured, to first order.
    pub fn tinted(self, by: [f64; 3]) -> Self {
        Self { x: self.x * by[0], y: self.y * by[1], z: self.z * by[2] }
    }

    /// `[x, y, z]`.
    pub fn values(self) -> [f64; 3] {
        [self.x, self.y, self.z]
    }
}

impl From<[f64; 3]> for Tristimulus {
    fn from([x, y, z]: [f64; 3]) -> Self {
        Self { x, y, z }
    }
}

impl Add for Tristimulus {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self { x: self.x + other.x, y: self.y + other.y, z: self.z + other.z }
    }
}

impl AddAssign for Tristimulus {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Tristimulus {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        self + other * -1.0
    }
}

impl Mul<f64> for Tristimulus {
    type Output = Self;

    fn mul(self, factor: f64) -> Self {
        Self { x: self.x * factor, y: self.y * factor, z: self.z * factor }
    }
}

impl Sum for Tristimulus {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::ZERO, Add::add)
    }
}
