//! What shines at one instant in one air: sun, sky, a cloud that may come, floodlights.
//!
//! In: [`SkyLight`] and [`FloodlightLight`]. Out: the light of any sums whose
//! [`DaylightCoefficients`] are known, lx.

use glam::DVec3;

use super::floodlight::FloodlightLight;
use super::overhead::SkyLight;
use super::receivers::{CellChange, CellLight};
use super::scene::{DaylightCoefficients, SunReach};
use super::tristimulus::Tristimulus;

/// Sun and floodlights of an instant.
#[derive(Debug, Clone, Copy)]
pub struct Straight {
    /// From the sun on a plane facing it, nothing in the way, lx.
    pub direct_normal: Tristimulus,
    /// The same on the horizontal.
    pub direct_horizontal: Tristimulus,
    pub floodlight: FloodlightLight,
}

impl Straight {
    /// Whether there is direct light.
    pub fn sun_is_out(&self) -> bool {
        self.direct_normal.lux() > 0.0
    }
}

/// Sun, sky and floodlights of an instant.
#[derive(Debug, Clone)]
pub struct Sources {
    pub straight: Straight,
    toward_sun: DVec3,
    cells: CellLight,
    /// What a cloud over the sun changes; `None` where the sun does not shine anyhow.
    cloud: Option<CellChange>,
}

/// Light of sums without the sun's own and that of the floodlights, lx.
#[derive(Debug, Clone)]
pub struct SumLight {
    pub now: Vec<Tristimulus>,
    /// When a cloud covers the sun; `None` where it does not shine anyhow.
    pub covered: Option<Vec<Tristimulus>>,
}

impl Sources {
    pub fn new(sky: &SkyLight, floodlight: FloodlightLight) -> Self {
        let direct_normal = sky.daylight.direct_normal;
        let direct_horizontal = direct_normal * sky.toward_sun.z.max(0.0);
        let change = |change| CellChange::new(change, sky.glow.cells.len());
        Self {
            straight: Straight { direct_normal, direct_horizontal, floodlight },
            toward_sun: sky.toward_sun,
            cells: CellLight::new(&sky.glow),
            cloud: sky.covered.as_ref().map(change),
        }
    }

    /// From the sun on a face, nothing in the way, lx.
    pub fn direct_on(&self, normal: DVec3) -> Tristimulus {
        self.straight.direct_normal * normal.dot(self.toward_sun).max(0.0)
    }

    /// Light of sums; `of_sun` is [`DaylightCoefficients::of_sun`] of the same instant.
    pub fn light(&self, sums: &DaylightCoefficients, of_sun: &[[f64; 3]]) -> SumLight {
        let sky = sums.of_sky(&self.cells);
        let of_change = |change| sky.iter().zip(sums.of_change(change)).map(|(s, c)| *s + c);
        let covered = self.cloud.as_ref().map(|change| of_change(change).collect());
        let sunlit = |(sky, of_sun): (&Tristimulus, &[f64; 3])| {
            *sky + self.straight.direct_normal.tinted(*of_sun)
        };
        SumLight { now: sky.iter().zip(of_sun).map(sunlit).collect(), covered }
    }

    /// The same in one go for sums that are asked once.
    pub fn light_once(&self, sums: &DaylightCoefficients, reach: &SunReach) -> SumLight {
        self.light(sums, &sums.of_sun(reach, self.toward_sun.z))
    }
}
