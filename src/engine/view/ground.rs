//! The ground in a picture: which is what, and the lines on it.
//!
//! In: the field, once a venue; then places on its plane and how much of it a pixel shows.
//! Out: reflectances for X, Y and Z, and how much of the pixel is line.

use geo::{Coord, LineString};
use rustc_hash::FxHashMap;

use super::colours;
use crate::light::reflectances;
use crate::venue::Field;

/// Width of a line, metres: the most that the Laws of the Game allow (IFAB, Law 1).
const LINE_M: f64 = 0.12;
/// Side of the boxes that lines are listed by, metres.
const BOX_M: f64 = 2.0;

/// The ground and its lines.
pub(super) struct MarkedGround {
    playing_area: LineString<f64>,
    low: Coord<f64>,
    high: Coord<f64>,
    /// Of what is played on, and of the ground around.
    pub reflects: [[f64; 3]; 2],
    pub line: [f64; 3],
    stretches: Vec<LinePiece>,
    listed: FxHashMap<(i32, i32), Vec<u32>>,
}

/// A straight piece of a line: where it begins, its direction and its length, metres.
struct LinePiece {
    from: Coord<f64>,
    along: [f64; 2],
    length_m: f64,
}

impl LinePiece {
    fn new([a, b]: [Coord<f64>; 2]) -> Self {
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let length_m = dx.hypot(dy);
        Self { from: a, along: [dx / length_m, dy / length_m], length_m }
    }
}

impl MarkedGround {
    pub fn new(field: &Field) -> Self {
        let playing_area = field.playing_area.exterior().clone();
        let bounds = playing_area.0.iter().fold(
            (
                Coord { x: f64::INFINITY, y: f64::INFINITY },
                Coord { x: f64::NEG_INFINITY, y: f64::NEG_INFINITY },
            ),
            |(low, high), c| {
                let low = Coord { x: low.x.min(c.x), y: low.y.min(c.y) };
                (low, Coord { x: high.x.max(c.x), y: high.y.max(c.y) })
            },
        );
        let stretches: Vec<[Coord<f64>; 2]> = field
            .markings
            .iter()
            .flat_map(|line| line.0.windows(2).map(|w| [w[0], w[1]]))
            .filter(|[a, b]| a != b)
            .collect();
        let mut listed: FxHashMap<(i32, i32), Vec<u32>> = FxHashMap::default();
        for (index, [a, b]) in stretches.iter().enumerate() {
            // every box along it and those beside
            let length = (b.x - a.x).hypot(b.y - a.y);
            let steps = (length / (0.5 * BOX_M)).ceil().max(1.0) as usize;
            for step in 0..=steps {
                let share = step as f64 / steps as f64;
                let (x, y) = (a.x + share * (b.x - a.x), a.y + share * (b.y - a.y));
                let (i, j) = cell(x, y);
                for key in (-1..=1).flat_map(|u| (-1..=1).map(move |v| (i + u, j + v))) {
                    let of = listed.entry(key).or_default();
                    if of.last() != Some(&(index as u32)) && !of.contains(&(index as u32)) {
                        of.push(index as u32);
                    }
                }
            }
        }
        Self {
            playing_area,
            low: bounds.0,
            high: bounds.1,
            reflects: [
                reflectances(field.surface, field.surface_reflectance),
                reflectances(field.surrounds_surface, field.surrounds_reflectance),
            ],
            line: colours::line(),
            stretches: stretches.into_iter().map(LinePiece::new).collect(),
            listed,
        }
    }

    /// 0 for what is played on, 1 for what lies around.
    pub fn kind(&self, x: f64, y: f64) -> usize {
        if x < self.low.x || y < self.low.y || x > self.high.x || y > self.high.y {
            return 1;
        }
        let crossed = self.playing_area.0.windows(2).filter(|w| {
            let (a, b) = (w[0], w[1]);
            (a.y > y) != (b.y > y) && x < a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y)
        });
        usize::from(crossed.count() % 2 == 0)
    }

    /// Share of a pixel's piece of the ground that is line: `shown` is half of what it shows
    /// of the ground in its two directions, metres.
    pub fn line_share(&self, x: f64, y: f64, shown: impl FnOnce() -> [[f64; 2]; 2]) -> f64 {
        let Some(near) = self.listed.get(&cell(x, y)) else { return 0.0 };
        let [along, across] = shown();
        // no line farther off than that shows in the pixel, whichever way it runs
        let length = |[x, y]: [f64; 2]| (x * x + y * y).sqrt();
        let reach = 0.5 * LINE_M + length(along) + length(across);
        let mut most: f64 = 0.0;
        for index in near {
            let LinePiece { from, along: [ux, uy], length_m } = self.stretches[*index as usize];
            let (dx, dy) = (x - from.x, y - from.y);
            let on = (dx * ux + dy * uy).clamp(0.0, length_m);
            let (dx, dy) = (dx - on * ux, dy - on * uy);
            let away = dx * dx + dy * dy;
            if away >= reach * reach {
                continue;
            }
            let away = away.sqrt();
            let normal = [-uy, ux];
            let over = |half: [f64; 2]| (half[0] * normal[0] + half[1] * normal[1]).abs();
            // half of what the pixel shows across the line
            let pixel = (over(along) + over(across)).max(1e-6);
            let (low, high) = (away - pixel, away + pixel);
            let shown = (high.min(0.5 * LINE_M) - low.max(-0.5 * LINE_M)).max(0.0);
            most = most.max(shown / (2.0 * pixel));
        }
        most.min(1.0)
    }
}

fn cell(x: f64, y: f64) -> (i32, i32) {
    ((x / BOX_M).floor() as i32, (y / BOX_M).floor() as i32)
}
