//! Parallel rays toward one direction, from any number of places.
//!
//! In: obstacles and a unit direction, local frame, metres; then places. Out: the share of
//! light from that direction that reaches each place, 0 to 1.
//!
//! On a plane across the direction a ray is a point and the box around each body a
//! rectangle: a grid on that plane lists which boxes lie on which rays, so a ray asks the
//! few bodies of its cell where it would walk down a tree of boxes by itself.

use glam::{DVec2, DVec3};

use crate::base::units::Transmittance;
use crate::geometry::obstacles::Obstacles;
use crate::geometry::ray_grid::RayGrid;
use crate::geometry::relief::net::ReliefNet;

/// Boxes are taken to be so much larger all around, metres.
const MARGIN_M: f64 = 1e-6;
/// Cells of the grid to a body, fewer where few rays will ask, and columns or rows at most.
const CELLS_TO_A_BODY: f64 = 8.0;
const MIN_CELLS_TO_A_BODY: f64 = 0.5;
const MAX_COLUMNS: f64 = 128.0;

/// Rays toward one direction.
pub struct Beam<'a> {
    obstacles: &'a Obstacles,
    toward: DVec3,
    /// Unit vectors across the direction.
    right: DVec3,
    up: DVec3,
    grid: RayGrid,
    /// The box around each body as the rays see it.
    outlines: Vec<Outline>,
    /// Where it may rise before the rays.
    ground: Option<&'a ReliefNet>,
}

/// A box on the plane across the rays, and how far along them it reaches, metres.
#[derive(Clone, Copy)]
struct Outline {
    low: DVec2,
    high: DVec2,
    far_m: f64,
}

impl<'a> Beam<'a> {
    /// For many rays.
    pub fn new(obstacles: &'a Obstacles, toward: DVec3) -> Self {
        Self::with_cells(obstacles, toward, CELLS_TO_A_BODY)
    }

    /// For about so many rays: a finer grid takes longer to fill than they save.
    pub fn for_rays(obstacles: &'a Obstacles, toward: DVec3, rays: usize) -> Self {
        let cells = rays as f64 / obstacles.len().max(1) as f64;
        Self::with_cells(obstacles, toward, cells.clamp(MIN_CELLS_TO_A_BODY, CELLS_TO_A_BODY))
    }

    fn with_cells(obstacles: &'a Obstacles, toward: DVec3, cells_to_a_body: f64) -> Self {
        let (right, up) = toward.any_orthonormal_pair();
        let outline = |[low, high]: &[DVec3; 2]| {
            let (middle, half) = (0.5 * (*low + *high), 0.5 * (*high - *low) + MARGIN_M);
            let flat = DVec2::new(middle.dot(right), middle.dot(up));
            let wide = DVec2::new(half.dot(right.abs()), half.dot(up.abs()));
            let far_m = middle.dot(toward) + half.dot(toward.abs());
            Outline { low: flat - wide, high: flat + wide, far_m }
        };
        let outlines: Vec<Outline> = obstacles.boxes().iter().map(outline).collect();
        let rectangles: Vec<[DVec2; 2]> = outlines.iter().map(|o| [o.low, o.high]).collect();
        let grid = RayGrid::new(&rectangles, cells_to_a_body, MAX_COLUMNS);
        let ground = obstacles.ground_toward(toward);
        Self { obstacles, toward, right, up, grid, outlines, ground }
    }

    /// Where the rays lead, unit vector.
    pub fn toward(&self) -> DVec3 {
        self.toward
    }

    pub fn obstacles(&self) -> &Obstacles {
        self.obstacles
    }

    /// Share of the light that reaches a place straight on: [`Obstacles::transmission`].
    pub fn transmission(&self, from: DVec3) -> Transmittance {
        if self.ground.is_some_and(|ground| ground.enters_m(from, self.toward).is_some()) {
            return Transmittance::OPAQUE;
        }
        let at = DVec2::new(from.dot(self.right), from.dot(self.up));
        let along_m = from.dot(self.toward);
        let mut share = 1.0;
        for &body in self.grid.near(at) {
            let Outline { low, high, far_m } = self.outlines[body as usize];
            let meets = far_m >= along_m && at.cmpge(low).all() && at.cmple(high).all();
            if meets {
                share *= self.obstacles[body as usize].transmission(from, self.toward);
                if share == 0.0 {
                    break;
                }
            }
        }
        Transmittance::from_share(share)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Obstacle;
    use crate::venue::{Body, Part, Passes, Shape};

    /// From many places toward many directions, what the tree of boxes says.
    #[test]
    fn it_passes_what_the_tree_of_boxes_passes() {
        let panel = |i: u32| {
            let (x, y) = (f64::from(i * 13 % 40), f64::from(i * 7 % 30));
            let corners = [(0.0, 0.0), (6.0, 1.0), (5.0, 4.0), (-1.0, 3.0)];
            let corners = corners.map(|(u, v)| DVec3::new(x + u, y + v, f64::from(i) + 0.5 * v));
            let passes = Transmittance::from_share(if i.is_multiple_of(3) { 0.0 } else { 0.5 });
            let body = Body {
                shape: Shape::Sheet { corners: corners.to_vec() },
                part: Part::Panel,
                passes: Passes::Always(passes),
                reflectance: 0.3,
                scatters: 0.0,
                lit: None,
            };
            Obstacle::new(&body, passes)
        };
        let obstacles: Obstacles = (0..23).filter_map(panel).collect();
        let mut dimmed = [0; 3];
        for toward in [(0.3, -0.4, 0.2), (0.0, 0.0, 1.0), (-1.0, 0.1, 0.9), (1.0, 0.0, 0.0)] {
            let toward = DVec3::from(toward).normalize();
            let beam = Beam::new(&obstacles, toward);
            for i in 0..400 {
                let at = DVec3::new(f64::from(i % 20) * 2.9 - 7.0, f64::from(i / 20) * 2.3, 2.0);
                let (got, wanted) = (beam.transmission(at), obstacles.transmission(at, toward));
                assert!((got.share() - wanted.share()).abs() < 1e-12, "{at} {toward}");
                let class = if got.share() == 0.0 { 0 } else { 1 + usize::from(got.share() < 1.0) };
                dimmed[class] += 1;
            }
        }
        assert!(dimmed.iter().all(|count| *count > 50), "{dimmed:?}");
        let nothing = Obstacles::from(Vec::<Obstacle>::new());
        assert_eq!(Beam::new(&nothing, DVec3::Z).transmission(DVec3::ZERO).share(), 1.0);
    }
}
