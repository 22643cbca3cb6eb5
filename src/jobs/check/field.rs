//! Suspicions about a free outline and the axes it is stated in.

use geo::{LineString, MinimumRotatedRect, Polygon};

use crate::venue::{Sport, Venue};

use super::Suspicion;

/// A field whose sides differ by less has no long side.
const LONGER_BY: f64 = 1.15;
/// A long side may lie off the bearing by this much, degrees.
const OFF_DEG: f64 = 10.0;
/// The middle of the outline may be off the centre of play by this share of its long
/// side, and by this many metres.
const OFF_SHARE: f64 = 0.02;
const OFF_M: f64 = 1.0;

pub(super) fn suspicions(venue: &Venue) -> Vec<Suspicion> {
    if venue.field.sport != Sport::Free {
        return Vec::new();
    }
    let outline = in_field_axes(venue);
    let Some((long, short)) = sides(&outline) else { return Vec::new() };
    let (long_m, short_m) = (long[0].hypot(long[1]), short);
    let mut found = Vec::new();
    // between 0 and 90 degrees, since a side has no direction
    let off_deg = long[1].abs().atan2(long[0].abs()).to_degrees();
    if long_m >= LONGER_BY * short_m && off_deg > OFF_DEG {
        found.push(Suspicion::LongSideOffBearing { off_deg, long_m, short_m });
    }
    let [along_m, across_m] = [0, 1].map(|axis| middle(&outline, axis));
    if along_m.hypot(across_m) > OFF_M.max(OFF_SHARE * long_m) {
        found.push(Suspicion::OffCentre { along_m, across_m });
    }
    found
}

fn in_field_axes(venue: &Venue) -> Polygon<f64> {
    let point = |c: &geo::Coord<f64>| {
        let p = venue.field.frame.to_field(glam::DVec3::new(c.x, c.y, 0.0));
        (p.along_m, p.across_m)
    };
    let ring: LineString<f64> = venue.field.outline.exterior().0.iter().map(point).collect();
    Polygon::new(ring, Vec::new())
}

/// The long side of the smallest rectangle around the outline, and the length of the
/// short one.
fn sides(outline: &Polygon<f64>) -> Option<([f64; 2], f64)> {
    let rectangle = outline.minimum_rotated_rect()?;
    let corners = &rectangle.exterior().0;
    let side = |i: usize| {
        let (a, b) = (corners.get(i)?, corners.get(i + 1)?);
        Some([b.x - a.x, b.y - a.y])
    };
    let (a, b) = (side(0)?, side(1)?);
    let length = |v: [f64; 2]| v[0].hypot(v[1]);
    Some(if length(a) >= length(b) { (a, length(b)) } else { (b, length(a)) })
}

/// Half way between the ends of the outline along an axis.
fn middle(outline: &Polygon<f64>, axis: usize) -> f64 {
    let values = outline.exterior().0.iter().map(|c| if axis == 0 { c.x } else { c.y });
    let ends = values.fold(None, |ends: Option<(f64, f64)>, v| {
        Some(ends.map_or((v, v), |(low, high)| (low.min(v), high.max(v))))
    });
    ends.map_or(0.0, |(low, high)| 0.5 * (low + high))
}
