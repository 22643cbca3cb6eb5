//! Upright faces that cameras look at.
//!
//! In: places on the field and the way a face there is turned, local frame, metres; the
//! venue's [`Scene`]. Out: weights that make the light on each face out of the light on
//! prepared [`Receivers`].
//!
//! A few cameras have a receiver of their own for every face; only means over a camera's
//! faces are asked for, so a quarter of the rays will do for each. Hundreds of cameras share
//! one set: at each place that light is known at, faces turned to [`TURNS`] sides.
//! Between the places light is linear. Between the turns it is the trigonometric
//! polynomial through all of them: light on an upright face is the light around, smeared
//! by a cosine that is cut off at zero, and of that cosine the harmonics over the fourth
//! hold less than a thousandth of the power (its Fourier series).

use std::f64::consts::TAU;

use glam::DVec3;

use super::receivers::Receivers;
use super::scene::Scene;

/// Sides that shared faces are turned to.
pub const TURNS: usize = 8;

/// Faces asked for, and what their light is made of.
#[derive(Debug, Clone)]
pub struct Faces {
    height_m: f64,
    sharing: Sharing,
    facing: Vec<(DVec3, DVec3)>,
}

/// Whether faces share receivers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sharing {
    /// Each face has its own.
    Own,
    /// All faces are made from one set over the whole field.
    Shared,
}

impl Faces {
    /// Faces `height_m` over the ground.
    pub fn new(height_m: f64, sharing: Sharing) -> Self {
        Self { height_m, sharing, facing: Vec::new() }
    }

    /// How to make the light on a face at a place that is turned to `facing` (horizontal
    /// unit vector): receivers and their weights. `at_places` are the place's weights
    /// on those that light is known at.
    pub fn ask(
        &mut self,
        at: geo::Coord<f64>,
        facing: DVec3,
        at_places: &[(usize, f64)],
    ) -> Vec<(usize, f64)> {
        match self.sharing {
            Sharing::Own => {
                self.facing.push((DVec3::new(at.x, at.y, self.height_m), facing));
                vec![(self.facing.len() - 1, 1.0)]
            }
            Sharing::Shared => at_turns(facing, at_places),
        }
    }

    /// The receivers that the weights are for.
    pub fn receivers(self, scene: &Scene) -> Receivers {
        match self.sharing {
            Sharing::Own => scene.receivers_of_means(&scene.over_ground(self.facing)),
            Sharing::Shared => {
                let places = scene.places().at().iter().copied();
                scene.receivers(&scene.over_ground(turned_at(places, self.height_m)))
            }
        }
    }
}

/// Upright faces turned to all sides at each of some places.
pub fn turned_at(
    places: impl IntoIterator<Item = geo::Coord<f64>>,
    height_m: f64,
) -> Vec<(DVec3, DVec3)> {
    let turned = |turn: usize| {
        let (sin, cos) = (TAU * turn as f64 / TURNS as f64).sin_cos();
        DVec3::new(cos, sin, 0.0)
    };
    let over = |at: geo::Coord<f64>| DVec3::new(at.x, at.y, height_m);
    places.into_iter().flat_map(|at| (0..TURNS).map(move |t| (over(at), turned(t)))).collect()
}

/// Which of the faces of [`turned_at`] make one that is turned to `facing` (horizontal unit
/// vector), at a place that is made of some places by their weights.
pub fn at_turns(facing: DVec3, at_places: &[(usize, f64)]) -> Vec<(usize, f64)> {
    let turns = turn_weights(facing.y.atan2(facing.x));
    let place = |&(place, weight): &(usize, f64)| {
        let turn = move |(t, w): (usize, f64)| (place * TURNS + t, weight * w);
        turns.into_iter().enumerate().map(turn)
    };
    at_places.iter().flat_map(place).collect()
}

/// Weights of the turns that give a trigonometric polynomial its value at an angle
/// (radians): its cardinal functions for an even number of equal steps.
fn turn_weights(angle: f64) -> [f64; TURNS] {
    std::array::from_fn(|turn| {
        let off = angle - TAU * turn as f64 / TURNS as f64;
        let half = TURNS / 2;
        let inner: f64 = (1..half).map(|k| (k as f64 * off).cos()).sum();
        (1.0 + 2.0 * inner + (half as f64 * off).cos()) / TURNS as f64
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turned_cosine_is_carried_exactly_and_weights_sum_to_one() {
        for angle in [0.0, 0.3, 1.9, -2.6] {
            let weights = turn_weights(angle);
            assert!((weights.iter().sum::<f64>() - 1.0).abs() < 1e-12);
            let value = |phase: f64, k: f64| -> f64 {
                let at = |t: usize| (k * TAU * t as f64 / TURNS as f64 + phase).cos();
                weights.iter().enumerate().map(|(t, w)| w * at(t)).sum()
            };
            for k in [1.0, 2.0, 3.0] {
                assert!((value(0.4, k) - (k * angle + 0.4).cos()).abs() < 1e-12);
            }
        }
    }
}
