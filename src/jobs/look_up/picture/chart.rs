//! The chart's plane: azimuth to the right, elevation up, in pixels.
//!
//! In: the paths of the sun over the year. Out: where a direction is on the page. The
//! middle is the azimuth toward the equator; the width is what the sun can ever reach.

use crate::base::units::{Azimuth, Elevation};
use crate::engine::SpotKind;
use crate::jobs::look_up::LookUp;
use crate::output::draw::sketch::{Px, PxBox};

/// Room beside the outermost sun, degrees; small charts are no narrower than twice the
/// least half.
const MARGIN_DEG: f64 = 12.0;
const MIN_HALF_DEG: f64 = 45.0;
/// Room over the highest sun and the least top, degrees.
const OVER_DEG: f64 = 7.0;
const MIN_TOP_DEG: f64 = 24.0;
/// The chart begins under the horizon: a little, and more for a camera, whose frame
/// reaches down.
const UNDER_DEG: f64 = 2.0;
const UNDER_CAMERA_DEG: f64 = 6.0;
/// Elevation is drawn larger than azimuth by so much at the most: what happens in the
/// lowest third of the sky matters most.
const STRETCH: f64 = 2.2;
/// Lowest and highest chart, pixels.
const HEIGHTS: (f64, f64) = (420.0, 900.0);

/// Directions on the page.
#[derive(Debug, Clone, Copy)]
pub(super) struct SkyChart {
    pub area: PxBox,
    /// Azimuth in the middle, degrees.
    pub centre_deg: f64,
    /// To the left and to the right of it, degrees.
    pub half_deg: f64,
    /// Elevations at the bottom and at the top, degrees.
    pub low_deg: f64,
    pub top_deg: f64,
}

impl SkyChart {
    /// The chart of a place, hung from the top edge of a box that is as wide as it
    /// shall be.
    pub fn of(look: &LookUp, latitude_deg: f64, left: f64, top: f64, right: f64) -> Self {
        let centre_deg = if latitude_deg >= 0.0 { 180.0 } else { 0.0 };
        let points = look.days.iter().flat_map(|day| &day.path);
        let up = points.filter(|p| p.elevation.degrees() >= -1.0);
        let (mut half, mut high) = (0.0_f64, 0.0_f64);
        for point in up {
            half = half.max(turn(point.azimuth, centre_deg).abs());
            high = high.max(point.elevation.degrees());
        }
        let half_deg = (half + MARGIN_DEG).clamp(MIN_HALF_DEG, 180.0);
        let top_deg = (high + OVER_DEG).clamp(MIN_TOP_DEG, 90.0);
        let low_deg = match look.spot.kind {
            SpotKind::Camera(_) => -UNDER_CAMERA_DEG,
            SpotKind::Mark | SpotKind::Point => -UNDER_DEG,
        };
        let even = (right - left) / (2.0 * half_deg) * (top_deg - low_deg);
        let height = (STRETCH * even).clamp(HEIGHTS.0, HEIGHTS.1).round();
        let area = PxBox { left, top, right, bottom: top + height };
        Self { area, centre_deg, half_deg, low_deg, top_deg }
    }

    /// Degrees to the right of the middle, -180 to 180.
    pub fn turn(&self, azimuth: Azimuth) -> f64 {
        turn(azimuth, self.centre_deg)
    }

    /// Where a direction is; `turn_deg` counts from the middle to the right and may go
    /// beyond the chart.
    pub fn px(&self, turn_deg: f64, elevation_deg: f64) -> Px {
        [
            self.area.middle()[0] + turn_deg * self.px_per_turn(),
            self.area.bottom - (elevation_deg - self.low_deg) * self.px_per_elevation(),
        ]
    }

    /// The same for angles with types.
    pub fn place(&self, azimuth: Azimuth, elevation: Elevation) -> Px {
        self.px(self.turn(azimuth), elevation.degrees())
    }

    pub fn px_per_turn(&self) -> f64 {
        self.area.width() / (2.0 * self.half_deg)
    }

    pub fn px_per_elevation(&self) -> f64 {
        self.area.height() / (self.top_deg - self.low_deg)
    }

    /// How much larger elevation is drawn than azimuth.
    pub fn stretch(&self) -> f64 {
        self.px_per_elevation() / self.px_per_turn()
    }
}

fn turn(azimuth: Azimuth, centre_deg: f64) -> f64 {
    (azimuth.degrees() - centre_deg + 180.0).rem_euclid(360.0) - 180.0
}
