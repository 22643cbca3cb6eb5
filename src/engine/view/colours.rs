//! Colours of what is in the picture.
//!
//! In: parts of bodies, kits, skins. Out: reflectances for X, Y and Z.
//!
//! Chromaticities under illuminant C are those of patches of the colour-rendition chart of
//! McCamy, Marcus and Davidson (J. Appl. Photogr. Eng. 2(3), 1976, table; from memory, the
//! foliage patch as in the light stage's own ground). Which patch stands for what is our
//! choice; how much light a body reflects is the venue file's.

use crate::light::{Chromaticity, coloured};
use crate::venue::{Part, Subject};

pub use crate::venue::Skin;

const NEUTRAL: Chromaticity = Chromaticity { x: 0.310_06, y: 0.316_16 };
const BLUE_SKY: Chromaticity = Chromaticity { x: 0.247, y: 0.251 };
const FOLIAGE: Chromaticity = Chromaticity { x: 0.337, y: 0.422 };
const DARK_SKIN: Chromaticity = Chromaticity { x: 0.400, y: 0.350 };
const LIGHT_SKIN: Chromaticity = Chromaticity { x: 0.377, y: 0.345 };
const RED: Chromaticity = Chromaticity { x: 0.539, y: 0.313 };
const YELLOW: Chromaticity = Chromaticity { x: 0.448, y: 0.470 };

/// Luminous reflectances of the chart's red and yellow (the same table).
const RED_REFLECTS: f64 = 0.120;
const YELLOW_REFLECTS: f64 = 0.591;
/// Paint of lines, between fresh and worn (common practice, no source).
const LINE_REFLECTS: f64 = 0.5;

/// Of a body of a venue.
pub(super) fn of_part(part: Part, luminous: f64) -> [f64; 3] {
    let colour = match part {
        Part::Deck => BLUE_SKY,
        Part::Crown => FOLIAGE,
        Part::Trunk => DARK_SKIN,
        Part::BackWall | Part::EndWall | Part::Roof | Part::Solid | Part::Panel | Part::Mesh => {
            NEUTRAL
        }
    };
    coloured(colour, luminous)
}

/// Of a line.
pub(super) fn line() -> [f64; 3] {
    coloured(NEUTRAL, LINE_REFLECTS)
}

/// What a player wears.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kit {
    /// As bright as the venue file's brightest.
    White,
    /// As dark as its darkest.
    Black,
    Red,
    Yellow,
}

impl Kit {
    /// Reflectances for X, Y and Z.
    pub fn reflects(self, subject: &Subject) -> [f64; 3] {
        match self {
            Self::White => coloured(NEUTRAL, subject.white_kit_reflectance),
            Self::Black => coloured(NEUTRAL, subject.black_kit_reflectance),
            Self::Red => coloured(RED, RED_REFLECTS),
            Self::Yellow => coloured(YELLOW, YELLOW_REFLECTS),
        }
    }

    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::White => "white kit",
            Self::Black => "black kit",
            Self::Red => "red kit",
            Self::Yellow => "yellow kit",
        }
    }
}

impl Skin {
    /// Reflectances for X, Y and Z.
    pub fn reflects(self) -> [f64; 3] {
        let between = |a: f64, b: f64| 0.5 * (a + b);
        let colour = match self {
            Self::Dark => DARK_SKIN,
            Self::Medium => Chromaticity {
                x: between(DARK_SKIN.x, LIGHT_SKIN.x),
                y: between(DARK_SKIN.y, LIGHT_SKIN.y),
            },
            Self::Light => LIGHT_SKIN,
        };
        coloured(colour, self.luminous())
    }
}
