//! Panels of the light on the turf: how much, of what colour, how far apart.

use crate::engine::Instant;
use crate::jobs::match_plan::picture::timeline::axis::ValueScale;
use crate::jobs::match_plan::picture::timeline::chart::{TimelineChart, runs};
use crate::jobs::match_plan::picture::timeline::scene::{Label, Pen, Rect, TimelineScene};
use crate::jobs::match_plan::picture::timeline::{SMALL_PX, moments};
use crate::light::{FloodlightState, Trims, Tristimulus};
use crate::output::draw::palette;
use crate::output::words;

use super::{draw_lines, headed, lines};

const ILLUMINANCE_PX: f64 = 250.0;
const COLOUR_PX: f64 = 200.0;
const TRIMS_PX: f64 = 130.0;
/// Stops of illuminance count from here, lx: whole lines fall on 1000, 2000, 4000.
const STOP_ZERO_LX: f64 = 1000.0;
/// Between lines of the colour panel, mired, and its narrowest range.
const MIRED_STEP: f64 = 50.0;
const MIN_MIREDS: f64 = 150.0;
/// The bar that tells lit floodlights, pixels.
const LAMPS_PX: f64 = 16.0;

/// In full sun; told from shade in grey print by its rim.
pub(super) const SUN: [Pen; 2] = [Pen::solid(palette::BLACK, 9), Pen::solid(palette::YELLOW, 5)];
pub(super) const SHADE: [Pen; 1] = [Pen::solid(palette::BLUE, 6)];
pub(super) const CLOUD: [Pen; 1] = [Pen::broken(palette::MUTED, 3, 12.0, 8.0)];
pub(super) const RED: [Pen; 1] = [Pen::solid(palette::VERMILLION, 6)];
/// A double line, told from red in grey print.
pub(super) const BLUE: [Pen; 2] = [Pen::solid(palette::BLUE, 8), Pen::solid(palette::PAPER, 3)];
const ZERO: Pen = Pen::solid(palette::MUTED, 2);

/// Light on the turf; gives the panel's bottom.
pub(super) fn illuminance(scene: &mut TimelineScene, chart: &TimelineChart, top: f64) -> f64 {
    let surface = chart.venue.field.surface.name();
    let what = format!("Light on the {surface}, mean over the field: one line is one stop");
    let panel = moments::head(scene, chart, top, &what, ILLUMINANCE_PX);
    let stops = |lux: f64| (lux > 0.0).then(|| (lux / STOP_ZERO_LX).log2());
    let in_sun = |i: &Instant| stops(i.field_light.in_sun?.lux());
    let in_shade = |i: &Instant| stops(i.field_light.in_shade.lux());
    let cloud = |i: &Instant| stops(i.field_light.under_cloud?.lux());
    let all = chart.plan.instants.iter().flat_map(|i| [in_sun(i), in_shade(i), cloud(i)]);
    let scale = whole_scale(all.flatten(), 4.0, &[1.0, 2.0, 4.0], ILLUMINANCE_PX);
    frame(scene, chart, &panel, &scale, "lx", |v| lux_text(STOP_ZERO_LX * v.exp2()));
    floodlight(scene, chart, &panel);
    let y = |v: f64| scale.y(v, &panel);
    draw_lines(scene, &lines(chart, cloud, y), &CLOUD);
    draw_lines(scene, &lines(chart, in_shade, y), &SHADE);
    draw_lines(scene, &lines(chart, in_sun, y), &SUN);
    moments::names_inside(scene, chart, &panel);
    panel.bottom
}

