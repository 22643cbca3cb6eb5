//! The split a camera sees between sun and shade.

use crate::units::{Luminance, Stops};

/// Split of one kind of target (turf, or a subject facing the camera).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Split {
    /// Mean luminance of the sunlit part of the cover; what it would be, where
    /// no part is sunlit. `None` without direct sun.
    pub sunlit: Option<Luminance>,
    /// Mean luminance of the shaded part of the cover; what it would be, where
    /// no part is shaded. `None` where the camera covers nothing of the field.
    pub shaded: Option<Luminance>,
    pub state: SplitState,
}

/// Whether the edge is in shot, and how many stops apart the sides are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SplitState {
    /// Both sides are in the cover.
    InShot(Stops),
    /// Only one side is in the cover; the number is what the split would be
    /// were the edge in shot.
    Latent(Stops, OneSide),
    /// No direct sun, or nothing of the field in the cover: no edge anywhere.
    NoEdge,
}

impl SplitState {
    /// The split where the edge is in shot.
    pub fn in_shot(&self) -> Option<Stops> {
        match self {
            SplitState::InShot(stops) => Some(*stops),
            _ => None,
        }
    }

    /// The split where it is only latent.
    pub fn latent(&self) -> Option<Stops> {
        match self {
            SplitState::Latent(stops, _) => Some(*stops),
            _ => None,
        }
    }
}

/// The side that fills the cover where no edge is in shot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OneSide {
    AllSunlit,
    AllShaded,
}

/// What one camera sees at one instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CameraView {
    /// Share of the cover's turf that is not in full sun, 0 to 1.
    pub shaded_share: f64,
    /// Horizontal turf.
    pub turf: Split,
    /// A vertical grey surface at face height turned toward the camera.
    pub subject: Split,
}
