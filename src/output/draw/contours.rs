//! Contours of ground that is not flat, for plans.
//!
//! In: the relief of a venue and a box of its plan; local frame, metres. Out: lines of equal
//! height over the plane of the field, facet by facet, and how far they are apart.

use geo::{Coord, Line, LineString, MultiLineString, Rect};
use glam::DVec3;
use plotters::style::RGBColor;

use crate::venue::Relief;

/// On the light ground and in shade.
pub(crate) const COLOUR: RGBColor = RGBColor(150, 112, 60);
pub(crate) const WIDTH_PX: u32 = 2;
/// Contours are so far apart, metres: round numbers, as on maps (common practice, no source).
const STEPS_M: [f64; 10] = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];
/// No more of them between the lowest and the highest ground.
const MAX_LINES: f64 = 10.0;
/// The range of heights is looked for at so many places a side.
const PLACES: u32 = 40;

/// The contours of a plan.
pub(crate) struct Contours {
    pub step_m: f64,
    /// By height over the plane of the field, metres, rising.
    pub lines: Vec<(f64, MultiLineString<f64>)>,
}

impl Contours {
    /// Those within a box of the local frame; none where the ground is level there.
    pub fn of(relief: &Relief, within: Rect<f64>) -> Self {
        let [low, high] = range_m(relief, within);
        let step_m =
            STEPS_M.into_iter().find(|step| high - low <= MAX_LINES * step).unwrap_or(200.0);
        let (points, triangles) = relief.triangles();
        let facets: Vec<[DVec3; 3]> = triangles
            .iter()
            .map(|facet| facet.map(|corner| points[corner as usize]))
            .filter(|facet| meets(facet, within))
            .collect();
        let first = (low / step_m).ceil() as i64;
        let last = (high / step_m).floor() as i64;
        let line = |step: i64| {
            // between floats of the file: a level facet at a round height has no contour
            let up_m = step as f64 * step_m;
            let pieces = facets.iter().filter_map(|facet| across(facet, up_m + 1e-6));
            (up_m, MultiLineString(pieces.map(LineString::from).collect()))
        };
        let lines = (first..=last).map(line).filter(|(_, lines)| !lines.0.is_empty());
        Self { step_m, lines: lines.collect() }
    }

    /// "contours every 0.5 m".
    pub fn words(&self) -> String {
        format!("contours every {} m", self.step_m)
    }
}

/// The height of a contour, as plans write it.
pub(crate) fn name(up_m: f64) -> String {
    let text = format!("{:+}", (1000.0 * up_m).round() / 1000.0);
    if up_m.abs() < 5e-4 { "0".to_owned() } else { text.replace('-', "\u{2212}") }
}

/// Lowest and highest ground of a box.
fn range_m(relief: &Relief, within: Rect<f64>) -> [f64; 2] {
    let step = Coord { x: within.width(), y: within.height() } / f64::from(PLACES);
    let places = (0..=PLACES).flat_map(|i| (0..=PLACES).map(move |k| (i, k)));
    let heights = places.map(|(i, k)| {
        let at = within.min() + Coord { x: step.x * f64::from(i), y: step.y * f64::from(k) };
        relief.height_m(at.x, at.y)
    });
    heights.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], up| [low.min(up), high.max(up)])
}

fn meets(facet: &[DVec3; 3], within: Rect<f64>) -> bool {
    let (low, high) = (within.min(), within.max());
    let reach = |of: fn(f64, f64) -> f64, at: fn(&DVec3) -> f64| {
        facet.iter().map(at).reduce(of).unwrap_or(f64::NAN)
    };
    reach(f64::max, |p| p.x) >= low.x
        && reach(f64::min, |p| p.x) <= high.x
        && reach(f64::max, |p| p.y) >= low.y
        && reach(f64::min, |p| p.y) <= high.y
}

/// Where a facet passes a height.
fn across(facet: &[DVec3; 3], up_m: f64) -> Option<Line<f64>> {
    let sides = [0, 1, 2].map(|i| [facet[i], facet[(i + 1) % 3]]);
    let mut ends = sides.iter().filter(|[a, b]| (a.z < up_m) != (b.z < up_m)).map(|[a, b]| {
        let p = *a + (*b - *a) * ((up_m - a.z) / (b.z - a.z));
        Coord { x: p.x, y: p.y }
    });
    Some(Line::new(ends.next()?, ends.next()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A slope of 1 in 10 toward the east: contours run north, 10 m apart for each metre.
    #[test]
    fn contours_of_a_plane_slope_lie_at_their_heights() {
        let corners = [[-50.0, -50.0], [50.0, -50.0], [50.0, 50.0], [-50.0, 50.0]];
        let spots = corners.map(|[x, y]| DVec3::new(x, y, 0.1 * x + 0.03));
        let relief = Relief::through(&spots).unwrap();
        let within = Rect::new(Coord { x: -40.0, y: -40.0 }, Coord { x: 40.0, y: 40.0 });
        let found = Contours::of(&relief, within);
        assert_eq!(found.words(), "contours every 1 m");
        assert_eq!(found.lines.len(), 8);
        for (up_m, lines) in &found.lines {
            let xs = lines.0.iter().flat_map(|line| line.0.iter().map(|c| c.x));
            for x in xs {
                assert!((0.1 * x + 0.03 - up_m).abs() < 1e-5, "{x} {up_m}");
            }
        }
    }

    #[test]
    fn level_ground_has_none() {
        let corners = [[-50.0, -50.0], [50.0, -50.0], [50.0, 50.0], [-50.0, 50.0]];
        let relief = Relief::through(&corners.map(|[x, y]| DVec3::new(x, y, 0.0))).unwrap();
        let within = Rect::new(Coord { x: -40.0, y: -40.0 }, Coord { x: 40.0, y: 40.0 });
        assert!(Contours::of(&relief, within).lines.is_empty());
    }
}
