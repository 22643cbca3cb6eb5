//! What the sun reaches: spots of the ground, places, pieces of what stands.
//!
//! In: a prepared [`Scene`], the shadow on the turf and the sun. Out: shares of its light,
//! which hold for any air.

use glam::DVec3;

use super::Scene;
use crate::geometry::{Beam, Shadow};

/// What the sun reaches at an instant.
#[derive(Debug, Clone, Default)]
pub struct SunReach {
    /// Share of it at each spot and at each place of the ground, 0 to 1; of ground that is not
    /// level as a share of what level ground gets.
    pub(super) spots: Vec<f32>,
    pub(super) places: Vec<f32>,
    /// What each piece gives off of it, for one lux on a plane facing the sun, cd/m2.
    pub(super) pieces: Vec<f32>,
}

impl SunReach {
    /// Share of the sun's light at each spot of the ground, 0 to 1; none where it reaches
    /// no ground.
    pub fn spots(&self) -> &[f32] {
        &self.spots
    }
}

impl Scene {
    /// What a risen sun reaches; `turf` is the shadow on the ground.
    pub fn reach(&self, turf: &Shadow, toward_sun: DVec3) -> SunReach {
        let sun = Beam::new(&self.obstacles, toward_sun);
        let spots = self.ground.in_sun(turf, &self.places, &sun);
        let places = self.ground.at_places(&spots, self.turf.len());
        SunReach { places, spots, pieces: self.pieces_in_sun(&sun) }
    }

    /// What a sun on the horizon reaches, which lights no ground.
    pub fn reach_level(&self, toward_sun: DVec3) -> SunReach {
        let pieces = self.pieces_in_sun(&Beam::new(&self.obstacles, toward_sun));
        SunReach { pieces, ..SunReach::default() }
    }

    fn pieces_in_sun(&self, sun: &Beam) -> Vec<f32> {
        self.surround.pieces().iter().map(|piece| piece.sunlit(sun) as f32).collect()
    }

    /// What a risen sun reaches of the ground alone; nothing that stands is asked.
    pub fn reach_ground(&self, turf: &Shadow, toward_sun: DVec3) -> SunReach {
        let sun = Beam::for_rays(&self.obstacles, toward_sun, self.ground.rays());
        let spots = self.ground.in_sun(turf, &self.places, &sun);
        SunReach { spots, ..SunReach::default() }
    }
}
