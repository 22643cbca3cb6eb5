//! Where things stand on the page, and the way from metres to pixels.
//!
//! The field lies along the page: its bearing points right, its left side up, so
//! that the drawing is as large as the page allows whatever the bearing. North
//! is told by the compass.

use geo::{Coord, LineString, MultiPolygon};
use glam::DVec3;

use super::sketch::{Px, PxBox};
use crate::frame::{FieldFrame, FieldPoint};
use crate::venue::Field;

/// The page: A4 across.
pub(super) const SIZE: (u32, u32) = (2000, 1414);
/// Title, time and shares.
pub(super) const HEADER: PxBox = page_box(40.0, 30.0, 1960.0, 186.0);
/// The drawing.
pub(super) const PLAN: PxBox = page_box(40.0, 200.0, 1370.0, 1136.0);
/// What the signs mean, and the scale.
pub(super) const LEGEND: PxBox = page_box(40.0, 1156.0, 1370.0, 1384.0);
/// North and the sun.
pub(super) const COMPASS: PxBox = page_box(1400.0, 200.0, 1960.0, 430.0);
/// The list of cameras, and that of zones under it.
pub(super) const CAMERAS: PxBox = page_box(1400.0, 446.0, 1960.0, 1384.0);

/// Surroundings shown on each side, as a share of the field's longer side.
const MARGIN: f64 = 0.17;
/// Surroundings shown at least, metres: to the front rows of a show court.
const LEAST_MARGIN_M: f64 = 10.0;
/// Surroundings of other points that are to be seen, metres.
const POINT_MARGIN_M: f64 = 4.0;

const fn page_box(left: f64, top: f64, right: f64, bottom: f64) -> PxBox {
    PxBox { left, top, right, bottom }
}

/// From the local frame to pixels of the drawing.
#[derive(Debug, Clone, Copy)]
pub(super) struct View {
    frame: FieldFrame,
    /// Pixels per metre.
    pub scale: f64,
    /// Field axes of the middle of the drawing, metres.
    middle: [f64; 2],
    /// Box around the field of play.
    pub field: PxBox,
}

impl View {
    /// The view that holds a field and its nearest surroundings.
    pub fn of(field: &Field) -> Self {
        Self::holding(field, [])
    }

    /// The same, wide enough for more points of the local frame.
    pub fn holding(field: &Field, points: impl IntoIterator<Item = DVec3>) -> Self {
        let (mut low, mut high) = ([f64::MAX; 2], [f64::MIN; 2]);
        for c in &field.outline.exterior().0 {
            let p = field.frame.to_field(DVec3::new(c.x, c.y, 0.0));
            for (axis, value) in [p.along_m, p.across_m].into_iter().enumerate() {
                low[axis] = low[axis].min(value);
                high[axis] = high[axis].max(value);
            }
        }
        let size = [high[0] - low[0], high[1] - low[1]].map(|s| s.max(1.0));
        let margin = (MARGIN * size[0].max(size[1])).max(LEAST_MARGIN_M);
        let (field_low, field_high) = (low, high);
        let (mut low, mut high) = (low.map(|l| l - margin), high.map(|h| h + margin));
        for point in points {
            let p = field.frame.to_field(point);
            for (axis, value) in [p.along_m, p.across_m].into_iter().enumerate() {
                low[axis] = low[axis].min(value - POINT_MARGIN_M);
                high[axis] = high[axis].max(value + POINT_MARGIN_M);
            }
        }
        let mut view = Self {
            frame: field.frame,
            scale: (PLAN.width() / (high[0] - low[0])).min(PLAN.height() / (high[1] - low[1])),
            middle: [0.5 * (low[0] + high[0]), 0.5 * (low[1] + high[1])],
            field: PLAN,
        };
        let corner = |q: [f64; 2]| view.field_point(FieldPoint::on_ground(q[0], q[1]));
        let (one, other) = (corner(field_low), corner(field_high));
        view.field = PxBox { left: one[0], top: other[1], right: other[0], bottom: one[1] };
        view
    }

    /// A point of the local frame, seen from above.
    pub fn point(&self, p: DVec3) -> Px {
        self.field_point(self.frame.to_field(p))
    }

    /// A point in field axes.
    pub fn field_point(&self, q: FieldPoint) -> Px {
        let [x, y] = PLAN.middle();
        [
            x + self.scale * (q.along_m - self.middle[0]),
            y - self.scale * (q.across_m - self.middle[1]),
        ]
    }

    pub fn coord(&self, c: Coord<f64>) -> Px {
        self.point(DVec3::new(c.x, c.y, 0.0))
    }

    pub fn line(&self, line: &LineString<f64>) -> Vec<Px> {
        line.0.iter().map(|&c| self.coord(c)).collect()
    }

    /// All rings of a region.
    pub fn rings(&self, region: &MultiPolygon<f64>) -> Vec<Vec<Px>> {
        region
            .0
            .iter()
            .flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()))
            .map(|ring| self.line(ring))
            .collect()
    }

    /// Unit step on the page for a direction of the local frame.
    pub fn step(&self, direction: DVec3) -> Option<Px> {
        let q = self.frame.to_field(direction);
        let length = q.along_m.hypot(q.across_m);
        (length > 1e-9).then(|| [q.along_m / length, -q.across_m / length])
    }
}
