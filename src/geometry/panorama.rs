//! What stands around a point, direction by direction.
//!
//! In: obstacles, the ground where it is not flat, and a point, local frame, metres. Out: for
//! each direction of an even grid in azimuth and elevation (degrees) the share of light that
//! arrives, the nearest thing on the way and whether the ground ends it; the elevation up to
//! which each azimuth is covered.
//!
//! A column of the grid is one azimuth, so that sky under a roof, over a fence or
//! through a gap shows as what it is: the grid is not a line of heights.

use glam::DVec3;
use rayon::prelude::*;

use crate::base::frame::direction;
use crate::base::units::{Azimuth, Elevation, Transmittance};
use crate::geometry::obstacles::Obstacles;

/// Between two directions of the grid, degrees: a mast of 0.6 m radius at 100 m is
/// three wide, the sun two.
pub const PANORAMA_STEP_DEG: f64 = 0.25;
/// Where the grid begins: under it land hides everything, degrees.
pub const PANORAMA_FROM_DEG: f64 = -6.0;
/// Halvings of a step that find a rim: to a thousandth of a degree.
const HALVINGS: u32 = 8;

/// What a ray meets on its way out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sight {
    /// Share of light that arrives from the ground or from beyond all things.
    pub passes: Transmittance,
    /// Whether ground that is not flat ends it, which hides what lies behind.
    pub meets_ground: bool,
    /// Index of the nearest thing met.
    pub nearest: Option<usize>,
    /// Index of the nearest thing that nothing passes.
    pub opaque: Option<usize>,
}

/// What stands in a direction; indices are those of `obstacles`.
pub fn sight(obstacles: &Obstacles, from: DVec3, toward: DVec3) -> Sight {
    let ground_m =
        if obstacles.is_on_relief() { obstacles.ground_m(from, toward) } else { f64::INFINITY };
    let look = obstacles.look(from, toward, ground_m);
    Sight {
        passes: Transmittance::from_share(look.passes()),
        meets_ground: ground_m.is_finite(),
        nearest: look.nearest.map(|(index, _)| index),
        opaque: look.opaque.map(|(index, _)| index),
    }
}

/// The grid of lines of sight from a point.
#[derive(Debug, Clone)]
pub struct Panorama {
    at: DVec3,
    step_deg: f64,
    columns: usize,
    rows: usize,
    /// Column by column, from the lowest elevation up.
    cells: Vec<Sight>,
}

/// The upper end of what stands in one azimuth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rim {
    pub elevation: Elevation,
    /// Index of the thing whose edge it is.
    pub obstacle: usize,
}

impl Panorama {
    /// Looks all around from a point.
    pub fn from_point(obstacles: &Obstacles, at: DVec3) -> Self {
        Self::with_step(obstacles, at, PANORAMA_STEP_DEG)
    }

    /// The same on a grid of another step, degrees: a whole part of one degree.
    pub fn with_step(obstacles: &Obstacles, at: DVec3, step_deg: f64) -> Self {
        let columns = (360.0 / step_deg).round() as usize;
        let rows = ((90.0 - PANORAMA_FROM_DEG) / step_deg).round() as usize;
        let column = |index: usize| {
            let azimuth = azimuth_of(index, step_deg);
            let look = |row| sight(obstacles, at, direction(azimuth, elevation_of(row, step_deg)));
            (0..rows).map(look).collect::<Vec<Sight>>()
        };
        let cells = (0..columns).into_par_iter().flat_map_iter(column).collect();
        Self { at, step_deg, columns, rows, cells }
    }

    /// Where it was looked from, local frame, metres.
    pub fn at(&self) -> DVec3 {
        self.at
    }

    /// Azimuths of the grid.
    pub fn columns(&self) -> usize {
        self.columns
    }

    /// Elevations of the grid.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Azimuth of a column, wrapping around north.
    pub fn azimuth(&self, column: usize) -> Azimuth {
        azimuth_of(column % self.columns, self.step_deg)
    }

    /// Elevation of a row.
    pub fn elevation(&self, row: usize) -> Elevation {
        elevation_of(row, self.step_deg)
    }

    /// What stands in a direction of the grid; columns wrap around north, rows end at
    /// the zenith.
    pub fn cell(&self, column: usize, row: usize) -> Sight {
        let row = row.min(self.rows - 1);
        self.cells[column % self.columns * self.rows + row]
    }

