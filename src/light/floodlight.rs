//! Floodlights as the venue file states them.
//!
//! In: [`Floodlights`], a time and the daylight. Out: whether they are lit, and
//! what they add on both sides of the edge, lx.

use chrono::DateTime;
use chrono_tz::Tz;
use glam::DVec3;

use crate::base::units::{Lux, Stops};
use crate::light::colour::Chromaticity;
use crate::light::model::Daylight;
use crate::light::scene::{GroundReflectances, ground_reflected};
use crate::light::tristimulus::Tristimulus;
use crate::solar::SunState;
use crate::venue::{FloodlightUse, Floodlights};

/// Under this a light's colour is that of a black body, from here on of a phase of
/// daylight, as CIE 13.3 chooses its references, K.
const DAYLIGHT_FROM_K: f64 = 5000.0;

/// Whether the floodlights are lit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FloodlightState {
    /// The file states none.
    None,
    Off,
    Lit,
}

impl FloodlightState {
    /// Whether a ground is dark with these: the sun is under the level horizon, and none are lit.
    pub fn leaves_dark(self, sun: SunState) -> bool {
        sun == SunState::Down && self != Self::Lit
    }

    /// At a time and under a daylight.
    pub fn at(floodlights: Option<&Floodlights>, at: DateTime<Tz>, daylight: &Daylight) -> Self {
        let Some(floodlights) = floodlights else { return Self::None };
        let lit = match floodlights.when {
            FloodlightUse::Always => true,
            FloodlightUse::Never => false,
            FloodlightUse::FromTime(from) => at.time() >= from,
            FloodlightUse::BelowDaylight(level) => daylight.global_horizontal().lux() < level.lux(),
        };
        if lit { Self::Lit } else { Self::Off }
    }
}

/// What lit floodlights add.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloodlightLight {
    /// On the field of play.
    pub horizontal: Tristimulus,
    /// On an upright plane turned toward a camera that states nothing else.
    pub toward_camera: Tristimulus,
}

impl FloodlightLight {
    /// Nothing.
    pub const DARK: Self = Self { horizontal: Tristimulus::ZERO, toward_camera: Tristimulus::ZERO };

    /// Of floodlights that are lit, and darkness of those that are not.
    pub fn of(floodlights: Option<&Floodlights>, floodlight: FloodlightState) -> Self {
        let Some(stated) = floodlights.filter(|_| floodlight == FloodlightState::Lit) else {
            return Self::DARK;
        };
        let colour = floodlight_colour(stated.colour_temperature_k);
        Self {
            horizontal: Tristimulus::of(stated.horizontal.lux(), colour),
            toward_camera: Tristimulus::of(stated.vertical.lux(), colour),
        }
    }

    /// On a face: the horizontal for one that looks up, the upright one, or a level of its
    /// own, for one that looks aside.
    pub fn on(&self, normal: DVec3, own: Option<Lux>) -> Tristimulus {
        let aside = (1.0 - normal.z * normal.z).max(0.0).sqrt();
        self.horizontal * normal.z.max(0.0) + self.toward(own) * aside
    }

    /// On a face, and from the ground under them: `views` is how much of what the face sees
    /// is ground of either kind.
    pub fn with_ground(
        &self,
        normal: DVec3,
        own: Option<Lux>,
        (reflects, views): (GroundReflectances, [f64; 2]),
    ) -> Tristimulus {
        self.on(normal, own) + ground_reflected(self.horizontal, reflects, views)
    }

    /// On an upright plane toward a camera that may state its own level.
    pub fn toward(&self, own: Option<Lux>) -> Tristimulus {
        own.map_or(self.toward_camera, |lux| self.toward_camera.scaled_to(lux.lux()))
    }
}

/// Colour of a lamp by its correlated colour temperature, K.
pub(super) fn floodlight_colour(kelvin: f64) -> Chromaticity {
    if kelvin < DAYLIGHT_FROM_K {
        Chromaticity::of_black_body(kelvin)
    } else {
        Chromaticity::of_daylight(kelvin)
    }
}

/// How much light, the same on both sides, holds the split at `most` stops:
/// `(sunlit + x) / (shaded + x) = 2^most`, lx on the plane of the split. Zero where
/// it is no wider anyhow; `None` where no amount does it (`most` not positive).
///
/// ```
/// use quarterstop::light::level_that_holds;
/// use quarterstop::base::units::{Lux, Stops};
/// // 70 000 lx against 8000 lx: 3.1 stops
/// let (sun, shade) = (Lux::from_lux(70_000.0), Lux::from_lux(8_000.0));
/// let lux = level_that_holds(sun, shade, Stops::from_stops(2.0)).unwrap().lux();
/// assert!((lux - (70_000.0 - 4.0 * 8_000.0) / 3.0).abs() < 1e-9);
/// ```
pub fn level_that_holds(sunlit: Lux, shaded: Lux, most: Stops) -> Option<Lux> {
    let ratio = most.stops().exp2();
    (ratio > 1.0).then(|| Lux::from_lux((sunlit.lux() - ratio * shaded.lux()) / (ratio - 1.0)))
}
