//! The split a camera sees between sun and shade.

use super::range::SplitRange;
use crate::light::{ColourTemperature, Trims, Tristimulus};
use crate::units::{Luminance, Lux, Stops};

/// One side of the edge, for one kind of target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Side {
    /// Mean light on the target's plane, lx.
    pub light: Tristimulus,
    /// Mean luminance of the target.
    pub luminance: Luminance,
}

impl Side {
    /// A side whose matt target reflects `reflectance` (0 to 1).
    pub fn of_matt(light: Tristimulus, reflectance: f64) -> Self {
        let luminance = Luminance::of_matt_surface(Lux::from_lux(light.lux()), reflectance);
        Self { light, luminance }
    }
}

/// Split of one kind of target (turf, or a subject facing the camera).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Split {
    /// The sunlit part of the cover; what it would be, where no part is sunlit.
    /// `None` without direct sun.
    pub sunlit: Option<Side>,
    /// The shaded part of the cover; what it would be, where no part is shaded.
    /// `None` where the camera covers nothing of the field.
    pub shaded: Option<Side>,
    pub state: SplitState,
    /// How many stops narrower the split is than it would be without the
    /// floodlights that are lit; `None` without an edge or without lit ones.
    pub floodlights_take: Option<Stops>,
    /// What happens on the sunlit side when a cloud covers the sun; `None` without
    /// direct sun.
    pub swing: Option<Swing>,
    /// From the 10th to the 90th percentile of what is unknown of the air; `None`
    /// where it was not asked for.
    pub range: Option<SplitRange>,
}

impl Split {
    /// Nothing of the field in the cover.
    pub const NOTHING: Self = Self {
        sunlit: None,
        shaded: None,
        state: SplitState::NoEdge,
        floodlights_take: None,
        swing: None,
        range: None,
    };

    /// How the colours of the two sides differ; `None` without two sides, or where
    /// a side's light has no colour temperature.
    pub fn colour(&self) -> Option<ColourGap> {
        let (sunlit, shaded) = (self.sunlit?.light, self.shaded?.light);
        let (warm, cool) = (ColourTemperature::of(sunlit)?, ColourTemperature::of(shaded)?);
        Some(ColourGap {
            mired: cool.mired() - warm.mired(),
            trims_for_shade: Trims::between(sunlit, shaded)?,
        })
    }
}

/// Difference in colour between the sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ColourGap {
    /// Shade over sun, mired; negative where shade is bluer, as it mostly is.
    pub mired: f64,
    /// Gain that makes the shade white for a camera balanced to the sun side. The
    /// other way, balanced to the shade and looking into the sun, is its negative.
    pub trims_for_shade: Trims,
}

/// What a cloud over the sun does to the sunlit side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Swing {
    /// How much brighter it is with the sun out than under the cloud.
    pub stops: Stops,
    /// Colour under the cloud over colour in the sun, mired; `None` where one of
    /// them has no colour temperature.
    pub mired: Option<f64>,
}

impl Swing {
    /// Between the light in the sun and under the cloud; `None` in darkness.
    pub fn between(sun_out: Tristimulus, covered: Tristimulus) -> Option<Self> {
        let stops = (sun_out.lux() > 0.0 && covered.lux() > 0.0)
            .then(|| Stops::from_stops((sun_out.lux() / covered.lux()).log2()))?;
        let colours = ColourTemperature::of(sun_out).zip(ColourTemperature::of(covered));
        Some(Self { stops, mired: colours.map(|(sun, cloud)| cloud.mired() - sun.mired()) })
    }
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
    /// Share of the frames between the aims that show sun and shade at once, 0 to 1:
    /// there no hand on the iris can follow.
    pub mixed_frames: f64,
    /// Horizontal turf.
    pub turf: Split,
    /// A vertical grey surface at face height turned toward the camera.
    pub subject: Split,
}
