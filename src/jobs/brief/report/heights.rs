//! Heights of ground that is not flat, for the camera's-eye view of the interactive page.
//!
//! In: a venue. Out: heights over the plane of the field at the points of a grid in field axes,
//! metres; between them the page takes the mean by nearness. The view is a sketch: the plan and
//! all that is worked out stand on the relief itself.

use serde::Serialize;

use crate::base::frame::{FieldPoint, plan_view};
use crate::geometry::Terrain;
use crate::venue::Venue;

/// Points of the grid along the longer side of the ground.
const POINTS: f64 = 64.0;
/// No nearer to each other than this, metres.
const MIN_STEP_M: f64 = 1.0;

/// A grid of heights.
#[derive(Debug, Serialize)]
pub(super) struct HeightsData {
    /// Its first point, along and across, metres.
    from: [f64; 2],
    step_m: f64,
    /// Points of a row along the field.
    columns: usize,
    /// Row by row, whole centimetres.
    up_cm: Vec<i32>,
}

/// Over the ground that is planned; `None` where that is the plane of the field.
pub(super) fn heights(venue: &Venue, surrounds: &[[f64; 2]]) -> Option<HeightsData> {
    let terrain = Terrain::of(venue);
    if terrain.is_level() {
        return None;
    }
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for (axis, value) in surrounds.iter().flat_map(|point| point.iter().copied().enumerate()) {
        low[axis] = low[axis].min(value);
        high[axis] = high[axis].max(value);
    }
    let sides = [0, 1].map(|axis| high[axis] - low[axis]);
    let step_m = (sides[0].max(sides[1]) / POINTS).max(MIN_STEP_M);
    if !step_m.is_finite() {
        return None;
    }
    let [columns, rows] = sides.map(|side| (side / step_m).ceil() as usize + 1);
    let height_cm = |row: usize, column: usize| {
        let [along, across] = [column, row].map(|i| step_m * i as f64);
        let at = FieldPoint::on_ground(low[0] + along, low[1] + across);
        let at = plan_view(venue.field.frame.to_local(at));
        (100.0 * terrain.at([at.x, at.y]).z).round() as i32
    };
    let up_cm = (0..rows).flat_map(|row| (0..columns).map(move |column| (row, column)));
    let up_cm = up_cm.map(|(row, column)| height_cm(row, column)).collect();
    Some(HeightsData { from: low, step_m, columns, up_cm })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The grid has the heights that the file states where it states them, to half a step of
    /// the steepest slope, and a level ground has none.
    #[test]
    fn the_grid_follows_the_heights_of_the_file() {
        let read = |name: &str| {
            let file = format!("{}/venues/{name}.toml", env!("CARGO_MANIFEST_DIR"));
            crate::venue::read(std::path::Path::new(&file)).unwrap()
        };
        let rim = [[-80.0, -50.0], [80.0, -50.0], [80.0, 50.0], [-80.0, 50.0]];
        assert!(heights(&read("football-demo"), &rim).is_none());
        let ground = read("relief-demo");
        let grid = heights(&ground, &rim).unwrap();
        assert_eq!((grid.from, grid.step_m, grid.columns), ([-80.0, -50.0], 2.5, 65));
        assert_eq!(grid.up_cm.len(), 65 * 41);
        let terrain = Terrain::of(&ground);
        for (index, up_cm) in grid.up_cm.iter().enumerate() {
            let (along, across) = ((index % 65) as f64, (index / 65) as f64);
            let at = FieldPoint::on_ground(-80.0 + 2.5 * along, -50.0 + 2.5 * across);
            let at = ground.field.frame.to_local(at);
            assert!((terrain.at([at.x, at.y]).z - 0.01 * f64::from(*up_cm)).abs() <= 0.005 + 1e-9);
        }
        let highest = grid.up_cm.iter().max().unwrap() - grid.up_cm.iter().min().unwrap();
        assert!(highest > 50, "{highest} cm from the lowest to the highest");
    }
}
