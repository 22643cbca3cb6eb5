//! Shadow on one horizontal plane at one instant.

use geo::MultiPolygon;

use crate::units::Transmittance;

/// Turf and ball: the plane of the field of play, metres.
pub const TURF_HEIGHT_M: f64 = 0.0;
/// A standing player's face, metres.
pub const FACE_HEIGHT_M: f64 = 1.7;

/// The shadow on the field of play, on one horizontal plane.
#[derive(Debug, Clone)]
pub struct Shadow {
    /// Height of the plane above the field of play, metres.
    pub height_m: f64,
    /// Where no direct light arrives.
    pub opaque: MultiPolygon<f64>,
    /// Where something translucent dims the direct light, without the opaque
    /// part; regions do not overlap.
    pub dimmed: Vec<Dimmed>,
}

/// A region under translucent occluders only.
#[derive(Debug, Clone)]
pub struct Dimmed {
    /// Product of the transmittances on the way.
    pub transmittance: Transmittance,
    pub region: MultiPolygon<f64>,
}

/// How much of an area the shadow takes. Shares of the area, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShadeShare {
    /// Without any direct light.
    pub opaque: f64,
    /// Opaque and dimmed together: everything that is not in full sun.
    pub shaded: f64,
    /// Mean share of the direct light that arrives over the area.
    pub mean_transmission: f64,
}
