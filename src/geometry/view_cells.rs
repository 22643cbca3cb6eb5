//! Cells of the ground that take equal parts of what is seen from one point.
//!
//! In: a region of the ground, in plan, and the point that it is seen from, local frame, metres; per instant a [`Shadow`]. Out: about so many places of the region, the solid angle
//! (sr) that the cell of each takes, and what the shadow does to each cell.
//!
//! The directions toward the ground are laid out on a plane by Lambert's azimuthal equal-area
//! projection (J. P. Snyder, "Map Projections - A Working Manual", USGS Professional Paper
//! 1395, 1987, chapter 24), so that areas there are solid angles: shares of a picture are
//! exact areas, however near the lens the ground is. The plane is cut into equal rectangles.
//! Straight lines on the ground are bent there, and therefore walked in small steps.

use geo::{BoundingRect, Contains, Coord, InteriorPoint, MultiPolygon, Point};
use glam::{DVec2, DVec3};

use crate::base::frame::plan_view;
use crate::base::plane::P2;
use crate::base::units::Transmittance;
use crate::geometry::cells::{Areas, CellGrid, CellShade, Count};
use crate::geometry::hull::Box2;
use crate::geometry::region::Region;
use crate::geometry::relief::terrain::Terrain;
use crate::geometry::shadow::{ShadeShare, Shadow};

/// A step along a side leaves its chord by this at most, in the unit of the projection: a tenth
/// of a thousandth of a radian in the middle of the view.
const MAX_SAGITTA: f64 = 1e-4;
/// No side is walked in shorter steps, nor in longer ones, rad.
const MIN_STEP_RAD: f64 = 0.02;
const MAX_STEP_RAD: f64 = 0.25;
/// Cells wider than high see near and far at once, so a low, wide view has no more columns.
const MAX_COLUMNS: f64 = 40.0;
/// The box around a bent region may be so many times the region; more cells are not made.
const MAX_BOX: f64 = 8.0;
/// Nor more cells, so many times, for what simple rings take beyond it.
const MAX_WIDER: usize = 2;
/// A cell with less of the region than this share of a whole one joins a neighbour.
const MIN_FILL: f64 = 0.3;
/// The middle of what a cell holds is found from so many points across and up.
const POINTS: usize = 4;
/// Less solid angle than this, sr, is not cut into cells: the square of half a minute of arc.
const MIN_VIEW_SR: f64 = 2e-8;

/// A region as it is seen from one point.
#[derive(Debug, Clone)]
pub struct ViewCells {
    region: Region,
    view: LensProjection,
    grid: CellGrid,
    /// The place that each cell belongs to.
    place_of: Vec<Option<u32>>,
    places: Vec<Coord<f64>>,
    solid_angles_sr: Vec<f64>,
}

impl ViewCells {
    /// About `count` places of a region of the plane of the field seen from `lens`; one for each
    /// polygon where it is seen edge on; none without an area.
    pub fn over(region: &MultiPolygon<f64>, lens: DVec3, count: f64) -> Self {
        Self::on(Terrain::LEVEL, region, lens, count)
    }

    /// The same of ground all of which is seen.
    pub fn on(terrain: Terrain, region: &MultiPolygon<f64>, lens: DVec3, count: f64) -> Self {
        // cells and places are those of parts side by side
        let prepared = Region::side_by_side(region);
        let view = LensProjection::toward(&prepared, lens, terrain);
        let uncut = CellGrid { corner: [0.0; 2], step: [0.0; 2], columns: 0, rows: 0 };
        let mut cells = Self {
            region: prepared,
            view,
            grid: uncut,
            place_of: Vec::new(),
            places: Vec::new(),
            solid_angles_sr: Vec::new(),
        };
        if let Some(grid) = cells.cut(count) {
            cells.grid = grid;
            cells.settle(region);
            cells.simplify(region);
        }
        if cells.places.is_empty() {
            cells.grid = uncut;
            cells.place_of.clear();
            cells.places =
                region.0.iter().filter_map(|p| p.interior_point().map(|p| p.0)).collect();
            cells.solid_angles_sr = vec![0.0; cells.places.len()];
        }
        cells
    }

    /// The middles of what the cells hold, local frame, metres.
    pub fn places(&self) -> &[Coord<f64>] {
        &self.places
    }

    /// What the cell of each place takes of the view, sr.
    pub fn solid_angles_sr(&self) -> &[f64] {
        &self.solid_angles_sr
    }

