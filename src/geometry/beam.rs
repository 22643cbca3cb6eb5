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

/// Boxes are taken to be so much larger all around, metres.
const MARGIN_M: f64 = 1e-6;
/// Cells of the grid to a body, and columns or rows at most.
const CELLS_TO_A_BODY: f64 = 8.0;
const MAX_COLUMNS: f64 = 128.0;

/// Rays toward one direction.
pub struct Beam<'a> {
    obstacles: &'a Obstacles,
    toward: DVec3,
    /// Unit vectors across the direction.
    right: DVec3,
    up: DVec3,
    corner: DVec2,
    cells_to_a_metre: DVec2,
    columns: usize,
    rows: usize,
    /// Where the bodies of each cell begin in `listed`; one more than there are cells.
    starts: Vec<u32>,
    listed: Vec<u32>,
    /// The box around each body as the rays see it.
    outlines: Vec<Outline>,
}

/// A box on the plane across the rays, and how far along them it reaches, metres.
#[derive(Clone, Copy)]
struct Outline {
    low: DVec2,
    high: DVec2,
    far_m: f64,
}

impl<'a> Beam<'a> {
    pub fn new(obstacles: &'a Obstacles, toward: DVec3) -> Self {
        let (right, up) = toward.any_orthonormal_pair();
        let outline = |[low, high]: &[DVec3; 2]| {
            let (middle, half) = (0.5 * (*low + *high), 0.5 * (*high - *low) + MARGIN_M);
            let flat = DVec2::new(middle.dot(right), middle.dot(up));
            let wide = DVec2::new(half.dot(right.abs()), half.dot(up.abs()));
            let far_m = middle.dot(toward) + half.dot(toward.abs());
            Outline { low: flat - wide, high: flat + wide, far_m }
        };
        let outlines: Vec<Outline> = obstacles.boxes().iter().map(outline).collect();
        let corner = outlines.iter().fold(DVec2::INFINITY, |low, o| low.min(o.low));
        let end = outlines.iter().fold(DVec2::NEG_INFINITY, |high, o| high.max(o.high));
        let size = (end - corner).max(DVec2::splat(MARGIN_M));
        let side = (size.x * size.y / (CELLS_TO_A_BODY * outlines.len() as f64)).sqrt();
        let count = (size / side).ceil().clamp(DVec2::ONE, DVec2::splat(MAX_COLUMNS));
        let count = if count.is_finite() { count } else { DVec2::ONE };
        let mut beam = Self {
            obstacles,
            toward,
            right,
            up,
            corner,
            cells_to_a_metre: count / size,
            columns: count.x as usize,
            rows: count.y as usize,
            starts: Vec::new(),
            listed: Vec::new(),
            outlines,
        };
        beam.list();
        beam
    }

    /// Lists the bodies of each cell in their order.
    fn list(&mut self) {
        let mut starts = vec![0; self.columns * self.rows + 1];
        let cells: Vec<[[usize; 2]; 2]> =
            self.outlines.iter().map(|o| [self.cell(o.low), self.cell(o.high)]).collect();
        let each = |[[left, bottom], [right, top]]: [[usize; 2]; 2]| {
            let columns = self.columns;
            (bottom..=top).flat_map(move |row| (left..=right).map(move |c| row * columns + c))
        };
        cells.iter().flat_map(|c| each(*c)).for_each(|cell| starts[cell + 1] += 1);
        for cell in 1..starts.len() {
            starts[cell] += starts[cell - 1];
        }
        let mut next = starts.clone();
        let mut listed = vec![0; starts.last().map_or(0, |count| *count as usize)];
        for (body, around) in cells.iter().enumerate() {
            for cell in each(*around) {
                listed[next[cell] as usize] = body as u32;
                next[cell] += 1;
            }
        }
        (self.starts, self.listed) = (starts, listed);
    }

    /// Column and row of a place across the rays; the nearest for one outside.
    fn cell(&self, at: DVec2) -> [usize; 2] {
        let [x, y] = ((at - self.corner) * self.cells_to_a_metre).to_array();
        [(x as usize).min(self.columns - 1), (y as usize).min(self.rows - 1)]
    }

    /// Where the rays lead, unit vector.
    pub fn toward(&self) -> DVec3 {
        self.toward
    }

    /// Share of the light that reaches a place straight on: [`Obstacles::transmission`].
    pub fn transmission(&self, from: DVec3) -> Transmittance {
        let at = DVec2::new(from.dot(self.right), from.dot(self.up));
        let along_m = from.dot(self.toward);
        let [column, row] = self.cell(at);
        let cell = row * self.columns + column;
        let mut share = 1.0;
        for &body in &self.listed[self.starts[cell] as usize..self.starts[cell + 1] as usize] {
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
