//! Looking over terrain from the centre of play.
//!
//! In: tiles, a place, how far to look. Out: for each azimuth the highest angle
//! at which land is seen, and where tiles were silent.
//!
//! A ray follows a geodesic on WGS 84. Its angle to a point at distance `s` and
//! height `h`, from an eye at height `h0`, is that over a sphere whose radius is
//! the earth's (Gaussian mean at the place) divided by `1 - k`: refraction bends
//! lines of sight toward the ground with the share `k` of the earth's curvature.
//! `k = 0.13` is Gauss's value, in use in surveying since (Kahmen and Faig,
//! Surveying, 1988, trigonometric levelling, from memory). The drop at 20 km is
//! 27 m. Directions of the sun carry refraction as well, so both are apparent.

use std::collections::BTreeSet;

use geo::{Destination, Geodesic, Point};
use proj4rs::proj::Proj;
use proj4rs::transform::transform;
use rayon::prelude::*;

use super::tile::{System, TerrainTile, TileGround};
use super::{HorizonError, Skyline, hgt};
use crate::import::geodesy::{GeodesyError, Geographic};

/// Coefficient of refraction of lines of sight, by day.
pub const REFRACTION: f64 = 0.13;
/// WGS 84 (NIMA TR8350.2).
const SEMI_MAJOR_M: f64 = 6_378_137.0;
const FLATTENING: f64 = 1.0 / 298.257_223_563;
/// Geodesics are found at knots this far apart; between them longitude and
/// latitude are linear, wrong by `s^2 tan(latitude) / 8R`, 0.2 m at 85 degrees.
const KNOT_M: f64 = 1000.0;
/// Samples on a ray are never closer than this share of their distance: a slope of
/// one in one between them is 0.006 degree.
const STEP_SHARE: f64 = 1e-4;
const MAX_LATITUDE_DEG: f64 = 85.0;

/// How to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Viewpoint {
    pub from: Geographic,
    /// Over the ground, metres.
    pub eye_m: f64,
    /// The ground at the place, metres above sea level; of the terrain when absent.
    pub ground_m: Option<f64>,
    /// Nearer land than this is left out, metres.
    pub near_m: f64,
    pub far_m: f64,
    /// From ray to ray, degrees.
    pub every_deg: f64,
}

/// One ray.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HorizonRay {
    pub azimuth_deg: f64,
    /// Highest angle, degrees, and how far it is, metres; `None` where no tile
    /// has a height.
    pub highest: Option<(f64, f64)>,
    /// How much of it lies on posts without a height, metres.
    pub void_m: f64,
    /// How much of it lies outside all tiles, metres.
    pub outside_m: f64,
}

/// What was seen.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenHorizon {
    pub rays: Vec<HorizonRay>,
    /// Height of the terrain at the place, metres, where a tile has it.
    pub terrain_m: Option<f64>,
    /// Height of the ground that the eye stands on, metres.
    pub ground_m: f64,
    /// Tiles of SRTM that would say more.
    pub missing: BTreeSet<String>,
}

impl SeenHorizon {
    /// The skyline, every ray a point, to a hundredth of a degree; level where
    /// nothing is known.
    pub fn skyline(&self) -> Skyline {
        let hundredths = |value: f64| (value * 100.0).round() / 100.0 + 0.0;
        let elevation =
            |ray: &HorizonRay| ray.highest.map_or(0.0, |(degrees, _)| hundredths(degrees));
        self.rays.iter().map(|ray| [ray.azimuth_deg, elevation(ray)]).collect()
    }
}

/// Mean of the two radii of curvature of the ellipsoid (Gauss), metres:
/// `a sqrt(1 - e^2) / (1 - e^2 sin^2 latitude)`.
pub fn gaussian_radius_m(latitude_deg: f64) -> f64 {
    let e2 = FLATTENING * (2.0 - FLATTENING);
    let sin = latitude_deg.to_radians().sin();
    SEMI_MAJOR_M * (1.0 - e2).sqrt() / (1.0 - e2 * sin * sin)
}

