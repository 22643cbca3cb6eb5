//! The profile across an edge: stops against metres.

use crate::jobs::match_plan::picture::field::layout::PlanView;
use crate::jobs::match_plan::{EdgeProfile, LightMap};
use crate::output::draw::palette::{INK, MUTED, PAPER, RULE, VERMILLION};
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};

use super::words;

/// Half the length of the line that marks the place, pixels.
const PLACE_PX: f64 = 34.0;
const LINE_PX: u32 = 5;

/// Marks where the profile crosses the edge.
pub(crate) fn place(sketch: &mut Sketch, view: &PlanView, profile: &EdgeProfile) {
    sample(sketch, view.coord(profile.at));
}

/// The mark of the place: a lying cross.
pub(crate) fn sample(sketch: &mut Sketch, [x, y]: Px) {
    let arm = 0.35 * PLACE_PX;
    let arms = [[[x - arm, y - arm], [x + arm, y + arm]], [[x - arm, y + arm], [x + arm, y - arm]]];
    for line in arms {
        sketch.stroke(line, 9, PAPER);
    }
    for line in arms {
        sketch.stroke(line, 5, VERMILLION);
    }
}

/// The chart, or a word about why there is none.
pub(crate) fn chart(sketch: &mut Sketch, map: &LightMap, area: &PxBox) {
    let bold = Lettering::of(27.0).bold();
    sketch.text("Across the edge", [area.left, area.top + 14.0], bold);
    let muted = Lettering::of(25.0).colour(MUTED);
    let Some(profile) = map.profile.as_ref().filter(|p| p.points.len() > 1) else {
        sketch.text("no edge on the field", [area.left, area.top + 56.0], muted);
        return;
    };
    let width = words::metres_text(profile.penumbra_m);
    let soft = format!("soft over {width} m, shade on the left");
    sketch.text(soft, [area.left, area.top + 54.0], muted);
    let panel = PxBox {
        left: area.left + 96.0,
        top: area.top + 92.0,
        right: area.right - 20.0,
        bottom: area.bottom - 92.0,
    };
    draw(sketch, profile, &panel);
}

fn draw(sketch: &mut Sketch, profile: &EdgeProfile, panel: &PxBox) {
    let text = Lettering::of(25.0);
    // across a narrow strip of sun the sunlit end, which they count from, is not the top
    let all = || profile.points.iter().map(|p| p.stops.stops());
    let brightest = all().fold(0.0, f64::max);
    let lowest = all().fold(0.0, f64::min) - brightest;
    let low = (lowest - 0.05).floor().min(-1.0);
    let reach = profile.points.iter().map(|p| p.metres.abs()).fold(0.0, f64::max);
    let x = |metres: f64| panel.left + (metres / reach + 1.0) * 0.5 * panel.width();
    let y = |stops: f64| panel.top + stops / low * panel.height();
    let step = if low < -5.0 { 2.0 } else { 1.0 };
    let mut stops = 0.0;
    while stops >= low - 1e-9 {
        sketch.stroke([[panel.left, y(stops)], [panel.right, y(stops)]], 1, RULE);
        let at = [panel.left - 14.0, y(stops)];
        sketch.text(words::stops_text(stops), at, text.align(Align::Right));
        stops -= step;
    }
    for metres in marks(reach) {
        sketch.stroke([[x(metres), panel.top], [x(metres), panel.bottom]], 1, RULE);
        let at = [x(metres), panel.bottom + 24.0];
        sketch.text(words::metres_text(metres), at, text.align(Align::Middle));
    }
    sketch.outline(panel.ring(), 2, INK);
    let line: Vec<Px> =
        profile.points.iter().map(|p| [x(p.metres), y(p.stops.stops() - brightest)]).collect();
    sketch.stroke(line, LINE_PX, VERMILLION);
    let muted = text.colour(MUTED);
    let foot = [panel.middle()[0], panel.bottom + 60.0];
    sketch.text("m from the edge; stops under the peak", foot, muted.align(Align::Middle));
}

/// Round places on both sides of the edge.
fn marks(reach: f64) -> Vec<f64> {
    let decade = 10.0_f64.powf(reach.log10().floor());
    let steps = [0.5, 1.0, 2.0, 5.0].map(|s| s * decade);
    let step = steps.into_iter().find(|s| reach / s <= 2.5).unwrap_or(10.0 * decade);
    let each_side = (reach / step + 1e-9).floor() as i64;
    (-each_side..=each_side).map(|i| i as f64 * step).collect()
}