    /// The upper end of the highest opaque thing in the azimuth of a column, to a
    /// thousandth of a degree; `None` where nothing opaque stands.
    pub fn highest(&self, obstacles: &Obstacles, column: usize) -> Option<Rim> {
        let row = (0..self.rows).rev().find(|&row| self.is_opaque(column, row))?;
        self.rim(obstacles, column, row)
    }

    /// The elevation up to which ground that is not flat rises in the azimuth of a column, to a
    /// thousandth of a degree; `None` where it ends no line of sight.
    pub fn hill(&self, obstacles: &Obstacles, column: usize) -> Option<Elevation> {
        let row = (0..self.rows).rev().find(|&row| self.cell(column, row).meets_ground)?;
        let (limit, _) = self.limit(obstacles, (column, row), |sight| sight.meets_ground);
        Some(limit)
    }

    /// The elevation up to which the azimuth of a column is covered without a gap,
    /// from `from` up; `None` where it is open there.
    pub fn covered(&self, obstacles: &Obstacles, column: usize, from: Elevation) -> Option<Rim> {
        let first = (0..self.rows).find(|&row| self.elevation(row) >= from)?;
        let is_open =
            |row: &usize| !self.is_opaque(column, *row) && !self.cell(column, *row).meets_ground;
        let open = (first..self.rows).find(is_open);
        let last = open.unwrap_or(self.rows).checked_sub(1).filter(|&row| row >= first)?;
        self.rim(obstacles, column, last)
    }

    fn is_opaque(&self, column: usize, row: usize) -> bool {
        self.cell(column, row).passes.is_opaque()
    }

    /// The end of what is opaque between a row and the open one over it.
    fn rim(&self, obstacles: &Obstacles, column: usize, row: usize) -> Option<Rim> {
        let (elevation, found) =
            self.limit(obstacles, (column, row), |sight| sight.passes.is_opaque());
        Some(Rim { elevation, obstacle: found.opaque.or(found.nearest)? })
    }

    /// The highest line of sight of a kind between a row and the one over it.
    fn limit(
        &self,
        obstacles: &Obstacles,
        (column, row): (usize, usize),
        is_so: impl Fn(&Sight) -> bool,
    ) -> (Elevation, Sight) {
        let azimuth = self.azimuth(column);
        let mut found = self.cell(column, row);
        let (mut low, mut high) = (self.elevation(row).degrees(), 0.0);
        if row + 1 < self.rows {
            high = self.elevation(row + 1).degrees();
        }
        for _ in 0..if row + 1 < self.rows { HALVINGS } else { 0 } {
            let middle = 0.5 * (low + high);
            let toward = direction(azimuth, Elevation::from_degrees(middle));
            let seen = sight(obstacles, self.at, toward);
            if is_so(&seen) {
                (low, found) = (middle, seen);
            } else {
                high = middle;
            }
        }
        (Elevation::from_degrees(low), found)
    }
}

fn azimuth_of(column: usize, step_deg: f64) -> Azimuth {
    Azimuth::from_degrees((column as f64 + 0.5) * step_deg)
}

