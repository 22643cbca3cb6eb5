//! The colour of what is played on.
//!
//! In: a [`PlayingSurface`] and its luminous reflectance. Out: reflectance for
//! each tristimulus value: to first order, light that bounces off the surface is
//! multiplied by it.
//!
//! Colours are those of Munsell notations under illuminant C (ASTM D1535; values
//! of the renotation made with colour-science 0.4.7): grass as the foliage of the
//! colour-rendition chart of McCamy, Marcus and Davidson (J. Appl. Photogr. Eng.
//! 2(3), 1976), 6.7GY 4.2/4.1; which notation stands for the others is our choice.

use super::colour::Chromaticity;
use crate::venue::PlayingSurface;

/// CIE illuminant C (CIE 15).
const ILLUMINANT_C: Chromaticity = Chromaticity { x: 0.310_06, y: 0.316_16 };

/// Reflectances for X, Y and Z of a surface that reflects `luminous` (0 to 1) of
/// the light that the eye weighs.
pub fn reflectances(surface: PlayingSurface, luminous: f64) -> [f64; 3] {
    let colour = match surface {
        PlayingSurface::Grass => Chromaticity { x: 0.336_62, y: 0.422_06 },
        PlayingSurface::DryGrass => Chromaticity { x: 0.384_00, y: 0.386_70 }, // 2.5Y 6/4
        PlayingSurface::Clay => Chromaticity { x: 0.436_50, y: 0.364_00 },     // 2.5YR 5/6
        PlayingSurface::Sand => Chromaticity { x: 0.377_80, y: 0.371_90 },     // 10YR 7/4
        // in many colours, and without one
        PlayingSurface::Acrylic
        | PlayingSurface::Snow
        | PlayingSurface::Concrete
        | PlayingSurface::Asphalt => ILLUMINANT_C,
    };
    coloured(colour, luminous)
}

/// Reflectances for X, Y and Z of a surface that has a colour under illuminant C and reflects
/// `luminous` (0 to 1) of the light that the eye weighs.
pub fn coloured(colour: Chromaticity, luminous: f64) -> [f64; 3] {
    let against_white = |value: fn(Chromaticity) -> f64| value(colour) / value(ILLUMINANT_C);
    [
        luminous * against_white(|c| c.x / c.y),
        luminous,
        luminous * against_white(|c| (1.0 - c.x - c.y) / c.y),
    ]
}