/// Colour of that light; gives the panel's bottom.
pub(super) fn colour(scene: &mut TimelineScene, chart: &TimelineChart, top: f64) -> f64 {
    let what = "Colour of that light: correlated colour temperature, bluer upward";
    let panel = headed(scene, chart, top, what, COLOUR_PX);
    let bluer = |light: Tristimulus| words::colour(light).map(|t| -t.mired());
    let in_sun = |i: &Instant| bluer(i.field_light.in_sun?);
    let in_shade = |i: &Instant| bluer(i.field_light.in_shade);
    let cloud = |i: &Instant| bluer(i.field_light.under_cloud?);
    let all = chart.plan.instants.iter().flat_map(|i| [in_sun(i), in_shade(i), cloud(i)]);
    let (low, high) = range(all.flatten()).unwrap_or((-200.0, -100.0));
    let min = MIRED_STEP * (low / MIRED_STEP).floor();
    let max = (MIRED_STEP * (high / MIRED_STEP).ceil()).max(min + MIN_MIREDS).min(0.0);
    let steps = [MIRED_STEP, 2.0 * MIRED_STEP, 4.0 * MIRED_STEP];
    let scale = ValueScale::round(min, max, &steps, COLOUR_PX, 40.0);
    frame(scene, chart, &panel, &scale, "K", |v| match v {
        v if v > -1.0 => "\u{221e}".to_owned(),
        v => thousands((-1e6 / v / 100.0).round() * 100.0),
    });
    let y = |v: f64| scale.y(v, &panel);
    draw_lines(scene, &lines(chart, cloud, y), &CLOUD);
    draw_lines(scene, &lines(chart, in_shade, y), &SHADE);
    draw_lines(scene, &lines(chart, in_sun, y), &SUN);
    panel.bottom
}

/// Gain trims between the sides; gives the panel's bottom.
pub(super) fn trims(scene: &mut TimelineScene, chart: &TimelineChart, top: f64) -> f64 {
    let what = "Gain trims in shade, against green, for a camera balanced to the sunlit side";
    let panel = headed(scene, chart, top, what, TRIMS_PX);
    let trims = |i: &Instant| Trims::between(i.field_light.in_sun?, i.field_light.in_shade);
    let red = |i: &Instant| trims(i).map(|t| t.red);
    let blue = |i: &Instant| trims(i).map(|t| t.blue);
    let all = chart.plan.instants.iter().flat_map(|i| [red(i), blue(i)]).flatten();
    let (low, high) = range(all).unwrap_or((0.0, 0.0));
    let half = |v: f64| 0.5 * (2.0 * v).ceil();
    let (min, max) = (-half(-low).max(0.5), half(high).max(0.5));
    let scale = ValueScale::round(min, max, &[0.5, 1.0, 2.0, 4.0], TRIMS_PX, 34.0);
    frame(scene, chart, &panel, &scale, "stops", |v| signed(v, 1));
    let zero = scale.y(0.0, &panel);
    scene.line(&[(panel.left, zero), (panel.right, zero)], ZERO);
    let y = |v: f64| scale.y(v, &panel);
    draw_lines(scene, &lines(chart, blue, y), &BLUE);
    draw_lines(scene, &lines(chart, red, y), &RED);
    empty(scene, chart, &panel, |i| trims(i).is_some());
    panel.bottom
}

/// The content in words, for those who hear it.
pub(super) fn description(chart: &TimelineChart) -> String {
    let at = |i: &Instant| {
        let told = |light: Tristimulus| {
            let kelvin = words::colour(light).map_or(String::new(), |t| {
                format!(" at {} K", thousands((t.kelvin / 100.0).round() * 100.0))
            });
            format!("{} lx{kelvin}", lux_text(light.lux()))
        };
        let sun = i
            .field_light
            .in_sun
            .map_or("no direct sun".to_owned(), |l| format!("in full sun {}", told(l)));
        let shade = told(i.field_light.in_shade);
        format!("{}: {sun}, in shade {shade}", i.at.format("%H:%M"))
    };
    format!(
        "Light on the {}. {}; {}.",
        chart.venue.field.surface.name(),
        at(chart.first),
        at(chart.last)
    )
}

