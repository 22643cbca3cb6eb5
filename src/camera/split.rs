//! The split a camera sees between sun, dimmed light and shade.

use crate::base::units::{Luminance, Lux, Stops};
use crate::camera::class::{ClassShares, LightClass, Present, SLIVER_SHARE};
use crate::camera::range::SplitRange;
use crate::light::{ColourTemperature, Trims, Tristimulus};

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
///
/// Each side is the mean over all that the camera shows, as it would be in that class of
/// light: the same places, facings and weights on all sides. It does not hang on where the
/// edge lies; `shares` does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Split {
    /// In full sun. `None` without direct sun.
    pub sunlit: Option<Side>,
    /// With the mean transmittance of the dimmed part; `None` where nothing is dimmed.
    pub dimmed: Option<Side>,
    /// In opaque shade. `None` where the camera covers nothing of the field.
    pub shaded: Option<Side>,
    /// How much of what the camera shows each class takes.
    pub shares: ClassShares,
    /// The brighter and the darker class that the stops of `state` are between.
    pub between: Option<(LightClass, LightClass)>,
    pub state: SplitState,
    /// Light of floodlights in each side, lx.
    pub flood: Tristimulus,
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
        dimmed: None,
        shaded: None,
        shares: ClassShares::NOTHING,
        between: None,
        state: SplitState::NoEdge,
        flood: Tristimulus::ZERO,
        floodlights_take: None,
        swing: None,
        range: None,
    };

    /// The side of a class.
    pub fn side(&self, class: LightClass) -> Option<Side> {
        match class {
            LightClass::Sun => self.sunlit,
            LightClass::Dimmed => self.dimmed,
            LightClass::Shade => self.shaded,
        }
    }

    /// The brighter and the darker side that the split is between; `None` without an edge.
    pub fn sides(&self) -> Option<(Side, Side)> {
        let (bright, dark) = self.between?;
        self.side(bright).zip(self.side(dark))
    }

    /// The side in dimmed light; `None` where no more than a sliver is dimmed.
    pub fn dimmed_side(&self) -> Option<Side> {
        self.dimmed.filter(|_| self.shares.dimmed >= SLIVER_SHARE)
    }

    /// The side under something that lets this share of the direct light through, 0 to 1;
    /// `None` without direct sun.
    pub fn mixed(&self, through: f64) -> Option<Side> {
        let (sun, shade) = (self.sunlit?, self.shaded?);
        let (dark, bright) = (shade.luminance.cd_per_m2(), sun.luminance.cd_per_m2());
        Some(Side {
            light: shade.light + (sun.light - shade.light) * through,
            luminance: Luminance::from_cd_per_m2(dark + (bright - dark) * through),
        })
    }

    /// Stops from dimmed light up to full sun; `None` where no more than a sliver is dimmed.
    pub fn sun_over_dimmed(&self) -> Option<Stops> {
        Stops::between(self.sunlit?.luminance, self.dimmed_side()?.luminance)
    }

    /// Decides which classes make sides, where those of `before` did the instant before,
    /// and sets `state` by them. Returns them for the next instant.
    pub fn settle(&mut self, before: Present) -> Present {
        if self.sunlit.is_none() {
            return Present::NONE;
        }
        let now = self.shares.present(before);
        let Some((bright, dark)) = now.ends() else { return now };
        let pair_before = self.between;
        let pair = match (bright, dark) {
            (LightClass::Dimmed, LightClass::Dimmed) => (LightClass::Sun, LightClass::Dimmed),
            (bright, dark) if bright == dark => (LightClass::Sun, LightClass::Shade),
            pair => pair,
        };
        self.between = Some(pair);
        let stops = self.sides().and_then(|(b, d)| Stops::between(b.luminance, d.luminance));
        self.state = match (stops, bright == dark) {
            (Some(stops), false) => SplitState::InShot(stops),
            (Some(stops), true) => SplitState::Latent(stops, OneSide::of(bright)),
            (None, _) => SplitState::NoEdge,
        };
        self.between = self.between.filter(|_| self.state != SplitState::NoEdge);
        self.floodlights_take = self.take();
        // the range of the stops was that of another pair
        if let Some(range) = self.range.as_mut().filter(|_| self.between != pair_before) {
            range.stops = None;
        }
        now
    }

    /// By how much the floodlights narrow the split.
    fn take(&self) -> Option<Stops> {
        let (bright, dark) = self.sides().filter(|_| self.flood.lux() > 0.0)?;
        let stops = |flood: f64| {
            let (bright, dark) = (bright.light.lux() - flood, dark.light.lux() - flood);
            (bright > 0.0 && dark > 0.0).then(|| (bright / dark).log2())
        };
        Some(Stops::from_stops(stops(self.flood.lux())? - stops(0.0)?))
    }

    /// How the colours of the two sides differ; `None` without two sides, or where
    /// a side's light has no colour temperature.
    pub fn colour(&self) -> Option<ColourGap> {
        let (sunlit, shaded) = match self.sides() {
            Some((bright, dark)) => (bright.light, dark.light),
            None => (self.sunlit?.light, self.shaded?.light),
        };
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
    /// Two classes at least are in the cover, each more than a sliver: from the darkest up
    /// to the brightest of them.
    InShot(Stops),
    /// Only one class is in the cover; the number is what the split would be
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
    /// Under translucent bodies.
    AllDimmed,
    AllShaded,
}

impl OneSide {
    /// A class that fills the cover.
    pub fn of(class: LightClass) -> Self {
        match class {
            LightClass::Sun => Self::AllSunlit,
            LightClass::Dimmed => Self::AllDimmed,
            LightClass::Shade => Self::AllShaded,
        }
    }
}

/// What one camera sees at one instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CameraView {
    /// Share of the cover's turf, as ground, that is not in full sun, 0 to 1. What that
    /// takes of the picture is in [`Split::shares`].
    pub shaded_share: f64,
    /// Share of the frames between the aims that show full sun and something else at once,
    /// 0 to 1:
    /// there no hand on the iris can follow.
    pub mixed_frames: f64,
    /// Horizontal turf.
    pub turf: Split,
    /// A vertical grey surface at face height turned toward the camera.
    pub subject: Split,
}
