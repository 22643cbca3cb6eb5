//! Sun and sky over the venue in one sky state.
//!
//! In: the sun's place, place, air, [`Sky`], day of the year, the dome's cells.
//! Out: a [`SkyLight`]: daylight in lx with nothing in the way, the luminance of
//! each cell of the sky, and what changes in it when a cloud covers the sun.
//!
//! | sky | sun | sky's light | where it is bright |
//! | --- | --- | --- | --- |
//! | clear | SPCTRL2 | SPCTRL2 over a curved Earth | ISO 15469 types 12 to 14 by the aerosol |
//! | cumulus | none | as clear but for the cloud | the cloud as bright as an overcast zenith |
//! | thin | the share stated | clear, and what the cloud scatters down | types 12 to 14, and 15 |
//! | broken | as clear | RP-21 partly cloudy | types 12 to 14, and 10 |
//! | overcast | none | RP-21 overcast | type 16 |

mod luminance;
mod parts;
mod patterns;

use glam::DVec3;

use crate::geometry::SkyDome;
use crate::light::air::Air;
use crate::light::clear::AirColumn;
use crate::light::model::{Daylight, Sky};
use crate::light::tristimulus::Tristimulus;
use crate::solar::Sun;
use crate::venue::Place;

use luminance::hidden_by_cloud;
use parts::SkyParts;
use patterns::Patterns;

pub use luminance::SkyLuminance;
pub use parts::{overcast_horizontal_lx, partly_cloudy_horizontal_lx};

/// Luminance of each cell of a [`SkyDome`], as tristimulus values (cd/m2).
#[derive(Debug, Clone, PartialEq)]
pub struct Glow {
    pub cells: Vec<Tristimulus>,
}

impl Glow {
    /// What the whole dome sends to the horizontal plane.
    pub fn horizontal(&self, dome: &SkyDome) -> Tristimulus {
        let seen = self.cells.iter().zip(dome.cells());
        seen.map(|(glow, cell)| *glow * (cell.z * dome.cell_sr())).sum()
    }
}

/// Cells whose luminance changes when a cloud covers the sun, and their change.
pub type GlowChange = Vec<(usize, Tristimulus)>;

/// Sun and sky at one instant.
#[derive(Debug, Clone)]
pub struct SkyLight {
    /// Unit vector.
    pub toward_sun: DVec3,
    pub daylight: Daylight,
    pub glow: Glow,
    /// When a cloud covers the sun that now shines; `None` where it does not.
    pub covered: Option<GlowChange>,
}

impl SkyLight {
    /// Sun and sky over a place. `day_of_year` counts from 1; it sets the distance
    /// of the sun. Under the horizon there is no direct light and the sky fades
    /// through twilight.
    pub fn new(
        dome: &SkyDome,
        sun: &Sun,
        place: &Place,
        air: &Air,
        sky: Sky,
        day_of_year: u32,
    ) -> Self {
        Overhead::new(dome, place, air, sky).at(dome, sun, day_of_year)
    }

    /// The same sky with the sun hidden behind the land.
    pub fn without_direct(mut self) -> Self {
        self.daylight = self.daylight.without_direct();
        self.covered = None;
        self
    }
}

/// Sky and air over a place, ready for any number of suns.
#[derive(Debug, Clone)]
pub struct Overhead {
    sky: Sky,
    column: AirColumn,
    patterns: Patterns,
}

impl Overhead {
    pub fn new(dome: &SkyDome, place: &Place, air: &Air, sky: Sky) -> Self {
        let column = AirColumn::new(air, place.pressure_hpa);
        Self { sky, column, patterns: Patterns::new(dome, air) }
    }

    /// [`SkyLight::new`].
    pub fn at(&self, dome: &SkyDome, sun: &Sun, day_of_year: u32) -> SkyLight {
        let parts = SkyParts::of(sun, &self.column, self.sky, day_of_year);
        let toward_sun = sun.toward();
        let (mut glow, _) = self.patterns.spread(&parts, dome, toward_sun);
        let cloud = cloud(&parts, dome, toward_sun, &glow);
        let mut daylight = parts.daylight(sun);
        let mut covered = None;
        if self.sky == Sky::Cumulus {
            for (cell, change) in &cloud {
                glow.cells[*cell] += *change;
            }
            daylight.diffuse_horizontal = glow.horizontal(dome);
        } else if daylight.direct_normal.lux() > 0.0 {
            covered = Some(cloud);
        }
        SkyLight { toward_sun, daylight, glow, covered }
    }
}

/// What changes when a thick cloud stands over the sun.
fn cloud(parts: &SkyParts, dome: &SkyDome, sun: DVec3, glow: &Glow) -> GlowChange {
    if parts.elevation_deg <= 0.0 {
        return Vec::new();
    }
    let cells = dome.cells().iter().zip(&glow.cells).enumerate();
    let hidden = cells.map(|(i, (toward, now))| (i, *now, hidden_by_cloud(sun, *toward)));
    let changed = hidden.filter(|(.., hidden)| *hidden > 0.0);
    changed.map(|(i, now, hidden)| (i, (parts.cloud - now) * hidden)).collect()
}

/// Daylight at a place with nothing in the way, without the map of the sky. The
/// cumulus is left out of the sky's light, so a [`SkyLight`] may differ by what
/// that cloud hides.
pub fn daylight(sun: &Sun, place: &Place, air: &Air, sky: Sky, day_of_year: u32) -> Daylight {
    daylight_through(&AirColumn::new(air, place.pressure_hpa), sun, sky, day_of_year)
}

/// The same through a column of air that is prepared.
pub fn daylight_through(column: &AirColumn, sun: &Sun, sky: Sky, day_of_year: u32) -> Daylight {
    SkyParts::of(sun, column, sky, day_of_year).daylight(sun)
}