    /// What polygons take of the cell of each place, sr.
    pub fn solid_angles_of(&self, polygons: &MultiPolygon<f64>) -> Vec<f64> {
        let mut areas = Areas::new(&self.grid);
        self.add(polygons, &mut areas, 1.0);
        self.at_places(&areas)
    }

    /// Adds what polygons take of the region to areas, so many times; m2 on the ground.
    fn add<T: Count>(&self, polygons: &MultiPolygon<f64>, areas: &mut Areas<T>, times: T) -> f64 {
        self.region.each_overlap(polygons, |ring, sign| self.view.ring(ring, areas, times * sign))
    }

    /// What a shadow does to the region, by area, and to the cell of each place, by solid
    /// angle.
    pub fn shade(&self, shadow: &Shadow) -> (ShadeShare, Vec<CellShade>) {
        let mut opaque = Areas::new(&self.grid);
        let opaque_m2 = self.add(&shadow.opaque, &mut opaque, 1.0);
        // the area dimmed, and the same times what comes through
        let mut dimmed = Areas::new(&self.grid);
        let mut dimmed_m2: Vec<(Transmittance, f64)> = Vec::with_capacity(shadow.dimmed.len());
        for layer in &shadow.dimmed {
            let times = DVec2::new(1.0, layer.transmittance.share());
            dimmed_m2.push((layer.transmittance, self.add(&layer.region, &mut dimmed, times)));
        }
        let nothing = dimmed_m2.iter().all(|(_, area)| *area == 0.0);
        let whole = ShadeShare::from_areas(self.region.area_m2(), opaque_m2, dimmed_m2);
        if nothing && opaque_m2 == 0.0 {
            return (whole, vec![CellShade::SUN; self.places.len()]);
        }
        if self.grid.cells() == 0 {
            let lit = whole.mean_transmission - (1.0 - whole.shaded);
            let shade = CellShade::from_parts(1.0, whole.opaque, whole.shaded - whole.opaque, lit);
            return (whole, vec![shade; self.places.len()]);
        }
        let dimmed = match nothing {
            true => vec![DVec2::ZERO; self.places.len()],
            false => self.at_places(&dimmed),
        };
        let parts = self.solid_angles_sr.iter().zip(self.at_places(&opaque)).zip(dimmed);
        let cell = |((whole, opaque), dimmed): ((&f64, f64), DVec2)| {
            CellShade::from_parts(*whole, opaque, dimmed.x, dimmed.y)
        };
        (whole, parts.map(cell).collect())
    }

    /// The grid around the region as seen; `None` where it is seen edge on, or not at all.
    fn cut(&self, count: f64) -> Option<CellGrid> {
        let mut corners = Vec::new();
        let mut view_sr = 0.0;
        for part in self.region.parts() {
            self.view.walk(part, plain, |from, to| {
                view_sr += 0.5 * (from[0] * to[1] - to[0] * from[1]);
                corners.push(to);
            });
        }
        let bounds = Box2::around(corners)?;
        let [width, height] = [bounds.max[0] - bounds.min[0], bounds.max[1] - bounds.min[1]];
        let view_sr = view_sr.abs();
        if view_sr.is_nan() || view_sr < MIN_VIEW_SR {
            return None;
        }
        let cells = count * (width * height / view_sr).clamp(1.0, MAX_BOX);
        let columns = (cells * width / height).sqrt().clamp(1.0, MAX_COLUMNS).ceil();
        let rows = (cells / columns).ceil().max(1.0);
        Some(CellGrid {
            corner: bounds.min,
            step: [width / columns, height / rows],
            columns: columns as usize,
            rows: rows as usize,
        })
    }

