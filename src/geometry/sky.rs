//! How much of the sky a point sees, and what it sees instead.
//!
//! In: obstacles and a point, local frame, metres. Out: for each of the sky's
//! patches the share of its light that arrives and what stands before it, and
//! from that the sky view factor of the horizontal plane and of upright faces, 0
//! to 1; for a surface also what lies under its own level: obstacles and ground.
//!
//! The dome is cut into patches of equal solid angle, 24 bands of equal
//! `sin(elevation)` by 48 columns, each met by one ray. Each column is shifted by
//! its own part of a band, so that a level roofline does not fall on all bands at
//! once. A horizontal plane weighs a patch with `sin(elevation)`, an upright face
//! with the cosine of the angle to its normal; over the open dome the former sum
//! to 1, the latter to 1/2.
//!
//! The lower half of what a surface faces is cut the same way, the dome upside down.
//! There rays end on obstacles or on the ground: the plane of the field, or the relief, which
//! may rise before rays upward as well.
//!
//! Patches side by side in two columns are one *cell*: the luminance of the sky
//! is told for each of the 576 cells.

use glam::{DVec2, DVec3};

use crate::base::units::Azimuth;
use crate::geometry::around::NearbyObstacles;
use crate::geometry::obstacles::{Obstacles, RayHits};
use crate::geometry::ray::RayHit;

const BANDS: usize = 24;
const COLUMNS: usize = 48;
/// Prime to [`COLUMNS`] and close to the golden section of it: neighbouring
/// columns get shifts far apart.
const SHIFT_STRIDE: usize = 29;

/// Steps from place to place of a surface between patches side by side and over each
/// other: neighbours start at other places for any number of places up to eight.
const COLUMN_STRIDE: usize = 5;
const BAND_STRIDE: usize = 3;
/// Over the ground at least so far, metres: rays down from a place on it end somewhere.
const MIN_HEIGHT_M: f64 = 0.01;

/// So many bodies are sorted by direction at most.
const MAX_SORTED: usize = 600;

/// Columns of patches that make a column of cells.
const CELL_COLUMNS: usize = 2;

/// Most surfaces see no more things than this, and no more ground.
const TYPICAL_HITS: usize = BANDS * COLUMNS / 2;

/// Which patches rays go to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rays {
    /// To all.
    All,
    /// To one of the two of each cell, as on a chessboard, the other ones for an odd number.
    Half(usize),
    /// To one of the four of two cells over each other, one after the other: for surfaces of
    /// which many are added up.
    Quarter(usize),
}

impl Rays {
    /// Whether one goes to a patch.
    pub fn go_to(self, patch: usize) -> bool {
        let (column, band) = (patch / BANDS, patch % BANDS);
        match self {
            Self::All => true,
            Self::Half(odd) => {
                (column + column / CELL_COLUMNS + band + odd).is_multiple_of(CELL_COLUMNS)
            }
            Self::Quarter(turn) => {
                let of_four = column % CELL_COLUMNS + CELL_COLUMNS * (band % 2);
                // other ones in the cells beside
                (of_four + column / CELL_COLUMNS + band / 2 + turn).is_multiple_of(4)
            }
        }
    }
}

/// Directions of the sky's patches and cells.
#[derive(Debug, Clone)]
pub struct SkyDome {
    toward: Vec<DVec3>,
    /// How far over the ground each goes in a metre.
    over_ground: Vec<f64>,
    /// Along the ground, the direction of each column, unit vectors.
    columns: Vec<DVec2>,
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
        let along = |toward: &DVec3| toward.truncate().normalize();
        let columns = toward.iter().step_by(BANDS).map(along).collect();
        let over_ground = toward.iter().map(|toward| toward.truncate().length()).collect();
        Self { cells: cells.collect(), columns, over_ground, toward }
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

    /// Unit vector to the middle of a patch; those from [`SkyDome::below`] on look down.
    pub fn toward(&self, patch: usize) -> DVec3 {
        match patch.checked_sub(self.below()) {
            None => self.toward[patch],
            Some(mirrored) => {
                let up = self.toward[mirrored];
                DVec3::new(up.x, up.y, -up.z)
            }
        }
    }

    /// The number of patches above the horizon: the first of those under it.
    pub fn below(&self) -> usize {
        self.toward.len()
    }

    /// What a point sees of the sky between the obstacles.
    pub fn from_point(&self, obstacles: &Obstacles, at: DVec3) -> SkyView {
        let mut view = SkyView::open(self.below(), Rays::All);
        for (patch, toward) in self.toward.iter().enumerate() {
            let ends_m = match obstacles.is_on_relief() {
                true => obstacles.ground_m(at, *toward),
                false => f64::INFINITY,
            };
            view.add(patch, at, *toward, &obstacles.look(at, *toward, ends_m));
            if ends_m.is_finite() {
                view.arrives[patch] = 0.0;
            }
        }
        view
    }