/// Looks around.
///
/// # Errors
/// [`HorizonError`] when the place is on no tile or nothing can be seen at all.
pub fn look(tiles: &[TerrainTile], look: &Viewpoint) -> Result<SeenHorizon, HorizonError> {
    if look.from.latitude_deg.abs() > MAX_LATITUDE_DEG {
        return Err(HorizonError::NearPole);
    }
    let land = Land::new(tiles, look.from.latitude_deg)?;
    let here = land.places(look.from);
    let terrain_m = match land.ground(&here, &here, 0.0) {
        TileGround::Height(height) => Some(height),
        TileGround::Void | TileGround::Outside => None,
    };
    let ground_m = look.ground_m.or(terrain_m).ok_or_else(|| HorizonError::NotCovered {
        latitude_deg: look.from.latitude_deg,
        longitude_deg: look.from.longitude_deg,
        why: match land.ground(&here, &here, 0.0) {
            TileGround::Void => "the tile has no height there",
            _ => "no tile holds it",
        },
        tile: hgt::name_of(look.from.latitude_deg, look.from.longitude_deg),
    })?;
    let count = (360.0 / look.every_deg).round().max(1.0) as usize;
    let eye = Eye {
        height_m: ground_m + look.eye_m,
        radius_m: gaussian_radius_m(look.from.latitude_deg) / (1.0 - REFRACTION),
    };
    let all: Result<Vec<(HorizonRay, BTreeSet<String>)>, HorizonError> = (0..count)
        .into_par_iter()
        .map(|i| land.ray(look, &eye, 360.0 * i as f64 / count as f64))
        .collect();
    let (rays, missing): (Vec<HorizonRay>, Vec<BTreeSet<String>>) = all?.into_iter().unzip();
    if rays.iter().all(|ray| ray.highest.is_none()) {
        let (from_m, to_km) = (look.near_m, look.far_m / 1000.0);
        return Err(HorizonError::NothingSeen { from_m, to_km });
    }
    let missing = missing.into_iter().flatten().collect();
    Ok(SeenHorizon { rays, terrain_m, ground_m, missing })
}

struct Eye {
    height_m: f64,
    /// Of the earth, made larger by refraction.
    radius_m: f64,
}

impl Eye {
    /// Tangent of the angle to a point.
    fn tangent(&self, distance_m: f64, height_m: f64) -> f64 {
        let angle = distance_m / self.radius_m;
        let half = (angle / 2.0).sin();
        let to_point = self.radius_m + height_m;
        (height_m - self.height_m - 2.0 * to_point * half * half) / (to_point * angle.sin())
    }
}

/// Tiles, finest first, and the systems that they are in.
struct Land<'a> {
    /// Each with the place of its system's projection.
    tiles: Vec<(&'a TerrainTile, usize)>,
    /// None for longitude and latitude.
    projections: Vec<Option<Proj>>,
    geographic: Proj,
}

impl<'a> Land<'a> {
    fn new(tiles: &'a [TerrainTile], latitude_deg: f64) -> Result<Self, HorizonError> {
        let mut systems: Vec<System> = Vec::new();
        let mut placed = Vec::new();
        for tile in tiles {
            let at = systems.iter().position(|s| *s == tile.system).unwrap_or(systems.len());
            if at == systems.len() {
                systems.push(tile.system);
            }
            placed.push((tile, at));
        }
        let spacing = |tile: &TerrainTile| tile.spacing_m(latitude_deg);
        placed.sort_by(|a, b| spacing(a.0).total_cmp(&spacing(b.0)));
        let projection = |system: &System| match system {
            System::Geographic => Ok(None),
            System::Utm { zone, south } => {
                let south = if *south { " +south" } else { "" };
                let words = format!("+proj=utm +zone={zone}{south} +datum=WGS84 +units=m +no_defs");
                Proj::from_proj_string(&words).map(Some)
            }
        };
        let projections: Result<Vec<_>, _> = systems.iter().map(projection).collect();
        Ok(Self {
            tiles: placed,
            projections: projections.map_err(GeodesyError::from)?,
            geographic: Proj::from_proj_string("+proj=longlat +datum=WGS84 +no_defs")
                .map_err(GeodesyError::from)?,
        })
    }

    /// A place in the axes of each system.
    fn places(&self, at: Geographic) -> Vec<[f64; 2]> {
        let place = |projection: &Option<Proj>| {
            let Some(projection) = projection else { return [at.longitude_deg, at.latitude_deg] };
            let mut point = (at.longitude_deg.to_radians(), at.latitude_deg.to_radians(), 0.0);
            match transform(&self.geographic, projection, &mut point) {
                Ok(()) => [point.0, point.1],
                // too far from its zone for a value: nothing of the tile is there
                Err(_) => [f64::INFINITY, f64::INFINITY],
            }
        };
        self.projections.iter().map(place).collect()
    }

