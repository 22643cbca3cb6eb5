//! A plan in the light that readings say there is.
//!
//! In: an instant as the model has it, a [`Correction`] in stops. Out: the same instant with
//! light and luminance of both sides moved by so many stops. Shadows stay where they are.

use serde::{Deserialize, Serialize};

use crate::base::units::Luminance;
use crate::camera::{CameraView, Interval, Side, Split};
use crate::engine::{FieldLight, Instant};
use crate::light::Tristimulus;

/// How many stops brighter than the model the light is; negative where it is darker.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Correction {
    pub sun_stops: f64,
    pub shade_stops: f64,
}

impl Correction {
    /// An instant in the corrected light.
    pub fn apply(self, mut instant: Instant) -> Instant {
        if self == Self::default() {
            return instant;
        }
        instant.field_light = self.field(instant.field_light);
        instant.cameras = instant.cameras.into_iter().map(|view| self.view(view)).collect();
        instant
    }

    fn factors(self) -> (f64, f64) {
        (self.sun_stops.exp2(), self.shade_stops.exp2())
    }

    /// Under a cloud there is no direct light: it goes with the shade.
    fn field(self, light: FieldLight) -> FieldLight {
        let (sun, shade) = self.factors();
        FieldLight {
            in_sun: light.in_sun.map(|l| l * sun),
            in_shade: light.in_shade * shade,
            under_cloud: light.under_cloud.map(|l| l * shade),
        }
    }

    fn view(self, view: CameraView) -> CameraView {
        CameraView { turf: self.split(view.turf), subject: self.split(view.subject), ..view }
    }

    fn split(self, before: Split) -> Split {
        let (sun, shade) = self.factors();
        let mut split = before;
        split.sunlit = before.sunlit.map(|side| brighter(side, sun));
        split.shaded = before.shaded.map(|side| brighter(side, shade));
        // what a sheet lets through is a share of the direct light
        split.dimmed = before.dimmed.map(|side| {
            let mixed = through(&before, side).and_then(|share| split.mixed(share));
            mixed.unwrap_or_else(|| brighter(side, shade))
        });
        let apart = self.sun_stops - self.shade_stops;
        if let Some(range) = &mut split.range {
            range.stops = range.stops.map(|stops| moved(stops, apart));
            range.sunlit = range.sunlit.map(|side| scaled(side, sun));
            range.shaded = range.shaded.map(|side| scaled(side, shade));
            range.swing = range.swing.map(|swing| moved(swing, apart));
        }
        if let Some(swing) = &mut split.swing {
            swing.stops = crate::base::units::Stops::from_stops(swing.stops.stops() + apart);
        }
        split
    }
}

fn brighter(side: Side, factor: f64) -> Side {
    let light: Tristimulus = side.light * factor;
    let luminance = Luminance::from_cd_per_m2(side.luminance.cd_per_m2() * factor);
    Side { light, luminance }
}

/// The share of the direct light in a side that lies between sun and shade.
fn through(split: &Split, side: Side) -> Option<f64> {
    let (dark, bright) = (split.shaded?.luminance.cd_per_m2(), split.sunlit?.luminance.cd_per_m2());
    let share = (side.luminance.cd_per_m2() - dark) / (bright - dark);
    share.is_finite().then(|| share.clamp(0.0, 1.0))
}

fn moved(interval: Interval, stops: f64) -> Interval {
    Interval { low: interval.low + stops, high: interval.high + stops }
}

fn scaled(interval: Interval, factor: f64) -> Interval {
    Interval { low: interval.low * factor, high: interval.high * factor }
}
