//! How the light of a sky is spread over its cells.
//!
//! In: an air, once; then the sun and the [`SkyParts`] of a sky. Out: the luminance of each cell,
//! cd/m2. What depends on the elevation of a cell alone is kept, and each cell's angle from
//! the sun is worked out once for all patterns.

use glam::DVec3;

use crate::geometry::SkyDome;
use crate::light::air::Air;
use crate::light::blue::{Blue, BlueSky, turbidity};
use crate::light::pattern::{SkyType, cloudless_types};
use crate::light::tristimulus::Tristimulus;

use super::Glow;
use super::parts::SkyParts;

/// Patterns of a cloudless sky in one air.
#[derive(Debug, Clone)]
pub(super) struct Patterns {
    blue: Blue,
    types: Vec<Graded>,
    /// Of the blue of each cell.
    graded: Vec<[f64; 2]>,
}

/// A type of sky, and its gradation in each cell.
#[derive(Debug, Clone)]
struct Graded {
    kind: SkyType,
    share: f64,
    graded: Vec<f64>,
}

impl Graded {
    fn new(dome: &SkyDome, (kind, share): (SkyType, f64)) -> Self {
        let graded = dome.cells().iter().map(|toward| kind.graded(toward.z)).collect();
        Self { kind, share, graded }
    }
}

/// The luminance of each cell, and what it is made of.
pub(super) type SkyLayers = (Glow, Vec<Layer>);

/// One type of sky in the whole.
#[derive(Debug, Clone)]
pub(super) struct Layer {
    pub kind: SkyType,
    /// What a relative luminance of 1 stands for, cd/m2 for each of the three values.
    pub scale: [f64; 3],
    pub colour: LayerColour,
}

/// The colour of a type of sky before it is scaled.
#[derive(Debug, Clone)]
pub(super) enum LayerColour {
    Blue(Box<BlueSky>),
    /// The same all over, as much as a luminance of 1.
    Even(Tristimulus),
}

impl Patterns {
    pub fn new(dome: &SkyDome, air: &Air) -> Self {
        let blue = Blue::new(turbidity(air.aerosol_500nm, air.aerosol_exponent));
        let types =
            cloudless_types(air.aerosol_500nm).into_iter().filter(|(_, share)| *share > 0.0);
        Self {
            types: types.map(|kind| Graded::new(dome, kind)).collect(),
            graded: dome.cells().iter().map(|toward| blue.graded(toward.z)).collect(),
            blue,
        }
    }

    /// Spreads blue sky and clouds.
    pub fn spread(&self, parts: &SkyParts, dome: &SkyDome, sun: DVec3) -> SkyLayers {
        let mut patterns = Vec::new();
        let mut cells = vec![Tristimulus::ZERO; dome.cells().len()];
        let from_sun: Vec<[f64; 2]> =
            dome.cells().iter().map(|toward| angle(sun, *toward)).collect();
        if parts.cloudless.lux() > 0.0 {
            let colours = self.blue.under(sun);
            let colour = |i: usize, [angle, cosine]: [f64; 2]| {
                Tristimulus::of(1.0, colours.at(self.graded[i], angle, cosine))
            };
            let scale =
                add(&mut cells, dome, parts.cloudless, (&self.types, &from_sun, sun), colour);
            patterns.extend(self.types.iter().map(|t| Layer {
                kind: t.kind,
                scale: scale.map(|s| t.share * s),
                colour: LayerColour::Blue(Box::new(colours)),
            }));
        }
        if let Some((light, kind)) = parts.clouds
            && let Some(colour) = light.chromaticity()
        {
            let types = [Graded::new(dome, (kind, 1.0))];
            let even = Tristimulus::of(1.0, colour);
            let scale = add(&mut cells, dome, light, (&types, &from_sun, sun), |_, _| even);
            patterns.push(Layer { kind, scale, colour: LayerColour::Even(even) });
        }
        (Glow { cells }, patterns)
    }
}

/// Angle from the sun, rad, and its cosine.
fn angle(sun: DVec3, toward: DVec3) -> [f64; 2] {
    let cosine = sun.dot(toward).clamp(-1.0, 1.0);
    [cosine.acos(), cosine]
}

/// Adds light to the cells by patterns of luminance and the colour of a unit of it, so that
/// the horizontal gets `light` from them, each of its three values. Gives what a relative
/// luminance of 1 stands for, cd/m2 for each value.
fn add(
    cells: &mut [Tristimulus],
    dome: &SkyDome,
    light: Tristimulus,
    (types, from_sun, sun): (&[Graded], &[[f64; 2]], DVec3),
    colour: impl Fn(usize, [f64; 2]) -> Tristimulus,
) -> [f64; 3] {
    let mut relative = vec![0.0; cells.len()];
    for Graded { kind, share, graded } in types {
        let (scattered, share) = (kind.scattering(), share / kind.at_zenith(sun));
        for ((relative, graded), [angle, cosine]) in relative.iter_mut().zip(graded).zip(from_sun) {
            *relative += share * graded * scattered(*angle, *cosine);
        }
    }
    let coloured = relative.iter().zip(from_sun).enumerate();
    let pattern: Vec<Tristimulus> =
        coloured.map(|(i, (relative, at))| colour(i, *at) * *relative).collect();
    let whole: Tristimulus =
        pattern.iter().zip(dome.cells()).map(|(p, t)| *p * (t.z * dome.cell_sr())).sum();
    let scale = [light.x / whole.x, light.y / whole.y, light.z / whole.z];
    for (cell, pattern) in cells.iter_mut().zip(pattern) {
        *cell += pattern.tinted(scale);
    }
    scale
}
