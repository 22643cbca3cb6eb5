//! Light of sky and surroundings on meshes.
//!
//! In: places on meshes that a picture shows, with their facing. Out: nodes, one for each
//! small box of space and each facing in steps, at a place that is seen there; between them
//! the light is that of the nodes around, by nearness.

use glam::DVec3;
use rustc_hash::FxHashMap;

use super::faces::on;
use crate::light::{Scene, SceneLight, Tristimulus};

/// Size of a box, metres.
const BOX_M: f64 = 4.0;
/// Steps in which facings are told apart.
const FACING_STEPS: f64 = 1.5;
/// A node is asked for so far over the surface, metres.
const OVER_M: f64 = 0.002;

type Key = (u32, [i32; 3], [i8; 3]);

/// Nodes by box and facing.
#[derive(Clone, Default)]
pub(super) struct MeshNodes {
    index: FxHashMap<Key, u32>,
    at: Vec<(DVec3, DVec3)>,
    receivers: Vec<crate::light::Receivers>,
}

/// Light at the nodes at an instant, lx.
#[derive(Default)]
pub(super) struct LitNodes {
    values: Vec<Tristimulus>,
}

fn key(obstacle: usize, cell: [i32; 3], normal: DVec3) -> Key {
    (obstacle as u32, cell, (normal * FACING_STEPS).to_array().map(|v| v.round() as i8))
}

impl MeshNodes {
    /// Adds nodes for places of a mesh where there are none.
    pub fn add(&mut self, scene: &Scene, seen: &[(usize, DVec3, DVec3)]) {
        let first = self.at.len();
        for (obstacle, at, normal) in seen {
            let cell = (*at / BOX_M).to_array().map(|v| v.floor() as i32);
            let next = self.at.len() as u32;
            if *self.index.entry(key(*obstacle, cell, *normal)).or_insert(next) == next {
                self.at.push((*at + *normal * OVER_M, *normal));
            }
        }
        if self.at.len() > first {
            self.receivers.push(scene.receivers(&self.at[first..]));
        }
    }

    /// Whether a place has a node of its own.
    pub fn knows(&self, obstacle: usize, at: DVec3, normal: DVec3) -> bool {
        let cell = (at / BOX_M).to_array().map(|v| v.floor() as i32);
        self.index.contains_key(&key(obstacle, cell, normal))
    }

    pub fn lit(&self, light: &SceneLight) -> LitNodes {
        let mut values = Vec::with_capacity(self.at.len());
        let mut at = self.at.iter();
        for receivers in &self.receivers {
            // floodlights count by the facing of each
            let dark = on(light, receivers, DVec3::Z);
            let views = receivers.ground_views();
            for ((value, views), (_, normal)) in dark.into_iter().zip(views).zip(at.by_ref()) {
                let up = light.floodlights_on(DVec3::Z, views, None);
                values.push(value - up + light.floodlights_on(*normal, views, None));
            }
        }
        LitNodes { values }
    }

    /// Light at a place of a mesh, lx.
    pub fn light(
        &self,
        of: &LitNodes,
        (obstacle, at, normal): (usize, DVec3, DVec3),
    ) -> Tristimulus {
        let scaled = at / BOX_M - 0.5;
        let low = scaled.floor();
        let (mut sum, mut whole) = (Tristimulus::ZERO, 0.0);
        for corner in 0..8 {
            let step = DVec3::new(
                f64::from(corner & 1),
                f64::from(corner >> 1 & 1),
                f64::from(corner >> 2 & 1),
            );
            let weight = (1.0 - (scaled - low - step).abs()).to_array().iter().product::<f64>();
            let cell = (low + step).to_array().map(|v| v as i32);
            if let Some(node) = self.index.get(&key(obstacle, cell, normal)) {
                sum += of.values.get(*node as usize).copied().unwrap_or_default() * weight;
                whole += weight;
            }
        }
        if whole > 1e-6 {
            return sum * (1.0 / whole);
        }
        let own = (at / BOX_M).to_array().map(|v| v.floor() as i32);
        let node = self.index.get(&key(obstacle, own, normal));
        node.and_then(|node| of.values.get(*node as usize)).copied().unwrap_or_default()
    }
}
