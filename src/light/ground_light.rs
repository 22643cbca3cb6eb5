//! The ground as a source of light: which of it lies in the sun, and what it sends on.
//!
//! In: the outline of the ground and the places that light is known at, once a venue;
//! then, per instant, the shadow on the turf and the sun. Out: the share of direct light
//! that arrives at each spot of the ground.
//!
//! Inside of the outline spots are fine, and the shadow says whether they are in the sun.
//! Outside of it each is one of the places around, and a ray says it. Beyond those the
//! ground is open land.

use geo::{Contains, Coord, MultiPolygon, Point, Polygon};
use glam::DVec3;
use rayon::prelude::*;

use super::places::LightPlaces;
use crate::geometry::{Beam, Obstacles, SampleGrid, Shadow, TURF_HEIGHT_M};
use crate::venue::Field;

/// About this many spots inside of the outline: 2 m apart on a football field.
const SPOTS: f64 = 1800.0;
/// The map of spots is cut at most so finely, a side.
const MAX_COLUMNS: f64 = 400.0;
/// Cells of the map against spots: a place near a stand's foot is smaller than a spot.
const MAP_STEP: f64 = 0.25;

/// Spots of the ground.
#[derive(Debug, Clone)]
pub struct GroundSpots {
    fine: SampleGrid,
    /// Indices of the light's places outside of the outline.
    around: Vec<usize>,
    map: Map,
    /// Places and weights that make the light of sky and surroundings on each spot.
    places: Vec<Vec<(usize, f64)>>,
    /// Which kind of ground each is: 0 what is played on, 1 what lies around.
    kinds: Vec<u8>,
}

/// Which spot is where: a box of equal cells.
#[derive(Debug, Clone)]
struct Map {
    corner: Coord<f64>,
    step_m: f64,
    columns: usize,
    rows: usize,
    spots: Vec<u32>,
}

impl GroundSpots {
    /// Of an outline of an area (m2). The open land beyond gets the light of the place
    /// `open`.
    pub fn new(field: &Field, area_m2: f64, places: &LightPlaces, open: usize) -> Self {
        let outline = &field.outline;
        let fine = SampleGrid::over(&MultiPolygon(vec![outline.clone()]), area_m2, SPOTS);
        let around: Vec<usize> = (places.inside()..places.at().len()).collect();
        let mut of: Vec<Vec<(usize, f64)>> =
            fine.places().par_iter().map(|&at| places.weights(at)).collect();
        of.extend(around.iter().map(|&index| vec![(index, 1.0)]));
        of.push(vec![(open, 1.0)]);
        let land = (of.len() - 1) as u32;
        let at = fine.places().iter().chain(around.iter().filter_map(|&i| places.at().get(i)));
        let kind = |at: &Coord<f64>| u8::from(!field.playing_area.contains(&Point(*at)));
        let kinds = at.map(kind).chain([1]).collect();
        let map = Map::new(outline, area_m2, places.margin_m(), |at| {
            if outline.contains(&Point(at)) {
                return fine.nearest(at).map_or(land, |index| index as u32);
            }
            let nearest = places.nearest(at).map(|index| (index, places.at()[index]));
            match nearest {
                Some((_, near)) if (near.x - at.x).hypot(near.y - at.y) > places.margin_m() => land,
                Some((index, _)) if index >= places.inside() => {
                    (fine.places().len() + index - places.inside()) as u32
                }
                _ => fine.nearest(at).map_or(land, |index| index as u32),
            }
        });
        Self { fine, around, map, places: of, kinds }
    }

    /// The spot at a place, local frame, metres. Beyond the map ground is open land, or like
    /// the nearest known place where something hangs over it.
    pub fn at(&self, at: [f64; 2], places: &LightPlaces, obstacles: &Obstacles) -> usize {
        let land = self.places.len() - 1;
        self.map.spot(at).unwrap_or_else(|| {
            let up = DVec3::new(at[0], at[1], TURF_HEIGHT_M);
            if obstacles.transmission(up, DVec3::Z).share() >= 1.0 {
                return land;
            }
            match places.nearest(Coord { x: at[0], y: at[1] }) {
                Some(index) if index >= places.inside() => {
                    self.fine.places().len() + index - places.inside()
                }
                Some(index) => {
                    places.at().get(index).and_then(|&at| self.fine.nearest(at)).unwrap_or(land)
                }
                None => land,
            }
        })
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.places.len()
    }

