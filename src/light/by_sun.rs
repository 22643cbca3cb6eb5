//! Sums of light of sky and surroundings, for tens of thousands of instants.
//!
//! In: a venue's [`Scene`] and the [`DaylightCoefficients`] of the sums asked for, a place, its air
//! and a sky state, once; then the sun, its [`Daylight`] and the day's aerosol. Out: each sum,
//! lx: what [`super::Sources::light`] says.
//!
//! All light is linear in what sun and sky send, so a sum is
//!
//! `sky P(sun) + direct Q(sun)`
//!
//! with `sky` on the horizontal and `direct` facing the sun. P and Q are shape alone: P says
//! where the sky is bright and which of it is seen, Q which stands and ground the sun shines
//! on.
//! Over a year the sun crosses the same part of the sky again and again: P and Q are
//! worked out on a grid of its places when they are first asked for, and taken as linear
//! between them. Where the air changes with the date, there is a table of P for each of a
//! few aerosol depths, and P is linear in depth between them; Q knows no air. Under one sun
//! ([`UnderSun`]) several airs cost little more than one. Splits stay within a few
//! thousandths of a stop, see `tests/light_by_sun.rs`.

use std::sync::{Arc, OnceLock};

use glam::{DVec3, Vec4};

use crate::base::units::{Azimuth, Elevation};
use crate::geometry::{Caster, OverlayScratch};
use crate::light::air::Air;
use crate::light::air_by_date::AirByDate;
use crate::light::model::{Daylight, Sky};
use crate::light::overhead::Overhead;
use crate::light::pattern::TYPE_DEPTHS;
use crate::light::receivers::CellLight;
use crate::light::scene::{DaylightCoefficients, Scene};
use crate::light::tristimulus::Tristimulus;
use crate::solar::Sun;
use crate::venue::Place;

/// The grid of the sun's places, degrees: finer than the sky's patches, which are 4 to 8
/// degrees wide.
const AZIMUTH_STEP_DEG: f64 = 3.0;
const AZIMUTHS: usize = 120;
const ELEVATION_STEP_DEG: f64 = 2.0;
const ELEVATIONS: usize = 46;
/// A day when the sun is about at its mean distance.
const MEAN_DAY: u32 = 94;

/// What of a venue is lit.
#[derive(Debug)]
pub struct LitGround {
    pub scene: Arc<Scene>,
    /// Sums, one after the other.
    sums: Vec<Arc<DaylightCoefficients>>,
    /// Casts on all of the ground.
    turf: Arc<Caster>,
    /// Q, which knows neither air nor sky.
    suns: Vec<OnceLock<SumVectors>>,
}

impl LitGround {
    pub fn new(
        scene: impl Into<Arc<Scene>>,
        sums: Vec<Arc<DaylightCoefficients>>,
        turf: Arc<Caster>,
    ) -> Self {
        Self { scene: scene.into(), sums, turf, suns: nodes() }
    }

    /// Q of a node.
    fn sun(&self, index: usize) -> &[Vec4] {
        self.suns[index].get_or_init(|| {
            let toward = sun_at(index).toward();
            let reach = match index / AZIMUTHS {
                0 => self.scene.reach_level(toward),
                _ => {
                    let shadow = self.turf.cast(toward, &mut OverlayScratch::default());
                    self.scene.reach(&shadow, toward)
                }
            };
            let sums = self.sums.iter().flat_map(|sums| sums.of_sun(&reach, toward.z));
            sums.map(|of| DVec3::from(of).as_vec3().extend(0.0)).collect()
        })
    }
}

/// Light over the sun's place, of one venue and sky state.
#[derive(Debug)]
pub struct BySun {
    ground: Arc<LitGround>,
    /// P, in order of their aerosol depth.
    tables: Vec<AirSums>,
    /// What screens send to each sum, lx.
    screens: Vec<Tristimulus>,
}

/// P of one air.
#[derive(Debug)]
struct AirSums {
    aerosol_500nm: f64,
    overhead: Overhead,
    nodes: Vec<OnceLock<SumVectors>>,
}

fn nodes() -> Vec<OnceLock<SumVectors>> {
    std::iter::repeat_with(OnceLock::new).take(AZIMUTHS * ELEVATIONS).collect()
}

impl AirSums {
    fn new(air: &Air, scene: &Scene, place: &Place, sky: Sky) -> Self {
        let overhead = Overhead::new(scene.dome(), place, air, sky);
        Self { aerosol_500nm: air.aerosol_500nm, overhead, nodes: nodes() }
    }
}

/// The air of all dates where it is the same, else airs of the depths of [`TYPE_DEPTHS`]
/// that those of the dates lie between.
fn airs_between(airs: &AirByDate) -> Vec<Air> {
    if let Some(air) = airs.same() {
        return vec![air];
    }
    let depths = airs.seasons().map(|air| air.aerosol_500nm);
    let least = depths.into_iter().fold(f64::INFINITY, f64::min);
    let greatest = depths.into_iter().fold(f64::NEG_INFINITY, f64::max);
    let last = TYPE_DEPTHS.len() - 1;
    let from = TYPE_DEPTHS.iter().rposition(|depth| *depth <= least).unwrap_or(0);
    let to = TYPE_DEPTHS.iter().position(|depth| *depth >= greatest).unwrap_or(last);
    let [first, ..] = *airs.seasons();
    let air = |&aerosol_500nm: &f64| Air { aerosol_500nm, ..first };
    TYPE_DEPTHS[from.min(to)..=to].iter().map(air).collect()
}

/// P or Q of each sum.
type SumVectors = Vec<Vec4>;