    /// What a surface that faces `normal` sees, over and under its own level. Where it is
    /// given by several places, each ray starts at another. What lies behind it is not
    /// looked at and counts as open sky, which such a surface does not see.
    pub fn from_surface(&self, obstacles: &Obstacles, at: &[DVec3], normal: DVec3) -> SkyView {
        self.by_rays(obstacles, at, normal, Rays::All)
    }

    /// The same by some of the rays.
    pub fn by_rays(
        &self,
        obstacles: &Obstacles,
        at: &[DVec3],
        normal: DVec3,
        rays: Rays,
    ) -> SkyView {
        let mut view = SkyView::open(self.below(), rays);
        if at.is_empty() {
            return view;
        }
        // each column of rays asks the few bodies in its direction, where those are quicker
        // found than by each ray in the tree
        let mut around = (obstacles.len() <= MAX_SORTED)
            .then(|| NearbyObstacles::new(obstacles, at, &self.columns));
        let grounds: Vec<u32> = at.iter().map(|from| obstacles.ground_at(*from)).collect();
        for patch in 0..2 * self.below() {
            let toward = self.toward(patch);
            if toward.dot(normal) <= 0.0 || !rays.go_to(patch) {
                continue;
            }
            let (column, band) = (patch / BANDS, patch % BANDS);
            let place = match at.len() {
                1 => 0, // spares most surfaces a division a ray
                count => (COLUMN_STRIDE * column + BAND_STRIDE * band) % count,
            };
            let from = at[place];
            let ground_m = match obstacles.is_on_relief() {
                true => obstacles.ground_from_m(grounds[place], from, toward),
                false => f64::INFINITY,
            };
            let down_m = match toward.z < 0.0 && ground_m == f64::INFINITY {
                true => from.z.max(MIN_HEIGHT_M) / -toward.z,
                false => ground_m,
            };
            let look = match &mut around {
                Some(around) => {
                    let over_ground = self.over_ground[patch % self.below()];
                    around.look((place, column % COLUMNS), (over_ground, toward.z), down_m)
                }
                None => obstacles.look(from, toward, down_m),
            };
            view.add(patch, from, toward, &look);
            if let Some(arrives) = view.arrives.get_mut(patch).filter(|_| down_m.is_finite()) {
                *arrives = 0.0;
            }
            if down_m.is_finite() && look.passes() > 0.0 {
                let on = from + toward * down_m;
                view.ground.push(GroundHit { patch, at: [on.x, on.y], share: look.passes() });
            }
        }
        view
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

/// What a point sees of each patch.
#[derive(Debug, Clone, PartialEq)]
pub struct SkyView {
    rays: Rays,
    arrives: Vec<f32>,
    hits: Vec<SurfaceHit>,
    ground: Vec<GroundHit>,
}

impl SkyView {
    fn open(patches: usize, rays: Rays) -> Self {
        Self {
            rays,
            arrives: vec![1.0; patches],
            hits: Vec::with_capacity(TYPICAL_HITS),
            ground: Vec::with_capacity(TYPICAL_HITS),
        }
    }

    /// Whether a ray went to a patch, if the surface looks there.
    pub fn looked_at(&self, patch: usize) -> bool {
        self.rays.go_to(patch)
    }

    fn add(&mut self, patch: usize, from: DVec3, toward: DVec3, look: &RayHits) {
        if let Some(arrives) = self.arrives.get_mut(patch) {
            *arrives = look.passes() as f32;
        }
        let Some(nearest) = &look.nearest else { return };
        let on = |(obstacle, hit): &(usize, RayHit), share| {
            let at = from + toward * hit.distance_m;
            let surface = Surface { obstacle: *obstacle, at, normal: hit.normal };
            SurfaceHit { patch, surface, share }
        };
        self.hits.push(on(nearest, 1.0));
        self.hits.extend(look.behind().map(|opaque| on(opaque, look.through)));
    }

    /// Share of each patch's light that arrives, in the order of
    /// [`SkyDome::directions`], 0 to 1.
    pub fn arrives(&self) -> &[f32] {
        &self.arrives
    }

    /// What stands before the patches, patch by patch, nearest first.
    pub fn hits(&self) -> &[SurfaceHit] {
        &self.hits
    }

    /// Where rays end on the ground.
    pub fn ground(&self) -> &[GroundHit] {
        &self.ground
    }
}

/// Something that stands before a patch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfaceHit {
    pub patch: usize,
    pub surface: Surface,
    /// Share of the surface's own light that gets past what is nearer, 0 to 1.
    pub share: f64,
}

/// A place of the ground that a ray ends on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundHit {
    pub patch: usize,
    /// East and north in the local frame, metres.
    pub at: [f64; 2],
    /// Share of its light that gets past what is nearer, 0 to 1.
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
