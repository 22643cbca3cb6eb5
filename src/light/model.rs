//! What the later stages take from the light stage.

use crate::base::units::Transmittance;
use crate::light::tristimulus::Tristimulus;

/// The sky that a result holds for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sky {
    /// Cloudless.
    Clear,
    /// One thick cloud over the sun, the rest of the sky clear.
    Cumulus,
    /// Thin cloud all over that lets this share of the direct light through.
    Thin(Transmittance),
    /// White clouds in many places, the sun in a gap between them.
    Broken,
    /// Fully covered, no direct sun.
    Overcast,
}

impl Sky {
    /// Whether no direct light comes through.
    pub fn hides_sun(self) -> bool {
        match self {
            Self::Cumulus | Self::Overcast => true,
            Self::Clear | Self::Thin(_) | Self::Broken => false,
        }
    }
}

impl std::fmt::Display for Sky {
    /// As a heading would say it, in lower case.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Clear => write!(f, "clear sky"),
            Self::Cumulus => write!(f, "cumulus over the sun (no direct sun)"),
            Self::Thin(share) => {
                write!(f, "thin cloud ({:.0} % of the direct light)", 100.0 * share.share())
            }
            Self::Broken => write!(f, "broken cloud, sun in a gap"),
            Self::Overcast => write!(f, "overcast sky (no direct sun)"),
        }
    }
}

/// Daylight with nothing in the way; `y` of each value is in lx.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Daylight {
    /// From the sun, on a plane facing it.
    pub direct_normal: Tristimulus,
    /// From the sun, on the horizontal plane.
    pub direct_horizontal: Tristimulus,
    /// From the whole sky, on the horizontal plane.
    pub diffuse_horizontal: Tristimulus,
}

impl Daylight {
    /// The same sky with the sun hidden behind the land.
    pub fn without_direct(self) -> Self {
        Self { direct_normal: Tristimulus::ZERO, direct_horizontal: Tristimulus::ZERO, ..self }
    }

    /// Sun and sky together on the horizontal plane.
    pub fn global_horizontal(&self) -> Tristimulus {
        self.direct_horizontal + self.diffuse_horizontal
    }
}
