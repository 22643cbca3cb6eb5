//! The light of sky and surroundings on the ground, ready for a million places.
//!
//! In: the places that light is known at, once a venue; then the light there at an instant,
//! lx. Out: the light anywhere on the ground, lx: what [`LightPlaces::weights`] makes of it,
//! linear over the same triangles, found by a map of small cells instead of a walk. Far
//! outside of the places it goes over to the light of open land.

use geo::Coord;

use super::places::LightPlaces;
use super::tristimulus::Tristimulus;

/// Cells of the map a side at most, and to a step between places.
const MAX_CELLS: f64 = 400.0;
const CELLS_TO_A_STEP: f64 = 3.0;
/// A place counts as in a triangle with weights down to this: rounding.
const LEAST_WEIGHT: f64 = -1e-9;

/// Triangles between places, and which of them lie near a cell.
#[derive(Debug, Clone)]
pub struct GroundNet {
    at: Vec<Coord<f64>>,
    triangles: Vec<[usize; 3]>,
    margin_m: f64,
    corner: Coord<f64>,
    cells_to_a_metre: f64,
    columns: usize,
    rows: usize,
    starts: Vec<u32>,
    listed: Vec<u32>,
    /// The nearest place to the middle of each cell.
    nearest: Vec<u32>,
}

/// What the light at a place of the ground is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GroundNear {
    /// The places at its corners.
    Triangle(u32),
    /// This one and open land: it lies outside of all triangles.
    Place(u32),
    /// Open land alone.
    Nothing,
}

/// Light on the ground at an instant.
#[derive(Debug, Clone)]
pub struct GroundLight {
    /// Over each triangle: the three values at its corners.
    at: Vec<Tristimulus>,
    open: Tristimulus,
}

impl GroundNet {
    pub fn new(places: &LightPlaces) -> Self {
        let at = places.at().to_vec();
        let triangles = places.triangles();
        let fold = |pick: fn(f64, f64) -> f64, from: f64| {
            let x = at.iter().map(|c| c.x).fold(from, pick);
            let y = at.iter().map(|c| c.y).fold(from, pick);
            Coord { x, y }
        };
        let (low, high) = (fold(f64::min, f64::INFINITY), fold(f64::max, f64::NEG_INFINITY));
        let margin_m = places.margin_m();
        let corner = Coord { x: low.x - margin_m, y: low.y - margin_m };
        let size = [high.x - low.x + 2.0 * margin_m, high.y - low.y + 2.0 * margin_m];
        let longest = size[0].max(size[1]).max(f64::MIN_POSITIVE);
        let cells_to_a_metre =
            (CELLS_TO_A_STEP / places.step_m().max(f64::MIN_POSITIVE)).min(MAX_CELLS / longest);
        let count = |m: f64| ((m * cells_to_a_metre).ceil() as usize).max(1);
        let (columns, rows) = match at.is_empty() {
            true => (0, 0),
            false => (count(size[0]), count(size[1])),
        };
        let mut net = Self {
            at,
            triangles,
            margin_m,
            corner,
            cells_to_a_metre,
            columns,
            rows,
            starts: vec![0],
            listed: Vec::new(),
            nearest: Vec::new(),
        };
        net.list();
        net.nearest = (0..columns * rows)
            .map(|cell| {
                let (column, row) = ((cell % columns) as f64 + 0.5, (cell / columns) as f64 + 0.5);
                let x = net.corner.x + column / net.cells_to_a_metre;
                let y = net.corner.y + row / net.cells_to_a_metre;
                places.nearest(Coord { x, y }).unwrap_or(0) as u32
            })
            .collect();
        net
    }

    fn list(&mut self) {
        let mut cells: Vec<Vec<u32>> = vec![Vec::new(); self.columns * self.rows];
        for (index, triangle) in self.triangles.iter().enumerate() {
            let corners = triangle.map(|i| self.at[i]);
            let [xs, ys] = [corners.map(|c| c.x), corners.map(|c| c.y)];
            let least = |v: [f64; 3]| v.into_iter().fold(f64::INFINITY, f64::min);
            let most = |v: [f64; 3]| v.into_iter().fold(f64::NEG_INFINITY, f64::max);
            let (Some(low), Some(high)) =
                (self.cell(least(xs), least(ys)), self.cell(most(xs), most(ys)))
            else {
                continue;
            };
            for row in low[1]..=high[1] {
                for column in low[0]..=high[0] {
                    cells[row * self.columns + column].push(index as u32);
                }
            }
        }
        for cell in cells {
            self.listed.extend(cell);
            self.starts.push(self.listed.len() as u32);
        }
    }

    fn cell(&self, x: f64, y: f64) -> Option<[usize; 2]> {
        let column = (x - self.corner.x) * self.cells_to_a_metre;
        let row = (y - self.corner.y) * self.cells_to_a_metre;
        let inside =
            (0.0..self.columns as f64).contains(&column) && (0.0..self.rows as f64).contains(&row);
        inside.then_some([column as usize, row as usize])
    }

    /// The light of an instant at the places, and that on open land, lx.
    pub fn lit(&self, turf: &[Tristimulus], open: Tristimulus) -> GroundLight {
        let of = |i: usize| turf.get(i).copied().unwrap_or(open);
        GroundLight { at: (0..self.at.len()).map(of).collect(), open }
    }

    /// What the light at a place is made of.
    pub fn near(&self, x: f64, y: f64) -> GroundNear {
        let Some([column, row]) = self.cell(x, y) else { return GroundNear::Nothing };
        let cell = row * self.columns + column;
        let listed = &self.listed[self.starts[cell] as usize..self.starts[cell + 1] as usize];
        let holds = |index: &&u32| {
            self.weights(**index, x, y).into_iter().all(|weight| weight >= LEAST_WEIGHT)
        };
        match listed.iter().find(holds) {
            Some(index) => GroundNear::Triangle(*index),
            None => GroundNear::Place(self.nearest[cell]),
        }
    }

    /// Of the corners of a triangle at a place.
    fn weights(&self, triangle: u32, x: f64, y: f64) -> [f64; 3] {
        let [a, b, c] = self.triangles[triangle as usize].map(|i| self.at[i]);
        let twice = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
        let second = ((x - a.x) * (c.y - a.y) - (y - a.y) * (c.x - a.x)) / twice;
        let third = ((b.x - a.x) * (y - a.y) - (b.y - a.y) * (x - a.x)) / twice;
        [1.0 - second - third, second, third]
    }

    /// Light of sky and surroundings at a place, by what it is [near](Self::near), lx.
    pub fn light(&self, of: &GroundLight, near: GroundNear, x: f64, y: f64) -> Tristimulus {
        match near {
            GroundNear::Triangle(index) => {
                let [first, second, third] = self.weights(index, x, y);
                let [p, q, r] = self.triangles[index as usize].map(|i| of.at[i]);
                p * first + q * second + r * third
            }
            GroundNear::Place(nearest) => {
                let (at, light) = (self.at[nearest as usize], of.at[nearest as usize]);
                let away = ((at.x - x).hypot(at.y - y) / self.margin_m.max(1e-9)).clamp(0.0, 1.0);
                light * (1.0 - away) + of.open * away
            }
            GroundNear::Nothing => of.open,
        }
    }
}
