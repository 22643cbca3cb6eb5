//! Video levels at the one setting of a camera, for pictures of what it sees.

use crate::engine::model::MatchPlan;
use crate::venue::{Part, Venue};

use super::Brief;

/// Reflectance of seats where a venue states none: no stand, nothing to tone.
const SEATS: f64 = 0.2;

/// Linear video levels, 1 at white.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Levels {
    pub turf_sun: f64,
    pub turf_shade: f64,
    pub seats_sun: f64,
    pub seats_shade: f64,
    /// The sky's mean.
    pub sky: f64,
}

impl Brief {
    /// Levels of a camera at an instant; `None` where it sees nothing of the field.
    pub fn levels(
        &self,
        venue: &Venue,
        plan: &MatchPlan,
        camera: usize,
        index: usize,
    ) -> Option<Levels> {
        let brief = self.cameras.iter().find(|c| c.camera == camera)?;
        let exposure = (*brief.exposures.get(index)?)?;
        let instant = plan.instants.get(index)?;
        let view = instant.cameras.get(camera)?;
        let white = exposure.one.white.cd_per_m2();
        let of = |cd_per_m2: f64| if white > 0.0 { cd_per_m2 / white } else { 0.0 };
        let matt = |lux: f64, reflectance: f64| of(lux * reflectance / std::f64::consts::PI);
        let bodies = venue.occluders.iter().flat_map(|o| &o.bodies);
        let seats = bodies.filter(|b| b.part == Part::Deck).map(|b| b.reflectance).next();
        let seats = seats.unwrap_or(SEATS);
        let shade =
            |split: &crate::camera::Split| split.shaded.map_or(0.0, |s| s.luminance.cd_per_m2());
        let sun = |split: &crate::camera::Split| {
            split.sunlit.map_or_else(|| shade(split), |s| s.luminance.cd_per_m2())
        };
        let in_shade = instant.field_light.in_shade.lux();
        let in_sun = instant.field_light.in_sun.map_or(in_shade, |l| l.lux());
        Some(Levels {
            turf_sun: of(sun(&view.turf)),
            turf_shade: of(shade(&view.turf)),
            seats_sun: matt(in_sun, seats),
            seats_shade: matt(in_shade, seats),
            sky: matt(instant.daylight.diffuse_horizontal.lux(), 1.0),
        })
    }
}
