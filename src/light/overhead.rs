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

use glam::DVec3;

use super::air::Air;
use super::blue::{BlueSky, turbidity};
use super::clear;
use super::colour::Chromaticity;
use super::model::{Daylight, Sky};
use super::pattern::{SkyType, cloudless_types};
use super::tristimulus::Tristimulus;
use crate::geometry::SkyDome;
use crate::solar::Sun;
use crate::units::Luminance;
use crate::venue::Place;

/// Horizontal illuminance of the clear sky when the sun stands on the horizon,
/// lx, and at the end of civil twilight (-6 degrees): Explanatory Supplement to
/// the Astronomical Almanac (1992), table of natural illuminance, from memory.
/// Between and beyond, the logarithm is taken as linear.
const HORIZON_LX: f64 = 400.0;
const CIVIL_TWILIGHT_LX: f64 = 3.4;
/// Colours nearer the horizon than this are those of here: the spectral model
/// ends, degrees.
const LOWEST_COLOUR_DEG: f64 = 0.5;
/// A cloud over the sun hides this much of the sky around it, degrees from the
/// sun: wholly, and not at all (common practice, no source).
const CLOUD_REACH_DEG: (f64, f64) = (8.0, 12.0);
/// Asymmetry of scattering in ice cloud (Fu, J. Climate 9, 1996: 0.75 to 0.85;
/// from memory).
const ICE_ASYMMETRY: f64 = 0.77;

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
        let parts = Parts::of(sun, place, air, sky, day_of_year);
        let toward_sun = sun.toward();
        let mut glow = parts.glow(dome, toward_sun, air);
        let cloud = parts.cloud(dome, toward_sun, &glow);
        let mut daylight = parts.daylight(sun);
        let mut covered = None;
        if sky == Sky::Cumulus {
            for (cell, change) in &cloud {
                glow.cells[*cell] += *change;
            }
            daylight.diffuse_horizontal = glow.horizontal(dome);
        } else if daylight.direct_normal.lux() > 0.0 {
            covered = Some(cloud);
        }
        Self { toward_sun, daylight, glow, covered }
    }

    /// The same sky with the sun hidden behind the land.
    pub fn without_direct(mut self) -> Self {
        self.daylight = self.daylight.without_direct();
        self.covered = None;
        self
    }
}

/// How bright the sky is in any direction, without the cells of a [`Glow`]: the same
/// patterns at the same scale, so that the neighbourhood of the sun keeps its slope.
#[derive(Debug, Clone)]
pub struct SkyLuminance {
    toward_sun: DVec3,
    patterns: Vec<(SkyType, f64)>,
    /// Luminance of the thick cloud that stands over the sun, cd/m2.
    cloud: Option<f64>,
}

impl SkyLuminance {
    /// Of the same sky as [`SkyLight::new`] with the same arguments.
    pub fn new(
        dome: &SkyDome,
        sun: &Sun,
        place: &Place,
        air: &Air,
        sky: Sky,
        day_of_year: u32,
    ) -> Self {
        let parts = Parts::of(sun, place, air, sky, day_of_year);
        let toward_sun = sun.toward();
        let (_, patterns) = parts.spread_out(dome, toward_sun, air);
        let covered = sky == Sky::Cumulus && parts.elevation_deg > 0.0;
        Self { toward_sun, patterns, cloud: covered.then(|| parts.cloud.lux()) }
    }

    /// In a direction (unit vector), without the sun's disc; under the horizon that of
    /// the horizon.
    pub fn toward(&self, toward: DVec3) -> Luminance {
        let toward = DVec3::new(toward.x, toward.y, toward.z.max(0.0)).normalize_or(DVec3::Z);
        let each =
            self.patterns.iter().map(|(k, scale)| scale * k.relative(self.toward_sun, toward));
        let open: f64 = each.sum();
        let hidden = hidden_by_cloud(self.toward_sun, toward);
        let seen = self.cloud.map_or(open, |cloud| open + (cloud - open) * hidden);
        Luminance::from_cd_per_m2(seen)
    }
}

/// Share of the sky in a direction that a thick cloud over the sun hides.
fn hidden_by_cloud(sun: DVec3, toward: DVec3) -> f64 {
    let (whole, none) = CLOUD_REACH_DEG;
    let angle = sun.dot(toward).clamp(-1.0, 1.0).acos().to_degrees();
    ((none - angle) / (none - whole)).clamp(0.0, 1.0)
}

