//! Where things stand on the page, and the way from metres to pixels.
//!
//! The field lies along the page: its bearing points right, its left side up, so
//! that the drawing is as large as the page allows whatever the bearing. North
//! is told by the compass.

use geo::{
    BoundingRect, ConvexHull, Coord, Intersects, LineString, MultiPoint, MultiPolygon,
    Point as GeoPoint, Polygon, Rect,
};
use glam::DVec3;

use crate::base::frame::{FieldFrame, FieldPoint};
use crate::output::draw::sketch::{Px, PxBox};
use crate::venue::Venue;

/// The page: A4 across.
pub(crate) const SIZE: (u32, u32) = (2000, 1414);
/// Title, time and shares.
pub(crate) const HEADER: PxBox = page_box(40.0, 30.0, 1960.0, 186.0);
/// The drawing.
pub(crate) const PLAN: PxBox = page_box(40.0, 200.0, 1370.0, 1136.0);
/// What the signs mean, and the scale.
pub(crate) const LEGEND: PxBox = page_box(40.0, 1156.0, 1370.0, 1384.0);
/// North and the sun.
pub(crate) const COMPASS: PxBox = page_box(1400.0, 200.0, 1960.0, 430.0);
/// The list of cameras, and that of zones under it.
pub(crate) const CAMERAS: PxBox = page_box(1400.0, 446.0, 1960.0, 1384.0);

/// Ground shown beyond the surrounds at least, metres.
const MARGIN_M: f64 = 4.0;
/// Margin around what throws a shadow and around other points that are to be seen,
/// metres.
const POINT_MARGIN_M: f64 = 3.0;
/// What throws a shadow may shrink the ground to this share of its largest scale; what
/// is farther off is told at the border.
const MIN_SCALE: f64 = 0.4;
/// So many suns are looked at.
const MAX_SUNS: usize = 12;

/// Something that throws a shadow on the ground from outside the drawing.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Far {
    pub name: String,
    /// Local frame, metres.
    pub at: DVec3,
}

/// Corners of each body whose shadow reaches the ground under one of some suns, by the index of
/// the occluder that it belongs to.
fn throwing(venue: &Venue, suns: &[DVec3]) -> Vec<(usize, Vec<DVec3>)> {
    let step = suns.len().div_ceil(MAX_SUNS).max(1);
    let suns: Vec<DVec3> =
        suns.iter().step_by(step).copied().filter(|sun| sun.z > MIN_SUN).collect();
    let ground = Polygon::new(venue.field.surrounds.exterior().clone(), Vec::new());
    let reaches = |points: &[DVec3]| {
        suns.iter().any(|sun| {
            let feet = points.iter().map(|p| GeoPoint::new(p.x, p.y));
            let shade = points.iter().map(|p| {
                let reach = p.z.max(0.0) / sun.z;
                GeoPoint::new(p.x - reach * sun.x, p.y - reach * sun.y)
            });
            let hull = MultiPoint(feet.chain(shade).collect()).convex_hull();
            let near = |a: Rect<f64>, b: Rect<f64>| a.intersects(&b);
            let boxes = hull.bounding_rect().zip(ground.bounding_rect());
            boxes.is_some_and(|(a, b)| near(a, b)) && hull.intersects(&ground)
        })
    };
    let occluders = venue.occluders.iter().enumerate();
    let bodies = occluders.flat_map(|(index, o)| o.bodies.iter().map(move |b| (index, b)));
    let corners = bodies.map(|(index, body)| (index, extremes(body.shape.points())));
    corners.filter(|(_, points)| reaches(points)).collect()
}

/// A sun lower than this, as the sine of its elevation, throws shadows of the horizon:
/// half a degree.
const MIN_SUN: f64 = 0.0087;
/// Of bodies with more corners than this the corners of their box stand for all.
const MAX_CORNERS: usize = 64;

fn extremes(points: &[DVec3]) -> Vec<DVec3> {
    if points.len() <= MAX_CORNERS {
        return points.to_vec();
    }
    let low = points.iter().copied().fold(DVec3::MAX, DVec3::min);
    let high = points.iter().copied().fold(DVec3::MIN, DVec3::max);
    let pick = |i: usize| {
        let axis = |bit: usize, low: f64, high: f64| if i & bit == 0 { low } else { high };
        DVec3::new(axis(1, low.x, high.x), axis(2, low.y, high.y), axis(4, low.z, high.z))
    };
    (0..8).map(pick).collect()
}

const fn page_box(left: f64, top: f64, right: f64, bottom: f64) -> PxBox {
    PxBox { left, top, right, bottom }
}

/// From the local frame to pixels of the drawing.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PlanView {
    frame: FieldFrame,
    /// Pixels per metre.
    pub scale: f64,
    /// Field axes of the middle of the drawing, metres.
    middle: [f64; 2],
    /// Box around the field of play.
    pub field: PxBox,
    /// Box around the surrounds.
    pub ground: PxBox,
}

