//! Ready-made fields of play, one file a sport.
//!
//! In: the size that the venue file states, within what the laws allow. Out: an
//! [`Outline`]: boundary, markings, zones and marks in field axes (metres along
//! and across from the centre of play). Each dimension stands beside the law it
//! comes from.

mod cricket;
mod football;
mod hockey;
mod rugby_union;
mod tennis;

use super::model::Sport;

/// A point in field axes, metres: along, across.
pub type Point = [f64; 2];

/// A field of play in field axes.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// Boundary, anticlockwise, not closed.
    pub boundary: Vec<Point>,
    /// Lines to draw.
    pub markings: Vec<Vec<Point>>,
    /// Named polygons, anticlockwise, not closed.
    pub zones: Vec<(String, Vec<Point>)>,
    /// Named points.
    pub marks: Vec<(String, Point)>,
}

/// What sizes the laws allow and what is usual, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sizes {
    pub length: (f64, f64),
    pub width: (f64, f64),
    pub usual: (f64, f64),
    /// Where the limits are written.
    pub law: &'static str,
}

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

/// The field of a sport at a size; `None` where each field has its own.
pub fn outline(sport: Sport, length_m: f64, width_m: f64) -> Option<Outline> {
    match sport {
        Sport::Football => Some(football::outline(length_m, width_m)),
        Sport::RugbyUnion => Some(rugby_union::outline(length_m, width_m)),
        Sport::Tennis => Some(tennis::outline()),
        Sport::Hockey => Some(hockey::outline(length_m, width_m)),
        Sport::Cricket => Some(cricket::outline(length_m, width_m)),
        Sport::Golf | Sport::Free => None,
    }
}

/// The two ends of a field and the sign of `along` there.
const ENDS: [(&str, f64); 2] = [("ahead", 1.0), ("behind", -1.0)];
/// The two sides of a field and the sign of `across` there.
const SIDES: [(&str, f64); 2] = [("left", 1.0), ("right", -1.0)];

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
