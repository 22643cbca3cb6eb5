//! How much of the sky a point sees.
//!
//! In: obstacles and a point, local frame, metres. Out: for each of the sky's
//! patches the share of its light that arrives and what stands before it, and
//! from that the sky view factor of the horizontal plane and of upright faces, 0
//! to 1.
//!
//! The dome is cut into patches of equal solid angle, 24 bands of equal
//! `sin(elevation)` by 48 columns, each met by one ray. Each column is shifted by
//! its own part of a band, so that a level roofline does not fall on all bands at
//! once. A horizontal plane weighs a patch with `sin(elevation)`, an upright face
//! with the cosine of the angle to its normal; over the open dome the former sum
//! to 1, the latter to 1/2.
//!
//! Patches side by side in two columns are one *cell*: the luminance of the sky
//! is told for each of the 576 cells.

use glam::DVec3;

use super::ray::{Met, Obstacle};
use crate::units::Azimuth;

const BANDS: usize = 24;
const COLUMNS: usize = 48;
/// Prime to [`COLUMNS`] and close to the golden section of it: neighbouring
/// columns get shifts far apart.
const SHIFT_STRIDE: usize = 29;

/// Columns of patches that make a column of cells.
const CELL_COLUMNS: usize = 2;

/// Directions of the sky's patches and cells.
#[derive(Debug, Clone)]
pub struct SkyDome {
    toward: Vec<DVec3>,
    cells: Vec<DVec3>,
}

impl Default for SkyDome {
    fn default() -> Self {
        Self::new()
    }
}

impl SkyDome {
    /// The dome of 1152 patches.
    pub fn new() -> Self {
        let mut toward = Vec::with_capacity(BANDS * COLUMNS);
        for column in 0..COLUMNS {
            let shift = ((column * SHIFT_STRIDE % COLUMNS) as f64 + 0.5) / COLUMNS as f64;
            let azimuth = std::f64::consts::TAU * (column as f64 + 0.5) / COLUMNS as f64;
            for band in 0..BANDS {
                let sine = (band as f64 + shift) / BANDS as f64;
                let cosine = (1.0 - sine * sine).sqrt();
                toward.push(DVec3::new(azimuth.sin() * cosine, azimuth.cos() * cosine, sine));
            }
        }
        let cells = (0..BANDS * COLUMNS / CELL_COLUMNS).map(|cell| {
            let (column, band) = (cell / BANDS * CELL_COLUMNS, cell % BANDS);
            let both = toward[column * BANDS + band] + toward[(column + 1) * BANDS + band];
            both.normalize()
        });
        Self { cells: cells.collect(), toward }
    }

    /// Unit vectors to the middle of each cell.
    pub fn cells(&self) -> &[DVec3] {
        &self.cells
    }

    /// Solid angle of each cell, sr.
    pub fn cell_sr(&self) -> f64 {
        self.patch_sr() * CELL_COLUMNS as f64
    }

    /// The cell that a patch is part of.
    pub fn cell_of(patch: usize) -> usize {
        let (column, band) = (patch / BANDS, patch % BANDS);
        column / CELL_COLUMNS * BANDS + band
    }

    /// Unit vectors to the middle of each patch.
    pub fn directions(&self) -> &[DVec3] {
        &self.toward
    }

    /// Solid angle of each patch, sr.
    pub fn patch_sr(&self) -> f64 {
        std::f64::consts::TAU / self.toward.len() as f64
    }

    /// What a point sees of the sky between the obstacles.
    pub fn from_point(&self, obstacles: &[Obstacle], at: DVec3) -> SkyView {
        self.view(obstacles, at, |toward| toward, None)
    }

    /// The same for a surface that faces `normal`: what lies behind it is not looked at
    /// and counts as open sky, which such a surface does not see.
    pub fn from_surface(&self, obstacles: &[Obstacle], at: DVec3, normal: DVec3) -> SkyView {
        self.view(obstacles, at, |toward| toward, Some(normal))
    }

    /// What a point sees under its own level: the dome upside down. What arrives
    /// there comes from the ground.
    pub fn under_point(&self, obstacles: &[Obstacle], at: DVec3) -> SkyView {
        self.view(obstacles, at, |toward| DVec3::new(toward.x, toward.y, -toward.z), None)
    }

    fn view(
        &self,
        obstacles: &[Obstacle],
        at: DVec3,
        turned: impl Fn(DVec3) -> DVec3,
        facing: Option<DVec3>,
    ) -> SkyView {
        let count = self.toward.len();
        let (mut arrives, mut met) = (vec![1.0; count], vec![Meetings::NONE; count]);
        for (index, obstacle) in obstacles.iter().enumerate() {
            let (axis, cosine) = obstacle.cone_from(at);
            let sine = (1.0 - cosine * cosine).sqrt();
            // nothing of its cone lies before the surface
            if facing.is_some_and(|normal| cosine > 0.0 && axis.dot(normal) < -sine) {
                continue;
            }
            for patch in patches_near(turned(axis), cosine) {
                let toward = turned(self.toward[patch]);
                let behind = facing.is_some_and(|normal| toward.dot(normal) <= 0.0);
                if behind || toward.dot(axis) < cosine {
                    continue;
                }
                if let Some((on, passes)) = obstacle.met_through(at, toward) {
                    let passes = passes as f32;
                    arrives[patch] *= passes;
                    met[patch].add((index, on), passes);
                }
            }
        }
        let mut meetings = Vec::new();
        for (patch, met) in met.iter().enumerate() {
            let toward = turned(self.toward[patch]);
            let on = |(obstacle, met): &(usize, Met), share| {
                let at = at + toward * met.distance_m;
                Meeting {
                    patch,
                    surface: Surface { obstacle: *obstacle, at, normal: met.normal },
                    share,
                }
            };
            if let Some(nearest) = &met.nearest {
                meetings.push(on(nearest, 1.0));
                meetings.extend(met.behind().map(|opaque| on(opaque, f64::from(met.passes))));
            }
        }
        SkyView { arrives, meetings }
    }