fn elevation_of(row: usize, step_deg: f64) -> Elevation {
    Elevation::from_degrees(PANORAMA_FROM_DEG + (row as f64 + 0.5) * step_deg)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Obstacle, RayHit};
    use crate::venue::{Body, Part, Passes, Shape};

    fn sheet(corners: [[f64; 3]; 4], transmittance: f64) -> Obstacle {
        let passes = Transmittance::from_share(transmittance);
        let shape = Shape::Sheet { corners: corners.map(DVec3::from).to_vec() };
        let part = Part::Panel;
        let body = Body {
            part,
            shape,
            passes: Passes::Always(passes),
            reflectance: 0.0,
            scatters: 0.0,
            lit: None,
        };
        Obstacle::new(&body, passes).unwrap()
    }

    /// Check "the rim of an endless wall": tan(elevation) = height / distance x
    /// cos(azimuth from its normal) (plane trigonometry).
    #[test]
    fn the_rim_of_a_long_wall_follows_its_closed_form() {
        let wall =
            sheet([[-9e3, 20.0, 0.0], [9e3, 20.0, 0.0], [9e3, 20.0, 8.0], [-9e3, 20.0, 8.0]], 0.0);
        let all = Obstacles::from(vec![wall]);
        let seen = Panorama::from_point(&all, DVec3::new(0.0, 0.0, 1.7));
        let mut checked = 0;
        for column in 0..seen.columns() {
            let azimuth = seen.azimuth(column);
            let facing = azimuth.radians().cos();
            if facing < 0.1 {
                assert!(facing > 0.01 || seen.highest(&all, column).is_none());
                continue;
            }
            let expected = (6.3 / 20.0 * facing).atan().to_degrees();
            let rim = seen.highest(&all, column).unwrap();
            assert!((rim.elevation.degrees() - expected).abs() < 2e-3, "{azimuth:?} {rim:?}");
            let level = Elevation::from_degrees(0.0);
            assert_eq!(seen.covered(&all, column, level), Some(rim));
            checked += 1;
        }
        assert!(checked > 600);
    }

    #[test]
    fn sky_under_a_roof_shows_and_the_roof_is_the_highest() {
        let roof = [[-50.0, 10.0, 8.0], [50.0, 10.0, 8.0], [50.0, 30.0, 8.0], [-50.0, 30.0, 8.0]];
        let all = Obstacles::from(vec![sheet(roof, 0.0)]);
        let seen = Panorama::from_point(&all, DVec3::ZERO);
        let (north, south) = (0, seen.columns() / 2);
        let degrees = |height: f64, distance: f64| (height / distance).atan().to_degrees();
        let rim = seen.highest(&all, north).unwrap();
        assert!((rim.elevation.degrees() - degrees(8.0, 10.0)).abs() < 2e-3);
        assert_eq!(seen.covered(&all, north, Elevation::from_degrees(0.0)), None);
        let opaque: Vec<f64> = (0..seen.rows())
            .filter(|&row| seen.cell(north, row).passes.is_opaque())
            .map(|row| seen.elevation(row).degrees())
            .collect();
        assert!((opaque[0] - degrees(8.0, 30.0)).abs() <= PANORAMA_STEP_DEG);
        assert_eq!(seen.highest(&all, south), None);
    }

    #[test]
    fn the_nearest_is_named_and_shares_multiply() {
        let at = |y: f64, t: f64| {
            sheet([[-5.0, y, 0.0], [5.0, y, 0.0], [5.0, y, 5.0], [-5.0, y, 5.0]], t)
        };
        let all = [at(30.0, 0.5), at(20.0, 0.4), at(40.0, 0.0)];
        let two = Obstacles::from(all[..2].to_vec());
        let all = Obstacles::from(all.to_vec());
        let seen = sight(&two, DVec3::Z, DVec3::Y);
        assert_eq!((seen.nearest, seen.opaque), (Some(1), None));
        assert!((seen.passes.share() - 0.2).abs() < 1e-12);
        let seen = sight(&all, DVec3::Z, DVec3::Y);
        assert_eq!((seen.nearest, seen.opaque), (Some(1), Some(2)));
        assert!(seen.passes.is_opaque());
        assert_eq!(sight(&all, DVec3::Z, -DVec3::Y).passes, Transmittance::CLEAR);
    }

    /// The tree of boxes leaves things out; no line of sight may change by it.
    #[test]
    fn the_grid_agrees_with_things_asked_one_by_one() {
        let all: Obstacles = (0..40)
            .map(|i| {
                let turn = f64::from(i) * 0.7;
                let (s, c) = turn.sin_cos();
                let (r, z) = (8.0 + f64::from(i % 7) * 3.0, f64::from(i % 5) * 4.0 - 2.0);
                let p = |u: f64, up: f64| [r * c - u * s, r * s + u * c, z + up];
                sheet(
                    [p(-2.0, 0.0), p(3.0, 0.0), p(3.0, 4.0), p(-2.0, 4.0)],
                    0.1 * f64::from(i % 4),
                )
            })
            .collect();
        let at = DVec3::new(0.5, -0.3, 1.7);
        let seen = Panorama::from_point(&all, at);
        for column in (0..seen.columns()).step_by(7) {
            for row in 0..seen.rows() {
                let toward = direction(seen.azimuth(column), seen.elevation(row));
                let found = seen.cell(column, row);
                let hits =
                    all.iter().enumerate().filter_map(|(i, o)| Some((i, o.met(at, toward)?)));
                let first = |a: &(usize, RayHit), b: &(usize, RayHit)| {
                    a.1.distance_m.total_cmp(&b.1.distance_m)
                };
                let share: f64 = hits.clone().map(|(i, _)| all[i].passes(toward).share()).product();
                assert!((found.passes.share() - share).abs() < 1e-12);
                assert_eq!(found.nearest, hits.clone().min_by(first).map(|hit| hit.0));
                let opaque = hits.filter(|(i, _)| all[*i].is_opaque());
                assert_eq!(found.opaque, opaque.min_by(first).map(|hit| hit.0));
            }
        }
    }
}