/// A box in field axes, metres.
#[derive(Debug, Clone, Copy)]
struct Extent {
    low: [f64; 2],
    high: [f64; 2],
}

impl Extent {
    const NOTHING: Self = Self { low: [f64::MAX; 2], high: [f64::MIN; 2] };

    fn with(mut self, p: FieldPoint, margin_m: f64) -> Self {
        for (axis, value) in [p.along_m, p.across_m].into_iter().enumerate() {
            self.low[axis] = self.low[axis].min(value - margin_m);
            self.high[axis] = self.high[axis].max(value + margin_m);
        }
        self
    }

    fn of(area: &Polygon<f64>, frame: FieldFrame) -> Self {
        let corners = area.exterior().0.iter();
        let corners = corners.map(|c| frame.to_field(DVec3::new(c.x, c.y, 0.0)));
        corners.fold(Self::NOTHING, |extent, p| extent.with(p, 0.0))
    }

    fn scale(&self) -> f64 {
        let size = [0, 1].map(|axis| (self.high[axis] - self.low[axis]).max(1.0));
        (PLAN.width() / size[0]).min(PLAN.height() / size[1])
    }
}

impl PlanView {
    /// The view that holds all of the ground that is planned and what throws a shadow on
    /// it under one of some suns (unit vectors toward them); names what is too far off.
    pub fn of(venue: &Venue, suns: &[DVec3]) -> (Self, Vec<Far>) {
        Self::holding(venue, suns, [])
    }

    /// The same, wide enough for more points of the local frame.
    pub fn holding(
        venue: &Venue,
        suns: &[DVec3],
        points: impl IntoIterator<Item = DVec3>,
    ) -> (Self, Vec<Far>) {
        let (field, frame) = (&venue.field, venue.field.frame);
        let ground = Extent::of(&field.surrounds, frame);
        let playing = Extent::of(&field.outline, frame);
        let corners = [ground.low, ground.high, playing.low, playing.high];
        let corners = corners.map(|q| FieldPoint::on_ground(q[0], q[1]));
        let all = corners.into_iter().fold(Extent::NOTHING, |e, p| e.with(p, MARGIN_M));
        let limit = MIN_SCALE * all.scale();
        let points = points.into_iter().map(|p| frame.to_field(p));
        let mut extent = points.fold(all, |e, p| e.with(p, POINT_MARGIN_M));
        let mut throwing: Vec<(usize, Vec<DVec3>)> = throwing(venue, suns);
        let reach = |(_, points): &(usize, Vec<DVec3>)| {
            points.iter().map(|p| p.x.hypot(p.y)).fold(0.0, f64::max)
        };
        throwing.sort_by(|a, b| reach(a).total_cmp(&reach(b)));
        let mut far: Vec<Far> = Vec::new();
        let grown = |extent: Extent, points: &[DVec3]| {
            let grown =
                points.iter().fold(extent, |e, p| e.with(frame.to_field(*p), POINT_MARGIN_M));
            (grown.scale() >= limit.min(extent.scale())).then_some(grown)
        };
        let mut shown: Vec<usize> = Vec::new();
        for (index, points) in throwing {
            let name = venue.occluders.get(index).map_or("", |occluder| occluder.name.as_str());
            if let Some(grown) = grown(extent, &points) {
                extent = grown;
                shown.push(index);
            } else if far.iter().all(|f| f.name != name) {
                let middle = points.iter().sum::<DVec3>() / points.len().max(1) as f64;
                far.push(Far { name: name.to_owned(), at: middle });
            }
        }
        // the rest of what is there for its shadow: a bowl is not cut on the side away from it
        shown.dedup();
        for occluder in shown.iter().filter_map(|index| venue.occluders.get(*index)) {
            let bodies = occluder.bodies.iter();
            let points: Vec<DVec3> = bodies.flat_map(|b| extremes(b.shape.points())).collect();
            extent = grown(extent, &points).unwrap_or(extent);
        }
        let mut view = Self {
            frame,
            scale: extent.scale(),
            middle: [0, 1].map(|axis| 0.5 * (extent.low[axis] + extent.high[axis])),
            field: PLAN,
            ground: PLAN,
        };
        view.field = view.box_of(&playing);
        view.ground = view.box_of(&ground);
        (view, far)
    }

    fn box_of(&self, extent: &Extent) -> PxBox {
        let corner = |q: [f64; 2]| self.field_point(FieldPoint::on_ground(q[0], q[1]));
        let (one, other) = (corner(extent.low), corner(extent.high));
        PxBox { left: one[0], top: other[1], right: other[0], bottom: one[1] }
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

    /// The place of the local frame under a point of the drawing.
    pub fn local(&self, at: Px) -> Coord<f64> {
        let [x, y] = PLAN.middle();
        let along = self.middle[0] + (at[0] - x) / self.scale;
        let across = self.middle[1] - (at[1] - y) / self.scale;
        let p = self.frame.to_local(FieldPoint::on_ground(along, across));
        Coord { x: p.x, y: p.y }
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
