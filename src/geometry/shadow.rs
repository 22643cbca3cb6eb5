//! Shadow on one horizontal plane at one instant.

use geo::{Coord, LineString, MultiPolygon};

use crate::base::units::Transmittance;

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

/// A shadow that many places ask for light: the sides of its regions by the rows they cross,
/// so that a place is compared with few of them. The same answers as
/// [`Shadow::transmission_at`], whatever the place.
#[derive(Debug, Clone)]
pub struct ShadowRows {
    opaque: Rows,
    dimmed: Vec<(Transmittance, Rows)>,
}

impl ShadowRows {
    /// Sorts the sides; worth it from a few dozen places on.
    pub fn of(shadow: &Shadow) -> Self {
        let dimmed = shadow.dimmed.iter().map(|d| (d.transmittance, Rows::of(&d.region)));
        Self { opaque: Rows::of(&shadow.opaque), dimmed: dimmed.collect() }
    }

    /// Share of the direct light that arrives at a point that was cast on, local frame (x
    /// east, y north).
    pub fn transmission_at(&self, at: Coord<f64>) -> Transmittance {
        if self.opaque.hold(at) {
            return Transmittance::OPAQUE;
        }
        let under = self.dimmed.iter().find(|(_, rows)| rows.hold(at));
        under.map_or(Transmittance::CLEAR, |(transmittance, _)| *transmittance)
    }
}

/// Rows that a region is cut into at most.
const MAX_ROWS: usize = 2_048;

/// Sides of a region, row by row from the lowest y.
#[derive(Debug, Clone)]
struct Rows {
    lowest: f64,
    rows_per_m: f64,
    /// Where the sides of each row begin, and the end of the last.
    starts: Vec<u32>,
    sides: Vec<[Coord<f64>; 2]>,
}

impl Rows {
    fn of(region: &MultiPolygon<f64>) -> Self {
        // a level side is crossed by no line to the side
        let sides = || {
            let rings = region.0.iter().flat_map(|p| p.interiors().iter().chain([p.exterior()]));
            rings.flat_map(|r| r.0.windows(2)).map(|w| [w[0], w[1]]).filter(|[a, b]| a.y != b.y)
        };
        let ends = || sides().flatten().map(|p| p.y);
        let lowest = ends().fold(f64::INFINITY, f64::min);
        let highest = ends().fold(f64::NEG_INFINITY, f64::max);
        let count = sides().count().clamp(1, MAX_ROWS);
        let height = (highest - lowest).max(f64::MIN_POSITIVE);
        let mut rows = Self {
            lowest,
            rows_per_m: count as f64 / height,
            starts: vec![0; count + 1],
            sides: Vec::new(),
        };
        let span =
            |rows: &Self, [a, b]: [Coord<f64>; 2]| rows.row(a.y.min(b.y))..=rows.row(a.y.max(b.y));
        for side in sides() {
            span(&rows, side).for_each(|row| rows.starts[row + 1] += 1);
        }
        for row in 0..count {
            rows.starts[row + 1] += rows.starts[row];
        }
        let mut next = rows.starts.clone();
        rows.sides = vec![[Coord { x: 0.0, y: 0.0 }; 2]; rows.starts[count] as usize];
        for side in sides() {
            for row in span(&rows, side) {
                rows.sides[next[row] as usize] = side;
                next[row] += 1;
            }
        }
        rows
    }

    /// The row of a height; the nearest one outside of all.
    fn row(&self, y: f64) -> usize {
        let row = ((y - self.lowest) * self.rows_per_m) as usize;
        row.min(self.starts.len() - 2)
    }

    /// Even-odd test as [`inside`].
    fn hold(&self, at: Coord<f64>) -> bool {
        let row = self.row(at.y);
        let sides = self.starts[row] as usize..self.starts[row + 1] as usize;
        let crossed = self.sides[sides].iter().filter(|[a, b]| crosses(*a, *b, at));
        crossed.count() % 2 == 1
    }
}

/// Whether a line from a place toward greater x crosses a side.
fn crosses(a: Coord<f64>, b: Coord<f64>, at: Coord<f64>) -> bool {
    (a.y > at.y) != (b.y > at.y) && at.x < a.x + (at.y - a.y) / (b.y - a.y) * (b.x - a.x)
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
    let odd =
        |ring: &LineString<f64>| ring.0.windows(2).filter(|w| crosses(w[0], w[1], at)).count();
    let crossings: usize = region
        .0
        .iter()
        .map(|polygon| odd(polygon.exterior()) + polygon.interiors().iter().map(odd).sum::<usize>())
        .sum();
    crossings % 2 == 1
}

#[cfg(test)]
mod tests {
    use geo::{Polygon, Translate};

    use super::*;

    /// A star of many corners with a hole, twice.
    fn stars() -> MultiPolygon<f64> {
        let ring = |from: usize, radius: f64| {
            let corner = |i: usize| {
                let (sin, cos) = (i as f64 * 0.71 + from as f64).sin_cos();
                let r = radius * (1.0 + 0.4 * ((i * 7 + from) as f64).sin());
                Coord { x: r * cos, y: r * sin }
            };
            LineString::from((0..9).map(corner).collect::<Vec<_>>())
        };
        let star = Polygon::new(ring(0, 20.0), vec![ring(3, 6.0)]);
        MultiPolygon(vec![star.clone(), star.translate(31.0, 7.0)])
    }

    #[test]
    fn rows_answer_as_the_regions_do() {
        let region = stars();
        let corners: Vec<Coord<f64>> =
            region.0.iter().flat_map(|p| p.exterior().0.clone()).collect();
        let shadow = Shadow {
            height_m: 0.0,
            field_area_m2: 1.0,
            opaque: MultiPolygon(vec![region.0[0].clone()]),
            opaque_area_m2: 0.0,
            dimmed: vec![Dimmed {
                transmittance: Transmittance::from_share(0.4),
                region: region.clone(),
                area_m2: 0.0,
            }],
            shaded: region,
        };
        let rows = ShadowRows::of(&shadow);
        let grid = (0..90).flat_map(|i| {
            (0..70).map(move |j| Coord { x: f64::from(i) - 35.0, y: f64::from(j) * 0.9 - 30.0 })
        });
        let mut met = [0; 3];
        for at in grid.chain(corners) {
            let expected = shadow.transmission_at(at);
            assert_eq!(rows.transmission_at(at), expected, "{at:?}");
            met[match expected {
                Transmittance::OPAQUE => 0,
                Transmittance::CLEAR => 1,
                _ => 2,
            }] += 1;
        }
        assert!(met.iter().all(|&n| n > 50), "{met:?}");
    }

    #[test]
    fn no_shadow_has_no_rows_to_look_in() {
        let none = Shadow::everywhere(0.0, MultiPolygon(Vec::new()), 0.0);
        let at = Coord { x: 1.0, y: -2.0 };
        assert_eq!(ShadowRows::of(&none).transmission_at(at), Transmittance::CLEAR);
    }
}