    /// Gives each cell a place of its own, or that of a neighbour.
    fn settle(&mut self, region: &MultiPolygon<f64>) {
        let grid = self.grid;
        let mut areas = Areas::new(&grid);
        self.region.parts().for_each(|part| self.view.ring(part, &mut areas, 1.0));
        let mut fill = vec![0.0; grid.cells()];
        areas.each(|cell, area: f64| fill[cell] = area * self.view.side);
        self.place_of = vec![None; fill.len()];
        let (whole, slivers): (Vec<usize>, Vec<usize>) =
            (0..fill.len()).filter(|cell| fill[*cell] > 0.0).partition(|c| fill[*c] >= MIN_FILL);
        let bounds = region.bounding_rect();
        let holds = |at: &Coord<f64>| {
            bounds.is_some_and(|b| b.contains(&Point(*at))) && region.contains(&Point(*at))
        };
        for cell in whole.into_iter().chain(slivers) {
            let beside = grid.neighbours(cell).filter(|beside| fill[*beside] >= MIN_FILL);
            let beside = beside.filter_map(|beside| Some((fill[beside], self.place_of[beside]?)));
            let heaviest = beside.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, place)| place);
            let joins = heaviest.filter(|_| fill[cell] < MIN_FILL);
            self.place_of[cell] = joins.or_else(|| {
                self.places.push(self.middle(cell, holds)?);
                Some(self.places.len() as u32 - 1)
            });
        }
        self.solid_angles_sr = self.at_places(&areas);
    }

    /// Takes the region apart into fewer rings, which may reach beyond its border as seen. On
    /// ground that is not flat that may lie out of sight.
    fn simplify(&mut self, region: &MultiPolygon<f64>) {
        let simple = Region::new(region);
        let mut corners = Vec::new();
        simple.parts().for_each(|part| self.view.walk(part, plain, |_, to| corners.push(to)));
        let Some(around) = Box2::around(corners).filter(|_| self.view.terrain.is_level()) else {
            return;
        };
        let max_cells = MAX_WIDER * self.grid.cells();
        if let Some((grid, place_of)) = self.grid.widened(&around, &self.place_of, max_cells) {
            (self.region, self.grid, self.place_of) = (simple, grid, place_of);
        }
    }

    /// The middle of the part of a cell for which `holds` is true, on the ground.
    fn middle(&self, cell: usize, holds: impl Fn(&Coord<f64>) -> bool) -> Option<Coord<f64>> {
        let share = |i: usize| (i as f64 + 0.5) / POINTS as f64;
        let points = (0..POINTS * POINTS).map(|i| [share(i % POINTS), share(i / POINTS)]);
        let held = points.filter_map(|at| {
            let toward = self.view.direction(self.grid.within(cell, at))?;
            self.view.on_ground(toward).filter(&holds).map(|_| toward)
        });
        self.view.on_ground(held.sum::<DVec3>())
    }

    /// Sums of the cells of each place, sr.
    fn at_places<T: Count>(&self, areas: &Areas<T>) -> Vec<T> {
        let cell_sr = self.grid.step[0] * self.grid.step[1] * self.view.side;
        let mut at = vec![T::default(); self.places.len()];
        areas.each(|cell, area| {
            let place = self.place_of.get(cell).copied().flatten();
            if let Some(at) = place.and_then(|place| at.get_mut(place as usize)) {
                *at += area * cell_sr;
            }
        });
        at
    }
}

/// Lambert's projection of directions from a point, about the middle of what is seen.
#[derive(Debug, Clone)]
struct LensProjection {
    terrain: Terrain,
    lens: DVec3,
    /// Unit vectors at right angles to each other.
    middle: DVec3,
    right: DVec3,
    up: DVec3,
    /// 1 from above, where anticlockwise rings stay so; -1 from below.
    side: f64,
}

impl LensProjection {
    fn toward(region: &Region, lens: DVec3, terrain: Terrain) -> Self {
        let corners = region.parts().flatten();
        let to = |p: &P2| (terrain.at(*p) - lens).normalize_or_zero();
        let middle = corners.map(to).sum::<DVec3>().try_normalize().unwrap_or(DVec3::NEG_Z);
        let right = middle.cross(DVec3::Z).try_normalize().unwrap_or(DVec3::X);
        let side = if terrain.is_level() && lens.z < 0.0 { -1.0 } else { 1.0 };
        Self { terrain, lens, middle, right, up: right.cross(middle), side }
    }

    /// Direction toward a point of the ground, unit vector to the right, up and to the middle
    /// of the view; zero at the lens itself.
    fn to(&self, p: P2) -> DVec3 {
        let toward = (self.terrain.at(p) - self.lens).normalize_or_zero();
        DVec3::new(toward.dot(self.right), toward.dot(self.up), toward.dot(self.middle))
    }

    /// The direction of a point of the projection; `None` beyond its rim.
    fn direction(&self, [x, y]: P2) -> Option<DVec3> {
        let quarter = 0.25 * (x * x + y * y);
        (quarter <= 1.0).then(|| {
            let across = (1.0 - quarter).sqrt();
            self.middle * (1.0 - 2.0 * quarter) + (self.right * x + self.up * y) * across
        })
    }

    /// Where a direction meets the ground; `None` where it does not.
    fn on_ground(&self, toward: DVec3) -> Option<Coord<f64>> {
        self.terrain.met(self.lens, toward).map(plan_view)
    }