/// Hatching, grid, scale and frame.
pub(super) fn frame(
    scene: &mut TimelineScene,
    chart: &TimelineChart,
    panel: &Rect,
    scale: &ValueScale,
    unit: &str,
    text: impl Fn(f64) -> String,
) {
    chart.hatch(scene, panel);
    chart.grid(scene, panel);
    chart.scale(scene, panel, scale, unit, text);
    chart.close(scene, panel);
}

/// Says that a panel is empty for want of direct sun, where it is.
pub(super) fn empty(
    scene: &mut TimelineScene,
    chart: &TimelineChart,
    panel: &Rect,
    has: impl Fn(&Instant) -> bool,
) {
    if chart.plan.instants.iter().any(has) {
        return;
    }
    let baseline = 0.5 * (panel.top + panel.bottom) + 0.36 * SMALL_PX;
    let label = Label::new("no direct sun at any time", panel.left + 30.0, baseline, SMALL_PX);
    let bounds = label.bounds();
    scene.fill(
        Rect { left: bounds.left - 10.0, right: bounds.right + 10.0, ..bounds },
        palette::PAPER,
    );
    scene.text(label);
}

/// A bar at the foot of the panel while floodlights are lit.
fn floodlight(scene: &mut TimelineScene, chart: &TimelineChart, panel: &Rect) {
    let lit: Vec<bool> =
        chart.plan.instants.iter().map(|i| i.floodlight == FloodlightState::Lit).collect();
    for (_, range) in runs(&lit).into_iter().filter(|(lit, _)| *lit) {
        let ends = (chart.spans.get(range.start), chart.spans.get(range.end - 1));
        if let (Some(first), Some(last)) = ends {
            floodlight_bar(scene, first.left, last.right, panel.bottom);
        }
    }
}

/// The bar of lit floodlights between two places.
pub(super) fn floodlight_bar(scene: &mut TimelineScene, left: f64, right: f64, bottom: f64) {
    let bar = Rect { left, top: bottom - LAMPS_PX, right, bottom };
    scene.fill(bar, palette::ORANGE);
    scene.frame(bar, Pen::solid(palette::INK, 2));
}

fn range(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    values.fold(None, |range, v| match range {
        None => Some((v, v)),
        Some((low, high)) => Some((v.min(low), v.max(high))),
    })
}

/// A scale from whole stop to whole stop, at least so many stops high.
pub(super) fn whole_scale(
    values: impl Iterator<Item = f64>,
    least: f64,
    steps: &[f64],
    height_px: f64,
) -> ValueScale {
    let (low, high) = range(values).unwrap_or((0.0, least));
    let min = low.floor();
    ValueScale::round(min, high.ceil().max(min + least), steps, height_px, 30.0)
}

/// Rounded to what the model is good for.
fn lux_text(lux: f64) -> String {
    match lux {
        l if l >= 100.0 => thousands(l.round()),
        l if l >= 1.0 => format!("{l:.0}"),
        l => format!("{l:.2}"),
    }
}

/// A whole number with a space between thousands.
fn thousands(number: f64) -> String {
    let digits = format!("{number:.0}");
    let count = digits.len();
    digits
        .chars()
        .enumerate()
        .flat_map(|(i, c)| {
            let gap = i > 0 && (count - i).is_multiple_of(3) && c.is_ascii_digit();
            gap.then_some('\u{a0}').into_iter().chain([c])
        })
        .collect()
}

/// With a sign, and a real minus.
fn signed(value: f64, decimals: usize) -> String {
    match value {
        v if v > 0.0 => format!("+{v:.decimals$}"),
        v if v < 0.0 => format!("\u{2212}{:.decimals$}", -v),
        _ => "0".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_grouped_and_signed() {
        assert_eq!(thousands(1_234_567.0), "1\u{a0}234\u{a0}567");
        assert_eq!(thousands(999.0), "999");
        assert_eq!(signed(-0.5, 1), "\u{2212}0.5");
        assert_eq!(signed(0.0, 1), "0");
        assert_eq!(lux_text(0.34), "0.34");
    }
}