    /// Which kind of ground a spot is: 0 what is played on, 1 what lies around.
    pub fn kind(&self, spot: usize) -> usize {
        self.kinds.get(spot).map_or(1, |&kind| usize::from(kind))
    }

    /// What the light of sky and surroundings on a spot is made of.
    pub fn places(&self, spot: usize) -> &[(usize, f64)] {
        self.places.get(spot).map_or(&[], Vec::as_slice)
    }

    /// How many rays [`GroundSpots::in_sun`] follows.
    pub fn rays(&self) -> usize {
        self.around.len()
    }

    /// Share of the direct light that arrives at each spot, over what level ground gets.
    pub fn in_sun(&self, shadow: &Shadow, places: &LightPlaces, sun: &Beam) -> Vec<f32> {
        let mut shares = self.fine.transmissions(shadow);
        shares.extend(self.around.iter().map(|&i| reaches(places.at()[i], sun)));
        if sun.obstacles().is_on_relief() {
            let around = self.around.iter().map(|&i| places.at()[i]);
            for (share, at) in
                shares.iter_mut().zip(self.fine.places().iter().copied().chain(around))
            {
                *share *= sun.obstacles().incidence(at, sun.toward()) as f32;
            }
        }
        shares.push(1.0);
        shares
    }

    /// Share of the direct light at each place that light is known at, the open land last,
    /// out of that at each spot: the mean of the spots around. For stands, which see ground
    /// from afar.
    pub fn at_places(&self, spots: &[f32], count: usize) -> Vec<f32> {
        let mut sums = vec![[0.0_f32; 2]; count];
        for (spot, places) in spots.iter().zip(&self.places) {
            for &(place, weight) in places {
                if let Some([sum, whole]) = sums.get_mut(place) {
                    *sum += spot * weight as f32;
                    *whole += weight as f32;
                }
            }
        }
        sums.into_iter().map(|[sum, whole]| if whole > 0.0 { sum / whole } else { 0.0 }).collect()
    }
}

fn reaches(at: Coord<f64>, sun: &Beam) -> f32 {
    sun.transmission(sun.obstacles().on_ground(at)).share() as f32
}

impl Map {
    fn new(
        outline: &Polygon<f64>,
        area_m2: f64,
        margin_m: f64,
        spot: impl Fn(Coord<f64>) -> u32 + Sync,
    ) -> Self {
        use geo::BoundingRect;
        let none =
            Self { corner: Coord::zero(), step_m: 1.0, columns: 0, rows: 0, spots: Vec::new() };
        let Some(bounds) = outline.bounding_rect().filter(|_| area_m2 > 0.0) else { return none };
        let corner = Coord { x: bounds.min().x - margin_m, y: bounds.min().y - margin_m };
        let (width, height) = (bounds.width() + 2.0 * margin_m, bounds.height() + 2.0 * margin_m);
        let step_m = (MAP_STEP * (area_m2 / SPOTS).sqrt()).max(width.max(height) / MAX_COLUMNS);
        let (columns, rows) = ((width / step_m).ceil() as usize, (height / step_m).ceil() as usize);
        let cell = |i: usize| {
            let (column, row) = ((i % columns) as f64 + 0.5, (i / columns) as f64 + 0.5);
            spot(Coord { x: corner.x + column * step_m, y: corner.y + row * step_m })
        };
        let spots = (0..columns * rows).into_par_iter().map(cell).collect();
        Self { corner, step_m, columns, rows, spots }
    }

    fn spot(&self, [x, y]: [f64; 2]) -> Option<usize> {
        let column = (x - self.corner.x) / self.step_m;
        let row = (y - self.corner.y) / self.step_m;
        let inside =
            (0.0..self.columns as f64).contains(&column) && (0.0..self.rows as f64).contains(&row);
        let cell = inside.then(|| row as usize * self.columns + column as usize)?;
        self.spots.get(cell).map(|&spot| spot as usize)
    }
}