/// Daylight at a place with nothing in the way, without the map of the sky. The
/// cumulus is left out of the sky's light, so a [`SkyLight`] may differ by what
/// that cloud hides.
pub fn daylight(sun: &Sun, place: &Place, air: &Air, sky: Sky, day_of_year: u32) -> Daylight {
    Parts::of(sun, place, air, sky, day_of_year).daylight(sun)
}

/// Illuminance of an overcast sky on the horizontal plane, the sun (unseen) at
/// an elevation in degrees: `300 + 21000 sin(elevation)` lx (IES RP-21; Gillette,
/// Pierpoint and Treado, Journal of the IES 13(4), 1984; from memory). At and
/// under the horizon the first term is left, which twilight fades.
pub fn overcast_horizontal_lx(elevation_deg: f64) -> f64 {
    300.0 + 21_000.0 * elevation_deg.max(0.0).to_radians().sin()
}

/// The same for a partly cloudy sky without the sun: `300 + 45000 sin(elevation)`
/// lx (the same source).
pub fn partly_cloudy_horizontal_lx(elevation_deg: f64) -> f64 {
    300.0 + 45_000.0 * elevation_deg.max(0.0).to_radians().sin()
}

/// Pieces that a sky is made of. Diffuse amounts are on the horizontal.
struct Parts {
    elevation_deg: f64,
    direct_normal: Tristimulus,
    /// Blue sky.
    cloudless: Tristimulus,
    /// Light from clouds, and how it is spread.
    clouds: Option<(Tristimulus, SkyType)>,
    /// Luminance of a thick cloud over the sun.
    cloud: Tristimulus,
}

impl Parts {
    fn of(sun: &Sun, place: &Place, air: &Air, sky: Sky, day_of_year: u32) -> Self {
        let elevation_deg = sun.apparent_elevation.degrees();
        let twilight = twilight_share(elevation_deg);
        let overcast = Tristimulus::of_daylight(overcast_horizontal_lx(elevation_deg) * twilight);
        let (sun, blue) = cloudless(elevation_deg, place, air, day_of_year);
        let sine = elevation_deg.max(0.0).to_radians().sin();
        let global = sun * sine + blue;
        let white = |lux: f64| global.scaled_to(lux.max(0.0));
        let parts = Self {
            elevation_deg,
            direct_normal: sun,
            cloudless: blue,
            clouds: None,
            // an overcast zenith is 9 / 7 as bright as an even sky of the same light
            // (integral of the Moon and Spencer sky)
            cloud: white(overcast.lux() * 9.0 / (7.0 * std::f64::consts::PI)),
        };
        match sky {
            Sky::Clear => parts,
            Sky::Cumulus => Self { direct_normal: Tristimulus::ZERO, ..parts },
            Sky::Thin(share) => {
                let through = share.share();
                let scattered = scattered_down(through) - through;
                let clouds = Some((sun * (sine * scattered), SkyType::WHITE_BLUE));
                Self { direct_normal: sun * through, clouds, ..parts }
            }
            Sky::Broken => {
                let whole = partly_cloudy_horizontal_lx(elevation_deg) * twilight;
                let clouds = Some((white(whole - blue.lux()), SkyType::PARTLY_CLOUDY));
                Self { clouds, ..parts }
            }
            Sky::Overcast => Self {
                direct_normal: Tristimulus::ZERO,
                cloudless: Tristimulus::ZERO,
                clouds: Some((overcast, SkyType::OVERCAST)),
                ..parts
            },
        }
    }

    fn daylight(&self, sun: &Sun) -> Daylight {
        let sine = sun.apparent_elevation.radians().sin().max(0.0);
        Daylight {
            direct_normal: self.direct_normal,
            direct_horizontal: self.direct_normal * sine,
            diffuse_horizontal: self.cloudless
                + self.clouds.map_or(Tristimulus::ZERO, |(light, _)| light),
        }
    }

    fn glow(&self, dome: &SkyDome, sun: DVec3, air: &Air) -> Glow {
        self.spread_out(dome, sun, air).0
    }

