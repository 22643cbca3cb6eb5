//! What a camera pans over, as lines on the chart.

use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon, unary_union};
use glam::DVec3;

use crate::base::plane::dashes;
use crate::base::units::{Azimuth, Elevation};
use crate::camera::{Pinhole, sweep};
use crate::output::draw::clip;
use crate::output::draw::palette::REDDISH_PURPLE;
use crate::output::draw::sketch::{Px, Sketch};
use crate::venue::CameraPost;

use super::chart::SkyChart;

/// Points along each side of a frame: its sides are bent on the chart.
const ALONG_SIDE: usize = 12;
/// A frame that is steeper than this holds the zenith or nearly so and has no outline
/// on the chart, degrees.
const MAX_ELEVATION_DEG: f64 = 80.0;

/// Draws the outline of all that the frame passes over; whether any of it is on the
/// chart.
pub(super) fn draw(sketch: &mut Sketch, post: &CameraPost, chart: &SkyChart) -> bool {
    let frames: Vec<Polygon<f64>> = sweep(post)
        .into_iter()
        .filter_map(|axis| frame(&Pinhole::along(post, axis), chart))
        .flat_map(|ring| [-360.0, 0.0, 360.0].map(|by| shifted(&ring, by)))
        .filter(|ring| on_chart(ring, chart))
        .map(|ring| Polygon::new(LineString(ring), Vec::new()))
        .collect();
    let all: MultiPolygon<f64> = unary_union(&frames);
    let limits = rectangle(chart);
    let inside = all.intersection(&limits);
    for ring in all.iter().flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors())) {
        let line: Vec<Px> = ring.0.iter().map(|c| chart.px(c.x, c.y)).collect();
        for piece in clip::line_in(&line, &chart.area) {
            for dash in dashes(&piece, 22.0, 8.0) {
                sketch.stroke(dash, 4, REDDISH_PURPLE);
            }
        }
    }
    !inside.0.is_empty()
}

fn rectangle(chart: &SkyChart) -> Polygon<f64> {
    let (x, low, top) = (chart.half_deg, chart.low_deg, chart.top_deg);
    geo::Rect::new(Coord { x: -x, y: low }, Coord { x, y: top }).to_polygon()
}

fn on_chart(ring: &[Coord<f64>], chart: &SkyChart) -> bool {
    ring.iter().any(|c| c.x >= -chart.half_deg - 90.0 && c.x <= chart.half_deg + 90.0)
}

fn shifted(ring: &[Coord<f64>], by: f64) -> Vec<Coord<f64>> {
    ring.iter().map(|c| Coord { x: c.x + by, y: c.y }).collect()
}

/// A frame as a closed ring: degrees from the middle of the chart, elevation.
fn frame(lens: &Pinhole, chart: &SkyChart) -> Option<Vec<Coord<f64>>> {
    let corners = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0]];
    let side = |pair: &[[f64; 2]]| {
        let [a, b] = [pair[0], pair[1]];
        let along = |i: usize| {
            let share = i as f64 / ALONG_SIDE as f64;
            [0, 1].map(|axis| a[axis] + share * (b[axis] - a[axis]))
        };
        (0..ALONG_SIDE).map(along).collect::<Vec<[f64; 2]>>()
    };
    let points = corners.windows(2).flat_map(side);
    let angles = |toward: DVec3| {
        let flat = toward.x.hypot(toward.y);
        let azimuth = Azimuth::from_degrees(toward.x.atan2(toward.y).to_degrees());
        (chart.turn(azimuth), Elevation::from_degrees(toward.z.atan2(flat).to_degrees()))
    };
    let middle = angles(lens.forward).0;
    let mut ring = Vec::new();
    for [x, y] in points {
        let toward =
            lens.forward + lens.right * (x * lens.half_width) + lens.up * (y * lens.half_height);
        let (turn, elevation) = angles(toward);
        if elevation.degrees().abs() > MAX_ELEVATION_DEG {
            return None;
        }
        // kept together where it crosses the azimuth behind the chart
        let near = middle + (turn - middle + 180.0).rem_euclid(360.0) - 180.0;
        ring.push(Coord { x: near, y: elevation.degrees() });
    }
    let first = *ring.first()?;
    ring.push(first);
    Some(ring)
}
