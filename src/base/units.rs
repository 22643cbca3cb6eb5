//! Quantities with their unit in the type.
//!
//! In: raw numbers through a constructor whose name says the unit. Out: raw
//! numbers through a getter whose name says the unit. Everything that could be
//! mixed up (an azimuth with an elevation, lux with cd/m2) has its own type;
//! plain lengths that cannot be mistaken are `f64` with a unit in the name.

use serde::Serialize;

/// A direction in the horizontal plane, clockwise from true north, kept in
/// `[0, 360)` degrees.
///
/// ```
/// use quarterstop::base::units::Azimuth;
/// assert_eq!(Azimuth::from_degrees(-90.0).degrees(), 270.0);
/// assert_eq!(Azimuth::from_degrees(360.0).degrees(), 0.0);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Azimuth(f64);

impl Azimuth {
    /// From degrees clockwise of true north; any finite number is wrapped.
    pub fn from_degrees(degrees: f64) -> Self {
        let wrapped = degrees.rem_euclid(360.0);
        // rem_euclid of a tiny negative number rounds up to a full turn
        Self(if wrapped >= 360.0 { 0.0 } else { wrapped })
    }

    /// Degrees in `[0, 360)`.
    pub fn degrees(self) -> f64 {
        self.0
    }

    /// Radians in `[0, 2 pi)`.
    pub fn radians(self) -> f64 {
        self.0.to_radians()
    }
}

/// An angle above the horizontal, degrees, `-90..=90`.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Elevation(f64);

impl Elevation {
    /// From degrees above the horizontal; clamped to `-90..=90`.
    pub fn from_degrees(degrees: f64) -> Self {
        Self(degrees.clamp(-90.0, 90.0))
    }

    /// Degrees above the horizontal.
    pub fn degrees(self) -> f64 {
        self.0
    }

    /// Radians above the horizontal.
    pub fn radians(self) -> f64 {
        self.0.to_radians()
    }
}

/// The share of light that passes, 0 (opaque) to 1 (nothing in the way).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Transmittance(f64);

impl Transmittance {
    /// Nothing passes.
    pub const OPAQUE: Self = Self(0.0);
    /// Everything passes.
    pub const CLEAR: Self = Self(1.0);

    /// From a share; clamped to `0..=1`.
    pub fn from_share(share: f64) -> Self {
        Self(share.clamp(0.0, 1.0))
    }

    /// The share, 0 to 1.
    pub fn share(self) -> f64 {
        self.0
    }

    /// Whether nothing at all passes.
    pub fn is_opaque(self) -> bool {
        self.0 <= 0.0
    }
}

/// Illuminance on a plane that the name beside it states.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Lux(f64);

impl Lux {
    /// Darkness.
    pub const ZERO: Self = Self(0.0);

    /// From lux; negative values become zero.
    pub fn from_lux(lux: f64) -> Self {
        Self(lux.max(0.0))
    }

    /// Lux.
    pub fn lux(self) -> f64 {
        self.0
    }
}

/// Luminance toward a camera, cd/m2.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Luminance(f64);

impl Luminance {
    /// From candela per square metre; negative values become zero.
    pub fn from_cd_per_m2(cd_per_m2: f64) -> Self {
        Self(cd_per_m2.max(0.0))
    }

    /// Luminance of a matt surface: reflectance times illuminance over pi.
    pub fn of_matt_surface(illuminance: Lux, reflectance: f64) -> Self {
        Self::from_cd_per_m2(illuminance.lux() * reflectance / std::f64::consts::PI)
    }

    /// Candela per square metre.
    pub fn cd_per_m2(self) -> f64 {
        self.0
    }
}

/// A ratio of light as photographers count it: one stop is a factor of two.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Stops(f64);

impl Stops {
    /// From a number of stops.
    pub fn from_stops(stops: f64) -> Self {
        Self(stops)
    }

    /// How many stops `brighter` lies over `darker`; `None` unless both are
    /// greater than zero.
    ///
    /// ```
    /// use quarterstop::base::units::{Luminance, Stops};
    /// let sun = Luminance::from_cd_per_m2(800.0);
    /// let shade = Luminance::from_cd_per_m2(100.0);
    /// assert_eq!(Stops::between(sun, shade).unwrap().stops(), 3.0);
    /// ```
    pub fn between(brighter: Luminance, darker: Luminance) -> Option<Self> {
        (brighter.0 > 0.0 && darker.0 > 0.0).then(|| Self((brighter.0 / darker.0).log2()))
    }

    /// The number of stops.
    pub fn stops(self) -> f64 {
        self.0
    }
}
