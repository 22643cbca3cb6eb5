//! From the axes and the unit of a mesh file to field axes.
//!
//! At a turn of 0 the file's x axis runs along the field's bearing. With z up its y
//! axis runs to the left of someone who looks that way; with y up its z axis runs to
//! the right, which is the same model laid on its back. A turn is clockwise as seen
//! from above. Nothing mirrors.

use glam::DVec3;
use schemars::JsonSchema;
use serde::Deserialize;

use crate::base::frame::FieldPoint;

/// The axis of a file that points up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum UpAxis {
    Y,
    Z,
}

/// Where and how a mesh stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeshPlace {
    pub metres_per_unit: f64,
    pub up: UpAxis,
    /// Where the file's origin lies.
    pub at: FieldPoint,
    /// Clockwise as seen from above, degrees.
    pub turned_deg: f64,
}

impl MeshPlace {
    /// A point of the file in field axes.
    ///
    /// ```
    /// use glam::DVec3;
    /// use quarterstop::base::frame::FieldPoint;
    /// use quarterstop::venue::mesh::{MeshPlace, UpAxis};
    /// let at = FieldPoint { along_m: 10.0, across_m: 20.0, up_m: 1.0 };
    /// let mut place = MeshPlace { metres_per_unit: 0.5, up: UpAxis::Y, at, turned_deg: 0.0 };
    /// let seen = |place: MeshPlace| {
    ///     let p = place.to_field(DVec3::new(2.0, 4.0, 6.0));
    ///     [p.along_m, p.across_m, p.up_m].map(|v| v.round())
    /// };
    /// // 1 m along, 2 m up, 3 m to the right
    /// assert_eq!(seen(place), [11.0, 17.0, 3.0]);
    /// // a quarter turn clockwise: along goes to the right, right goes back
    /// place.turned_deg = 90.0;
    /// assert_eq!(seen(place), [7.0, 19.0, 3.0]);
    /// ```
    pub fn to_field(&self, p: DVec3) -> FieldPoint {
        let p = p * self.metres_per_unit;
        let (along, left, up) = match self.up {
            UpAxis::Y => (p.x, -p.z, p.y),
            UpAxis::Z => (p.x, p.y, p.z),
        };
        let (sin, cos) = sin_cos_deg(self.turned_deg);
        FieldPoint {
            along_m: self.at.along_m + along * cos + left * sin,
            across_m: self.at.across_m - along * sin + left * cos,
            up_m: self.at.up_m + up,
        }
    }
}

/// Sine and cosine, exact at whole quarter turns, so that right angles stay right.
fn sin_cos_deg(degrees: f64) -> (f64, f64) {
    match degrees.rem_euclid(360.0) {
        0.0 => (0.0, 1.0),
        90.0 => (1.0, 0.0),
        180.0 => (0.0, -1.0),
        270.0 => (-1.0, 0.0),
        other => other.to_radians().sin_cos(),
    }
}
