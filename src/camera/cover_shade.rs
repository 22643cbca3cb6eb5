//! What the shadows of one instant do to a camera's cover, whatever the air.
//!
//! In: what a camera shows, and the shadows on the turf and at face height. Out: a
//! [`CoverageShade`], for the views of that instant in any number of airs.

use super::shown::Shown;
use crate::geometry::{CellShade, ShadeShare, Shadow};

/// Shade of a cover.
#[derive(Debug, Clone)]
pub struct CoverageShade {
    /// Of the cover as ground.
    pub(super) ground: ShadeShare,
    /// At the places shown, on the turf and at face height.
    pub(super) turf: Vec<CellShade>,
    pub(super) face: Option<Vec<CellShade>>,
}

impl CoverageShade {
    /// Without a shadow at face height there is no look at a subject.
    pub(super) fn new(shown: &Shown, turf: &Shadow, face: Option<&Shadow>) -> Self {
        let (ground, turf) = shown.shade(turf);
        Self { ground, turf, face: face.map(|face| shown.shade(face).1) }
    }
}
