//! Daylight with nothing in the way, for tens of thousands of instants.
//!
//! In: a place, its air and a sky state, once; then the sun and the day of the year.
//! Out: [`Daylight`], lx, as [`super::daylight`] tells it.
//!
//! Daylight depends on the sun's elevation and, through the sun's distance, on the
//! day. Over elevation it is taken as linear between steps of a fortieth of a degree;
//! in the inverse square of the distance it is linear by itself. Suns as low as those of
//! twilight, of which there are few, are worked out straight. Steps are worked out when they
//! are first asked for. Against the straight computation this stays within a thousandth of a
//! stop (`tests/light_by_sun.rs`).

use std::sync::OnceLock;

use crate::base::units::Elevation;
use crate::light::air::Air;
use crate::light::clear::{AirColumn, distance_factor};
use crate::light::model::{Daylight, Sky};
use crate::light::overhead::daylight_through;
use crate::light::tristimulus::Tristimulus;
use crate::light::twilight;
use crate::solar::{Sun, true_elevation_deg};
use crate::venue::Place;

/// Steps of elevation to a degree.
const FINE: u32 = 40;
const COARSE: u32 = 4;
/// From the horizon to the zenith.
const DEGREES: u32 = 90;
/// Days of the year about which the sun is nearest and farthest.
const NEAR_AND_FAR: [u32; 2] = [3, 185];

/// Daylight over the sun's elevation, of one place and sky state.
#[derive(Debug)]
pub struct ByElevation {
    place: Place,
    column: AirColumn,
    sky: Sky,
    per_degree: u32,
    /// Facing the sun and from the sky, each with the sun nearest and farthest.
    steps: Vec<OnceLock<[[Tristimulus; 2]; 2]>>,
}

impl ByElevation {
    pub fn new(place: Place, air: Air, sky: Sky) -> Self {
        Self::stepped(place, air, sky, FINE)
    }

    /// The same in steps of a quarter of a degree, for ranges: within a few per cent of the
    /// straight computation where the sun stands over 3 degrees.
    pub fn coarse(place: Place, air: Air, sky: Sky) -> Self {
        Self::stepped(place, air, sky, COARSE)
    }

    fn stepped(place: Place, air: Air, sky: Sky, per_degree: u32) -> Self {
        let count = (DEGREES * per_degree + 1) as usize;
        let steps = std::iter::repeat_with(OnceLock::new).take(count).collect();
        let column = AirColumn::new(&air, place.pressure_hpa);
        Self { place, column, sky, per_degree, steps }
    }

    /// Daylight under a sun; `day_of_year` counts from 1.
    pub fn at(&self, sun: &Sun, day_of_year: u32) -> Daylight {
        let elevation_deg = sun.apparent_elevation.degrees();
        if sun.true_elevation.degrees() <= twilight::MAX_DEG {
            return daylight_through(&self.column, sun, self.sky, day_of_year);
        }
        let last = self.steps.len() - 1;
        let place = (elevation_deg * f64::from(self.per_degree)).min(last as f64);
        let low = (place as usize).min(last - 1);
        let share = place - low as f64;
        let [near, far] = NEAR_AND_FAR.map(distance_factor);
        let nearness = (distance_factor(day_of_year) - far) / (near - far);
        let (low, high) = (self.step(low), self.step(low + 1));
        let between = |a: Tristimulus, b: Tristimulus, share: f64| a * (1.0 - share) + b * share;
        let [direct_normal, diffuse_horizontal] = [0, 1].map(|part| {
            let on = |day: usize| between(low[day][part], high[day][part], share);
            between(on(1), on(0), nearness)
        });
        Daylight {
            direct_normal,
            direct_horizontal: direct_normal * elevation_deg.to_radians().sin(),
            diffuse_horizontal,
        }
    }

    fn step(&self, step: usize) -> [[Tristimulus; 2]; 2] {
        let elevation = Elevation::from_degrees(step as f64 / f64::from(self.per_degree));
        let true_deg = true_elevation_deg(
            elevation.degrees(),
            self.place.pressure_hpa,
            self.place.temperature_c,
        );
        let sun = Sun {
            azimuth: crate::base::units::Azimuth::from_degrees(0.0),
            apparent_elevation: elevation,
            true_elevation: Elevation::from_degrees(true_deg),
        };
        let on = |day| {
            let now = daylight_through(&self.column, &sun, self.sky, day);
            [now.direct_normal, now.diffuse_horizontal]
        };
        match self.steps.get(step) {
            Some(cell) => *cell.get_or_init(|| NEAR_AND_FAR.map(on)),
            None => NEAR_AND_FAR.map(on),
        }
    }
}
