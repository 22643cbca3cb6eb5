//! Elevations on the left of the chart, azimuths and the field's own directions under
//! it.

use crate::base::units::Azimuth;
use crate::output::draw::palette::{INK, MUTED, RULE};
use crate::output::draw::sketch::{Align, Lettering, Px, Sketch};

use super::chart::SkyChart;

/// Steps of labels, degrees, and the least room between two, pixels.
const AZIMUTHS: [f64; 5] = [10.0, 15.0, 30.0, 45.0, 90.0];
const AZIMUTHS_APART_PX: f64 = 104.0;
const ELEVATIONS: [f64; 5] = [5.0, 10.0, 15.0, 20.0, 30.0];
const ELEVATIONS_APART_PX: f64 = 62.0;
const TEXT: f64 = 24.0;
/// Rows of words under the chart: their middles, pixels.
const AZIMUTH_ROW: f64 = 34.0;
const FIELD_ROW: f64 = 74.0;
/// Words may reach beyond the chart by so much, pixels.
const ROOM_RIGHT: f64 = 30.0;
/// Where the axis ends under the chart, pixels.
pub(super) const HEIGHT: f64 = 100.0;

/// Lines of equal elevation and azimuth, over what stands and under the paths.
pub(super) fn grid(sketch: &mut Sketch, chart: &SkyChart) {
    for elevation in elevations(chart) {
        let (a, b) = (chart.px(-chart.half_deg, elevation), chart.px(chart.half_deg, elevation));
        let level = elevation == 0.0;
        sketch.stroke(vec![a, b], if level { 3 } else { 1 }, if level { MUTED } else { RULE });
    }
    for (turn, _) in azimuths(chart) {
        let line = vec![chart.px(turn, chart.low_deg), chart.px(turn, chart.top_deg)];
        sketch.stroke(line, 1, RULE);
    }
}

/// Ticks and words; `bearing_deg` is that of the field.
pub(super) fn draw(sketch: &mut Sketch, chart: &SkyChart, bearing_deg: f64) {
    sketch.outline(chart.area.ring(), 3, INK);
    for elevation in elevations(chart) {
        let [x, y] = chart.px(-chart.half_deg, elevation);
        sketch.stroke(vec![[x - 10.0, y], [x, y]], 3, INK);
        let right = Lettering::of(TEXT).align(Align::Right);
        sketch.text(format!("{elevation:.0}°"), [x - 18.0, y], right);
    }
    let middle = Lettering::of(TEXT).align(Align::Middle);
    for (turn, azimuth) in azimuths(chart) {
        let [x, y] = chart.px(turn, chart.low_deg);
        sketch.stroke(vec![[x, y], [x, y + 10.0]], 3, INK);
        let word = compass(azimuth);
        let text = format!("{azimuth:.0}°{}{word}", if word.is_empty() { "" } else { " " });
        let lettering = if word.is_empty() { middle } else { middle.bold() };
        // the outermost words stay on the page
        let most = chart.area.right + ROOM_RIGHT - 0.5 * lettering.width(&text);
        sketch.text(text, [x.min(most), y + AZIMUTH_ROW], lettering);
    }
    for (by, word) in [(0.0, "ahead"), (90.0, "right"), (180.0, "behind"), (270.0, "left")] {
        let turn = chart.turn(Azimuth::from_degrees(bearing_deg + by));
        let text = format!("field's {word}");
        let lettering = Lettering::of(TEXT).colour(MUTED).align(Align::Middle);
        let [x, y] = chart.px(turn, chart.low_deg);
        let half = 0.5 * lettering.width(&text);
        let inside = x - half >= chart.area.left && x + half <= chart.area.right;
        if turn.abs() <= chart.half_deg && inside {
            let up: [Px; 3] = [
                [x, y + FIELD_ROW - 26.0],
                [x - 8.0, y + FIELD_ROW - 15.0],
                [x + 8.0, y + FIELD_ROW - 15.0],
            ];
            sketch.fill(up, MUTED);
            sketch.text(text, [x, y + FIELD_ROW + 4.0], lettering);
        }
    }
}

fn step(steps: &[f64], px_per_degree: f64, apart_px: f64) -> f64 {
    let fits = |s: &&f64| **s * px_per_degree >= apart_px;
    steps.iter().find(fits).or(steps.last()).copied().unwrap_or(90.0)
}

fn elevations(chart: &SkyChart) -> Vec<f64> {
    let step = step(&ELEVATIONS, chart.px_per_elevation(), ELEVATIONS_APART_PX);
    let last = (chart.top_deg / step).floor() as i64;
    (0..=last).map(|i| i as f64 * step).collect()
}

/// Degrees from the middle, and the azimuth there.
fn azimuths(chart: &SkyChart) -> Vec<(f64, f64)> {
    let step = step(&AZIMUTHS, chart.px_per_turn(), AZIMUTHS_APART_PX);
    let last = (chart.half_deg / step).floor() as i64;
    let at = |i: i64| {
        let turn = i as f64 * step;
        (turn, (chart.centre_deg + turn).rem_euclid(360.0))
    };
    (-last..=last).map(at).collect()
}

fn compass(azimuth: f64) -> &'static str {
    const WORDS: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    let eighth = azimuth / 45.0;
    if eighth.fract() != 0.0 {
        return "";
    }
    WORDS.get(eighth as usize % WORDS.len()).copied().unwrap_or("")
}
