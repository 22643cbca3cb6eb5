//! What the later stages take from the light stage.

use crate::units::Lux;

/// The sky that a result holds for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sky {
    /// Cloudless.
    Clear,
    /// Fully covered, no direct sun.
    Overcast,
}

/// Daylight with nothing in the way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Daylight {
    /// From the sun, on a plane facing it.
    pub direct_normal: Lux,
    /// From the sun, on the horizontal plane.
    pub direct_horizontal: Lux,
    /// From the whole sky, on the horizontal plane.
    pub diffuse_horizontal: Lux,
}

impl Daylight {
    /// The same sky with the sun hidden behind the land.
    pub fn without_direct(self) -> Self {
        Self { direct_normal: Lux::ZERO, direct_horizontal: Lux::ZERO, ..self }
    }
}