    /// Adds a ring of the ground, not closed, to areas of the projection.
    fn ring<T: Count>(&self, ring: &[P2], areas: &mut Areas<T>, times: T) {
        let in_cells = areas.in_cells();
        self.walk(ring, |p| in_cells.on(p), |from, to| areas.add(from, to, times));
    }

    /// Walks round a ring in small steps of the projection, each place put on other axes.
    fn walk(&self, ring: &[P2], on: impl Fn(P2) -> P2, step: impl FnMut(P2, P2)) {
        if self.terrain.is_level() {
            return self.walk_straight(ring, on, step);
        }
        let mut bent = Vec::new();
        self.terrain.bent(ring, &mut bent);
        self.walk_straight(&bent, on, step);
    }

    /// The same round a ring whose sides are straight.
    fn walk_straight(&self, ring: &[P2], on: impl Fn(P2) -> P2, mut step: impl FnMut(P2, P2)) {
        let Some(&last) = ring.last() else { return };
        let mut from = self.to(last);
        let mut at = on(project(from));
        for &corner in ring {
            let to = self.to(corner);
            let mut go = |toward: DVec3| {
                let next = on(project(toward));
                step(at, next);
                at = next;
            };
            let chord = from.distance(to);
            if chord > MIN_STEP_RAD {
                // along the great circle between both, each place out of the two before it
                let angle = 2.0 * (0.5 * chord).min(1.0).asin();
                let steps = (angle / step_rad(from, to)).ceil();
                let part = angle / steps;
                let (sin, cos) = part.sin_cos();
                let first = from * (angle - part).sin() + to * sin;
                let (mut before, mut here) = (from, first.normalize_or_zero());
                let turn = 2.0 * cos;
                for _ in 1..steps as usize {
                    go(here);
                    (before, here) = (here, here * turn - before);
                }
            }
            go(to);
            from = to;
        }
    }
}

/// How far to step along the great circle between two directions, rad. The projection bends
/// one whose nearest approach to the middle of the view is the angle d by
/// `3/4 sin(d) / cos(r/2)^3` at the angle r off the middle, or less: nothing through the middle
/// itself. That is the highest at the end that is farther off.
fn step_rad(from: DVec3, to: DVec3) -> f64 {
    let across = from.cross(to);
    let sin_d = across.z.abs() / across.length().max(f64::MIN_POSITIVE);
    let cos_half = (0.5 * (1.0 + from.z.min(to.z))).max(0.0).sqrt();
    let curvature = 0.75 * sin_d / cos_half.powi(3);
    (8.0 * MAX_SAGITTA / curvature).sqrt().clamp(MIN_STEP_RAD, MAX_STEP_RAD)
}

/// On the axes of the projection.
fn plain(p: P2) -> P2 {
    p
}

/// The place of a direction, unit vector to the right, up and to the middle of the view, in
/// Lambert's projection.
fn project(toward: DVec3) -> P2 {
    // the one direction that has no image is straight behind
    let k = (2.0 / (1.0 + toward.z).max(1e-9)).sqrt();
    [k * toward.x, k * toward.y]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Great circles at many distances from the middle of the view, walked in steps of many
    /// places: the chord of none leaves the bent line by more than it may.
    #[test]
    fn steps_leave_their_chords_by_no_more_than_they_may() {
        let (mut worst, mut longest) = (0.0_f64, 0.0_f64);
        for d in (0..30).map(|i| 0.05 * f64::from(i)) {
            let nearest = DVec3::new(0.0, d.sin(), d.cos());
            let at = |angle: f64| nearest * angle.cos() + DVec3::X * angle.sin();
            for from in (0..24).map(|i| 0.06 * f64::from(i) - 0.72) {
                let step = step_rad(at(from), at(from + MAX_STEP_RAD));
                let [a, b] = [from, from + step].map(|angle| DVec2::from(project(at(angle))));
                let along = (b - a).normalize();
                for part in (1..8).map(|i| f64::from(i) / 8.0) {
                    let bent = DVec2::from(project(at(from + part * step)));
                    worst = worst.max((bent - a).perp_dot(along).abs());
                }
                longest = longest.max(step);
            }
        }
        assert!(worst <= 1.02 * MAX_SAGITTA, "{worst}");
        // through the middle lines stay straight, and far off it they bend the most
        assert!(longest == MAX_STEP_RAD && worst > 0.5 * MAX_SAGITTA, "{longest} {worst}");
    }
}
