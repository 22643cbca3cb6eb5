//! The balls.
//!
//! In: a kind of ball. Out: mass in kg, radius in m, drag and lift, reflectance.

use super::aero;
use super::aero::AeroCoefficients;

/// Whose ball it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BallKind {
    Golf,
    Football,
    Rugby,
    Cricket,
    Tennis,
}

/// A ball.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ball {
    pub kind: BallKind,
    pub mass_kg: f64,
    /// Of the disc that drag and lift are stated for.
    pub radius_m: f64,
    /// Share of light that it throws back, 0 to 1; matt.
    pub reflectance: f64,
}

impl BallKind {
    pub const ALL: [Self; 5] =
        [Self::Golf, Self::Football, Self::Rugby, Self::Cricket, Self::Tennis];

    /// The word of options and files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Golf => "golf",
            Self::Football => "football",
            Self::Rugby => "rugby",
            Self::Cricket => "cricket",
            Self::Tennis => "tennis",
        }
    }

    /// A ball in the middle of what the laws allow. Golf: at most 45.93 g, at least 42.67
    /// mm (R&A and USGA, Equipment Rules, part 4). Football: 410 to 450 g, 68 to 70 cm
    /// around (IFAB, Law 2). Rugby: 410 to 460 g, 58 to 62 cm around the middle (World
    /// Rugby, Law 2). Cricket: 155.9 to 163 g, 22.4 to 22.9 cm around (MCC, Law 4). Tennis:
    /// 56.0 to 59.4 g, 6.54 to 6.86 cm (ITF, Rules, appendix I). All from memory.
    /// Reflectances (white, mostly white, mostly white, red, yellow): common practice, no
    /// source.
    pub fn ball(self) -> Ball {
        let around = |cm: f64| cm / 100.0 / std::f64::consts::TAU;
        let (mass_kg, radius_m, reflectance) = match self {
            Self::Golf => (0.045_93, 0.021_335, 0.80),
            Self::Football => (0.430, around(69.0), 0.70),
            Self::Rugby => (0.435, around(60.0), 0.65),
            Self::Cricket => (0.159_5, around(22.65), 0.12),
            Self::Tennis => (0.057_7, 0.033_5, 0.60),
        };
        Ball { kind: self, mass_kg, radius_m, reflectance }
    }
}

impl Ball {
    /// Area of the disc, m2.
    pub fn area_m2(&self) -> f64 {
        std::f64::consts::PI * self.radius_m * self.radius_m
    }

    /// Drag and lift at a speed through the air (m/s) and a spin ratio.
    pub fn coefficients(&self, speed: f64, spin_ratio: f64) -> AeroCoefficients {
        let of = match self.kind {
            BallKind::Golf => aero::golf,
            BallKind::Football => aero::football,
            BallKind::Rugby => aero::rugby,
            BallKind::Cricket => aero::cricket,
            BallKind::Tennis => aero::tennis,
        };
        of(speed, spin_ratio)
    }

    /// How fast spin dies away, as a share of itself for each radius flown: Smits and
    /// Smith, A new aerodynamic model of a golf ball in flight, Science and Golf II
    /// (1994), from memory: 0.00002. Nothing was found for other balls; theirs stays.
    pub(super) fn spin_loss(&self) -> f64 {
        match self.kind {
            BallKind::Golf => 2e-5,
            _ => 0.0,
        }
    }
}