    /// The glow of the cells, and the patterns it is made of with their scales, cd/m2.
    fn spread_out(&self, dome: &SkyDome, sun: DVec3, air: &Air) -> (Glow, Vec<(SkyType, f64)>) {
        let mut patterns = Vec::new();
        let mut cells = vec![Tristimulus::ZERO; dome.cells().len()];
        if self.cloudless.lux() > 0.0 {
            let types = cloudless_types(air.aerosol_500nm);
            let relative = |toward: DVec3| {
                types.iter().map(|(t, share)| share * t.relative(sun, toward)).sum()
            };
            let colours = BlueSky::new(sun, turbidity(air.aerosol_500nm, air.aerosol_exponent));
            let colour = |toward: DVec3| colours.toward(toward);
            let scale = spread(&mut cells, dome, self.cloudless, relative, colour);
            patterns.extend(types.iter().map(|(kind, share)| (*kind, share * scale)));
        }
        if let Some((light, kind)) = self.clouds
            && let Some(colour) = light.chromaticity()
        {
            let relative = |toward| kind.relative(sun, toward);
            let scale = spread(&mut cells, dome, light, relative, |_| colour);
            patterns.push((kind, scale));
        }
        (Glow { cells }, patterns)
    }

    /// What changes when a thick cloud stands over the sun.
    fn cloud(&self, dome: &SkyDome, sun: DVec3, glow: &Glow) -> GlowChange {
        if self.elevation_deg <= 0.0 {
            return Vec::new();
        }
        let hidden = |toward: DVec3| hidden_by_cloud(sun, toward);
        let cells = dome.cells().iter().zip(&glow.cells).enumerate();
        cells
            .map(|(i, (toward, now))| (i, (self.cloud - *now) * hidden(*toward)))
            .filter(|(_, change)| *change != Tristimulus::ZERO)
            .collect()
    }
}

/// Adds light to the cells by a pattern of luminance and of colour, so that the
/// horizontal gets `light` from them, each of its three values. Gives the luminance that
/// a relative one of 1 stands for, cd/m2.
fn spread(
    cells: &mut [Tristimulus],
    dome: &SkyDome,
    light: Tristimulus,
    relative: impl Fn(DVec3) -> f64,
    colour: impl Fn(DVec3) -> Chromaticity,
) -> f64 {
    let pattern: Vec<Tristimulus> =
        dome.cells().iter().map(|&t| Tristimulus::of(relative(t), colour(t))).collect();
    let whole: Tristimulus =
        pattern.iter().zip(dome.cells()).map(|(p, t)| *p * (t.z * dome.cell_sr())).sum();
    let scale = [light.x / whole.x, light.y / whole.y, light.z / whole.z];
    for (cell, pattern) in cells.iter_mut().zip(pattern) {
        *cell += pattern.tinted(scale);
    }
    scale[1]
}

/// Sun (facing it) and sky (on the horizontal) without a cloud.
fn cloudless(
    elevation_deg: f64,
    place: &Place,
    air: &Air,
    day_of_year: u32,
) -> (Tristimulus, Tristimulus) {
    let spectra = |e: f64| clear::spectra_over_sphere(e, place.pressure_hpa, air, day_of_year);
    let here = spectra(elevation_deg);
    let sky = clear::tristimulus(&here.diffuse_horizontal);
    let colour = match elevation_deg {
        e if e >= LOWEST_COLOUR_DEG => sky,
        _ => clear::tristimulus(&spectra(LOWEST_COLOUR_DEG).diffuse_horizontal),
    };
    let amount = sky.lux().max(HORIZON_LX) * twilight_share(elevation_deg);
    (clear::tristimulus(&here.direct_normal), colour.scaled_to(amount))
}

/// Share of the horizon's illuminance that is left under it: 1 above.
fn twilight_share(elevation_deg: f64) -> f64 {
    let per_degree = (HORIZON_LX / CIVIL_TWILIGHT_LX).ln() / 6.0;
    (per_degree * elevation_deg.min(0.0)).exp()
}

/// Share of the sun's light that comes down through a thin cloud, straight and
/// scattered, when `through` of it comes straight: the two-stream result for a
/// cloud that absorbs nothing (Bohren, American Journal of Physics 55(6), 1987).
fn scattered_down(through: f64) -> f64 {
    let depth = -through.max(1e-6).ln();
    2.0 / (2.0 + depth * (1.0 - ICE_ASYMMETRY))
}
