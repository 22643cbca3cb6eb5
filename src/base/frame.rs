//! The two frames, the one place that converts between them, and directions in
//! them.
//!
//! * **Local frame** ([`glam::DVec3`]): the local tangent plane, x east, y
//!   north, z up, metres, origin at the centre of play. Right-handed. Every
//!   `DVec3` outside the venue reader, and every `geo` coordinate (x east, y
//!   north), is in this frame. North is true north.
//! * **Field frame** ([`FieldPoint`]): the ground's own axes that a venue file
//!   speaks. `along` runs from the centre of play toward the field's bearing,
//!   `across` runs to the left of someone who looks along the bearing, `up` is
//!   up. Right-handed, metres, same origin.
//!
//! Azimuths are clockwise from true north; magnetic bearings are converted when
//! the file is read.

use geo::Coord;
use glam::DVec3;

use crate::base::units::{Azimuth, Elevation};

/// A point in the field's own axes, metres from the centre of play.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FieldPoint {
    /// Toward the field's bearing.
    pub along_m: f64,
    /// To the left of someone looking along the bearing.
    pub across_m: f64,
    /// Above the field of play.
    pub up_m: f64,
}

impl FieldPoint {
    /// A point on the field of play.
    pub fn on_ground(along_m: f64, across_m: f64) -> Self {
        Self { along_m, across_m, up_m: 0.0 }
    }
}

/// How the field lies in the local frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FieldFrame {
    bearing: Azimuth,
}

impl FieldFrame {
    /// A frame whose `along` axis points to `bearing` (true).
    pub fn new(bearing: Azimuth) -> Self {
        Self { bearing }
    }

    /// The true bearing of the `along` axis.
    pub fn bearing(self) -> Azimuth {
        self.bearing
    }

    /// Field axes to the local frame.
    ///
    /// ```
    /// use quarterstop::base::frame::{FieldFrame, FieldPoint};
    /// use quarterstop::base::units::Azimuth;
    /// // a field whose long axis points due east has its left side to the north
    /// let frame = FieldFrame::new(Azimuth::from_degrees(90.0));
    /// let p = frame.to_local(FieldPoint { along_m: 10.0, across_m: 3.0, up_m: 2.0 });
    /// assert!((p - glam::DVec3::new(10.0, 3.0, 2.0)).length() < 1e-12);
    /// ```
    pub fn to_local(self, p: FieldPoint) -> DVec3 {
        let (sin, cos) = self.bearing.radians().sin_cos();
        DVec3::new(p.along_m * sin - p.across_m * cos, p.along_m * cos + p.across_m * sin, p.up_m)
    }

    /// The local frame back to field axes.
    pub fn to_field(self, p: DVec3) -> FieldPoint {
        let (sin, cos) = self.bearing.radians().sin_cos();
        FieldPoint { along_m: p.x * sin + p.y * cos, across_m: p.y * sin - p.x * cos, up_m: p.z }
    }
}

/// Unit vector toward a direction given by azimuth and elevation.
pub fn direction(azimuth: Azimuth, elevation: Elevation) -> DVec3 {
    let (sin_az, cos_az) = azimuth.radians().sin_cos();
    let (sin_el, cos_el) = elevation.radians().sin_cos();
    DVec3::new(sin_az * cos_el, cos_az * cos_el, sin_el)
}

/// The horizontal part of a point, as a `geo` coordinate (x east, y north).
pub fn plan_view(p: DVec3) -> Coord<f64> {
    Coord { x: p.x, y: p.y }
}

/// Twice the area of a planar ring of corners, as a vector along its normal
/// (Newell's sum): toward the side from which the ring runs anticlockwise.
///
/// ```
/// use glam::DVec3;
/// // a triangle of half a square metre on the ground, seen from above
/// let area = quarterstop::base::frame::area_vector([DVec3::ZERO, DVec3::X, DVec3::Y]);
/// assert_eq!(area, DVec3::Z);
/// ```
pub fn area_vector(ring: impl IntoIterator<Item = DVec3, IntoIter: Clone>) -> DVec3 {
    let ring = ring.into_iter();
    let origin = ring.clone().next().unwrap_or(DVec3::ZERO);
    let pairs = ring.clone().zip(ring.skip(1));
    pairs.map(|(a, b)| (a - origin).cross(b - origin)).sum()
}