    /// Sky view factor of the horizontal plane: the part of an evenly bright
    /// sky's illuminance that arrives. 1 in the open.
    pub fn horizontal(&self, view: &SkyView) -> f64 {
        self.weigh(view, DVec3::Z)
    }

    /// The same for an upright face that looks to an azimuth. 1/2 in the open.
    pub fn upright(&self, view: &SkyView, faces: Azimuth) -> f64 {
        let (sine, cosine) = faces.radians().sin_cos();
        self.weigh(view, DVec3::new(sine, cosine, 0.0))
    }

    fn weigh(&self, view: &SkyView, normal: DVec3) -> f64 {
        let seen = view.arrives.iter().zip(&self.toward);
        let sum: f64 = seen.map(|(&share, d)| f64::from(share) * d.dot(normal).max(0.0)).sum();
        sum * self.patch_sr() / std::f64::consts::PI
    }
}

/// Patches whose middles may lie within a cone, given by its axis and the cosine
/// of half its opening: a box of columns and bands around it.
fn patches_near(axis: DVec3, cosine: f64) -> impl Iterator<Item = usize> {
    let (elevation, half) = (axis.z.clamp(-1.0, 1.0).asin(), cosine.clamp(-1.0, 1.0).acos());
    let quarter = std::f64::consts::FRAC_PI_2;
    let sine_of = |angle: f64| angle.clamp(-quarter, quarter).sin() * BANDS as f64;
    // a column's shift moves its bands by less than one
    let lowest = (sine_of(elevation - half) - 1.0).floor().max(0.0) as usize;
    let highest = (sine_of(elevation + half).ceil().max(0.0) as usize).min(BANDS);
    // over the zenith a cone holds every azimuth
    let (first, count) = if elevation + half >= quarter || elevation - half <= -quarter {
        (0, COLUMNS)
    } else {
        let spread = (half.sin() / elevation.cos()).clamp(-1.0, 1.0).asin();
        let per_column = std::f64::consts::TAU / COLUMNS as f64;
        let azimuth = axis.x.atan2(axis.y);
        let first = ((azimuth - spread) / per_column - 0.5).floor();
        let last = ((azimuth + spread) / per_column - 0.5).ceil();
        (first.rem_euclid(COLUMNS as f64) as usize, ((last - first) as usize + 1).min(COLUMNS))
    };
    let columns = (first..first + count).map(|column| column % COLUMNS);
    columns.flat_map(move |column| (lowest..highest).map(move |band| column * BANDS + band))
}

/// What a point sees of each patch.
#[derive(Debug, Clone, PartialEq)]
pub struct SkyView {
    arrives: Vec<f32>,
    meetings: Vec<Meeting>,
}

impl SkyView {
    /// Share of each patch's light that arrives, in the order of
    /// [`SkyDome::directions`], 0 to 1.
    pub fn arrives(&self) -> &[f32] {
        &self.arrives
    }

    /// What stands before the patches, patch by patch, nearest first.
    pub fn meetings(&self) -> &[Meeting] {
        &self.meetings
    }
}

/// Something that stands before a patch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meeting {
    pub patch: usize,
    pub surface: Surface,
    /// Share of the surface's own light that gets past what is nearer, 0 to 1.
    pub share: f64,
}

/// A place on an obstacle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surface {
    /// Index of the obstacle.
    pub obstacle: usize,
    /// Local frame, metres.
    pub at: DVec3,
    /// Unit vector out of the surface, toward who sees it.
    pub normal: DVec3,
}

/// The nearest thing before a patch, and the nearest that nothing passes.
#[derive(Debug, Clone, Copy)]
struct Meetings {
    nearest: Option<(usize, Met)>,
    opaque: Option<(usize, Met)>,
    /// Product of what the translucent ones let through.
    passes: f32,
}

impl Meetings {
    const NONE: Self = Self { nearest: None, opaque: None, passes: 1.0 };

    fn add(&mut self, met: (usize, Met), passes: f32) {
        let nearer = |than: Option<(usize, Met)>| {
            than.is_none_or(|than| met.1.distance_m < than.1.distance_m)
        };
        if nearer(self.nearest) {
            self.nearest = Some(met);
        }
        if passes > 0.0 {
            self.passes *= passes;
        } else if nearer(self.opaque) {
            self.opaque = Some(met);
        }
    }

    /// What nothing passes, where something translucent stands before it.
    fn behind(&self) -> Option<&(usize, Met)> {
        self.opaque.as_ref().filter(|_| self.nearest != self.opaque)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_box_around_a_cone_leaves_none_of_its_patches_out() {
        let dome = SkyDome::new();
        for i in 0..400_u32 {
            let azimuth = f64::from(i * 73 % 360).to_radians();
            let elevation = (f64::from(i * 31 % 140) - 50.0).to_radians();
            let axis = DVec3::new(
                azimuth.sin() * elevation.cos(),
                azimuth.cos() * elevation.cos(),
                elevation.sin(),
            );
            let cosine = (f64::from(i * 17 % 85) + 0.5).to_radians().cos();
            let near: Vec<usize> = patches_near(axis, cosine).collect();
            for (patch, toward) in dome.directions().iter().enumerate() {
                if toward.dot(axis) >= cosine {
                    assert!(near.contains(&patch), "{axis} {cosine} {toward}");
                }
            }
            let mut once = near.clone();
            once.sort_unstable();
            once.dedup();
            assert_eq!(once.len(), near.len(), "no patch comes twice");
        }
    }
}
