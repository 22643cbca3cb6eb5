//! Ready-made fields of play, one file a sport.
//!
//! In: the size that the venue file states, within what the laws allow. Out: an
//! [`Outline`]: boundary, playing area, markings, zones and marks in field axes
//! (metres along and across from the centre of play). Each dimension stands beside
//! the law it comes from.

mod cricket;
pub(crate) mod football;
mod hockey;
pub(crate) mod rugby_union;
mod tennis;

use crate::venue::model::Sport;

/// A point in field axes, metres: along, across.
pub type Point = [f64; 2];

/// A field of play in field axes.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// Boundary, anticlockwise, not closed.
    pub boundary: Vec<Point>,
    /// Boundary of the playing area, anticlockwise, not closed.
    pub playing_area: Vec<Point>,
    /// Lines to draw.
    pub markings: Vec<Vec<Point>>,
    /// Named polygons, anticlockwise, not closed.
    pub zones: Vec<(String, Vec<Point>)>,
    /// Named points.
    pub marks: Vec<(String, Point)>,
}

/// How far an area reaches beyond another, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beyond {
    /// Beyond both ends.
    pub ends_m: f64,
    /// Beyond both sides.
    pub sides_m: f64,
}

impl Beyond {
    const NOTHING: Self = Self::all_around(0.0);

    /// The same at ends and sides.
    pub const fn all_around(depth_m: f64) -> Self {
        Self { ends_m: depth_m, sides_m: depth_m }
    }
}

/// What sizes the laws allow and what is usual, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizes {
    pub length: (f64, f64),
    pub width: (f64, f64),
    pub usual: (f64, f64),
    /// Where the limits are written.
    pub law: &'static str,
    /// Usually from the field of play to the rim of the playing area.
    pub playing_area: Beyond,
}

/// How far the ground that is planned usually reaches beyond the playing area.
pub fn surrounds(sport: Sport) -> Beyond {
    match sport {
        Sport::Football => football::SURROUNDS,
        Sport::RugbyUnion => rugby_union::SURROUNDS,
        Sport::Tennis => tennis::SURROUNDS,
        Sport::Hockey => hockey::SURROUNDS,
        Sport::Cricket => cricket::SURROUNDS,
        Sport::Golf => GOLF_SURROUNDS,
        Sport::Free => FREE_SURROUNDS,
    }
}

/// Rough and walkways beside what is mown (common practice, no source).
const GOLF_SURROUNDS: Beyond = Beyond::all_around(15.0);
/// What people walk on beside a field (common practice, no source).
const FREE_SURROUNDS: Beyond = Beyond::all_around(5.0);

/// Sizes of a sport with a ready-made outline; `None` where each field has its own.
pub fn sizes(sport: Sport) -> Option<Sizes> {
    match sport {
        Sport::Football => Some(football::SIZES),
        Sport::RugbyUnion => Some(rugby_union::SIZES),
        Sport::Tennis => Some(tennis::SIZES),
        Sport::Hockey => Some(hockey::SIZES),
        Sport::Cricket => Some(cricket::SIZES),
        Sport::Golf | Sport::Free => None,
    }
}

/// The field of a sport at a size, with its usual playing area; `None` where each
/// field has its own.
pub fn outline(sport: Sport, length_m: f64, width_m: f64) -> Option<Outline> {
    outline_with(sport, (length_m, width_m), sizes(sport)?.playing_area)
}

/// The same with a playing area that reaches as far as stated.
pub fn outline_with(
    sport: Sport,
    (length_m, width_m): (f64, f64),
    playing: Beyond,
) -> Option<Outline> {
    match sport {
        Sport::Football => Some(football::outline(length_m, width_m)),
        Sport::RugbyUnion => Some(rugby_union::outline(length_m, width_m, playing)),
        Sport::Tennis => Some(tennis::outline(playing)),
        Sport::Hockey => Some(hockey::outline(length_m, width_m, playing)),
        Sport::Cricket => Some(cricket::outline(length_m, width_m)),
        Sport::Golf | Sport::Free => None,
    }
}

/// Zones that a sport brings where the file says on which side they lie: here on both.
pub fn side_zones(sport: Sport, width_m: f64) -> Vec<(String, Vec<Point>)> {
    match sport {
        Sport::Football => {
            SIDES.into_iter().flat_map(|side| football::technical_areas(width_m, side)).collect()
        }
        _ => Vec::new(),
    }
}

/// The two ends of a field and the sign of `along` there.
const ENDS: [(&str, f64); 2] = [("ahead", 1.0), ("behind", -1.0)];
/// The two sides of a field and the sign of `across` there.
pub(super) const SIDES: [(&str, f64); 2] = [("left", 1.0), ("right", -1.0)];

/// A box around the centre of play, grown.
fn grown_box(length_m: f64, width_m: f64, by: Beyond) -> Vec<Point> {
    let (x, y) = (length_m / 2.0 + by.ends_m, width_m / 2.0 + by.sides_m);
    rectangle([-x, -y], [x, y])
}

/// The four strips between a box around the centre of play and the same box grown:
/// those at the ends as wide as the field, those at the sides as long as all of it.
/// Strips without depth are left out.
fn strips(
    (length_m, width_m): (f64, f64),
    by: Beyond,
    (at_ends, at_sides): (&str, &str),
) -> Vec<(String, Vec<Point>)> {
    let (x, y) = (length_m / 2.0, width_m / 2.0);
    let (far_x, far_y) = (x + by.ends_m, y + by.sides_m);
    let end = |(end, sign): (&str, f64)| {
        (format!("{at_ends} {end}"), rectangle([sign * x, -y], [sign * far_x, y]))
    };
    let side = |(side, sign): (&str, f64)| {
        (format!("{at_sides} {side}"), rectangle([-far_x, sign * y], [far_x, sign * far_y]))
    };
    let ends = ENDS.map(end).into_iter().filter(|_| by.ends_m > 0.0);
    ends.chain(SIDES.map(side).into_iter().filter(|_| by.sides_m > 0.0)).collect()
}

/// A rectangle between two corners, anticlockwise.
fn rectangle(a: Point, b: Point) -> Vec<Point> {
    let (x0, x1) = (a[0].min(b[0]), a[0].max(b[0]));
    let (y0, y1) = (a[1].min(b[1]), a[1].max(b[1]));
    vec![[x0, y0], [x1, y0], [x1, y1], [x0, y1]]
}

/// A ring as a closed line to draw.
fn closed(ring: &[Point]) -> Vec<Point> {
    ring.iter().chain(ring.first()).copied().collect()
}

/// A circular arc as a line, at most 5 degrees a piece; degrees anticlockwise
/// from the bearing.
fn arc(centre: Point, radius_m: f64, from_deg: f64, to_deg: f64) -> Vec<Point> {
    let pieces = ((to_deg - from_deg).abs() / 5.0).ceil().max(1.0) as usize;
    (0..=pieces)
        .map(|i| {
            let angle = (from_deg + (to_deg - from_deg) * i as f64 / pieces as f64).to_radians();
            [centre[0] + radius_m * angle.cos(), centre[1] + radius_m * angle.sin()]
        })
        .collect()
}

/// The two halves of a rectangular field.
fn halves(length_m: f64, width_m: f64) -> Vec<(String, Vec<Point>)> {
    let half = |(name, sign): (&str, f64)| {
        let ring = rectangle([0.0, -width_m / 2.0], [sign * length_m / 2.0, width_m / 2.0]);
        (format!("half {name}"), ring)
    };
    ENDS.map(half).to_vec()
}