    /// The ground between two knots.
    fn ground(&self, from: &[[f64; 2]], to: &[[f64; 2]], share: f64) -> TileGround {
        let mut found = TileGround::Outside;
        for (tile, system) in &self.tiles {
            let (a, b) = (from[*system], to[*system]);
            let at = [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])];
            match tile.ground(at) {
                TileGround::Height(height) => return TileGround::Height(height),
                TileGround::Void => found = TileGround::Void,
                TileGround::Outside => {}
            }
        }
        found
    }

    fn ray(
        &self,
        look: &Viewpoint,
        eye: &Eye,
        azimuth_deg: f64,
    ) -> Result<(HorizonRay, BTreeSet<String>), HorizonError> {
        let knots = self.knots(look, azimuth_deg)?;
        let mut missing = BTreeSet::new();
        let mut ray = HorizonRay { azimuth_deg, highest: None, void_m: 0.0, outside_m: 0.0 };
        let mut best = f64::NEG_INFINITY;
        let mut shares = Vec::new();
        let mut last = look.near_m.max(1.0);
        for (i, pair) in knots.windows(2).enumerate() {
            let begin = i as f64 * KNOT_M;
            if begin + KNOT_M < last || begin > look.far_m {
                continue;
            }
            let (from, to) = (&pair[0], &pair[1]);
            self.crossings(from, to, &mut shares);
            for share in &shares {
                let distance = begin + share * KNOT_M;
                let gap = distance - last;
                if gap < STEP_SHARE * distance || distance > look.far_m {
                    continue;
                }
                last = distance;
                match self.ground(&from.systems, &to.systems, *share) {
                    TileGround::Height(height) => {
                        let tangent = eye.tangent(distance, height);
                        if tangent > best {
                            best = tangent;
                            ray.highest = Some((tangent.atan().to_degrees(), distance));
                        }
                    }
                    TileGround::Void => ray.void_m += gap,
                    TileGround::Outside => {
                        ray.outside_m += gap;
                        let between = |a: f64, b: f64| a + share * (b - a);
                        missing.insert(hgt::name_of(
                            between(from.at.latitude_deg, to.at.latitude_deg),
                            between(from.at.longitude_deg, to.at.longitude_deg),
                        ));
                    }
                }
            }
        }
        Ok((ray, missing))
    }

    /// Where to look between two knots, shares of the way: at every line of posts of
    /// every tile, half way between those, and at the ends.
    fn crossings(&self, from: &Knot, to: &Knot, shares: &mut Vec<f64>) {
        shares.clear();
        shares.extend([0.0, 1.0]);
        for (tile, system) in &self.tiles {
            let (a, b) = (from.systems[*system], to.systems[*system]);
            if let (Some(a), Some(b)) = (tile.posts(a), tile.posts(b)) {
                lines(a[0], b[0], tile.columns, shares);
                lines(a[1], b[1], tile.rows, shares);
            }
        }
        shares.sort_by(f64::total_cmp);
        for i in 1..shares.len() {
            shares.push((shares[i - 1] + shares[i]) / 2.0);
        }
        shares.sort_by(f64::total_cmp);
    }

    /// Points of the geodesic, `KNOT_M` apart, to beyond the end of the look.
    fn knots(&self, look: &Viewpoint, azimuth_deg: f64) -> Result<Vec<Knot>, HorizonError> {
        let origin = Point::new(look.from.longitude_deg, look.from.latitude_deg);
        let count = (look.far_m / KNOT_M).ceil() as usize + 2;
        let mut knots = Vec::with_capacity(count);
        for i in 0..count {
            let at = Geodesic.destination(origin, azimuth_deg, KNOT_M * i as f64);
            // no jump at the date line
            let turns = ((look.from.longitude_deg - at.x()) / 360.0).round();
            let at = Geographic::new(at.y(), at.x() + 360.0 * turns)?;
            knots.push(Knot { at, systems: self.places(at) });
        }
        Ok(knots)
    }
}

/// A point of a geodesic.
struct Knot {
    at: Geographic,
    /// The same in the axes of each system.
    systems: Vec<[f64; 2]>,
}

/// Shares of the way at which a number that goes from `a` to `b` is whole, from 0 to
/// `count - 1`.
fn lines(a: f64, b: f64, count: usize, shares: &mut Vec<f64>) {
    let (low, high) = (a.min(b).max(0.0).ceil(), a.max(b).min((count - 1) as f64).floor());
    if low > high || a == b {
        return;
    }
    let mut line = low;
    while line <= high {
        shares.push((line - a) / (b - a));
        line += 1.0;
    }
}
