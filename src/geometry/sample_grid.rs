//! Evenly spread places of a region of the field.
//!
//! In: polygons in the local frame, metres, and about how many places; then, per
//! instant, a [`Shadow`]. Out: the places, and shares of the direct light at them.

use geo::{BoundingRect, Contains, Coord, InteriorPoint, MultiPolygon, Point};

use crate::geometry::shadow::Shadow;

/// A rectangular lattice, kept where it lies inside of its region.
#[derive(Debug, Clone)]
pub struct SampleGrid {
    corner: Coord<f64>,
    step: Coord<f64>,
    columns: usize,
    rows: usize,
    places: Vec<Coord<f64>>,
    /// Index of the place of each node of the whole lattice.
    index: Vec<Option<u32>>,
}

impl SampleGrid {
    /// About `count` places over a region of an area (m2), each the middle of an
    /// equal rectangle; a sliver that no node meets gets its own middle. Empty
    /// without an area.
    pub fn over(region: &MultiPolygon<f64>, area_m2: f64, count: f64) -> Self {
        let none = Self {
            corner: Coord { x: 0.0, y: 0.0 },
            step: Coord { x: 0.0, y: 0.0 },
            columns: 0,
            rows: 0,
            places: Vec::new(),
            index: Vec::new(),
        };
        let Some(bounds) = region.bounding_rect().filter(|_| area_m2 > 0.0) else {
            return none;
        };
        let spacing = (area_m2 / count).sqrt();
        let steps = |length: f64| (length / spacing).ceil().max(1.0) as usize;
        let (columns, rows) = (steps(bounds.width()), steps(bounds.height()));
        let step = Coord { x: bounds.width() / columns as f64, y: bounds.height() / rows as f64 };
        let mut lattice = Self { corner: bounds.min(), step, columns, rows, ..none };
        for node in 0..columns * rows {
            let at = lattice.node(node);
            let inside = region.contains(&Point(at));
            lattice.index.push(inside.then_some(lattice.places.len() as u32));
            if inside {
                lattice.places.push(at);
            }
        }
        if lattice.places.is_empty() {
            lattice.places =
                region.0.iter().filter_map(|p| p.interior_point().map(|p| p.0)).collect();
        }
        lattice
    }

    /// Where the places are, local frame (x east, y north), metres.
    pub fn places(&self) -> &[Coord<f64>] {
        &self.places
    }

    fn node(&self, node: usize) -> Coord<f64> {
        Coord {
            x: self.corner.x + ((node % self.columns) as f64 + 0.5) * self.step.x,
            y: self.corner.y + ((node / self.columns) as f64 + 0.5) * self.step.y,
        }
    }

    /// The place nearest to a point; `None` in an empty lattice.
    pub fn nearest(&self, at: Coord<f64>) -> Option<usize> {
        let node = self.node_at(at);
        if let Some(&Some(index)) = node.and_then(|n| self.index.get(n)) {
            return Some(index as usize);
        }
        let distance = |c: &Coord<f64>| (c.x - at.x).powi(2) + (c.y - at.y).powi(2);
        let places = self.places.iter().enumerate();
        places.min_by(|a, b| distance(a.1).total_cmp(&distance(b.1))).map(|(i, _)| i)
    }

    /// The nearest node to a point; `None` where that lies outside of the lattice.
    fn node_at(&self, at: Coord<f64>) -> Option<usize> {
        let column = (at.x - self.corner.x) / self.step.x;
        let row = (at.y - self.corner.y) / self.step.y;
        let inside =
            (0.0..self.columns as f64).contains(&column) && (0.0..self.rows as f64).contains(&row);
        inside.then(|| row as usize * self.columns + column as usize)
    }

    /// Share of the direct light that arrives at each place.
    pub fn transmissions(&self, shadow: &Shadow) -> Vec<f32> {
        if self.index.is_empty() {
            let share = |at: &Coord<f64>| shadow.transmission_at(*at).share() as f32;
            return self.places.iter().map(share).collect();
        }
        let mut shares = vec![1.0; self.places.len()];
        let mut crossings = Vec::new();
        for dimmed in &shadow.dimmed {
            let share = dimmed.transmittance.share() as f32;
            self.fill(&dimmed.region, share, &mut shares, &mut crossings);
        }
        self.fill(&shadow.opaque, 0.0, &mut shares, &mut crossings);
        shares
    }

    /// Sets the places that lie inside of polygons (even-odd, as in
    /// [`Shadow::transmission_at`]). `crossings` is room to work in: row, and where a side
    /// of a polygon crosses it.
    fn fill(
        &self,
        region: &MultiPolygon<f64>,
        share: f32,
        shares: &mut [f32],
        crossings: &mut Vec<(usize, f64)>,
    ) {
        crossings.clear();
        for polygon in region {
            for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
                ring.0.windows(2).for_each(|side| self.cross_rows(side[0], side[1], crossings));
            }
        }
        crossings.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        for run in crossings.chunk_by(|a, b| a.0 == b.0).flat_map(|row| row.chunks_exact(2)) {
            let ((row, from), (_, to)) = (run[0], run[1]);
            let column =
                |x: f64| ((x - self.corner.x) / self.step.x - 0.5).ceil().max(0.0) as usize;
            let run = column(from)..column(to).min(self.columns);
            for node in run.map(|c| row * self.columns + c) {
                if let Some(&Some(index)) = self.index.get(node)
                    && let Some(place) = shares.get_mut(index as usize)
                {
                    *place = share;
                }
            }
        }
    }

    /// Notes where a side crosses rows: those over its lower end and not over its upper.
    fn cross_rows(&self, a: Coord<f64>, b: Coord<f64>, crossings: &mut Vec<(usize, f64)>) {
        let row = |y: f64| ((y - self.corner.y) / self.step.y - 0.5).floor().max(-1.0);
        let (low, high) = (row(a.y.min(b.y)), row(a.y.max(b.y)));
        // one more on either side, since rounding may put a row on the other one
        let first = low.max(0.0) as usize;
        let last = (high + 1.0).min(self.rows as f64 - 1.0);
        if last < 0.0 {
            return;
        }
        for row in first..=last as usize {
            let y = self.node(row * self.columns).y;
            if (a.y > y) != (b.y > y) {
                crossings.push((row, a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x)));
            }
        }
    }
}
