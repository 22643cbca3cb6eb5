//! How bright the sky is in single directions.

use glam::DVec3;

use crate::base::units::Luminance;
use crate::geometry::SkyDome;
use crate::light::air::Air;
use crate::light::clear::AirColumn;
use crate::light::model::Sky;
use crate::light::tristimulus::Tristimulus;
use crate::solar::Sun;
use crate::venue::Place;

use super::parts::SkyParts;
use super::patterns::{Layer, LayerColour, Patterns};

/// A cloud over the sun hides this much of the sky around it, degrees from the
/// sun: wholly, and not at all (common practice, no source).
const CLOUD_REACH_DEG: (f64, f64) = (8.0, 12.0);

/// How bright the sky is in any direction, without the cells of a [`Glow`](super::Glow): the same
/// patterns at the same scale, so that the neighbourhood of the sun keeps its slope.
#[derive(Debug, Clone)]
pub struct SkyLuminance {
    toward_sun: DVec3,
    patterns: Vec<Layer>,
    /// Luminance of the thick cloud that stands over the sun, cd/m2.
    cloud: Option<Tristimulus>,
}

impl SkyLuminance {
    /// Of the same sky as [`SkyLight::new`](super::SkyLight::new) with the same arguments.
    pub fn new(
        dome: &SkyDome,
        sun: &Sun,
        place: &Place,
        air: &Air,
        sky: Sky,
        day_of_year: u32,
    ) -> Self {
        let parts = SkyParts::of(sun, &AirColumn::new(air, place.pressure_hpa), sky, day_of_year);
        let toward_sun = sun.toward();
        let (_, patterns) = Patterns::new(dome, air).spread(&parts, dome, toward_sun);
        let covered = sky == Sky::Cumulus && parts.elevation_deg > 0.0;
        Self { toward_sun, patterns, cloud: covered.then_some(parts.cloud) }
    }

    /// In a direction (unit vector), without the sun's disc; under the horizon that of
    /// the horizon.
    pub fn toward(&self, toward: DVec3) -> Luminance {
        Luminance::from_cd_per_m2(self.colour_toward(toward).y)
    }

    /// The same as tristimulus values, cd/m2.
    pub fn colour_toward(&self, toward: DVec3) -> Tristimulus {
        let toward = DVec3::new(toward.x, toward.y, toward.z.max(0.0)).normalize_or(DVec3::Z);
        let each = self.patterns.iter().map(|layer| {
            let relative = layer.kind.relative(self.toward_sun, toward);
            let colour = match &layer.colour {
                LayerColour::Blue(blue) => Tristimulus::of(1.0, blue.toward(toward)),
                LayerColour::Even(colour) => *colour,
            };
            colour.tinted(layer.scale) * relative
        });
        let open: Tristimulus = each.sum();
        let hidden = hidden_by_cloud(self.toward_sun, toward);
        self.cloud.map_or(open, |cloud| open + (cloud - open) * hidden)
    }
}

/// Share of the sky in a direction that a thick cloud over the sun hides.
pub(super) fn hidden_by_cloud(sun: DVec3, toward: DVec3) -> f64 {
    let (whole, none) = CLOUD_REACH_DEG;
    let cosine = sun.dot(toward).clamp(-1.0, 1.0);
    // most of the sky is on the other side of a right angle
    if cosine < 0.0 {
        return 0.0;
    }
    let angle = cosine.acos().to_degrees();
    ((none - angle) / (none - whole)).clamp(0.0, 1.0)
}