/// Light under one place of the sun, for any air.
pub struct UnderSun<'a> {
    by_sun: &'a BySun,
    /// The nodes around the sun, with their linear weights.
    around: [(usize, f32); 4],
    /// P between the nodes of each table that was asked for, and Q.
    skies: Vec<Option<SumVectors>>,
    sun: SumVectors,
}

impl BySun {
    pub fn new(ground: Arc<LitGround>, place: Place, airs: &AirByDate, sky: Sky) -> Self {
        let airs = airs_between(airs);
        let table = |air: &Air| AirSums::new(air, &ground.scene, &place, sky);
        Self {
            tables: airs.iter().map(table).collect(),
            screens: ground.sums.iter().flat_map(|sums| sums.of_screens()).collect(),
            ground,
        }
    }

    /// What is lit.
    pub fn ground(&self) -> &LitGround {
        &self.ground
    }

    /// Under a risen sun.
    pub fn under(&self, sun: &Sun) -> UnderSun<'_> {
        let around = around(sun);
        let node = |(index, weight)| (self.ground.sun(index), weight);
        UnderSun {
            around,
            skies: vec![None; self.tables.len()],
            sun: between(around.map(node)),
            by_sun: self,
        }
    }

    /// The two tables that an aerosol depth lies between, and their shares.
    fn of_depth(&self, aerosol_500nm: f64) -> [(usize, f64); 2] {
        let last = self.tables.len() - 1;
        let above = self.tables.partition_point(|t| t.aerosol_500nm < aerosol_500nm);
        let (low, high) = (above.saturating_sub(1), above.min(last));
        let depth = |table: usize| self.tables[table].aerosol_500nm;
        let apart = depth(high) - depth(low);
        let share = match apart > 0.0 {
            true => ((aerosol_500nm - depth(low)) / apart).clamp(0.0, 1.0),
            false => 0.0,
        };
        [(low, 1.0 - share), (high, share)]
    }

    /// P of a node.
    fn sky_shape(&self, overhead: &Overhead, index: usize) -> SumVectors {
        let LitGround { scene, sums, .. } = self.ground.as_ref();
        let sky = overhead.at(scene.dome(), &sun_at(index), MEAN_DAY);
        let share = |of: f64| if of > 0.0 { 1.0 / of } else { 0.0 };
        let per_sky = sky.daylight.diffuse_horizontal.values().map(share);
        let cells = CellLight::new(&sky.glow);
        let sent = sums.iter().flat_map(|sums| sums.of_cells(&cells));
        sent.map(|light| four(light.tinted(per_sky))).collect()
    }
}

impl UnderSun<'_> {
    /// Each sum, lx.
    pub fn at(&mut self, daylight: &Daylight, aerosol_500nm: f64) -> Vec<Tristimulus> {
        let direct = four(daylight.direct_normal);
        let mut light: Vec<Vec4> = self.sun.iter().map(|q| *q * direct).collect();
        let depths = self.by_sun.of_depth(aerosol_500nm);
        for (table, share) in depths.into_iter().filter(|(_, share)| *share > 0.0) {
            let sky = four(daylight.diffuse_horizontal) * share as f32;
            let shape = self.sky(table);
            light.iter_mut().zip(shape).for_each(|(light, p)| *light += *p * sky);
        }
        let screens = &self.by_sun.screens;
        light.into_iter().zip(screens).map(|(light, screens)| three(light) + *screens).collect()
    }

    /// P of a table under the sun.
    fn sky(&mut self, table: usize) -> &[Vec4] {
        let Self { by_sun, around, skies, .. } = self;
        skies[table].get_or_insert_with(|| {
            let AirSums { overhead, nodes, .. } = &by_sun.tables[table];
            let node = |(index, weight): (usize, f32)| {
                (&**nodes[index].get_or_init(|| by_sun.sky_shape(overhead, index)), weight)
            };
            between(around.map(node))
        })
    }
}

/// The four nodes around a sun with their linear weights.
fn around(sun: &Sun) -> [(usize, f32); 4] {
    let azimuth = sun.azimuth.degrees().rem_euclid(360.0) / AZIMUTH_STEP_DEG;
    let elevation =
        (sun.apparent_elevation.degrees() / ELEVATION_STEP_DEG).clamp(0.0, (ELEVATIONS - 1) as f64);
    let (column, row) = (azimuth as usize, (elevation as usize).min(ELEVATIONS - 2));
    let (u, v) = (azimuth - column as f64, elevation - row as f64);
    [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(right, up)| {
        let across = if right == 1 { u } else { 1.0 - u };
        let over = if up == 1 { v } else { 1.0 - v };
        ((row + up) * AZIMUTHS + (column + right) % AZIMUTHS, (across * over) as f32)
    })
}

/// The sun of a node.
fn sun_at(index: usize) -> Sun {
    let elevation = Elevation::from_degrees((index / AZIMUTHS) as f64 * ELEVATION_STEP_DEG);
    Sun {
        azimuth: Azimuth::from_degrees((index % AZIMUTHS) as f64 * AZIMUTH_STEP_DEG),
        apparent_elevation: elevation,
        true_elevation: elevation,
    }
}

/// The weighed sum of four shapes.
fn between([a, b, c, d]: [(&[Vec4], f32); 4]) -> SumVectors {
    let all = a.0.iter().zip(b.0).zip(c.0.iter().zip(d.0));
    all.map(|((p, q), (r, s))| *p * a.1 + *q * b.1 + *r * c.1 + *s * d.1).collect()
}

fn four(light: Tristimulus) -> Vec4 {
    DVec3::from(light.values()).as_vec3().extend(0.0)
}

fn three(light: Vec4) -> Tristimulus {
    let [x, y, z, _] = light.to_array().map(f64::from);
    Tristimulus { x, y, z }
}
