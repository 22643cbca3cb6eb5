//! Light on all facings at one place, for what is round.
//!
//! In: a place, local frame, metres, and the light scene. Out: the light of sky, surroundings
//! and floodlights on a surface there that faces anywhere, lx: known for facings on circles of
//! equal elevation, and smooth between (Catmull and Rom's curve through four of them).

use std::f64::consts::{PI, TAU};

use glam::DVec3;

use crate::light::{Receivers, Scene, SceneLight, Tristimulus};

/// Facings around, and from straight down to straight up.
const AROUND: usize = 16;
const UP: usize = 9;

/// Receivers of all facings.
pub(super) struct Globe {
    receivers: Receivers,
    normals: Vec<DVec3>,
}

/// Light on all facings at an instant, lx.
pub(super) struct LitGlobe {
    values: Vec<Tristimulus>,
}

impl Globe {
    pub fn new(scene: &Scene, at: DVec3) -> Self {
        let normal = |i: usize| {
            let (row, column) = (i / AROUND, i % AROUND);
            let (sin, cos) = (TAU * column as f64 / AROUND as f64).sin_cos();
            let (high, wide) = (PI * (row as f64 / (UP - 1) as f64 - 0.5)).sin_cos();
            DVec3::new(cos * wide, sin * wide, high)
        };
        let normals: Vec<DVec3> = (0..AROUND * UP).map(normal).collect();
        let facing: Vec<(DVec3, DVec3)> = normals.iter().map(|n| (at, *n)).collect();
        Self { receivers: scene.receivers(&facing), normals }
    }

    pub fn lit(&self, light: &SceneLight) -> LitGlobe {
        let views = self.receivers.ground_views();
        let faces = light.on(&self.receivers);
        let all = faces.iter().zip(&self.normals).zip(views);
        let lit = |((face, normal), views): ((&crate::light::FaceLight, &DVec3), [f64; 2])| {
            face.as_it_is + light.floodlights_on(*normal, views, None)
        };
        LitGlobe { values: all.map(lit).collect() }
    }
}

impl LitGlobe {
    /// On a surface that faces `normal`, lx.
    pub fn light(&self, normal: DVec3) -> Tristimulus {
        let around = (normal.y.atan2(normal.x) / TAU).rem_euclid(1.0) * AROUND as f64;
        let up = (normal.z.clamp(-1.0, 1.0).asin() / PI + 0.5) * (UP - 1) as f64;
        let (column, row) = (around.floor(), up.floor().min((UP - 2) as f64));
        let (across, along) = (curve(around - column), curve(up - row));
        let mut sum = Tristimulus::ZERO;
        for (j, weight) in along.into_iter().enumerate() {
            // over a pole the circle goes on, on the other side
            let row = row as i64 + j as i64 - 1;
            let (row, turn) = match row {
                r if r < 0 => (-r, AROUND as i64 / 2),
                r if r >= UP as i64 => (2 * (UP as i64 - 1) - r, AROUND as i64 / 2),
                r => (r, 0),
            };
            for (i, beside) in across.into_iter().enumerate() {
                let column = (column as i64 + i as i64 - 1 + turn).rem_euclid(AROUND as i64);
                sum += self.values[row as usize * AROUND + column as usize] * (weight * beside);
            }
        }
        Tristimulus { x: sum.x.max(0.0), y: sum.y.max(0.0), z: sum.z.max(0.0) }
    }
}

/// Weights of the four values around a place between the middle two.
fn curve(t: f64) -> [f64; 4] {
    let (t2, t3) = (t * t, t * t * t);
    [
        0.5 * (-t3 + 2.0 * t2 - t),
        0.5 * (3.0 * t3 - 5.0 * t2 + 2.0),
        0.5 * (-3.0 * t3 + 4.0 * t2 + t),
        0.5 * (t3 - t2),
    ]
}
