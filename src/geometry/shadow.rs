//! Shadow on one horizontal plane at one instant.

use geo::{Coord, LineString, MultiPolygon};

use crate::units::Transmittance;

/// Turf and ball: the plane of the field of play, metres.
pub const TURF_HEIGHT_M: f64 = 0.0;
/// A standing player's face, metres (common practice, no source).
pub const FACE_HEIGHT_M: f64 = 1.7;

/// The shadow on the field of play or on all of the ground, on one horizontal plane.
/// Areas and shares are those of the field of play in either case.
#[derive(Debug, Clone)]
pub struct Shadow {
    /// Height of the plane above the field of play, metres.
    pub height_m: f64,
    /// Area of the field of play, m2.
    pub field_area_m2: f64,
    /// Where no direct light arrives.
    pub opaque: MultiPolygon<f64>,
    /// Area of the field of play in `opaque`, m2.
    pub opaque_area_m2: f64,
    /// Where something translucent dims the direct light, without the opaque
    /// part; regions do not overlap.
    pub dimmed: Vec<Dimmed>,
    /// `opaque` and all of `dimmed` joined: everything not in full sun.
    pub shaded: MultiPolygon<f64>,
}

/// A region under translucent occluders only.
#[derive(Debug, Clone)]
pub struct Dimmed {
    /// Product of the transmittances on the way.
    pub transmittance: Transmittance,
    pub region: MultiPolygon<f64>,
    /// Area of the field of play in `region`, m2.
    pub area_m2: f64,
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

impl ShadeShare {
    /// An area without any direct light.
    pub const ALL_SHADE: Self = Self { opaque: 1.0, shaded: 1.0, mean_transmission: 0.0 };

    /// From areas in m2: the whole, the opaque part, and each dimmed part with
    /// its transmittance. Rounding is kept from leaving `0..=1`.
    pub fn from_areas(
        whole_m2: f64,
        opaque_m2: f64,
        dimmed_m2: impl IntoIterator<Item = (Transmittance, f64)>,
    ) -> Self {
        if whole_m2 <= 0.0 {
            return Self { opaque: 0.0, shaded: 0.0, mean_transmission: 1.0 };
        }
        let (mut shaded, mut lost) = (opaque_m2, opaque_m2);
        for (transmittance, area) in dimmed_m2 {
            shaded += area;
            lost += area * (1.0 - transmittance.share());
        }
        // adding zero turns -0.0, the sum of no areas, into 0.0
        let share = |area: f64| (area / whole_m2).clamp(0.0, 1.0) + 0.0;
        Self {
            opaque: share(opaque_m2),
            shaded: share(shaded),
            mean_transmission: 1.0 - share(lost),
        }
    }
}

impl Shadow {
    /// The shadow when no direct sun arrives anywhere: all that is cast on.
    pub fn everywhere(height_m: f64, outline: MultiPolygon<f64>, field_area_m2: f64) -> Self {
        Self {
            height_m,
            field_area_m2,
            opaque: outline.clone(),
            opaque_area_m2: field_area_m2,
            dimmed: Vec::new(),
            shaded: outline,
        }
    }

    /// Share of the whole field of play.
    pub fn field_share(&self) -> ShadeShare {
        let dimmed = self.dimmed.iter().map(|d| (d.transmittance, d.area_m2));
        ShadeShare::from_areas(self.field_area_m2, self.opaque_area_m2, dimmed)
    }

    /// Share of the direct light that arrives at a point that was cast on, local frame (x east, y north).
    pub fn transmission_at(&self, at: Coord<f64>) -> Transmittance {
        if inside(&self.opaque, at) {
            return Transmittance::OPAQUE;
        }
        let under = self.dimmed.iter().find(|d| inside(&d.region, at));
        under.map_or(Transmittance::CLEAR, |d| d.transmittance)
    }
}

/// Even-odd test over all rings at once; enough where only the side matters and
/// a point on the line may go either way.
fn inside(region: &MultiPolygon<f64>, at: Coord<f64>) -> bool {
    let odd = |ring: &LineString<f64>| {
        ring.0
            .windows(2)
            .filter(|w| {
                let (a, b) = (w[0], w[1]);
                (a.y > at.y) != (b.y > at.y)
                    && at.x < a.x + (at.y - a.y) / (b.y - a.y) * (b.x - a.x)
            })
            .count()
    };
    let crossings: usize = region
        .0
        .iter()
        .map(|polygon| odd(polygon.exterior()) + polygon.interiors().iter().map(odd).sum::<usize>())
        .sum();
    crossings % 2 == 1
}
